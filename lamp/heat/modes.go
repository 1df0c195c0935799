package heat

import "math"

// modes are the shapes along one direction of a floor of length l whose ends
// lose heat: with ξ from the middle,
//
//	even k: cos(α ξ), odd k: sin(α ξ),  α_k l/2 = β_k,  β_k tan(β_k - kπ/2) = Bi
//
// Bi = G l/(2 k t), G the end's conductance (W/(m·K)). They are orthogonal.
//
// Source: Carslaw & Jaeger, Conduction of Heat in Solids, 2nd ed. 1959,
// section 3.9 (slab with radiation at both faces).
type modes struct {
	l     float64
	even  bool      // only even shapes
	order []int     // k of each
	alpha []float64 // 1/m
	norm  []float64 // ∫ shape², m
	whole []float64 // ∫ shape, m
	end   []float64 // shape at ξ = l/2
}

// newModes finds the first n shapes, or the first n even ones.
func newModes(l, end, kt float64, n int, evenOnly bool) *modes {
	m := &modes{l: l, even: evenOnly, order: make([]int, n)}
	buf := make([]float64, 4*n)
	m.alpha, m.norm, m.whole, m.end = buf[:n], buf[n:2*n], buf[2*n:3*n], buf[3*n:]
	bi := end * l / 2 / kt
	for i := range n {
		k := i
		if evenOnly {
			k = 2 * i
		}
		beta := root(k, bi)
		a := 2 * beta / l
		s, c := math.Sincos(beta)
		m.order[i], m.alpha[i] = k, a
		switch {
		case beta == 0:
			m.norm[i], m.whole[i], m.end[i] = l, l, 1
		case k%2 == 0:
			m.norm[i], m.whole[i], m.end[i] = l/2+s*c/a, 2*s/a, c
		default:
			m.norm[i], m.whole[i], m.end[i] = l/2-s*c/a, 0, s
		}
	}
	return m
}

// root solves β tan(β - kπ/2) = bi by Newton's method on
// β - kπ/2 - atan(bi/β).
func root(k int, bi float64) float64 {
	base := float64(k) * math.Pi / 2
	if bi <= 0 {
		return base
	}
	b := base + min(bi/max(base, 1), math.Pi/2)
	if k == 0 {
		b = math.Sqrt(bi / (1 + bi/2.4674))
	}
	for range 20 {
		d := (b - base - math.Atan(bi/b)) / (1 + bi/(b*b+bi*bi))
		b -= d
		if math.Abs(d) < 1e-12*b {
			break
		}
	}
	return b
}

// at fills out with the leading len(out) shapes at x (m from the edge).
func (m *modes) at(x float64, out []float64) {
	xi := x - m.l/2
	for i := range out {
		a := m.alpha[i]
		if m.order[i]%2 == 0 {
			out[i] = math.Cos(a * xi)
		} else {
			out[i] = math.Sin(a * xi)
		}
	}
}

// over fills out with the integral of every shape over a span w around the
// place where the shapes are mid.
func (m *modes) over(mid []float64, w float64, out []float64) {
	for i, a := range m.alpha {
		if a == 0 {
			out[i] = w
			continue
		}
		out[i] = mid[i] * 2 * math.Sin(a*w/2) / a
	}
}

// net gives the leading n shapes at the middles of even steps, two to a
// shape; over half the length only where every shape is even.
func (m *modes) net(n int) (points int, shapes []float64) {
	span := m.l
	if m.even {
		span /= 2
	}
	points = 2 * n
	shapes = make([]float64, points*n)
	for i := range points {
		m.at(span*(float64(i)+0.5)/float64(points), shapes[i*n:(i+1)*n])
	}
	return points, shapes
}
