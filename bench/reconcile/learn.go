package reconcile

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"gonum.org/v1/gonum/mat"

	"dawnsmith/finding"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// kindOf sorts a source; ofPart says that a part value of the lamp carries it.
func kindOf(source string, ofPart bool) string {
	if ofPart {
		return "part"
	}
	for _, k := range []struct{ prefix, kind string }{
		{"model", "model"}, {"as the ", "model"}, {"meter ", "meter"}, {"air ", "set-up"}, {"distance ", "set-up"},
	} {
		if strings.HasPrefix(source, k.prefix) {
			return k.kind
		}
	}
	if strings.Contains(source, "(synthesised)") {
		return "model"
	}
	if strings.HasSuffix(source, " distance") || strings.HasSuffix(source, "tilt of the meter") {
		return "set-up"
	}
	return "reading"
}

// suspected is the Suspicion from which a single fault goes before many small
// ones: half a decade, "substantial" in Kass & Raftery 1995.
const suspected = 0.5

func (r *Report) causes(u predict.Uncertain, s system, post posterior, d []float64, fields []field) {
	ofPart := map[string]bool{}
	for _, f := range fields {
		for _, t := range f.value(&u.Lamp).Terms {
			ofPart[t.Source] = true
		}
	}
	for k, source := range s.sources {
		c := Cause{Source: source, Kind: kindOf(source, ofPart[source]), Shift: -post.mean[k], ShiftU: math.Sqrt(math.Max(0, post.cov.At(k, k)))}
		if c.Kind == "meter" || c.Kind == "reading" {
			// A reading's error is how far it reads too high.
			c.Shift = post.mean[k]
		}
		if post.chi2 > 0 {
			c.Share = post.mean[k] * post.mean[k] / post.chi2
		}
		c.Suspicion = s.suspicion(post, d, k)
		for l, other := range s.sources {
			if l != k && math.Abs(s.alike(post, k, l)) > 0.97 {
				c.Alike = append(c.Alike, other)
			}
		}
		dir := "above"
		if c.Shift < 0 {
			dir = "below"
		}
		what := strings.TrimSuffix(source, " (assumed)")
		switch c.Kind {
		case "meter", "reading":
			high := "high"
			if c.Shift < 0 {
				high = "low"
			}
			c.Says = fmt.Sprintf("%s: reads %.1f of its standard uncertainties too %s", what, math.Abs(c.Shift), high)
		default:
			c.Says = fmt.Sprintf("%s: %.1f of its standard uncertainties %s what is stated", what, math.Abs(c.Shift), dir)
		}
		if len(c.Alike) > 0 {
			c.Says += fmt.Sprintf("; these readings cannot tell it from %d other sources", len(c.Alike))
		}
		r.Causes = append(r.Causes, c)
	}
	// One fault explains more than many small ones when the residuals are rare
	// by themselves, or when it alone makes them at least three times likelier.
	surprising := r.Freedom > 0 && r.P < 0.05 ||
		slices.ContainsFunc(r.Causes, func(c Cause) bool { return c.Suspicion > suspected })
	slices.SortStableFunc(r.Causes, func(a, b Cause) int {
		if surprising {
			return cmp.Or(cmp.Compare(math.Round(b.Suspicion*1e6), math.Round(a.Suspicion*1e6)), cmp.Compare(b.Share, a.Share))
		}
		return cmp.Compare(b.Share, a.Share)
	})
}

// learnedAt is the least gain for which a value is corrected.
const learnedAt = 0.01

// correct gives the part values after the update. Their covariance is kept by
// giving them shared terms: the Cholesky factor of the posterior.
func (r *Report) correct(u predict.Uncertain, s system, post posterior, fields []field, unit string) {
	m := len(s.sources)
	var kept []field
	var rows [][]float64
	for _, f := range fields {
		v := f.value(&u.Lamp)
		g := make([]float64, m)
		known := false
		extra := 0.0 // terms that no reading touches
		for _, t := range v.Terms {
			if i, ok := slices.BinarySearch(s.sources, t.Source); ok {
				g[i] += t.U
				known = true
			} else {
				extra = math.Hypot(extra, t.U)
			}
		}
		if !known {
			continue
		}
		var cg mat.VecDense
		cg.MulVec(post.cov, mat.NewVecDense(m, g))
		after := math.Hypot(math.Sqrt(math.Max(0, mat.Dot(mat.NewVecDense(m, g), &cg))), extra)
		c := Correction{Kind: f.kind, ID: f.id, Key: f.key, Name: f.name, Dim: f.dim, Before: v, Learned: 1 - after/v.U()}
		if c.Learned < learnedAt {
			continue
		}
		x := v.X - s.shift(v, post.mean)
		c.After.X = f.hold(x)
		c.Clamped = c.After.X != x
		kept, rows = append(kept, f), append(rows, g)
		r.Corrections = append(r.Corrections, c)
	}
	n := len(kept)
	if n == 0 {
		return
	}
	g := mat.NewDense(n, m, nil)
	for i := range rows {
		g.SetRow(i, rows[i])
	}
	var cg, gcg mat.Dense
	cg.Mul(g, post.cov)
	gcg.Mul(&cg, g.T())
	l := cholesky(&gcg)
	for i := range r.Corrections {
		c := &r.Corrections[i]
		for k := 0; k <= i; k++ {
			if l[i][k] != 0 {
				c.After.Terms = append(c.After.Terms, quantity.Term{Source: fmt.Sprintf("reconciled with %s, %02d", unit, k+1), U: l[i][k]})
			}
		}
		for _, t := range c.Before.Terms {
			if _, ok := slices.BinarySearch(s.sources, t.Source); !ok {
				c.After.Terms = append(c.After.Terms, t)
			}
		}
		c.After = quantity.Combine(c.After.X, quantity.Part{Value: c.After, Slope: 1})
	}
	built := clone(u.Lamp)
	for i, f := range kept {
		f.set(&built, r.Corrections[i].After)
	}
	r.Layer = layerOf(built, kept)
	if err := r.Layer.Check(); err != nil {
		r.Findings = append(r.Findings, finding.Finding{
			Severity: finding.Warn, Key: "reconcile.part_out_of_range",
			What:   "a corrected part would not pass its own check: " + err.Error(),
			Cause:  "the readings ask for more than such a part can be",
			Mend:   "look for a gross error among the causes before using the corrected parts",
			Source: "lamp/part",
		})
		r.Layer = part.Set{}
	}
}

// cholesky is the lower factor of a covariance that may be short of full rank:
// directions without variance get zeros.
func cholesky(c *mat.Dense) [][]float64 {
	n, _ := c.Dims()
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for j := 0; j <= i; j++ {
			sum := c.At(i, j)
			for k := range j {
				sum -= l[i][k] * l[j][k]
			}
			switch {
			case i == j:
				if sum > 1e-12*c.At(i, i) {
					l[i][i] = math.Sqrt(sum)
				}
			case l[j][j] > 0:
				l[i][j] = sum / l[j][j]
			}
		}
	}
	return l
}

// afterwards gives each residual the prediction with everything corrected.
func (r *Report) afterwards(s system, post posterior, d []float64) {
	m := len(s.sources)
	for i := range r.Residuals {
		res := &r.Residuals[i]
		g := make([]float64, m)
		x := res.Predicted.X
		for _, t := range res.Predicted.Terms {
			k := s.index(t.Source)
			g[k] += t.U
			x -= t.U * post.mean[k]
		}
		x += s.d[i] - d[i] // what the straight line missed
		var cg mat.VecDense
		cg.MulVec(post.cov, mat.NewVecDense(m, g))
		res.After = quantity.Measured(x, math.Sqrt(math.Max(0, mat.Dot(mat.NewVecDense(m, g), &cg))), "reconciled prediction")
		res.AfterSigmas = (res.Measured.X - x) / res.Difference.U()
	}
}
