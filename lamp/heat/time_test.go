package heat

import (
	"errors"
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"
)

// 60 W at 120 lm/W, LER 320, three quarters of the light out: radiant share
// 0.375, 37.5 W in the strips, 43.1 W of heat in the lamp (by hand).
func TestSplit(t *testing.T) {
	s, err := Split(Light{Electrical: 60, Efficacy: 120, LER: 320, Escaping: 0.75, InDiffuser: 0.05})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "radiant", s.Radiant, 22.5, 1e-12)
	near(t, "strip", s.Strip, 37.5, 1e-12)
	near(t, "total", s.Total, 43.125, 1e-12)
	near(t, "sum", s.Strip+s.Diffuser+s.Tray+s.Out, 60, 1e-12)
	near(t, "heat", s.Strip+s.Diffuser+s.Tray, s.Total, 1e-12)
	for _, l := range []Light{
		{Electrical: -1}, {Electrical: 10, Efficacy: 300, LER: 300}, {Electrical: 10, Efficacy: 100, LER: 0},
		{Electrical: 10, RadiantShare: 0.3, Escaping: 0.8, InDiffuser: 0.3}, {Electrical: math.NaN()}, {Electrical: 1, RadiantShare: math.NaN()},
		{Electrical: 1, RadiantShare: -0.1}, {Electrical: 1, Escaping: 1.1},
	} {
		if _, err := Split(l); err == nil {
			t.Errorf("%+v accepted", l)
		}
	}
}

// Pad over strip mean by a two-layer finite-difference cell: 0.10 W at 8.3 mm
// 0.6 K, 0.20 W at 16.7 mm 1.7 K on 2 oz copper and about 3.1 K on 1 oz; the
// pad's size is assumed, hence 12 %.
func TestPadRise(t *testing.T) {
	for _, c := range []struct{ heat, pitch, copper, want float64 }{{0.1, 0.0083, 0.022, 0.6}, {0.2, 0.0167, 0.022, 1.7}, {0.2, 0.0167, 0.011, 3.1}} {
		got, err := PadRise(LEDCell{Heat: c.heat, Pitch: c.pitch, StripWidth: 0.01, CopperSheet: c.copper, Resistance: DefaultStripResistance})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "pad rise", got, c.want, 0.12*c.want)
	}
	// A pad as large as the cell rises nowhere over the mean.
	got, err := PadRise(LEDCell{Heat: 1, Pitch: 0.01, StripWidth: 0.01, CopperSheet: 0.02, Resistance: 1e-3, PadLength: 0.01, PadWidth: 0.01})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "whole cell", got, 0, 1e-9)
	if _, err := PadRise(LEDCell{Heat: 1}); err == nil {
		t.Error("a cell without sizes is accepted")
	}
}

// The 380 x 280 x 25 mm aluminium tray with 3 mm acrylic: time constant 8 to
// 12 minutes with the sheet, 264 s for the tray alone (C/(Q/ΔT), by hand).
func TestWarmUp(t *testing.T) {
	in := readCases(t).Cases[0].Input()
	in.Sheet.Density, in.Sheet.SpecificHeat = 2700, 900
	in.Diffuser = Diffuser{Thickness: 0.003, Density: 1190, SpecificHeat: 1470}
	w, err := Warm(&in)
	if err != nil {
		t.Fatal(err)
	}
	if w.Tau < 7.5*60 || w.Tau > 12*60 || w.Soak != 3600 {
		t.Errorf("time constant %.0f s, soak %.0f s", w.Tau, w.Soak)
	}
	n, _ := Node(&in)
	last := w.Curve[len(w.Curve)-1]
	near(t, "end", last.Floor, n.FloorMean, 0.2)
	near(t, "start", w.Curve[0].Floor, in.Ambient, 0)
	for i := 1; i < len(w.Curve); i++ {
		if w.Curve[i].Time <= w.Curve[i-1].Time || w.Curve[i].Floor < w.Curve[i-1].Floor {
			t.Fatalf("curve falls at %d", i)
		}
	}
	// The very first minute is the tray alone warming: dT/dt = Q/C.
	early := w.Curve[1]
	rate := (early.Floor - in.Ambient) / early.Time
	near(t, "first rate", rate, 36/(0.376*900), 0.05*36/(0.376*900))
	in.Diffuser.Density = 0
	if _, err := Warm(&in); err == nil {
		t.Error("a sheet without density is accepted")
	}
}

// a 1.5e-6/h at 55 °C and 3.0e-6/h at 85 °C, B 1: Ea/k 2715.4 K; at 65 °C
// a 1.9159e-6/h, L90 54 993 h, L80 116 470 h, L70 186 167 h (TM-21 formulas,
// by hand).
func TestLife(t *testing.T) {
	d := LM80{T1: 328.15, A1: 1.5e-6, T2: 358.15, A2: 3e-6, B: 1, Hours: 10000}
	for _, c := range []struct{ p, want float64 }{{0.9, 54993}, {0.8, 116470}, {0.7, 186167}} {
		l, err := d.Life(338.15, c.p)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "hours", l.Hours, c.want, 1)
		near(t, "reported", l.Reported, math.Min(60000, l.Hours), 1e-9)
		if l.Capped != (c.want > 60000) {
			t.Errorf("L%.0f capped: %v", 100*c.p, l.Capped)
		}
	}
	cool, err := d.Life(300, 0.9)
	if err != nil || !cool.Held {
		t.Fatalf("cooler than the test: %+v, %v", cool, err)
	}
	near(t, "cool", cool.Hours, math.Log(1/0.9)/1.5e-6, 1e-6)
	var warm *ErrTooWarm
	if _, err := d.Life(360, 0.9); !errors.As(err, &warm) {
		t.Errorf("warmer than the test: %v", err)
	}
	for _, bad := range []LM80{{}, {T1: 358, A1: 1e-6, T2: 328, A2: 2e-6, B: 1, Hours: 6000}, {T1: 328, A1: 2e-6, T2: 358, A2: 1e-6, B: 1, Hours: 6000}} {
		if _, err := bad.Life(340, 0.9); err == nil {
			t.Errorf("%+v accepted", bad)
		}
	}
	b, err := LifeBand(333.15, 0.7)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "band low", b.Low, 35667, 1) // -ln 0.7/1e-5
	near(t, "band high", b.High, 178337, 1)
	hot, _ := LifeBand(343.15, 0.7)
	if lost := 1 - hot.Hours/b.Hours; !b.Estimate || lost < 0.25 || lost > 0.30 {
		t.Errorf("10 K take %.2f of the life", lost)
	}
}

func TestFluxFactor(t *testing.T) {
	near(t, "flux", FluxFactor(358.15, 298.15, DefaultFluxCoefficient), 0.91, 1e-12)
	near(t, "never below 0", FluxFactor(2000, 298, -0.003), 0, 0)
	low, high := FluxBand()
	if !(low < DefaultFluxCoefficient && DefaultFluxCoefficient < high) {
		t.Error("default lies outside its band")
	}
}

func TestFindings(t *testing.T) {
	lim := DefaultLimits()
	cool := readCases(t).Cases[0].Input()
	cool.EmissivityBack = 0.9
	cool.LED = LED{Heat: 0.1, Resistance: DefaultLEDResistance, PadRise: 0.6}
	cool.Diffuser.Limit = 345
	cool = cool.scaled(0.6)
	r, err := Series(&cool)
	if err != nil {
		t.Fatal(err)
	}
	if fs := Check(&cool, &r, lim); len(fs) != 0 {
		t.Errorf("a cool lamp has findings: %v", fs)
	}
	hot := readCases(t).Cases[0].Input()
	hot.LED = LED{Heat: 0.2, Resistance: 60, PadRise: 3}
	hot.Diffuser.Limit = 328.15
	hot.Ambient = 310
	hot = hot.scaled(1.4)
	r, err = Series(&hot)
	if err != nil {
		t.Fatal(err)
	}
	fs := Check(&hot, &r, lim)
	for _, key := range []string{"heat.strip", "heat.tape", "heat.junction", "heat.touch", "heat.diffuser", "heat.ambient"} {
		if !finding.Has(fs, key) {
			t.Errorf("a hot lamp lacks %s", key)
		}
	}
	for _, f := range fs {
		if f.What == "" || f.Cause == "" || f.Mend == "" || f.Source == "" {
			t.Errorf("finding %+v is incomplete", f)
		}
		if f.Key == "heat.touch" && (f.Severity != finding.Stop || !strings.Contains(f.Mend, "painted")) {
			t.Errorf("touch: %+v", f)
		}
	}
	alts, err := Alternatives(&hot, lim)
	if err != nil {
		t.Fatal(err)
	}
	kinds := map[string]bool{}
	for _, a := range alts {
		kinds[a.Kind] = true
		if a.Result.StripMax >= r.StripMax {
			t.Errorf("%s does not cool: %.1f then %.1f", a.What, r.StripMax, a.Result.StripMax)
		}
		if a.Kind == "fewer-watts" && !a.Clears {
			t.Errorf("fewer watts do not clear: %+v", a.Result)
		}
	}
	if !kinds["paint-back"] || !kinds["fewer-watts"] || !kinds["thicker-sheet"] || kinds["other-metal"] {
		t.Errorf("alternatives offered: %v", kinds)
	}
	for _, m := range Metrics() {
		if _, ok := r.Values()[m.Key]; !ok {
			t.Errorf("metric %s has no value", m.Key)
		}
	}
}

func TestOutsideAndTooHot(t *testing.T) {
	in := readCases(t).Cases[0].Input()
	if fs := in.Outside(); len(fs) != 0 {
		t.Errorf("the reference tray lies outside: %v", fs)
	}
	for key, change := range map[string]func(*Input){
		"heat.range_gap": func(in *Input) { in.Gap = 0.1 }, "heat.range_walls": func(in *Input) { in.WallHeight = 0.2 },
		"heat.range_metal": func(in *Input) { in.Sheet.Conductivity = 0.2 },
	} {
		v := in
		change(&v)
		if !finding.Has(v.Outside(), key) {
			t.Errorf("no %s", key)
		}
	}
	hot := in.scaled(6)
	if _, err := Series(&hot); !errors.Is(err, ErrTooHot) {
		t.Fatalf("216 W gives %v", err)
	}
	f := TooHot(&hot, DefaultLimits())
	if f.Severity != finding.Stop || !strings.Contains(f.Mend, "% of the watts") {
		t.Errorf("%+v", f)
	}
}
