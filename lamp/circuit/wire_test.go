package circuit

import (
	"fmt"
	"math"
	"testing"
)

// Copper foil: 1.7241e-8 Ω·m (IEC 60028) over 34.8 µm an ounce per square foot
// (IPC-4562), 20 °C.
func TestRailResistance(t *testing.T) {
	for _, c := range []struct{ oz, mm, want float64 }{
		{1, 2, 0.2477}, {1, 5, 0.0991}, {2, 3, 0.0826}, {2, 4, 0.0619}, {3, 3, 0.0550}, {3, 5, 0.0330},
	} {
		relative(t, fmt.Sprintf("%g oz %g mm", c.oz, c.mm), RailResistance(c.oz, c.mm*1e-3, 293.15), c.want, 1.5e-3)
	}
	relative(t, "40 K warmer", RailResistance(2, 0.004, 333.15)/RailResistance(2, 0.004, 293.15), 1+0.00393*40, 1e-12)
}

// Solid copper at 20 °C, Ω/km: National Bureau of Standards Handbook 100,
// Copper Wire Tables (1966), table 2, rounded to four digits; areas mm².
func TestGauges(t *testing.T) {
	for _, c := range []struct{ awg, mm2, ohmKm float64 }{
		{14, 2.081, 8.286}, {16, 1.309, 13.17}, {18, 0.823, 20.95}, {20, 0.518, 33.31},
		{22, 0.326, 52.96}, {24, 0.205, 84.22}, {26, 0.129, 133.9}, {28, 0.0810, 212.9},
	} {
		w := AWG(c.awg).Solid()
		relative(t, fmt.Sprintf("%g AWG area", c.awg), w.SquareMM(), c.mm2, 2e-3)
		relative(t, fmt.Sprintf("%g AWG resistance", c.awg), w.OhmPerM(293.15)*1e3, c.ohmKm, 1e-3)
		relative(t, "gauge back", w.Gauge(), c.awg, 1e-12)
	}
}

// 22 AWG, 0.3 mm² and a wire of 1 mm diameter are three different things.
func ExampleWire() {
	fmt.Println(AWG(22), "|", SquareMM(0.3), "|", DiameterMM(1))
	// Output: 0.33 mm² (22 AWG) | 0.3 mm² (22 AWG) | 0.79 mm² (18 AWG)
}

// Flexible conductors, IEC 60228 class 5, Ω/km at 20 °C.
func TestFlexibleMM(t *testing.T) {
	for mm2, ohmKm := range map[float64]float64{0.5: 39.0, 0.75: 26.0, 1: 19.5, 1.5: 13.3, 2.5: 7.98, 4: 4.95} {
		w, err := FlexibleMM(mm2)
		if err != nil || w.Validate() != nil {
			t.Fatal(err, w.Validate())
		}
		relative(t, fmt.Sprintf("%g mm²", mm2), w.OhmPerM(293.15)*1e3, ohmKm, 1e-12)
	}
	if _, err := FlexibleMM(0.6); err == nil {
		t.Error("0.6 mm² was accepted as a nominal size")
	}
}

// Limits hold at the gauges, rise with copper and never exceed 15 A.
func TestWireLimit(t *testing.T) {
	for _, c := range []struct{ awg, amp float64 }{{14, 15}, {18, 7}, {20, 5}, {22, 3}, {24, 2}, {28, 0.8}} {
		if amp, ok := AWG(c.awg).Limit(); !ok || math.Abs(amp-c.amp) > 1e-9 {
			t.Errorf("%g AWG: %g A, want %g A", c.awg, amp, c.amp)
		}
	}
	last := 0.0
	for mm2 := 0.081; mm2 < 5; mm2 *= 1.02 {
		amp, ok := SquareMM(mm2).Limit()
		if !ok || amp < last || amp > 15 {
			t.Fatalf("%g mm²: %g A after %g A", mm2, amp, last)
		}
		last = amp
	}
	if _, ok := AWG(30).Limit(); ok {
		t.Error("30 AWG has a limit")
	}
	// Physical estimate: 20 AWG, 1.8 mm over insulation, 20 K above 293 K air.
	relative(t, "free air", AWG(20).Solid().FreeAirCurrent(1.8e-3, 20, 293.15), 7.3, 0.05)
}

// Longest single-feed run: fin equation, λ = √(2·r·i'/((VNom-V0)·…)), with
// knees that leave 3.9 V (12 V strip) and 7.8 V (24 V strip) of headroom.
func TestLongestRun(t *testing.T) {
	for _, c := range []struct {
		v, head, watts, oz, mm  float64
		lambda, at5, at10, at20 float64
	}{
		{12, 3.9, 14.4, 1, 3, 0.3187, 1.01, 1.47, 2.17},
		{12, 3.9, 14.4, 2, 4, 0.1952, 1.66, 2.39, 3.55},
		{24, 7.8, 14.4, 2, 4, 0.0976, 3.31, 4.79, 7.10},
		{24, 7.8, 24, 2, 4, 0.1260, 2.56, 3.71, 5.50},
	} {
		i := c.watts / c.v * 0.05
		in := RunInput{
			Unit:      Unit{Kind: PiecewiseLinear, VNom: c.v, V0: c.v - c.head, R: c.head / i},
			CutLength: 0.05, RailR: RailResistance(c.oz, c.mm*1e-3, 293.15),
		}
		for loss, want := range map[float64]float64{0.05: c.at5, 0.1: c.at10, 0.2: c.at20} {
			in.Loss = loss
			got, err := LongestRun(in)
			if err != nil {
				t.Fatal(err)
			}
			relative(t, "length", got.Length, want, 5e-3)
			relative(t, "λ", got.PerM, c.lambda, 1e-3)
		}
	}
}

// The closed form and the ladder agree: a run of that length loses that much.
func TestLongestRunIsTheLadders(t *testing.T) {
	u := pwlUnit
	l := tray(1, 100, u, FeedFirst)
	l.CutLength, l.RInt, l.LeadLength, l.RContact, l.RTap = 0.05, 0, 0, 0, 0
	lim, err := LongestRun(RunInput{Unit: u, CutLength: 0.05, RailR: l.RailR, Loss: 0.1})
	if err != nil {
		t.Fatal(err)
	}
	n := int(math.Round(lim.Length / 0.05))
	l.RowUnits = []int{n}
	sol, err := l.Solve()
	if err != nil {
		t.Fatal(err)
	}
	// Rounding to whole units moves the loss by about a hundredth of itself.
	relative(t, "loss at the far end", 1-sol.MinOverMax, 0.1, 0.03)
}

// A strip read at both ends gives back the rail it was solved with: for an
// even load V0-VL = r·I·L.
func TestCalibratedRail(t *testing.T) {
	l := tray(1, 40, ccUnit, FeedFirst)
	l.RInt, l.LeadLength, l.RContact, l.RTap = 0, 0, 0, 0
	l.Channels[0].Unit.Slope = 0
	sol, err := l.Solve()
	if err != nil {
		t.Fatal(err)
	}
	v := sol.Rows[0].First.V
	got, err := CalibratedRail(24, v[39], sol.SupplyCurrent, 2)
	if err != nil {
		t.Fatal(err)
	}
	relative(t, "rail", got, l.RailR, 5e-3)
	if _, err := CalibratedRail(24, 12, 5, 5); err == nil {
		t.Error("half the voltage lost was accepted as an even load")
	}
}
