package optics

import "math"

// Closed forms for diffuse exchange between rectangles and points.

// plateCorner is G(x,y) of parallel rectangles at distance z, m²: A₁F₁₂ is
// the alternating sum of G over the sixteen corner differences.
//
//	G = (1/2π)[ y√(x²+z²)·atan(y/√(x²+z²)) + x√(y²+z²)·atan(x/√(y²+z²)) − (z²/2)·ln(x²+y²+z²) ]
//
// Validity: z > 0, exact. Source: Howell, Mengüç, Daun, Siegel, Thermal
// Radiation Heat Transfer; catalogue of configuration factors C-13.
func plateCorner(x, y, z float64) float64 {
	u, v := math.Hypot(x, z), math.Hypot(y, z)
	return (y*u*math.Atan(y/u) + x*v*math.Atan(x/v) - 0.5*z*z*math.Log(x*x+y*y+z*z)) / (2 * math.Pi)
}

// interval is a stretch of a line, m.
type interval struct{ a, b float64 }

func (i interval) len() float64 { return i.b - i.a }

// parallelExchange is A₁F₁₂, m², of two parallel rectangles x × y and ξ × η
// facing each other at distance z > 0.
func parallelExchange(x, y, xi, eta interval, z float64) float64 {
	s := 0.0
	for i, xv := range [2]float64{x.a, x.b} {
		for k, kv := range [2]float64{xi.a, xi.b} {
			for j, yv := range [2]float64{y.a, y.b} {
				for l, lv := range [2]float64{eta.a, eta.b} {
					g := plateCorner(xv-kv, yv-lv, z)
					if (i+j+k+l)%2 == 1 {
						g = -g
					}
					s += g
				}
			}
		}
	}
	return s
}

// cornerCorner is G of perpendicular rectangles,
//
//	G = (1/2π)[ D·C·atan(D/C) − ¼(C²−D²)·ln(C²+D²) ]
//
// with c2 = C² = x²+ξ² (distances from the common line) and d the difference
// along it, m. Source: as plateCorner, C-14.
func cornerCorner(c2, d float64) float64 {
	q := c2 + d*d
	if q == 0 {
		return 0
	}
	g := -0.25 * (c2 - d*d) * math.Log(q)
	if c2 > 0 {
		c := math.Sqrt(c2)
		g += d * c * math.Atan(d/c)
	}
	return g / (2 * math.Pi)
}

// perpendicularExchange is A₁F₁₂, m², of two rectangles at right angles:
// x and xi are the distances from the common line (≥ 0), y and eta lie along
// it.
func perpendicularExchange(x, y, xi, eta interval) float64 {
	s := 0.0
	for i, xv := range [2]float64{x.a, x.b} {
		for k, kv := range [2]float64{xi.a, xi.b} {
			c2 := xv*xv + kv*kv
			for j, yv := range [2]float64{y.a, y.b} {
				for l, lv := range [2]float64{eta.a, eta.b} {
					g := cornerCorner(c2, yv-lv)
					if (i+j+k+l)%2 == 1 {
						g = -g
					}
					s += g
				}
			}
		}
	}
	return s
}

// quarter is the configuration factor q of a surface element facing the
// corner of a parallel a × b rectangle at distance h:
//
//	q = (1/2π)[ X/√(1+X²)·atan(Y/√(1+X²)) + Y/√(1+Y²)·atan(X/√(1+Y²)) ],  X = a/h, Y = b/h
//
// It is also the share of a Lambertian point's flux that falls on such a
// rectangle. a and b may be negative (q is odd in each).
//
// Source: catalogue of configuration factors B-3 (as plateCorner).
func quarter(a, b, h float64) float64 {
	x, y := a/h, b/h
	u, v := math.Sqrt(1+x*x), math.Sqrt(1+y*y)
	return (x/u*math.Atan(y/u) + y/v*math.Atan(x/v)) / (2 * math.Pi)
}

// OpposedFactor is the diffuse configuration factor F from a rectangle to an
// equal one straight opposite: length × width m at distance h m, 0 to 1.
//
//	F = 2/(πXY){ ½ln[(1+X²)(1+Y²)/(1+X²+Y²)] + X√(1+Y²)atan(X/√(1+Y²))
//	    + Y√(1+X²)atan(Y/√(1+X²)) − X atan X − Y atan Y },  X = length/h, Y = width/h
//
// Validity: exact for diffuse emission. Source: Howell et al., Thermal
// Radiation Heat Transfer, catalogue C-11.
func OpposedFactor(length, width, h float64) float64 {
	x, y := length/h, width/h
	u, v := math.Sqrt(1+x*x), math.Sqrt(1+y*y)
	return 2 / (math.Pi * x * y) * (0.5*math.Log(u*u*v*v/(1+x*x+y*y)) +
		x*v*math.Atan(x/v) + y*u*math.Atan(y/u) - x*math.Atan(x) - y*math.Atan(y))
}

// latticeShares splits the light of a diffuse floor by the number of wall
// bounces it would make on its way to the parallel plane at distance h if
// the walls were perfect mirrors: share[b] for b < n, and in share[n] all
// that needs n or more. The shares sum to 1.
//
// The plane unfolds into a lattice of box images; image (i,k) is reached
// after |i|+|k| bounces.
func latticeShares(length, width, h float64, n int) []float64 {
	g := make([]float64, (n+2)*(n+2))
	for i := range n + 2 {
		for k := range n + 2 {
			if i+k <= n+2 {
				g[i*(n+2)+k] = h * h * plateCorner(float64(i)*length/h, float64(k)*width/h, 1)
			}
		}
	}
	at := func(i, k int) float64 {
		return g[max(i, -i)*(n+2)+max(k, -k)]
	}
	share := make([]float64, n+1)
	rest := 1.0
	area := length * width
	for i := range n {
		for k := range n - i {
			s := 0.0
			for di := -1; di <= 1; di++ {
				for dk := -1; dk <= 1; dk++ {
					w := 1.0
					if di == 0 {
						w *= -2
					}
					if dk == 0 {
						w *= -2
					}
					s += w * at(i+di, k+dk)
				}
			}
			s = max(0, s/area)
			if i > 0 {
				s *= 2
			}
			if k > 0 {
				s *= 2
			}
			share[i+k] += s
			rest -= s
		}
	}
	share[n] = max(0, rest)
	return share
}

// attenuate is Σ share[b]·w^b, what is left on arrival when every wall
// bounce keeps w.
func attenuate(share []float64, w float64) float64 {
	s := 0.0
	for b := len(share) - 1; b >= 0; b-- {
		s = s*w + share[b]
	}
	return s
}

// wallHits is Σ share[b]·(1+w+…+w^(b−1)), the light that meets walls on the
// way; (1−w)·wallHits + attenuate = Σ share.
func wallHits(share []float64, w float64) float64 {
	s, tail := 0.0, 0.0
	for b := len(share) - 1; b >= 1; b-- {
		tail = tail*w + share[b] // Σ_{j≥b} share[j]·w^(j−b)
		s += tail
	}
	return s
}
