package circuit

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
)

// Scheme is where the leads and buses meet the rows of a tray.
type Scheme uint8

const (
	// FeedFirst: plus and minus bus at the same row ends, both leads at the
	// first row.
	FeedFirst Scheme = iota
	// FeedMiddle: the same, both leads at the middle row.
	FeedMiddle
	// FeedReverseReturn: the same buses, plus lead at the first row, minus
	// lead at the last; every row has the same length of bus in its path.
	FeedReverseReturn
	// FeedOpposite: plus bus at the left row ends, minus bus at the right,
	// both leads at the first row.
	FeedOpposite
	// FeedOppositeReverse: plus bus left fed at the first row, minus bus right
	// fed at the last.
	FeedOppositeReverse
	// FeedBothEnds: a bus pair at each end of the rows, both fed at the first
	// row.
	FeedBothEnds
	// FeedSerpentine: no bus; the rows are one run, turned at each end.
	FeedSerpentine
	schemeCount
)

var schemeWords = [schemeCount]struct{ key, words string }{
	{"first-row", "same end, both leads at the first row"},
	{"middle-row", "same end, both leads at the middle row"},
	{"reverse-return", "same end, plus at the first row, minus at the last (reverse return)"},
	{"opposite-ends", "plus at one end, minus at the other, leads at the first row"},
	{"opposite-ends-reverse", "plus at one end from the first row, minus at the other from the last"},
	{"both-ends", "both ends of every row, leads at the first row"},
	{"serpentine", "rows in series, turned at each end (serpentine)"},
}

// Schemes are all feed schemes.
func Schemes() []Scheme {
	all := make([]Scheme, schemeCount)
	for i := range all {
		all[i] = Scheme(i)
	}
	return all
}

// String gives the scheme in words.
func (s Scheme) String() string {
	if s >= schemeCount {
		return fmt.Sprintf("scheme(%d)", int(s))
	}
	return schemeWords[s].words
}

// MarshalText gives the short key: first-row, middle-row, reverse-return,
// opposite-ends, opposite-ends-reverse, both-ends, serpentine.
func (s Scheme) MarshalText() ([]byte, error) {
	if s >= schemeCount {
		return nil, fmt.Errorf("feed scheme %d is not known", int(s))
	}
	return []byte(schemeWords[s].key), nil
}

// UnmarshalText reads the short key.
func (s *Scheme) UnmarshalText(b []byte) error {
	var keys []string
	for i, w := range schemeWords {
		if w.key == string(b) {
			*s = Scheme(i)
			return nil
		}
		keys = append(keys, w.key)
	}
	return fmt.Errorf("feed scheme %q is not known; allowed: %s", b, strings.Join(keys, ", "))
}

// Channel is one colour of a lamp and how it is driven.
type Channel struct {
	Unit Unit
	Off  bool
	Duty float64 // share of the time it is on, above 0 to 1; 0 means 1
}

func (c Channel) duty() float64 {
	switch {
	case c.Off:
		return 0
	case c.Duty == 0:
		return 1
	}
	return c.Duty
}

// Layout is a tray of strip rows as wired. The lead enters where it is fed;
// schemes whose two leads end apart, or at both row ends, have the longer one
// run on inside the tray in lead wire.
type Layout struct {
	VOC, RInt float64 // V, Ω: supply without load, and its internal resistance

	RowUnits  []int     // cut units in each row, row 0 nearest the entry
	Pitch     []float64 // m between neighbouring rows; one value stands for all
	CutLength float64   // m, one cut unit
	RailR     float64   // Ω/m, one rail at running temperature

	// One channel, or two with a shared plus. Two are either in every strip
	// (three rails) or, Interleaved, in alternate rows of one-channel strip.
	Channels    []Channel
	Interleaved bool

	Joints [][]int // factory joints in each row: the units they lie before; may be nil
	JointR float64 // Ω per rail and joint

	Feed       Scheme
	Bus, Lead  Wire
	BusK       float64 // K, temperature of the bus wire; 0 means 293.15
	LeadK      float64 // K, of the lead; 0 means 293.15
	LeadLength float64 // m, one conductor, supply to lamp

	RContact float64 // Ω, plug and connectors, each lead
	RTap     float64 // Ω, each soldered tap or clip
	RDimmer  float64 // Ω, switch in each minus lead
}

// Validate refuses a layout that cannot be wired, field by field.
func (l *Layout) Validate() error {
	var errs []error
	need := func(ok bool, format string, args ...any) {
		if !ok {
			errs = append(errs, fmt.Errorf(format, args...))
		}
	}
	within := func(v, lo, hi float64) bool { return v >= lo && v <= hi }
	need(within(l.VOC, 1, 60), "layout: supply is %g V; allowed: 1 to 60 V", l.VOC)
	need(within(l.RInt, 0, 100), "layout: supply internal resistance is %g Ω; allowed: 0 to 100 Ω", l.RInt)
	need(within(float64(len(l.RowUnits)), 1, 200), "layout: %d rows; allowed: 1 to 200", len(l.RowUnits))
	for i, u := range l.RowUnits {
		need(within(float64(u), 1, 1000), "layout: row %d has %d units; allowed: 1 to 1000", i+1, u)
	}
	n := len(l.RowUnits)
	need(len(l.Pitch) == 1 || len(l.Pitch) == n-1, "layout: %d row distances for %d rows; allowed: 1, or %d", len(l.Pitch), n, n-1)
	for _, p := range l.Pitch {
		need(within(p, 0, 2), "layout: row distance is %g m; allowed: 0 to 2 m", p)
	}
	need(within(l.CutLength, 1e-3, 2), "layout: cut length is %g m; allowed: 0.001 to 2 m", l.CutLength)
	need(within(l.RailR, 0, 100), "layout: rail resistance is %g Ω/m; allowed: 0 to 100 Ω/m", l.RailR)
	need(len(l.Channels) == 1 || len(l.Channels) == 2, "layout: %d channels; allowed: 1 or 2", len(l.Channels))
	need(!l.Interleaved || len(l.Channels) == 2 && n >= 2, "layout: interleaved rows need two channels and two rows at least")
	need(!(l.Interleaved && l.Feed == FeedSerpentine), "layout: interleaved rows cannot be wired as a serpentine; choose a bus")
	for c, ch := range l.Channels {
		if err := ch.Unit.Validate(); err != nil {
			errs = append(errs, fmt.Errorf("layout: channel %d: %w", c+1, err))
		}
		need(within(ch.Duty, 0, 1), "layout: channel %d duty is %g; allowed: 0 (means 1) to 1", c+1, ch.Duty)
	}
	need(l.Joints == nil || len(l.Joints) == n, "layout: joints of %d rows for %d rows; allowed: none, or a list for every row", len(l.Joints), n)
	for i := range min(len(l.Joints), n) {
		for _, k := range l.Joints[i] {
			need(k >= 0 && k < l.RowUnits[i], "layout: row %d has a joint before unit %d; allowed: 0 to %d", i+1, k, l.RowUnits[i]-1)
		}
	}
	need(within(l.JointR, 0, 100), "layout: joint resistance is %g Ω; allowed: 0 to 100 Ω", l.JointR)
	need(l.Feed < schemeCount, "layout: feed scheme %d is not known", int(l.Feed))
	if l.Feed != FeedSerpentine || n > 1 {
		if err := l.Bus.Validate(); err != nil {
			errs = append(errs, fmt.Errorf("layout: bus: %w", err))
		}
	}
	if err := l.Lead.Validate(); err != nil {
		errs = append(errs, fmt.Errorf("layout: lead: %w", err))
	}
	for _, k := range []float64{l.BusK, l.LeadK} {
		need(k == 0 || within(k, 200, 450), "layout: wire temperature is %g K; allowed: 200 to 450 K (293.15 K is 20 °C)", k)
	}
	need(within(l.LeadLength, 0, 100), "layout: lead length is %g m; allowed: 0 to 100 m", l.LeadLength)
	for _, r := range []float64{l.RContact, l.RTap, l.RDimmer} {
		need(within(r, 0, 100), "layout: a contact, tap or dimmer has %g Ω; allowed: 0 to 100 Ω", r)
	}
	return errors.Join(errs...)
}

func orRoom(k float64) float64 {
	if k == 0 {
		return copperRefK
	}
	return k
}

// pitch is the distance, m, between rows i and i+1.
func (l *Layout) pitch(i int) float64 {
	if len(l.Pitch) == 1 {
		return l.Pitch[0]
	}
	return l.Pitch[i]
}

// Span is the length, m, of a bus from the first row to the last.
func (l *Layout) Span() float64 {
	t := 0.0
	for i := range len(l.RowUnits) - 1 {
		t += l.pitch(i)
	}
	return t
}

// RowLength is the length, m, of the longest row.
func (l *Layout) RowLength() float64 {
	return float64(slices.Max(l.RowUnits)) * l.CutLength
}

// FeedRows are the rows at which the plus and the minus lead end.
func (l *Layout) FeedRows() (plus, minus int) {
	last := len(l.RowUnits) - 1
	switch l.Feed {
	case FeedMiddle:
		return len(l.RowUnits) / 2, len(l.RowUnits) / 2
	case FeedReverseReturn, FeedOppositeReverse:
		return 0, last
	}
	return 0, 0
}

// minusDetour is how much longer, m, the minus lead is than the plus lead.
func (l *Layout) minusDetour() float64 {
	switch l.Feed {
	case FeedReverseReturn:
		return l.Span()
	case FeedOpposite:
		return l.RowLength()
	case FeedOppositeReverse:
		return l.Span() + l.RowLength()
	}
	return 0
}

// channelOf is the channel of a row of one-channel strip.
func (l *Layout) channelOf(row int) int {
	if l.Interleaved {
		return row % 2
	}
	return 0
}

// threeRails tells whether every strip carries both channels.
func (l *Layout) threeRails() bool { return len(l.Channels) == 2 && !l.Interleaved }

// Network writes the layout down as a general network: channels that are off
// have an open minus lead, duty is not looked at.
func (l *Layout) Network() (*Network, error) {
	if err := l.Validate(); err != nil {
		return nil, err
	}
	n := &Network{VOC: l.VOC, RInt: l.RInt}
	for i, units := range l.RowUnits {
		row := Row{RUnit: l.RailR * l.CutLength}
		row.Units = slices.Repeat([]Unit{l.Channels[l.channelOf(i)].Unit}, units)
		if l.threeRails() {
			row.Second = slices.Repeat([]Unit{l.Channels[1].Unit}, units)
		}
		if l.Joints != nil {
			for _, k := range l.Joints[i] {
				row.Joints = append(row.Joints, Joint{Before: k, R: l.JointR})
			}
		}
		n.Rows = append(n.Rows, row)
	}
	if l.Feed == FeedSerpentine {
		l.serpentine(n)
	} else {
		l.buses(n)
	}
	return n, nil
}

// leads adds the feeds: a plus lead, and a minus lead for each channel.
func (l *Layout) leads(n *Network, plus Node, minus []Node) {
	ohm := l.Lead.OhmPerM(orRoom(l.LeadK))
	for c, at := range minus {
		f := Feed{NegAt: at, RNeg: ohm * (l.LeadLength + l.minusDetour()), ContactNeg: l.RContact, Dimmer: l.RDimmer}
		if l.Channels[c].Off {
			f.RNeg = math.Inf(1)
		}
		if c == 0 {
			f.PosAt, f.RPos, f.ContactPos = plus, ohm*l.LeadLength, l.RContact
		}
		n.Feeds = append(n.Feeds, f)
	}
}

// buses adds bus wires, taps and leads of every scheme but the serpentine.
func (l *Layout) buses(n *Network) {
	ohm := l.Bus.OhmPerM(orRoom(l.BusK))
	var seg []float64
	for i := range len(l.RowUnits) - 1 {
		seg = append(seg, ohm*l.pitch(i))
	}
	bus := func(id string) int {
		n.Buses = append(n.Buses, Bus{ID: id, RSeg: slices.Clone(seg)})
		return len(n.Buses) - 1
	}
	pads := [2][3]Pad{{LeftPlus, LeftMinus, LeftMinus2}, {RightPlus, RightMinus, RightMinus2}}
	ids := [2][3]string{{"PL", "NL", "NL2"}, {"PR", "NR", "NR2"}}
	plusEnds, minusEnds := []int{0}, []int{0}
	switch l.Feed {
	case FeedOpposite, FeedOppositeReverse:
		minusEnds = []int{1}
	case FeedBothEnds:
		plusEnds, minusEnds = []int{0, 1}, []int{0, 1}
	}
	plusRow, minusRow := l.FeedRows()
	var plus []Node    // by end
	var minus [][]Node // by end, channel
	tap := func(i int, p Pad, b int) {
		n.Rows[i].Taps = append(n.Rows[i].Taps, Tap{End: p, Bus: BusNode(b, i), R: l.RTap})
	}
	for _, end := range plusEnds {
		b := bus(ids[end][0])
		for i := range n.Rows {
			tap(i, pads[end][0], b)
		}
		plus = append(plus, BusNode(b, plusRow))
	}
	for _, end := range minusEnds {
		var at []Node
		for c := range l.Channels {
			b := bus(ids[end][1+c])
			for i := range n.Rows {
				switch {
				case l.threeRails():
					tap(i, pads[end][1+c], b)
				case l.channelOf(i) == c:
					tap(i, pads[end][1], b)
				}
			}
			at = append(at, BusNode(b, minusRow))
		}
		minus = append(minus, at)
	}
	l.leads(n, plus[0], minus[0])
	if l.Feed == FeedBothEnds {
		across := l.Lead.OhmPerM(orRoom(l.LeadK)) * l.RowLength()
		n.Jumpers = append(n.Jumpers, Jumper{A: plus[0], B: plus[1], R: across})
		for c := range l.Channels {
			n.Jumpers = append(n.Jumpers, Jumper{A: minus[0][c], B: minus[1][c], R: across})
		}
	}
}

// serpentine joins the rows end to end, right, left, right, … by links of bus
// wire with two taps each, and feeds the first.
func (l *Layout) serpentine(n *Network) {
	ohm := l.Bus.OhmPerM(orRoom(l.BusK))
	left, right := [3]Pad{LeftPlus, LeftMinus, LeftMinus2}, [3]Pad{RightPlus, RightMinus, RightMinus2}
	rails := 1 + len(l.Channels)
	for i := range len(n.Rows) - 1 {
		pads := right
		if i%2 == 1 {
			pads = left
		}
		for r := range rails {
			n.Jumpers = append(n.Jumpers, Jumper{A: PadNode(i, pads[r]), B: PadNode(i+1, pads[r]), R: ohm*l.pitch(i) + 2*l.RTap})
		}
	}
	var minus []Node
	for c := range l.Channels {
		minus = append(minus, PadNode(0, left[1+c]))
	}
	l.leads(n, PadNode(0, LeftPlus), minus)
}

// Solve works out the layout with every channel that is not off fully on.
func (l *Layout) Solve() (*Solution, error) {
	n, err := l.Network()
	if err != nil {
		return nil, err
	}
	return Solve(n)
}

// FullOn is the layout with every channel on at full duty: what supply, fuse
// and wire must be sized for.
func (l Layout) FullOn() Layout {
	l.Channels = slices.Clone(l.Channels)
	for c := range l.Channels {
		l.Channels[c].Off, l.Channels[c].Duty = false, 1
	}
	return l
}

// Average is the mean over a dimming period of one channel.
type Average struct {
	Current   float64 // A
	UnitPower float64 // W
	Unit      []Units // by row: V while on, I averaged over the period
}

// ByChannel says how evenly each channel's units are driven.
func (l *Layout) ByChannel(s *Solution) []Extent {
	units := make([][]Units, len(l.Channels))
	for i, r := range s.Rows {
		c := l.channelOf(i)
		units[c] = append(units[c], r.First)
		if l.threeRails() {
			units[1] = append(units[1], r.Second)
		}
	}
	var out []Extent
	for _, u := range units {
		out = append(out, extent(u...))
	}
	return out
}

// Evenness is the smallest ratio of dimmest to brightest unit current among
// the channels that are lit.
func (l *Layout) Evenness(s *Solution) float64 {
	m := 0.0
	for _, e := range l.ByChannel(s) {
		if e.Lit > 0 && (m == 0 || e.MinOverMax < m) {
			m = e.MinOverMax
		}
	}
	return m
}

// Averages gives each channel's means: what the solution says of it while on,
// times its duty.
//
// Not modelled: with two channels, the moments when only one is on; the shared
// plus then drops a little less, which raises the average by at most the
// shared drop of the other channel (some tenths of a per cent in a tray).
func (l *Layout) Averages(s *Solution) []Average {
	out := make([]Average, len(l.Channels))
	for i := range s.Rows {
		parts := []Units{s.Rows[i].First}
		if l.threeRails() {
			parts = append(parts, s.Rows[i].Second)
		}
		for p, u := range parts {
			c := p
			if l.Interleaved {
				c = l.channelOf(i)
			}
			d := l.Channels[c].duty()
			mean := Units{V: u.V, I: make([]float64, len(u.I)), State: u.State}
			for k, amp := range u.I {
				mean.I[k] = d * amp
				out[c].Current += d * amp
				out[c].UnitPower += d * amp * u.V[k]
			}
			out[c].Unit = append(out[c].Unit, mean)
		}
	}
	return out
}
