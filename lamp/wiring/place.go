package wiring

import (
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
)

// Wire is one piece of wire on the cut list.
type Wire struct {
	Code      string // "B1", "L+", "K1": buses, leads, links, cross wires
	Name      string // what it is, in words
	Role      lamp.WireRole
	Conductor int
	Part      part.Wire
	Length    float64 // m
	Count     int     // of equal pieces
	Strip     string  // how its ends are bared
}

// place lays out buses, links and runs from the lamp's pieces of wire.
func (p *Plan) place(l lamp.Lamp) {
	nBus, nCross := 0, 0
	for _, w := range l.Wires() {
		c := p.Conductors[w.Conductor]
		switch w.Role {
		case lamp.BusWire:
			nBus++
			p.bus(l, w, fmt.Sprintf("B%d", nBus))
		case lamp.LinkWire:
			p.link(l, w, fmt.Sprintf("K%d", w.Conductor+1))
		case lamp.LeadWire:
			code := "L" + c.Mark
			p.Wires = append(p.Wires, Wire{Code: code, Name: c.Name + " conductor of the lead", Role: w.Role, Conductor: w.Conductor, Part: l.Lead, Length: w.Length, Count: 1, Strip: "6 mm at both ends"})
			p.run(l, w, code)
		case lamp.CrossWire:
			nCross++
			code := fmt.Sprintf("X%d", nCross)
			p.Wires = append(p.Wires, Wire{Code: code, Name: fmt.Sprintf("cross wire, %s, from the entry to the far end", c.Name), Role: w.Role, Conductor: w.Conductor, Part: l.Lead, Length: w.Length, Count: 1, Strip: "6 mm at both ends"})
			p.run(l, w, code)
		}
	}
}

// place of a conductor's bus among those at its end, 0 nearest the strips.
func order(l lamp.Lamp, conductor int, end lamp.End) int {
	if end == lamp.FarEnd && l.Feed != "both-ends" && l.Feed != "serpentine" {
		return conductor - 1
	}
	return conductor
}

func (p *Plan) bus(l lamp.Lamp, w lamp.WirePiece, code string) {
	b := Bus{Code: code, Conductor: w.Conductor, End: w.End, X: l.BusAt(w.End, order(l, w.Conductor, w.End)),
		LeadIn: w.LeadIn, FeedRow: l.FeedRow(w.Conductor), Length: w.Length}
	at := lamp.BusTail
	if w.LeadIn {
		at = lamp.WireWork + l.RowAt(0) + l.PadOffset(w.Conductor)
	}
	for i := range p.Rows {
		if l.HasPad(i, w.Conductor) {
			pad := p.pad(i, w.Conductor, w.End)
			pad.Used = true
			b.Windows = append(b.Windows, Window{Row: i, Centre: at, Length: windowLength(l), At: pad.At})
		} else if len(b.Windows) == 0 && !w.LeadIn {
			continue // it starts at its first row
		}
		at += l.RowGap(i) + l.GapSlack()
	}
	p.Buses = append(p.Buses, b)
	c := p.Conductors[w.Conductor]
	ends := "by its ruler"
	if w.LeadIn {
		ends += ", 6 mm at the start"
	}
	p.Wires = append(p.Wires, Wire{Code: code, Name: fmt.Sprintf("%s bus, %s", c.Name, w.End), Role: w.Role, Conductor: w.Conductor, Part: l.Bus, Length: w.Length, Count: 1, Strip: ends})
}

func (p *Plan) link(l lamp.Lamp, w lamp.WirePiece, code string) {
	a, b := p.pad(w.Row, w.Conductor, w.End), p.pad(w.Row+1, w.Conductor, w.End)
	a.Used, b.Used = true, true
	// Links of one length share a code; another length gets a letter more.
	base := code
	for letter := 'a'; ; letter++ {
		same := false
		for i := range p.Wires {
			if p.Wires[i].Code != code {
				continue
			}
			if math.Abs(p.Wires[i].Length-w.Length) < 5e-5 {
				p.Wires[i].Count++
				p.Links = append(p.Links, Link{Code: code, Conductor: w.Conductor, End: w.End, From: w.Row, A: a.At, B: b.At, Length: w.Length})
				return
			}
			same = true
		}
		if !same {
			break
		}
		code = base + string(letter)
	}
	p.Links = append(p.Links, Link{Code: code, Conductor: w.Conductor, End: w.End, From: w.Row, A: a.At, B: b.At, Length: w.Length})
	p.Wires = append(p.Wires, Wire{Code: code, Name: fmt.Sprintf("%s link between neighbouring rows", p.Conductors[w.Conductor].Name),
		Role: w.Role, Conductor: w.Conductor, Part: l.Bus, Length: w.Length, Count: 1, Strip: "5 mm at both ends"})
}

// run draws the way of a lead's or cross wire's conductor inside the tray: from
// the entry along the wall beside row 1, and along the outer side of the buses.
func (p *Plan) run(l lamp.Lamp, w lamp.WirePiece, code string) {
	_, y := l.EntryAt()
	c := w.Conductor
	x := l.BusAt(lamp.WiredEnd, c) // side by side through the hole
	r := Run{Code: code, Conductor: c, Length: w.Inside}
	if w.Role == lamp.CrossWire {
		r.Length = w.Length
	}
	feed, name := l.FeedRow(c), p.Conductors[c].Name
	padY := p.Rows[feed].Y + l.PadOffset(c)
	end := lamp.WiredEnd
	if _, near := p.BusOf(c, lamp.WiredEnd); w.Role == lamp.CrossWire || !near && len(p.Buses) > 0 {
		end = lamp.FarEnd
	}
	bx := l.BusAt(end, order(l, c, end))
	// Where runs lie: side by side along the wall, and outside every bus.
	wall := 0.0015 + 0.0025*float64(c)
	outer := l.BusAt(lamp.WiredEnd, len(p.Conductors)-1+c)
	if end == lamp.FarEnd {
		outer = l.BusAt(end, order(l, len(p.Conductors)-1, end)+c)
	}
	// They are insulated: where the margin is narrow they lie against the wall
	// and against each other.
	beside := l.BusDiameter() * (0.5 + float64(len(p.Conductors)-1-c))
	if end == lamp.FarEnd {
		outer = math.Min(outer, l.RunLength()-beside)
	} else {
		outer = math.Max(outer, beside)
	}
	switch {
	case w.Role == lamp.CrossWire:
		r.Path = []Point{{x, 0}, {x, wall}, {bx, wall}, {bx, 0}}
		r.To = "start of the " + name + " bus at the far end"
	case l.Feed == "serpentine":
		pad := p.pad(0, c, lamp.WiredEnd)
		pad.Used = true
		r.Path = []Point{{x, 0}, {x, pad.At.Y}, pad.At}
		r.To = name + " pad of row 1, wired end"
	case l.Feed == "middle-row":
		r.Path = []Point{{0, y}, {0, padY}, {bx, padY}}
		r.To = fmt.Sprintf("%s bus at %s", name, RowName(feed))
	case w.Inside == 0:
		r.Path = []Point{{x, 0}, {bx, 0}}
		r.To = "start of the " + name + " bus"
	case l.Feed == "reverse-return":
		r.Path = []Point{{x, 0}, {x, wall}, {outer, wall}, {outer, padY}, {bx, padY}}
		r.To = fmt.Sprintf("%s bus at %s, the last", name, RowName(feed))
	case l.Feed == "opposite-ends":
		r.Path = []Point{{x, 0}, {x, wall}, {bx, wall}, {bx, 0}}
		r.To = "start of the " + name + " bus at the far end"
	default: // opposite-ends-reverse
		r.Path = []Point{{x, 0}, {x, wall}, {outer, wall}, {outer, padY}, {bx, padY}}
		r.To = fmt.Sprintf("%s bus at %s, the last, at the far end", name, RowName(feed))
	}
	p.Runs = append(p.Runs, r)
}

func entry(l lamp.Lamp) Entry {
	x, y := l.EntryAt()
	e := Entry{At: Point{x, y}, Wall: "the wall beside row 1, at the rows' wired end"}
	if x == 0 {
		e.Wall = fmt.Sprintf("the end wall at the rows' wired end, beside %s", RowName(l.FeedRow(0)))
	}
	d := l.Lead.Diameter
	if d == 0 {
		d = l.BusDiameter()
	}
	// Two round wires fill a circle of 2 d, three one of 2.15 d; 2 mm for the
	// grommet's wall and play, up to the next whole millimetre.
	bundle := 2.0
	if len(l.Strip.Channels) > 1 {
		bundle = 2.155
	}
	e.Hole = math.Ceil((bundle*d+0.002)*1000-1e-9) / 1000
	return e
}
