package optics

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// near checks |got − want| ≤ tol.
func near(t interface{ Errorf(string, ...any) }, what string, got, want, tol float64) {
	if !(math.Abs(got-want) <= tol) {
		t.Errorf("%s: %.9g, want %.9g ± %.2g", what, got, want, tol)
	}
}

// Published values: opposed and adjacent unit squares, Howell, Mengüç, Daun,
// Siegel, Thermal Radiation Heat Transfer, catalogue C-11 and C-14.
func TestUnitSquares(t *testing.T) {
	u := interval{0, 1}
	near(t, "opposed", OpposedFactor(1, 1, 1), 0.199825, 5e-7)
	near(t, "opposed by corners", parallelExchange(u, u, u, u, 1), 0.199825, 5e-7)
	near(t, "adjacent", perpendicularExchange(u, u, u, u), 0.200044, 5e-7)
}

// The closed box: rows sum to 1 and A₁F₁₂ = A₂F₂₁.
func TestClosedFormRowSums(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := rapid.Float64Range(0.1, 1).Draw(t, "l")
		w := rapid.Float64Range(0.1, 1).Draw(t, "w")
		h := rapid.Float64Range(0.02, 0.3).Draw(t, "h")
		cut := func(of float64, name string) interval {
			a := rapid.Float64Range(0, 0.8).Draw(t, name)
			return interval{a * of, (a + 0.2) * of}
		}
		x, y, z := cut(l, "x"), cut(w, "y"), cut(h, "z")
		flip := func(i interval, l float64) interval { return interval{l - i.b, l - i.a} }
		whole := func(v float64) interval { return interval{0, v} }
		// A floor patch.
		sum := parallelExchange(x, y, whole(l), whole(w), h) +
			perpendicularExchange(x, y, whole(h), whole(w)) + perpendicularExchange(flip(x, l), y, whole(h), whole(w)) +
			perpendicularExchange(y, x, whole(h), whole(l)) + perpendicularExchange(flip(y, w), x, whole(h), whole(l))
		near(t, "floor row", sum/(x.len()*y.len()), 1, 1e-9)
		// A patch of wall x = 0.
		sum = parallelExchange(y, z, whole(w), whole(h), l) +
			perpendicularExchange(z, y, whole(l), whole(w)) + perpendicularExchange(flip(z, h), y, whole(l), whole(w)) +
			perpendicularExchange(y, z, whole(l), whole(h)) + perpendicularExchange(flip(y, w), z, whole(l), whole(h))
		near(t, "wall row", sum/(z.len()*y.len()), 1, 1e-9)
		near(t, "reciprocity", perpendicularExchange(x, y, z, whole(w)), perpendicularExchange(z, whole(w), x, y), 1e-14)
	})
}

// The solver's exchange, summed from Gaussians, against the closed forms, and
// its row sums and reciprocity.
func TestSeparableExchange(t *testing.T) {
	b := tracedBoxNamed(t, "D05")
	g := newGrid(&b, Standard)
	p, o := g.part(0), g.offsets()
	for k := range p.n {
		near(t, "row sum", dot(p.f[k*p.n:(k+1)*p.n], ones(p.n)), 1, 1e-9)
		for j := range k {
			u, v := g.area[k]*p.f[k*p.n+j], g.area[j]*p.f[j*p.n+k]
			near(t, "reciprocity", u, v, 1e-12*math.Abs(u))
		}
	}
	copies := func(ax *axis, i int) []interval { return []interval{ax.cell(i), ax.cell(ax.mirror(i))} }
	for j := range o.my {
		for j2 := range o.my {
			for i2 := range o.mx {
				for i := range o.mx {
					want := 0.0
					for _, x := range copies(&g.x, i2) {
						for _, y := range copies(&g.y, j2) {
							want += parallelExchange(g.x.cell(i), g.y.cell(j), x, y, b.Height)
						}
					}
					k := j*o.mx + i
					near(t, "floor to sheet", p.f[k*p.n+o.sheet+j2*o.mx+i2]*g.area[k], want, 2e-5*want)
				}
				for l := range o.nz {
					want := 0.0
					for _, x := range copies(&g.x, i2) {
						for _, y := range copies(&g.y, j2) {
							want += perpendicularExchange(interval{g.z[l], g.z[l+1]}, g.y.cell(j), x, y)
						}
					}
					k := o.wallX + j*o.nz + l
					near(t, "wall to floor", p.f[k*p.n+o.floor+j2*o.mx+i2]*g.area[k], want, 2e-5*want)
				}
			}
		}
	}
}

func ones(n int) []float64 {
	s := make([]float64, n)
	for i := range s {
		s[i] = 1
	}
	return s
}

// With mirrors what arrives still adds up: the mirrors only pass it on.
func TestMirroredRowSums(t *testing.T) {
	for _, id := range []string{"S01", "N01"} {
		b := tracedBoxNamed(t, id)
		g := newGrid(&b, Draft)
		mir := g.mirrors()
		for i := range mir {
			mir[i] = 1 - mir[i]
		}
		p := g.part(0)
		for k := range p.n {
			near(t, id+" row sum", dot(p.f[k*p.n:(k+1)*p.n], mir), 1, 1e-7)
		}
	}
}

// A box with one odd wall is not folded; its exchange must be that of the
// folded box when the oddity is nil.
func TestFoldingChangesNothing(t *testing.T) {
	// Fans look back from other turns when folded: 0.3 %.
	for id, tol := range map[string]float64{"D01": 1e-5, "S01": 1e-5, "N01": 3e-3} {
		b := tracedBoxNamed(t, id)
		even, err := Solve(b, Options{Detail: Draft, Cell: 0.02})
		if err != nil {
			t.Fatal(err)
		}
		b.Walls[1].Reflectance += 1e-12
		b.Walls[2].Reflectance += 1e-12
		odd, err := Solve(b, Options{Detail: Draft, Cell: 0.02})
		if err != nil {
			t.Fatal(err)
		}
		near(t, id, odd.Efficiency, even.Efficiency, 1e-7)
		for i, v := range even.Face.L {
			near(t, id+" face", odd.Face.L[i], v, tol*v)
		}
	}
}

// Shares by bounces are all the light, and w = 1 and w = 0 are their ends.
func TestLatticeShares(t *testing.T) {
	s := latticeShares(0.38, 0.28, 0.05, 17)
	near(t, "all", attenuate(s, 1), 1, 1e-12)
	near(t, "straight", attenuate(s, 0), OpposedFactor(0.38, 0.28, 0.05), 1e-12)
	for _, w := range []float64{0, 0.3, 0.9} {
		near(t, "kept and met", attenuate(s, w)+(1-w)*wallHits(s, w), 1, 1e-12)
	}
}

// r^−2p from Gaussians.
func TestInversePower(t *testing.T) {
	for _, p := range []float64{1.7, 2, 2.06, 2.5, 4, 9, 24} {
		a, w := inversePower(p, 0.01, 2)
		worst := 0.0
		for r := 0.01; r < 2; r *= 1.1 {
			s := 0.0
			for k := range a {
				s += w[k] * math.Exp(-a[k]*r*r)
			}
			worst = max(worst, math.Abs(s*math.Pow(r, 2*p)-1))
		}
		if worst > 1e-4 {
			t.Errorf("p = %g: off by %.2g", p, worst)
		}
	}
}

func TestTables(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		u := rapid.Float64Range(-8, 8).Draw(t, "u")
		near(t, "erf", erf(u), math.Erf(u), 1e-9)
		near(t, "psi", psi(u), math.Sqrt(math.Pi)/2*u*math.Erf(u)+0.5*math.Exp(-u*u), 1e-11)
		near(t, "exp", expMinus(math.Abs(u)), math.Exp(-math.Abs(u)), 1e-9)
	})
}
