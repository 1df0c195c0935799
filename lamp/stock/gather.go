package stock

import (
	"cmp"
	"slices"

	"dawnsmith/lamp/cut"
)

// gather looks, among plans of the same cost, for one that leaves more in one
// piece: reel by reel, the dearest and longest first, it tries how short the
// reel might be made from its end without the plan growing dearer. Leftovers
// are used up first, then, and what stays of a whole reel stays together.
func gather(j cut.Job, p *cut.Plan) *cut.Plan {
	const patience = 20000 // states; larger jobs are left as they are
	if p.Explored > patience {
		return p
	}
	full := make([]int, len(j.Reels))
	order := make([]int, len(j.Reels))
	for i, r := range j.Reels {
		full[i], order[i] = r.Units, i
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(j.Reels[b].OpenCost, j.Reels[a].OpenCost), full[b]-full[a])
	})
	best := p
	reels := slices.Clone(j.Reels)
	for _, i := range order {
		end := 0
		for _, r := range best.Rows {
			for _, c := range r.Pieces {
				if c.Reel == i {
					end = max(end, c.To)
				}
			}
		}
		if end == 0 {
			continue
		}
		// The tail cut off must be worth keeping by itself.
		try := func(units int) *cut.Plan {
			if units < 1 || full[i]-units < j.Keep {
				return nil
			}
			k := j
			k.Reels = slices.Clone(reels)
			k.Reels[i].Units = units
			k.Reels[i].Joints = before(reels[i].Joints, units)
			got, err := cut.Solve(k)
			if err != nil || !got.Feasible || got.Cost > p.Cost+1e-9 {
				return nil
			}
			return got
		}
		lo, hi := 1, full[i] // the least length that will do lies in (lo, hi]
		for lo < hi {
			mid := (lo + hi) / 2
			if got := try(mid); got != nil {
				best, hi = got, mid
			} else if full[i]-mid < j.Keep {
				hi = mid
			} else {
				lo = mid + 1
			}
		}
		if got := try(hi); got != nil {
			best = got
			reels[i].Units, reels[i].Joints = hi, before(reels[i].Joints, hi)
		}
	}
	return restore(best, p, full, reels, j.Keep)
}

func before(joints []int, units int) []int {
	var out []int
	for _, j := range joints {
		if j < units {
			out = append(out, j)
		}
	}
	return out
}

// restore gives a plan from shortened reels its tails back, and the proof of
// the plan from the whole ones, which costs the same.
func restore(got, proved *cut.Plan, full []int, short []cut.Reel, keep int) *cut.Plan {
	out := *got
	out.Cost, out.Bound, out.Proven, out.LeastReels, out.Explored = proved.Cost, proved.Bound, proved.Proven, proved.LeastReels, proved.Explored
	used := map[int]bool{}
	for _, r := range out.Rows {
		for _, c := range r.Pieces {
			used[c.Reel] = true
		}
	}
	out.Leftovers = slices.Clone(got.Leftovers)
	for i := range full {
		if !used[i] || full[i] == short[i].Units {
			continue
		}
		k := slices.IndexFunc(out.Leftovers, func(b cut.Leftover) bool { return b.Reel == i && b.To == short[i].Units })
		if k < 0 {
			out.Leftovers = append(out.Leftovers, cut.Leftover{Piece: cut.Piece{Reel: i, From: short[i].Units}, Batch: short[i].Batch})
			k = len(out.Leftovers) - 1
		}
		out.Leftovers[k].To, out.Leftovers[k].Kept = full[i], true
	}
	out.Kept, out.Scrap, out.Opened = 0, 0, len(used)
	for _, b := range out.Leftovers {
		if b.To-b.From >= keep {
			out.Kept += b.To - b.From
		} else {
			out.Scrap += b.To - b.From
		}
	}
	return &out
}
