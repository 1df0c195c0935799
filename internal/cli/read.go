package cli

import (
	"bytes"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/meterfile"
	"dawnsmith/internal/report"
	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// readVerb reads what meters write.
type readVerb struct {
	Files []string `arg:"" help:"Files, or folders of files, as a meter wrote them: spectra, logs or waveforms; \"-\" is standard input."`

	Against    string `placeholder:"FILE" help:"Set the first light beside the first of this file."`
	Lux        string `placeholder:"LX" help:"The level at the eye, for files that hold none, such as \"500 lx\"."`
	Mean       string `placeholder:"NUMBER" help:"The mean of a waveform whose recorder blocks it, in the unit of its samples."`
	Bandwidth  string `placeholder:"NM" help:"Correct for the width of the instrument, such as \"8 nm\"; off unless given."`
	Wavelength string `name:"wavelength-error" placeholder:"NM" help:"Standard uncertainty of the instrument's wavelengths, such as \"0.5 nm\"."`
	Stray      string `name:"stray-light" placeholder:"%" help:"Stray light of the instrument at most, of the highest reading, such as \"0.2 %\"."`

	Pictures string `placeholder:"FOLDER" help:"Draw each light, log and waveform into this folder, as SVG."`
	To       string `placeholder:"FILE" help:"Write all spectra to one file: .csv, .json, .txt (CGATS) or, one spectrum, .spdx."`
	All      bool   `help:"Show every spectrum of a series, not the first and last alone."`
}

// A light of a file as JSON.
type readLightJSON struct {
	File     string             `json:"file"`
	Name     string             `json:"name"`
	At       *time.Time         `json:"at,omitempty"`
	Quantity string             `json:"quantity"`
	Unit     string             `json:"unit,omitempty"`
	Points   int                `json:"points"`
	First    float64            `json:"first_nm,omitempty"`
	Last     float64            `json:"last_nm,omitempty"`
	Method   string             `json:"method,omitempty"`
	Lux      float64            `json:"lux_at_eye,omitempty"`
	Sentence string             `json:"sentence"`
	Why      string             `json:"why,omitempty"`
	Values   map[string]float64 `json:"values,omitempty"`
	U        map[string]float64 `json:"expanded_uncertainty,omitempty"`
	Findings []finding.Finding  `json:"findings,omitempty"`
}

type readJSON struct {
	Lights   []readLightJSON   `json:"lights"`
	Logs     []readLogJSON     `json:"logs,omitempty"`
	Waves    []readWaveJSON    `json:"waves,omitempty"`
	Findings []finding.Finding `json:"findings,omitempty"`
	Failed   []readFailJSON    `json:"failed,omitempty"`
	Beside   []app.Beside      `json:"against,omitempty"`
}

type readLogJSON struct {
	File     string  `json:"file"`
	Name     string  `json:"name"`
	Unit     string  `json:"unit,omitempty"`
	Readings int     `json:"readings"`
	Seconds  float64 `json:"seconds"`
	Sentence string  `json:"sentence"`
}

type readWaveJSON struct {
	File     string             `json:"file"`
	Name     string             `json:"name"`
	Samples  int                `json:"samples"`
	Interval float64            `json:"interval_s"`
	Sentence string             `json:"sentence"`
	Values   map[string]float64 `json:"values,omitempty"`
	Findings []finding.Finding  `json:"findings,omitempty"`
}

type readFailJSON struct {
	File string `json:"file"`
	Why  string `json:"why"`
}

func (v *readVerb) options() (o app.ReadOptions, err error) {
	for _, f := range []struct {
		flag, text string
		dim        quantity.Dimension
		to         *float64
		lo, hi     float64
		scale      float64
	}{{"--lux", v.Lux, quantity.Illuminance, &o.Lux, 0, 2e5, 1}, {"--bandwidth", v.Bandwidth, quantity.Wavelength, &o.Bandwidth, 0, 2e-8, 1e9},
		{"--wavelength-error", v.Wavelength, quantity.Wavelength, &o.Instrument.Wavelength, 0, 1e-8, 1e9}, {"--stray-light", v.Stray, quantity.Ratio, &o.Instrument.Stray, 0, 0.1, 1},
		{"--mean", v.Mean, quantity.Number, &o.Mean, -1e12, 1e12, 1}} {
		if f.text == "" {
			continue
		}
		x, err := quantity.Parse(f.text, f.dim)
		if err != nil {
			return o, input(fmt.Errorf("%s: %w", f.flag, err))
		}
		if !(x >= f.lo && x <= f.hi) {
			return o, input(fmt.Errorf("%s is %s; allowed is %g to %g", f.flag, f.text, f.lo*f.scale, f.hi*f.scale))
		}
		*f.to = x * f.scale
	}
	if v.Bandwidth != "" && o.Bandwidth < 1 {
		return o, input(fmt.Errorf("--bandwidth is %s; allowed is 1 to 20 nm", v.Bandwidth))
	}
	return o, nil
}

func (v *readVerb) Run(e *env) error {
	o, err := v.options()
	if err != nil {
		return err
	}
	names, asked, err := v.names()
	if err != nil {
		return err
	}
	var reads []*app.MeterRead
	var failed []readFailJSON
	for _, n := range names {
		if err := e.ctx.Err(); err != nil {
			return err
		}
		r, err := e.readOne(n, o)
		if err != nil {
			if asked[n] && len(names) == 1 {
				return input(err)
			}
			failed = append(failed, readFailJSON{n, strings.TrimPrefix(err.Error(), n+": ")})
			continue
		}
		reads = append(reads, r)
	}
	var other *app.MeterRead
	if v.Against != "" {
		if other, err = e.readOne(v.Against, o); err != nil {
			return input(err)
		}
	}
	if v.To != "" {
		if err := v.write(reads); err != nil {
			return err
		}
	}
	if v.Pictures != "" {
		if err := v.draw(reads, other); err != nil {
			return err
		}
	}
	if e.json {
		return e.writeJSON(v.asJSON(reads, failed, other))
	}
	for i, r := range reads {
		if i > 0 {
			fmt.Fprintln(e.Out)
		}
		v.show(e, r)
	}
	if other != nil {
		if err := v.showBeside(e, reads, other); err != nil {
			return err
		}
	}
	if len(failed) > 0 {
		fmt.Fprintln(e.Out, "\nNot read:")
		for _, f := range failed {
			fmt.Fprintf(e.Out, "  %s: %s\n", f.File, f.Why)
		}
		if len(reads) == 0 {
			return errNo
		}
	}
	return nil
}

// names lists the files, folders opened; asked are those that were named.
func (v *readVerb) names() (names []string, asked map[string]bool, err error) {
	asked = map[string]bool{}
	for _, n := range v.Files {
		st, err := os.Stat(n)
		if n == "-" || err == nil && !st.IsDir() {
			names, asked[n] = append(names, n), true
			continue
		}
		if err != nil {
			return nil, nil, fmt.Errorf("%s: %w", n, unwrapPath(err))
		}
		before := len(names)
		err = filepath.WalkDir(n, func(path string, d fs.DirEntry, err error) error {
			if err != nil {
				return err
			}
			if d.IsDir() && path != n && strings.HasPrefix(d.Name(), ".") {
				return filepath.SkipDir
			}
			if d.Type().IsRegular() && !strings.HasPrefix(d.Name(), ".") {
				names = append(names, path)
			}
			return nil
		})
		if err != nil {
			return nil, nil, err
		}
		if len(names) == before {
			return nil, nil, input(fmt.Errorf("the folder %s holds no files", n))
		}
	}
	return names, asked, nil
}

// unwrapPath takes the operation and the path off an error of the file system.
func unwrapPath(err error) error {
	if pe, ok := err.(*fs.PathError); ok {
		return pe.Err
	}
	return err
}

func (e *env) readOne(name string, o app.ReadOptions) (*app.MeterRead, error) {
	if name == "-" {
		return app.Read("standard input", e.In, o)
	}
	f, err := os.Open(name)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, unwrapPath(err))
	}
	defer f.Close()
	return app.Read(name, f, o)
}

// show prints one file.
func (v *readVerb) show(e *env, r *app.MeterRead) {
	w := e.Out
	fmt.Fprintf(w, "%s (%s)\n", r.Name, r.Format)
	fs := slices.Clone(r.Findings)
	for i := range r.Lights {
		l := &r.Lights[i]
		if !v.All && len(r.Lights) > 6 && i > 0 && i < len(r.Lights)-1 {
			if i == 1 {
				fmt.Fprintf(w, "\n… %d spectra between the first and the last (--all shows them)\n", len(r.Lights)-2)
			}
			continue
		}
		name := l.Name
		if name == r.Name {
			name = ""
		}
		if !l.Reading.At.IsZero() {
			name = strings.TrimSpace(name + ", read " + l.Reading.At.Format("2006-01-02 15:04:05"))
		}
		if name = strings.TrimPrefix(name, ", "); name != "" {
			fmt.Fprintf(w, "\n%s\n", name)
		}
		fmt.Fprintln(w, l.Sentence)
		if len(l.Groups) > 0 {
			fmt.Fprintln(w)
			showRows(e, l.Groups)
		}
		for _, f := range l.Findings {
			if !slices.ContainsFunc(fs, func(g finding.Finding) bool { return g.Key == f.Key && g.What == f.What }) {
				fs = append(fs, f)
			}
		}
	}
	for _, l := range r.Logs {
		fmt.Fprintf(w, "\n%s: %s\n", l.Name, l.Sentence)
	}
	for _, x := range r.Waves {
		fmt.Fprintf(w, "\n%s, %d samples, one in %s: %s\n", x.Name, len(x.Values), step(x.Interval), x.Sentence)
		if len(x.Groups) > 0 {
			fmt.Fprintln(w)
			showRows(e, x.Groups)
		}
		if x.Result != nil {
			fs = append(fs, x.Result.Findings...)
		}
	}
	finding.Sort(fs)
	e.showFindings(fs)
}

// step is the time between samples as people say it.
func step(s float64) string {
	switch {
	case s < 1e-3:
		return quantity.Digits(s*1e6, 3) + " µs"
	case s < 1:
		return quantity.Digits(s*1e3, 3) + " ms"
	}
	return quantity.Digits(s, 3) + " s"
}

func showRows(e *env, groups []app.Group) {
	t := newTable(e.Out, []any{"", "value", "unit", "what it is"}, 2)
	for i, g := range groups {
		if i > 0 {
			t.AppendRow(table.Row{"", "", "", ""})
		}
		t.AppendRow(table.Row{g.Title + ":", "", "", ""})
		for _, r := range g.Rows {
			t.AppendRow(table.Row{"  " + r.Name, r.Value, r.Unit, r.Line})
		}
	}
	t.Render()
}

// firstLight finds the first light with measures.
func firstLight(reads ...*app.MeterRead) *app.Light {
	for _, r := range reads {
		for i := range r.Lights {
			if r.Lights[i].Why == "" {
				return &r.Lights[i]
			}
		}
	}
	return nil
}

func (v *readVerb) showBeside(e *env, reads []*app.MeterRead, other *app.MeterRead) error {
	a, b := firstLight(other), firstLight(reads...)
	if a == nil || b == nil {
		return input(fmt.Errorf("there are no two lights with measures to set side by side"))
	}
	fmt.Fprintf(e.Out, "\n%s against %s\n\n", b.Name, a.Name)
	t := newTable(e.Out, []any{"", a.Name, b.Name, "unit", "change"}, 2, 3, 5)
	for _, r := range app.CompareLights(a, b) {
		t.AppendRow(table.Row{r.Name, r.A, r.B, r.Unit, r.Change})
	}
	t.Render()
	fmt.Fprintf(e.Out, "\nTheir colours lie %s apart on the u′v′ diagram; side by side about 0.004 is just seen (common practice, no source).\n", quantity.Decimals(app.LightShift(a, b), 4))
	return nil
}

func (v *readVerb) asJSON(reads []*app.MeterRead, failed []readFailJSON, other *app.MeterRead) readJSON {
	out := readJSON{Lights: []readLightJSON{}, Failed: failed}
	for _, r := range reads {
		out.Findings = append(out.Findings, r.Findings...)
		for i := range r.Lights {
			l := &r.Lights[i]
			j := readLightJSON{File: r.Name, Name: l.Name, Quantity: l.Reading.Raw.Quantity.String(), Unit: l.Reading.Unit, Points: len(l.Reading.Raw.Values), Lux: l.Lux,
				Sentence: l.Sentence, Why: l.Why, Values: l.Values, U: l.U, Findings: l.Findings}
			if l.Why == "" {
				j.First, j.Last, j.Method = l.Grid.First, l.Grid.Last, l.Grid.Method.String()
			}
			if !l.Reading.At.IsZero() {
				j.At = &l.Reading.At
			}
			out.Lights = append(out.Lights, j)
		}
		for _, l := range r.Logs {
			out.Logs = append(out.Logs, readLogJSON{r.Name, l.Name, l.Unit, len(l.Values), l.Seconds[len(l.Seconds)-1], l.Sentence})
		}
		for _, w := range r.Waves {
			j := readWaveJSON{File: r.Name, Name: w.Name, Samples: len(w.Values), Interval: w.Interval, Sentence: w.Sentence}
			if w.Result != nil {
				j.Values = map[string]float64{}
				w.Result.Each(func(k string, x float64) { j.Values[k] = x })
				j.Findings = w.Result.Findings
			}
			out.Waves = append(out.Waves, j)
		}
	}
	if other != nil {
		if a, b := firstLight(other), firstLight(reads...); a != nil && b != nil {
			out.Beside = app.CompareLights(a, b)
		}
	}
	return out
}

// write converts all spectra to one file.
func (v *readVerb) write(reads []*app.MeterRead) error {
	var all []meterfile.Reading
	for _, r := range reads {
		for _, l := range r.Lights {
			l.Reading.Name = l.Name
			all = append(all, l.Reading)
		}
	}
	if len(all) == 0 {
		return input(fmt.Errorf("--to %s: there is no spectrum to write", v.To))
	}
	write := map[string]func(io.Writer) error{
		".csv": func(w io.Writer) error { return meterfile.WriteCSV(w, all) }, ".json": func(w io.Writer) error { return meterfile.WriteJSON(w, all) },
		".txt": func(w io.Writer) error { return meterfile.WriteCGATS(w, all, "dawnsmith") },
		".spdx": func(w io.Writer) error {
			if len(all) > 1 {
				return fmt.Errorf("a .spdx file holds one spectrum and there are %d; write .csv or .json", len(all))
			}
			return meterfile.WriteSPDX(w, all[0], "dawnsmith", time.Now())
		},
	}[strings.ToLower(filepath.Ext(v.To))]
	if write == nil {
		return input(fmt.Errorf("--to %s: the ending tells the format; allowed are .csv, .json, .txt (CGATS) and .spdx", v.To))
	}
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return input(fmt.Errorf("--to %s: %w", v.To, err))
	}
	_, err := file.SaveBytes(v.To, b.Bytes(), file.Overwrite())
	return err
}

// draw puts pictures into a folder.
func (v *readVerb) draw(reads []*app.MeterRead, other *app.MeterRead) error {
	if err := os.MkdirAll(v.Pictures, 0o755); err != nil {
		return err
	}
	put := func(base string, scenes []report.NamedScene) error {
		for _, s := range scenes {
			var b bytes.Buffer
			if err := draw.SVG(&b, s.Scene, draw.SVGOptions{Ground: true}); err != nil {
				return err
			}
			if _, err := file.SaveBytes(filepath.Join(v.Pictures, base+"-"+s.Name+".svg"), b.Bytes(), file.Overwrite()); err != nil {
				return err
			}
		}
		return nil
	}
	for _, r := range reads {
		base := strings.TrimSuffix(filepath.Base(r.Name), filepath.Ext(r.Name))
		var lights []*app.Light
		for i := range r.Lights {
			lights = append(lights, &r.Lights[i])
		}
		if other != nil {
			if a := firstLight(other); a != nil && len(lights) > 0 {
				lights = []*app.Light{lights[0], a}
			}
		}
		scenes, err := report.LightPictures(lights)
		if err != nil {
			return err
		}
		for i, l := range r.Logs {
			s := report.LogPicture(l)
			s.Name = fmt.Sprintf("%s-%d", s.Name, i+1)
			scenes = append(scenes, s)
		}
		for i, w := range r.Waves {
			for _, s := range report.WavePictures(w) {
				s.Name = fmt.Sprintf("%s-%d", s.Name, i+1)
				scenes = append(scenes, s)
			}
		}
		if err := put(base, scenes); err != nil {
			return err
		}
	}
	return nil
}
