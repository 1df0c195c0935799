package measure

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnsmith/lamp/predict"
	"dawnsmith/light/assay"
	"dawnsmith/light/eye"
	"dawnsmith/light/spectrum"
	"dawnsmith/quantity"
)

// levelled are the measures of a light that need its level. Read facing the
// lamp they are not those at the eye, and carry keys of their own.
func placed(key string, f Facing) (string, bool) {
	level := strings.HasPrefix(key, "edi_") || key == "cla" || key == "cs"
	if !level || f == Forward {
		return key, true
	}
	switch key {
	case "edi_mel_lx":
		return MeterEDI, true
	case "cla":
		return MeterCLA, true
	case "cs":
		return MeterCS, true
	}
	return "", false
}

// numbers are all measures of a spectrum; absolute spectra have a level.
func numbers(s *spectrum.Spectrum, lux float64) (map[string]float64, error) {
	clipped := *s
	for i := range clipped {
		clipped[i] = math.Max(0, clipped[i])
	}
	var a assay.Assay
	if err := assay.Into(&a, &clipped, lux, eye.DeskLamp); err != nil {
		return nil, err
	}
	return a.Values(), nil
}

// move is one error of a spectrometer as a change of the spectrum and the
// level that it gives.
type move struct {
	source, what string
	by           func(s *spectrum.Spectrum, lux, sign float64) (spectrum.Spectrum, float64)
	oneSided     float64 // 0: both ways, one standard uncertainty each; else u is the one-sided change times this
}

func (r *Record) evaluateSpectra(run Run, i Instrument) error {
	log, c := run.Spectra, r.Conditions
	if log == nil || len(log.Spectra) == 0 {
		return bad("spectra", "none", "one or more", "")
	}
	if log.Quantity.IsMaterial() {
		return bad("spectra.quantity", log.Quantity, "that of a light", "a sheet's or lining's curve belongs to the part")
	}
	if log.Times != nil && len(log.Times) != len(log.Spectra) {
		return bad("spectra.times_s", fmt.Sprintf("%d for %d spectra", len(log.Times), len(log.Spectra)), "one time for each", "")
	}
	absolute := log.Quantity == spectrum.Irradiance
	// Background per wavelength, before any weighting.
	nets := make([]spectrum.Spectrum, len(log.Spectra))
	var half spectrum.Spectrum
	for k := range log.Spectra {
		for j, v := range log.Spectra[k] {
			if strange(v) {
				return bad(fmt.Sprintf("spectra[%d]", k), fmt.Sprintf("%g at %g nm", v, spectrum.Wavelength(j)), "ordinary numbers", "mark what was not read as a gap")
			}
		}
		net, h, fs := SubtractSpectrum(&log.Spectra[k], log.Before, log.After)
		nets[k], half = net, h
		if k == len(log.Spectra)-1 && (c.Room != DarkRoom || log.Before != nil || log.After != nil) && absolute {
			r.Findings = append(r.Findings, fs...)
		}
	}
	levels := make([]float64, len(nets))
	for k := range nets {
		levels[k] = nets[k].Luminous()
		if levels[k] <= 0 {
			return bad(fmt.Sprintf("spectra[%d]", k), "dark once the background is off", "a light", "check which file is the background")
		}
	}
	level, scatter, how, err := r.level(log.Times, levels, nil, run, log.Quantity.LuminousUnit())
	if err != nil {
		return err
	}
	from, to := 0, len(nets)
	if log.Times != nil && r.Stability != nil {
		from = r.Stability.Settled[0]
		if !r.Stability.Stable {
			from = min(len(nets)-2, len(nets)-max(2, len(nets)/10))
		}
	}
	used := nets[from:to]
	var sum spectrum.Spectrum
	for k := range used {
		for j := range sum {
			sum[j] += used[k][j] / float64(len(used))
		}
	}
	r.Spectrum, r.Quantity = &sum, log.Quantity
	lux := 0.0
	switch {
	case absolute:
		lux = level
	case log.Lux > 0:
		lux = log.Lux
	}
	base, err := numbers(&sum, lux)
	if err != nil {
		return fmt.Errorf("spectrum of run %s: %w", run.ID, err)
	}
	moves := spectralMoves(i, c, run, absolute, half, log.Before != nil && log.After != nil)
	type way struct {
		u  map[string]float64
		mv move
	}
	var ways []way
	for _, m := range moves {
		u := map[string]float64{}
		sUp, lUp := m.by(&sum, lux, +1)
		up, err := numbers(&sUp, lUp)
		if err != nil {
			continue // moved out of what can be measured; the number itself stands
		}
		if m.oneSided > 0 {
			for key, x := range base {
				if y, ok := up[key]; ok {
					u[key] = (y - x) * m.oneSided
				}
			}
		} else {
			sDown, lDown := m.by(&sum, lux, -1)
			down, err := numbers(&sDown, lDown)
			if err != nil {
				continue
			}
			for key := range base {
				y, ok1 := up[key]
				z, ok2 := down[key]
				if ok1 && ok2 {
					u[key] = (y - z) / 2
				}
			}
		}
		ways = append(ways, way{u, m})
	}
	repeat := r.spectralScatter(used, log.Times != nil)
	keys := make([]string, 0, len(base))
	for _, m := range assay.Metrics() {
		if _, ok := base[m.Key]; ok {
			keys = append(keys, m.Key)
		}
	}
	for _, key := range keys {
		name, ok := placed(key, c.Facing)
		if !ok {
			continue
		}
		b := Budget{X: base[key]}
		for _, w := range ways {
			if t := w.u[key]; t != 0 {
				b.Parts = append(b.Parts, Contributor{Source: w.mv.source, What: w.mv.what, U: math.Abs(t), Slope: math.Copysign(1, t)})
			}
		}
		if s, ok := repeat[key]; ok && s.u > 0 {
			b.Parts = append(b.Parts, Contributor{Source: run.ID + " scatter of " + name, What: fmt.Sprintf("%d spectra", len(used)), U: s.u, Slope: 1, Freedom: s.freedom})
		}
		m := b.measured(name, "from the spectrum, "+how, run.ID)
		if name != key || c.Facing == Forward {
			m.Distance = c.Distance
		}
		if over(log.OverRange, 0, nil) {
			continue // a clipped peak bends every measure of shape
		}
		r.Values = append(r.Values, m)
	}
	if log.OverRange {
		r.Findings = append(r.Findings, overRange(i))
	}
	if absolute {
		r.spectralLevel(run, i, c, level, scatter, how, half, log)
	}
	if c.Facing == Forward && absolute && !log.OverRange {
		if v, ok := r.Value("edi_mel_lx"); ok {
			v.Key = predict.EyeMelanopic
			v.How += ", eye-level meter without a brow"
			r.Values = append(r.Values, v)
		}
	}
	return nil
}

func spectralMoves(i Instrument, c Conditions, run Run, absolute bool, half spectrum.Spectrum, hasDark bool) []move {
	var ms []move
	if i.WavelengthHalf > 0 {
		u := i.WavelengthHalf / math.Sqrt(3)
		ms = append(ms, move{source: i.Source("wavelength scale"), what: fmt.Sprintf("± %g nm", i.WavelengthHalf), by: func(s *spectrum.Spectrum, lux, sign float64) (spectrum.Spectrum, float64) {
			t := s.Shift(sign * u)
			if absolute && s.Luminous() > 0 {
				lux *= t.Luminous() / s.Luminous()
			}
			return t, lux
		}})
	}
	if i.Stray > 0 {
		// Between nothing and Stray: GUM 4.3.7, as a one-sided rectangle.
		ms = append(ms, move{source: i.Source("stray light"), what: fmt.Sprintf("0 to %.2g %% of the peak", 100*i.Stray), oneSided: 1 / math.Sqrt(12), by: func(s *spectrum.Spectrum, lux, _ float64) (spectrum.Spectrum, float64) {
			t := s.Stray(i.Stray)
			if absolute && s.Luminous() > 0 {
				lux *= t.Luminous() / s.Luminous()
			}
			return t, lux
		}})
	}
	if hasDark && half != (spectrum.Spectrum{}) {
		ms = append(ms, move{source: run.ID + " background", what: "half its change between before and after, per wavelength", oneSided: 1 / math.Sqrt(3), by: func(s *spectrum.Spectrum, lux, _ float64) (spectrum.Spectrum, float64) {
			t := *s
			for j := range t {
				t[j] += half[j]
			}
			if absolute && s.Luminous() > 0 {
				lux *= t.Luminous() / s.Luminous()
			}
			return t, lux
		}})
	}
	// What is common to the level moves every measure that needs one. A
	// relative spectrum's level comes from elsewhere and has the same errors.
	noMismatch := 0.0
	for _, p := range common(i, c, run.Subject, run.ID, 1, noMismatch) {
		ms = append(ms, move{source: p.Source, what: p.What, by: func(s *spectrum.Spectrum, lux, sign float64) (spectrum.Spectrum, float64) {
			return *s, lux * (1 + sign*p.Term())
		}})
	}
	return ms
}

// scattered is the standard uncertainty of a mean from repeats.
type scattered struct{ u, freedom float64 }

// spectralScatter takes every measure of each of the spectra averaged, up to
// 60 of them, and gives the uncertainty of the mean by key.
func (r *Record) spectralScatter(used []spectrum.Spectrum, timed bool) map[string]scattered {
	out := map[string]scattered{}
	if len(used) < 2 {
		return out
	}
	step := max(1, len(used)/60)
	series := map[string][]float64{}
	n := 0
	for k := 0; k < len(used); k += step {
		v, err := numbers(&used[k], math.Max(0, used[k].Luminous()))
		if err != nil {
			continue
		}
		n++
		for key, x := range v {
			series[key] = append(series[key], x)
		}
	}
	for key, x := range series {
		if len(x) < 2 || len(x) < n {
			continue
		}
		if timed && len(x) >= 4 {
			if a, err := AverageOf(nil, x); err == nil {
				out[key] = scattered{a.U, a.Freedom}
			}
			continue
		}
		m, s := mean(x), 0.0
		for _, v := range x {
			s += sq(v - m)
		}
		s = math.Sqrt(s / float64(len(x)-1))
		out[key] = scattered{s / math.Sqrt(float64(len(x))), float64(len(x) - 1)}
	}
	return out
}

// spectralLevel adds the illuminance of an absolute spectrum.
func (r *Record) spectralLevel(run Run, i Instrument, c Conditions, level float64, scatter []Contributor, how string, half spectrum.Spectrum, log *SpectrumLog) {
	b := Budget{X: level, Parts: common(i, c, run.Subject, run.ID, level, 0)}
	b.Parts = append(b.Parts, scatter...)
	add := func(source, what string, u float64) {
		if u != 0 {
			b.Parts = append(b.Parts, Contributor{Source: source, What: what, U: math.Abs(u), Slope: math.Copysign(1, u)})
		}
	}
	s := r.Spectrum
	if i.WavelengthHalf > 0 {
		u := i.WavelengthHalf / math.Sqrt(3)
		up, down := s.Shift(u), s.Shift(-u)
		add(i.Source("wavelength scale"), fmt.Sprintf("± %g nm", i.WavelengthHalf), (up.Luminous()-down.Luminous())/2)
	}
	if i.Stray > 0 {
		t := s.Stray(i.Stray)
		add(i.Source("stray light"), fmt.Sprintf("0 to %.2g %% of the peak", 100*i.Stray), (t.Luminous()-s.Luminous())/math.Sqrt(12))
	}
	add(run.ID+" background", "half its change between before and after", half.Luminous()/math.Sqrt(3))
	m := b.measured(c.illuminanceKey(), "683 lm/W times the spectrum weighted by V(λ), "+how, run.ID)
	m.Distance = c.Distance
	if log.OverRange {
		m.Bound, m.Value, m.Freedom = AtLeast, quantity.Exact(level), nil
		m.How += "; over range: a lower bound"
	}
	r.Budget = &b
	r.Values = slices.Insert(r.Values, 0, m)
	r.Findings = append(r.Findings, distanceFindings(c)...)
	if m.Bound == Estimate {
		r.warmValues(b, run, "lx")
		r.faceValues(m)
	}
}
