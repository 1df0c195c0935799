package eye

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

// ExampleAlpha: illuminant A has a melanopic daylight efficacy ratio of 0.496
// (CIE S 026 toolbox and literature).
func ExampleAlpha() {
	a, err := spectrum.Illuminant("A")
	if err != nil {
		panic(err)
	}
	r, err := Alpha(&a)
	if err != nil {
		panic(err)
	}
	fmt.Printf("DER %.3f, %.0f lx melanopic EDI at 1000 lx\n", r.DER[Melanopic], r.EDI(Melanopic, 1000))
	// Output: DER 0.496, 496 lx melanopic EDI at 1000 lx
}

// ExampleCircadian: illuminant A at 1000 lx has CLA 2.0 of 813 (Rea, Nagare,
// Figueiro 2021).
func ExampleCircadian() {
	a, err := spectrum.Illuminant("A")
	if err != nil {
		panic(err)
	}
	s, err := Circadian(&a, 1000, DeskLamp)
	if err != nil {
		panic(err)
	}
	fmt.Printf("CLA %.0f, blue branch %v\n", s.CLA, s.Blue)
	// Output: CLA 813, blue branch false
}

// TestDaylightEfficacies: CIE S 026/E:2018 table 3, mW/lm of D65.
func TestDaylightEfficacies(t *testing.T) {
	d := illuminant(t, "D65")
	r, err := Alpha(&d)
	if err != nil {
		t.Fatal(err)
	}
	for c, want := range []float64{0.8173, 1.4558, 1.6289, 1.4497, 1.3262} {
		if got := 1e3 * r.Efficacy[c]; math.Abs(got-want) > 5e-5 {
			t.Errorf("%v: %.5f mW/lm, printed %g", Channel(c), got, want)
		}
		if r.DER[c] != 1 {
			t.Errorf("%v: DER of D65 is %g", Channel(c), r.DER[c])
		}
	}
}

// TestLuxPerCLA: Rea et al. 2021 print 1.23 lx per CLA for A and 0.66 for D65
// at 1000 lx.
func TestLuxPerCLA(t *testing.T) {
	for name, want := range map[string]float64{"A": 1.23, "D65": 0.66} {
		s := illuminant(t, name)
		r, err := Circadian(&s, 1000, DeskLamp)
		if err != nil {
			t.Fatal(err)
		}
		if got := 1000 / r.CLA; math.Abs(got-want) > 0.005 {
			t.Errorf("%s: %.4f, printed %g", name, got, want)
		}
	}
}

// TestOtherRodSaturation: with 6.5215 W/m², which one public implementation
// carries, A at 1000 lx gives 813.2 instead of 812.6.
func TestOtherRodSaturation(t *testing.T) {
	s := illuminant(t, "A")
	k, ok := sense(&s)
	if !ok {
		t.Fatal("no signals")
	}
	r := k.at(1000, 6.5215)
	if math.Abs(r.CLA-813.2) > 0.05 {
		t.Errorf("CLA %.2f", r.CLA)
	}
}

// TestStimulusPoints: CS 0.3 needs CLA 274, CS 0.35 CLA 355.7 (half of the
// most); Rea et al. 2021.
func TestStimulusPoints(t *testing.T) {
	for cla, want := range map[float64]float64{274: 0.3, 355.7: 0.35, 0: 0} {
		got, err := CS(cla, DeskLamp)
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(got-want) > 5e-4 {
			t.Errorf("CS of %g is %.4f, want %g", cla, got, want)
		}
	}
}

// TestOldMelanopicLux: EML is 1.104 times EDI.
func TestOldMelanopicLux(t *testing.T) {
	if got := EquivalentMelanopicLux(100); math.Abs(got-110.4) > 0.05 {
		t.Errorf("EML of 100 lx is %.2f", got)
	}
}

func white() *rapid.Generator[spectrum.Spectrum] {
	return rapid.Custom(func(t *rapid.T) spectrum.Spectrum {
		s, err := spectrum.Illuminant(rapid.SampledFrom(spectrum.Illuminants()).Draw(t, "name"))
		if err != nil {
			t.Fatal(err)
		}
		return s
	})
}

func TestRatiosIgnoreScaleAndAdd(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := white().Draw(t, "a"), white().Draw(t, "b")
		k := rapid.Float64Range(1e-6, 1e6).Draw(t, "k")
		x, err := Alpha(&a)
		if err != nil {
			t.Fatal(err)
		}
		scaled := a.Scale(k)
		y, err := Alpha(&scaled)
		if err != nil {
			t.Fatal(err)
		}
		z, err := Alpha(&b)
		if err != nil {
			t.Fatal(err)
		}
		a1, err1 := a.ScaleTo(100)
		b1, err2 := b.ScaleTo(300)
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		mix := spectrum.Mix(spectrum.Share{Of: &a1, Weight: 1}, spectrum.Share{Of: &b1, Weight: 1})
		m, err := Alpha(&mix)
		if err != nil {
			t.Fatal(err)
		}
		for c := range Channel(Channels) {
			if math.Abs(x.DER[c]-y.DER[c]) > 1e-12 {
				t.Fatalf("%v: %g, scaled %g", c, x.DER[c], y.DER[c])
			}
			if want := x.EDI(c, 100) + z.EDI(c, 300); math.Abs(m.EDI(c, 400)-want) > 1e-9*(1+want) {
				t.Fatalf("%v: mixture has EDI %g, parts %g", c, m.EDI(c, 400), want)
			}
		}
	})
}

// TestStimulusRises: more light, longer or from more sides never means less
// stimulus, on one branch.
func TestStimulusRises(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := white().Draw(t, "light")
		lux := rapid.Float64Range(0, 20_000).Draw(t, "lux")
		more := rapid.Float64Range(1, 3).Draw(t, "more")
		a, err := Circadian(&s, lux, View{1, 1})
		if err != nil {
			t.Fatal(err)
		}
		b, err := Circadian(&s, lux*more, View{2, 1})
		if err != nil {
			t.Fatal(err)
		}
		if b.CLA < a.CLA || b.CS < a.CS || a.CS < 0 || b.CS >= 0.7 || (lux > 0 && a.Blue != b.Blue) {
			t.Fatalf("%+v at %g lx, %+v at %g lx", a, lux, b, lux*more)
		}
		swapped, err := CS(b.CLA, View{1, 2})
		if err != nil {
			t.Fatal(err)
		}
		if math.Abs(swapped-b.CS) > 1e-12 {
			t.Fatal("time and field do not count alike")
		}
	})
}

// TestJumpBetweenBranches: on the black-body line the model drops by a fifth
// near 3443 K, and says so.
func TestJumpBetweenBranches(t *testing.T) {
	s, err := spectrum.Planck(3443)
	if err != nil {
		t.Fatal(err)
	}
	r, err := Circadian(&s, 1000, DeskLamp)
	if err != nil {
		t.Fatal(err)
	}
	if j := r.Jump(); math.Abs(j-0.196) > 0.005 {
		t.Errorf("jump of %.3f, want 0.196 (1018 to 819)", j)
	}
	if !finding.Has(r.Findings(), "eye.cla_branch") {
		t.Errorf("no word about the branch in %v", r.Findings())
	}
	for _, name := range []string{"A", "D65"} {
		far := illuminant(t, name)
		if r, err = Circadian(&far, 1000, DeskLamp); err != nil {
			t.Fatal(err)
		}
		if len(r.Findings()) != 0 {
			t.Errorf("%s is not near the branch: %v", name, r.Findings())
		}
	}
}

func TestRefuses(t *testing.T) {
	var dark spectrum.Spectrum
	lit := illuminant(t, "E")
	for _, c := range []struct {
		s    spectrum.Spectrum
		lux  float64
		view View
	}{
		{dark, 100, DeskLamp},
		{lit, -1, DeskLamp}, {lit, math.NaN(), DeskLamp}, {lit, math.Inf(1), DeskLamp},
		{lit, 100, View{0.4, 1}}, {lit, 100, View{4, 1}}, {lit, 100, View{1, 0.4}}, {lit, 100, View{1, 3}}, {lit, 100, View{}}, {lit, 100, View{math.NaN(), 1}},
	} {
		if _, err := Circadian(&c.s, c.lux, c.view); err == nil {
			t.Errorf("%g lx, %+v passed", c.lux, c.view)
		}
	}
	if _, err := Alpha(&dark); err == nil {
		t.Error("darkness has ratios")
	}
	if _, err := CS(-1, DeskLamp); err == nil {
		t.Error("CLA of -1 passed")
	}
	if r, err := Circadian(&lit, 0, DeskLamp); err != nil || r.CLA != 0 || r.CS != 0 {
		t.Errorf("no light: %+v, %v", r, err)
	}
}

func TestMetricsAreWhole(t *testing.T) {
	s := illuminant(t, "LED-B3")
	var e Eye
	if err := Of(&e, &s, 500, DeskLamp); err != nil {
		t.Fatal(err)
	}
	got := map[string]float64{}
	e.Each(func(key string, v float64) { got[key] = v })
	for _, m := range Metrics() {
		if _, ok := got[m.Key]; !ok || m.Name == "" || m.Line == "" || m.Source == "" {
			t.Errorf("%+v has %v", m, ok)
		}
	}
	if len(got) != len(Metrics()) {
		t.Errorf("%d values, %d declarations", len(got), len(Metrics()))
	}
	if math.Abs(got["edi_mel_lx"]-500*got["der_mel"]) > 1e-9 {
		t.Errorf("EDI %g, DER %g", got["edi_mel_lx"], got["der_mel"])
	}
	e.Lux = 0
	e.Each(func(key string, _ float64) {
		if key == "cla" || key == "cs" || key == "edi_mel_lx" {
			t.Errorf("%s without a level", key)
		}
	})
}
