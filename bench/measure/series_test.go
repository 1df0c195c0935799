package measure

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"dawnsmith/finding"
	"dawnsmith/lamp/predict"
)

func seeded(n uint64) *rand.Rand { return rand.New(rand.NewPCG(n, 1)) }

// warming is a lamp that falls from 1 by drop with a time constant tau (s).
func warming(n int, dt, drop, tau float64) (t, x []float64) {
	for i := range n {
		s := float64(i) * dt
		t = append(t, s)
		x = append(x, 10000*(1-drop*(1-math.Exp(-s/tau))))
	}
	return t, x
}

// For an exponential warm-up the first window of each rule is known: over a
// window w the light moves by drop·e^(−t/τ)(1 − e^(−w/τ)).
func TestFindStable(t *testing.T) {
	const drop, tau = 0.08, 600.0
	for _, rule := range Rules() {
		tt, x := warming(7200/20, 20, drop, tau)
		s, err := FindStable(rule, tt, x, nil)
		if err != nil {
			t.Fatal(err)
		}
		level := 1 - drop
		want := tau * math.Log(drop*(1-math.Exp(-rule.Window/tau))/(rule.Limit*level))
		want = math.Max(want, rule.Burnt-rule.Window)
		if !s.Stable || math.Abs(s.From-want) > 60 {
			t.Errorf("%s: from %.0f s, want %.0f (%s)", rule.Key, s.From, want, s.Why)
		}
		if s.Spread >= rule.Limit {
			t.Errorf("%s: spread %g", rule.Key, s.Spread)
		}
		near(t, rule.Key+" drop", s.Drop, drop, 0.006)
		near(t, rule.Key+" level", s.Level, 10000*(1-drop), 20)
		// A log that stops before is not stable and says why.
		k := int((want + rule.Window - 200) / 20)
		if s, _ = FindStable(rule, tt[:k], x[:k], nil); s.Stable || s.Why == "" || !finding.Has(s.Findings, "measure.not_stable") {
			t.Errorf("%s: a short log is called stable: %s", rule.Key, s.Why)
		}
		// A straight fall of 1.2 % an hour never settles by LM-79-08, as in 30
		// min it is 0.6 %; by the shorter windows it does.
		for i := range x {
			x[i] = 10000 * (1 - 0.012*tt[i]/3600)
		}
		s, _ = FindStable(rule, tt, x, nil)
		if s.Stable != (0.012*rule.Window/3600 < rule.Limit) {
			t.Errorf("%s: %s", rule.Key, s.Why)
		}
	}
	// Power must hold too.
	tt, x := warming(360, 20, 0, 600)
	p := slices.Clone(tt)
	for i := range p {
		p[i] = 50 * (1 - 0.05*tt[i]/7200)
	}
	if s, _ := FindStable(LM7908, tt, x, p); s.Stable {
		t.Error("falling power is called stable")
	}
	// Gaps do not pass for readings.
	if s, _ := FindStable(CIES025, []float64{0, 1800, 3600}, []float64{1, 1, 1}, nil); s.Stable {
		t.Error("three readings pass for one a minute")
	}
	if s, _ := FindStable(LM7908, []float64{0, 900, 1800}, []float64{1.001, 1, 1}, nil); !s.Stable {
		t.Errorf("three readings 15 min apart are refused: %s", s.Why)
	}
}

func TestAverageRefuses(t *testing.T) {
	for _, c := range []struct{ t, x []float64 }{
		{nil, []float64{1}}, {[]float64{0, 0}, []float64{1, 2}}, {[]float64{0, 1}, []float64{1, math.Inf(1)}}, {[]float64{0}, []float64{1, 2}},
	} {
		if _, err := AverageOf(c.t, c.x); err == nil {
			t.Errorf("%v taken", c)
		}
	}
}

// First-order noise of correlation φ has a mean whose standard deviation is
// σ·√((1+φ)/(1−φ)/n) (von Storch & Zwiers 1999, 6.6.8). The estimate from one
// log scatters; its mean over 60 logs must agree, and the plain s/√n must not.
func TestAverageOfCorrelatedNoise(t *testing.T) {
	rng := seeded(3)
	for _, phi := range []float64{0, 0.6, 0.9} {
		const n, logs = 1800, 60
		want := math.Sqrt((1 + phi) / (1 - phi) / n)
		sum, covered := 0.0, 0
		for range logs {
			x := make([]float64, n)
			prev := rng.NormFloat64()
			for i := range x {
				prev = phi*prev + math.Sqrt(1-phi*phi)*rng.NormFloat64()
				x[i] = 100 + prev
			}
			a, err := AverageOf(nil, x)
			if err != nil {
				t.Fatal(err)
			}
			sum += a.U / logs
			if math.Abs(a.Mean-100) < Student(0.95, a.Freedom)*a.U {
				covered++
			}
		}
		if r := sum / want; r < 0.9 || r > 1.35 {
			t.Errorf("φ %g: mean u is %.2f of the true one", phi, r)
		}
		if covered < 53 { // 95 % of 60 less 2.5 standard deviations
			t.Errorf("φ %g: 95 %% intervals hold %d of %d", phi, covered, logs)
		}
		if naive := 1 / math.Sqrt(n); phi == 0.9 && sum < 3*naive {
			t.Errorf("φ 0.9: u %g, s/√n %g", sum, naive)
		}
	}
}

func TestDriftIsNotNoise(t *testing.T) {
	rng := seeded(5)
	var tt, x []float64
	for i := range 900 {
		tt = append(tt, float64(i))
		x = append(x, 1000-0.05*float64(i)+rng.NormFloat64())
	}
	a, _ := AverageOf(tt, x)
	near(t, "slope", a.Slope, -0.05, 4*a.SlopeU)
	near(t, "sd", a.SD, 1, 0.1)
	if a.SlopeU <= 0 || a.SlopeU > 0.001 {
		t.Errorf("slope ± %g", a.SlopeU)
	}
	if len(a.Says("lx")) == 0 {
		t.Error("drift not told")
	}
}

func TestOutliersAreListedAndCounted(t *testing.T) {
	rng := seeded(9)
	x := make([]float64, 200)
	for i := range x {
		x[i] = 500 + rng.NormFloat64()
	}
	x[20], x[120] = 560, 430
	a, _ := AverageOf(nil, x)
	// Of 200 normal readings one passes 3.5 by chance (3.7 robust deviations).
	if !slices.Equal(a.Outliers, []int{20, 120, 134}) {
		t.Errorf("outliers %v", a.Outliers)
	}
	near(t, "mean of all", a.Mean, mean(x), 1e-9)
	near(t, "mean without", a.MeanWithout, (mean(x)*200-990-x[134])/197, 1e-9)
	// Two thirds of the readings agree to the digit: MAD is 0.
	y := []float64{5, 5, 5, 5, 5, 5, 5, 5, 5, 9}
	if a, _ = AverageOf(nil, y); !slices.Contains(a.Outliers, 9) {
		t.Errorf("a lone 9 among fives passes: %v", a.Outliers)
	}
}

func TestAverageProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(1, 1000), 3, 80).Draw(t, "x")
		k := rapid.Float64Range(0.1, 10).Draw(t, "k")
		a, err := AverageOf(nil, x)
		if err != nil {
			t.Fatal(err)
		}
		if a.Effective > float64(len(x))+1e-9 || a.Effective < 1 || a.U < 0 || math.IsNaN(a.U) {
			t.Fatalf("%+v", a)
		}
		y := make([]float64, len(x))
		for i := range x {
			y[i] = k * x[i]
		}
		b, _ := AverageOf(nil, y)
		if math.Abs(b.Mean-k*a.Mean) > 1e-9*k*a.Mean || math.Abs(b.U-k*a.U) > 1e-6*(k*a.U+1e-9) {
			t.Fatalf("scaling by %g: %v and %v", k, a, b)
		}
	})
}

// A log of an hour: initial, settled level and drop come out, over correlated
// noise, and the drop's uncertainty does not hold the meter's calibration.
func TestLuxLog(t *testing.T) {
	tt, x := warming(3600, 1, 0.06, 500)
	rng := seeded(11)
	e := 0.0
	for i := range x {
		e = 0.8*e + rng.NormFloat64()
		x[i] += e
	}
	x[3000] += 900
	r := faceRun("log-1", "a", meter("lx-1"), 1)
	r.Lux = &LuxLog{Times: tt, Lux: x}
	r.Conditions.WarmUp, r.Conditions.Room = 0, DarkRoom
	rec := evaluate(t, r)
	if rec.Stability == nil || !rec.Stability.Stable {
		t.Fatalf("%+v", rec.Stability)
	}
	drop, _ := rec.Value(WarmDrop)
	// The first minute's median lies at 30 s, the settled mean 0.1 % above the end.
	first := 1 - 0.06*(1-math.Exp(-30.0/500))
	near(t, "drop in %", drop.Value.X, 100*(first-0.9410)/first, 0.1)
	if u := drop.Value.U(); u > 0.3 || u <= 0 {
		t.Errorf("drop ± %g %%", u)
	}
	m, _ := rec.Value(predict.MeterLux)
	near(t, "settled", m.Value.X, 9400, 15)
	init, ok := rec.Value(InitialLux)
	if !ok || init.Value.X < 9900 {
		t.Errorf("initial %v", init.Value)
	}
	if !finding.Has(rec.Findings, "measure.outliers") || !slices.Contains(rec.Average.Outliers, 3000) {
		t.Errorf("the spike is not told: %v", rec.Average.Outliers)
	}
	// Not known when it was switched on: no drop.
	r.Conditions.WarmUp = -1
	if _, ok := evaluate(t, r).Value(WarmDrop); ok {
		t.Error("a drop without a known start")
	}
}

func TestWatchMeter(t *testing.T) {
	held := []CheckReading{{"2026-01-10", 5000}, {"2026-02-10", 5015}, {"2026-03-10", 4990}, {"2026-04-10", 5008}, {"2026-05-10", 4995}}
	w, err := WatchMeter("lx-1", append(slices.Clone(held), CheckReading{"2026-06-10", 5010}), 0, 0)
	if err != nil || w.Drifted || len(w.Findings) > 0 {
		t.Errorf("%+v %v", w, err)
	}
	w, _ = WatchMeter("lx-1", append(slices.Clone(held), CheckReading{"2026-06-10", 5120}), 0, 0)
	if !w.Drifted || !finding.Has(w.Findings, "measure.meter_drift") {
		t.Errorf("2.4 %% not told: %+v", w)
	}
	near(t, "change", w.Change, 5120/5001.6-1, 1e-9)
	// A creep of 3 % a year in steps none of which is striking.
	var creep []CheckReading
	for i, d := range []string{"2025-06-10", "2025-08-10", "2025-10-10", "2025-12-10", "2026-02-10", "2026-04-10", "2026-06-10"} {
		creep = append(creep, CheckReading{d, 5000 * (1 - 0.005*float64(i)) * (1 + 0.0005*float64(i%2))})
	}
	if w, _ = WatchMeter("lx-1", creep, 0.02, 0); !w.Drifted {
		t.Errorf("creep not told: %+v", w)
	}
	near(t, "a year", w.PerYear, -0.03, 0.003)
	if _, err := WatchMeter("lx-1", held[:1], 0, 0); err == nil {
		t.Error("one reading judged")
	}
	if _, err := WatchMeter("lx-1", []CheckReading{{"10.1.2026", 1}, {"2026-02-10", 1}}, 0, 0); err == nil {
		t.Error("a date of another form taken")
	}
}
