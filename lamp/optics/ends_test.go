package optics

import (
	"math"
	"testing"
)

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

// The photometric table: symmetric planes, all the light, dark at 90°.
func TestPhotometry(t *testing.T) {
	b := tracedBoxNamed(t, "W01")
	for _, odd := range []bool{false, true} {
		if odd {
			b.Rows = append([]Row(nil), b.Rows...)
			for i := range b.Rows {
				b.Rows[i].Flux *= 1 + 0.05*float64(i)
			}
		}
		r, err := Solve(b, Options{Detail: Draft})
		if err != nil {
			t.Fatal(err)
		}
		p := r.Photometry()
		sum := 0.0
		for c, row := range p.I {
			if row[18] != 0 {
				t.Errorf("C%d: light at 90°", c)
			}
			for k := range 18 { // trapezoid in γ
				sum += (row[k]*math.Sin(p.Gamma[k]) + row[k+1]*math.Sin(p.Gamma[k+1])) / 2 * 5 * degree * 2 * math.Pi / float64(len(p.I))
			}
			off(t, "γ = 0 in every plane", row[0], p.I[0][0], 1e-9)
			if m := p.I[(24-c)%24]; !odd {
				off(t, "mirror plane", m[7], row[7], 1e-12)
			}
		}
		off(t, "flux", sum, p.Flux, 0.008)
		near(t, "valid from", p.ValidFrom, 1.9, 1e-12)
	}
}

// The distance for a target light is where it is read.
func TestSolutionDistanceFor(t *testing.T) {
	r, err := Solve(tracedBoxNamed(t, "D01"), Options{Detail: Draft})
	if err != nil {
		t.Fatal(err)
	}
	d, err := r.DistanceFor(10000)
	if err != nil {
		t.Fatal(err)
	}
	e, _ := r.Illuminance(onAxis(d))
	off(t, "lx", e, 10000, 1e-3)
	for _, bad := range []float64{0, 1e6, math.NaN()} {
		if _, err := r.DistanceFor(bad); err == nil {
			t.Errorf("%g lx found", bad)
		}
	}
}
