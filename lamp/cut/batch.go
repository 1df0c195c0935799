package cut

import (
	"fmt"
	"math"
	"slices"
)

// solveBatches shares the trays out over the batches. What a batch costs for a
// set of trays is first bounded, then solved only where the cheapest sharing
// so far rests on the bound.
func solveBatches(j *Job) *Plan {
	var names []string
	reels := map[string][]int{}
	for r := range j.Reels {
		b := j.Reels[r].Batch
		if reels[b] == nil {
			names = append(names, b)
		}
		reels[b] = append(reels[b], r)
	}
	slices.Sort(names)
	sets := 1 << len(j.Trays)
	type entry struct {
		cost  float64
		exact bool
		prob  *problem
		plan  *Plan
	}
	table := make([][]entry, len(names))
	memo := map[string]*entry{}
	look := func(b, set int) *entry {
		e := &table[b][set]
		if e.prob != nil || e.exact {
			return e
		}
		var rows []rowRef
		for t := range j.Trays {
			if set>>t&1 == 1 {
				for i, u := range j.Trays[t].Rows {
					rows = append(rows, rowRef{t, i, u})
				}
			}
		}
		if len(rows) == 0 {
			*e = entry{exact: true, plan: &Plan{Feasible: true, Proven: true}}
			return e
		}
		e.prob = newProblem(j, reels[names[b]], rows)
		key := fmt.Sprint(b, e.prob.book.types, e.prob.book.list[e.prob.start].whole)
		if same, ok := memo[key]; ok {
			e.prob.plain, e.prob.half = same.prob.plain, same.prob.half
			e.cost = same.cost
		} else {
			e.cost = e.prob.relaxed()
			memo[key] = e
		}
		if math.IsInf(e.cost, 1) {
			e.exact = true
		}
		return e
	}
	for b := range table {
		table[b] = make([]entry, sets)
		for set := range sets {
			look(b, set)
		}
	}
	explored := 0
	bound := 0.0
	for round := 0; ; round++ {
		share, cost := assign(len(names), sets, func(b, set int) float64 { return table[b][set].cost })
		if round == 0 && !math.IsInf(cost, 1) {
			bound = clean(cost)
		}
		if math.IsInf(cost, 1) {
			return &Plan{Proven: true, Explored: explored, Why: "no sharing of the trays over the batches has enough strip of one batch for each tray"}
		}
		settled := true
		for b, set := range share {
			e := &table[b][set]
			if e.exact {
				continue
			}
			settled = false
			e.plan = e.prob.solve()
			explored += e.plan.Explored
			e.exact = true
			if !e.plan.Feasible {
				e.cost = math.Inf(1)
				continue
			}
			e.cost = e.prob.traced(e.plan)
		}
		if !settled {
			continue
		}
		out := &Plan{Feasible: true, Proven: true, Bound: bound, Explored: explored}
		for b, set := range share {
			p := table[b][set].plan
			out.Proven = out.Proven && p.Proven
			out.Rows = append(out.Rows, p.Rows...)
		}
		slices.SortFunc(out.Rows, func(a, b Row) int {
			if a.Tray != b.Tray {
				return a.Tray - b.Tray
			}
			return a.Row - b.Row
		})
		j.finish(out)
		return out
	}
}

// traced is a plan's cost with the trace of tie-breaks, comparable to bounds.
func (p *problem) traced(plan *Plan) float64 {
	q := *plan
	p.job.finish(&q)
	return q.Cost + tieOpen*float64(q.Opened) + tieSplice*float64(q.Splices) + tieJoint*float64(q.Joints)
}

// assign shares the full set of trays out over the batches at least cost.
func assign(batches, sets int, cost func(b, set int) float64) (share []int, total float64) {
	best := make([][]float64, batches+1)
	from := make([][]int, batches+1)
	for b := range best {
		best[b], from[b] = make([]float64, sets), make([]int, sets)
		for s := range sets {
			best[b][s] = math.Inf(1)
		}
	}
	best[0][0] = 0
	for b := range batches {
		for done := range sets {
			if math.IsInf(best[b][done], 1) {
				continue
			}
			free := sets - 1 - done
			for s := free; ; s = (s - 1) & free {
				if c := best[b][done] + cost(b, s); c < best[b+1][done|s] {
					best[b+1][done|s], from[b+1][done|s] = c, s
				}
				if s == 0 {
					break
				}
			}
		}
	}
	share = make([]int, batches)
	at := sets - 1
	for b := batches; b > 0; b-- {
		if math.IsInf(best[b][at], 1) {
			return share, math.Inf(1)
		}
		share[b-1] = from[b][at]
		at &^= from[b][at]
	}
	return share, best[batches][sets-1]
}
