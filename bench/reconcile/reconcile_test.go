package reconcile

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"sync"
	"testing"

	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// An invented lamp of plain parts.
func testLamp(t testing.TB) lamp.Lamp {
	t.Helper()
	item := func(id string) part.Item { return part.Item{ID: id, Name: id, Invented: true} }
	val := func(x, u float64, source string) quantity.Value { return quantity.Measured(x, u, source) }
	set := part.Set{
		Strips: []part.Strip{{
			Item: item("plain"), Drive: part.Resistor, Voltage: 24, LEDs: 120, Series: 6, Cut: 0.05, Reel: 5, Joint: 0.5, JointR: 0.005,
			Width: 0.010, Height: 0.0015, Copper: 2, Rail: 0.004, Beam: 2 * math.Pi / 3, Emitter: 5e-6, Adhesive: "acrylic",
			TapeLimit: 353.15, Reflectance: val(0.85, 0.03, "strip plain board reflectance"), JunctionR: val(20, 4, "strip plain junction resistance"), JunctionLimit: 378.15,
			Channels: []part.Channel{{Name: "white", Power: val(14.4, 0.7, "strip plain white power"), Flux: val(1440, 90, "strip plain white flux"),
				CCT: val(5000, 100, "strip plain white cct"), Ra: 90, Pump: part.BluePump, FluxPerKelvin: val(-0.0020, 0.0004, "strip plain white flux per kelvin")}},
		}},
		Trays: []part.Tray{{Item: item("tray"), Material: "aluminium-3003", Length: 0.38, Width: 0.28, Depth: 0.05, Thickness: 0.001,
			Reflectance: val(0.7, 0.05, "tray tray reflectance"), Specular: val(0.2, 0.05, "tray tray mirror share"),
			EmissivityBack: val(0.8, 0.04, "tray tray emissivity back"), EmissivityInside: val(0.2, 0.04, "tray tray emissivity inside")}},
		Linings: []part.Lining{{Item: item("white"), Thickness: 0.0002, Reflectance: val(0.92, 0.015, "lining white reflectance"), Specular: val(0.2, 0.05, "lining white mirror share"), Emissivity: 0.85}},
		Sheets: []part.Sheet{{Item: item("film"), Thickness: 0.002, Density: 1200, Transmittance: val(0.6, 0.025, "sheet film transmittance"),
			Reflectance: val(0.34, 0.02, "sheet film reflectance"), Limit: 353.15, Emissivity: 0.9}},
		Supplies:   []part.Supply{{Item: item("dc24"), Voltage: val(24, 0.2, "supply dc24 voltage"), Rating: 120, Resistance: 0.02, Efficiency: val(0.88, 0.015, "supply dc24 efficiency"), Insulated: true}},
		Wires:      []part.Wire{{Item: item("wire"), Area: 0.75e-6, Limit: 6, Stranded: true}},
		Connectors: []part.Connector{{Item: item("plug"), Limit: 8, Poles: 2}},
	}
	l, err := lamp.Build(lamp.Spec{Schema: 1, Name: "bench", Tray: "tray", Strip: "plain", Sheet: "film", Lining: "white", LineFloor: true, Rows: 9, Along: lamp.AlongLength,
		Supply: "dc24", Bus: "wire", Lead: "wire", Connector: "plug", Place: brief.Place{MeterDistance: 0.4}}, set)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

var spreadOnce = sync.OnceValues(func() (predict.Uncertain, error) {
	var t testing.T
	return predict.Spread(testLamp(&t))
})

func prediction(t testing.TB) predict.Uncertain {
	t.Helper()
	u, err := spreadOnce()
	if err != nil {
		t.Fatal(err)
	}
	return u
}

// world draws a true lamp: every source a prediction spreads is off by theta
// of its standard uncertainties; off overrules the drawing.
type world struct {
	lamp    lamp.Lamp
	numbers map[string]float64
	theta   map[string]float64
}

func newWorld(t testing.TB, u predict.Uncertain, base predict.Result, rng *rand.Rand, off map[string]float64) world {
	t.Helper()
	w := world{lamp: clone(u.Lamp), numbers: map[string]float64{}, theta: map[string]float64{}}
	names := map[string]bool{}
	for _, v := range u.Values {
		for _, term := range v.Terms {
			names[term.Source] = true
		}
	}
	for name := range names {
		w.theta[name] = 0
	}
	for _, name := range slices.Sorted(keysOf(w.theta)) {
		if rng != nil {
			w.theta[name] = math.Max(-2.8, math.Min(2.8, rng.NormFloat64()))
		}
		if x, ok := off[name]; ok {
			w.theta[name] = x
		}
	}
	for _, f := range fieldsOf(&u.Lamp) {
		v := f.value(&u.Lamp)
		x := v.X
		for _, term := range v.Terms {
			x += term.U * w.theta[term.Source]
		}
		f.set(&w.lamp, quantity.Value{X: f.hold(x)})
	}
	p := w.lamp.Spec.Place.WithDefaults()
	p.Air += 2 * w.theta["air at the lamp ± 2 K"]
	p.MeterDistance += 0.003 * w.theta["distance to the meter ± 3 mm"]
	w.lamp.Spec.Place = p
	q, err := predict.At(w.lamp, predict.Quick)
	if err != nil {
		t.Fatal(err)
	}
	for key, v := range u.Values {
		b, ok := base.Numbers[key]
		if !ok {
			continue
		}
		x := v.X + q.Numbers[key] - b
		if m, ok := measure.Declared(key); ok && m.Unit != "°C" && b > 0 && v.X > 0 {
			x = v.X * q.Numbers[key] / b
		}
		for _, term := range v.Terms {
			if modelled(term.Source) {
				x += term.U * w.theta[term.Source]
			}
		}
		w.numbers[key] = x
	}
	return w
}

func keysOf(m map[string]float64) func(func(string) bool) {
	return func(yield func(string) bool) {
		for k := range m {
			if !yield(k) {
				return
			}
		}
	}
}

// bench reads the world with a meter of 2 %, a wattmeter of 0.5 % and so on.
func (w world) bench(rng *rand.Rand, off map[string]float64) []measure.Measured {
	shared := map[string]float64{}
	read := func(key string, parts map[string]float64) measure.Measured {
		x := w.numbers[key]
		v := quantity.Value{}
		for source, rel := range parts {
			v = quantity.Combine(0, quantity.Part{Value: v, Slope: 1}, quantity.Part{Value: quantity.Measured(0, rel, source), Slope: 1})
		}
		e := 0.0
		for _, term := range v.Terms {
			if _, ok := shared[term.Source]; !ok {
				if rng != nil {
					shared[term.Source] = rng.NormFloat64()
				}
				if o, ok := off[term.Source]; ok {
					shared[term.Source] = o
				}
			}
			e += term.U * shared[term.Source]
		}
		if m, _ := measure.Declared(key); m.Unit == "°C" {
			return measure.Measured{Key: key, Value: quantity.Combine(x+e, quantity.Part{Value: v, Slope: 1})}
		}
		return measure.Measured{Key: key, Value: quantity.Combine(x*(1+e), quantity.Part{Value: v, Slope: x})}
	}
	return []measure.Measured{
		read(predict.MeterLux, map[string]float64{"meter lx-1 calibration": 0.02, "lux scatter": 0.003}),
		read(predict.FaceMean, map[string]float64{"meter lx-1 calibration": 0.02, "luminance scatter": 0.004}),
		read(predict.MainsPower, map[string]float64{"meter pm-1 calibration": 0.005}),
		read(predict.SupplyCurrent, map[string]float64{"meter dmm-1 calibration": 0.004}),
		read(predict.StripTemp, map[string]float64{"meter tc-1 zero": 0.6}),
		read(predict.CCT, map[string]float64{"meter sp-1 wavelength scale": 0.003}),
	}
}

// Lamps whose parts, models and meters are off as their uncertainties say:
// the 95 % intervals of the corrected values hold the truth in 95 % of trials,
// for every part value by itself and for all together.
func TestCoverage(t *testing.T) {
	u := prediction(t)
	base, err := predict.At(u.Lamp, predict.Quick)
	if err != nil {
		t.Fatal(err)
	}
	rng := rand.New(rand.NewPCG(41, 2))
	in, n := map[string]int{}, map[string]int{}
	chi, agree := 0.0, 0
	for range trials {
		w := newWorld(t, u, base, rng, nil)
		r, err := Compare(u, w.bench(rng, nil), Options{})
		if err != nil {
			t.Fatal(err)
		}
		chi += r.Chi2 / float64(r.Freedom) / trials
		if r.P > 0.05 {
			agree++
		}
		fs := fieldsOf(&u.Lamp)
		for _, c := range r.Corrections {
			i := slices.IndexFunc(fs, func(f field) bool { return f.name == c.Name })
			truth := fs[i].value(&w.lamp).X
			n[c.Name]++
			if math.Abs(c.After.X-truth) < 1.96*c.After.U() {
				in[c.Name]++
			}
		}
	}
	all, total := 0, 0
	for _, name := range slices.Sorted(func(yield func(string) bool) {
		for k := range n {
			if !yield(k) {
				return
			}
		}
	}) {
		p := float64(in[name]) / float64(n[name])
		all, total = all+in[name], total+n[name]
		t.Logf("%-40s %5.1f %% of %d", name, 100*p, n[name])
		if n[name] == trials && (p < coverLow || p > coverHigh) {
			t.Errorf("%s: 95 %% intervals hold the truth in %.1f %% of %d trials", name, 100*p, trials)
		}
	}
	p := float64(all) / float64(total)
	t.Logf("all together %.1f %% of %d; mean χ²/ν %.2f; %d of %d agree at 5 %%", 100*p, total, chi, agree, trials)
	if p < 0.92 || p > 0.98 {
		t.Errorf("all together: %.1f %%", 100*p)
	}
	if chi < 0.75 || chi > 1.25 {
		t.Errorf("mean χ²/ν is %.2f", chi)
	}
	if len(n) < 6 {
		t.Errorf("only %d part values were learned of", len(n))
	}
}

// One gross fault at a time: it comes first among the causes, or among those
// that the readings cannot tell from it.
func TestLikeliestCause(t *testing.T) {
	u := prediction(t)
	base, err := predict.At(u.Lamp, predict.Quick)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name        string
		world, read map[string]float64
		shift       float64 // sign of it
	}{
		{"supply set 4 % high", map[string]float64{"supply dc24 voltage": 5}, nil, 1},
		{"flux a third less", map[string]float64{"strip plain white flux": -5}, nil, -1},
		{"meter 20 % low", nil, map[string]float64{"meter lx-1 calibration": -10}, -1},
		{"colour temperature", map[string]float64{"strip plain white cct": 5}, nil, 1},
		{"warm room", map[string]float64{"air at the lamp ± 2 K": 6}, nil, 1},
		{"lamp nearer than noted", map[string]float64{"distance to the meter ± 3 mm": -8}, nil, -1},
	} {
		w := newWorld(t, u, base, nil, c.world)
		r, err := Compare(u, w.bench(nil, c.read), Options{})
		if err != nil {
			t.Fatal(err)
		}
		want := ""
		for _, m := range []map[string]float64{c.world, c.read} {
			for k := range m {
				want = k
			}
		}
		first := r.Causes[0]
		if first.Source != want && !slices.Contains(first.Alike, want) {
			t.Errorf("%s: first of the causes is %q, then %q (P %.2g)", c.name, first.Source, r.Causes[1].Source, r.P)
			continue
		}
		i := slices.IndexFunc(r.Causes, func(x Cause) bool { return x.Source == want })
		if r.Causes[i].Shift*c.shift <= 0 {
			t.Errorf("%s: %s", c.name, r.Causes[i].Says)
		}
		if r.Causes[i].Suspicion < 0.5 {
			t.Errorf("%s: suspicion %.2f", c.name, r.Causes[i].Suspicion)
		}
	}
}

// Readings that are just what was predicted change nothing but uncertainty.
func TestPerfectAgreement(t *testing.T) {
	u := prediction(t)
	base, _ := predict.At(u.Lamp, predict.Quick)
	w := newWorld(t, u, base, nil, nil)
	r, err := Compare(u, w.bench(nil, nil), Options{Unit: "bench no. 1"})
	if err != nil {
		t.Fatal(err)
	}
	if r.Verdict != Agrees || r.Chi2 > 1e-6 || len(r.Findings) > 0 || !strings.Contains(r.Says, "within the uncertainties") {
		t.Errorf("%+v", r.Says)
	}
	for _, c := range r.Corrections {
		if math.Abs(c.After.X-c.Before.X) > 1e-3*c.Before.U() {
			t.Errorf("%s moved by %g of its uncertainty", c.Name, (c.After.X-c.Before.X)/c.Before.U())
		}
		if c.After.U() > c.Before.U()*(1+1e-9) || c.Learned <= 0 {
			t.Errorf("%s: u grew from %g to %g", c.Name, c.Before.U(), c.After.U())
		}
	}
	if _, err := json.Marshal(r); err != nil {
		t.Error(err)
	}
}

// The corrected parts predict the lamp: laid over the catalogue they give what
// was measured, and know it better than the data sheets did.
func TestLayerPredictsWhatWasMeasured(t *testing.T) {
	u := prediction(t)
	base, _ := predict.At(u.Lamp, predict.Quick)
	w := newWorld(t, u, base, nil, map[string]float64{"strip plain white flux": -1.5, "sheet film transmittance": 1, "supply dc24 voltage": 1.5})
	readings := w.bench(nil, nil)
	r, err := Compare(u, readings, Options{Unit: "bench no. 1"})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Layer.Strips) != 1 || len(r.Layer.Sheets) != 1 || len(r.Layer.Supplies) != 1 {
		t.Fatalf("layer %+v", r.Layer)
	}
	if s := r.Layer.Sheets[0]; math.Abs(s.Transmittance.X+s.Reflectance.X+s.Absorptance()-1) > 1e-12 {
		t.Error("T + R + A is not 1")
	}
	l := u.Lamp
	l.Strip, l.Supply = r.Layer.Strips[0], r.Layer.Supplies[0]
	l.Sheet = &r.Layer.Sheets[0]
	if len(r.Layer.Linings) > 0 {
		l.Lining = &r.Layer.Linings[0]
	}
	again, err := predict.At(l, predict.Quick)
	if err != nil {
		t.Fatal(err)
	}
	for _, res := range r.Residuals {
		// The repeated step ends when it moves by less than 0.003 σ.
		if math.Abs(res.AfterSigmas) > math.Abs(res.Sigmas)+0.003 {
			t.Errorf("%s: %.2f σ off before, %.2f after", res.Metric.Key, res.Sigmas, res.AfterSigmas)
		}
		if res.After.U() > res.Predicted.U() {
			t.Errorf("%s: u grew from %g to %g", res.Metric.Key, res.Predicted.U(), res.After.U())
		}
	}
	// Power and current are a matter of parts alone (light keeps a share of the
	// correction for the model and the meter).
	for _, key := range []string{predict.MainsPower, predict.SupplyCurrent} {
		got := again.Numbers[key] / base.Numbers[key] * u.Values[key].X
		if math.Abs(got/w.numbers[key]-1) > 0.005 {
			t.Errorf("%s: corrected parts give %.4g, the lamp %.4g, the data sheets %.4g", key, got, w.numbers[key], u.Values[key].X)
		}
	}
	for _, c := range r.Corrections {
		for _, term := range c.After.Terms {
			if !strings.HasPrefix(term.Source, "reconciled with bench no. 1") {
				t.Errorf("%s has a term %q", c.Name, term.Source)
			}
		}
	}
}

// χ² is the sum of the squared shifts, and the shares add up to 1.
func TestSharesAddUp(t *testing.T) {
	u := prediction(t)
	base, _ := predict.At(u.Lamp, predict.Quick)
	rng := rand.New(rand.NewPCG(5, 5))
	for range 5 {
		w := newWorld(t, u, base, rng, nil)
		r, err := Compare(u, w.bench(rng, nil), Options{})
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		for _, c := range r.Causes {
			sum += c.Share
			if c.ShiftU > 1+1e-9 {
				t.Errorf("%s: less is known than before", c.Source)
			}
		}
		if math.Abs(sum-1) > 1e-6 {
			t.Errorf("shares add up to %g", sum)
		}
	}
}

// A single residual with two independent errors is the textbook weighted
// mean: prior 10 ± 3 (through a part) and reading 16 ± 4 give
// 10 + 6·9/25 = 12.16 with u = 3·4/5 = 2.4.
func TestScalarUpdate(t *testing.T) {
	s := newSystem([]quantity.Value{quantity.Measured(10, 3, "part")}, []quantity.Value{quantity.Measured(16, 4, "reading")})
	p := s.solve()
	after := 10 - 3*p.mean[s.index("part")]
	if math.Abs(after-12.16) > 1e-12 || math.Abs(3*math.Sqrt(p.cov.At(0, 0))-2.4) > 1e-12 || math.Abs(p.chi2-36.0/25) > 1e-12 {
		t.Errorf("%g ± %g, χ² %g", after, 3*math.Sqrt(p.cov.At(0, 0)), p.chi2)
	}
	// The same reading twice tells nothing new.
	twice := newSystem([]quantity.Value{quantity.Measured(10, 3, "part"), quantity.Measured(10, 3, "part")}, []quantity.Value{quantity.Measured(16, 4, "reading"), quantity.Measured(16, 4, "reading")})
	if q := twice.solve(); q.rank != 1 || math.Abs(q.chi2-p.chi2) > 1e-9 || math.Abs(q.mean[0]-p.mean[0]) > 1e-9 {
		t.Errorf("rank %d, χ² %g", q.rank, q.chi2)
	}
	// What both sides share is not to blame.
	both := newSystem([]quantity.Value{quantity.Measured(10, 3, "meter")}, []quantity.Value{quantity.Combine(16, quantity.Part{Value: quantity.Measured(0, 3, "meter"), Slope: 1}, quantity.Part{Value: quantity.Measured(0, 1, "reading"), Slope: 1})})
	if q := both.solve(); math.Abs(q.mean[both.index("meter")]) > 1e-12 || math.Abs(q.chi2-36) > 1e-9 {
		t.Errorf("%v χ² %g", q.mean, q.chi2)
	}
}

func TestUnusedReadingsAreTold(t *testing.T) {
	u := prediction(t)
	v := quantity.Measured(7000, 100, "x")
	r, err := Compare(u, []measure.Measured{
		{Key: predict.MeterLux, Value: v},
		{Key: predict.FaceMean, Value: quantity.Exact(1), Bound: measure.AtLeast},
		{Key: measure.Noise, Value: v},
		{Key: "edi_mel_lx", Value: v},
	}, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Residuals) != 1 || len(r.Unused) != 3 {
		t.Errorf("%d compared, unused %v", len(r.Residuals), r.Unused)
	}
	if _, err := Compare(u, []measure.Measured{{Key: measure.Noise, Value: v}}, Options{}); err == nil {
		t.Error("nothing to compare, yet an answer")
	}
}

// A gross difference is told as such, with a finding.
func TestVerdicts(t *testing.T) {
	u := prediction(t)
	p := u.Values[predict.MeterLux]
	for _, c := range []struct {
		sigmas  float64
		verdict Verdict
	}{{0.5, Agrees}, {2.5, Doubtful}, {6, Differs}} {
		m := quantity.Measured(0, 0.01*p.X, "reading")
		m.X = p.X + c.sigmas*math.Hypot(p.U(), m.U())
		r, err := Compare(u, []measure.Measured{{Key: predict.MeterLux, Value: m}}, Options{})
		if err != nil {
			t.Fatal(err)
		}
		if r.Verdict != c.verdict {
			t.Errorf("%g σ: %s (χ² %.2f, P %.3g)", c.sigmas, r.Verdict, r.Chi2, r.P)
		}
		if finding.Has(r.Findings, "reconcile."+string(c.verdict)) != (c.verdict != Agrees) {
			t.Errorf("%g σ: findings %v", c.sigmas, r.Findings)
		}
	}
}

func TestAt(t *testing.T) {
	l := testLamp(t)
	m := At(l, measure.Conditions{Distance: 0.5, Facing: measure.AtLamp, Ambient: 300, Drive: map[string]float64{"white": 0.5}})
	if m.Spec.Place.MeterDistance != 0.5 || m.Spec.Place.Air != 300 || m.Duty(0) != 0.5 || l.Spec.Place.MeterDistance != 0.4 {
		t.Errorf("%+v", m.Spec.Place)
	}
	rec := measure.Record{Subject: measure.Subject{Lamp: "bench", Serial: "1"}, Conditions: measure.Conditions{Distance: 0.5, Facing: measure.AtLamp},
		Values: []measure.Measured{{Key: predict.MainsPower, Value: quantity.Measured(40, 0.3, "meter pm-1")}, {Key: predict.MeterLux, Value: quantity.Measured(5000, 120, "run-1 distance")}}}
	r, err := Lamp(l, rec, Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Residuals) != 2 {
		t.Errorf("%v", r.Unused)
	}
	for _, c := range r.Causes {
		if c.Source == "distance to the meter ± 3 mm" {
			t.Error("the distance's error is counted in the reading and in the prediction")
		}
	}
	_ = fmt.Sprint(r.Says)
}
