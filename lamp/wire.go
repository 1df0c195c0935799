package lamp

import "math"

// Where wires lie. All from common practice, no source.
const (
	// BusSlack is added to each gap of a bus wire, m: 3 mm lets it bow over
	// to the pads and takes up expansion.
	BusSlack = 0.003
	// BusTail is left beyond the last bared window of a bus, m.
	BusTail = 0.005
	// WireWork is added where a wire meets the lead, m, so that the joint can
	// be made with room for both hands and laid back.
	WireWork = 0.030
)

// End is one end of the rows.
type End uint8

const (
	// WiredEnd is the end at which the lead enters.
	WiredEnd End = iota
	// FarEnd is the other one.
	FarEnd
)

// String gives "wired end" or "far end".
func (e End) String() string { return [...]string{"wired end", "far end"}[e] }

// WireRole says what a piece of wire is for.
type WireRole uint8

const (
	// BusWire joins one pad of every row.
	BusWire WireRole = iota
	// LinkWire joins the pads of two neighbouring rows of a serpentine.
	LinkWire
	// LeadWire is one conductor from the connector into the tray.
	LeadWire
	// CrossWire feeds the bus at the far end from the lead's end.
	CrossWire
)

// String gives bus, link, lead or cross.
func (r WireRole) String() string { return [...]string{"bus", "link", "lead", "cross"}[r] }

// WirePiece is one piece of wire to be cut.
type WirePiece struct {
	Role WireRole
	// Conductor is 0 for the plus and 1, 2 for the minus of each channel.
	Conductor int
	// End is where the bus or the link lies; Row is the row a link starts at.
	End End
	Row int
	// LeadIn says that a bus starts at the wall beside the first row, where
	// the lead comes in; else it has a tail at both its ends.
	LeadIn bool
	// Inside is the part of a lead that runs on inside the tray, m.
	Inside float64
	Length float64 // m, to be cut
}

// BusWires is the number of conductors: one plus and one minus for each
// channel.
func (l *Lamp) BusWires() int { return 1 + len(l.Strip.Channels) }

// PadOffset is how far the pad of a conductor lies from the middle of its
// strip, m, positive away from the entry: the pads share the strip's width
// evenly, the plus nearest the entry (measure your strip).
// Interleaved strips have two pads each, the minus of their own channel.
func (l *Lamp) PadOffset(conductor int) float64 {
	pads := l.Pads()
	return l.Strip.Width * ((float64(min(conductor, pads-1))+0.5)/float64(pads) - 0.5)
}

// Pads is the number of pads at a row's end: a plus and a minus for each of its
// channels.
func (l *Lamp) Pads() int { return 1 + len(l.RowChannels(0)) }

// HasPad reports that row i has a pad of a conductor: 0 is the plus, 1 and 2 the
// minus of each channel.
func (l *Lamp) HasPad(row, conductor int) bool {
	return conductor == 0 || l.HasChannel(row, conductor-1)
}

// PadRows counts the rows that have a pad of a conductor.
func (l *Lamp) PadRows(conductor int) int {
	if conductor == 0 {
		return l.Spec.Rows
	}
	return l.RowsOf(conductor - 1)
}

// BusDiameter is over the insulation of the bus wire, m: as stated, or the
// copper's with 0.5 mm of insulation around it.
func (l *Lamp) BusDiameter() float64 {
	if l.Bus.Diameter > 0 {
		return l.Bus.Diameter
	}
	return 1.15*math.Sqrt(4*l.Bus.Area/math.Pi) + 0.001
}

// BusAt is the place of the k-th bus (0 nearest the strips) at an end, m from
// the wired end's wall.
func (l *Lamp) BusAt(end End, k int) float64 {
	off := float64(k+1) * math.Max(0.003, l.BusDiameter()+0.0005)
	if end == FarEnd {
		return l.RowStart() + l.Stagger() + l.RowLength() + off
	}
	return l.RowStart() - off
}

// FeedRow is the row, from 0, at which the lead of a conductor ends.
func (l *Lamp) FeedRow(conductor int) int {
	first, last := l.padSpan(conductor)
	switch {
	case l.Feed == "middle-row":
		if m := l.Spec.Rows / 2; l.HasPad(m, conductor) {
			return m
		}
		return l.Spec.Rows/2 - 1
	case conductor > 0 && (l.Feed == "reverse-return" || l.Feed == "opposite-ends-reverse"):
		return last
	}
	return first
}

// padSpan are the first and the last row that have a pad of a conductor.
func (l *Lamp) padSpan(conductor int) (first, last int) {
	last = l.Spec.Rows - 1
	for !l.HasPad(first, conductor) {
		first++
	}
	for !l.HasPad(last, conductor) {
		last--
	}
	return first, last
}

// along is the length of a bus from row a to row b, with its slack, m.
func (l *Lamp) along(a, b int) float64 {
	return l.RowAt(b) - l.RowAt(a) + float64(b-a)*l.GapSlack()
}

// GapSlack is what a bus wire is longer than the gap between two rows, m:
// BusSlack, and the way to the one of staggered rows that lies further off.
func (l *Lamp) GapSlack() float64 { return BusSlack + l.Stagger() }

// EntryAt is where the lead enters: x from the wired end's wall, y from the
// wall beside the first row, m. One of them is 0: the hole is in that wall.
func (l *Lamp) EntryAt() (x, y float64) {
	if l.Feed == "middle-row" {
		return 0, l.RowAt(l.FeedRow(0))
	}
	return l.BusAt(WiredEnd, 0), 0
}

// Wires lists every piece of wire in the lamp: buses or links, then leads,
// then cross wires.
//
// A bus is lead-in + (rows − 1)·(pitch + slack) + tail, up to the last row that
// has a pad of it; one that does not start at the entry has a tail at both ends. Leads run LeadLength outside and,
// where the scheme asks for it, on inside along the walls.
func (l Lamp) Wires() []WirePiece {
	var out []WirePiece
	l.eachWire(func(p WirePiece) { out = append(out, p) })
	return out
}

// eachWire calls put with the pieces of Wires, in their order.
func (l *Lamp) eachWire(put func(WirePiece)) {
	n, w := l.Spec.Rows, l.BusWires()
	bus := func(c int, end End, leadIn bool) {
		first, last := l.padSpan(c)
		p := WirePiece{Role: BusWire, Conductor: c, End: end, LeadIn: leadIn, Length: l.along(first, last) + 2*BusTail}
		if leadIn {
			p.Length = WireWork + l.RowAt(0) + l.PadOffset(c) + l.along(0, last) + BusTail
		}
		put(p)
	}
	for c := range w {
		minus := c > 0
		switch l.Feed {
		case "middle-row":
			bus(c, WiredEnd, false)
		case "reverse-return":
			bus(c, WiredEnd, !minus)
		case "opposite-ends", "opposite-ends-reverse":
			if minus {
				bus(c, FarEnd, l.Feed == "opposite-ends")
			} else {
				bus(c, WiredEnd, true)
			}
		case "both-ends":
			bus(c, WiredEnd, true)
			bus(c, FarEnd, true)
		case "serpentine":
			for i := range n - 1 {
				end := FarEnd
				if i%2 == 1 {
					end = WiredEnd
				}
				put(WirePiece{Role: LinkWire, Conductor: c, End: end, Row: i, Length: l.RowGap(i) + l.GapSlack() + 2*BusTail})
			}
		default: // first-row, and whatever is not known: Review of the wiring says so
			bus(c, WiredEnd, true)
		}
	}
	for c := range w {
		in := l.leadInside(c)
		put(WirePiece{Role: LeadWire, Conductor: c, Inside: in, Length: l.LeadLength + in})
	}
	if l.Feed == "both-ends" {
		entry, _ := l.EntryAt()
		for c := range w {
			put(WirePiece{Role: CrossWire, Conductor: c, End: FarEnd, Length: l.BusAt(FarEnd, c) - entry + 2*WireWork})
		}
	}
}

// leadInside is how far a conductor of the lead runs on inside the tray, m.
func (l *Lamp) leadInside(conductor int) float64 {
	minus := conductor > 0
	// toFar is from the entry to the minus bus at the far end.
	toFar := func() float64 {
		entry, _ := l.EntryAt()
		return l.BusAt(FarEnd, max(0, conductor-1)) - entry
	}
	_, last := l.padSpan(conductor)
	toLast := func() float64 { return l.RowAt(last) + l.PadOffset(conductor) }
	switch {
	case l.Feed == "middle-row":
		return l.BusAt(WiredEnd, conductor) + WireWork + math.Abs(l.RowAt(l.FeedRow(conductor))-l.RowAt(l.FeedRow(0)))
	case l.Feed == "serpentine":
		return l.RowAt(0) + l.PadOffset(conductor) + WireWork
	case l.Feed == "reverse-return" && minus:
		return toLast() + WireWork
	case l.Feed == "opposite-ends" && minus:
		return toFar() + WireWork
	case l.Feed == "opposite-ends-reverse" && minus:
		return toFar() + toLast() + WireWork
	}
	return 0
}

func (l *Lamp) wire(roles ...WireRole) (total float64, pieces int) {
	l.eachWire(func(p WirePiece) {
		for _, r := range roles {
			if p.Role == r {
				total += p.Length
				pieces++
			}
		}
	})
	return total, pieces
}

// BusTotal is all bus wire in the lamp, links included, m.
func (l Lamp) BusTotal() float64 { t, _ := l.wire(BusWire, LinkWire); return t }

// LeadTotal is all lead wire, m: the conductors of the lead with what runs on
// inside the tray, and cross wires.
func (l Lamp) LeadTotal() float64 { t, _ := l.wire(LeadWire, CrossWire); return t }

// copper is the volume of the wires' copper inside the tray, m³.
func (l *Lamp) copper() float64 {
	v := 0.0
	l.eachWire(func(p WirePiece) {
		switch p.Role {
		case LeadWire:
			v += p.Inside * l.Lead.Area
		case CrossWire:
			v += p.Length * l.Lead.Area
		default:
			v += p.Length * l.Bus.Area
		}
	})
	return v
}

// LeadInside is the part of the lead wire that lies in the tray, m.
func (l Lamp) LeadInside() float64 {
	return l.LeadTotal() - float64(l.BusWires())*l.LeadLength
}

// BusLength is the mean length of one bus conductor, m; 0 without a bus.
func (l Lamp) BusLength() float64 {
	if t, n := l.wire(BusWire); n > 0 {
		return t / float64(n)
	}
	return 0
}

// Joints counts the solder joints: a tap for each bus at each row, two for
// each link and each cross wire, the lead at both ends of every conductor, and
// the two ends of an in-line fuse holder.
func (l Lamp) Joints() int {
	n := 0
	for _, p := range l.Wires() {
		if p.Role == BusWire {
			n += l.PadRows(p.Conductor)
			continue
		}
		n += 2
	}
	if l.Fuse != nil {
		n += 2
	}
	return n
}
