package measure

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"

	"dawnsmith/quantity"
)

// Contributor is one line of an uncertainty budget: an input known with a
// standard uncertainty, and what the result makes of it.
type Contributor struct {
	// Source names the error; lines with the same name are one error and add
	// with their signs, here and between results.
	Source string `json:"source"`
	// What says in words where the figure comes from.
	What string `json:"what"`
	// U is the standard uncertainty of the input, in the input's unit, ≥ 0.
	U float64 `json:"u"`
	// Slope is the change of the result per unit of the input.
	Slope float64 `json:"slope"`
	// Freedom is the degrees of freedom of U; 0 stands for infinite.
	Freedom float64 `json:"freedom,omitempty"`
}

// Term is the signed contribution U·Slope to the result.
func (c Contributor) Term() float64 { return c.U * c.Slope }

// Rectangular is an input known to lie within ±half with equal chance
// everywhere: u = half/√3.
//
// Source: JCGM 100:2008 (GUM), 4.3.7.
func Rectangular(source, what string, half, slope float64) Contributor {
	return Contributor{Source: source, What: what, U: math.Abs(half) / math.Sqrt(3), Slope: slope}
}

// Triangular is an input within ±half, most likely in the middle:
// u = half/√6.
//
// Source: JCGM 100:2008 (GUM), 4.3.9.
func Triangular(source, what string, half, slope float64) Contributor {
	return Contributor{Source: source, What: what, U: math.Abs(half) / math.Sqrt(6), Slope: slope}
}

// Stated is an input with a stated expanded uncertainty and its coverage
// factor k, as on a calibration certificate: u = expanded/k. A k of 0 stands
// for 2.
//
// Source: JCGM 100:2008 (GUM), 4.3.3.
func Stated(source, what string, expanded, k, slope float64) Contributor {
	if k == 0 {
		k = 2
	}
	return Contributor{Source: source, What: what, U: math.Abs(expanded) / k, Slope: slope}
}

// Repeated is the mean of n ≥ 2 independent readings with standard deviation
// s: u = s/√n with n − 1 degrees of freedom. For a single reading whose
// scatter s is known from elsewhere use a Contributor with that scatter's own
// degrees of freedom.
//
// Source: JCGM 100:2008 (GUM), 4.2.3 and 4.2.6.
func Repeated(source, what string, s float64, n int, slope float64) Contributor {
	if n < 2 {
		panic("measure: a scatter needs two readings")
	}
	return Contributor{Source: source, What: what, U: s / math.Sqrt(float64(n)), Slope: slope, Freedom: float64(n - 1)}
}

// Budget is a result with everything that makes it uncertain.
type Budget struct {
	X     float64       `json:"value"`
	Parts []Contributor `json:"parts"`
}

// Value is the result with one term for each error source.
func (b Budget) Value() quantity.Value {
	parts := make([]quantity.Part, len(b.Parts))
	for i, c := range b.Parts {
		parts[i] = quantity.Part{Value: quantity.Measured(0, c.U, c.Source), Slope: c.Slope}
	}
	return quantity.Combine(b.X, parts...)
}

// freedom collects the finite degrees of freedom by source; of two lines with
// one source the smaller stays.
func (b Budget) freedom() map[string]float64 {
	var m map[string]float64
	for _, c := range b.Parts {
		if c.Freedom > 0 && c.U > 0 {
			if m == nil {
				m = map[string]float64{}
			}
			if f, ok := m[c.Source]; !ok || c.Freedom < f {
				m[c.Source] = c.Freedom
			}
		}
	}
	return m
}

// U is the combined standard uncertainty:
//
//	u_c² = Σ (c_i·u_i)²
//
// with lines of one source added first. Source: JCGM 100:2008 (GUM), eq. 10
// and 16.
func (b Budget) U() float64 { return b.Value().U() }

// Freedom is the effective degrees of freedom, +Inf when every line's are:
//
//	ν_eff = u_c⁴ / Σ (u_i⁴/ν_i)
//
// Source: JCGM 100:2008 (GUM), eq. G.2b (Welch–Satterthwaite).
func (b Budget) Freedom() float64 { return welchSatterthwaite(b.Value(), b.freedom()) }

func welchSatterthwaite(v quantity.Value, freedom map[string]float64) float64 {
	uc, sum := v.U(), 0.0
	if uc == 0 {
		return math.Inf(1)
	}
	for _, t := range v.Terms {
		if f := freedom[t.Source]; f > 0 {
			r := t.U / uc
			sum += r * r * r * r / f
		}
	}
	if sum == 0 {
		return math.Inf(1)
	}
	return 1 / sum
}

// Expanded gives the coverage factor k of a level of confidence (0.95, 0.99)
// and the expanded uncertainty U = k·u_c.
func (b Budget) Expanded(level float64) (k, u float64) {
	k = Student(level, b.Freedom())
	return k, k * b.U()
}

// Student is the two-sided coverage factor of Student's distribution for a
// level of confidence in (0, 1): the share of the distribution within ±k is
// level. Degrees of freedom are cut to the next lower whole number, at least
// 1; infinite ones give the normal distribution's factor.
//
// Source: JCGM 100:2008 (GUM), G.3.2, G.4.1 and table G.2.
func Student(level, freedom float64) float64 {
	if !(level > 0 && level < 1) || !(freedom > 0) {
		panic(fmt.Sprintf("measure: no coverage factor for level %g, %g degrees of freedom", level, freedom))
	}
	p := (1 + level) / 2
	if freedom > 1e6 {
		return distuv.UnitNormal.Quantile(p)
	}
	return distuv.StudentsT{Mu: 0, Sigma: 1, Nu: math.Max(1, math.Floor(freedom))}.Quantile(p)
}

// Line is one row of a budget as people read it.
type Line struct {
	Source string  `json:"source"`
	What   string  `json:"what"`
	Term   float64 `json:"term"`  // in the result's unit
	Share  float64 `json:"share"` // of the variance, 0 to 1
}

// Table lists the budget's lines, largest first. Lines of one source share
// its share of the variance by their part of the sum.
func (b Budget) Table() []Line {
	var variance float64
	bySource := map[string]float64{}
	for _, c := range b.Parts {
		bySource[c.Source] += c.Term()
	}
	for _, t := range bySource {
		variance += t * t
	}
	out := make([]Line, 0, len(b.Parts))
	for _, c := range b.Parts {
		l := Line{Source: c.Source, What: c.What, Term: c.Term()}
		if variance > 0 {
			l.Share = c.Term() * bySource[c.Source] / variance
		}
		out = append(out, l)
	}
	slices.SortStableFunc(out, func(a, b Line) int { return cmp.Compare(math.Abs(b.Term), math.Abs(a.Term)) })
	return out
}
