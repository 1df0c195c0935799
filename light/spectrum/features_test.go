package spectrum

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

func TestPeaksOfGaussians(t *testing.T) {
	s := Func(func(nm float64) float64 { return gauss(450.3, 22)(nm) + 0.5*gauss(600, 60)(nm) })
	p := s.Peaks(0.03)
	if len(p) != 2 {
		t.Fatalf("%d peaks: %+v", len(p), p)
	}
	if math.Abs(p[0].NM-450.3) > 0.02 || math.Abs(p[0].Width-22) > 0.3 || math.Abs(p[0].Prominence-1) > 0.01 {
		t.Errorf("pump %+v", p[0])
	}
	if math.Abs(p[1].NM-600) > 0.02 || math.Abs(p[1].Width-60) > 0.3 || math.Abs(p[1].Prominence-0.5) > 0.01 {
		t.Errorf("second band %+v", p[1])
	}
	d := s.Dips(0.03)
	if len(d) != 1 || d[0].NM < 470 || d[0].NM > 530 {
		t.Errorf("dips %+v", d)
	}
}

// TestPeaksOfPublishedLEDs: where CIE 015:2018 has them in its 1 nm tables.
func TestPeaksOfPublishedLEDs(t *testing.T) {
	for _, c := range []struct {
		name        string
		peaks, dips []float64
	}{
		{"LED-B3@1nm", []float64{448, 595}, []float64{477}},
		{"LED-B5@1nm", []float64{452, 555}, []float64{487}},
		{"LED-V1@1nm", []float64{413, 637}, []float64{439}},
		{"LED-RGB1@1nm", []float64{452, 518, 636}, []float64{474, 570}},
		{"A", nil, nil},
	} {
		s, err := Illuminant(c.name)
		if err != nil {
			t.Fatal(err)
		}
		check := func(what string, got []Feature, want []float64) {
			if len(got) != len(want) {
				t.Errorf("%s: %s %+v, want near %v nm", c.name, what, got, want)
				return
			}
			for i := range want {
				if math.Abs(got[i].NM-want[i]) > 1.5 {
					t.Errorf("%s: %s at %.2f nm, want %g nm", c.name, what, got[i].NM, want[i])
				}
			}
		}
		check("peaks", s.Peaks(0.03), c.peaks)
		check("dips", s.Dips(0.03), c.dips)
	}
}

func TestBandsAddUp(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light().Draw(t, "light")
		cut := float64(rapid.IntRange(First+1, Last-1).Draw(t, "cut"))
		a, b := s.Band(First, cut), s.Band(cut, Last)
		if math.Abs(a+b-1) > 1e-12 || a < 0 || b < 0 {
			t.Fatalf("%g and %g", a, b)
		}
	})
	var dark Spectrum
	if dark.Band(380, 780) != 0 || dark.Peaks(0.1) != nil {
		t.Error("darkness has a shape")
	}
}

func TestFeaturesScale(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := light().Draw(t, "light")
		k := rapid.Float64Range(1e-6, 1e6).Draw(t, "k")
		b := s.Scale(k)
		p, q := s.Peaks(0.05), b.Peaks(0.05)
		if len(p) != len(q) {
			t.Fatalf("%d peaks, %d after scaling", len(p), len(q))
		}
		last := 0.0
		for i := range p {
			if math.Abs(p[i].NM-q[i].NM) > 1e-6 || math.Abs(p[i].Prominence-q[i].Prominence) > 1e-9 || p[i].NM <= last || p[i].Prominence < 0.05-1e-12 {
				t.Fatalf("%+v, scaled %+v", p[i], q[i])
			}
			last = p[i].NM
		}
	})
}

// triangle reads a spectrum through a triangular band of a width at half
// maximum in nm.
func triangle(f func(float64) float64, width float64) Spectrum {
	return Func(func(nm float64) float64 {
		var sum, weight float64
		for x := -width; x <= width; x += 0.1 {
			w := 1 - math.Abs(x)/width
			sum += w * f(nm+x)
			weight += w
		}
		return sum / weight
	})
}

// TestNarrowUndoesTheBand: of what a band of 5 or 10 nm does to a white LED,
// less than a tenth or a quarter is left.
func TestNarrowUndoesTheBand(t *testing.T) {
	truth := Func(white)
	worst := func(s Spectrum) float64 {
		var w float64
		for i := 20; i < N-20; i++ {
			w = max(w, math.Abs(s[i]-truth[i]))
		}
		return w
	}
	for width, left := range map[float64]float64{5: 0.1, 10: 0.25} {
		read := triangle(white, width)
		got, err := read.Narrow(width)
		if err != nil {
			t.Fatal(err)
		}
		if before, after := worst(read), worst(got); after > left*before {
			t.Errorf("%g nm: off by %.5f, corrected %.5f", width, before, after)
		}
	}
	for _, width := range []float64{0, 25, math.NaN()} {
		if _, err := truth.Narrow(width); err == nil {
			t.Errorf("%g nm was taken", width)
		}
	}
}

// TestNarrowLeavesStraightLines alone.
func TestNarrowLeavesStraightLines(t *testing.T) {
	s := Func(func(nm float64) float64 { return nm - 300 })
	got, err := s.Narrow(8)
	if err != nil {
		t.Fatal(err)
	}
	for i := 20; i < N-20; i++ {
		if math.Abs(got[i]-s[i]) > 1e-9 {
			t.Fatalf("at %g nm %g became %g", Wavelength(i), s[i], got[i])
		}
	}
}
