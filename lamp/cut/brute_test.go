package cut

import (
	"math"
	"testing"

	"pgregory.net/rapid"
)

// brute tries every way of cutting. A state that was reached as cheaply before
// is not followed again, since what is left to cut costs the same: without
// splice and joint costs the order of equal pieces alone makes millions of ways.
func brute(j *Job) float64 {
	type need struct{ tray, units int }
	var rows []need
	for t, tray := range j.Trays {
		for _, u := range tray.Rows {
			rows = append(rows, need{t, u})
		}
	}
	used := make([][]bool, len(j.Reels))
	for r := range used {
		used[r] = make([]bool, j.Reels[r].Units)
	}
	best := math.Inf(1)
	batch := make([]string, len(j.Trays))
	type state struct {
		k, rest, left int
		first         bool
		used          [3]uint8 // bit by unit of a reel
		batch         [2]string
	}
	reached := map[state]float64{}
	var next func(k int, cost float64)
	// piece cuts the next piece of a row of which rest units are missing.
	var piece func(k, rest, left int, first bool, cost float64)
	piece = func(k, rest, left int, first bool, cost float64) {
		if rest == 0 {
			next(k+1, cost)
			return
		}
		if left == 0 {
			return
		}
		s := state{k: k, rest: rest, left: left, first: first}
		for r, units := range used {
			for x, taken := range units {
				if taken {
					s.used[r] |= 1 << x
				}
			}
		}
		copy(s.batch[:], batch)
		if c, ok := reached[s]; ok && c <= cost {
			return
		}
		reached[s] = cost
		for n := 1; n <= rest; n++ {
			if !(first && n == rest) && (n < j.MinPiece || n < rest && rest-n < j.MinPiece) {
				continue
			}
			for r := range j.Reels {
				t := rows[k].tray
				if j.OneBatch && batch[t] != "" && batch[t] != j.Reels[r].Batch {
					continue
				}
				for from := 0; from+n <= j.Reels[r].Units; from++ {
					free := true
					for x := from; x < from+n; x++ {
						free = free && !used[r][x]
					}
					in := j.Reels[r].inside(from, from+n)
					if !free || in > 0 && !j.JointsAllowed {
						continue
					}
					for x := from; x < from+n; x++ {
						used[r][x] = true
					}
					old := batch[t]
					batch[t] = j.Reels[r].Batch
					c := cost + j.Costs.Joint*float64(in)
					if !first {
						c += j.Costs.Splice
					}
					if c < best {
						piece(k, rest-n, left-1, false, c)
					}
					batch[t] = old
					for x := from; x < from+n; x++ {
						used[r][x] = false
					}
				}
			}
		}
	}
	next = func(k int, cost float64) {
		if k < len(rows) {
			piece(k, rows[k].units, max(j.MaxPieces, 1), true, cost)
			return
		}
		for r, u := range used {
			run, any, scrap := 0, false, 0
			for x := 0; x <= len(u); x++ {
				if x < len(u) && !u[x] {
					run++
					continue
				}
				if run < j.Keep {
					scrap += run
				}
				run = 0
				any = any || x < len(u)
			}
			if any {
				cost += j.Reels[r].OpenCost + j.Costs.Scrap*float64(scrap)
			}
		}
		best = min(best, cost)
	}
	next(0, 0)
	return best
}

// On small jobs the plan costs what the cheapest of all ways of cutting costs.
func TestAgainstBruteForce(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		j := Job{
			MaxPieces: rapid.IntRange(1, 3).Draw(t, "pieces"), MinPiece: rapid.IntRange(1, 2).Draw(t, "least"),
			JointsAllowed: rapid.Bool().Draw(t, "joints"), Keep: rapid.IntRange(0, 4).Draw(t, "keep"),
			OneBatch: rapid.Bool().Draw(t, "one batch"),
			Costs: Costs{
				Splice: float64(rapid.IntRange(0, 6).Draw(t, "splice")), Joint: float64(rapid.IntRange(0, 4).Draw(t, "joint")),
				Scrap: float64(rapid.IntRange(0, 2).Draw(t, "scrap")),
			},
		}
		for range rapid.IntRange(1, 3).Draw(t, "reels") {
			r := Reel{
				Units: rapid.IntRange(2, 7).Draw(t, "units"), Batch: rapid.SampledFrom([]string{"A", "B"}).Draw(t, "batch"),
				OpenCost: float64(rapid.IntRange(0, 10).Draw(t, "open")),
			}
			for at := rapid.IntRange(1, 4).Draw(t, "joint at"); at < r.Units; at += rapid.IntRange(1, 4).Draw(t, "next") {
				r.Joints = append(r.Joints, at)
			}
			j.Reels = append(j.Reels, r)
		}
		left := 3
		for range rapid.IntRange(1, 2).Draw(t, "trays") {
			var tray Tray
			for range rapid.IntRange(1, min(2, left)).Draw(t, "rows") {
				tray.Rows = append(tray.Rows, rapid.IntRange(1, 5).Draw(t, "row"))
				left--
			}
			j.Trays = append(j.Trays, tray)
			if left == 0 {
				break
			}
		}
		p, err := Solve(j)
		if err != nil {
			t.Fatal(err)
		}
		check(t, &j, p)
		want := brute(&j)
		if p.Feasible != !math.IsInf(want, 1) || p.Feasible && math.Abs(p.Cost-want) > 1e-9 || !p.Proven {
			t.Fatalf("%+v: cost %g (feasible %v), every way tried: %g", j, p.Cost, p.Feasible, want)
		}
	})
}
