package optics

import (
	"errors"
	"math"
	"testing"

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
		view := StandardView
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
		rho := g.reflectances(&b)
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

// All reflectances 0: η = T·p.
func TestBlackBox(t *testing.T) {
	b := tracedBoxNamed(t, "D01")
	b.Walls, b.Floor, b.Sheet.R = [4]Surface{}, Surface{}, 0
	for i := range b.Rows {
		b.Rows[i].StripReflectance = 0
	}
	p := 0.0
	for i := range b.Rows {
		r := &b.Rows[i]
		for k := range r.Count {
			x, y, h := r.x(k), r.Y, b.Height-r.Z
			p += r.Flux * (quarter(x, y, h) + quarter(b.Length-x, y, h) + quarter(x, b.Width-y, h) + quarter(b.Length-x, b.Width-y, h))
		}
	}
	p /= b.LEDFlux()
	full, _ := Solve(b, Options{})
	three, _ := ThreeSurface(b)
	near(t, "full", full.Efficiency, b.Sheet.T*p, 1e-5)
	near(t, "three", three.Efficiency, b.Sheet.T*p, 1e-5)
}

// Perfect mirror walls: η = T/(1−R·ρ_f), whatever the size and the LEDs.
func TestPerfectMirrorWalls(t *testing.T) {
	for _, h := range []float64{0.02, 0.05, 0.12} {
		b := tracedBoxNamed(t, "D05")
		b.Height = h
		b.Walls = SameWalls(Surface{1, 1})
		want := b.Sheet.T / (1 - b.Sheet.R*b.Floor.Reflectance)
		three, _ := ThreeSurface(b)
		near(t, "three", three.Efficiency, want, 1e-6)
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
// surfaces per LED lumen.
func TestClosedCavity(t *testing.T) {
	for _, rho := range []float64{0.3, 0.8, 0.95} {
		b := tracedBoxNamed(t, "D05")
		b.Walls, b.Floor = SameWalls(Surface{rho, 0}), Surface{rho, 0}
		b.Sheet = Sheet{R: rho}
		full, err := Solve(b, Options{Detail: Draft})
		if err != nil {
			t.Fatal(err)
		}
		three, _ := ThreeSurface(b)
		for _, q := range []Balance{full.Balance, three} {
			near(t, "incident", q.OnSheet+q.OnWalls+q.OnFloor, 1/(1-rho), 2e-6/(1-rho))
		}
	}
}

// One LED over a black floor: E below a wide sheet is Φ(m+1)/(2πh²) at the
// foot point and falls as cos^(m+3).
func TestOneLED(t *testing.T) {
	for _, beam := range []float64{115, 120, 140} {
		b := Box{Length: 0.4, Width: 0.4, Height: 0.05, Sheet: Sheet{T: 1}}
		b.Rows = []Row{{Y: 0.2, X0: 0.2, Pitch: 0.01, Count: 1, Flux: 10, BeamFWHM: beam * degree}}
		r, err := Solve(b, Options{Cell: 0.01})
		if err != nil {
			t.Fatal(err)
		}
		m := -math.Ln2 / math.Log(math.Cos(beam/2*degree))
		top := 10 * (m + 1) / (2 * math.Pi * 0.05 * 0.05) / math.Pi
		off(t, "foot point", r.Face.Centre, top, 5e-5)
		f := &r.Face
		for i := range f.NX {
			dx, dy := (float64(i)+0.5)*f.DX-0.2, (float64(3)+0.5)*f.DY-0.2
			c := 0.05 / math.Sqrt(dx*dx+dy*dy+0.05*0.05)
			off(t, "off axis", f.L[3*f.NX+i], top*math.Pow(c, m+3), 2e-3)
		}
	}
}

// m of usual beams: the exponent's table in lighting practice.
func TestExponent(t *testing.T) {
	for fwhm, want := range map[float64]float64{115: 1.115, 120: 1, 130: 0.805, 140: 0.646} {
		near(t, "m", exponent(fwhm*degree), want, 1e-3)
	}
}

// ∫I dΩ is the light out; E·d² → I(0) far away.
func TestFarField(t *testing.T) {
	for _, id := range []string{"D01", "W01", "N01"} {
		b := tracedBoxNamed(t, id)
		r, err := Solve(b, Options{})
		if err != nil {
			t.Fatal(err)
		}
		sum := 0.0
		const n = 24
		for i := range n {
			theta := (float64(i) + 0.5) / n * math.Pi / 2
			for k := range 4 {
				sum += r.Intensity(theta, (float64(k)+0.5)/4*math.Pi/2) * math.Sin(theta) * math.Pi / 2 / n * math.Pi / 2
			}
		}
		off(t, id+" all directions", sum, r.Out, 0.008)
		e, err := r.Illuminance(onAxis(8))
		if err != nil {
			t.Fatal(err)
		}
		off(t, id+" far away", e*64, r.Intensity(0, 0), 0.008)
		if r.Intensity(math.Pi/2, 0) != 0 || r.Intensity(2, 0) != 0 {
			t.Error("light behind the face")
		}
	}
}

// A lobe of 119.9° is the Lambertian sheet; a clear hole with black walls
// gives the inverse square law through the opening.
func TestSheetEnds(t *testing.T) {
	b := tracedBoxNamed(t, "D01")
	opal, _ := Solve(b, Options{})
	b.Sheet.Lobe, b.Sheet.LobeFWHM = 1, 119.9*degree
	lobe, _ := Solve(b, Options{})
	off(t, "mean", lobe.Face.Mean, opal.Face.Mean, 0.005)
	off(t, "corner", lobe.Face.Corner, opal.Face.Corner, 0.01)
	_, targets := tracedTargets()
	for _, tg := range targets {
		x, _ := lobe.Illuminance(tg)
		y, _ := opal.Illuminance(tg)
		off(t, "illuminance", x, y, 0.006)
	}
	b.Walls, b.Floor, b.Sheet = [4]Surface{}, Surface{}, Sheet{T: 1, Through: 1}
	for i := range b.Rows {
		b.Rows[i].StripReflectance = 0
	}
	hole, _ := Solve(b, Options{})
	for _, tg := range targets {
		want := 0.0
		for i := range b.Rows {
			r := &b.Rows[i]
			for k := range r.Count {
				q := Vec{r.x(k) - b.Length/2, r.Y - b.Width/2, r.Z - b.Height}
				v := tg.Position.sub(q)
				s := -q.Z / v.Z
				if math.Abs(q.X+s*v.X) < b.Length/2 && math.Abs(q.Y+s*v.Y) < b.Width/2 {
					d := v.norm()
					want += r.Flux / math.Pi * v.Z / d * -v.dot(tg.Normal) / (d * d * d)
				}
			}
		}
		e, _ := hole.Illuminance(tg)
		off(t, "through the hole", e, want, 1e-9)
	}
}

// Doubling all lengths at equal flux: η, ripple and ratios stay, luminance
// and illuminance fall to a quarter.
func TestScaling(t *testing.T) {
	for _, id := range []string{"D01", "N01"} {
		b := tracedBoxNamed(t, id)
		small, _ := Solve(b, Options{Cell: 0.01})
		c := b
		c.Length, c.Width, c.Height = 2*b.Length, 2*b.Width, 2*b.Height
		c.Rows = nil
		for _, r := range b.Rows {
			r.Y, r.X0, r.Pitch, r.Z, r.StripWidth = 2*r.Y, 2*r.X0, 2*r.Pitch, 2*r.Z, 2*r.StripWidth
			c.Rows = append(c.Rows, r)
		}
		big, _ := Solve(c, Options{Cell: 0.02})
		off(t, "η", big.Efficiency, small.Efficiency, 1e-9)
		off(t, "evenness", big.Face.Evenness, small.Face.Evenness, 1e-6)
		off(t, "ripple", big.Ripple(), small.Ripple(), 1e-3)
		off(t, "mean", big.Face.Mean, small.Face.Mean/4, 1e-6)
		x, _ := big.Illuminance(onAxis(0.8))
		y, _ := small.Illuminance(onAxis(0.4))
		off(t, "illuminance", x, y/4, 1e-6)
	}
}

// Symmetric in, symmetric out; moving the LEDs mirrors the face.
func TestMirrorImage(t *testing.T) {
	b := tracedBoxNamed(t, "N01")
	for i := range b.Rows {
		for k := range b.Rows[i].Count {
			b.Rows[i].Fluxes = append(b.Rows[i].Fluxes, 10+float64(i)+0.5*float64(k))
		}
	}
	a, _ := Solve(b, Options{Cell: 0.02})
	n := len(b.Rows)
	for i := range n / 2 {
		b.Rows[i].Fluxes, b.Rows[n-1-i].Fluxes = b.Rows[n-1-i].Fluxes, b.Rows[i].Fluxes
	}
	c, _ := Solve(b, Options{Cell: 0.02})
	near(t, "η", c.Efficiency, a.Efficiency, 1e-9)
	f := &a.Face
	for j := range f.NY {
		for i := range f.NX {
			v := f.L[j*f.NX+i]
			near(t, "mirrored", c.Face.L[(f.NY-1-j)*f.NX+i], v, 3e-3*v)
		}
	}
}

// Light adds up: two lamps in one box are the sum of each, but for the
// scaling of the interpolated part, which is one factor per solution.
func TestLinear(t *testing.T) {
	b := tracedBoxNamed(t, "D01")
	b.Rows = append([]Row(nil), b.Rows...)
	part := func(from, to int) Box {
		c := b
		c.Rows = append([]Row(nil), b.Rows...)
		for i := range c.Rows {
			if i < from || i >= to {
				c.Rows[i].Flux = 0
			}
		}
		return c
	}
	s, err := NewSolver(b, nil, Options{Cell: 0.02})
	if err != nil {
		t.Fatal(err)
	}
	all, _ := s.Solve(b)
	low, _ := s.Solve(part(0, 7))
	high, _ := s.Solve(part(7, 20))
	near(t, "lm", low.Out+high.Out, all.Out, 1e-5*all.Out)
	for i, v := range all.Face.L {
		near(t, "cd/m²", low.Face.L[i]+high.Face.L[i], v, 2e-3*v)
	}
	x, _ := all.Illuminance(onAxis(0.4))
	y, _ := low.Illuminance(onAxis(0.4))
	z, _ := high.Illuminance(onAxis(0.4))
	near(t, "lx", y+z, x, 1e-3*x)
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
