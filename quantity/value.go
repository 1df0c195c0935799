package quantity

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Term is one contribution to the uncertainty of a Value: the signed change
// of the value, in its own unit, when the named source is off by one standard
// uncertainty. Sources are independent of each other; equal names are fully
// correlated.
type Term struct {
	Source string  `json:"source"`
	U      float64 `json:"u"`
}

// Value is an estimate with its uncertainty terms, sorted by source, each
// source once. Values are immutable; operations return new ones. Propagation
// is first order (JCGM 100:2008 (GUM), eq. 10 and 13).
type Value struct {
	X     float64 `json:"value"`
	Terms []Term  `json:"terms,omitempty"`
}

// Exact is a value without uncertainty.
func Exact(x float64) Value { return Value{X: x} }

// Measured is a value with one standard uncertainty u ≥ 0 from one source.
func Measured(x, u float64, source string) Value {
	if u == 0 {
		return Exact(x)
	}
	return Value{x, []Term{{source, math.Abs(u)}}}
}

// U is the combined standard uncertainty: the root of the sum of squares of
// the terms.
func (v Value) U() float64 {
	s := 0.0
	for _, t := range v.Terms {
		s = math.Hypot(s, t.U)
	}
	return s
}

// Finite reports whether estimate and terms are ordinary numbers.
func (v Value) Finite() bool {
	s := v.X
	for _, t := range v.Terms {
		s += math.Abs(t.U)
	}
	return !math.IsNaN(s) && !math.IsInf(s, 0)
}

// Part is one argument of Combine: a value and the partial derivative of the
// result with respect to it.
type Part struct {
	Value Value
	Slope float64
}

// Combine gives a result x whose uncertainty is that of its parts, each
// through its slope; terms of equal source add with their signs.
func Combine(x float64, parts ...Part) Value {
	var all []Term
	for _, p := range parts {
		for _, t := range p.Value.Terms {
			all = append(all, Term{t.Source, t.U * p.Slope})
		}
	}
	return Value{x, merge(all)}
}

func merge(all []Term) []Term {
	slices.SortStableFunc(all, func(a, b Term) int { return cmp.Compare(a.Source, b.Source) })
	out := all[:0]
	for _, t := range all {
		if n := len(out); n > 0 && out[n-1].Source == t.Source {
			out[n-1].U += t.U
			continue
		}
		out = append(out, t)
	}
	out = slices.DeleteFunc(out, func(t Term) bool { return t.U == 0 })
	if len(out) == 0 {
		return nil
	}
	return out
}

// Add returns v + w; shared sources add linearly.
func (v Value) Add(w Value) Value { return Combine(v.X+w.X, Part{v, 1}, Part{w, 1}) }

// Sub returns v − w; shared sources cancel.
func (v Value) Sub(w Value) Value { return Combine(v.X-w.X, Part{v, 1}, Part{w, -1}) }

// Mul returns v · w.
func (v Value) Mul(w Value) Value { return Combine(v.X*w.X, Part{v, w.X}, Part{w, v.X}) }

// Div returns v / w. A zero divisor is a programmer's mistake and panics.
func (v Value) Div(w Value) Value {
	if w.X == 0 {
		panic("quantity: division by a zero value")
	}
	q := v.X / w.X
	return Combine(q, Part{v, 1 / w.X}, Part{w, -q / w.X})
}

// Scale returns c · v for an exact c.
func (v Value) Scale(c float64) Value { return Combine(c*v.X, Part{v, c}) }

// Apply returns f(v) with the slope taken by a central difference over one
// standard uncertainty; without uncertainty it is simply f(v.X).
func (v Value) Apply(f func(float64) float64) Value {
	u := v.U()
	if u == 0 {
		return Exact(f(v.X))
	}
	return Combine(f(v.X), Part{v, (f(v.X+u) - f(v.X-u)) / (2 * u)})
}

// Share is one source's part of the variance of a value, 0 to 1.
type Share struct {
	Source string  `json:"source"`
	Share  float64 `json:"share"`
}

// Contributors lists the n largest shares of the variance, largest first.
func (v Value) Contributors(n int) []Share {
	total := v.U() * v.U()
	if total == 0 {
		return nil
	}
	out := make([]Share, 0, len(v.Terms))
	for _, t := range v.Terms {
		out = append(out, Share{t.Source, t.U * t.U / total})
	}
	slices.SortStableFunc(out, func(a, b Share) int { return cmp.Compare(b.Share, a.Share) })
	return out[:min(n, len(out))]
}

// String shows the value with its expanded uncertainty (k = 2), without unit.
func (v Value) String() string { return fmt.Sprint(FormatUncertain(v.X, 2*v.U())) }
