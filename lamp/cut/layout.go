package cut

import (
	"cmp"
	"fmt"
	"math"
	"slices"
)

// Floor is a tray's floor and what is wanted on it, for Layouts.
type Floor struct {
	Inner        [2]float64 // m, clear sides; rows may run along either
	WireMargin   [2]float64 // m, kept clear at the two ends of a row
	SideMargin   float64    // m, beside the outer rows
	StripWidth   float64    // m
	Gap          float64    // m, least between neighbouring strips
	Unit         float64    // m, one cut unit
	Target       int        // units wanted in all
	Tolerance    int        // units more or fewer that will do
	RowCost      float64    // of each row
	TargetCost   float64    // of each unit more or fewer than Target
	Reels        []Reel
	Keep         int     // see Job
	Joint, Scrap float64 // see Costs
}

// Layout is one way of filling the floor with equal rows.
type Layout struct {
	Along       float64 // m, the side along which the rows run
	Rows, Units int     // Units in each row
	CutCost     float64 // of the cheapest cuts, proven
	Cost        float64 // CutCost + rows + distance from the target
	Plan        *Plan
}

// Layouts lists every number of equal rows and of units in them that fits the
// floor and meets the target within its tolerance, cheapest first:
//
//	units ≤ ⌊(along − both wire margins)/unit⌋
//	rows ≤ ⌊(across − 2·side margin + gap)/(strip width + gap)⌋
//
// each cut at least cost from the reels, a piece a row. It is a full
// enumeration. The error names the field that makes no sense.
func Layouts(f Floor) ([]Layout, error) {
	for _, c := range []struct {
		field     string
		x, lo, hi float64
	}{
		{"inner sides", math.Min(f.Inner[0], f.Inner[1]), 0.02, 5}, {"inner sides", math.Max(f.Inner[0], f.Inner[1]), 0.02, 5},
		{"wire margins", math.Min(f.WireMargin[0], f.WireMargin[1]), 0, 1}, {"wire margins", math.Max(f.WireMargin[0], f.WireMargin[1]), 0, 1},
		{"side margin", f.SideMargin, 0, 1}, {"strip width", f.StripWidth, 0.001, 0.1}, {"gap", f.Gap, 0, 1}, {"unit", f.Unit, 0.002, 1},
		{"target units", float64(f.Target), 1, 5000}, {"tolerance", float64(f.Tolerance), 0, 5000}, {"cost of a row", f.RowCost, 0, 1e9}, {"cost of a unit off target", f.TargetCost, 0, 1e9},
	} {
		if !(c.x >= c.lo && c.x <= c.hi) {
			return nil, fmt.Errorf("%s: %v; allowed is %g to %g", c.field, c.x, c.lo, c.hi)
		}
	}
	var out []Layout
	for side, along := range f.Inner {
		across := f.Inner[1-side]
		if side == 1 && along == across {
			break // the same layouts again
		}
		most := floor((along - f.WireMargin[0] - f.WireMargin[1]) / f.Unit)
		rows := floor((across - 2*f.SideMargin + f.Gap) / (f.StripWidth + f.Gap))
		for n := 1; n <= rows; n++ {
			for u := 1; u <= most; u++ {
				off := n*u - f.Target
				if off < 0 {
					off = -off
				}
				if off > f.Tolerance {
					continue
				}
				p, err := Solve(Job{Trays: []Tray{{Rows: slices.Repeat([]int{u}, n)}}, Reels: f.Reels, MaxPieces: 1, MinPiece: 2,
					JointsAllowed: true, Keep: f.Keep, Costs: Costs{Joint: f.Joint, Scrap: f.Scrap}})
				if err != nil {
					return nil, err
				}
				if p.Feasible {
					out = append(out, Layout{along, n, u, p.Cost, p.Cost + f.RowCost*float64(n) + f.TargetCost*float64(off), p})
				}
			}
		}
	}
	slices.SortStableFunc(out, func(a, b Layout) int {
		return cmp.Or(cmp.Compare(a.Cost, b.Cost), cmp.Compare(a.Rows, b.Rows), cmp.Compare(b.Along, a.Along))
	})
	return out, nil
}

// floor forgives what is lost in the last digits of a division.
func floor(x float64) int { return int(math.Floor(x + 1e-9)) }
