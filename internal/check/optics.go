package check

import (
	"encoding/json"
	"fmt"
	"math"

	"dawnsmith/lamp/optics"
)

const (
	mm  = 1e-3
	deg = math.Pi / 180
)

// boxCase is a box as the reference files write it.
type boxCase struct {
	Box struct {
		L float64 `json:"length_mm"`
		W float64 `json:"width_mm"`
		H float64 `json:"depth_mm"`
	} `json:"box"`
	LEDs struct {
		Rows    int     `json:"rows"`
		Spacing float64 `json:"row_spacing_mm"`
		PerRow  int     `json:"per_row"`
		Pitch   float64 `json:"pitch_mm"`
		First   float64 `json:"flux_lm_first"`
		Taper   float64 `json:"flux_taper_last"`
		Z       float64 `json:"height_mm"`
		Beam    float64 `json:"beam_fwhm_deg"`
		OffsetX float64 `json:"offset_x_mm"`
		OffsetY float64 `json:"offset_y_mm"`
	} `json:"leds"`
	Walls struct {
		R float64 `json:"reflectance"`
		S float64 `json:"specular_fraction"`
	} `json:"walls"`
	Floor struct {
		R          float64 `json:"lining_reflectance"`
		S          float64 `json:"lining_specular_fraction"`
		StripWidth float64 `json:"strip_width_mm"`
		StripR     float64 `json:"strip_reflectance"`
	} `json:"floor"`
	Diffuser struct {
		T       float64 `json:"transmittance"`
		R       float64 `json:"reflectance"`
		Through float64 `json:"unscattered_fraction"`
		Lobe    float64 `json:"lobe_fraction"`
		FWHM    float64 `json:"lobe_fwhm_deg"`
	} `json:"diffuser"`
}

// maxLEDs bounds the work of one case.
const maxLEDs = 20000

// build writes the case down for package optics.
func (c *boxCase) build() (optics.Box, error) {
	l := &c.LEDs
	if l.Rows < 1 || l.PerRow < 1 || l.Rows > maxLEDs/max(1, l.PerRow) {
		return optics.Box{}, fmt.Errorf("%d rows of %d LEDs; allowed: at least one, together up to %d", l.Rows, l.PerRow, maxLEDs)
	}
	b := optics.Box{
		Length: c.Box.L * mm, Width: c.Box.W * mm, Height: c.Box.H * mm,
		Walls: optics.SameWalls(optics.Surface{Reflectance: c.Walls.R, Specular: c.Walls.S}),
		Floor: optics.Surface{Reflectance: c.Floor.R, Specular: c.Floor.S},
		Sheet: optics.Sheet{T: c.Diffuser.T, R: c.Diffuser.R, Through: c.Diffuser.Through, Lobe: c.Diffuser.Lobe, LobeFWHM: c.Diffuser.FWHM * deg},
	}
	taper := l.Taper
	if taper == 0 {
		taper = 1 // the files write no taper as 0
	}
	row := optics.Row{
		X0:    b.Length/2 + (l.OffsetX-float64(l.PerRow-1)/2*l.Pitch)*mm,
		Pitch: l.Pitch * mm, Count: l.PerRow, Z: l.Z * mm, BeamFWHM: l.Beam * deg,
		StripWidth: c.Floor.StripWidth * mm, StripReflectance: c.Floor.StripR,
	}
	for i := range l.PerRow {
		row.Fluxes = append(row.Fluxes, l.First*(1-(1-taper)*float64(i)/float64(max(1, l.PerRow-1))))
	}
	for j := range l.Rows {
		row.Y = b.Width/2 + (l.OffsetY+(float64(j)-float64(l.Rows-1)/2)*l.Spacing)*mm
		b.Rows = append(b.Rows, row)
	}
	return b, nil
}

// figure is a result with room for the other method's standard error.
type figure struct {
	Value float64 `json:"value"`
}

type boxResults struct {
	Efficiency     figure            `json:"efficiency"`
	AbsorbedWalls  figure            `json:"absorbed_walls"`
	AbsorbedFloor  figure            `json:"absorbed_floor"`
	AbsorbedSheet  figure            `json:"absorbed_diffuser"`
	ExitanceOverPi figure            `json:"exitance_over_pi_cd_m2"`
	Luminance      map[string]figure `json:"luminance_cd_m2"`
	MinAt          [2]float64        `json:"min_at_mm"`
	MaxAt          [2]float64        `json:"max_at_mm"`
	SpotContrast   figure            `json:"spot_contrast_centre"`
	DirectShare    float64           `json:"centre_direct_share"`
	Illuminance    map[string]figure `json:"illuminance_lx"`
	Intensity      map[string]figure `json:"intensity_cd_by_theta_deg"`
	DotMean        float64           `json:"unscattered_dot_mean_cd_m2"`
}

// station is where the light is read, in mm in the lamp's frame.
type station struct {
	Name     string     `json:"name"`
	Position [3]float64 `json:"position"`
	Normal   [3]float64 `json:"normal"`
}

func boxes(src *source) ([]entry, error) {
	var stations []station
	if raw := src.get("points_lamp_frame_mm"); raw != nil {
		if err := into(raw, &stations); err != nil {
			return nil, fmt.Errorf("points_lamp_frame_mm: %w", err)
		}
	}
	out, err := src.entries("boxes", "result", nil, func(raw json.RawMessage) (any, error) {
		var c boxCase
		if err := into(raw, &c); err != nil {
			return nil, err
		}
		return solveBox(&c, stations)
	})
	raws, _ := src.list("boxes")
	for i := range out {
		var c boxCase
		_ = json.Unmarshal(raws[i], &c)
		out[i].rules = boxRules(&c)
		var about struct{ Note string }
		if json.Unmarshal(raws[i], &about) == nil && out[i].title == "" {
			out[i].title = about.Note
		}
	}
	return out, err
}

// boxRules follows the acceptance the set was published with: one column for
// diffuse boxes, one for mirror linings and weak sheets.
func boxRules(c *boxCase) []rule {
	efficiency, light, spot, edge := 0.005, 0.01, [2]float64{0.002, 0.05}, 0.015
	if c.Walls.S > 0 || c.Floor.S > 0 || c.Diffuser.Through > 0 || c.Diffuser.Lobe > 0 {
		efficiency, light, spot, edge = 0.01, 0.015, [2]float64{0.004, 0.08}, 0.025
	}
	const corner, far = 0.08, 0.03
	r := []rule{
		share("efficiency/value", efficiency), share("exitance_over_pi_cd_m2/value", efficiency),
		share("luminance_cd_m2/avg/value", light), share("illuminance_lx/*/value", light),
		either("spot_contrast_centre/value", spot[0], spot[1]),
	}
	for _, k := range []string{"max", "centre", "mid_long_edge", "mid_short_edge"} {
		r = append(r, share("luminance_cd_m2/"+k+"/value", edge))
	}
	for _, k := range []string{"min", "corner"} {
		r = append(r, share("luminance_cd_m2/"+k+"/value", corner))
	}
	for t := 0; t < 60; t += 5 {
		r = append(r, share(fmt.Sprintf("intensity_cd_by_theta_deg/%d-%d/value", t, t+5), far))
	}
	return r
}

func solveBox(c *boxCase, stations []station) (any, error) {
	b, err := c.build()
	if err != nil {
		return nil, err
	}
	s, err := optics.Solve(b, optics.Options{})
	if err != nil {
		return nil, err
	}
	f := &s.Face
	r := boxResults{
		Efficiency: figure{s.Efficiency}, AbsorbedWalls: figure{s.AbsorbedWalls}, AbsorbedFloor: figure{s.AbsorbedFloor},
		AbsorbedSheet: figure{s.AbsorbedSheet}, ExitanceOverPi: figure{s.Exitance / math.Pi},
		Luminance: map[string]figure{
			"avg": {f.Mean}, "min": {f.Min}, "max": {f.Max}, "centre": {f.Centre},
			"mid_long_edge": {f.EdgeX}, "mid_short_edge": {f.EdgeY}, "corner": {f.Corner},
		},
		MinAt: [2]float64{f.MinAt[0] / mm, f.MinAt[1] / mm}, MaxAt: [2]float64{f.MaxAt[0] / mm, f.MaxAt[1] / mm},
		SpotContrast: figure{s.SpotContrast(b.Length/2, b.Width/2)},
		DirectShare:  f.Direct, Illuminance: map[string]figure{}, Intensity: map[string]figure{},
		DotMean: dotMean(&b),
	}
	if b.Length < b.Width {
		r.Luminance["mid_long_edge"], r.Luminance["mid_short_edge"] = r.Luminance["mid_short_edge"], r.Luminance["mid_long_edge"]
	}
	for _, p := range stations {
		e, err := s.Illuminance(optics.Target{
			Position: optics.Vec{X: p.Position[0] * mm, Y: p.Position[1] * mm, Z: p.Position[2] * mm},
			Normal:   optics.Vec{X: p.Normal[0], Y: p.Normal[1], Z: p.Normal[2]},
		})
		if err != nil {
			return nil, fmt.Errorf("point %s: %w", p.Name, err)
		}
		r.Illuminance[p.Name] = figure{e}
	}
	for t := 0; t < 90; t += 5 {
		r.Intensity[fmt.Sprintf("%d-%d", t, t+5)] = figure{ringIntensity(s, float64(t)*deg, float64(t+5)*deg)}
	}
	return r, nil
}

// ringIntensity is the mean intensity, cd, of all directions between two
// angles from the axis, by solid angle.
func ringIntensity(s *optics.Solution, lo, hi float64) float64 {
	const slices, around = 8, 16
	a, b := math.Cos(hi), math.Cos(lo)
	sum := 0.0
	for i := range slices {
		theta := math.Acos(a + (b-a)*(float64(i)+0.5)/slices)
		for k := range around {
			sum += s.Intensity(theta, 2*math.Pi*(float64(k)+0.5)/around)
		}
	}
	return sum / (slices * around)
}

// dotMean is what the LEDs seen unscattered through the sheet, straight on,
// add to the luminance of the whole face: T·u·ΣI(0)/(L·W), with
// I(0) = Φ(m+1)/2π and m = -ln 2/ln cos(FWHM/2).
func dotMean(b *optics.Box) float64 {
	axial := 0.0
	for _, r := range b.Rows {
		m := 1.0
		if r.BeamFWHM > 0 {
			m = -math.Ln2 / math.Log(math.Cos(r.BeamFWHM/2))
		}
		for _, f := range r.Fluxes {
			axial += f * (m + 1) / (2 * math.Pi)
		}
	}
	return b.Sheet.T * b.Sheet.Through * axial / b.FaceArea()
}
