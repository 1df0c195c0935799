// Package cut plans how reels of strip become the rows of one or several
// trays: which piece from where, joints and splices, what is left over, at the
// least cost, proven; and which numbers of rows and units a tray takes.
//
// Lengths are in cut units of the strip, the smallest length it may be cut to,
// except where a comment says metres.
package cut

import (
	"errors"
	"fmt"
)

// Reel is a length of strip in stock: a new reel or a remnant.
type Reel struct {
	Name     string
	Units    int
	Joints   []int   // a factory joint lies between unit j-1 and unit j
	Batch    string  // colour batch
	OpenCost float64 // cost of taking anything from it; 0 for a remnant already open
}

// Tray is the rows of one lamp.
type Tray struct {
	Rows []int // units of each row
}

// Costs weigh one plan against another, in any one currency.
type Costs struct {
	Splice float64 // each piece of a row beyond the first
	Joint  float64 // each factory joint inside a piece
	Scrap  float64 // each unit in a leftover too short to keep
}

// Job is what is to be cut from what.
type Job struct {
	Trays []Tray
	Reels []Reel
	// A row is one piece, or up to MaxPieces (0 means 1) of at least MinPiece
	// units each.
	MaxPieces, MinPiece int
	JointsAllowed       bool // factory joints inside a piece
	Keep                int  // leftovers of this many units and more are kept for the next lamp
	OneBatch            bool // every tray from reels of one batch
	Costs
}

// Piece is the units From to To-1 of a reel.
type Piece struct {
	Reel     int
	From, To int
}

// Row is one row of a plan.
type Row struct {
	Tray, Row int
	Units     int
	Pieces    []Piece
}

// Leftover is a run of an opened reel that no row uses.
type Leftover struct {
	Piece
	Batch string
	Kept  bool
}

// Plan is how to cut.
type Plan struct {
	Feasible bool
	Why      string // when not feasible: what is missing

	Cost      float64
	Opened    int // reels that give at least one piece
	Splices   int
	Joints    int // factory joints inside pieces
	Scrap     int // units in leftovers too short to keep
	Kept      int // units in leftovers kept
	Rows      []Row
	Leftovers []Leftover

	// Bound is a lower bound of the cost from a simpler problem (only the
	// total of units must be met), Proven whether no cheaper plan exists.
	Bound    float64
	Proven   bool
	Explored int // states looked at

	// LeastReels is the plain bound: units needed over the most units of rows
	// that fit the longest reel.
	LeastReels int
}

// Validate refuses jobs with nonsense in them, field by field.
func (j *Job) Validate() error {
	var errs []error
	need := func(ok bool, format string, args ...any) {
		if !ok {
			errs = append(errs, fmt.Errorf(format, args...))
		}
	}
	rows, units := 0, 0
	for t, tray := range j.Trays {
		for i, u := range tray.Rows {
			need(u >= 1 && u <= 2000, "cut: row %d of tray %d has %d units; allowed: 1 to 2000", i+1, t+1, u)
			rows++
			units += u
		}
	}
	need(rows >= 1 && rows <= 500, "cut: %d rows; allowed: 1 to 500", rows)
	need(len(j.Trays) <= 12 || !j.OneBatch, "cut: %d trays of one batch each; allowed: 12 at a time", len(j.Trays))
	need(units <= 20000, "cut: %d units in all rows; allowed: 20000", units)
	need(len(j.Reels) <= 200, "cut: %d reels; allowed: up to 200", len(j.Reels))
	for r, reel := range j.Reels {
		need(reel.Units >= 1 && reel.Units <= 5000, "cut: reel %d has %d units; allowed: 1 to 5000", r+1, reel.Units)
		need(reel.OpenCost >= 0 && reel.OpenCost < 1e9, "cut: reel %d costs %g to open; allowed: 0 to 1e9", r+1, reel.OpenCost)
		for k, at := range reel.Joints {
			need(at > 0 && at < reel.Units && (k == 0 || at > reel.Joints[k-1]), "cut: reel %d has a joint at %d; allowed: rising positions between 1 and %d", r+1, at, reel.Units-1)
		}
	}
	need(j.MaxPieces >= 0 && j.MaxPieces <= 6, "cut: up to %d pieces a row; allowed: 0 (means 1) to 6", j.MaxPieces)
	need(j.MinPiece >= 0 && j.MinPiece <= 2000, "cut: shortest piece is %d units; allowed: 0 to 2000", j.MinPiece)
	need(j.Keep >= 0 && j.Keep <= 5000, "cut: leftovers kept from %d units; allowed: 0 to 5000", j.Keep)
	for _, c := range []float64{j.Costs.Splice, j.Costs.Joint, j.Costs.Scrap} {
		need(c >= 0 && c < 1e9, "cut: a cost is %g; allowed: 0 to 1e9", c)
	}
	return errors.Join(errs...)
}

// Solve finds a plan of least cost:
//
//	Σ open cost of reels that give a piece + Splice·(pieces - rows)
//	+ Joint·(joints strictly inside pieces) + Scrap·(units in leftovers
//	shorter than Keep, in opened reels)
//
// Among plans of equal cost the one with fewer reels, then fewer splices, then
// fewer joints, then fewer separate leftovers. An impossible job is a plan
// that is not Feasible and says why; an error means the job itself is wrong.
//
// Method: every plan is a path along the reels from left to right, a state
// being the place and what is still to be cut; best-first search (Hart,
// Nilsson & Raphael, IEEE Trans. SSC 4 (1968) 100) with a lower bound from the
// dynamic programme in which only the total of units counts. The first plan it
// completes is a cheapest one; that is the proof. Trays of one batch each are
// shared out over the batches by a dynamic programme over sets of trays.
//
// Not modelled: the time it takes, and that a cut on a factory joint leaves
// short pads (see Findings).
func Solve(j Job) (*Plan, error) {
	if err := j.Validate(); err != nil {
		return nil, err
	}
	if j.MaxPieces == 0 {
		j.MaxPieces = 1
	}
	j.MinPiece = max(j.MinPiece, 1)
	if j.OneBatch {
		return solveBatches(&j), nil
	}
	var rows []rowRef
	for t, tray := range j.Trays {
		for i, u := range tray.Rows {
			rows = append(rows, rowRef{t, i, u})
		}
	}
	all := make([]int, len(j.Reels))
	for r := range all {
		all[r] = r
	}
	p := newProblem(&j, all, rows).solve()
	j.finish(p)
	return p, nil
}

// rowRef is one row to be cut.
type rowRef struct{ tray, row, units int }

// finish counts what a plan does from its pieces alone, so that its numbers
// are those of the plan and not of the search.
func (j *Job) finish(p *Plan) {
	p.LeastReels = j.leastReels()
	if !p.Feasible {
		return
	}
	used := make([][]Piece, len(j.Reels))
	p.Splices, p.Joints, p.Scrap, p.Kept, p.Opened, p.Cost = 0, 0, 0, 0, 0, 0
	for _, row := range p.Rows {
		p.Splices += len(row.Pieces) - 1
		for _, pc := range row.Pieces {
			used[pc.Reel] = append(used[pc.Reel], pc)
			p.Joints += j.Reels[pc.Reel].inside(pc.From, pc.To)
		}
	}
	for r, pieces := range used {
		if len(pieces) == 0 {
			continue
		}
		p.Opened++
		p.Cost += j.Reels[r].OpenCost
		sortPieces(pieces)
		at := 0
		leave := func(to int) {
			if to == at {
				return
			}
			l := Leftover{Piece{r, at, to}, j.Reels[r].Batch, to-at >= j.Keep}
			if l.Kept {
				p.Kept += to - at
			} else {
				p.Scrap += to - at
			}
			p.Leftovers = append(p.Leftovers, l)
		}
		for _, pc := range pieces {
			leave(pc.From)
			at = pc.To
		}
		leave(j.Reels[r].Units)
	}
	p.Cost += j.Costs.Splice*float64(p.Splices) + j.Costs.Joint*float64(p.Joints) + j.Costs.Scrap*float64(p.Scrap)
}

// inside counts the factory joints strictly inside [from, to).
func (r *Reel) inside(from, to int) int {
	n := 0
	for _, at := range r.Joints {
		if at > from && at < to {
			n++
		}
	}
	return n
}

func sortPieces(ps []Piece) {
	for i := 1; i < len(ps); i++ {
		for k := i; k > 0 && ps[k].From < ps[k-1].From; k-- {
			ps[k], ps[k-1] = ps[k-1], ps[k]
		}
	}
}

// leastReels is how many of the longest reel the units need at least.
func (j *Job) leastReels() int {
	need, longest := 0, 0
	for _, t := range j.Trays {
		for _, u := range t.Rows {
			need += u
		}
	}
	for _, r := range j.Reels {
		longest = max(longest, r.Units)
	}
	if longest == 0 {
		return 0
	}
	return (need + longest - 1) / longest
}
