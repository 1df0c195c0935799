package reconcile

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"

	"dawnsmith/quantity"
)

// system is a set of residuals as a linear function of unit-normal errors.
type system struct {
	sources []string
	j       *mat.Dense // residuals × sources
	d       []float64  // measured − predicted
}

// newSystem lays predicted and measured values out as d = J·e.
func newSystem(predicted, measured []quantity.Value) system {
	index := map[string]int{}
	var names []string
	for _, list := range [][]quantity.Value{predicted, measured} {
		for _, v := range list {
			for _, t := range v.Terms {
				if _, ok := index[t.Source]; !ok {
					index[t.Source] = 0
					names = append(names, t.Source)
				}
			}
		}
	}
	slices.Sort(names)
	for i, s := range names {
		index[s] = i
	}
	s := system{sources: names, j: mat.NewDense(len(predicted), max(1, len(names)), nil), d: make([]float64, len(predicted))}
	add := func(r int, v quantity.Value, sign float64) {
		for _, t := range v.Terms {
			k := index[t.Source]
			s.j.Set(r, k, s.j.At(r, k)+sign*t.U)
		}
	}
	for r := range predicted {
		s.d[r] = measured[r].X - predicted[r].X
		add(r, predicted[r], -1)
		add(r, measured[r], +1)
	}
	return s
}

// posterior is what the residuals say of the errors.
type posterior struct {
	mean []float64     // ê, one a source
	cov  *mat.SymDense // sources × sources
	chi2 float64
	rank int // independent residuals
	inv  *mat.Dense
}

// solve makes the update. Residuals are scaled to their own standard deviation
// first; directions in which they carry no information of their own (one
// reading written down twice) are left out.
func (s system) solve() posterior { return s.solveFor(s.d) }

func (s system) solveFor(d []float64) posterior {
	n, m := s.j.Dims()
	scale := make([]float64, n)
	js := mat.NewDense(n, m, nil)
	for r := range n {
		for k := range m {
			scale[r] = math.Hypot(scale[r], s.j.At(r, k))
		}
		if scale[r] == 0 {
			scale[r] = 1
		}
		for k := range m {
			js.Set(r, k, s.j.At(r, k)/scale[r])
		}
	}
	var svd mat.SVD
	p := posterior{mean: make([]float64, m), cov: mat.NewSymDense(m, nil)}
	if !svd.Factorize(js, mat.SVDThin) {
		return p
	}
	var u, v mat.Dense
	svd.UTo(&u)
	svd.VTo(&v)
	sv := svd.Values(nil)
	p.inv = mat.NewDense(n, n, nil) // S⁻¹ in scaled residuals
	for k := range m {
		p.cov.SetSym(k, k, 1)
	}
	for q, w := range sv {
		if w < 1e-7*sv[0] || w == 0 {
			continue
		}
		p.rank++
		a := 0.0
		for r := range n {
			a += u.At(r, q) * d[r] / scale[r]
		}
		a /= w
		p.chi2 += a * a
		for k := range m {
			p.mean[k] += a * v.At(k, q)
			for l := k; l < m; l++ {
				p.cov.SetSym(k, l, p.cov.At(k, l)-v.At(k, q)*v.At(l, q))
			}
		}
		for r := range n {
			for c := range n {
				p.inv.Set(r, c, p.inv.At(r, c)+u.At(r, q)*u.At(c, q)/(w*w)/(scale[r]*scale[c]))
			}
		}
	}
	return p
}

// gross is how much a fault far beyond its stated uncertainty is taken to
// widen it when suspects are weighed.
const gross = 10

// suspicion is the common logarithm of how much likelier the residuals become
// when source k alone is taken as grossly wrong (10 times its uncertainty):
//
//	S′ = S + (g² − 1)·j jᵀ,  ln B = ½[(g²−1)·(jᵀS⁻¹d)²/(1 + (g²−1)·jᵀS⁻¹j) − ln(1 + (g²−1)·jᵀS⁻¹j)]
//
// Source: matrix determinant lemma and Sherman–Morrison; Kass & Raftery 1995,
// J. Am. Stat. Assoc. 90:773 for reading the factor.
func (s system) suspicion(p posterior, d []float64, k int) float64 {
	if p.inv == nil {
		return 0
	}
	n, _ := s.j.Dims()
	jd, jj := 0.0, 0.0
	for r := range n {
		for c := range n {
			w := s.j.At(r, k) * p.inv.At(r, c)
			jd += w * d[c]
			jj += w * s.j.At(c, k)
		}
	}
	g := gross*gross - 1.0
	return (g*jd*jd/(1+g*jj) - math.Log(1+g*jj)) / 2 / math.Ln10
}

// alike is the cosine between what two sources do to the residuals: near 1 or
// −1 the readings cannot tell them apart.
func (s system) alike(p posterior, a, b int) float64 {
	if p.inv == nil {
		return 0
	}
	n, _ := s.j.Dims()
	ab, aa, bb := 0.0, 0.0, 0.0
	for r := range n {
		for c := range n {
			w := p.inv.At(r, c)
			ab += s.j.At(r, a) * w * s.j.At(c, b)
			aa += s.j.At(r, a) * w * s.j.At(c, a)
			bb += s.j.At(r, b) * w * s.j.At(c, b)
		}
	}
	if aa <= 0 || bb <= 0 {
		return 0
	}
	return ab / math.Sqrt(aa*bb)
}
