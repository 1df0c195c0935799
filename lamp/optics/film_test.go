package optics

import (
	"math"
	"testing"

	"dawnsmith/light/lobe"
)

// FWHM means what a data sheet means: a narrow beam met squarely gives half
// the intensity at half the width. Intensity is luminance times cos θ.
func TestLobeWidth(t *testing.T) {
	for _, deg := range []float64{5, 15, 40, 70, 100, 119} {
		f, err := NewFilm(deg * degree)
		if err != nil {
			t.Fatal(err)
		}
		s, c := math.Sincos(deg / 2 * degree)
		off(t, "half", f.spread(s, 0, 0, 0)*c/f.spread(0, 0, 0, 0), 0.5, 1e-6)
		near(t, "round trip", lobe.FWHM(f.sigma), deg*degree, 1e-6)
	}
}

// No light is lost: ∫ f_t d²s_o = 1 over the half space for any s_i, and even
// light from all sides leaves whole, ∫ brightness·2r dr = 1.
func TestLobeKeepsLight(t *testing.T) {
	for _, deg := range []float64{20, 55, 90, 115} {
		f, err := NewFilm(deg * degree)
		if err != nil {
			t.Fatal(err)
		}
		for _, in := range []float64{0, 0.5, 0.9} {
			sum := 0.0
			const n = 400
			for i := range n {
				for j := range n {
					x, y := -1+2*(float64(i)+0.5)/n, -1+2*(float64(j)+0.5)/n
					if x*x+y*y < 1 {
						sum += f.spread(x, y, in, 0) * 4 / (n * n)
					}
				}
			}
			off(t, "all directions", sum, 1, 2e-3)
		}
		sum := 0.0
		const n = 2000
		for i := range n {
			r := (float64(i) + 0.5) / n
			sum += f.brightness(r) * 2 * r / n
		}
		off(t, "even light", sum, 1, 1e-4)
	}
}

// The separable kernel against its definition.
func TestLobeKernel(t *testing.T) {
	for _, deg := range []float64{5, 15, 20, 30, 40, 55, 90, 119} {
		f, err := NewFilm(deg * degree)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range []float64{0.646, 1, 1.115, 7, 45} {
			const h = 0.049
			g := f.kernel(m, h, 1)
			worst := 0.0
			for rho := 0.0; rho < 0.6; rho += 0.002 {
				r := math.Hypot(rho, h)
				want := (m + 1) / (2 * math.Pi) * math.Pow(h/r, m) * h / (r * r * r) * f.spread(0, 0, rho/r, 0)
				worst = max(worst, math.Abs(g.at(rho*rho)-want)/g.at(0))
			}
			if worst > 5e-4 {
				t.Errorf("FWHM %g, m %g: off by %.2g of the peak", deg, m, worst)
			}
		}
	}
}

// Fans gather even light exactly and the floor's share of a lobe right.
func TestFan(t *testing.T) {
	f, err := NewFilm(50 * degree)
	if err != nil {
		t.Fatal(err)
	}
	for _, o := range []float64{0, 0.4, 0.8} {
		var buf [fanRadii * fanAngles]fanRay
		sum, tilt := 0.0, 0.0
		for k := range 4 {
			for _, r := range f.fan(o, 0, float64(k)/4, buf[:]) {
				sum += r.weight / 4
				tilt += r.weight * r.sx / 4
			}
		}
		off(t, "even", sum, f.brightness(o), 1e-9)
		// ∫ s_x·G/N d²s by brute force.
		want := 0.0
		const n = 600
		for i := range n {
			for j := range n {
				x, y := -1+2*(float64(i)+0.5)/n, -1+2*(float64(j)+0.5)/n
				if x*x+y*y < 1 {
					want += x * f.spread(o, 0, x, y) * 4 / (n * n)
				}
			}
		}
		near(t, "tilt", tilt, want, 0.004)
	}
}

func TestBessel(t *testing.T) {
	// exp(−x)·I₀(x), Abramowitz & Stegun table 9.8.
	for x, want := range map[float64]float64{0: 1, 1: 0.4657596077, 5: 0.1835408126, 10: 0.1278333371} {
		near(t, "I₀", bessel0(x), want, 1e-7)
	}
}
