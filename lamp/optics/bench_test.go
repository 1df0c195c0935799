package optics

import (
	"fmt"
	"testing"
)

func BenchmarkThreeSurface(b *testing.B) {
	for _, c := range tracedBoxes(b) {
		box := c.box()
		b.Run(c.ID, func(b *testing.B) {
			for b.Loop() {
				if _, err := ThreeSurface(box); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkPrepare(b *testing.B) {
	_, targets := tracedTargets()
	for _, c := range tracedBoxes(b) {
		box := c.box()
		film := filmOf(b, box)
		b.Run(c.ID, func(b *testing.B) {
			for b.Loop() {
				if _, err := Prepare(box, film, targets...); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func filmOf(b *testing.B, box Box) *Film {
	if box.Sheet.Lobe == 0 {
		return nil
	}
	f, err := NewFilm(box.Sheet.LobeFWHM)
	if err != nil {
		b.Fatal(err)
	}
	return f
}

// Targets, on one core: a symmetric box (D01) with five points outside, warm
// and cold; fluxes without symmetry; the lined tray with a lobe film (N01) for
// search, slider and in full.

func BenchmarkSymmetricBoxWarmWithin100us(b *testing.B) { benchmarkSolve(b, "D01", Draft, "warm") }
func BenchmarkSymmetricBoxColdWithin500us(b *testing.B) { benchmarkSolve(b, "D01", Draft, "cold") }
func BenchmarkAnyFluxesWithin900us(b *testing.B)        { benchmarkSolve(b, "D01", Draft, "any") }
func BenchmarkLinedLobeSliderWithin5ms(b *testing.B)    { benchmarkSolve(b, "N01", Draft, "warm") }
func BenchmarkLinedLobeFullWithin100ms(b *testing.B)    { benchmarkSolve(b, "N01", Standard, "cold") }
func BenchmarkLinedLobeScreenWithin5us(b *testing.B)    { benchmarkScreen(b, tracedBoxNamed(b, "N01")) }

func BenchmarkScreen(b *testing.B) {
	for _, c := range tracedBoxes(b) {
		b.Run(c.ID, func(b *testing.B) { benchmarkScreen(b, c.box()) })
	}
}

func benchmarkScreen(b *testing.B, box Box) {
	_, targets := tracedTargets()
	p, err := Prepare(box, nil, targets...)
	if err != nil {
		b.Fatal(err)
	}
	f := p.Finish(box)
	for b.Loop() {
		if _, err := p.Screen(f); err != nil {
			b.Fatal(err)
		}
	}
}

// BenchmarkTrend is the time of a cold solution over the number of LEDs and
// patches: a white box of 380 × 280 × 50 mm with more and more rows, and ever
// shallower.
func BenchmarkTrend(b *testing.B) {
	for _, n := range []int{4, 8, 16, 32} {
		for _, depth := range []float64{0.05, 0.025, 0.0125} {
			box := Box{Length: 0.38, Width: 0.28, Height: depth, Walls: SameWalls(Surface{0.9, 0}), Floor: Surface{0.9, 0}, Sheet: Sheet{T: 0.5, R: 0.45}}
			perRow := n * 3 / 2
			box.Rows = Grid(box.Length, box.Width, n, box.Width/float64(n), perRow, box.Length/float64(perRow), Row{Z: 0.001, Flux: 20})
			s, err := NewSolver(box, nil, Options{})
			if err != nil {
				b.Fatal(err)
			}
			b.Run(fmt.Sprintf("%d-LEDs-%d-patches", n*perRow, 2*s.grid.x.n()*s.grid.y.n()+2*(s.grid.x.n()+s.grid.y.n())*(len(s.grid.z)-1)), func(b *testing.B) {
				for b.Loop() {
					if _, err := Solve(box, Options{}); err != nil {
						b.Fatal(err)
					}
				}
			})
		}
	}
}

// BenchmarkSolve times one evaluation with five outside points: cold with a
// new geometry, warm with a prepared one, any with fluxes without symmetry.
func BenchmarkSolve(b *testing.B) {
	for _, c := range tracedBoxes(b) {
		for _, d := range []Detail{Draft, Standard} {
			for _, how := range []string{"cold", "warm", "any"} {
				b.Run(fmt.Sprintf("%s/%v/%s", c.ID, d, how), func(b *testing.B) { benchmarkSolve(b, c.ID, d, how) })
			}
		}
	}
}

func benchmarkSolve(b *testing.B, id string, d Detail, how string) {
	_, targets := tracedTargets()
	box := tracedBoxNamed(b, id)
	film := filmOf(b, box)
	opt := Options{Detail: d}
	if d == Draft {
		opt.Cell = 0.01
	}
	if how == "any" {
		for j := range box.Rows {
			r := &box.Rows[j]
			r.Fluxes = nil
			for i := range r.Count {
				r.Fluxes = append(r.Fluxes, 10+float64((i*7+j*13)%11))
			}
		}
	}
	s, err := NewSolver(box, film, opt)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if how == "cold" {
			if s, err = NewSolver(box, film, opt); err != nil {
				b.Fatal(err)
			}
		}
		r, err := s.Solve(box)
		if err != nil {
			b.Fatal(err)
		}
		for _, t := range targets {
			if _, err := r.Illuminance(t); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkSpectral(b *testing.B) {
	box := tracedBoxNamed(b, "N01")
	p, err := Prepare(box, nil)
	if err != nil {
		b.Fatal(err)
	}
	f := p.Finish(box)
	bands := make([]Band, 40)
	for i := range bands {
		bands[i] = Band{0.86 - 0.001*float64(i), 0.86, 0.85, 0.62, 0.3}
	}
	for b.Loop() {
		if _, err := p.Spectral(f, 0.78, bands); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkRipple(b *testing.B) {
	r, err := Solve(tracedBoxNamed(b, "N01"), Options{})
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		r.Ripple()
	}
}

func BenchmarkFilm(b *testing.B) {
	for b.Loop() {
		if _, err := NewFilm(1); err != nil {
			b.Fatal(err)
		}
	}
}
