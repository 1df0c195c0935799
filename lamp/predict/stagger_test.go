package predict

import (
	"math"
	"testing"
)

// LEDs over gaps: the dots of a flat tray with few LEDs blend better, and the
// light as a whole stays what it was.
func TestStaggered(t *testing.T) {
	at := func(staggered bool, depth float64) Result {
		s := testSpec()
		s.Rows, s.Staggered = 11, staggered
		return workDeep(t, s, depth)
	}
	for _, depth := range []float64{0.015, 0.05} {
		square, by := at(false, depth), at(true, depth)
		if by.Lamp.Stagger() != by.Lamp.LEDPitch()/2 || math.Abs(by.Lamp.RowX(1)-by.Lamp.RowX(0)-by.Lamp.Stagger()) > 1e-12 || square.Lamp.Stagger() != 0 {
			t.Fatalf("shifted by %v", by.Lamp.Stagger())
		}
		if d := by.Box.Rows[1].X0 - by.Box.Rows[0].X0; math.Abs(d-by.Lamp.Stagger()) > 1e-12 {
			t.Errorf("LEDs shifted by %v", d)
		}
		for _, key := range []string{FluxLED, MeterLux, FaceMean, StripPower} {
			if math.Abs(by.Numbers[key]/square.Numbers[key]-1) > 0.01 {
				t.Errorf("%v m deep, %s: %v staggered, %v in line", depth, key, by.Numbers[key], square.Numbers[key])
			}
		}
		if depth < 0.02 && by.Numbers[Ripple] > 1.01*square.Numbers[Ripple] {
			t.Errorf("%v m deep: ripple %v staggered, %v in line", depth, by.Numbers[Ripple], square.Numbers[Ripple])
		}
	}
	p, err := Prepare(at(true, 0.05).Lamp)
	if err != nil {
		t.Fatal(err)
	}
	quick, err := p.Screen(at(true, 0.05).Lamp)
	if err != nil {
		t.Fatal(err)
	}
	if full := at(true, 0.05).Numbers[MeterLux]; math.Abs(quick.MeterLux/full-1) > ScreenBound {
		t.Errorf("screened %v lx, in full %v lx", quick.MeterLux, full)
	}
}
