package circuit

import (
	"encoding"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Dimmest over brightest unit by wiring, computed with an independent Newton
// solver that matches ngspice: 6 rows of 12 units of 12 V strip 40 mm apart,
// and 8 rows of 7 units of 24 V strip, 2 oz 4 mm rails, 1.2 m of 18 AWG lead.
// There the lead was equally long in every scheme, so the detour in lead wire
// is what the tolerance allows for besides rounding.
func TestWiringTable(t *testing.T) {
	twelve := Unit{Kind: SeriesDiode, VNom: 12, Series: 3, IS: 1.3e-20, Ideality: 2.5, RS: 1, RBallast: 50}
	for _, c := range []struct {
		unit        Unit
		rows, units int
		pitch, awg  float64
		want        [5]float64 // FeedFirst to FeedOppositeReverse
	}{
		{twelve, 6, 12, 0.04, 24, [5]float64{0.972, 0.984, 0.989, 0.977, 0.994}},
		{twelve, 6, 12, 0.04, 20, [5]float64{0.984, 0.989, 0.991, 0.990, 0.997}},
		{diodeUnit, 8, 7, 0.03, 24, [5]float64{0.996, 0.998, 0.999, 0.996, 0.999}},
	} {
		for s, want := range c.want {
			l := tray(c.rows, c.units, c.unit, Scheme(s))
			l.Bus, l.Pitch = AWG(c.awg).Solid(), []float64{c.pitch}
			sol, err := l.Solve()
			if err != nil {
				t.Fatal(err)
			}
			if math.Abs(sol.MinOverMax-want) > 6e-4 {
				t.Errorf("%g V, %g AWG, %s: %.4f, want %.3f", c.unit.VNom, c.awg, Scheme(s), sol.MinOverMax, want)
			}
		}
	}
}

// Plus at the first row and minus at the last beats feeding at one row; both
// beat the serpentine; and the adviser says so.
func TestAdvise(t *testing.T) {
	l := tray(12, 12, diodeUnit, FeedFirst)
	l.Bus = AWG(28)
	list, err := Advise(l)
	if err != nil {
		t.Fatal(err)
	}
	even := map[Scheme]float64{}
	for _, a := range list {
		even[a.Scheme] = a.Evenness
		if a.Why == "" || a.Joints == 0 || a.WireLength() <= 0 || a.Meets != (a.Evenness >= EvenTarget) {
			t.Errorf("%+v", a)
		}
	}
	if len(list) != len(Schemes()) {
		t.Errorf("%d schemes advised on", len(list))
	}
	if !(even[FeedReverseReturn] > even[FeedFirst] && even[FeedFirst] > even[FeedSerpentine]) {
		t.Errorf("evenness by scheme: %v", even)
	}
	if !slices.IsSortedFunc(list, func(a, b Advice) int {
		switch {
		case a.Meets == b.Meets:
			return 0
		case a.Meets:
			return -1
		}
		return 1
	}) {
		t.Error("a scheme that misses the target stands before one that reaches it")
	}
	// A thinner bus is never the more even one.
	l.Bus = AWG(20)
	thick, err := Advise(l)
	if err != nil {
		t.Fatal(err)
	}
	for _, a := range thick {
		if a.Evenness < even[a.Scheme]-1e-12 {
			t.Errorf("%s: %.5f with 20 AWG, %.5f with 28", a.Scheme, a.Evenness, even[a.Scheme])
		}
	}
}

// Taps 2n with rows wired at one end, 4n at both; a serpentine has four joints
// a turn; four more for the two leads.
func TestWiringCount(t *testing.T) {
	l := tray(6, 10, diodeUnit, FeedFirst)
	for s, want := range map[Scheme]int{FeedFirst: 12 + 4, FeedReverseReturn: 12 + 4, FeedOpposite: 12 + 4, FeedBothEnds: 24 + 4 + 4, FeedSerpentine: 20 + 4} {
		l.Feed = s
		if got := l.Wiring().Joints; got != want {
			t.Errorf("%s: %d joints, want %d", s, got, want)
		}
	}
	l.Feed = FeedReverseReturn
	relativeLength := l.Wiring().LeadLength - 2*l.LeadLength
	if math.Abs(relativeLength-5*0.03) > 1e-12 {
		t.Errorf("reverse return takes %g m more lead, want the span of 0.15 m", relativeLength)
	}
}

func TestSchemeText(t *testing.T) {
	for _, s := range Schemes() {
		var _ encoding.TextMarshaler = s
		b, err := s.MarshalText()
		if err != nil {
			t.Fatal(err)
		}
		var back Scheme
		if err := back.UnmarshalText(b); err != nil || back != s {
			t.Errorf("%s reads back as %s (%v)", b, back, err)
		}
	}
	var s Scheme
	if err := s.UnmarshalText([]byte("star")); err == nil || !strings.Contains(err.Error(), "reverse-return") {
		t.Errorf("an unknown scheme gives %v", err)
	}
}

// Two channels share the plus rail: each dims the other a little, never
// brightens it; switched off it carries nothing; averages follow the duty.
func TestTwoChannels(t *testing.T) {
	for _, interleaved := range []bool{false, true} {
		l := tray(6, 10, diodeUnit, FeedMiddle)
		l.Channels = append(l.Channels, Channel{Unit: pwlUnit})
		l.Interleaved = interleaved
		both, err := l.Solve()
		if err != nil {
			t.Fatal(err)
		}
		l.Channels[1].Off = true
		one, err := l.Solve()
		if err != nil {
			t.Fatal(err)
		}
		a, b := l.ByChannel(both), l.ByChannel(one)
		if !(b[0].Mean > a[0].Mean && a[0].Mean > 0.97*b[0].Mean) {
			t.Errorf("interleaved %v: channel 1 draws %g A with channel 2 on, %g A alone", interleaved, a[0].Mean, b[0].Mean)
		}
		if b[1].Lit != 0 || len(l.Averages(one)) != 2 || l.Averages(one)[1].Current != 0 {
			t.Errorf("interleaved %v: channel 2 is off and lit %d units", interleaved, b[1].Lit)
		}
		l.Channels[1].Off, l.Channels[1].Duty = false, 0.25
		av := l.Averages(both)
		full := both.Rows[1].Second.Current() * 6
		if interleaved {
			full = both.Rows[1].Current * 3
		}
		relative(t, "quarter duty", av[1].Current, 0.25*full, 5e-3) // rows differ a little
		relative(t, "sum of averages", av[0].Current+av[1].Current/0.25, both.SupplyCurrent, 1e-9)
		if f := l.FullOn(); f.Channels[1].Duty != 1 || l.Channels[1].Duty != 0.25 {
			t.Error("FullOn changed its receiver or not its result")
		}
	}
}

// More copper, a shorter lead or a stiffer supply never makes a lamp dimmer.
func TestMoreCopperIsBrighter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := tray(rapid.IntRange(1, 6).Draw(t, "rows"), rapid.IntRange(1, 10).Draw(t, "units"),
			rapid.SampledFrom(testUnits).Draw(t, "unit"), Scheme(rapid.IntRange(0, 6).Draw(t, "feed")))
		before, err := l.Solve()
		if err != nil {
			t.Fatal(err)
		}
		switch rapid.IntRange(0, 3).Draw(t, "what") {
		case 0:
			l.Bus.Area *= 2
		case 1:
			l.LeadLength /= 2
		case 2:
			l.RInt /= 2
		case 3:
			l.RailR /= 2
		}
		after, err := l.Solve()
		if err != nil {
			t.Fatal(err)
		}
		if after.SupplyCurrent < before.SupplyCurrent*(1-1e-9) {
			t.Fatalf("current fell from %g A to %g A", before.SupplyCurrent, after.SupplyCurrent)
		}
	})
}

func TestLayoutRefusals(t *testing.T) {
	for name, spoil := range map[string]func(*Layout){
		"12 V in °C":    func(l *Layout) { l.BusK = 40 },
		"no rows":       func(l *Layout) { l.RowUnits = nil },
		"pitch":         func(l *Layout) { l.Pitch = []float64{0.1, 0.2, 0.3} },
		"cut length mm": func(l *Layout) { l.CutLength = 50 },
		"no channel":    func(l *Layout) { l.Channels = nil },
		"duty":          func(l *Layout) { l.Channels[0].Duty = 50 },
		"joint":         func(l *Layout) { l.Joints = [][]int{{9}, nil, nil} },
		"wire":          func(l *Layout) { l.Bus = Wire{} },
		"lead":          func(l *Layout) { l.LeadLength = math.NaN() },
		"tap":           func(l *Layout) { l.RTap = math.Inf(1) },
		"interleaved":   func(l *Layout) { l.Interleaved = true },
		"feed":          func(l *Layout) { l.Feed = 99 },
	} {
		l := tray(3, 4, diodeUnit, FeedFirst)
		spoil(&l)
		if _, err := l.Solve(); err == nil || !strings.Contains(err.Error(), "layout") {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// The searches run these by the hundred thousand: no garbage.
func TestNoAllocations(t *testing.T) {
	l := tray(12, 12, diodeUnit, FeedFirst)
	f, _ := l.Folded()
	folded := NewFolded(12, 12)
	n, err := l.Network()
	if err != nil {
		t.Fatal(err)
	}
	general, err := Compile(n)
	if err != nil {
		t.Fatal(err)
	}
	c, _, err := l.Chain(NewRowTable)
	if err != nil {
		t.Fatal(err)
	}
	chain := NewChain(12)
	for name, run := range map[string]func() error{
		"folded":  func() error { _, err := folded.Solve(&f); return err },
		"general": general.Run,
		"chain":   func() error { _, err := chain.Solve(&c); return err },
	} {
		if a := testing.AllocsPerRun(20, func() {
			if err := run(); err != nil {
				t.Fatal(err)
			}
		}); a != 0 {
			t.Errorf("%s: %g allocations a run", name, a)
		}
	}
}

// Case C02 of the reference networks, solved by ngspice 39: 1.626163567 A,
// 0.997012483, 0.288092999 W.
func ExampleLayout() {
	lamp := Layout{
		VOC: 24, RInt: 0.05,
		RowUnits: []int{7, 7, 7, 7, 7, 7, 7, 7}, Pitch: []float64{0.03}, CutLength: 0.05,
		RailR:    RailResistance(2, 0.004, 293.15),
		Channels: []Channel{{Unit: Unit{Kind: SeriesDiode, VNom: 24, Series: 6, IS: 4.2e-21, Ideality: 2.5, RS: 3, RBallast: 220}}},
		Feed:     FeedFirst, Bus: AWG(22).Solid(), Lead: AWG(20).Solid(), LeadLength: 1.5, RTap: 0.001,
	}
	s, err := lamp.Solve()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.4f A, dimmest unit %.2f %% of the brightest, %.3f W lost in copper\n", s.SupplyCurrent, 100*s.MinOverMax, s.Loss.Lamp())
	// Output: 1.6262 A, dimmest unit 99.70 % of the brightest, 0.288 W lost in copper
}
