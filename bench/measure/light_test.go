package measure

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"dawnsmith/finding"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/spectrum"
)

// meter is the hobby meter of the budget below; what the budget does not have
// is set next to nothing.
func meter(id string) Instrument {
	return Instrument{ID: id, Kind: LuxMeter, Calibration: Calibration{Date: "2026-03-02", U: 0.04, K: 2}, Mismatch: 0.06, Cosine: 0.02, Linearity: 1e-9, Drift: 1e-9, Resolution: 10, High: 200000}
}

// sideFor is the side of a square face whose light falls as d^−n at d.
func sideFor(n, d float64) float64 {
	lo, hi := 0.01, 5.0
	for range 80 {
		mid := (lo + hi) / 2
		if Exponent(mid, mid, d) > n {
			lo = mid
		} else {
			hi = mid
		}
	}
	return lo
}

func faceRun(id, lamp string, i Instrument, lux float64) Run {
	side := sideFor(1.6, 0.5)
	before, after := 20.0, 40.0
	return Run{ID: id, Kind: LuxRun, Subject: Subject{Lamp: lamp}, Instrument: i,
		Conditions: Conditions{Distance: 0.5, From: FromFace, Facing: AtLamp, Room: DimRoom, WarmUp: 3600, FaceLength: side, FaceWidth: side, Date: "2026-11-25"},
		Lux:        &LuxLog{Lux: []float64{lux + 30}, Before: &before, After: &after}}
}

func evaluate(t *testing.T, r Run) Record {
	t.Helper()
	rec, err := r.Evaluate()
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// A hobby budget worked by hand, in % of 10 000 lx: calibration 4 % (k = 2)
// 2.00; mismatch ± 3 % 1.73; cosine ± 2 % 1.15; distance ± 3 mm of 500 mm with
// n = 1.6, 0.55; tilt ± 3° 0.08; background ± 10 lx 0.06; repeat 0.30;
// resolution 10 lx 0.03. Root sum of squares 2.96, U 5.9 (k = 2). Two lamps of
// other spectra with the same meter: calibration and cosine cancel, and the
// ratio's u is √2·√(1.73² + 0.55² + 0.08² + 0.06² + 0.30² + 0.03²) = 2.6.
func TestHobbyBudget(t *testing.T) {
	a := evaluate(t, faceRun("run-1", "lamp-a", meter("lx-1"), 10000))
	m, ok := a.Value(predict.MeterLux)
	if !ok {
		t.Fatal("no illuminance")
	}
	near(t, "level", m.Value.X, 10000, 1e-6)
	near(t, "u in %", 100*m.Value.U()/m.Value.X, 2.96, 0.01)
	for what, want := range map[string]float64{
		"meter lx-1 calibration 2026-03-02":                        2.00,
		"meter lx-1 spectral mismatch for lamp-a 2026-03-02":       1.73,
		"meter lx-1 cosine error, light from up to 40° 2026-03-02": 1.15,
		"run-1 distance": 0.55, "run-1 tilt of the meter": 0.08, "run-1 background": 0.06, "run-1 scatter": 0.30, "run-1 resolution": 0.03,
	} {
		found := false
		for _, term := range m.Value.Terms {
			if term.Source == what {
				found = true
				near(t, what, 100*math.Abs(term.U)/m.Value.X, want, 0.006)
			}
		}
		if !found {
			t.Errorf("no term %q among %v", what, m.Value.Terms)
		}
	}
	_, u := m.Expanded(0.9545)
	near(t, "U in %", 100*u/m.Value.X, 5.9, 0.05)

	b := evaluate(t, faceRun("run-2", "lamp-b", meter("lx-1"), 10000))
	n, _ := b.Value(predict.MeterLux)
	near(t, "ratio's u in %", 100*m.Value.Div(n.Value).U(), 2.6, 0.05)
	// Another meter shares nothing.
	c := evaluate(t, faceRun("run-3", "lamp-b", meter("lx-2"), 10000))
	o, _ := c.Value(predict.MeterLux)
	near(t, "ratio's u with two meters in %", 100*m.Value.Div(o.Value).U(), 2.96*math.Sqrt2, 0.02)
	// Lamps of one kind of light share the mismatch too.
	like := func(id, lamp string) Measured {
		r := faceRun(id, lamp, meter("lx-1"), 10000)
		r.Conditions.Light = "violet 5000 K"
		m, _ := evaluate(t, r).Value(predict.MeterLux)
		return m
	}
	if u := 100 * like("run-4", "lamp-a").Value.Div(like("run-5", "lamp-b").Value).U(); u > 1 {
		t.Errorf("lamps of one light and one meter differ by %.2f %%, want under 1", u)
	}
}

func TestOverRangeIsALowerBound(t *testing.T) {
	i := meter("lx-1")
	i.High = 20000
	for _, r := range []Run{faceRun("r", "a", i, 20500), func() Run { r := faceRun("r", "a", i, 900); r.Lux.OverRange = true; return r }()} {
		rec := evaluate(t, r)
		m, _ := rec.Value(predict.MeterLux)
		if m.Bound != AtLeast || m.Value.U() != 0 || !finding.Has(rec.Findings, "measure.over_range") {
			t.Errorf("%+v: not told as a lower bound", m)
		}
		if _, ok := rec.Value(predict.FaceMean); ok {
			t.Error("a luminance was made of a lower bound")
		}
	}
	if finding.Has(evaluate(t, faceRun("r", "a", i, 19000)).Findings, "measure.over_range") {
		t.Error("a reading in range is called over range")
	}
}

func TestBackground(t *testing.T) {
	p := func(x float64) *float64 { return &x }
	b, fs, err := Dark(10000, p(100), p(190))
	if err != nil || b.Level != 145 || b.Half != 45 || len(fs) != 0 {
		t.Errorf("%+v %v %v: 90 of 10 000 lx is under 1 %%", b, fs, err)
	}
	if _, fs, _ = Dark(10000, p(100), p(205)); !finding.Has(fs, "measure.background_changed") {
		t.Error("105 of 9 850 lx is over 1 %, not told")
	}
	if _, fs, _ = Dark(10000, nil, nil); !finding.Has(fs, "measure.no_background") {
		t.Error("missing background not told")
	}
	if _, _, err = Dark(1, p(math.NaN()), nil); err == nil {
		t.Error("NaN taken")
	}
	// Spectra: per wavelength, negatives kept.
	var s, before, after spectrum.Spectrum
	for i := range s {
		s[i], before[i], after[i] = 1, 0.1, 0.1
	}
	s[10] = 0.05
	net, _, fs := SubtractSpectrum(&s, &before, &after)
	if math.Abs(net[0]-0.9) > 1e-15 || math.Abs(net[10]+0.05) > 1e-15 || len(fs) != 0 {
		t.Errorf("%g %g %v", net[0], net[10], fs)
	}
	for i := 60; i < 80; i++ {
		after[i] += 0.5 // daylight through a blind: 10 of 360 units
	}
	if _, _, fs = SubtractSpectrum(&s, &before, &after); !finding.Has(fs, "measure.background_changed") {
		t.Error("a changed band not told")
	}
}

// F is 1 for a true V(λ) head and for the calibration light; a head that sees
// only through a straight slope has the F worked out by hand from two
// monochromatic lights.
func TestMismatch(t *testing.T) {
	a, _ := spectrum.Illuminant("A")
	led, _ := spectrum.Illuminant("LED-B3")
	v := spectrum.Photopic()
	f, err := MismatchFactor(&led, &v, &a)
	near(t, "F of V(λ)", f, 1, 1e-12)
	if err != nil {
		t.Fatal(err)
	}
	slope := spectrum.Func(func(nm float64) float64 { return v.At(nm) * (1 + (nm-555)/500) })
	f, _ = MismatchFactor(&a, &slope, &a)
	near(t, "F of the calibration light", f, 1, 1e-12)
	// Lines at 500 and 600 nm: Σ S V/Σ S s = V/s of the line.
	line := func(nm float64) spectrum.Spectrum {
		return spectrum.Func(func(x float64) float64 {
			if x == nm {
				return 1
			}
			return 0
		})
	}
	l500, l600 := line(500), line(600)
	f, _ = MismatchFactor(&l500, &slope, &l600)
	near(t, "F of two lines", f, (1+45.0/500)/(1-55.0/500), 1e-12)
	if f1, _ := F1Prime(&v); f1 > 1e-12 {
		t.Errorf("f1′ of V(λ) is %g", f1)
	}
	if f1, _ := F1Prime(&slope); f1 < 0.02 || f1 > 0.2 {
		t.Errorf("f1′ of a 0.2 %%/nm slope is %g", f1)
	}
	// A known head and spectrum are corrected and leave less doubt.
	i := meter("lx-1")
	r := faceRun("r", "a", i, 10000)
	plain, _ := evaluate(t, r).Value(predict.MeterLux)
	r.Instrument.Responsivity, r.Conditions.Spectrum = &slope, &led
	f, _ = MismatchFactor(&led, &slope, &a)
	m, _ := evaluate(t, r).Value(predict.MeterLux)
	near(t, "corrected reading", m.Value.X, 10000*f, 1e-6)
	if m.Value.U() >= plain.Value.U() {
		t.Errorf("correction leaves u %g, uncorrected %g", m.Value.U(), plain.Value.U())
	}
	near(t, "F", f, 1, 0.1)
}

// A synthetic face read at four distances with a tape that starts 4 mm off.
func TestFitDistances(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := rapid.Float64Range(0.1, 1.2).Draw(t, "a"), rapid.Float64Range(0.05, 0.6).Draw(t, "b")
		l := rapid.Float64Range(500, 50000).Draw(t, "L")
		delta := rapid.Float64Range(-0.002, 0.002).Draw(t, "δ")
		var at []AtDistance
		for _, d := range []float64{0.25, 0.4, 0.6, 0.9} {
			at = append(at, AtDistance{Distance: d, Lux: optics.OnAxis(l, a, b, d+delta)})
		}
		// With next to no scatter the law is found again whatever the prior.
		f, err := FitDistances(a, b, at, FitOptions{Repeat: 1e-7, Ruler: 1e-8})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(f.Luminance/l-1) > 1e-4 || math.Abs(f.Offset-delta) > 1e-5 {
			t.Fatalf("found %g cd/m² and %g m, want %g and %g", f.Luminance, f.Offset, l, delta)
		}
		v, err := f.Illuminance(0.5, "r")
		if err != nil || math.Abs(v.X/optics.OnAxis(l, a, b, 0.5+delta)-1) > 1e-5 {
			t.Fatalf("between readings: %v %v", v, err)
		}
		for _, r := range f.Residuals {
			if math.Abs(r) > 1e-5 {
				t.Fatalf("residual %g", r)
			}
		}
	})
}

// Inverse square is refused the name of law: readings of a near face that
// follow the finite-source law leave residuals of many percent about 1/d².
func TestFitTellsMisfit(t *testing.T) {
	var at []AtDistance
	for _, d := range []float64{0.3, 0.5, 0.8, 1.2} {
		at = append(at, AtDistance{Distance: d, Lux: 1000 / (d * d)})
	}
	f, err := FitDistances(0.6, 0.4, at, FitOptions{})
	if err != nil {
		t.Fatal(err)
	}
	if !finding.Has(f.Findings, "measure.distance_misfit") || f.P > 1e-6 {
		t.Errorf("P %g, findings %v: 1/d² passed for a face of 0.6 × 0.4 m", f.P, f.Findings)
	}
	if _, err := f.Illuminance(3, "r"); err == nil {
		t.Error("extrapolated from 1.2 to 3 m")
	}
	if _, err := FitDistances(0.6, 0.4, at[:2], FitOptions{}); err == nil {
		t.Error("two distances fitted")
	}
	at[3].OverRange = true
	if f, err = FitDistances(0.6, 0.4, at, FitOptions{}); err != nil || len(f.Skipped) != 1 || len(f.At) != 3 {
		t.Errorf("%v %v", f.Skipped, err)
	}
}

// The intervals of a fit hold: of 400 synthetic sets, 95 % intervals of L
// and of E at the use distance cover the truth about as often as they say.
func TestFitCoverage(t *testing.T) {
	const n, l, a, b = 400, 9000.0, 0.38, 0.28
	rng := seeded(7)
	inL, inE := 0, 0
	o := FitOptions{Repeat: 0.005, Ruler: 0.001, OffsetU: 0.0017}
	for range n {
		delta := o.OffsetU * rng.NormFloat64()
		var at []AtDistance
		for _, d := range []float64{0.3, 0.4, 0.55, 0.75, 1.0} {
			e := optics.OnAxis(l, a, b, d+delta+o.Ruler*rng.NormFloat64()) * (1 + o.Repeat*rng.NormFloat64())
			at = append(at, AtDistance{Distance: d, Lux: e})
		}
		f, err := FitDistances(a, b, at, o)
		if err != nil {
			t.Fatal(err)
		}
		if v := f.Mean("r"); math.Abs(v.X-l) < 1.96*v.U() {
			inL++
		}
		v, err := f.Illuminance(0.5, "r")
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(v.X-optics.OnAxis(l, a, b, 0.5+delta)) < 1.96*v.U() {
			inE++
		}
	}
	// Binomial 95 % of 400: ± 3 standard deviations is 91.7 … 98.3 %.
	for what, in := range map[string]int{"luminance": inL, "illuminance": inE} {
		if p := float64(in) / n; p < 0.917 || p > 0.983 {
			t.Errorf("%s: 95 %% intervals hold %.1f %%", what, 100*p)
		}
	}
}

func TestDistanceRun(t *testing.T) {
	const l, a, b = 8000.0, 0.38, 0.28
	r := faceRun("r", "a", meter("lx-1"), 1)
	r.Kind, r.Lux = DistanceRun, nil
	r.Conditions.FaceLength, r.Conditions.FaceWidth, r.Conditions.Distance = a, b, 0.4
	for _, d := range []float64{0.3, 0.45, 0.7} {
		r.Distances = append(r.Distances, AtDistance{Distance: d, Lux: optics.OnAxis(l, a, b, d)})
	}
	rec := evaluate(t, r)
	m, _ := rec.Value(predict.MeterLux)
	near(t, "lux", m.Value.X, optics.OnAxis(l, a, b, 0.4), 0.001*m.Value.X)
	f, _ := rec.Value(predict.FaceMean)
	near(t, "luminance", f.Value.X, l, 1)
	flux, _ := rec.Value(predict.FluxOut)
	near(t, "flux", flux.Value.X, math.Pi*l*a*b, 1)
	// Calibration is in all and cancels in E/L.
	q := m.Value.Div(f.Value)
	for _, term := range q.Terms {
		if term.Source == meter("lx-1").Source("calibration") && math.Abs(term.U) > 1e-12*q.X {
			t.Errorf("calibration left in a ratio: %g", term.U)
		}
	}
	near(t, "budget total", rec.Budget.U(), m.Value.U(), 1e-9*m.Value.X)
}

func TestColdAndLooseReadingsAreTold(t *testing.T) {
	r := faceRun("r", "a", meter("lx-1"), 10000)
	if rec := evaluate(t, r); finding.Has(rec.Findings, "measure.cold") || finding.Has(rec.Findings, "measure.no_distance") || finding.Has(rec.Findings, "measure.distance_from") {
		t.Errorf("a good run is blamed: %v", rec.Findings)
	}
	r.Conditions.WarmUp = 60
	if !finding.Has(evaluate(t, r).Findings, "measure.cold") {
		t.Error("a cold reading is not told")
	}
	r.Conditions.From = FromRim
	if !finding.Has(evaluate(t, r).Findings, "measure.distance_from") {
		t.Error("distance from the rim is not told")
	}
	r.Conditions.Distance = 0
	if !finding.Has(evaluate(t, r).Findings, "measure.no_distance") {
		t.Error("no distance is not told")
	}
	r.Instrument.Kind, r.Instrument.Calibration.Date = PhoneApp, ""
	if !finding.Has(evaluate(t, r).Findings, "measure.phone") {
		t.Error("a phone is not told")
	}
	r.Instrument.Kind, r.Instrument.Mismatch = LuxMeter, 0.15
	if fs := evaluate(t, r).Findings; !finding.Has(fs, "measure.meter_mismatch") || !finding.Has(fs, "measure.no_calibration") {
		t.Error("a poor, uncalibrated meter is not told")
	}
}

func TestRefusals(t *testing.T) {
	good := faceRun("r", "a", meter("lx-1"), 10000)
	for name, spoil := range map[string]func(*Run){
		"no id":          func(r *Run) { r.ID = "" },
		"no lamp":        func(r *Run) { r.Subject.Lamp = "" },
		"meter kind":     func(r *Run) { r.Instrument.Kind = "oracle" },
		"calibration":    func(r *Run) { r.Instrument.Calibration.U = 4 },
		"negative lux":   func(r *Run) { r.Lux.Lux[0] = -1 },
		"NaN lux":        func(r *Run) { r.Lux.Lux[0] = math.NaN() },
		"no readings":    func(r *Run) { r.Lux.Lux = nil },
		"distance in mm": func(r *Run) { r.Conditions.Distance = 500 },
		"duty in %":      func(r *Run) { r.Conditions.Drive = map[string]float64{"white": 40} },
		"facing":         func(r *Run) { r.Conditions.Facing = "north" },
		"kind":           func(r *Run) { r.Kind = "song" },
		"times":          func(r *Run) { r.Lux.Times = []float64{0, 1} },
	} {
		r := good
		lux := *good.Lux
		lux.Lux = append([]float64(nil), good.Lux.Lux...)
		r.Lux = &lux
		spoil(&r)
		if _, err := r.Evaluate(); err == nil {
			t.Errorf("%s: taken", name)
		}
	}
}
