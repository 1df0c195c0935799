package wiring

import (
	"fmt"

	"dawnsmith/lamp"
)

// Joint is one solder joint.
type Joint struct {
	Number    int // from 1, in the order of soldering
	Conductor int
	Row       int    // of a tap or link, else −1
	At        Point  // where it lies; joints outside the tray are at the entry
	What      string // "B1 to the plus pad of row 3"
	Inside    bool   // in the tray
}

// joints lists every solder joint: splices first, then buses and links, cross
// wires, and the lead from the tray outwards.
func (p *Plan) joints(l lamp.Lamp) {
	add := func(c, row int, at Point, inside bool, format string, args ...any) {
		p.Joints = append(p.Joints, Joint{Number: len(p.Joints) + 1, Conductor: c, Row: row, At: at, Inside: inside, What: fmt.Sprintf(format, args...)})
	}
	p.splices(l, func(c, row int, at Point, format string, args ...any) { add(c, row, at, true, format, args...) })
	for _, b := range p.Buses {
		for _, w := range b.Windows {
			add(b.Conductor, w.Row, w.At, true, "%s to the %s pad of %s", b.Code, p.Conductors[b.Conductor].Name, RowName(w.Row))
		}
	}
	for _, k := range p.Links {
		add(k.Conductor, k.From, k.A, true, "%s to the %s pad of %s", k.Code, p.Conductors[k.Conductor].Name, RowName(k.From))
		add(k.Conductor, k.From+1, k.B, true, "%s to the %s pad of %s", k.Code, p.Conductors[k.Conductor].Name, RowName(k.From+1))
	}
	for _, r := range p.Runs {
		if r.Code[0] == 'X' {
			add(r.Conductor, -1, r.Path[0], true, "%s to the end of L%s at the entry", r.Code, p.Conductors[r.Conductor].Mark)
			add(r.Conductor, -1, r.Path[len(r.Path)-1], true, "%s to the %s", r.Code, r.To)
		}
	}
	for _, r := range p.Runs {
		if r.Code[0] == 'L' {
			add(r.Conductor, -1, r.Path[len(r.Path)-1], true, "%s to the %s", r.Code, r.To)
		}
	}
	x, y := l.EntryAt()
	out := Point{x, y}
	if l.Fuse != nil {
		add(0, -1, out, false, "L+ to the fuse holder, lamp side")
		add(0, -1, out, false, "L+ to the fuse holder, supply side")
	}
	for c := range p.Conductors {
		add(c, -1, out, false, "L%s to the %s pole of the connector", p.Conductors[c].Mark, p.Conductors[c].Name)
	}
}

// Patch is a piece of insulating tape on the tray's floor.
type Patch struct {
	At            Point   // corner nearest the origin
	Width, Height float64 // along X and Y, m
	Why           string
}

// Tape widths and margins, m: common practice, no source.
const (
	tapeWidth = 0.010 // of the usual roll
	tapeOver  = 0.005 // beyond the strip's end on either side of the cut line
)

// tape lists what to insulate before the rows are laid: under both ends of
// every row, under every splice, and under every bus.
func (p *Plan) tape(l lamp.Lamp) []Patch {
	var out []Patch
	for _, r := range p.Rows {
		for _, x := range []float64{r.X0, r.X1} {
			out = append(out, Patch{At: Point{x - tapeOver, max(0, r.Y-l.Strip.Width/2-0.002)}, Width: 2 * tapeOver, Height: l.Strip.Width + 0.004,
				Why: "under the cut end of a row: its copper reaches the edge"})
		}
		for k := range len(r.Pieces) - 1 {
			out = append(out, Patch{At: Point{r.spliceAt(k, l.Strip.Cut) - tapeOver, max(0, r.Y-l.Strip.Width/2-0.002)}, Width: 2 * tapeOver, Height: l.Strip.Width + 0.004,
				Why: "under a splice: both cut ends are bare"})
		}
	}
	for _, end := range []lamp.End{lamp.WiredEnd, lamp.FarEnd} {
		lo, hi := 0.0, 0.0
		n := 0
		for _, b := range p.Buses {
			if b.End == end {
				if n == 0 {
					lo, hi = b.X, b.X
				}
				lo, hi = min(lo, b.X), max(hi, b.X)
				n++
			}
		}
		if n == 0 {
			continue
		}
		half := l.BusDiameter()/2 + 0.001
		last := p.Rows[len(p.Rows)-1]
		out = append(out, Patch{At: Point{max(0, lo-half), 0}, Width: hi - lo + 2*half, Height: min(l.Across(), last.Y+l.Strip.Width/2+lamp.BusTail),
			Why: "under the bus wires"})
	}
	return out
}

// TapeLength is how much tape of 10 mm the patches take, m.
func (p *Plan) TapeLength() float64 {
	t := 0.0
	for _, k := range p.Tape {
		long, short := max(k.Width, k.Height), min(k.Width, k.Height)
		widths := 1.0
		for widths*tapeWidth < short-1e-9 {
			widths++
		}
		t += widths * long
	}
	return t
}
