package optics

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// usualBox draws a box a maker might build.
func usualBox(t *rapid.T) Box {
	f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	b := Box{Length: f(0.15, 1, "length")}
	b.Width = b.Length * f(0.35, 1, "width over length")
	b.Height = min(b.Width/2, f(0.02, 0.1, "height"))
	s := 0.0
	if rapid.Bool().Draw(t, "mirror") {
		s = f(0, 0.98, "s")
	}
	b.Walls, b.Floor = SameWalls(Surface{f(0.5, 0.97, "walls"), s}), Surface{f(0.5, 0.97, "floor"), s}
	b.Sheet.T = f(0.35, 0.9, "T")
	b.Sheet.R = max(0, 1-b.Sheet.T-f(0.02, 0.08, "A"))
	if rapid.Bool().Draw(t, "weak") {
		b.Sheet.Through, b.Sheet.Lobe, b.Sheet.LobeFWHM = f(0, 0.05, "u"), f(0.3, 0.9, "l"), f(25, 110, "fwhm")*degree
	}
	spacing := f(0.008, 0.03, "spacing")
	b.Rows = Grid(b.Length, b.Width, max(1, int(b.Width/spacing)), spacing*f(0.8, 1, "gap"), max(1, int(b.Length/0.0167)), 0.0165,
		Row{Z: 0.001, Flux: 15, StripWidth: 0.006, StripReflectance: 0.85})
	return b
}

// Screen keeps its word against the full solution.
func TestScreenBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := usualBox(t)
		targets := []Target{onAxis(b.Width / 2), onAxis(0.6), Mount{Height: 0.3, Distance: 0.55, Offset: 0.06, Tilt: 10 * degree}.Eye(0)}
		p, err := Prepare(b, nil, targets...)
		if err != nil {
			t.Fatal(err)
		}
		q, err := p.Screen(p.Finish(b))
		if err != nil {
			t.Fatal(err)
		}
		r, err := Solve(b, Options{Detail: Draft, Cell: 0.01})
		if err != nil {
			t.Fatal(err)
		}
		within := func(what string, got, want, bound float64) {
			if !(math.Abs(got/want-1) <= bound) {
				t.Errorf("%s: %.5g, full solution %.5g: off by %.2f %%, bound %.2f %%", what, got, want, (got/want-1)*100, bound*100)
			}
		}
		within("η", q.Efficiency, r.Efficiency, q.Bound)
		within("mean", q.Mean, r.Face.Mean, q.LuxBound)
		if q.Ripple < 0.3 { // else the centre is a matter of where the dots are
			within("centre", q.Centre, r.Face.Centre, q.CentreBound)
		}
		for i, tg := range targets {
			e, err := r.Illuminance(tg)
			if err != nil {
				t.Fatal(err)
			}
			within("lx", q.Lux[i], e, q.LuxBound)
		}
		three, err := ThreeSurface(b)
		if err != nil {
			t.Fatal(err)
		}
		within("three surfaces", three.Efficiency, r.Efficiency, three.Bound)
		near(t, "all light", q.Efficiency+q.AbsorbedFloor+q.AbsorbedWalls+q.AbsorbedSheet, 1, 1e-9)
	})
}

// Another finish of a prepared box is the box prepared with that finish.
func TestScreenOtherFinish(t *testing.T) {
	b := tracedBoxNamed(t, "N01")
	p, err := Prepare(b, nil, onAxis(0.4))
	if err != nil {
		t.Fatal(err)
	}
	c := b
	c.Rows = append([]Row(nil), b.Rows...)
	c.Walls, c.Floor = SameWalls(Surface{0.7, 0.2}), Surface{0.6, 0.1}
	c.Sheet.T, c.Sheet.R, c.Sheet.Lobe = 0.5, 0.42, 0.3
	for i := range c.Rows {
		c.Rows[i].Flux *= 2
		c.Rows[i].StripReflectance = 0.7
	}
	fresh, err := Prepare(c, nil, onAxis(0.4))
	if err != nil {
		t.Fatal(err)
	}
	a, err := p.Screen(fresh.Finish(c))
	if err != nil {
		t.Fatal(err)
	}
	d, err := fresh.Screen(fresh.Finish(c))
	if err != nil {
		t.Fatal(err)
	}
	off(t, "η", a.Efficiency, d.Efficiency, 1e-12)
	off(t, "lx", a.Lux[0], d.Lux[0], 1e-12)
	off(t, "ripple", a.Ripple, d.Ripple, 1e-12)
	// What was not prepared is refused.
	f := p.Finish(b)
	f.Sheet.LobeFWHM = 30 * degree
	if _, err := p.Screen(f); err == nil {
		t.Error("another lobe taken")
	}
	f = p.Finish(b)
	f.Sheet.Through = 0.1
	if _, err := p.Screen(f); err == nil {
		t.Error("unscattered light taken")
	}
}
