package compare

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"

	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/metric"
	"dawnsmith/quantity"
)

// Options steer a ranking.
type Options struct {
	// K is how many standard uncertainties of their difference two lamps must
	// be apart not to tie; 0: 2.
	K float64
	// Draws is the number of random draws behind the rank intervals; 0: 2000
	// for more than 100 lamps, else
	// 10 000. Seed starts them; the same seed gives the same intervals.
	Draws int
	Seed  uint64
	// Better overrules the metric's own direction.
	Better metric.Better
}

// Row is one ranked lamp.
type Row struct {
	Cell
	// Place is 1 for the best by estimate; equal estimates share a place.
	Place int `json:"place"`
	// Low and High hold 95 % of the places that the lamp takes in the draws.
	Low  int `json:"low"`
	High int `json:"high"`
	// First is the share of the draws in which it comes first.
	First float64 `json:"first"`
	// Group is 1 for the group of the first, and so on.
	Group int `json:"group"`
	// Ties are the rows, by index, that it cannot be told from.
	Ties []int `json:"ties,omitempty"`
}

// Pair is the comparison of two rows.
type Pair struct {
	A          int            `json:"a"` // indices of rows, A before B
	B          int            `json:"b"`
	Difference quantity.Value `json:"difference"` // A − B, unshared errors only
	// Sigmas is |difference| over its standard uncertainty; +Inf is written
	// as 0 with Tied false when there is none.
	Sigmas float64 `json:"sigmas"`
	Tied   bool    `json:"tied"`
}

// Ranking is a column in order, and what of the order is real.
type Ranking struct {
	Metric metric.Metric `json:"metric"`
	Terms  Terms         `json:"terms"`
	Unit   string        `json:"unit"`
	Better metric.Better `json:"better"`
	Rows   []Row         `json:"rows"`
	Pairs  []Pair        `json:"pairs"`
	// Groups are the rows, by index: each holds a leader and those after it
	// that cannot be told from the leader.
	Groups [][]int `json:"groups"`
	// Unranked are the cells that have no estimate: missing, or a limit only.
	Unranked []Cell  `json:"unranked,omitempty"`
	K        float64 `json:"k"`
	Draws    int     `json:"draws"`
	Seed     uint64  `json:"seed"`
	Rule     string  `json:"rule"`
	// LogAxis advises a logarithmic axis, and LogWhy says for which lamp.
	LogAxis  bool              `json:"log_axis"`
	LogWhy   string            `json:"log_why,omitempty"`
	Findings []finding.Finding `json:"findings,omitempty"`
}

// Rank orders a column, best first. Every cell is in Rows or in Unranked.
//
// Two lamps tie when |a − b| < k·u(a − b), with u of the errors that they do
// not share (JCGM 100:2008 (GUM), eq. 16, by terms of one source). Ties are
// not transitive, so Pairs lists every two. Groups go down the list: a lamp
// that differs from the leader of the current group opens a new one. The
// interval of a place comes from random draws of every error source, normally
// distributed, shared sources drawn once for all (JCGM 101:2008).
func Rank(c Column, o Options) (Ranking, error) {
	if o.K == 0 {
		o.K = 2
	}
	if o.Draws == 0 {
		if o.Draws = 10000; len(c.Cells) > 100 {
			o.Draws = 2000
		}
	}
	if !(o.K > 0 && o.K <= 10) {
		return Ranking{}, bad("k", o.K, "above 0, up to 10", "2 is usual")
	}
	if o.Draws < 100 || o.Draws > 1e6 {
		return Ranking{}, bad("draws", o.Draws, "100 to 1 000 000", "")
	}
	r := Ranking{Metric: c.Metric, Terms: c.Terms, Unit: c.Unit, Better: c.Metric.Better, K: o.K, Draws: o.Draws, Seed: o.Seed, Findings: slices.Clone(c.Findings)}
	if o.Better != metric.Neither {
		r.Better = o.Better
	}
	if r.Better == metric.Neither {
		r.Better = metric.Up
		r.Findings = append(r.Findings, finding.Finding{
			Severity: finding.Note, Key: "compare.no_direction",
			What:   fmt.Sprintf("%s describes a lamp; neither more nor less of it is better: the list runs from most to least", c.Metric.Name),
			Cause:  "the measure has no better direction",
			Mend:   "say which direction you want",
			Source: "definition",
		})
	}
	r.Rule = fmt.Sprintf("two lamps tie when they differ by less than %g standard uncertainties of their difference, errors they share left out; a group holds a leader and those that tie with it; places: 95 %% of %d draws, seed %d", o.K, o.Draws, o.Seed)
	for _, cell := range c.Cells {
		if cell.Missing != "" || cell.Bound != measure.Estimate || !cell.Value.Finite() {
			r.Unranked = append(r.Unranked, cell)
			continue
		}
		r.Rows = append(r.Rows, Row{Cell: cell})
	}
	sign := 1.0
	if r.Better == metric.Down {
		sign = -1
	}
	slices.SortStableFunc(r.Rows, func(a, b Row) int {
		return cmp.Or(cmp.Compare(sign*b.Value.X, sign*a.Value.X), cmp.Compare(a.ID, b.ID))
	})
	for i := range r.Rows {
		r.Rows[i].Place = i + 1
		if i > 0 && r.Rows[i].Value.X == r.Rows[i-1].Value.X {
			r.Rows[i].Place = r.Rows[i-1].Place
		}
	}
	r.pair()
	r.group()
	r.draw(sign)
	r.axis()
	return r, nil
}

func (r *Ranking) pair() {
	for i := range r.Rows {
		for j := i + 1; j < len(r.Rows); j++ {
			p := Pair{A: i, B: j, Difference: r.Rows[i].Value.Sub(r.Rows[j].Value)}
			u, d := p.Difference.U(), math.Abs(p.Difference.X)
			// What rounding leaves of cancelled terms is no uncertainty.
			if u < 1e-12*math.Max(math.Abs(r.Rows[i].Value.X), math.Abs(r.Rows[j].Value.X)) {
				u = 0
			}
			switch {
			case u > 0:
				p.Sigmas = d / u
				p.Tied = p.Sigmas < r.K
			default:
				p.Tied = d == 0
			}
			if p.Tied {
				r.Rows[i].Ties = append(r.Rows[i].Ties, j)
				r.Rows[j].Ties = append(r.Rows[j].Ties, i)
			}
			r.Pairs = append(r.Pairs, p)
		}
	}
	for i := range r.Rows {
		slices.Sort(r.Rows[i].Ties)
	}
}

func (r *Ranking) group() {
	for i := range r.Rows {
		n := len(r.Groups)
		if n == 0 || !slices.Contains(r.Rows[r.Groups[n-1][0]].Ties, i) {
			r.Groups = append(r.Groups, nil)
			n++
		}
		r.Groups[n-1] = append(r.Groups[n-1], i)
		r.Rows[i].Group = n
	}
}

// draw finds the intervals of the places.
func (r *Ranking) draw(sign float64) {
	n := len(r.Rows)
	if n == 0 {
		return
	}
	index := map[string]int{}
	type share struct {
		source int
		u      float64
	}
	shares := make([][]share, n)
	for i, row := range r.Rows {
		for _, t := range row.Value.Terms {
			k, ok := index[t.Source]
			if !ok {
				k = len(index)
				index[t.Source] = k
			}
			shares[i] = append(shares[i], share{k, t.U})
		}
	}
	rng := rand.New(rand.NewPCG(r.Seed, 0x64617773))
	z := make([]float64, len(index))
	x := make([]float64, n)
	order := make([]int, n)
	counts := make([][]int, n) // of places
	for i := range counts {
		counts[i] = make([]int, n)
	}
	first := make([]int, n)
	for range r.Draws {
		for k := range z {
			z[k] = rng.NormFloat64()
		}
		for i := range x {
			x[i] = r.Rows[i].Value.X
			for _, s := range shares[i] {
				x[i] += s.u * z[s.source]
			}
			x[i] *= sign
			order[i] = i
		}
		slices.SortFunc(order, func(a, b int) int { return cmp.Compare(x[b], x[a]) })
		place := 0
		for k, i := range order {
			if k == 0 || x[i] != x[order[k-1]] {
				place = k
			}
			counts[i][place]++
		}
		first[order[0]]++
	}
	tail := r.Draws / 40 // 2.5 %
	for i := range r.Rows {
		r.Rows[i].First = float64(first[i]) / float64(r.Draws)
		sum := 0
		for p := range n {
			sum += counts[i][p]
			if sum > tail {
				r.Rows[i].Low = p + 1
				break
			}
		}
		sum = 0
		for p := n - 1; p >= 0; p-- {
			sum += counts[i][p]
			if sum > tail {
				r.Rows[i].High = p + 1
				break
			}
		}
	}
}

// hugeRatio is how far above the next lamp one may be before a linear axis
// hides the others (common practice, no source).
const hugeRatio = 4

// axis advises a logarithmic axis where one lamp dwarfs the rest.
func (r *Ranking) axis() {
	var x []float64
	below := 0
	most := -1
	for i, row := range r.Rows {
		if row.Value.X <= 0 {
			below++
			continue
		}
		x = append(x, row.Value.X)
		if most < 0 || row.Value.X > r.Rows[most].Value.X {
			most = i
		}
	}
	if len(x) < 3 {
		return
	}
	slices.Sort(x)
	top, next, middle := x[len(x)-1], x[len(x)-2], x[len(x)/2]
	if top < hugeRatio*next && top < 2*hugeRatio*middle {
		return
	}
	r.LogAxis = true
	r.LogWhy = fmt.Sprintf("%s has %.1f times the next: draw the axis logarithmic, or break it visibly; do not leave the lamp out", r.Rows[most].ID, top/next)
	if below > 0 {
		r.LogWhy += fmt.Sprintf("; show the %d at or below 0 as below range", below)
	}
}
