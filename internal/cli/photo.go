package cli

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/bench/facemap"
	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/photo"
	"dawnsmith/lamp/optics"
	"dawnsmith/light/hazard"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/quantity"
)

// faceVerb makes a luminance map of a photograph.
type faceVerb struct {
	Photo string `arg:"" help:"A linear picture of the lit face, 16 bits: PNG, TIFF, PGM or PPM; \"-\" is standard input. 8 bits are taken as sRGB-coded."`

	Mean string `name:"mean-luminance" placeholder:"CD/M²" help:"The reading: mean luminance of the face, such as \"8000 cd/m² ± 3 %\"."`
	Lux  string `placeholder:"LX" help:"The reading: lux straight before the face's middle, such as \"5200 lx\"; with --at and --face."`
	At   string `placeholder:"MM" help:"From the face to the meter, for --lux."`

	Face      string `placeholder:"WxH" help:"Size of the luminous face as it lies in the picture, such as 380x280mm."`
	Pixel     string `placeholder:"MM" help:"Instead of --face: what one pixel covers on the face."`
	Corners   string `placeholder:"X,Y…" help:"The face's corners in pixels, upper left, upper right, lower right, lower left: \"812,640 4120,655 4098,3010 830,2990\"."`
	Threshold string `placeholder:"%" help:"Share of the brightest spot from which a pixel belongs to the face; left out: 25 %."`

	Black float64 `placeholder:"CODE" help:"What the covered lens reads, in the picture's numbers."`
	Full  int     `placeholder:"CODE" help:"The number of full scale where it is not that of the format, such as 16383."`
	Curve string  `enum:"auto,linear,srgb" default:"auto" help:"How the numbers go with light: auto, linear or srgb."`

	Use      string `placeholder:"MM" help:"Distance of the eye in use, for the cones of the hazard standard."`
	Spectrum string `placeholder:"FILE" help:"A spectrum of the light, any file that read takes: gives the blue-light radiance."`

	Picture string `placeholder:"FILE" help:"Draw the map into this file, .svg or .png."`
	Map     string `placeholder:"FILE" help:"Write the map into this file, .csv: cd/m², empty outside the face."`
}

type faceValueJSON struct {
	Value float64 `json:"value"`
	U     float64 `json:"expanded_uncertainty"`
}

type faceConeJSON struct {
	Angle    float64        `json:"angle_rad"`
	Distance float64        `json:"distance_m"`
	Diameter float64        `json:"diameter_m"`
	Resolved bool           `json:"resolved"`
	Mean     faceValueJSON  `json:"luminance_cd_m2"`
	Blue     *faceValueJSON `json:"blue_radiance_w_m2_sr,omitempty"`
}

type faceJSON struct {
	Mean          faceValueJSON     `json:"mean_cd_m2"`
	Peak          faceValueJSON     `json:"peak_cd_m2"`
	Least         faceValueJSON     `json:"least_cd_m2"`
	PeakOverMean  faceValueJSON     `json:"peak_over_mean"`
	LeastOverMean faceValueJSON     `json:"least_over_mean"`
	RippleX       faceValueJSON     `json:"ripple_along_width"`
	RippleY       faceValueJSON     `json:"ripple_along_height"`
	Area          *faceValueJSON    `json:"luminous_area_m2,omitempty"`
	Cones         []faceConeJSON    `json:"cones,omitempty"`
	Group         string            `json:"blue_group_at_200_mm,omitempty"`
	Clipped       float64           `json:"clipped_share"`
	Exposure      float64           `json:"exposure_share"`
	Findings      []finding.Finding `json:"findings"`
}

// lengthFlag reads a length that may be left out.
func lengthFlag(flag, text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	x, err := quantity.Parse(text, quantity.Length)
	if err != nil {
		return 0, input(fmt.Errorf("%s: %w", flag, err))
	}
	if !(x > 0) {
		return 0, input(fmt.Errorf("%s is %s; more than 0 is needed", flag, text))
	}
	return x, nil
}

// faceSize reads "380x280mm" or "38 cm × 28 cm".
func faceSize(text string) (w, h float64, err error) {
	if text == "" {
		return 0, 0, nil
	}
	wrong := func() error {
		return input(fmt.Errorf("--face is %q; width x height such as 380x280mm is needed", text))
	}
	a, b, ok := strings.Cut(strings.NewReplacer("×", "x", "X", "x").Replace(text), "x")
	if !ok {
		return 0, 0, wrong()
	}
	if _, err := strconv.ParseFloat(strings.TrimSpace(a), 64); err == nil {
		a += " " + strings.TrimLeft(strings.TrimSpace(b), "0123456789.,")
	}
	if w, err = quantity.Parse(a, quantity.Length); err != nil {
		return 0, 0, wrong()
	}
	if h, err = quantity.Parse(b, quantity.Length); err != nil {
		return 0, 0, wrong()
	}
	return w, h, nil
}

// corners reads four points.
func corners(text string) (*[4]facemap.Point, error) {
	if text == "" {
		return nil, nil
	}
	f := strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' })
	if len(f) != 8 {
		return nil, input(fmt.Errorf("--corners holds %d numbers; four corners have 8", len(f)))
	}
	var c [4]facemap.Point
	for i, t := range f {
		v, err := strconv.ParseFloat(t, 64)
		if err != nil {
			return nil, input(fmt.Errorf("--corners: %q is no number of pixels", t))
		}
		if i%2 == 0 {
			c[i/2].X = v
		} else {
			c[i/2].Y = v
		}
	}
	return &c, nil
}

// options reads the flags; black needs the picture's scale and comes later.
func (v *faceVerb) options() (o facemap.Options, err error) {
	for _, r := range []struct {
		flag, text string
		dim        quantity.Dimension
		to         *float64
	}{{"--mean-luminance", v.Mean, quantity.Luminance, &o.Reading.Luminance}, {"--lux", v.Lux, quantity.Illuminance, &o.Reading.Lux}} {
		if r.text == "" {
			continue
		}
		x, u, has, err := quantity.ParseUncertain(r.text, r.dim)
		if err != nil {
			return o, input(fmt.Errorf("%s: %w", r.flag, err))
		}
		if !(x > 0) {
			return o, input(fmt.Errorf("%s is %s; more than 0 is needed", r.flag, r.text))
		}
		if *r.to = x; has {
			o.Reading.U = u / x
		}
	}
	switch {
	case v.Mean == "" && v.Lux == "":
		return o, input(errors.New("no reading: give --mean-luminance, or --lux with --at; a picture alone tells no cd/m²"))
	case v.Mean != "" && v.Lux != "":
		return o, input(errors.New("--mean-luminance and --lux are two readings; give one of them"))
	case v.Lux != "" && v.At == "":
		return o, input(errors.New("--lux needs --at, the distance from the face to the meter"))
	case v.Lux != "" && v.Face == "" && v.Pixel == "":
		return o, input(errors.New("--lux needs --face, the size of the luminous face, or --pixel"))
	}
	for _, l := range []struct {
		flag, text string
		to         *float64
	}{{"--at", v.At, &o.Reading.Distance}, {"--pixel", v.Pixel, &o.PerPixel}, {"--use", v.Use, &o.Use}} {
		if *l.to, err = lengthFlag(l.flag, l.text); err != nil {
			return o, err
		}
	}
	if o.Width, o.Height, err = faceSize(v.Face); err != nil {
		return o, err
	}
	if v.Threshold != "" {
		if o.Threshold, err = quantity.Parse(v.Threshold, quantity.Ratio); err != nil {
			return o, input(fmt.Errorf("--threshold: %w", err))
		}
	}
	o.Corners, err = corners(v.Corners)
	return o, err
}

func (v *faceVerb) Run(e *env) error {
	o, err := v.options()
	if err != nil {
		return err
	}
	if ext := strings.ToLower(filepath.Ext(v.Picture)); v.Picture != "" && ext != ".svg" && ext != ".png" {
		return input(fmt.Errorf("--picture %s: the ending tells the format; allowed are .svg and .png", v.Picture))
	}
	p, fs, err := v.open(e)
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Photo, err))
	}
	if v.Black != 0 {
		if !(v.Black > 0 && v.Black <= float64(p.Steps)) {
			return input(fmt.Errorf("--black is %g; allowed is 0 to %d, the picture's full scale", v.Black, p.Steps))
		}
		o.Black = p.Level(v.Black)
	}
	if v.Spectrum != "" {
		if o.Blue, err = e.blueEfficacy(v.Spectrum); err != nil {
			return err
		}
	}
	m, err := facemap.Of(p, o)
	if err != nil {
		var bad *measure.InputError
		if errors.As(err, &bad) {
			err = input(fmt.Errorf("%s: %w", v.Photo, err))
		}
		return err
	}
	m.Findings = append(m.Findings, fs...)
	finding.Sort(m.Findings)
	if v.Picture != "" {
		if err := v.draw(m); err != nil {
			return err
		}
	}
	if v.Map != "" {
		if err := writeMap(v.Map, m); err != nil {
			return err
		}
	}
	if e.json {
		return e.writeJSON(faceAsJSON(m))
	}
	e.showFace(m)
	return nil
}

func (v *faceVerb) open(e *env) (*facemap.Picture, []finding.Finding, error) {
	r := e.In
	if v.Photo != "-" {
		f, err := os.Open(v.Photo)
		if err != nil {
			return nil, nil, unwrapPath(err)
		}
		defer f.Close()
		r = f
	}
	return photo.Read(r, photo.Options{Curve: map[string]photo.Curve{"linear": photo.Linear, "srgb": photo.SRGB}[v.Curve], Full: v.Full})
}

// blueEfficacy is K_B,v, W/lm, of the first light of a meter's file.
func (e *env) blueEfficacy(name string) (float64, error) {
	r, err := e.readOne(name, app.ReadOptions{})
	if err != nil {
		return 0, input(err)
	}
	l := firstLight(r)
	if l == nil {
		return 0, input(fmt.Errorf("--spectrum %s: no spectrum with measures is in it", name))
	}
	return hazard.BlueEfficacy(&l.Grid.Spectrum)
}

func (e *env) showFace(m *facemap.Map) {
	t := newTable(e.Out, []any{"", "value", "unit", "what it is"}, 2)
	row := func(name string, v quantity.Value, unit, line string) {
		k := 1.0
		if unit == "%" {
			k = 100
		}
		t.AppendRow(table.Row{name, quantity.FormatUncertain(k*v.X, 2*k*v.U()), unit, line})
	}
	const cd = "cd/m²"
	row("mean luminance", m.Mean, cd, "over the luminous face")
	row("peak luminance", m.Peak, cd, "brightest patch, a hundredth of the short side wide")
	row("least luminance", m.Least, cd, "darkest patch, away from the edge")
	row("peak over mean", m.PeakOverMean, "", "no reading enters it")
	row("least over mean", m.LeastOverMean, "", "no reading enters it")
	row("ripple along the width", m.RippleX, "%", "Michelson contrast; "+optics.Visibility(m.RippleX.X))
	row("ripple along the height", m.RippleY, "%", "Michelson contrast; "+optics.Visibility(m.RippleY.X))
	long := func(x float64) string {
		if e.inch {
			return quantity.FormatIn(x, quantity.Length, "in", 3)
		}
		return quantity.FormatIn(x, quantity.Length, "mm", 3)
	}
	if m.Area.X > 0 {
		row("luminous area", m.Area, "m²", "of what is bright enough; its box is "+long(m.Width)+" × "+long(m.Height))
	}
	for _, c := range m.Cones {
		name := fmt.Sprintf("peak in %g mrad at %s", 1000*c.Angle, long(c.Distance))
		row(name, c.Mean, cd, "mean over a disc of "+long(c.Diameter)+", as IEC 62471 averages")
		if c.Blue.X > 0 {
			row("  its blue-light radiance", c.Blue, "W/(m²·sr)", "up to 100 W/(m²·sr) in 100 mrad is exempt")
		}
	}
	t.Render()
	if g, ok := m.BlueGroup(0.2); ok {
		fmt.Fprintf(e.Out, "\nBlue light at 200 mm: %s (a calculation aid, not an assessment).\n", g)
	}
	fmt.Fprintf(e.Out, "\n± is the expanded uncertainty (k = 2). The face's mean is at %s %% of full scale.\n", quantity.Digits(100*m.Exposure, 2))
	e.showFindings(m.Findings)
}

func faceAsJSON(m *facemap.Map) faceJSON {
	of := func(v quantity.Value) faceValueJSON { return faceValueJSON{v.X, 2 * v.U()} }
	j := faceJSON{Mean: of(m.Mean), Peak: of(m.Peak), Least: of(m.Least), PeakOverMean: of(m.PeakOverMean), LeastOverMean: of(m.LeastOverMean),
		RippleX: of(m.RippleX), RippleY: of(m.RippleY), Clipped: m.Clipped, Exposure: m.Exposure, Findings: m.Findings}
	if m.Area.X > 0 {
		a := of(m.Area)
		j.Area = &a
	}
	for _, c := range m.Cones {
		k := faceConeJSON{Angle: c.Angle, Distance: c.Distance, Diameter: c.Diameter, Resolved: c.Resolved, Mean: of(c.Mean)}
		if c.Blue.X > 0 {
			b := of(c.Blue)
			k.Blue = &b
		}
		j.Cones = append(j.Cones, k)
	}
	if g, ok := m.BlueGroup(0.2); ok {
		j.Group = g.String()
	}
	return j
}

// draw makes the false-luminance map.
func (v *faceVerb) draw(m *facemap.Map) error {
	note := fmt.Sprintf("mean %s, peak over mean %s", quantity.FormatValue(m.Mean, quantity.Luminance), quantity.FormatUncertain(m.PeakOverMean.X, 2*m.PeakOverMean.U()))
	if m.Width == 0 {
		note += "; the face's size is unknown, so it is drawn square"
	}
	s := figure.Map(figure.MapChart{
		Frame:  figure.Frame{Title: "Luminance over the face, from a photograph", Height: 92, Note: note},
		Values: m.Values, FaceWidth: 1000 * m.Width, FaceHeight: 1000 * m.Height,
		Z: figure.Axis{Name: "luminance", Unit: "cd/m²"}, Lines: true,
	})
	var b bytes.Buffer
	err := error(nil)
	if strings.EqualFold(filepath.Ext(v.Picture), ".png") {
		err = draw.PNG(&b, s, draw.PNGOptions{})
	} else {
		err = draw.SVG(&b, s, draw.SVGOptions{Ground: true})
	}
	if err != nil {
		return err
	}
	_, err = file.SaveBytes(v.Picture, b.Bytes(), file.Overwrite())
	return err
}

// writeMap writes the cells as CSV.
func writeMap(name string, m *facemap.Map) error {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	for _, row := range m.Values {
		cells := make([]string, len(row))
		for i, x := range row {
			if !math.IsNaN(x) {
				cells[i] = quantity.Digits(x, 5)
			}
		}
		if err := w.Write(cells); err != nil {
			return err
		}
	}
	w.Flush()
	if err := w.Error(); err != nil {
		return err
	}
	_, err := file.SaveBytes(name, b.Bytes(), file.Overwrite())
	return err
}
