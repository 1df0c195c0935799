package wiring

import (
	"math"

	"dawnsmith/lamp"
)

// Piece is the length of strip of one row, cut from a reel.
type Piece struct {
	Row      int // from 0
	Reel     int // from 0
	From, To int // cut units from the reel's start: [From, To)
	// Joints are the factory joints inside, as the units they lie before,
	// counted from the piece's start.
	Joints []int
}

// Reel is one reel with what is cut from it.
type Reel struct {
	Units  int // on the reel
	Pieces []Piece
	// Rest is what stays on the reel, in units; RestLength the same in m.
	Rest       int
	RestLength float64
	// Every is the distance between factory joints in units; 0: none.
	Every int
}

// jointEvery is the distance between factory joints in cut units; 0: none.
func jointEvery(l lamp.Lamp) int {
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
func inOrder(l lamp.Lamp) []Piece {
	var out []Piece
	every, full := jointEvery(l), l.Strip.UnitsPerReel()
	reel, pos := 0, 0
	for i := range l.Spec.Rows {
		if pos > 0 && pos+l.Spec.Units > full {
			reel, pos = reel+1, 0
		}
		p := Piece{Row: i, Reel: reel, From: pos, To: pos + l.Spec.Units}
		for k := 1; every > 0 && k < l.Spec.Units; k++ {
			if (pos+k)%every == 0 {
				p.Joints = append(p.Joints, k)
			}
		}
		out = append(out, p)
		pos = p.To
	}
	return out
}

// CutsOnJoint counts the cuts that fall on a factory joint: there the two
// layers are unsoldered instead, or the cut is moved by one unit.
func (r Reel) CutsOnJoint() int {
	n := 0
	for _, p := range r.Pieces {
		if r.Every > 0 && p.To < r.Units && p.To%r.Every == 0 {
			n++
		}
	}
	return n
}

func reels(l lamp.Lamp, rows []Row) []Reel {
	var out []Reel
	for _, r := range rows {
		for len(out) <= r.Piece.Reel {
			out = append(out, Reel{Units: l.Strip.UnitsPerReel(), Every: jointEvery(l)})
		}
		out[r.Piece.Reel].Pieces = append(out[r.Piece.Reel].Pieces, r.Piece)
	}
	for i := range out {
		used := 0
		for _, p := range out[i].Pieces {
			used += p.To - p.From
		}
		out[i].Rest = max(0, out[i].Units-used)
		out[i].RestLength = float64(out[i].Rest) * l.Strip.Cut
	}
	return out
}
