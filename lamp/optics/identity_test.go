package optics

import (
	"errors"
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"

	"pgregory.net/rapid"
)

// randomBox draws a valid box with every feature of the model.
func randomBox(t *rapid.T) Box {
	f := func(lo, hi float64, name string) float64 { return rapid.Float64Range(lo, hi).Draw(t, name) }
	b := Box{Length: f(0.05, 1.2, "length"), Width: f(0.05, 0.8, "width")}
	b.Height = f(0.01, 0.6*min(b.Length, b.Width), "height")
	surface := func(name string) Surface {
		s := Surface{Reflectance: f(0, 1, name+" ρ")}
		if rapid.Bool().Draw(t, name+" mirror") {
			s.Specular = f(0, 1, name+" s")
		}
		return s
	}
	b.Walls = SameWalls(surface("walls"))
	if rapid.IntRange(0, 3).Draw(t, "odd wall") == 0 {
		b.Walls[1] = surface("wall 1")
	}
	b.Floor = surface("floor")
	b.Sheet.T = f(0, 1, "T")
	b.Sheet.R = f(0, 1-b.Sheet.T, "R")
	b.Sheet.R = min(b.Sheet.R, 0.98)
	if rapid.Bool().Draw(t, "weak") {
		b.Sheet.Through = f(0, 1, "u")
		b.Sheet.Lobe = f(0, 1-b.Sheet.Through, "l")
		b.Sheet.LobeFWHM = f(5, 120, "fwhm") * degree
	}
	like := Row{Z: f(0, b.Height/3, "z"), Flux: f(1, 50, "flux"), BeamFWHM: f(60, 150, "beam") * degree,
		StripWidth: f(0, 0.012, "strip"), StripReflectance: f(0, 1, "strip ρ")}
	rows, per := rapid.IntRange(1, 8).Draw(t, "rows"), rapid.IntRange(1, 12).Draw(t, "per row")
	b.Rows = Grid(b.Length, b.Width, rows, b.Width/(float64(rows)+0.2), per, b.Length/(float64(per)+0.2), like)
	if rapid.Bool().Draw(t, "uneven") {
		for j := range b.Rows {
			for range b.Rows[j].Count {
				b.Rows[j].Fluxes = append(b.Rows[j].Fluxes, f(0, 20, "Φ"))
			}
		}
		b.Rows[0].Fluxes[0] = 5
	}
	return b
}

func finite(t *rapid.T, what string, v ...float64) {
	for _, x := range v {
		if math.IsNaN(x) || math.IsInf(x, 0) || x < -1e-9 {
			t.Fatalf("%s: %v", what, v)
		}
	}
}

// Any valid box: no NaN, nothing negative, all light accounted for, the two
// ways of solving agree.
func TestAnyBox(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := randomBox(t)
		if err := b.Validate(); err != nil {
			t.Fatal(err)
		}
		three, err := ThreeSurface(b)
		if err != nil {
			t.Fatal(err)
		}
		r, err := Solve(b, Options{Detail: Draft, Cell: b.Width / 10})
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range []Balance{three, r.Balance} {
			finite(t, "balance", q.Efficiency, q.AbsorbedFloor, q.AbsorbedWalls, q.AbsorbedSheet, q.Direct, q.OnFloor, q.OnSheet, q.OnWalls, q.Luminance)
			near(t, "all light", q.Efficiency+q.AbsorbedFloor+q.AbsorbedWalls+q.AbsorbedSheet, 1, 1e-3)
		}
		f := r.Face
		finite(t, "face", f.Mean, f.Min, f.Max, f.Centre, f.Corner, f.EdgeX, f.EdgeY, f.Evenness, f.Direct)
		if rapid.IntRange(0, 9).Draw(t, "look at ripple") == 0 {
			finite(t, "ripple", r.Ripple(), r.RimRipple())
		}
		target := onAxis(max(0.05, b.Height))
		view := StandardView()
		target.View, target.Up = &view, Vec{0, 1, 0}
		e, err := r.Illuminance(target)
		if err != nil {
			t.Fatal(err)
		}
		finite(t, "illuminance", e, r.Intensity(0.3, 1), r.Intensity(1.5, 4))
		p, err := Prepare(b, nil, target)
		if err != nil {
			t.Fatal(err)
		}
		q, err := p.Screen(p.Finish(b))
		if err != nil {
			t.Fatal(err)
		}
		finite(t, "screen", q.Efficiency, q.Mean, q.Centre, q.Direct, q.Ripple, q.Lux[0])
		if q.Ripple > 1+1e-9 {
			t.Fatalf("ripple %g", q.Ripple)
		}
	})
}

// Furnace: every surface that is not a mirror also shines with what it does
// not reflect; then every exitance is the same.
func TestFurnace(t *testing.T) {
	for _, id := range []string{"D01", "S01", "N01"} {
		b := tracedBoxNamed(t, id)
		g := newGrid(&b, Draft)
		rho := g.reflectances(&b, b.bands())
		p := g.part(0)
		r, mir := make([]float64, p.n), g.mirrors()
		o := g.offsets()
		for k := range r {
			switch {
			case k < o.sheet:
				r[k] = rho.floor[k/o.mx]
			case k < o.wallX:
				r[k] = rho.sheet
			default:
				r[k] = rho.x0
			}
		}
		const b0 = 7.0
		own, e0, e, ex := make([]float64, p.n), make([]float64, p.n), make([]float64, p.n), make([]float64, p.n)
		for k := range own {
			own[k] = (1 - mir[k] - r[k]) * b0
		}
		for k := range e0 {
			e0[k] = dot(own, p.f[k*p.n:(k+1)*p.n])
		}
		sweep(p, e0, r, e, ex, 1e-10)
		for k := range e {
			// A mirror share m passes m·B₀ of what it gets: leave that out.
			near(t, id, own[k]+ex[k], (1-mir[k])*b0, 1e-5)
		}
	}
}

// All reflectances 0: η = T·Σ p_i Φ_i/Σ Φ_i, p_i the share of LED i that meets
// the sheet, in closed form for Lambertian LEDs.
func TestBlackBox(t *testing.T) {
	black := func(b Box) (want float64) {
		for i := range b.Rows {
			r := &b.Rows[i]
			for k := range r.Count {
				x, y, h := r.x(k), r.Y, b.Height-r.Z
				want += r.flux(k) * (quarter(x, y, h) + quarter(b.Length-x, y, h) + quarter(x, b.Width-y, h) + quarter(b.Length-x, b.Width-y, h))
			}
		}
		return b.Sheet.T * want / b.LEDFlux()
	}
	rapid.Check(t, func(t *rapid.T) {
		b := randomBox(t)
		b.Walls, b.Floor, b.Sheet.R = [4]Surface{}, Surface{}, 0
		for i := range b.Rows {
			b.Rows[i].StripReflectance, b.Rows[i].BeamFWHM = 0, 0
		}
		want := black(b)
		full, err := Solve(b, Options{Detail: Draft, Cell: b.Width / 8})
		if err != nil {
			t.Fatal(err)
		}
		three, err := ThreeSurface(b)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "full", full.Efficiency, want, 2e-4*b.Sheet.T)
		near(t, "three", three.Efficiency, want, 2e-4*b.Sheet.T)
	})
}

// Perfect mirror walls: η = T/(1−R·ρ_f), whatever the size and the LEDs.
func TestPerfectMirrorWalls(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := randomBox(t)
		b.Walls = SameWalls(Surface{1, 1})
		b.Sheet.T, b.Sheet.R = 0.5, rapid.Float64Range(0, 0.45).Draw(t, "R'")
		// A floor all alike, without a mirror part of its own.
		b.Floor.Specular = 0
		for i := range b.Rows {
			b.Rows[i].StripWidth = 0
		}
		want := b.Sheet.T / (1 - b.Sheet.R*b.Floor.Reflectance)
		three, err := ThreeSurface(b)
		if err != nil {
			t.Fatal(err)
		}
		near(t, "three", three.Efficiency, want, 1e-4) // images are cut off where they add less
	})
	for _, h := range []float64{0.02, 0.05, 0.12} {
		b := tracedBoxNamed(t, "D05")
		b.Height = h
		b.Walls = SameWalls(Surface{1, 1})
		want := b.Sheet.T / (1 - b.Sheet.R*b.Floor.Reflectance)
		full, _ := Solve(b, Options{})
		near(t, "full", full.Efficiency, want, 2e-3*want)
	}
}

// H → 0: η → T/(1−R·ρ_f).
func TestFlatBox(t *testing.T) {
	b := tracedBoxNamed(t, "D05")
	want := b.Sheet.T / (1 - b.Sheet.R*b.Floor.Reflectance)
	last := 1.0
	for _, h := range []float64{0.02, 0.01, 0.005, 0.0025} {
		b.Height = h
		r, err := ThreeSurface(b)
		if err != nil {
			t.Fatal(err)
		}
		off := math.Abs(r.Efficiency/want - 1)
		if off >= last {
			t.Errorf("depth %g: off by %g, not nearer than %g", h, off, last)
		}
		last = off
	}
	if last > 0.012 {
		t.Errorf("2.5 mm deep still off by %g", last)
	}
}

// η rises with every reflectance and with T at fixed absorptance.
func TestMonotone(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := randomBox(t)
		b.Sheet.T = max(b.Sheet.T, 0.05)
		b.Sheet.R = min(b.Sheet.R, 0.94-b.Sheet.T)
		if b.Sheet.R < 0 {
			b.Sheet.R, b.Sheet.T = 0, 0.9
		}
		base, err := ThreeSurface(b)
		if err != nil {
			t.Fatal(err)
		}
		up := func(what string, change func(*Box)) {
			c := b
			c.Rows = append([]Row(nil), b.Rows...)
			change(&c)
			r, err := ThreeSurface(c)
			if err != nil {
				t.Fatal(err)
			}
			if r.Efficiency < base.Efficiency-1e-9 {
				t.Fatalf("%s: η falls from %.6f to %.6f", what, base.Efficiency, r.Efficiency)
			}
		}
		lift := func(s *Surface) { s.Reflectance += (1 - s.Reflectance) / 3 }
		up("floor", func(c *Box) { lift(&c.Floor) })
		up("walls", func(c *Box) {
			for i := range c.Walls {
				lift(&c.Walls[i])
			}
		})
		up("strip", func(c *Box) {
			for i := range c.Rows {
				c.Rows[i].StripReflectance += (1 - c.Rows[i].StripReflectance) / 3
			}
		})
		up("sheet", func(c *Box) { c.Sheet.R += 0.03 })
		up("transmittance", func(c *Box) { c.Sheet.T += c.Sheet.R / 3; c.Sheet.R -= c.Sheet.R / 3 })
	})
}

// Closed cavity: T = 0 and R = ρ everywhere: 1/(1−ρ) lumens meet the
// surfaces per LED lumen, whatever the size and the LEDs.
func TestClosedCavity(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		b := randomBox(t)
		rho := rapid.Float64Range(0.05, 0.95).Draw(t, "ρ")
		b.Walls, b.Floor = SameWalls(Surface{rho, 0}), Surface{rho, 0}
		b.Sheet = Sheet{R: rho}
		for i := range b.Rows {
			b.Rows[i].StripWidth = 0
		}
		full, err := Solve(b, Options{Detail: Draft, Cell: b.Width / 8})
		if err != nil {
			t.Fatal(err)
		}
		three, err := ThreeSurface(b)
		if err != nil {
			t.Fatal(err)
		}
		for _, q := range []Balance{full.Balance, three} {
			near(t, "incident", q.OnSheet+q.OnWalls+q.OnFloor, 1/(1-rho), 2e-5/(1-rho))
		}
	})
}

// Bounces are the slopes they say they are, in the full solution too.
func TestBounces(t *testing.T) {
	for _, id := range []string{"D01", "S01"} {
		b := tracedBoxNamed(t, id)
		r, _ := ThreeSurface(b)
		p, _ := Prepare(b, nil)
		n, err := p.Bounces(p.Finish(b))
		if err != nil {
			t.Fatal(err)
		}
		near(t, "prepared", n.Walls, r.Bounces.Walls, 0.01)
		const h = 0.01
		slope := func(change func(*Box, float64)) float64 {
			at := func(k float64) float64 {
				c := b
				c.Rows = append([]Row(nil), b.Rows...)
				change(&c, k)
				s, err := Solve(c, Options{Detail: Draft, Cell: 0.05})
				if err != nil {
					t.Fatal(err)
				}
				return math.Log(s.Efficiency)
			}
			return (at(1+h) - at(1-h)) / (2 * h)
		}
		near(t, id+" walls", r.Bounces.Walls, slope(func(c *Box, k float64) {
			for i := range c.Walls {
				c.Walls[i].Reflectance *= k
			}
		}), 0.015)
		near(t, id+" floor", r.Bounces.Floor, slope(func(c *Box, k float64) {
			c.Floor.Reflectance *= k
			for i := range c.Rows {
				c.Rows[i].StripReflectance *= k
			}
		}), 0.015)
		near(t, id+" sheet", r.Bounces.Sheet, slope(func(c *Box, k float64) { c.Sheet.R *= k }), 0.015)
	}
	// A matte aluminium tray with a half-density film, by finite difference
	// of traced boxes: 0.31 walls, 0.32 floor, 0.27 sheet.
	r, _ := ThreeSurface(tracedBoxNamed(t, "D01"))
	near(t, "walls", r.Bounces.Walls, 0.31, 0.015)
	near(t, "floor", r.Bounces.Floor, 0.32, 0.015)
	near(t, "sheet", r.Bounces.Sheet, 0.27, 0.015)
}

func TestRefusals(t *testing.T) {
	good := tracedBoxNamed(t, "N01")
	for name, change := range map[string]func(*Box){
		"T + R":       func(b *Box) { b.Sheet.T, b.Sheet.R = 0.7, 0.31 },
		"NaN":         func(b *Box) { b.Length = math.NaN() },
		"no light":    func(b *Box) { b.Rows = nil },
		"outside":     func(b *Box) { b.Rows[0].X0 = -0.01 },
		"too deep":    func(b *Box) { b.Height = 2 },
		"above sheet": func(b *Box) { b.Rows[0].Z = 0.06 },
		"ρ over 1":    func(b *Box) { b.Walls[2].Reflectance = 1.1 },
		"u + l":       func(b *Box) { b.Sheet.Through = 0.6 },
		"lobe width":  func(b *Box) { b.Sheet.LobeFWHM = 130 * degree },
		"flux list":   func(b *Box) { b.Rows[0].Fluxes = []float64{1} },
		"R of 1":      func(b *Box) { b.Sheet.T, b.Sheet.R = 0, 1 },
	} {
		b := good
		b.Rows = append([]Row(nil), good.Rows...)
		change(&b)
		var in *InputError
		for _, err := range []error{second(ThreeSurface(b)), second(Solve(b, Options{})), second(Prepare(b, nil))} {
			if !errors.As(err, &in) || in.Field == "" || in.Mend == "" {
				t.Errorf("%s: %v", name, err)
			}
		}
	}
	s, err := NewSolver(good, nil, Options{})
	if err != nil {
		t.Fatal(err)
	}
	b := good
	b.Walls = SameWalls(Surface{0.86, 0.5})
	if _, err := s.Solve(b); err == nil {
		t.Error("a solver took another mirror share")
	}
}

func second[T any](_ T, err error) error { return err }

// Outside its range the model refuses or warns: a sheet that touches the LEDs,
// shapes that are no tray, a sheet that makes light, readings inside the box.
func TestOutsideTheRange(t *testing.T) {
	boxes := map[string]struct {
		change  func(*Box)
		refused string // the field; empty when it is a finding
		finding string
	}{
		"sheet on the LEDs":       {func(b *Box) { b.Height = b.Rows[0].Z }, "rows[0].z", ""},
		"sheet just off the LEDs": {func(b *Box) { b.Height = b.Rows[0].Z + 0.002 }, "", "optics.sparse_leds"},
		"a slot":                  {func(b *Box) { b.Length, b.Width = 9, 0.1; b.Rows = b.Rows[:1]; b.Rows[0].Y = 0.05 }, "length over width", ""},
		"a shaft":                 {func(b *Box) { b.Height = 4 * b.Width }, "height", ""},
		"a deep box":              {func(b *Box) { b.Height = b.Width }, "", "optics.deep_box"},
		"a sheet that makes light": {func(b *Box) {
			b.Sheet.T, b.Sheet.R = 0.6, 0.41
		}, "sheet", ""},
	}
	for name, c := range boxes {
		b := tracedBoxNamed(t, "D01")
		c.change(&b)
		_, err := Solve(b, Options{Detail: Draft})
		var in *InputError
		switch {
		case c.refused != "":
			if !errors.As(err, &in) || !strings.HasPrefix(in.Field, c.refused) {
				t.Errorf("%s: %v, want %s refused", name, err, c.refused)
			}
		case err != nil:
			t.Errorf("%s: %v", name, err)
		case !finding.Has(b.Findings(), c.finding):
			t.Errorf("%s: no %s in %v", name, c.finding, b.Findings())
		}
	}
	b := tracedBoxNamed(t, "D01")
	r, err := Solve(b, Options{Detail: Draft})
	if err != nil {
		t.Fatal(err)
	}
	for name, z := range map[string]float64{"inside the box": -0.02, "in the sheet": 0, "on the sheet": 0.005} {
		if e, err := r.Illuminance(Target{Position: Vec{0, 0, z}, Normal: Vec{0, 0, -1}}); err == nil {
			t.Errorf("a reading %s: %g lx", name, e)
		}
	}
}
