package optics

import "math"

// A gaussSum writes a radial function of the in-plane distance ρ as
// Σ c·exp(−a·ρ²): then a sum over a field of LEDs parts into sums along x and
// along y, and so do its averages over rectangles and its wall images.
type gaussSum struct {
	a []float64 // 1/m²
	c []float64 // unit of the function
}

// logStep is the step of the trapezoid rule in v = ln a for p near 2. The
// rule's relative error for r^−2p is 2|Γ(p+2πi/step)|/Γ(p): 1.2e-5 at p = 2.
const logStep = 0.6

// stepFor is the step for other p: narrow beams have large p and a peak in v
// that narrows as 1/√p. The error stays under 1e-4.
func stepFor(p float64) float64 { return min(logStep, 2*math.Pi/math.Sqrt(32*p)) }

// inversePower gives r^−2p = Σ w·exp(−a r²) for near ≤ r ≤ far, m:
//
//	r^−2p = (1/Γ(p)) ∫ exp(p·v − e^v·r²) dv
//
// by the trapezoid rule in steps of stepFor(p); the part below the first node,
// where exp(−a r²) ≈ 1, is a geometric series added to the first weight.
func inversePower(p, near, far float64) (a, w []float64) {
	step := stepFor(p)
	v0 := math.Log(0.02 / (far * far))
	v1 := math.Log((p + 7*math.Sqrt(p) + 4) / (near * near))
	n := int(math.Ceil((v1-v0)/step)) + 1
	a, w = make([]float64, n), make([]float64, n)
	g, _ := math.Lgamma(p)
	for k := range n {
		v := v0 + float64(k)*step
		a[k] = math.Exp(v)
		w[k] = step * math.Exp(p*v-g)
	}
	w[0] /= 1 - math.Exp(-p*step)
	return a, w
}

// exponent is m of I ∝ cos^m θ for a full width at half maximum fwhm, rad:
// m = −ln 2 / ln cos(fwhm/2).
func exponent(fwhm float64) float64 {
	m := -math.Ln2 / math.Log(math.Cos(fwhm/2))
	if math.Abs(m-1) < 1e-12 {
		return 1
	}
	return m
}

// ledIlluminance is the illuminance per lumen, 1/m², that an LED of exponent
// m gives on a parallel plane at height h, m, as a gaussSum of the lateral
// distance up to far, m:
//
//	E/Φ = (m+1)/(2π)·h^(m+1)/(ρ²+h²)^((m+3)/2)
func ledIlluminance(m, h, far float64) gaussSum {
	a, w := inversePower((m+3)/2, h, math.Hypot(far, h))
	f := (m + 1) / (2 * math.Pi) * math.Pow(h, m+1)
	for k := range w {
		w[k] *= f * math.Exp(-a[k]*h*h)
	}
	return gaussSum{a, w}
}

func (g gaussSum) at(rho2 float64) float64 {
	s := 0.0
	for k, a := range g.a {
		s += g.c[k] * math.Exp(-a*rho2)
	}
	return s
}

// transform is the two-dimensional Fourier transform of the function at
// wave number kappa, rad/m.
func (g gaussSum) transform(kappa float64) float64 {
	s := 0.0
	for k, a := range g.a {
		s += g.c[k] * math.Pi / a * math.Exp(-kappa*kappa/(4*a))
	}
	return s
}

// Error function and its integral by cubic Hermite interpolation of tables:
// the separable sums call them by the hundred thousand.
const (
	erfSteps = 128 // per unit; error 2e-10
	psiSteps = 256 // per unit; error 1e-12
	erfEnd   = 6
)

var erfTable, psiTable = hermite(erfSteps, math.Erf, func(u float64) float64 { return 2 / math.Sqrt(math.Pi) * math.Exp(-u*u) }),
	hermite(psiSteps, func(u float64) float64 { return math.Sqrt(math.Pi)/2*u*math.Erf(u) + 0.5*math.Exp(-u*u) },
		func(u float64) float64 { return math.Sqrt(math.Pi) / 2 * math.Erf(u) })

// hermite tables, per step, the cubic through values and slopes at its ends.
func hermite(steps int, f, slope func(float64) float64) [][4]float64 {
	t := make([][4]float64, erfEnd*steps+1)
	h := 1 / float64(steps)
	for i := range t {
		u := float64(i) * h
		a, b := f(u), f(u+h)
		p, q := h*slope(u), h*slope(u+h)
		t[i] = [4]float64{a, p, 3*(b-a) - 2*p - q, 2*(a-b) + p + q}
	}
	return t
}

// erf is the error function.
func erf(u float64) float64 {
	x := math.Abs(u)
	if x >= erfEnd {
		return math.Copysign(1, u)
	}
	x *= erfSteps
	i := int(x)
	t := x - float64(i)
	c := &erfTable[i]
	return math.Copysign(c[0]+t*(c[1]+t*(c[2]+t*c[3])), u)
}

const (
	expSteps = 32 // per unit; relative error 3e-10
	expEnd   = 34 // beyond, exp is 0 for the sums
)

var expTable = func() []float64 {
	t := make([]float64, expEnd*expSteps+1)
	for i := range t {
		t[i] = math.Exp(-float64(i) / expSteps)
	}
	return t
}()

// expMinus is exp(−x) for x ≥ 0, 0 from expEnd on.
func expMinus(x float64) float64 {
	if x >= expEnd {
		return 0
	}
	i := int(x * expSteps)
	f := x - float64(i)*(1.0/expSteps)
	return expTable[i] * (1 - f*(1-f*(1.0/2)*(1-f*(1.0/3)*(1-f*(1.0/4)))))
}

// psi is the second antiderivative of exp(−u²): (√π/2)·u·erf(u) + ½exp(−u²).
func psi(u float64) float64 {
	const half = 0.88622692545275801364908 // √π/2
	u = math.Abs(u)
	if u >= erfEnd {
		return half * u
	}
	u *= psiSteps
	i := int(u)
	t := u - float64(i)
	c := &psiTable[i]
	return c[0] + t*(c[1]+t*(c[2]+t*c[3]))
}

// field is a set of LEDs with one height and one beam: distinct columns,
// distinct lines and the flux where they cross.
type field struct {
	z, m    float64   // m over the floor; beam exponent
	x, y    []float64 // m
	flux    []float64 // lm, line-major: flux[j*len(x)+i]
	total   float64   // lm
	colSum  []float64 // lm of each column
	lineSum []float64 // lm of each line
	product bool      // flux[j][i]·total = lineSum[j]·colSum[i]
}

// fields sorts the box's LEDs into fields.
func (b *Box) fields() []*field {
	var fs []*field
	for i := range b.Rows {
		r := &b.Rows[i]
		m := exponent(r.beam())
		var f *field
		for _, g := range fs {
			if g.z == r.Z && g.m == m {
				f = g
			}
		}
		if f == nil {
			f = &field{z: r.Z, m: m}
			fs = append(fs, f)
		}
		for k := range r.Count {
			place(&f.x, r.x(k))
		}
		place(&f.y, r.Y)
	}
	for _, f := range fs {
		f.flux = make([]float64, len(f.x)*len(f.y))
		f.colSum, f.lineSum = make([]float64, len(f.x)), make([]float64, len(f.y))
	}
	b.fill(fs)
	return fs
}

// fill puts the fluxes of b into fs, which has b's geometry.
func (b *Box) fill(fs []*field) {
	for _, f := range fs {
		clear(f.flux)
		clear(f.colSum)
		clear(f.lineSum)
		f.total = 0
	}
	for i := range b.Rows {
		r := &b.Rows[i]
		m := exponent(r.beam())
		for _, f := range fs {
			if f.z != r.Z || f.m != m {
				continue
			}
			j := find(f.y, r.Y)
			for k := range r.Count {
				i := find(f.x, r.x(k))
				f.flux[j*len(f.x)+i] += r.flux(k)
				f.colSum[i] += r.flux(k)
				f.lineSum[j] += r.flux(k)
				f.total += r.flux(k)
			}
			break
		}
	}
	for _, f := range fs {
		f.product = f.total > 0
		for j, ls := range f.lineSum {
			for i, cs := range f.colSum {
				if math.Abs(f.flux[j*len(f.x)+i]*f.total-ls*cs) > 1e-9*ls*cs {
					f.product = false
				}
			}
		}
	}
}

// same is the distance, m, below which two LEDs share a column or line.
const same = 1e-9

// place inserts v into sorted s unless it is there.
func place(s *[]float64, v float64) {
	i := search(*s, v-same)
	if i < len(*s) && (*s)[i] <= v+same {
		return
	}
	*s = append(*s, 0)
	copy((*s)[i+1:], (*s)[i:])
	(*s)[i] = v
}

func find(s []float64, v float64) int { return search(s, v-same) }

func search(s []float64, v float64) int {
	lo, hi := 0, len(s)
	for lo < hi {
		if h := (lo + hi) / 2; s[h] < v {
			lo = h + 1
		} else {
			hi = h
		}
	}
	return lo
}

// across sums flux·X[i]·Y[j] over the LEDs of f.
func (f *field) across(x, y []float64) float64 {
	if f.product {
		return dot(f.colSum, x) * dot(f.lineSum, y) / f.total
	}
	s := 0.0
	for j, yv := range y {
		s += yv * dot(f.flux[j*len(f.x):(j+1)*len(f.x)], x)
	}
	return s
}

// dot is Σ a·b over the length of a.
func dot(a, b []float64) float64 {
	b = b[:len(a)]
	var s0, s1, s2, s3 float64
	i := 0
	for ; i+4 <= len(a); i += 4 {
		s0 += a[i] * b[i]
		s1 += a[i+1] * b[i+1]
		s2 += a[i+2] * b[i+2]
		s3 += a[i+3] * b[i+3]
	}
	for ; i < len(a); i++ {
		s0 += a[i] * b[i]
	}
	return (s0 + s1) + (s2 + s3)
}
