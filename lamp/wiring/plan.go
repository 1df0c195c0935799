package wiring

import (
	"fmt"
	"slices"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
)

// Options are what a plan may be told besides the lamp.
type Options struct {
	// RowCurrent is the warm current of each row with every channel full on,
	// A, as a prediction gives it; nil: not known.
	RowCurrent []float64
	// Reels is a cutting plan whose pieces make up every row; nil, or a plan
	// that does not: the rows are cut one after the other from the start of
	// new reels.
	Reels []Reel
}

// Plan is the wiring of one lamp.
type Plan struct {
	Scheme     circuit.Scheme
	Conductors []Conductor
	Rows       []Row
	Buses      []Bus
	Links      []Link   // of a serpentine
	Runs       []Run    // lead and cross wires inside the tray
	Entry      Entry    // the hole for the lead
	Inline     []Device // from the supply to the tray
	Wires      []Wire   // every piece to cut
	Joints     []Joint  // every solder joint, in the order of soldering
	Tape       []Patch  // insulation on the tray's floor
	Reels      []Reel   // how the rows are cut
	Tasks      []Task   // in working order
	Findings   []finding.Finding
}

// Conductor is plus, or the minus of one channel.
type Conductor struct {
	Key  string // "plus", "minus", "minus-warm"
	Name string // "plus", "minus", "minus warm"
	Mark string // "+", "−", "−warm": as on the drawings
	Plus bool
}

// Point is a place in the tray: X from the wired end's wall, Y from the wall
// beside the first row, m.
type Point struct{ X, Y float64 }

// Row is one strip in the tray.
type Row struct {
	Y      float64 // centre line, m
	X0, X1 float64 // ends, m
	Units  int
	Pads   []Pad
	// Pieces make up the row, from the wired end on; mostly one.
	Pieces []Piece
	// Current is the warm current with every channel full on, A; 0: not known.
	Current float64
}

// Pad is one solder pad at a row's end.
type Pad struct {
	Row, Conductor int
	End            lamp.End
	At             Point
	// Used says that a wire is soldered to it; the others are insulated.
	Used bool
}

// Bus is one wire that joins a pad of every row.
type Bus struct {
	Code      string // as in the cut list: "B1"
	Conductor int
	End       lamp.End
	X         float64 // where it lies, m
	// LeadIn says that it starts at the wall beside the first row.
	LeadIn  bool
	FeedRow int // the row at which it is fed
	Windows []Window
	Length  float64 // m
}

// Window is a bared place of a bus wire.
type Window struct {
	Row    int
	Centre float64 // from the wire's start, m
	Length float64 // bared, m
	At     Point   // the pad it is soldered to
}

// Link is a wire between the same pads of two neighbouring rows.
type Link struct {
	Code      string
	Conductor int
	End       lamp.End
	From      int // row
	A, B      Point
	Length    float64 // m
}

// Run is a wire that goes on inside the tray from the entry to a bus or pad.
type Run struct {
	Code      string
	Conductor int
	Path      []Point
	To        string  // what it ends at, in words
	Length    float64 // inside, m
}

// Entry is where the lead enters the tray.
type Entry struct {
	At   Point
	Wall string  // which wall, in words
	Hole float64 // diameter for a grommet around all conductors, m
}

// Of plans the wiring of a lamp. It never fails: what cannot be wired as asked
// is in the plan's findings, and a lamp with a stop among them is not to be
// built from the rest of the plan.
func Of(l lamp.Lamp, o Options) Plan {
	var p Plan
	known := p.Scheme.UnmarshalText([]byte(l.Feed)) == nil
	p.Conductors = conductors(l)
	p.rows(l, o)
	p.cut(l, slices.Clone(o.Reels))
	p.place(l)
	p.spliceWires(l)
	p.Entry = entry(l)
	p.Inline = inline(l)
	p.joints(l)
	p.Tape = p.tape(l)
	p.Tasks = p.tasks(l)
	p.Findings = p.review(l, known)
	return p
}

func conductors(l lamp.Lamp) []Conductor {
	out := []Conductor{{Key: "plus", Name: "plus", Mark: "+", Plus: true}}
	if len(l.Strip.Channels) == 1 {
		return append(out, Conductor{Key: "minus", Name: "minus", Mark: "−"})
	}
	for _, c := range l.Strip.Channels {
		out = append(out, Conductor{Key: "minus-" + c.Name, Name: "minus " + c.Name, Mark: "−" + c.Name})
	}
	return out
}

// Window lengths: as long as 5 mm, shorter where the next pad is near, but
// never under 2.5 mm. Common practice, no source.
const (
	longestWindow  = 0.005
	shortestWindow = 0.0025
	padGap         = 0.0005 // between a window and the middle of the next pad, beyond half the spacing
)

// padSpacing is between the middles of neighbouring pads of a strip, m.
func padSpacing(l lamp.Lamp) float64 { return l.PadOffset(1) - l.PadOffset(0) }

func windowLength(l lamp.Lamp) float64 {
	return max(shortestWindow, min(longestWindow, padSpacing(l)-padGap))
}

func (p *Plan) rows(l lamp.Lamp, o Options) {
	for i := range l.Spec.Rows {
		r := Row{Y: l.RowAt(i), X0: l.RowX(i), Units: l.Spec.Units}
		r.X1 = r.X0 + l.RowLength()
		if i < len(o.RowCurrent) {
			r.Current = o.RowCurrent[i]
		}
		for _, end := range []lamp.End{lamp.WiredEnd, lamp.FarEnd} {
			x := r.X0 + padInset
			if end == lamp.FarEnd {
				x = r.X1 - padInset
			}
			for c := range p.Conductors {
				if !l.HasPad(i, c) {
					continue
				}
				r.Pads = append(r.Pads, Pad{Row: i, Conductor: c, End: end, At: Point{x, r.Y + l.PadOffset(c)}})
			}
		}
		p.Rows = append(p.Rows, r)
	}
}

// padInset is from the cut line to the middle of a pad, m (common practice).
const padInset = 0.0015

// pad finds a row's pad; the row must have one of the conductor.
func (p *Plan) pad(row, conductor int, end lamp.End) *Pad {
	pads := p.Rows[row].Pads
	i := slices.IndexFunc(pads, func(k Pad) bool { return k.Conductor == conductor && k.End == end })
	return &pads[i]
}

// BusOf finds the bus of a conductor at an end.
func (p *Plan) BusOf(conductor int, end lamp.End) (Bus, bool) {
	for _, b := range p.Buses {
		if b.Conductor == conductor && b.End == end {
			return b, true
		}
	}
	return Bus{}, false
}

// Minutes is the time for all tasks, min.
func (p Plan) Minutes() float64 {
	t := 0.0
	for _, k := range p.Tasks {
		t += k.Minutes
	}
	return t
}

// RowName names row i as on the drawings: "row 1" is nearest the entry.
func RowName(i int) string { return fmt.Sprintf("row %d", i+1) }
