package predict

import (
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/light/colour"
)

// Two strips that differ in colour alone make by turns the lamp that either
// would make, but for the spectrum; each alone gives half.
func TestInterleaved(t *testing.T) {
	s := testSpec()
	s.Feed = "opposite-ends-reverse"
	plain := work(t, s)
	s.Second = "warm"
	both := work(t, s)
	near := func(what string, a, b, by float64) {
		t.Helper()
		if math.Abs(a-b) > by*math.Abs(b) {
			t.Errorf("%s: %v, want %v", what, a, b)
		}
	}
	for _, key := range []string{StripPower, FluxLED, SupplyCurrent, MeterLux, FaceMean} {
		// The minus buses of either strip carry half the current over the same
		// length, and warmth follows the spectrum a little.
		near(key, both.Numbers[key], plain.Numbers[key], 0.01)
	}
	near("label", both.Lamp.LabelPower(), plain.Lamp.LabelPower(), 1e-12)
	if k := both.Numbers[CCT]; k < 3100 || k > 3900 {
		t.Errorf("2700 K and 5000 K by turns give %v K", k)
	}
	if len(both.Box.Rows) != s.Rows || len(both.RowCurrent) != s.Rows || both.Lamp.LEDsPerRow() != plain.Lamp.LEDsPerRow() {
		t.Errorf("%d rows of light, %d currents, %d LEDs a row", len(both.Box.Rows), len(both.RowCurrent), both.Lamp.LEDsPerRow())
	}
	names := both.Lamp.ChannelNames()
	if names[0] != "cool" || names[1] != "warm" {
		t.Fatalf("channels %v: the strip is of 5000 K, the second of 2700 K", names)
	}
	s.Drive = map[string]float64{"cool": 0}
	warm := work(t, s)
	near("warm alone, power", warm.Numbers[StripPower], both.Numbers[StripPower]/2, 0.02)
	near("warm alone, kelvin", warm.Numbers[CCT], 2700, 0.03)
	for i, row := range warm.Box.Rows {
		sum := 0.0
		for _, f := range row.Fluxes {
			sum += f
		}
		if lit := i%2 == 1; lit != (sum > 0) {
			t.Errorf("row %d gives %v lm with the cool strip off", i+1, sum)
		}
	}
	if warm.Numbers[Ripple] < both.Numbers[Ripple] {
		t.Errorf("every second row lit ripples by %v, all rows by %v", warm.Numbers[Ripple], both.Numbers[Ripple])
	}
}

// Shallow trays show stripes of two colours, deep ones with close rows do not.
func TestColourStripes(t *testing.T) {
	at := func(rows int, depth float64) Result {
		s := testSpec()
		s.Second, s.Rows = "warm", rows
		return workDeep(t, s, depth)
	}
	deep, flat := at(14, 0.09), at(6, 0.025)
	if d := deep.Numbers[ColourStripe]; d > 0.0033 || finding.Has(deep.Findings, "optics.colour_stripes") {
		t.Errorf("deep: %v", d)
	}
	if d := flat.Numbers[ColourStripe]; d < 0.0077 || !finding.Has(flat.Findings, "optics.colour_stripes") {
		t.Errorf("flat: %v", d)
	}
	// The whole way between the two colours is the most there can be.
	alone := func(other string) (u, v float64) {
		s := testSpec()
		s.Second, s.Drive = "warm", map[string]float64{other: 0}
		r := work(t, s)
		c, err := colour.Tristimulus2(&r.Spectrum)
		if err != nil {
			t.Fatal(err)
		}
		d := c.X + 15*c.Y + 3*c.Z
		return 4 * c.X / d, 9 * c.Y / d
	}
	u0, v0 := alone("warm")
	u1, v1 := alone("cool")
	if d := flat.Numbers[ColourStripe]; d >= math.Hypot(u1-u0, v1-v0) {
		t.Errorf("stripes %v apart, the strips' colours %v", d, math.Hypot(u1-u0, v1-v0))
	}
	if _, told := work(t, testSpec()).Numbers[ColourStripe]; told {
		t.Error("one strip has stripes of two colours")
	}
}

func TestScreenInterleaved(t *testing.T) {
	for _, rows := range []int{4, 7, 8, 13} {
		for _, drive := range []map[string]float64{nil, {"cool": 0.3}, {"warm": 0}} {
			s := testSpec()
			s.Second, s.Rows, s.Drive = "warm", rows, drive
			l := build(t, s)
			p, err := Prepare(l)
			if err != nil {
				t.Fatal(err)
			}
			quick, err := p.Screen(l)
			if err != nil {
				t.Fatal(err)
			}
			full, err := p.Lamp(l)
			if err != nil {
				t.Fatal(err)
			}
			for key, x := range map[string]float64{FluxLED: quick.FluxLED, StripPower: quick.StripPower, SupplyCurrent: quick.Current, SupplyNeeded: quick.SupplyNeeded, MeterLux: quick.MeterLux} {
				if math.Abs(x/full.Numbers[key]-1) > ScreenBound {
					t.Errorf("%d rows, %v: %s screened %v, in full %v", rows, drive, key, x, full.Numbers[key])
				}
			}
			if math.Abs(quick.CCT-full.Numbers[CCT]) > 60 {
				t.Errorf("%d rows, %v: screened %v K, in full %v K", rows, drive, quick.CCT, full.Numbers[CCT])
			}
		}
	}
}

func TestInterleaveRefuses(t *testing.T) {
	for say, change := range map[string]func(*lamp.Spec, *part.Set){
		"one channel each":            func(s *lamp.Spec, _ *part.Set) { s.Second = "two" },
		"alike but for":               func(s *lamp.Spec, _ *part.Set) { s.Second = "steady" },
		"200 K apart":                 func(s *lamp.Spec, _ *part.Set) { s.Second = "strip" },
		"2 or more":                   func(s *lamp.Spec, _ *part.Set) { s.Second, s.Rows = "warm", 1 },
		"serpentine":                  func(s *lamp.Spec, _ *part.Set) { s.Second, s.Feed = "warm", "serpentine" },
		"is not in the catalogue":     func(s *lamp.Spec, _ *part.Set) { s.Second = "gone" },
		"has cut":                     func(s *lamp.Spec, p *part.Set) { s.Second = "warm"; p.Strips[3].Cut = 0.1 },
		`drive names channel "white"`: func(s *lamp.Spec, _ *part.Set) { s.Second = "warm"; s.Drive = map[string]float64{"white": 0.5} },
	} {
		s, set := testSpec(), testSet()
		change(&s, &set)
		if _, err := lamp.Build(s, set); err == nil || !strings.Contains(err.Error(), say) {
			t.Errorf("%s: %v", say, err)
		}
	}
}
