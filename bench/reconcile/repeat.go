package reconcile

import (
	"math"
	"slices"
	"strings"

	"dawnsmith/bench/measure"
	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// steps is how often the update is repeated from the corrected lamp.
const steps = 3

// repeat makes the update, predicts the corrected lamp, and makes it again with
// what the straight line missed. It returns the last update and the residuals
// it was made for. Where the corrected lamp cannot be predicted, the straight
// line stands.
func (s system) repeat(u predict.Uncertain, fields []field, res []Residual) (posterior, []float64) {
	d := slices.Clone(s.d)
	post := s.solveFor(d)
	base, err := predict.At(u.Lamp, predict.Quick)
	if err != nil {
		return post, d
	}
	for range steps {
		l := clone(u.Lamp)
		for _, f := range fields {
			v := f.value(&l)
			f.set(&l, quantity.Value{X: f.hold(v.X - s.shift(v, post.mean)), Terms: v.Terms})
		}
		s.place(&l, post.mean)
		q, err := predict.At(l, predict.Quick)
		if err != nil {
			return post, d
		}
		next := make([]float64, len(d))
		worst := 0.0
		for i := range d {
			// The straight line says the prediction moved by …
			line := 0.0
			for _, t := range res[i].Predicted.Terms {
				if !modelled(t.Source) {
					line -= t.U * post.mean[s.index(t.Source)]
				}
			}
			// … and the model says it did by:
			bent, ok := moved(res[i], base, q)
			if !ok {
				bent = line
			}
			next[i] = s.d[i] - (bent - line)
			worst = math.Max(worst, math.Abs(next[i]-d[i])/res[i].Difference.U())
		}
		d = next
		post = s.solveFor(d)
		if worst < 0.003 {
			break
		}
	}
	return post, d
}

// modelled marks the sources that no part or place can be moved by.
func modelled(source string) bool {
	return strings.HasPrefix(source, "model") || strings.Contains(source, "(synthesised)") || strings.HasPrefix(source, "as the ")
}

// moved is by how much the quick prediction changed, in the residual's unit;
// lengths of light and power by ratio, temperatures by difference.
func moved(r Residual, base, now predict.Result) (float64, bool) {
	at := func(n map[string]float64) (float64, bool) {
		switch r.Metric.Key {
		case measure.MeterEDI:
			return n[predict.MeterLux] * n[predict.DER], true
		case measure.LampCurrent:
			return n[predict.SupplyCurrent], true
		}
		v, ok := n[r.Metric.Key]
		return v, ok
	}
	a, ok1 := at(base.Numbers)
	b, ok2 := at(now.Numbers)
	if !ok1 || !ok2 {
		return 0, false
	}
	if r.Metric.Unit != "°C" && a > 0 && r.Predicted.X > 0 {
		return r.Predicted.X * (b/a - 1), true
	}
	return b - a, true
}

func (s system) index(source string) int {
	i, _ := slices.BinarySearch(s.sources, source)
	return i
}

// shift is Σ u·ê over a value's terms: how far the stated value is too high.
func (s system) shift(v quantity.Value, mean []float64) float64 {
	sum := 0.0
	for _, t := range v.Terms {
		if i, ok := slices.BinarySearch(s.sources, t.Source); ok {
			sum += t.U * mean[i]
		}
	}
	return sum
}

// place moves what is neither part nor model: air and distances, by the terms
// that a prediction names so.
func (s system) place(l *lamp.Lamp, mean []float64) {
	p := l.Spec.Place.WithDefaults()
	for source, move := range map[string]func(e float64){
		"air at the lamp ± 2 K":        func(e float64) { p.Air -= 2 * e },
		"distance to the meter ± 3 mm": func(e float64) { p.MeterDistance -= 0.003 * e },
		"distance to the eye ± 3 mm":   func(e float64) { p.EyeDistance -= 0.003 * e },
	} {
		if i, ok := slices.BinarySearch(s.sources, source); ok {
			move(mean[i])
		}
	}
	l.Spec.Place = p
}

func (f field) hold(x float64) float64 { return math.Min(f.hi, math.Max(f.lo, x)) }
