package spectrum

import (
	"fmt"
	"math"
	"slices"
	"testing"

	"pgregory.net/rapid"
)

// ExampleDaylight: CIE D65 is daylight at 6500 K on the scale of 1967, which
// is 6504 K today; the CIE tabulates 82.75 at 400 nm, with rounded factors.
func ExampleDaylight() {
	s, err := Daylight(6500 * 1.4388 / 1.4380)
	if err != nil {
		panic(err)
	}
	fmt.Printf("%.0f\n", s.At(400))
	// Output: 83
}

func ExampleSpectrum_Luminous() {
	// A laser line of 1 W at 555 nm: V(λ) is 1 there.
	var s Spectrum
	s[555-First] = 1
	fmt.Printf("%.3f lm\n", s.Luminous())
	// Output: 683.002 lm
}

// TestIlluminantAFormula checks the formula against the table of the CIE,
// six digits.
func TestIlluminantAFormula(t *testing.T) {
	a, err := Illuminant("A")
	if err != nil {
		t.Fatal(err)
	}
	start, step, values, err := Standard("A")
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range values {
		nm := start + float64(i)*step
		if nm < First {
			continue
		}
		if got := a.At(nm); math.Abs(got-want) > 6e-6*want+5e-5 {
			t.Errorf("A at %g nm = %.6g, table %.6g", nm, got, want)
		}
	}
}

// TestDaylightAgainstTables checks D50 … D75 by formula against the CIE's
// tables, whose M1 and M2 are rounded to three decimals (0.02 of 100).
func TestDaylightAgainstTables(t *testing.T) {
	for name, nominal := range map[string]float64{"D50": 5000, "D55": 5500, "D65": 6500, "D75": 7500} {
		formula, err := Daylight(nominal * 1.4388 / 1.4380)
		if err != nil {
			t.Fatal(err)
		}
		table, err := Illuminant(name)
		if err != nil {
			t.Fatal(err)
		}
		for i := range table {
			if math.Abs(formula[i]-table[i]) > 0.06 {
				t.Errorf("%s at %g nm: %.3f by formula, %.3f in the table", name, Wavelength(i), formula[i], table[i])
			}
		}
	}
}

// TestFineTables: the 1 nm tables agree with the 5 nm ones where both have
// rows; the LED tables are published apart, to two decimals.
func TestFineTables(t *testing.T) {
	for _, name := range append(slices.Clone(ledTable().Names), "A", "D65") {
		fine, err := Illuminant(name + "@1nm")
		if err != nil {
			t.Fatal(err)
		}
		coarse, err := Illuminant(name)
		if err != nil {
			t.Fatal(err)
		}
		for i := 0; i < N; i += 5 {
			if math.Abs(fine[i]-coarse[i]) > 1e-4*coarse[i]+1e-9 {
				t.Errorf("%s at %g nm: %g and %g", name, Wavelength(i), fine[i], coarse[i])
			}
		}
	}
}

func TestEveryNameIsKnown(t *testing.T) {
	names := Illuminants()
	for _, want := range []string{"A", "D50", "D55", "D65", "D75", "E", "FL1", "FL12", "FL3.1", "FL3.15", "HP1", "HP5", "LED-B1", "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2", "ID50", "ID65", "LED-B3@1nm", "D65@1nm"} {
		if !slices.Contains(names, want) {
			t.Errorf("%s is not listed", want)
		}
	}
	for _, name := range append(names, "Planck4000K", "daylight5600K", "led-b3@1NM", " D65 ") {
		s, err := Illuminant(name)
		if err != nil {
			t.Error(err)
			continue
		}
		if err := s.Check(); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
	for _, name := range []string{"", "D66", "Planck", "PlanckK", "Planck99K", "PlanckNaNK", "Daylight3999K", "E@1nm", "FL11@1nm"} {
		if _, err := Illuminant(name); err == nil {
			t.Errorf("%q was accepted", name)
		}
	}
}

// TestPlanckFollowsWien: the maximum of a black body lies at 2.8978e-3/T m
// (CODATA 2018; with c2 = 1.4388e-2 the constant is 2.89779e-3).
func TestPlanckFollowsWien(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kelvin := rapid.Float64Range(3800, 7500).Draw(t, "kelvin")
		s, err := Planck(kelvin)
		if err != nil {
			t.Fatal(err)
		}
		if nm, _ := s.Peak(); math.Abs(nm-2.89779e6/kelvin) > 0.51 {
			t.Fatalf("peak of %g K at %g nm", kelvin, nm)
		}
	})
}

func light() *rapid.Generator[Spectrum] {
	return rapid.Custom(func(t *rapid.T) Spectrum {
		a := rapid.SampledFrom(Illuminants()).Draw(t, "a")
		b := rapid.SampledFrom(Illuminants()).Draw(t, "b")
		x, err := Illuminant(a)
		if err != nil {
			t.Fatal(err)
		}
		y, err := Illuminant(b)
		if err != nil {
			t.Fatal(err)
		}
		return Blend(&x, &y, rapid.Float64Range(0, 1).Draw(t, "share"))
	})
}

func TestSumsAreLinear(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := light().Draw(t, "a"), light().Draw(t, "b")
		k := rapid.Float64Range(0.001, 1000).Draw(t, "k")
		mix := Mix(Share{&a, k}, Share{&b, 2})
		if got, want := mix.Luminous(), k*a.Luminous()+2*b.Luminous(); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("luminous %g, want %g", got, want)
		}
		if got, want := mix.Power(), k*a.Power()+2*b.Power(); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("power %g, want %g", got, want)
		}
		scaled := a.Scale(k)
		if got, want := scaled.LER(), a.LER(); math.Abs(got-want) > 1e-9*want {
			t.Fatalf("efficacy %g, want %g", got, want)
		}
		to, err := a.ScaleTo(k)
		if err != nil {
			t.Fatal(err)
		}
		if got := to.Luminous(); math.Abs(got-k) > 1e-9*k {
			t.Fatalf("scaled to %g, is %g", k, got)
		}
	})
}

func TestAtIsLinearAndEndsInDark(t *testing.T) {
	s := Func(func(nm float64) float64 { return nm })
	for _, c := range [][2]float64{{380, 380}, {780, 780}, {500.25, 500.25}, {379.9, 0}, {780.1, 0}, {math.NaN(), 0}} {
		if got := s.At(c[0]); math.Abs(got-c[1]) > 1e-9 {
			t.Errorf("at %g nm: %g, want %g", c[0], got, c[1])
		}
	}
}

func TestCheckRefuses(t *testing.T) {
	var dark Spectrum
	nan, inf, below, huge := dark, dark, dark, dark
	nan[3], inf[4], below[5] = math.NaN(), math.Inf(1), -1
	for i := range huge {
		huge[i] = math.MaxFloat64
	}
	for name, s := range map[string]*Spectrum{"dark": &dark, "nan": &nan, "inf": &inf, "below": &below, "huge": &huge} {
		if err := s.Check(); err == nil {
			t.Errorf("%s passed", name)
		}
	}
	if dark.LER() != 0 {
		t.Error("efficacy of darkness is not 0")
	}
	lit := Func(func(float64) float64 { return 1 })
	for _, lux := range []float64{-1, math.NaN(), math.Inf(1)} {
		if _, err := lit.ScaleTo(lux); err == nil {
			t.Errorf("scaled to %g", lux)
		}
	}
	if _, err := dark.ScaleTo(1); err == nil {
		t.Error("scaled darkness")
	}
}
