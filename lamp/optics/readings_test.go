package optics

import (
	"fmt"
	"math"
	"testing"

	"dawnsmith/light/lobe"
	"dawnsmith/quantity"
)

// A true 60° lobe's half-brightness disc on a flat wall reads 47°, 90° reads
// 58°; reading it back gives the truth. The disc is found here from the
// lobe's own definition: luminance G, projected area and wall together cos⁴θ.
func TestLaserDisc(t *testing.T) {
	disc := func(fwhm, share float64) float64 {
		s := lobe.Sigma(fwhm)
		lo, hi := 0.0, math.Pi/2
		for range 60 {
			m := (lo + hi) / 2
			if math.Exp(-math.Sin(m)*math.Sin(m)/(2*s*s))*math.Pow(math.Cos(m), 4) > share {
				lo = m
			} else {
				hi = m
			}
		}
		return lo
	}
	for fwhm, reads := range map[float64]float64{60: 47, 90: 58} {
		near(t, "reads", 2*disc(fwhm*degree, 0.5)/degree, reads, 0.6)
	}
	for _, c := range []struct {
		fwhm  float64
		d     Disc
		share float64
	}{{20, HalfDisc, 0.5}, {60, HalfDisc, 0.5}, {90, HalfDisc, 0.5}, {30, QuarterDisc, 0.25}, {100, QuarterDisc, 0.25}, {118, QuarterDisc, 0.25}} {
		w := 2 * 0.5 * math.Tan(disc(c.fwhm*degree, c.share))
		v, err := LobeFromLaserDisc(quantity.Measured(w, 0.005, "disc"), quantity.Measured(0.5, 0.005, "wall"), c.d)
		if err != nil {
			t.Fatalf("%g°: %v", c.fwhm, err)
		}
		near(t, "FWHM", v.X/degree, c.fwhm, 0.01)
		if v.U() <= 0 {
			t.Error("no uncertainty")
		}
	}
	if _, err := LobeFromLaserDisc(quantity.Exact(1), quantity.Exact(0.5), HalfDisc); err == nil {
		t.Error("a disc too wide was taken")
	}
}

// T₂ = T²/(1 − R²) read back; 1 % readings leave about ±0.03 in R.
func TestTwoSheets(t *testing.T) {
	const tr, r = 0.6, 0.3
	one := quantity.Measured(tr, tr*0.01, "first reading")
	two := quantity.Measured(tr*tr/(1-r*r), tr*tr/(1-r*r)*0.01, "second reading")
	got, err := ReflectanceFromTwoSheets(one, two)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "R", got.X, r, 1e-12)
	near(t, "its uncertainty", got.U(), 0.034, 0.004)
	clear := quantity.Measured(0.92, 0.01, "clear")
	got, err = ReflectanceFromTwoSheets(clear, quantity.Measured(0.92*0.92*0.995, 0.01, "two"))
	if err != nil || got.X != 0 || got.U() == 0 {
		t.Errorf("nearly nothing reflected: %v, %v", got, err)
	}
	if _, err := ReflectanceFromTwoSheets(one, quantity.Exact(0.2)); err == nil {
		t.Error("two sheets darker than T² taken")
	}
	if _, err := ReflectanceFromTwoSheets(one, quantity.Exact(0.7)); err == nil {
		t.Error("two sheets brighter than one taken")
	}
}

func TestLuxRatios(t *testing.T) {
	cal := func(lx float64) quantity.Value { return quantity.Measured(lx, 0.05*lx, "meter calibration") }
	v, err := TransmittanceFromLux(cal(600), cal(1000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "T", v.X, 0.6, 1e-12)
	near(t, "the meter's scale cancels", v.U(), 0, 1e-12)
	if _, err := TransmittanceFromLux(cal(1300), cal(1000)); err == nil {
		t.Error("T of 1.3 taken")
	}
	r, err := ReflectanceFromClosure(quantity.Measured(0.6, 0.01, "T"), FilmOrOpal.Absorptance())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "R", r.X, 0.35, 1e-12)
	near(t, "T + R + A", v.Add(r).U(), r.U(), 1e-9)
	p, err := ReflectanceFromPaper(cal(900), cal(825), CopyPaper())
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ρ", p.X, 0.9, 1e-12)
	m, err := ReflectanceFromMirror(cal(880), cal(1000))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "mirror ρ", m.X, 0.88, 1e-12)
	u, err := UnscatteredFromHaze(quantity.Measured(0.94, 0.01, "haze"))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "u", u.X, 0.06, 1e-12)
	near(t, "u's doubt", u.U(), 0.01, 1e-12)
	for _, bad := range []quantity.Value{quantity.Exact(0), quantity.Exact(-1), quantity.Exact(math.NaN()), quantity.Exact(math.Inf(1))} {
		if _, err := TransmittanceFromLux(bad, cal(1)); err == nil {
			t.Errorf("%v taken", bad)
		}
		if _, err := ReflectanceFromMirror(cal(1), bad); err == nil {
			t.Errorf("%v taken", bad)
		}
	}
}

func TestPresets(t *testing.T) {
	for _, p := range Presets() {
		s := p.Sheet
		s.T, s.R = 0.5, 0.4
		if err := s.Validate(); err != nil {
			t.Errorf("%s: %v", p.Name, err)
		}
	}
}

// Readings of a sheet, from two lux ratios to its numbers.
func ExampleReflectanceFromTwoSheets() {
	one := quantity.Measured(0.60, 0.006, "one sheet")
	two := quantity.Measured(0.396, 0.004, "two sheets")
	r, _ := ReflectanceFromTwoSheets(one, two)
	fmt.Printf("R = %.2f ± %.2f\n", r.X, 2*r.U())
	// Output: R = 0.30 ± 0.07
}
