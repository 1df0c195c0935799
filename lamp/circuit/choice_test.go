package circuit

import (
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"
)

// Every finding is raised by a lamp that deserves it and not by one that does
// not; every one names its number, cause, mend and source.
func TestFindings(t *testing.T) {
	quiet := func() ReviewInput {
		l := tray(8, 7, diodeUnit, FeedReverseReturn)
		l.RContact = 0.002
		return ReviewInput{Layout: l, SupplyWatts: 60, Plug: TerminalBlock}
	}
	if r, err := Review(quiet()); err != nil || len(r.Findings) != 0 {
		t.Fatalf("the quiet lamp has %v %v", r.Findings, err)
	}
	for key, spoil := range map[string]func(*ReviewInput){
		"circuit.wire_current":   func(in *ReviewInput) { in.BusRating = 1 },
		"circuit.wire_thin":      func(in *ReviewInput) { in.Layout.Bus = AWG(32) },
		"circuit.supply_rating":  func(in *ReviewInput) { in.SupplyWatts = 40 },
		"circuit.supply_class":   func(in *ReviewInput) { in.SupplyWatts, in.Limit = 120, Class2 },
		"circuit.supply_none":    func(in *ReviewInput) { in.SupplyWatts = 0; in.Layout.RowUnits = many(60, 14) },
		"circuit.fuse_wire":      func(in *ReviewInput) { in.Fuse = 10 },
		"circuit.fuse_small":     func(in *ReviewInput) { in.Fuse = 1.6 },
		"circuit.fuse_supply":    func(in *ReviewInput) { in.Fuse = 4 },
		"circuit.fuse_volts":     func(in *ReviewInput) { in.Fuse, in.FuseVolts = 2.5, 12 },
		"circuit.fuse_none":      func(in *ReviewInput) { in.Layout.RowUnits = many(40, 14) },
		"circuit.plug_current":   func(in *ReviewInput) { in.Plug = StripClip },
		"circuit.dimmer_current": func(in *ReviewInput) { in.Dimmer.Rated = 1.8 },
		"circuit.dimmer_whine":   func(in *ReviewInput) { in.Dimmer.Rated, in.Dimmer.Frequency = 5, 1000 },
		"circuit.dimmer_mains":   func(in *ReviewInput) { in.Dimmer.Rated, in.Dimmer.Mains = 5, true },
		"circuit.dimmer_analog":  func(in *ReviewInput) { in.Dimmer.Rated, in.Dimmer.Analog = 5, true },
		"circuit.over_voltage":   func(in *ReviewInput) { in.Layout.VOC = 27 },
		"circuit.under_voltage":  func(in *ReviewInput) { in.Layout.VOC = 20 },
		"circuit.dark_units":     func(in *ReviewInput) { in.Layout.VOC = 12; in.Layout.Channels[0].Unit = pwlUnit },
		"circuit.evenness": func(in *ReviewInput) {
			in.Layout.RailR = 5
		},
		"circuit.voltage_drop": func(in *ReviewInput) { in.Layout.LeadLength = 12 },
		"circuit.run_length":   func(in *ReviewInput) { in.Layout.Feed = FeedSerpentine; in.Layout.RowUnits = many(8, 14) },
		"circuit.short_unseen": func(in *ReviewInput) { in.SupplyWatts, in.Layout.LeadLength, in.NoFuse = 350, 45, true },
	} {
		in := quiet()
		spoil(&in)
		r, err := Review(in)
		if err != nil {
			t.Errorf("%s: %v", key, err)
			continue
		}
		if !finding.Has(r.Findings, key) {
			t.Errorf("%s is not raised; there are %v", key, r.Findings)
		}
		for _, f := range r.Findings {
			if f.What == "" || f.Cause == "" || f.Mend == "" || f.Source == "" || !strings.HasPrefix(f.Key, "circuit.") {
				t.Errorf("%+v is incomplete", f)
			}
		}
	}
	for _, f := range []finding.Finding{MainsInrush(3)} {
		if f.Key != "circuit.inrush_mains" || f.Mend == "" {
			t.Errorf("%+v", f)
		}
	}
}

func many(rows, units int) []int {
	out := make([]int, rows)
	for i := range out {
		out[i] = units
	}
	return out
}

// Class 2 and LPS: 12 V ends at 60 W, 24 V at 100 W, 48 V at 100 W
// (IEC 60950-1 table 2B; NEC chapter 9 table 11(B)).
func TestPowerLimitCap(t *testing.T) {
	for _, c := range []struct {
		p          PowerLimit
		v, w, amps float64
	}{
		{Class2, 12, 60, 5}, {Class2, 24, 100, 100.0 / 24}, {Class2, 48, 100, 100.0 / 48},
		{LimitedPowerSource, 12, 60, 5}, {LimitedPowerSource, 5, 25, 5}, {LimitedPowerSource, 24, 100, 100.0 / 24},
		{NoPowerLimit, 24, math.Inf(1), math.Inf(1)},
	} {
		w, a := c.p.Cap(c.v)
		if math.Abs(w-c.w) > 1e-9 || math.Abs(a-c.amps) > 1e-9 {
			t.Errorf("%s at %g V: %g W %g A, want %g W %g A", c.p, c.v, w, a, c.w, c.amps)
		}
	}
}

// 10 CFR 430.32(w), level VI: 24 W 0.862, 36 W 0.874, 48 W 0.878, above 49 W
// 0.88.
func TestDefaultEfficiency(t *testing.T) {
	for w, want := range map[float64]float64{24: 0.862, 36: 0.874, 48: 0.878, 120: 0.88} {
		if got := DefaultEfficiency(w); math.Abs(got-want) > 5e-4 {
			t.Errorf("%g W: %.4f, want %.3f", w, got, want)
		}
	}
}

// Next standard rating at or above 1.2 times the load, next standard fuse at
// or above 1.25 times the current.
func TestNextStandard(t *testing.T) {
	for _, c := range []struct{ amp, watts, fuse float64 }{
		{1, 30, 1.25}, {1.67, 60 - 12, 2.5}, {2, 60, 2.5}, {2.5, 72, 3.15}, {4, 120, 5},
	} {
		s, _ := ChooseSupply(SupplyNeed{VOC: 24, Current: c.amp})
		f, _ := ChooseFuse(FuseNeed{Current: c.amp})
		want := c.watts
		if c.amp == 1.67 {
			want = 60 // 48 W is 0.1 W short of 1.2 times 40.1 W
		}
		if s.Rating != want || f.Value != c.fuse {
			t.Errorf("%g A at 24 V: %g W and %g A, want %g W and %g A", c.amp, s.Rating, f.Value, want, c.fuse)
		}
	}
	if f, _ := ChooseFuse(FuseNeed{Current: 4, Blade: true}); f.Value != 5 {
		t.Errorf("blade for 4 A: %g A", f.Value)
	}
}

// 5 A through 0.1 Ω in each pole: 2.5 W each.
func TestPlugHeat(t *testing.T) {
	c, fs := CheckPlug(PlugUse{Plug: BarrelSoldered, Current: 5, ContactR: 0.1})
	if math.Abs(c.Heat-5) > 1e-12 || len(fs) != 1 || fs[0].Severity != finding.Warn {
		t.Errorf("%+v %v", c, fs)
	}
}

// A short behind r_int and the loop of leads: I = V/(sum); a big supply behind
// thin wire does not notice it.
func TestShorts(t *testing.T) {
	l := tray(3, 4, diodeUnit, FeedFirst)
	n, err := l.Network()
	if err != nil {
		t.Fatal(err)
	}
	list, err := Shorts(n)
	if err != nil {
		t.Fatal(err)
	}
	lead := AWG(18).Solid().OhmPerM(293.15) * 1.2
	bus := AWG(20).Solid().OhmPerM(293.15) * 0.06
	loop := 0.05 + 2*(lead+0.005+bus+0.001+4*l.RailR*0.05)
	far := list[0]
	if far.Row != 2 || !far.Right {
		t.Errorf("weakest at %+v", far)
	}
	relative(t, "weakest short", far.Current, 24/loop, 1e-9)
	if len(CheckShort(ShortUse{Prospective: 10, SupplyRated: 4, Fuse: 2.5, WireLimit: 5})) != 0 {
		t.Error("a short that the supply notices is reported")
	}
	if (ShortUse{Prospective: 100, SupplyRated: 2.5, Fuse: 2.5}).FuseClears() || !(ShortUse{Prospective: 100, SupplyRated: 15, Fuse: 2.5}).FuseClears() {
		t.Error("a 2.5 A brick gives at most 3.75 A, which does not clear a 2.5 A fuse; a 15 A supply does")
	}
	fs := CheckShort(ShortUse{Prospective: 10, SupplyRated: 15, Fuse: 0, WireLimit: 5})
	if len(fs) != 1 || fs[0].Severity != finding.Stop || !fs[0].NoOverride {
		t.Errorf("10 A in a 15 A supply without fuse: %v", fs)
	}
}
