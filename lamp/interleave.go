package lamp

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// leastColours is how far apart the colour temperatures of interleaved strips
// are at least, K.
const leastColours = 200

// Interleaved reports that the rows are by turns of two one-channel strips.
func (l *Lamp) Interleaved() bool { return len(l.pair) == 2 }

// Strips are the strips of the lamp as they are sold: one, or two whose rows are
// interleaved, with the values that their channels have in Strip.
func (l Lamp) Strips() []part.Strip {
	if !l.Interleaved() {
		return []part.Strip{l.Strip}
	}
	out := slices.Clone(l.pair)
	for k := range out {
		c := l.Strip.Channels[k]
		c.Name = out[k].Channels[0].Name
		out[k].Channels = []part.Channel{c}
	}
	return out
}

// Interleave makes every second row of another strip, as Build does by
// Spec.Second. It fails when the two are not alike but for their colour, and
// leaves the lamp as it was.
func (l *Lamp) Interleave(second part.Strip) error {
	a, b := l.Strip, second
	mm := func(x float64) string { return quantity.Format(x, quantity.Length, 4) }
	if len(a.Channels) != 1 || len(b.Channels) != 1 {
		return fmt.Errorf("second_strip is %q beside strip %q; allowed are two strips of one channel each: leave second_strip out for a strip that has two", b.ID, a.ID)
	}
	if l.Spec.Rows < 2 {
		return fmt.Errorf("rows is %d with a second_strip; allowed is 2 or more, since the strips take turns", l.Spec.Rows)
	}
	if l.Spec.Feed == "serpentine" {
		return fmt.Errorf("feed is serpentine with a second_strip; its rows would be in series across the two strips: choose a feed with a bus")
	}
	for _, f := range []struct {
		key          string
		alike        bool
		first, other string
	}{
		{"drive", a.Drive == b.Drive, string(a.Drive), string(b.Drive)},
		{"voltage", alike(a.Voltage, b.Voltage), quantity.Format(a.Voltage, quantity.Voltage, 3), quantity.Format(b.Voltage, quantity.Voltage, 3)},
		{"leds", alike(a.LEDs, b.LEDs), fmt.Sprintf("%g /m", a.LEDs), fmt.Sprintf("%g /m", b.LEDs)},
		{"series", a.Series == b.Series, fmt.Sprint(a.Series), fmt.Sprint(b.Series)},
		{"cut", alike(a.Cut, b.Cut), mm(a.Cut), mm(b.Cut)},
		{"width", alike(a.Width, b.Width), mm(a.Width), mm(b.Width)},
		{"height", alike(a.Height, b.Height), mm(a.Height), mm(b.Height)},
		{"copper_oz", alike(a.Copper, b.Copper), fmt.Sprint(a.Copper), fmt.Sprint(b.Copper)},
		{"rail_width", alike(a.Rail, b.Rail), mm(a.Rail), mm(b.Rail)},
		{"beam", alike(a.Beam, b.Beam), quantity.Format(a.Beam, quantity.Angle, 3), quantity.Format(b.Beam, quantity.Angle, 3)},
		{"emitter_area", alike(a.Emitter, b.Emitter), quantity.Format(a.Emitter, quantity.Area, 3), quantity.Format(b.Emitter, quantity.Area, 3)},
	} {
		if !f.alike {
			return fmt.Errorf("second_strip %q has %s %s and strip %q has %s; interleaved strips are alike but for their colour: take two of one series", b.ID, f.key, f.other, a.ID, f.first)
		}
	}
	ca, cb := a.Channels[0], b.Channels[0]
	if math.Abs(ca.CCT.X-cb.CCT.X) < leastColours {
		return fmt.Errorf("second_strip %q is of %.0f K and strip %q of %.0f K; allowed are strips at least %d K apart: for one colour leave second_strip out", b.ID, cb.CCT.X, a.ID, ca.CCT.X, leastColours)
	}
	ca.Name, cb.Name = "warm", "cool"
	if ca.CCT.X > cb.CCT.X {
		ca.Name, cb.Name = cb.Name, ca.Name
	}
	s := a
	s.Channels = []part.Channel{ca, cb}
	s.ID, s.Name = a.ID+"+"+b.ID, a.Name+", by turns with "+b.Name
	// Where the two differ the worse counts.
	s.TapeLimit, s.JunctionLimit = min(a.TapeLimit, b.TapeLimit), min(a.JunctionLimit, b.JunctionLimit)
	s.Mass, s.JointR, s.Reel = max(a.Mass, b.Mass), max(a.JointR, b.JointR), min(a.Reel, b.Reel)
	if b.JunctionR.X > a.JunctionR.X {
		s.JunctionR = b.JunctionR
	}
	l.Strip, l.pair = s, []part.Strip{a, b}
	return nil
}

// ChannelsOf are the names of the channels of a lamp that need not be whole: of
// its strips alone; none when a strip is not in the set.
func ChannelsOf(s Spec, set part.Set) []string {
	set = set.Layer(s.Parts)
	var l Lamp
	l.Spec = Spec{Rows: 2}
	var err error
	if l.Strip, err = part.Find(set.Strips, "strip", s.Strip); err != nil {
		return nil
	}
	if s.Second == "" {
		return l.ChannelNames()
	}
	second, err := part.Find(set.Strips, "strip", s.Second)
	if err != nil {
		return nil
	}
	if l.Interleave(second) != nil {
		return nil
	}
	return l.ChannelNames()
}

func alike(a, b float64) bool { return math.Abs(a-b) <= 1e-6*math.Max(math.Abs(a), math.Abs(b)) }

// HasChannel reports that row i holds channel c.
func (l *Lamp) HasChannel(row, c int) bool { return !l.Interleaved() || row%2 == c }

// RowChannels are the channels of row i, in order.
func (l *Lamp) RowChannels(row int) []int {
	if l.Interleaved() {
		return []int{row % 2}
	}
	out := make([]int, len(l.Strip.Channels))
	for c := range out {
		out[c] = c
	}
	return out
}

// RowStrip is the strip of row i as it is sold.
func (l *Lamp) RowStrip(row int) part.Strip {
	if l.Interleaved() {
		return l.pair[row%2]
	}
	return l.Strip
}

// RowsOf counts the rows that hold channel c.
func (l *Lamp) RowsOf(c int) int {
	if !l.Interleaved() {
		return l.Spec.Rows
	}
	return (l.Spec.Rows + 1 - c) / 2
}

// Half is the lamp as if it had only the rows of its k-th strip, for plans and
// bills of strip: their number and the strip count, their places do not. A lamp
// of one strip is its own half.
func (l Lamp) Half(k int) Lamp {
	if !l.Interleaved() {
		return l
	}
	h := l
	h.Strip, h.pair, h.Spec.Second = l.Strips()[k], nil, ""
	h.Spec.Strip, h.Spec.Rows, h.Spec.Lines, h.Spec.Drive = h.Strip.ID, l.RowsOf(k), nil, nil
	return h
}

// RowOfHalf is the row of the lamp that is row i of Half(k).
func (l Lamp) RowOfHalf(k, i int) int {
	if !l.Interleaved() {
		return i
	}
	return 2*i + k
}

// LabelPower is the power of all strip in the lamp by its label, W.
func (l Lamp) LabelPower() float64 {
	if !l.Interleaved() {
		return l.Strip.LabelPower() * l.StripLength()
	}
	p := 0.0
	for c, s := range l.Strips() {
		p += s.LabelPower() * float64(l.RowsOf(c)) * l.RowLength()
	}
	return p
}
