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

func BenchmarkScreen(b *testing.B) {
	_, targets := tracedTargets()
	for _, c := range tracedBoxes(b) {
		box := c.box()
		p, err := Prepare(box, nil, targets...)
		if err != nil {
			b.Fatal(err)
		}
		f := p.Finish(box)
		b.Run(c.ID, func(b *testing.B) {
			for b.Loop() {
				if _, err := p.Screen(f); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// BenchmarkSolve times one evaluation with five outside points: cold with a
// new geometry, warm with a prepared one, any with fluxes without symmetry.
func BenchmarkSolve(b *testing.B) {
	_, targets := tracedTargets()
	points := func(r *Solution) {
		for _, t := range targets {
			if _, err := r.Illuminance(t); err != nil {
				b.Fatal(err)
			}
		}
	}
	for _, c := range tracedBoxes(b) {
		box := c.box()
		film := filmOf(b, box)
		odd := c.box()
		for j := range odd.Rows {
			for i := range odd.Rows[j].Count {
				odd.Rows[j].Fluxes = append(odd.Rows[j].Fluxes, 10+float64((i*7+j*13)%11))
			}
		}
		for _, d := range []Detail{Draft, Standard} {
			opt := Options{Detail: d}
			if d == Draft {
				opt.Cell = 0.01
			}
			s, err := NewSolver(box, film, opt)
			if err != nil {
				b.Fatal(err)
			}
			run := func(name string, f func() (*Solution, error)) {
				b.Run(fmt.Sprintf("%s/%v/%s", c.ID, d, name), func(b *testing.B) {
					for b.Loop() {
						r, err := f()
						if err != nil {
							b.Fatal(err)
						}
						points(r)
					}
				})
			}
			run("cold", func() (*Solution, error) {
				s, err := NewSolver(box, film, opt)
				if err != nil {
					return nil, err
				}
				return s.Solve(box)
			})
			run("warm", func() (*Solution, error) { return s.Solve(box) })
			run("any", func() (*Solution, error) { return s.Solve(odd) })
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
