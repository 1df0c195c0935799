package optics

import (
	"fmt"
	"math"
	"testing"
)

// Rows of continuous light behind a Lambertian sheet: with one direction the
// series is 2Σ n-th harmonics of x·K₁(x), x = 2πn·h/s; extremes at the rows
// and between. Computed from K₁ values of Abramowitz & Stegun table 9.8 where
// the first harmonic alone is enough (h/s ≥ 0.8), to the digits given.
func TestRowsBehindOpal(t *testing.T) {
	for ratio, want := range map[float64]float64{0.3: 0.566, 0.4: 0.355, 0.5: 0.211, 0.6: 0.122, 0.7: 0.070, 0.8: 0.039, 0.9: 0.022, 1: 0.0124, 1.2: 0.0038, 1.5: 0.0006, 2: 3e-5} {
		l := Lattice{Pitch: 1e-3, Spacing: 0.02, Depth: ratio * 0.02}
		c, err := l.Contrast(Sheet{T: 0.5, R: 0.4}, nil)
		if err != nil {
			t.Fatal(err)
		}
		near(t, fmt.Sprint("depth over spacing ", ratio), c, want, max(0.0006, 0.06*want)*boolTo(want > 1e-4)+3e-6)
	}
}

func boolTo(b bool) float64 {
	if b {
		return 1
	}
	return 0
}

// The lattice in closed form against the plain sum over LEDs.
func TestContrastAgainstSum(t *testing.T) {
	for _, c := range []struct {
		fwhm, h   float64
		staggered bool
	}{{0, 8, false}, {30, 20, false}, {40, 15, false}, {40, 15, true}, {60, 10, false}, {20, 30, true}} {
		l := Lattice{Pitch: 0.0167, Spacing: 0.017, Depth: c.h * 1e-3, Staggered: c.staggered, BeamFWHM: 120 * degree}
		sheet := Sheet{T: 0.6, R: 0.3}
		var film *Film
		if c.fwhm > 0 {
			sheet.Lobe, sheet.LobeFWHM = 1, c.fwhm*degree
			film, _ = NewFilm(sheet.LobeFWHM)
		}
		got, err := l.Contrast(sheet, film)
		if err != nil {
			t.Fatal(err)
		}
		hi, lo := 0.0, math.Inf(1)
		for i := range 17 {
			for j := range 33 {
				x, y := l.Pitch*float64(i)/16, 2*l.Spacing*float64(j)/32
				sum := 0.0
				for n := -40; n <= 40; n++ {
					for k := -40; k <= 40; k++ {
						dx, dy := x-float64(k)*l.Pitch, y-float64(n)*l.Spacing
						if l.Staggered && n%2 != 0 {
							dx -= l.Pitch / 2
						}
						r2 := dx*dx + dy*dy + l.Depth*l.Depth
						v := l.Depth * l.Depth / (r2 * r2)
						if film != nil {
							r := math.Sqrt(r2)
							v *= film.spread(0, 0, dx/r, dy/r)
						}
						sum += v
					}
				}
				hi, lo = max(hi, sum), min(lo, sum)
			}
		}
		want := (hi - lo) / (hi + lo)
		near(t, fmt.Sprintf("%+v", c), got, want, 0.004+0.01*want)
	}
}

// Pure-lobe sheets over LEDs 16.7 × 17 mm apart: depth helps, width helps, a
// 30° film is good at 50 mm and a 20° film is not. Common practice, no source:
// 50 mm blends rows of 10 to 17 mm behind films of 28° and more.
func TestPureLobes(t *testing.T) {
	table := map[float64][]float64{ // depths 10, 15, 20, 25, 30, 40, 50, 60 mm
		15: {1.00, 1.00, 1.00, 1.00, 0.98, 0.77, 0.43, 0.19},
		20: {1.00, 1.00, 0.99, 0.92, 0.76, 0.34, 0.11, 0.028},
		30: {0.99, 0.93, 0.71, 0.42, 0.21, 0.039, 0.006, 0.001},
		40: {0.92, 0.64, 0.32, 0.13, 0.048, 0.006},
		60: {0.54, 0.18, 0.051, 0.014, 0.004},
		90: {0.29, 0.061, 0.012, 0.002},
	}
	for fwhm, row := range table {
		last := math.Inf(1)
		for i, want := range row {
			h := []float64{10, 15, 20, 25, 30, 40, 50, 60}[i] * 1e-3
			c, err := Lattice{Pitch: 0.0167, Spacing: 0.017, Depth: h}.Contrast(Sheet{T: 0.8, R: 0.1, Lobe: 1, LobeFWHM: fwhm * degree}, nil)
			if err != nil {
				t.Fatal(err)
			}
			near(t, fmt.Sprintf("%g° at %g m", fwhm, h), c, want, 0.007*boolTo(want > 0.05)+0.0007)
			if c > last {
				t.Errorf("%g°: deeper is worse at %g m", fwhm, h)
			}
			last = c
		}
	}
	wide := Lattice{Pitch: 0.0167, Spacing: 0.033, Depth: 0.05}
	c, _ := wide.Contrast(Sheet{T: 0.8, R: 0.1, Lobe: 1, LobeFWHM: 30 * degree}, nil)
	near(t, "33 mm rows, 30° film", c, 0.22, 0.02)
}

// Shifting every second row by half a pitch removes the first harmonic along
// the strip.
func TestStagger(t *testing.T) {
	l := Lattice{Pitch: 0.03, Spacing: 0.01, Depth: 0.012}
	plain, _ := l.Contrast(Sheet{T: 0.5}, nil)
	l.Staggered = true
	shifted, _ := l.Contrast(Sheet{T: 0.5}, nil)
	if shifted > plain/2.5 {
		t.Errorf("staggered %.4f, plain %.4f", shifted, plain)
	}
}

// Screen's ripple is the lattice's, diluted; near the exact one of the field.
func TestScreenRipple(t *testing.T) {
	b := tracedBoxNamed(t, "N01")
	b.Height = 0.025
	for i := range b.Rows {
		b.Rows[i].X0 += 0.3e-3 // off the symmetric place, as built
	}
	for _, shift := range []float64{0, 0.5} {
		c := b
		c.Rows = append([]Row(nil), b.Rows...)
		for i := range c.Rows {
			if i%2 == 1 {
				c.Rows[i].X0 += shift * c.Rows[i].Pitch
				c.Rows[i].Count -= int(2 * shift)
			}
		}
		p, err := Prepare(c, nil)
		if err != nil {
			t.Fatal(err)
		}
		q, _ := p.Screen(p.Finish(c))
		r, _ := Solve(c, Options{})
		if r.Ripple() < 0.02 {
			t.Fatalf("too smooth to tell: %g", r.Ripple())
		}
		off(t, fmt.Sprint("shift ", shift), q.Ripple, r.Ripple(), 0.07)
	}
}

func TestVisibility(t *testing.T) {
	for c, want := range map[float64]string{0.005: "invisible", 0.02: "faint", 0.05: "visible", 0.3: "dots or stripes"} {
		if got := Visibility(c); got != want {
			t.Errorf("%g: %s, want %s", c, got, want)
		}
	}
	near(t, "cycles per degree", CyclesPerDegree(0.01745507, 1), 1, 1e-4)
}

// An emitter of 2.5 mm² at 20 lm behind 1 % unscattered light at a usual face
// shows as a dot of about the face's own luminance.
func TestDotRatio(t *testing.T) {
	got, err := DotRatio(Sheet{T: 0.6, R: 0.3, Through: 0.01}, 20, 0, 2.5e-6, 12000)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "ratio", got, 20/math.Pi*0.6*0.01/(2.5e-6*12000), 1e-12)
	if got < 1 {
		t.Errorf("%g: invisible?", got)
	}
	for _, bad := range []float64{0, math.NaN(), math.Inf(1)} {
		if _, err := DotRatio(Sheet{T: 0.6, Through: 0.01}, 20, 0, 2.5e-6, bad); err == nil {
			t.Errorf("background %g taken", bad)
		}
	}
}
