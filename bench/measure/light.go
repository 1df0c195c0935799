package measure

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// illuminanceKey is the metric that a reading under these conditions is of.
func (c Conditions) illuminanceKey() string {
	switch {
	case c.Facing == Forward:
		return predict.EyeLuxUncut
	case c.Facing == Upwards:
		return HorizontalE
	case math.Abs(c.Angle) > 2*math.Pi/180:
		return OffAxisE
	}
	return predict.MeterLux
}

// fallOff is the exponent by which an error of the distance enters, relative
// to relative: from the size of the face, or 2 when that is not known.
func (c Conditions) fallOff() float64 {
	if c.FaceLength > 0 && c.FaceWidth > 0 && c.Distance > 0 {
		return Exponent(c.FaceLength, c.FaceWidth, c.Distance)
	}
	return 2
}

// spread says how far off the meter's axis the light comes in, for the name
// of the cosine error: faces that fill a like angle share it.
func (c Conditions) spread() string {
	if c.FaceLength > 0 && c.FaceWidth > 0 && c.Distance > 0 {
		a := math.Atan(math.Hypot(c.FaceLength, c.FaceWidth) / 2 / c.Distance)
		return fmt.Sprintf("light from up to %.0f°", 10*math.Ceil(a*18/math.Pi))
	}
	return "light from a face of unknown size"
}

// common are the contributions that any light reading x of an instrument has
// under given conditions; x in lx. mismatchHalf is relative. spectral says that
// the instrument resolves wavelengths, which has no mismatch.
func common(i Instrument, c Conditions, subject Subject, run string, x, mismatchHalf float64) []Contributor {
	parts := []Contributor{
		Stated(i.Source("calibration"), fmt.Sprintf("± %.3g %% (k = %g)", 100*i.Calibration.U, i.Calibration.K), i.Calibration.U, i.Calibration.K, x),
	}
	rect := func(source, what string, half float64) {
		if half > 0 {
			parts = append(parts, Rectangular(source, what, half, x))
		}
	}
	if mismatchHalf > 0 {
		light := c.Light
		if light == "" {
			light = subject.Lamp
		}
		rect(i.Source("spectral mismatch for "+light), fmt.Sprintf("± %.2g %%", 100*mismatchHalf), mismatchHalf)
	}
	rect(i.Source("cosine error, "+c.spread()), fmt.Sprintf("± %.2g %%", 100*i.Cosine), i.Cosine)
	rect(i.Source("linearity"), fmt.Sprintf("± %.2g %%", 100*i.Linearity), i.Linearity)
	rect(i.Source("drift since calibration"), fmt.Sprintf("± %.2g %%", 100*i.Drift), i.Drift)
	if c.Distance > 0 {
		n := c.fallOff()
		parts = append(parts, Rectangular(run+" distance", fmt.Sprintf("± %.1f mm at %.0f mm, light falls as d to the −%.2f", 1e3*c.DistanceHalf, 1e3*c.Distance, n), c.DistanceHalf, n*x/c.Distance))
	}
	rect(run+" tilt of the meter", fmt.Sprintf("± %.1f°", c.TiltHalf*180/math.Pi), 1-math.Cos(c.TiltHalf))
	return parts
}

// distanceFindings tell what is wrong with the way a distance was noted.
func distanceFindings(c Conditions) []finding.Finding {
	var fs []finding.Finding
	if c.Distance == 0 {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "measure.no_distance",
			What:   "no distance was noted: the lux stand for nothing that can be compared",
			Cause:  "a face half as far away is up to four times as bright",
			Mend:   "note the distance from the face to the meter's reference plane, to 2 mm",
			Source: "definition of illuminance",
		})
	} else if c.From != FromFace {
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "measure.distance_from",
			What:   fmt.Sprintf("the distance of %.0f mm was taken from the %s, not from the face", 1e3*c.Distance, c.From),
			Cause:  "rim, back and face of a lamp lie centimetres apart",
			Mend:   "take it from the outer side of the sheet",
			Source: "common practice, no source",
		})
	}
	return fs
}

func (r *Record) evaluateLux(run Run, i Instrument) error {
	log, c := run.Lux, r.Conditions
	if log == nil || len(log.Lux) == 0 {
		return bad("lux", "no readings", "one reading or more", "")
	}
	for k, x := range log.Lux {
		if strange(x) || x < 0 {
			return bad(fmt.Sprintf("lux[%d]", k), fmt.Sprintf("%g", x), "0 or more", "")
		}
	}
	if log.Times != nil && len(log.Times) != len(log.Lux) {
		return bad("times_s", fmt.Sprintf("%d for %d readings", len(log.Times), len(log.Lux)), "one time for each reading", "")
	}
	key := c.illuminanceKey()
	x, scatter, how, err := r.level(log.Times, log.Lux, log.Power, run, "lx")
	if err != nil {
		return err
	}
	bg, fs, err := Dark(x, log.Before, log.After)
	if err != nil {
		return err
	}
	if c.Room != DarkRoom || bg.Read {
		r.Findings = append(r.Findings, fs...)
	}
	net := x - bg.Level
	f, half, corrected, err := i.correction(c.Spectrum)
	if err != nil {
		return err
	}
	net *= f
	if corrected {
		how += fmt.Sprintf(", times F = %.4f for the lamp's spectrum", f)
	}
	if bg.Read {
		how += fmt.Sprintf(", background of %.3g lx taken off", bg.Level)
	}
	if math.Abs(net) < 1e-12 {
		net = 0
	}
	b := Budget{X: net, Parts: common(i, c, run.Subject, run.ID, net, half)}
	for k := range scatter {
		scatter[k].Slope *= f
	}
	b.Parts = append(b.Parts, scatter...)
	if bg.Half > 0 {
		b.Parts = append(b.Parts, Rectangular(run.ID+" background", fmt.Sprintf("± %.3g lx", bg.Half), bg.Half, -f))
	}
	if i.Resolution > 0 {
		b.Parts = append(b.Parts, Rectangular(run.ID+" resolution", fmt.Sprintf("last digit %.3g lx", i.Resolution), i.Resolution/2, f))
	}
	if i.Offset > 0 {
		b.Parts = append(b.Parts, Rectangular(i.Source("zero"), fmt.Sprintf("± %.3g lx", i.Offset), i.Offset, f))
	}
	m := b.measured(key, how, run.ID)
	m.Distance = c.Distance
	if over(log.OverRange, i.High, log.Lux) {
		m.Bound = AtLeast
		m.Value = quantity.Exact(net)
		m.Freedom = nil
		m.How += "; over range: a lower bound"
		r.Findings = append(r.Findings, overRange(i))
	}
	r.Budget = &b
	r.Values = append(r.Values, m)
	r.Findings = append(r.Findings, distanceFindings(c)...)
	if m.Bound == Estimate {
		r.warmValues(b, run, "lx")
		r.faceValues(m)
	}
	return nil
}

func over(flag bool, high float64, x []float64) bool {
	if flag {
		return true
	}
	for _, v := range x {
		if high > 0 && v >= high {
			return true
		}
	}
	return false
}

func overRange(i Instrument) finding.Finding {
	return finding.Finding{
		Severity: finding.Warn, Key: "measure.over_range",
		What:   fmt.Sprintf("%s was over its range: the reading is a lower bound, not an estimate", i.ID),
		Cause:  "more light than the meter can read",
		Mend:   "switch the range, or read farther away and say at what distance",
		Source: "definition",
	}
}

// level is the number that a log or repeats of a light reading give, with the
// contribution of their scatter: the mean of the settled part of a log, else
// of the last tenth; the mean of repeats.
func (r *Record) level(t, x, power []float64, run Run, unit string) (level float64, scatter []Contributor, how string, err error) {
	source := run.ID + " scatter"
	switch {
	case len(x) == 1:
		// What a single reading scatters by is taken from experience.
		return x[0], []Contributor{{Source: source, What: "one reading; 0.3 % assumed from experience", U: 0.003 * math.Abs(x[0]), Slope: 1}}, "one reading", nil
	case t == nil:
		m := mean(x)
		s := 0.0
		for _, v := range x {
			s += sq(v - m)
		}
		s = math.Sqrt(s / float64(len(x)-1))
		return m, []Contributor{Repeated(source, fmt.Sprintf("%d readings", len(x)), s, len(x), 1)}, fmt.Sprintf("mean of %d readings", len(x)), nil
	}
	on := r.Conditions.WarmUp
	tt := make([]float64, len(t))
	for k := range t {
		tt[k] = t[k] + math.Max(0, on)
	}
	rule := Rules()[0]
	st, err := FindStable(rule, tt, x, power)
	if err != nil {
		return 0, nil, "", err
	}
	if on < 0 {
		// It is not known when the lamp was switched on.
		st.HasStart = false
	}
	r.Stability = &st
	r.Findings = append(r.Findings, st.Findings...)
	from := st.Settled[0]
	how = "mean of the settled part of the log (" + st.Why + ")"
	if !st.Stable {
		from = min(len(x)-2, len(x)-max(2, len(x)/10))
		how = "mean of the last tenth of a log that never settled (" + st.Why + ")"
	}
	a, err := AverageOf(tt[from:], x[from:])
	if err != nil {
		return 0, nil, "", err
	}
	for k := range a.Outliers {
		a.Outliers[k] += from
	}
	r.Average = &a
	for _, s := range a.Says(unit) {
		r.Assumed = append(r.Assumed, s)
	}
	if len(a.Outliers) > 0 {
		r.Findings = append(r.Findings, finding.Finding{
			Severity: finding.Note, Key: "measure.outliers",
			What:   a.Says(unit)[len(a.Says(unit))-1],
			Cause:  "someone passed, a cable was touched, or the meter slipped",
			Mend:   "look at them in the log; repeat the run if they matter",
			Source: "Iglewicz & Hoaglin 1993, How to Detect and Handle Outliers, ASQC",
		})
	}
	scatter = []Contributor{{Source: source, What: fmt.Sprintf("%d readings worth %.0f independent ones", a.N, a.Effective), U: a.U, Slope: 1, Freedom: a.Freedom}}
	if drift := math.Abs(a.Slope) * a.Span / 2; drift > 0 {
		scatter = append(scatter, Rectangular(run.ID+" drift", "half the drift over the part averaged", drift, 1))
	}
	return a.Mean, scatter, how, nil
}

// warmValues adds what a log tells about warming up. b is the budget of the
// settled level: calibration and what else is common cancels in the drop.
func (r *Record) warmValues(b Budget, run Run, unit string) {
	st := r.Stability
	if st == nil {
		return
	}
	if st.Stable {
		r.Values = append(r.Values, Measured{Key: SettleTime, Value: quantity.Measured(st.From/60, 0.5, run.ID+" time steps of the log"), How: st.Why, Run: run.ID})
	}
	if !st.HasStart || !(st.Initial > 0) {
		return
	}
	if unit == "lx" && r.Conditions.illuminanceKey() == predict.MeterLux && b.X > 0 && st.Level > 0 {
		v := b.Value().Scale(st.Initial / st.Level)
		r.Values = append(r.Values, Measured{Key: InitialLux, Value: v, Distance: r.Conditions.Distance, Freedom: b.freedom(), How: "median of the first minute", Run: run.ID})
	}
	u := 0.3
	if r.Average != nil && r.Average.Mean > 0 {
		u = 100 * math.Hypot(r.Average.SD, r.Average.U) / r.Average.Mean
	}
	m := Measured{Key: WarmDrop, Value: quantity.Measured(100*st.Drop, math.Max(u, 0.02), run.ID+" scatter of the log"), How: "first minute against the settled level", Run: run.ID}
	if !st.Stable {
		m.Bound = AtLeast
		m.Value = quantity.Exact(m.Value.X)
		m.How = "first minute against the end of a log that never settled"
	}
	r.Values = append(r.Values, m)
}

// faceValues adds the luminance and flux that one reading on the axis of a
// face of known size implies.
func (r *Record) faceValues(m Measured) {
	c := r.Conditions
	if m.Key != predict.MeterLux || !(c.FaceLength > 0 && c.FaceWidth > 0 && c.Distance > 0) || c.From != FromFace {
		return
	}
	q := optics.OnAxis(1, c.FaceLength, c.FaceWidth, c.Distance)
	r.addFace(m.Value.Scale(1/q), m.Freedom, fmt.Sprintf("from the illuminance at %.0f mm as that of an even face", 1e3*c.Distance), m.Run)
}

// The ways in which an even, Lambertian face stands for a real one (engineering
// estimates): its mean differs from the effective luminance by 3 %, its
// flux from π·L·A by 5 % more.
const (
	evenHalf    = 0.03
	lambertHalf = 0.05
)

func (r *Record) addFace(l quantity.Value, freedom map[string]float64, how, run string) {
	even := Rectangular("", "", evenHalf, l.X)
	mean := quantity.Combine(l.X, quantity.Part{Value: l, Slope: 1}, quantity.Part{Value: quantity.Measured(0, even.U, "evenness of the face of "+r.Subject.Lamp), Slope: even.Slope})
	area := math.Pi * r.Conditions.FaceLength * r.Conditions.FaceWidth
	lambert := Rectangular("", "", lambertHalf, area*l.X)
	flux := quantity.Combine(area*l.X, quantity.Part{Value: mean, Slope: area}, quantity.Part{Value: quantity.Measured(0, lambert.U, "spread of the light of "+r.Subject.Lamp), Slope: lambert.Slope})
	r.Values = append(r.Values,
		Measured{Key: predict.FaceMean, Value: mean, Freedom: freedom, How: how, Run: run},
		Measured{Key: predict.FluxOut, Value: flux, Freedom: freedom, How: how + ", spread as a matt face spreads it", Run: run})
}

func (r *Record) evaluateDistances(run Run, i Instrument) error {
	c := r.Conditions
	reads := append([]AtDistance(nil), run.Distances...)
	nearest := math.Inf(1)
	for k := range reads {
		if i.High > 0 && reads[k].Lux >= i.High {
			reads[k].OverRange = true
		}
		nearest = math.Min(nearest, reads[k].Distance)
	}
	f, half, corrected, err := i.correction(c.Spectrum)
	if err != nil {
		return err
	}
	for k := range reads {
		reads[k].Lux *= f
		reads[k].Dark *= f
	}
	fit, err := FitDistances(c.FaceLength, c.FaceWidth, reads, FitOptions{Resolution: i.Resolution, OffsetU: c.DistanceHalf / math.Sqrt(3)})
	if err != nil {
		return err
	}
	r.Fit = &fit
	r.Findings = append(r.Findings, fit.Findings...)
	lo, hi := fit.Range()
	use := c.Distance
	if use == 0 {
		use = math.Sqrt(lo * hi)
	}
	v, err := fit.Illuminance(use, run.ID)
	if err != nil {
		return err
	}
	c.Distance = use
	r.Conditions.Distance = use
	how := fmt.Sprintf("finite-source law through %d distances from %.0f to %.0f mm", len(fit.At), 1e3*lo, 1e3*hi)
	if corrected {
		how += fmt.Sprintf(", times F = %.4f for the lamp's spectrum", f)
	}
	// The distance's error is in the fit already.
	noDistance := c
	noDistance.Distance = 0
	scale := Budget{X: 1, Parts: common(i, noDistance, run.Subject, run.ID, 1, half)}
	for k, p := range scale.Parts {
		if p.Source == i.Source("cosine error, "+noDistance.spread()) {
			scale.Parts[k].Source = i.Source("cosine error, " + c.spread())
		}
	}
	e := v.Mul(scale.Value())
	m := Measured{Key: predict.MeterLux, Value: e, Distance: use, How: how, Run: run.ID}
	r.Values = append(r.Values, m)
	b := Budget{X: e.X, Parts: slices.Clone(scale.Parts)}
	for k := range b.Parts {
		b.Parts[k].Slope *= e.X
	}
	for _, t := range v.Terms {
		b.Parts = append(b.Parts, Contributor{Source: t.Source, What: "fit of the law", U: math.Abs(t.U), Slope: math.Copysign(1, t.U)})
	}
	r.Budget = &b
	r.Values = append(r.Values, Measured{Key: FallOff, Value: quantity.Exact(Exponent(c.FaceLength, c.FaceWidth, use+fit.Offset)), How: fmt.Sprintf("of the law at %.0f mm", 1e3*use), Run: run.ID, Distance: use})
	r.addFace(fit.Mean(run.ID).Mul(scale.Value()), nil, how, run.ID)
	r.Findings = append(r.Findings, distanceFindings(c)...)
	return nil
}
