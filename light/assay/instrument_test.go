package assay

import (
	"math"
	"testing"

	"dawnsmith/light/eye"
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

// effect is what a way of reading does to CCT (K), Ra, R9 and Rf, computed
// apart from this program from the CIE's 1 nm tables and printed to the last
// digit shown here.
type effect struct{ cct, ra, r9, rf float64 }

func (e effect) check(t *testing.T, what string, c Change) {
	t.Helper()
	for key, p := range map[string][2]float64{
		"cct_k": {e.cct, 0.55}, "ra": {e.ra, 0.06}, "r9": {e.r9, 0.11}, "rf": {e.rf, 0.06},
	} {
		if math.Abs(c[key]-p[0]) > p[1] {
			t.Errorf("%s: %s changes by %.3f, want %g", what, key, c[key], p[0])
		}
	}
}

func TestWavelengthErrorAndStrayLight(t *testing.T) {
	for _, c := range []struct {
		name         string
		shift, stray effect
	}{
		{"LED-B3@1nm", effect{-38, 0.4, 2.2, 0.2}, effect{14, 0.3, 1.3, 0.2}},
		{"LED-RGB1@1nm", effect{32, 0, -5.2, 0.4}, effect{63, 1.6, 2.0, 1.5}},
	} {
		s := illuminant(t, c.name)
		shift, err := WavelengthError(&s, 500, 1)
		if err != nil {
			t.Fatal(err)
		}
		c.shift.check(t, c.name+" read 1 nm too far", shift)
		stray, err := StrayLight(&s, 500, 0.01)
		if err != nil {
			t.Fatal(err)
		}
		c.stray.check(t, c.name+" with 1 % of stray light", stray)
	}
}

// TestCoarserReadings: what is left of the measures at 5 and 10 nm.
func TestCoarserReadings(t *testing.T) {
	for _, c := range []struct {
		name   string
		step   float64
		method spectrum.Method
		want   effect
	}{
		{"LED-B3@1nm", 5, spectrum.Linear, effect{-0.3, 0, 0, 0.1}},
		{"LED-B3@1nm", 5, spectrum.Sprague, effect{-0.3, 0, 0, 0}},
		{"LED-B3@1nm", 10, spectrum.Linear, effect{-0.9, 0.1, -0.1, 0.3}},
		{"LED-B3@1nm", 10, spectrum.Sprague, effect{-0.4, 0, 0, 0}},
		{"LED-RGB1@1nm", 5, spectrum.Linear, effect{-0.7, 0.3, 1.3, 0.1}},
		{"LED-RGB1@1nm", 5, spectrum.Sprague, effect{-0.4, 0, 0, 0}},
		{"LED-RGB1@1nm", 10, spectrum.Linear, effect{-0.2, 1.2, 5.3, 0.6}},
		{"LED-RGB1@1nm", 10, spectrum.Sprague, effect{0.6, 0, 0, 0}},
	} {
		s := illuminant(t, c.name)
		var r spectrum.Raw
		for nm := 380.0; nm <= 780; nm += c.step {
			r.Wavelengths = append(r.Wavelengths, nm)
			r.Values = append(r.Values, s.At(nm))
		}
		got, err := r.Resample(c.method)
		if err != nil {
			t.Fatal(err)
		}
		change, err := difference(&s, &got.Spectrum, 500)
		if err != nil {
			t.Fatal(err)
		}
		c.want.check(t, c.name+" "+c.method.String(), change)
	}
}

func TestContributions(t *testing.T) {
	s := illuminant(t, "LED-B3@1nm")
	scale, stray, err := Instrument{Wavelength: 0.5, Stray: 0.005}.Contributions(&s, 500)
	if err != nil {
		t.Fatal(err)
	}
	// Half of the effect of 1 nm; 14 K per percent of stray light, halved and
	// over √12.
	if math.Abs(scale["cct_k"]-19) > 1 || math.Abs(stray["cct_k"]-7/math.Sqrt(12)) > 0.3 {
		t.Errorf("CCT: %.2f K from the scale, %.2f K from stray light", scale["cct_k"], stray["cct_k"])
	}
	none, still, err := Instrument{}.Contributions(&s, 500)
	if err != nil {
		t.Fatal(err)
	}
	for key := range none {
		if none[key] != 0 || still[key] != 0 {
			t.Errorf("%s: a perfect instrument has %g, %g", key, none[key], still[key])
		}
	}
	for _, in := range []Instrument{{Wavelength: -1}, {Stray: -1}, {Wavelength: 11}, {Stray: 0.2}, {Wavelength: math.NaN()}} {
		if _, _, err := in.Contributions(&s, 500); err == nil {
			t.Errorf("%+v passed", in)
		}
	}
}

// TestGap: daylight and a black body have none; blue-pumped LEDs do.
func TestGap(t *testing.T) {
	for name, want := range map[string][2]float64{
		"D65": {0.99, 1.01}, "Planck3000K": {0.99, 1.01}, "LED-B3": {0.4, 0.9}, "LED-B4": {0.3, 0.7}, "LED-V2": {0.9, 1.2},
	} {
		s := illuminant(t, name)
		sh, err := ShapeOf(&s)
		if err != nil {
			t.Fatal(err)
		}
		if sh.Gap < want[0] || sh.Gap > want[1] {
			t.Errorf("%s: gap %.3f, want %v", name, sh.Gap, want)
		}
		var sum float64
		for _, b := range sh.Bands {
			sum += b.Share
		}
		if math.Abs(sum-1) > 1e-12 {
			t.Errorf("%s: bands sum to %g", name, sum)
		}
	}
	var red spectrum.Spectrum
	red[300] = 1
	if sh, err := ShapeOf(&red); err != nil || sh.Gap != 0 {
		t.Errorf("a red line: %+v, %v", sh, err)
	}
}

// TestAssayLevel: the level moves only what depends on it.
func TestAssayLevel(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s, err := spectrum.Illuminant(rapid.SampledFrom(spectrum.Illuminants()).Draw(t, "name"))
		if err != nil {
			t.Fatal(err)
		}
		a, err := Of(&s, 0)
		if err != nil {
			t.Fatal(err)
		}
		b, err := Of(&s, rapid.Float64Range(1, 10_000).Draw(t, "lux"))
		if err != nil {
			t.Fatal(err)
		}
		low, high := a.Values(), b.Values()
		if len(high)-len(low) != 3 || len(high) > len(Metrics()) {
			t.Fatalf("%d and %d measures of %d", len(low), len(high), len(Metrics()))
		}
		for key, v := range low {
			if high[key] != v {
				t.Fatalf("%s moved with the level", key)
			}
		}
	})
}

func TestKeysAreUnique(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range Metrics() {
		if seen[m.Key] {
			t.Errorf("%s twice", m.Key)
		}
		seen[m.Key] = true
	}
	if seen[GapMetric().Key] {
		t.Error("the gap is listed twice")
	}
}

func TestAllRefuses(t *testing.T) {
	src := make([]spectrum.Spectrum, 2)
	src[0] = illuminant(t, "A")
	if err := All(make([]Assay, 1), src, 0, eye.DeskLamp); err == nil {
		t.Error("lengths differ")
	}
	if err := All(make([]Assay, 2), src, 0, eye.DeskLamp); err == nil {
		t.Error("darkness passed")
	}
}
