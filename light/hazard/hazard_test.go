package hazard

import (
	"fmt"
	"math"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
	"pgregory.net/rapid"
)

func illuminant(t testing.TB, name string) spectrum.Spectrum {
	t.Helper()
	s, err := spectrum.Illuminant(name)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// ExampleBlueEfficacy: a white face of daylight colour reaches the limit of
// 100 W/(m²·sr) near 100 000 cd/m².
func ExampleBlueEfficacy() {
	s, err := spectrum.Illuminant("D65")
	if err != nil {
		panic(err)
	}
	k, err := BlueEfficacy(&s)
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.1f kcd/m²\n", 0.1/k)
	// Output: 101.5 kcd/m²
}

// TestWeightPoints: IEC 62471:2006 tables 4.1 and 4.2.
func TestWeightPoints(t *testing.T) {
	for _, c := range []struct {
		name string
		f    func(float64) float64
		at   map[float64]float64
	}{
		{"B", Blue, map[float64]float64{299: 0, 300: 0.01, 350: 0.01, 385: 0.013, 415: 0.8, 435: 1, 440: 1, 475: 0.55, 495: 0.16, 550: 0.01, 600: 0.001, 700: 0.001, 701: 0}},
		{"R", Thermal, map[float64]float64{379: 0, 380: 0.1, 415: 8, 440: 10, 500: 1, 700: 1, 1000: 0.251189, 1100: 0.2, 1175: 0.0632456, 1300: 0.02, 1401: 0}},
		{"S", Actinic, map[float64]float64{199: 0, 200: 0.03, 254: 0.5, 270: 1, 300: 0.3, 315: 0.003, 365: 1.0996e-4, 400: 3e-5, 401: 0}},
	} {
		for nm, want := range c.at {
			if got := c.f(nm); math.Abs(got-want) > 1e-4*want {
				t.Errorf("%s(%g nm) = %g, want %g", c.name, nm, got, want)
			}
		}
		if got := c.f(math.NaN()); got != 0 {
			t.Errorf("%s(NaN) = %g", c.name, got)
		}
	}
}

// TestActinicAgainstClosedForm: the formula of ICNIRP 2004 follows the table
// within 29 % between 315 and 325 nm and 11 % elsewhere above 210 nm.
func TestActinicAgainstClosedForm(t *testing.T) {
	formula := func(l float64) float64 {
		switch {
		case l <= 270:
			return math.Pow(0.959, 270-l)
		case l <= 300:
			return 1 - 0.36*math.Pow((l-270)/20, 1.64)
		}
		return 0.3*math.Pow(0.736, l-300) + math.Pow(10, 2-0.0163*l)
	}
	for _, p := range actinicTable {
		if p[0] < 210 {
			continue
		}
		limit := 0.15
		if p[0] >= 315 && p[0] <= 325 {
			limit = 0.3
		}
		if off := math.Abs(formula(p[0])/p[1] - 1); off > limit {
			t.Errorf("at %g nm the table and the formula differ by %.0f %%", p[0], 100*off)
		}
	}
}

// TestBorders: figures for light sources from the published spectra.
func TestBorders(t *testing.T) {
	for name, want := range map[string][2]float64{
		"D65": {101_500, 1015}, "LED-B5": {113_100, 1131}, "LED-B3": {185_300, 1853}, "A": {325_800, 3258},
	} {
		s := illuminant(t, name)
		var h Hazard
		if err := Of(&h, &s); err != nil {
			t.Fatal(err)
		}
		if math.Abs(h.BorderLuminance()-want[0]) > 60 || math.Abs(h.BorderIlluminance()-want[1]) > 0.6 {
			t.Errorf("%s: %.0f cd/m², %.1f lx, want %v", name, h.BorderLuminance(), h.BorderIlluminance(), want)
		}
	}
}

// TestSafeIlluminanceHasMargin: the table by colour temperature stays well
// under what the spectra themselves allow.
func TestSafeIlluminanceHasMargin(t *testing.T) {
	for name, kelvin := range map[string]float64{"LED-B1": 2735, "LED-B2": 2998, "LED-B3": 4103, "LED-B4": 5109, "LED-B5": 6598} {
		s := illuminant(t, name)
		var h Hazard
		if err := Of(&h, &s); err != nil {
			t.Fatal(err)
		}
		lux, ok := SafeIlluminance(kelvin)
		if !ok {
			t.Fatalf("%g K is not in the table", kelvin)
		}
		if r := h.BorderIlluminance() / lux; r < 1.6 || r > 2.6 {
			t.Errorf("%s: margin of %.2f, want about 2", name, r)
		}
	}
	if _, ok := SafeIlluminance(8001); ok {
		t.Error("8001 K is in the table")
	}
}

func TestTimesAndGroups(t *testing.T) {
	for _, c := range []struct {
		lb      float64
		seconds float64
		limited bool
		group   Group
	}{
		{0, 1e4, false, Exempt}, {100, 1e4, false, Exempt}, {100.1, 9990.01, true, RG1},
		{520, 1923.08, true, RG1}, {1760, 568.18, true, RG1}, // bare mid-power LED
		{1e4, 100, true, RG1}, {1.01e4, 99.0099, true, RG2}, {4e6, 0.25, true, RG2}, {5e6, 0.2, true, RG3},
	} {
		got, err := RadianceTime(c.lb)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Seconds-c.seconds) > 1e-5*c.seconds || got.Limited != c.limited || RadianceGroup(c.lb) != c.group {
			t.Errorf("%g: %+v, %v", c.lb, got, RadianceGroup(c.lb))
		}
	}
	for _, c := range []struct {
		eb, seconds float64
		group       Group
	}{{0.5, 1e4, Exempt}, {1, 1e4, Exempt}, {2, 50, RG2}, {400, 0.25, RG2}, {401, 0.249377, RG3}} {
		got, err := SmallTime(c.eb)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got.Seconds-c.seconds) > 1e-5*c.seconds || SmallGroup(c.eb) != c.group {
			t.Errorf("%g: %+v, %v", c.eb, got, SmallGroup(c.eb))
		}
	}
	for _, bad := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := RadianceTime(bad); err == nil {
			t.Errorf("%g passed", bad)
		}
		if _, err := SmallTime(bad); err == nil {
			t.Errorf("%g passed", bad)
		}
	}
	if g := ActinicGroup(0.002); g != RG1 || g.String() != "RG1" {
		t.Errorf("actinic %v", g)
	}
	if g := NearUVGroup(50); g != RG2 {
		t.Errorf("near UV %v", g)
	}
}

// TestLongerLooksGetWiderCones and never shorter times for less light.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a := rapid.Float64Range(1e-6, 1e7).Draw(t, "a")
		b := a * rapid.Float64Range(1, 100).Draw(t, "k")
		p, err := RadianceTime(a)
		if err != nil {
			t.Fatal(err)
		}
		q, err := RadianceTime(b)
		if err != nil {
			t.Fatal(err)
		}
		if q.Seconds > p.Seconds || RadianceGroup(b) < RadianceGroup(a) {
			t.Fatalf("%g: %+v, %g: %+v", a, p, b, q)
		}
		c, err := Cone(a)
		if err != nil {
			t.Fatal(err)
		}
		d, err := Cone(b)
		if err != nil {
			t.Fatal(err)
		}
		if d < c {
			t.Fatalf("cone %g at %g s, %g at %g s", c, a, d, b)
		}
	})
}

// TestCones: 1.7, 11 and 100 mrad; 0.0011·√t between: 47 mrad for half an
// hour.
func TestCones(t *testing.T) {
	for seconds, want := range map[float64]float64{0.1: 0.0017, 10: 0.011, 100: 0.011, 1800: 0.046669, 1e4: 0.1, 1e5: 0.1} {
		got, err := Cone(seconds)
		if err != nil || math.Abs(got-want) > 1e-6 {
			t.Errorf("%g s: %g rad, %v, want %g", seconds, got, err, want)
		}
	}
	if _, err := Cone(0); err == nil {
		t.Error("0 s passed")
	}
	// A circle of 110 mrad seen from 0.5 m is 5.5 cm wide.
	if got, want := ConeArea(0.11, 0.5), math.Pi*0.055*0.055/4; math.Abs(got-want) > 1e-12 {
		t.Errorf("area %g, want %g", got, want)
	}
	// Ten dies of 4 mm² and 2e6 cd/m² in it average to 33 kcd/m².
	got, err := Average(2e6, 40e-6, ConeArea(0.11, 0.5))
	if err != nil || math.Abs(got-33_700) > 100 {
		t.Errorf("average %g, %v", got, err)
	}
	if got, err = Average(1000, 2, 1); err != nil || got != 1000 {
		t.Errorf("a patch that fills the cone: %g, %v", got, err)
	}
	if _, err := Average(1, 0, 1); err == nil {
		t.Error("a patch of 0 passed")
	}
}

func TestThermal(t *testing.T) {
	// 5e4/(0.1 · 1) at one second and more than 100 mrad.
	for _, c := range [][3]float64{{0.2, 1, 5e5}, {0.1, 10, 281_171}, {0.001, 1, 5e4 / 0.0017}} {
		got, err := ThermalLimit(c[0], c[1])
		if err != nil || math.Abs(got-c[2]) > 1 {
			t.Errorf("%v: %g, %v", c, got, err)
		}
	}
	for _, c := range [][2]float64{{0.1, 11}, {0.1, 0}, {0, 1}, {math.NaN(), 1}} {
		if _, err := ThermalLimit(c[0], c[1]); err == nil {
			t.Errorf("%v passed", c)
		}
	}
	flat := spectrum.Func(func(float64) float64 { return 1 })
	// 1 from 500 to 700 nm, the 200 nm integral of the table below 500 nm by the
	// trapezium rule, and ∫10^((700−λ)/500) from 700 to 780 nm.
	want := 201.0 - 1
	for i := 1; i < len(thermalTable); i++ {
		want += 5 * (thermalTable[i-1] + thermalTable[i]) / 2
	}
	want += 500 / math.Ln10 * (1 - math.Pow(10, -80.0/500))
	if got := ThermalRadiance(&flat); math.Abs(got-want) > 0.01*want {
		t.Errorf("thermal radiance of 1 W/(m²·sr·nm) is %g, want about %g", got, want)
	}
}

func TestBlueIsLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, err := spectrum.Illuminant(rapid.SampledFrom(spectrum.Illuminants()).Draw(t, "name"))
		if err != nil {
			t.Fatal(err)
		}
		k := rapid.Float64Range(1e-6, 1e6).Draw(t, "k")
		a, err := BlueEfficacy(&s)
		if err != nil {
			t.Fatal(err)
		}
		b := s.Scale(k)
		c, err := BlueEfficacy(&b)
		if err != nil {
			t.Fatal(err)
		}
		share, err := BlueShare(&b)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(a-c) > 1e-12*a || !(share > 0 && share < 1) {
			t.Fatalf("%g, scaled %g, share %g", a, c, share)
		}
		if want := c * b.Luminous(); math.Abs(BlueRadiance(&b)-want) > 1e-9*want {
			t.Fatalf("radiance %g, want %g", BlueRadiance(&b), want)
		}
	})
}

func TestUltraviolet(t *testing.T) {
	blue := illuminant(t, "LED-B3")
	lit, err := blue.ScaleTo(10_000)
	if err != nil {
		t.Fatal(err)
	}
	fs := Ultraviolet(&lit)
	if len(fs) != 1 || !finding.Has(fs, "hazard.uv_unseen") {
		t.Errorf("blue pump: %v", fs)
	}
	tube := illuminant(t, "FL3.15") // daylight simulator with power from 380 nm
	if lit, err = tube.ScaleTo(10_000); err != nil {
		t.Fatal(err)
	}
	if fs = Ultraviolet(&lit); !finding.Has(fs, "hazard.uv_near") || finding.Has(fs, "hazard.uv") {
		t.Errorf("tube: %v", fs)
	}
	var lamp spectrum.Spectrum
	lamp[5] = 20 // W/m² at 385 nm
	if fs = Ultraviolet(&lamp); !finding.Has(fs, "hazard.uv") {
		t.Errorf("black light: %v", fs)
	}
}

func TestRefusesDarkness(t *testing.T) {
	var dark spectrum.Spectrum
	var h Hazard
	if err := Of(&h, &dark); err == nil {
		t.Error("darkness passed")
	}
	if _, err := BlueShare(&dark); err == nil {
		t.Error("darkness has a share")
	}
	s := illuminant(t, "A")
	if err := Of(&h, &s); err != nil {
		t.Fatal(err)
	}
	n := 0
	h.Each(func(key string, v float64) {
		if n++; Metrics()[n-1].Key != key || !(v > 0) {
			t.Errorf("%s = %g", key, v)
		}
	})
}
