package wiring

import (
	"fmt"
	"math"

	"dawnsmith/lamp"
)

// Piece is a length of strip for one row, cut from a reel.
type Piece struct {
	Row      int // from 0
	Reel     int // from 0
	From, To int // cut units from the reel's start: [From, To)
	// Joints are the factory joints inside, as the units they lie before,
	// counted from the piece's start.
	Joints []int
}

// Reel is one reel, or a leftover of one, with what is cut from it.
type Reel struct {
	Name  string // as written on it: "reel 1", "rest of reel 3"
	Strip string // its id
	Batch string // "" when not known
	// New says that it has to be bought; else it is in stock.
	New   bool
	Units int
	// Joints are the factory joints, as the units they lie before.
	Joints []int
	// Known says that the joints lie where they were measured; else where the
	// plan supposes them.
	Known  bool
	Pieces []Piece
	// Rests are the runs that no row uses.
	Rests []Rest
	// Rest is what is left of it in all, in units; RestLength the same in m.
	Rest       int
	RestLength float64
}

// Rest is a run of a reel that no row uses.
type Rest struct {
	From, To int
	Kept     bool // long enough to serve again
}

// JointEvery is the distance between a strip's factory joints in cut units;
// 0: none.
func JointEvery(l lamp.Lamp) int {
	if l.Strip.Joint <= 0 {
		return 0
	}
	return int(math.Round(l.Strip.Joint / l.Strip.Cut))
}

// inOrder cuts the rows whole, one after the other, and opens the next reel
// when a row no longer fits. Factory joints are taken to lie at whole multiples
// of their distance from the reel's start.
//
// Not modelled: the first joint of a real reel may lie anywhere.
func inOrder(l lamp.Lamp) []Reel {
	var out []Reel
	for k, s := range l.Strips() {
		for _, r := range inOrderOf(l.Half(k)) {
			if r.Strip = s.ID; l.Interleaved() {
				r.Name += ", " + l.ChannelNames()[k]
			}
			for i := range r.Pieces {
				r.Pieces[i].Row = l.RowOfHalf(k, r.Pieces[i].Row)
				r.Pieces[i].Reel = len(out)
			}
			out = append(out, r)
		}
	}
	return out
}

// inOrderOf is inOrder for a lamp of one strip.
func inOrderOf(l lamp.Lamp) []Reel {
	every, full := JointEvery(l), l.Strip.UnitsPerReel()
	var out []Reel
	pos := 0
	for i := range l.Spec.Rows {
		if len(out) == 0 || pos > 0 && pos+l.Spec.Units > full {
			r := Reel{Name: fmt.Sprintf("reel %d", len(out)+1), New: true, Units: full}
			for j := every; every > 0 && j < full; j += every {
				r.Joints = append(r.Joints, j)
			}
			out, pos = append(out, r), 0
		}
		r := &out[len(out)-1]
		r.Pieces = append(r.Pieces, Piece{Row: i, Reel: len(out) - 1, From: pos, To: pos + l.Spec.Units})
		pos += l.Spec.Units
	}
	for i := range out {
		r := &out[i]
		if to := r.Pieces[len(r.Pieces)-1].To; to < r.Units {
			r.Rests = []Rest{{to, r.Units, true}}
		}
	}
	return out
}

// CutsOnJoint counts the cuts that fall on a factory joint: there the two
// layers are unsoldered instead, or the cut is moved by one unit.
func (r Reel) CutsOnJoint() int {
	at := map[int]bool{}
	for _, p := range r.Pieces {
		at[p.From], at[p.To] = true, true
	}
	n := 0
	for _, j := range r.Joints {
		if at[j] {
			n++
		}
	}
	return n
}

// covers reports whether the pieces make up every row, each to its units.
func covers(l lamp.Lamp, reels []Reel) bool {
	got := make([]int, l.Spec.Rows)
	for i, r := range reels {
		for _, p := range r.Pieces {
			if p.Row < 0 || p.Row >= len(got) || p.Reel != i || p.From < 0 || p.To <= p.From || p.To > max(r.Units, p.To-p.From) {
				return false
			}
			if r.Strip != "" && r.Strip != l.RowStrip(p.Row).ID {
				return false
			}
			got[p.Row] += p.To - p.From
		}
	}
	for _, n := range got {
		if n != l.Spec.Units {
			return false
		}
	}
	return true
}

// cut takes over a cutting plan, or makes the plain one, and hands every row
// its pieces.
func (p *Plan) cut(l lamp.Lamp, reels []Reel) {
	if !covers(l, reels) {
		reels = inOrder(l)
	}
	for i, r := range reels {
		r.Pieces = append([]Piece(nil), r.Pieces...)
		used := 0
		for k := range r.Pieces {
			c := &r.Pieces[k]
			used += c.To - c.From
			c.Joints = nil
			for _, j := range r.Joints {
				if j > c.From && j < c.To {
					c.Joints = append(c.Joints, j-c.From)
				}
			}
			p.Rows[c.Row].Pieces = append(p.Rows[c.Row].Pieces, *c)
		}
		r.Rest = max(0, r.Units-used)
		r.RestLength = float64(r.Rest) * l.Strip.Cut
		reels[i] = r
	}
	p.Reels = reels
}

// Splices counts the places where a row is joined from two pieces.
func (p *Plan) Splices() int {
	n := 0
	for _, r := range p.Rows {
		n += len(r.Pieces) - 1
	}
	return n
}

// SpliceJoints is how many solder joints a splice takes: its cut ends touch and
// a short wire bridges each rail, soldered at both ends.
func SpliceJoints(l lamp.Lamp) int { return 2 * l.Pads() }

// SpliceWire is the length of the wire that bridges one rail of a splice, m.
const SpliceWire = 0.015

// spliceAt is where piece k of a row ends and the next begins, m from the wired
// end's wall.
func (r Row) spliceAt(k int, cut float64) float64 {
	x := r.X0
	for _, c := range r.Pieces[:k+1] {
		x += float64(c.To-c.From) * cut
	}
	return x
}

// splices lists the wires and joints of the rows that are made of several
// pieces, before anything else is soldered.
func (p *Plan) splices(l lamp.Lamp, joint func(c, row int, at Point, format string, args ...any)) {
	for i, r := range p.Rows {
		for k := range len(r.Pieces) - 1 {
			x := r.spliceAt(k, l.Strip.Cut)
			for c := range p.Conductors {
				if !l.HasPad(i, c) {
					continue
				}
				at := Point{x, r.Y + l.PadOffset(c)}
				for _, side := range []string{"the side of the wired end", "the far side"} {
					joint(c, i, at, "S%d over splice %d of %s, %s rail, %s", c+1, k+1, RowName(i), p.Conductors[c].Name, side)
				}
			}
		}
	}
}

// spliceWires puts the bridges on the wire list.
func (p *Plan) spliceWires(l lamp.Lamp) {
	for c, k := range p.Conductors {
		n := 0
		for i, r := range p.Rows {
			if l.HasPad(i, c) {
				n += len(r.Pieces) - 1
			}
		}
		if n == 0 {
			continue
		}
		p.Wires = append(p.Wires, Wire{Code: fmt.Sprintf("S%d", c+1), Name: fmt.Sprintf("bridge over a splice, %s rail", k.Name), Role: lamp.LinkWire, Conductor: c,
			Part: l.Bus, Length: SpliceWire, Count: n, Strip: "4 mm at both ends"})
	}
}
