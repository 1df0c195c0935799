package app

import (
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/internal/meterfile"
	"dawnsmith/light/assay"
	"dawnsmith/light/eye"
	"dawnsmith/light/flicker"
	"dawnsmith/light/hazard"
	"dawnsmith/light/spectrum"
	"dawnsmith/metric"
	"dawnsmith/quantity"
)

// ReadOptions say what a meter file does not.
type ReadOptions struct {
	// Lux is the level, lx at the eye, for lights whose file has none; 0: none.
	Lux float64
	// Instrument, where it is known, gives the measures their uncertainty.
	Instrument assay.Instrument
	// Bandwidth corrects for the width of the instrument, nm; 0: not.
	Bandwidth float64
	// Mean is the mean of a waveform whose recorder blocks it, in the unit of
	// its samples; 0: not given.
	Mean float64
}

// MeterRead is a meter file worked out.
type MeterRead struct {
	Name, Format string
	Lights       []Light
	Logs         []LogRead
	Waves        []WaveRead
	Findings     []finding.Finding
}

// Light is one spectrum with its measures.
type Light struct {
	Name    string
	Reading meterfile.Reading
	Grid    spectrum.Resampled
	// Why says why there are no measures; "" when there are.
	Why string
	// Lux is the level that the measures hang on, lx at the eye; 0: none.
	Lux      float64
	Sentence string
	// Values holds every measure by its key; U the expanded uncertainty (k = 2)
	// from the instrument, of those that have one.
	Values, U map[string]float64
	Groups    []Group
	Findings  []finding.Finding
}

// mostLights bounds how many spectra of a file are worked out one by one.
const mostLights = 5000

// Read reads a meter file and takes every measure of what it holds. The error
// is that of the reader; what cannot be measured says why in its place.
func Read(name string, r io.Reader, o ReadOptions) (*MeterRead, error) {
	f, err := meterfile.Read(r)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	out := &MeterRead{Name: name, Format: f.Format, Findings: f.Findings}
	if len(f.Spectra) > mostLights {
		return nil, fmt.Errorf("%s: %d spectra; up to %d are read at a time: cut the file into parts", name, len(f.Spectra), mostLights)
	}
	for i, s := range f.Spectra {
		l := readLight(s, o)
		if l.Name == "" {
			l.Name = name
			if len(f.Spectra) > 1 {
				l.Name = fmt.Sprintf("spectrum %d", i+1)
			}
		}
		out.Lights = append(out.Lights, l)
	}
	for _, l := range f.Logs {
		out.Logs = append(out.Logs, LogRead{l, logSentence(l)})
	}
	for _, w := range f.Waves {
		out.Waves = append(out.Waves, readWave(w, o))
	}
	return out, nil
}

func readLight(r meterfile.Reading, o ReadOptions) Light {
	l := Light{Name: r.Name, Reading: r, Findings: slices.Clone(r.Findings)}
	grid, err := r.Raw.Resample(spectrum.Automatic)
	l.Grid = grid
	l.Findings = append(l.Findings, grid.Findings...)
	if err != nil {
		l.Why = err.Error()
		l.Sentence = "No measures: " + l.Why + "."
		return l
	}
	if o.Bandwidth > 0 {
		if l.Grid.Spectrum, err = l.Grid.Spectrum.Narrow(o.Bandwidth); err != nil {
			l.Why = err.Error()
			l.Sentence = "No measures: " + l.Why + "."
			return l
		}
	}
	if r.Raw.Quantity.IsMaterial() {
		l.material()
		return l
	}
	s := &l.Grid.Spectrum
	l.Lux = o.Lux
	if r.Raw.Quantity == spectrum.Irradiance && o.Lux == 0 {
		l.Lux = s.Luminous()
	}
	var a assay.Assay
	if err := assay.Into(&a, s, l.Lux, eye.DeskLamp); err != nil {
		l.Why = err.Error()
		l.Sentence = "No measures: " + l.Why + "."
		return l
	}
	l.Values = a.Values()
	l.doubt(o)
	if l.Lux > 0 {
		if st, err := eye.Circadian(s, l.Lux, eye.DeskLamp); err == nil {
			l.Findings = append(l.Findings, st.Findings()...)
		}
	}
	if r.Raw.Quantity == spectrum.Irradiance {
		l.Findings = append(l.Findings, hazard.Ultraviolet(s)...)
	}
	l.group(s)
	l.say()
	return l
}

// doubt takes the uncertainty from the instrument.
func (l *Light) doubt(o ReadOptions) {
	if o.Instrument == (assay.Instrument{}) {
		return
	}
	scale, stray, err := o.Instrument.Contributions(&l.Grid.Spectrum, l.Lux)
	if err != nil {
		return
	}
	l.U = map[string]float64{}
	for k := range l.Values {
		if u := 2 * math.Hypot(scale[k], stray[k]); u > 0 {
			l.U[k] = u
		}
	}
}

// material says what a sheet or lining does to light.
func (l *Light) material() {
	s := l.Grid.Spectrum
	d65, err := spectrum.Illuminant("D65")
	if err != nil {
		l.Why = err.Error()
		return
	}
	through := s.Weight(&d65)
	x := through.Luminous() / d65.Luminous()
	q := l.Reading.Raw.Quantity.String()
	l.Values = map[string]float64{"luminous_" + q: x}
	l.Sentence = fmt.Sprintf("A material: %s %s of daylight, weighted by the eye (D65, V(λ)), read from %g to %g nm.", q, quantity.Digits(x, 3), l.Grid.First, l.Grid.Last)
	l.Groups = []Group{{Title: "The material", Rows: []Row{{Key: "luminous_" + q, Name: "luminous " + q, Value: quantity.Digits(x, 3), Line: "of daylight D65, weighted by V(λ)", Source: "CIE 130:1998 (from memory)"}}}}
}

// readKeys is the order in which measures of a light are read.
var readKeys = []struct {
	title string
	keys  []string
}{
	{"Colour", []string{"cct_k", "duv", "chroma_x", "chroma_y", "chroma_u_prime", "chroma_v_prime"}},
	{"How colours look in it", []string{"ra", "r9", "rf", "rg", "rcs_h1"}},
	{"The receptors of the eye", []string{"der_mel", "der_rod", "der_s", "der_m", "der_l", "edi_mel_lx", "cla", "cs"}},
	{"Blue light and efficacy", []string{"kbv_mw_lm", "blue_share", "ler_lm_w"}},
}

var readMetrics = func() map[string]metric.Metric {
	out := map[string]metric.Metric{}
	for _, m := range append(assay.Metrics(), flicker.Metrics()...) {
		out[m.Key] = m
	}
	return out
}()

// row shows a value as people read it.
func (l *Light) row(key string) (Row, bool) {
	v, ok := l.Values[key]
	m, known := readMetrics[key]
	if !ok || !known {
		return Row{}, false
	}
	r := Row{Key: m.Key, Name: m.Name, Symbol: m.Symbol, Unit: m.Unit, Line: m.Line, Source: m.Source, Better: m.Better}
	switch u := l.U[key]; {
	case u > 0:
		r.Value = quantity.FormatUncertain(v, u)
	case key == "cct_k":
		r.Value = quantity.Digits(v, 4)
	case key == "duv" || strings.HasPrefix(key, "chroma"):
		r.Value = quantity.Decimals(v, 4)
	case key == "ra" || key[0] == 'r' && len(key) <= 3:
		r.Value = quantity.Decimals(v, 0)
	default:
		r.Value = quantity.Digits(v, 3)
	}
	return r, true
}

// perArea are the units of a spectrum's sum.
var perArea = map[spectrum.Quantity]string{spectrum.Flux: "W", spectrum.Irradiance: "W/m²", spectrum.Radiance: "W/(m² sr)", spectrum.Intensity: "W/sr", spectrum.Exitance: "W/m²"}

// group gathers the rows of a light.
func (l *Light) group(s *spectrum.Spectrum) {
	q := l.Reading.Raw.Quantity
	if q.IsAbsolute() && !l.Reading.Counts {
		name := map[spectrum.Quantity]string{spectrum.Flux: "luminous flux", spectrum.Irradiance: "illuminance", spectrum.Radiance: "luminance", spectrum.Intensity: "luminous intensity", spectrum.Exitance: "luminous exitance"}[q]
		l.Values["level"] = s.Luminous()
		l.Groups = append(l.Groups, Group{"Level", []Row{
			{Key: "level", Name: name, Value: quantity.Digits(s.Luminous(), 4), Unit: q.LuminousUnit(), Line: "683.002 lm/W times the sum over V(λ)", Source: "CIE 018:2019"},
			{Key: "power", Name: "power in 380 to 780 nm", Value: quantity.Digits(s.Power(), 3), Unit: perArea[q], Line: "sum of the spectrum", Source: "definition"},
		}})
	}
	for _, g := range readKeys {
		out := Group{Title: g.title}
		for _, k := range g.keys {
			if r, ok := l.row(k); ok {
				out.Rows = append(out.Rows, r)
			}
		}
		if g.title == "The receptors of the eye" && l.Lux > 0 {
			out.Rows = append(out.Rows, l.above(s)...)
		}
		if g.title == "Blue light and efficacy" {
			out.Rows = append(out.Rows, l.blue(s)...)
			if sh, err := assay.ShapeOf(s); err == nil {
				out.Rows = append(out.Rows, shapeRows(sh)...)
			}
		}
		if len(out.Rows) > 0 {
			l.Groups = append(l.Groups, out)
		}
	}
}

// above is the body-clock stimulus of a lamp above the line of sight, and what
// the model's branch means.
func (l *Light) above(s *spectrum.Spectrum) []Row {
	st, err := eye.Circadian(s, l.Lux, eye.View{Hours: 1, Field: 0.5})
	if err != nil {
		return nil
	}
	branch, term := "yellow", "off"
	if st.Blue {
		branch, term = "blue", "on"
	}
	m := readMetrics["cs"]
	return []Row{
		{Key: "cs_above", Name: "circadian stimulus, lamp above the line of sight", Symbol: "CS", Value: quantity.Digits(st.CS, 2), Line: "1 h, distribution factor 0.5; the row above is for 1, the lamp in the centre of view", Source: m.Source},
		{Key: "cla_branch", Name: "branch of the circadian light model", Value: branch,
			Line: fmt.Sprintf("its opponent term is %s; at the border the model jumps: the other branch gives %s, %s %% apart; no eye does that", term, quantity.Digits(st.Other, 3), quantity.Digits(100*st.Jump(), 2)), Source: m.Source},
	}
}

// blue is the risk group that follows from the file's quantity.
func (l *Light) blue(s *spectrum.Spectrum) []Row {
	const src = "IEC 62471:2006 (CIE S 009); a calculation aid, no assessment"
	switch q := l.Reading.Raw.Quantity; {
	case l.Reading.Counts:
		return nil
	case q == spectrum.Radiance:
		lb := hazard.BlueRadiance(s)
		return []Row{{Key: "blue_radiance", Name: "blue-light radiance", Unit: "W/(m² sr)", Value: quantity.Digits(lb, 3), Line: "group " + hazard.RadianceGroup(lb).String() + " where the field of the reading was no wider than 100 mrad (exempt), 11 mrad (RG1)", Source: src}}
	case l.Lux > 0:
		eb := l.Values["kbv_mw_lm"] / 1000 * l.Lux
		return []Row{{Key: "blue_small", Name: "blue-light irradiance, source taken as small", Unit: "W/m²", Value: quantity.Digits(eb, 3), Line: "group " + hazard.SmallGroup(eb).String() + " for a source under 11 mrad; a wide face is judged by its radiance, and comes out lower", Source: src}}
	}
	return nil
}

func shapeRows(sh assay.Shape) []Row {
	list := func(fs []spectrum.Feature) string {
		var at []string
		for _, f := range fs[:min(len(fs), 6)] {
			at = append(at, quantity.Decimals(f.NM, 0))
		}
		return strings.Join(at, ", ")
	}
	const src = "package light/assay"
	var out []Row
	if len(sh.Peaks) > 0 {
		out = append(out, Row{Key: "peaks", Name: "peaks", Value: list(sh.Peaks), Unit: "nm", Line: "rising 3 % of the highest point or more over the valleys beside them", Source: src})
	}
	if len(sh.Dips) > 0 {
		out = append(out, Row{Key: "dips", Name: "dips", Value: list(sh.Dips), Unit: "nm", Line: "as deep below the peaks beside them", Source: src})
	}
	var shares []string
	for _, b := range sh.Bands {
		if b.Share >= 0.005 {
			shares = append(shares, fmt.Sprintf("%s %s", b.Name, quantity.Decimals(100*b.Share, 0)))
		}
	}
	out = append(out, Row{Key: "bands", Name: "power by band", Unit: "%", Line: strings.Join(shares, ", ") + "; violet ends at 430 nm, blue 480, cyan 510, green 560, yellow 590, orange 620, red 700", Source: src})
	if sh.Gap > 0 {
		m := assay.GapMetric()
		out = append(out, Row{Key: m.Key, Name: m.Name, Value: quantity.Digits(sh.Gap, 2), Line: m.Line, Source: m.Source})
	}
	return out
}

// say puts in one sentence what the light is.
func (l *Light) say() {
	v := l.Values
	var parts []string
	s := "Coloured light"
	if t, ok := v["cct_k"]; ok {
		tone := "cool"
		switch {
		case t < 3300:
			tone = "warm"
		case t <= 5300:
			tone = "neutral"
		}
		s = fmt.Sprintf("%s white light of %s K", capital(tone), quantity.Digits(t, 4))
		if d := v["duv"]; math.Abs(d) >= 0.003 {
			side := "greenish"
			if d < 0 {
				side = "pinkish"
			}
			s += fmt.Sprintf(", %s (Duv %s)", side, quantity.Decimals(d, 3))
		}
	}
	if ra, ok := v["ra"]; ok {
		parts = append(parts, fmt.Sprintf("Ra %s, R9 %s, Rf %s", quantity.Decimals(ra, 0), quantity.Decimals(v["r9"], 0), quantity.Decimals(v["rf"], 0)))
	}
	if level, ok := v["level"]; ok {
		parts = append(parts, quantity.Digits(level, 4)+" "+l.Reading.Raw.Quantity.LuminousUnit())
	}
	if der, ok := v["der_mel"]; ok {
		text := fmt.Sprintf("lux for lux %s times as melanopic as daylight", quantity.Digits(der, 3))
		if edi, ok := v["edi_mel_lx"]; ok {
			text += fmt.Sprintf(" (%s lx melanopic EDI)", quantity.Digits(edi, 3))
		}
		parts = append(parts, text)
	}
	l.Sentence = s
	if len(parts) > 0 {
		l.Sentence += ": " + strings.Join(parts, "; ")
	}
	l.Sentence += "."
	switch {
	case l.Reading.Counts:
		l.Sentence += " Raw counts: do not rely on colour and rendition."
	case !l.Reading.Raw.Quantity.IsAbsolute() && l.Lux == 0:
		l.Sentence += " Relative readings give ratios only; with lux from a meter (--lux) melanopic EDI, circadian light and the blue-light group follow."
	}
	if len(l.Reading.Saturated) > 0 {
		l.Sentence += " A peak is cut off, so no measure is safe."
	}
}

func capital(s string) string { return strings.ToUpper(s[:1]) + s[1:] }

// Beside sets two lights side by side, a row a measure that both have.
type Beside struct {
	Name, Unit, A, B, Change string
}

// CompareLights tells the differences of two lights, b against a.
func CompareLights(a, b *Light) []Beside {
	var out []Beside
	for _, g := range b.Groups {
		for _, r := range g.Rows {
			x, okA := a.Values[r.Key]
			y, okB := b.Values[r.Key]
			ra, shown := a.row(r.Key)
			if r.Key == "level" && a.Reading.Raw.Quantity == b.Reading.Raw.Quantity {
				ra.Value, shown = quantity.Digits(x, 4), okA
			}
			if !okA || !okB || !shown {
				continue
			}
			c := quantity.Digits(y-x, 2)
			if !strings.HasPrefix(c, "−") && !strings.HasPrefix(c, "-") {
				c = "+" + c
			}
			if y == x {
				c = "same"
			}
			out = append(out, Beside{r.Name, r.Unit, ra.Value, r.Value, c})
		}
	}
	return out
}

// LightShift is the distance of two lights on the u′v′ diagram (CIE 1976).
func LightShift(a, b *Light) float64 {
	return math.Hypot(a.Values["chroma_u_prime"]-b.Values["chroma_u_prime"], a.Values["chroma_v_prime"]-b.Values["chroma_v_prime"])
}
