package colour

import (
	"math"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
	"pgregory.net/rapid"
)

// white draws lights near white: two standard illuminants mixed, each scaled
// to one lumen first.
func white() *rapid.Generator[spectrum.Spectrum] {
	return rapid.Custom(func(t *rapid.T) spectrum.Spectrum {
		var s [2]spectrum.Spectrum
		for i := range s {
			a, err := spectrum.Illuminant(rapid.SampledFrom(spectrum.Illuminants()).Draw(t, "name"))
			if err != nil {
				t.Fatal(err)
			}
			if s[i], err = a.ScaleTo(1); err != nil {
				t.Fatal(err)
			}
		}
		return spectrum.Blend(&s[0], &s[1], rapid.Float64Range(0, 1).Draw(t, "share"))
	})
}

// TestScaleDoesNotMatter: every measure of colour is of the shape alone.
func TestScaleDoesNotMatter(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := white().Draw(t, "light")
		k := rapid.Float64Range(1e-9, 1e9).Draw(t, "k")
		b := s.Scale(k)
		var p, q Colour
		if err := Of(&p, &s); err != nil {
			t.Fatal(err)
		}
		if err := Of(&q, &b); err != nil {
			t.Fatal(err)
		}
		got := map[string]float64{}
		q.Each(func(key string, v float64) { got[key] = v })
		p.Each(func(key string, v float64) {
			if math.Abs(got[key]-v) > 1e-6*(1+math.Abs(v)) {
				t.Fatalf("%s: %.12g, scaled by %g: %.12g", key, v, k, got[key])
			}
		})
	})
}

// TestTristimulusAdds: X, Y, Z of a mixture lie between those of its parts,
// in proportion.
func TestTristimulusAdds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := white().Draw(t, "a"), white().Draw(t, "b")
		share := rapid.Float64Range(0, 1).Draw(t, "share")
		mix := spectrum.Blend(&a, &b, share)
		p, q, m := weigh(&a, &folded().cmf2), weigh(&b, &folded().cmf2), weigh(&mix, &folded().cmf2)
		for _, c := range [][3]float64{{p.X, q.X, m.X}, {p.Y, q.Y, m.Y}, {p.Z, q.Z, m.Z}} {
			if want := c[0]*(1-share) + c[1]*share; math.Abs(c[2]-want) > 1e-12*(1+want) {
				t.Fatalf("%g, want %g", c[2], want)
			}
		}
	})
}

// TestOfAgreesWithParts: the joint path and the single calls are one.
func TestOfAgreesWithParts(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := white().Draw(t, "light")
		var c Colour
		if err := Of(&c, &s); err != nil {
			t.Fatal(err)
		}
		temperature, err1 := CCT(&s)
		rendering, err2 := CRI(&s)
		fidelity, err3 := TM30(&s)
		two, err4 := Tristimulus2(&s)
		ten, err5 := Tristimulus10(&s)
		for _, err := range []error{err1, err2, err3, err4, err5} {
			if err != nil {
				t.Fatal(err)
			}
		}
		if c != (Colour{XYZ2: two, XYZ10: ten, Temperature: temperature, Rendering: rendering, Fidelity: fidelity}) {
			t.Fatal("joint and single results differ")
		}
	})
}

// TestCCTGoesRound: the nearest black body of the point at T and Duv is T at
// Duv, over the whole stated range.
func TestCCTGoesRound(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kelvin := rapid.Float64Range(LowestCCT+1, HighestCCT-10).Draw(t, "kelvin")
		// Farther out the isotherms of warm lights cross those of cool ones.
		duv := rapid.Float64Range(-0.02, 0.02).Draw(t, "duv")
		u, v, err := UVOfCCT(kelvin, duv)
		if err != nil {
			t.Fatal(err)
		}
		got := CCTOfUV(u, v)
		if math.Abs(got.Kelvin-kelvin) > 1e-6*kelvin || math.Abs(got.Duv-duv) > 1e-9 {
			t.Fatalf("%.6f K, %.9f became %.6f K, %.9f", kelvin, duv, got.Kelvin, got.Duv)
		}
	})
}

// TestLocusInterpolation: between its samples the line is as exact as the
// sums themselves.
func TestLocusInterpolation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kelvin := rapid.Float64Range(LowestCCT, HighestCCT).Draw(t, "kelvin")
		u, v, err := UVOfCCT(kelvin, 0)
		if err != nil {
			t.Fatal(err)
		}
		wu, wv := PlanckianUV(kelvin)
		if math.Hypot(u-wu, v-wv) > 1e-11 {
			t.Fatalf("at %g K off by %g", kelvin, math.Hypot(u-wu, v-wv))
		}
	})
}

// TestReferenceInterpolation: the series stand for the reference lights to
// 1e-6 of a unit of CAM02-UCS and of U*V*W*.
func TestReferenceInterpolation(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		kelvin := math.Exp(rapid.Float64Range(math.Log(LowestCCT), math.Log(HighestCCT)).Draw(t, "ln kelvin"))
		kelvin = min(max(kelvin, LowestCCT), HighestCCT)
		var want standardView
		cri, _, err := RenderingReference(kelvin)
		if err != nil {
			t.Fatal(err)
		}
		tm30, _, err := FidelityReference(kelvin)
		if err != nil {
			t.Fatal(err)
		}
		want.white, want.test = folded().renderReference(&cri)
		folded().appearances(&want.evaluation, &tm30)
		var got standardView
		reference(&got, kelvin)
		w, g := want.flat(), got.flat()
		for i := range w {
			if math.Abs(w[i]-g[i]) > 1e-6 {
				t.Fatalf("at %g K number %d is %.9g, want %.9g", kelvin, i, g[i], w[i])
			}
		}
	})
}

// TestNoTemperature: coloured lights have a chromaticity and nothing else.
func TestNoTemperature(t *testing.T) {
	for _, nm := range []int{450, 520, 630} {
		var s spectrum.Spectrum
		s[nm-spectrum.First] = 1
		var c Colour
		if err := Of(&c, &s); err != nil {
			t.Fatal(err)
		}
		if c.Temperature.Valid || c.Rendering.Valid || c.Fidelity.Valid {
			t.Errorf("%d nm has a temperature: %+v", nm, c.Temperature)
		}
		c.Each(func(key string, v float64) {
			if key == "cct_k" || key == "ra" || key == "rf" {
				t.Errorf("%d nm has %s = %g", nm, key, v)
			}
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Errorf("%d nm: %s is %g", nm, key, v)
			}
		})
	}
	for _, uv := range [][2]float64{{math.NaN(), 0.3}, {0.2, math.NaN()}, {math.Inf(1), 0.3}, {0, 0}} {
		if got := CCTOfUV(uv[0], uv[1]); got.Valid {
			t.Errorf("%v has %+v", uv, got)
		}
	}
}

// TestNothingBreaks: any light gives finite numbers for every measure it has.
func TestNothingBreaks(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var s spectrum.Spectrum
		for range rapid.IntRange(1, 8).Draw(t, "lines") {
			mid := rapid.Float64Range(370, 790).Draw(t, "nm")
			width := rapid.Float64Range(1, 200).Draw(t, "width")
			k := rapid.Float64Range(0.01, 10).Draw(t, "height")
			for i := range s {
				d := (spectrum.Wavelength(i) - mid) / width
				s[i] += k * math.Exp(-d*d)
			}
		}
		var c Colour
		if err := Of(&c, &s); err != nil {
			return // no visible light at all
		}
		c.Each(func(key string, v float64) {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				t.Fatalf("%s is %g", key, v)
			}
		})
		if c.Fidelity.Valid && (c.Fidelity.Rf < 0 || c.Fidelity.Rf > 100.001) {
			t.Fatalf("Rf is %g", c.Fidelity.Rf)
		}
		n := 0
		for _, k := range c.Fidelity.Count {
			n += k
		}
		if c.Fidelity.Valid && n != evaluationSamples {
			t.Fatalf("%d samples in the bins", n)
		}
	})
}

func TestReferenceShiftWarns(t *testing.T) {
	green := illuminant(t, "LED-RGB1") // Duv 0.0043
	r, err := CRI(&green)
	if err != nil {
		t.Fatal(err)
	}
	if finding.Has(r.Findings(), "colour.reference_shift") {
		t.Errorf("shift %g warned", r.Shift)
	}
	f := illuminant(t, "FL3.1") // a yellowish tube
	for i := range f {
		if i > 140 && i < 180 {
			f[i] *= 2 // greener still
		}
	}
	if r, err = CRI(&f); err != nil {
		t.Fatal(err)
	}
	if !finding.Has(r.Findings(), "colour.reference_shift") {
		t.Errorf("shift %g did not warn", r.Shift)
	}
}

func TestRefusesDarkness(t *testing.T) {
	var dark spectrum.Spectrum
	infrared := dark
	var c Colour
	if err := Of(&c, &dark); err == nil {
		t.Error("darkness has a colour")
	}
	infrared[0] = -1
	if _, err := CRI(&infrared); err == nil {
		t.Error("negative light has an index")
	}
	if _, err := AtFive(make([]float64, 80)); err == nil {
		t.Error("80 values were taken")
	}
	for _, c := range [][2]float64{{999, 0}, {25_001, 0}, {4000, 0.06}, {math.NaN(), 0}, {4000, math.NaN()}} {
		if _, _, err := UVOfCCT(c[0], c[1]); err == nil {
			t.Errorf("%v was taken", c)
		}
	}
}

// TestMetricsAreWhole: keys are unique, and a white light has them all.
func TestMetricsAreWhole(t *testing.T) {
	s := illuminant(t, "LED-B3")
	var c Colour
	if err := Of(&c, &s); err != nil {
		t.Fatal(err)
	}
	got := map[string]float64{}
	c.Each(func(key string, v float64) { got[key] = v })
	seen := map[string]bool{}
	for _, m := range Metrics() {
		if seen[m.Key] || m.Name == "" || m.Line == "" || m.Source == "" {
			t.Errorf("declaration %+v", m)
		}
		seen[m.Key] = true
		if _, ok := got[m.Key]; !ok {
			t.Errorf("%s has no value", m.Key)
		}
	}
	if len(got) != len(seen) {
		t.Errorf("%d values, %d declarations", len(got), len(seen))
	}
	if math.Abs(got["cct_k"]-4103) > 2 || math.Abs(got["ra"]-84.9) > 0.1 || math.Abs(got["r9"]-24) > 1 {
		t.Errorf("LED-B3: %g K, Ra %g, R9 %g", got["cct_k"], got["ra"], got["r9"])
	}
}
