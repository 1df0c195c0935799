package optics

import (
	"math"
	"testing"
)

// Band by band against the full solution with the band's surfaces.
func TestSpectralShape(t *testing.T) {
	for _, id := range []string{"D01", "S01", "N01"} {
		b := tracedBoxNamed(t, id)
		p, err := Prepare(b, nil)
		if err != nil {
			t.Fatal(err)
		}
		full, err := Solve(b, Options{Detail: Draft, Cell: 0.05})
		if err != nil {
			t.Fatal(err)
		}
		own := p.Finish(b)
		same := Band{own.Walls.Reflectance, own.Floor.Reflectance, own.StripReflectance, own.Sheet.T, own.Sheet.R}
		blue := Band{same.Walls - 0.03, same.Floor - 0.03, same.Strip - 0.05, same.T - 0.015, same.R + 0.01}
		eta, err := p.Spectral(own, full.Efficiency, []Band{same, blue})
		if err != nil {
			t.Fatal(err)
		}
		near(t, id+" own", eta[0], full.Efficiency, 1e-12)
		c := b
		c.Rows = append([]Row(nil), b.Rows...)
		c.Walls = SameWalls(Surface{blue.Walls, own.Walls.Specular})
		c.Floor.Reflectance, c.Sheet.T, c.Sheet.R = blue.Floor, blue.T, blue.R
		for i := range c.Rows {
			c.Rows[i].StripReflectance = blue.Strip
		}
		want, err := Solve(c, Options{Detail: Draft, Cell: 0.05})
		if err != nil {
			t.Fatal(err)
		}
		off(t, id+" blue", eta[1], want.Efficiency, 1e-3)
		if eta[1] >= eta[0] {
			t.Errorf("%s: a lining that loses blue passes more of it", id)
		}
	}
}

// A lining that loses 3 % with N bounces costs 3 %·N.
func TestSpectralBounces(t *testing.T) {
	b := tracedBoxNamed(t, "S01")
	p, _ := Prepare(b, nil)
	own := p.Finish(b)
	n, _ := p.Bounces(own)
	e, err := p.Spectral(own, 0, []Band{
		{own.Walls.Reflectance, own.Floor.Reflectance, own.StripReflectance, own.Sheet.T, own.Sheet.R},
		{own.Walls.Reflectance * 0.99, own.Floor.Reflectance, own.StripReflectance, own.Sheet.T, own.Sheet.R}})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "walls", math.Log(e[1]/e[0])/math.Log(0.99), n.Walls, 0.01)
}

func TestMetrics(t *testing.T) {
	seen := map[string]bool{}
	for _, m := range Metrics() {
		if m.Key == "" || m.Name == "" || m.Line == "" || m.Source == "" || seen[m.Key] {
			t.Errorf("%+v", m)
		}
		seen[m.Key] = true
	}
}
