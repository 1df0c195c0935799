package circuit

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"
)

// Pad is one of the soldering ends of a row.
type Pad uint8

// The pads of a row: left and right end of its plus rail, its minus rail and,
// on a strip with two channels, the minus rail of the second channel.
const (
	LeftPlus Pad = iota
	LeftMinus
	RightPlus
	RightMinus
	LeftMinus2
	RightMinus2
	padCount
)

var padNames = [padCount]string{"L+", "L-", "R+", "R-", "L-2", "R-2"}

// String gives L+, L-, R+, R-, L-2 or R-2.
func (p Pad) String() string {
	if p >= padCount {
		return fmt.Sprintf("pad(%d)", int(p))
	}
	return padNames[p]
}

func padNamed(s string) (Pad, bool) {
	for i, n := range padNames {
		if n == s {
			return Pad(i), true
		}
	}
	return 0, false
}

type place uint8

const (
	nowhere place = iota
	atGround
	atSource
	atTerminal
	atBus
	atPad
)

// Node names a point of a network. The zero Node is nowhere.
type Node struct {
	place place
	a, b  int32
}

// The supply's own nodes: the minus pole, the plus pole before the internal
// resistance, and the plus terminal behind it.
var (
	Ground   = Node{place: atGround}
	Source   = Node{place: atSource}
	Terminal = Node{place: atTerminal}
)

// BusNode is node i of bus b of the network.
func BusNode(b, i int) Node { return Node{atBus, int32(b), int32(i)} }

// PadNode is a pad of a row.
func PadNode(row int, p Pad) Node { return Node{atPad, int32(row), int32(p)} }

// Feed is a pair of leads from the supply to the lamp. A lead whose node is
// the zero Node is absent; an infinite resistance is a switched-off lead.
type Feed struct {
	PosAt, NegAt           Node
	RPos, RNeg             float64 // Ω, wire of each lead
	ContactPos, ContactNeg float64 // Ω, plugs and connectors in series
	Dimmer                 float64 // Ω, switch in the minus lead
}

// Bus is one conductor along the row ends; RSeg[i] joins its nodes i and i+1.
type Bus struct {
	ID   string
	RSeg []float64 // Ω, infinite where the wire is broken
}

// Tap joins a pad of a row to a bus.
type Tap struct {
	End Pad
	Bus Node
	R   float64 // Ω
}

// Break is a rail interrupted after a unit.
type Break struct {
	Unit int
	Rail int // 0 plus, 1 minus, 2 minus of the second channel
}

// Joint is a factory joint: R in each rail just before a unit.
type Joint struct {
	Before int
	R      float64 // Ω
}

// Row is one length of strip: along each rail half RUnit from the left pad to
// the first unit, RUnit between units, half RUnit to the right pad.
type Row struct {
	Units    []Unit // one per cut unit, between plus and minus rail
	Second   []Unit // second channel between plus and its own minus rail; none or as many as Units
	RUnit    float64
	Joints   []Joint // factory joints
	Reversed bool    // every unit of the row the wrong way round
	Breaks   []Break
	Taps     []Tap
}

// Jumper is a plain resistance between any two nodes.
type Jumper struct {
	A, B Node
	R    float64 // Ω
}

// Network is a lamp's circuit: an ideal source, its internal resistance, leads,
// buses, rows and jumpers. Resistances below 1 nΩ count as joined.
type Network struct {
	VOC     float64 // V, source
	RInt    float64 // Ω, source
	Feeds   []Feed
	Buses   []Bus
	Rows    []Row
	Jumpers []Jumper
}

// SetThermalVoltage sets the thermal voltage, V, of every diode unit, for
// comparison with a simulator that states its own.
func (n *Network) SetThermalVoltage(vt float64) {
	for i := range n.Rows {
		for _, us := range [][]Unit{n.Rows[i].Units, n.Rows[i].Second} {
			for k := range us {
				us[k].Vt = vt
			}
		}
	}
}

// NodeName gives the node's name in the case form: PL_0, r3L+, sp, vp, 0.
func (n *Network) NodeName(x Node) string {
	switch x.place {
	case atGround:
		return "0"
	case atSource:
		return "vp"
	case atTerminal:
		return "sp"
	case atBus:
		if int(x.a) < len(n.Buses) {
			return n.Buses[x.a].ID + "_" + strconv.Itoa(int(x.b))
		}
	case atPad:
		return "r" + strconv.Itoa(int(x.a)) + Pad(x.b).String()
	}
	return "nowhere"
}

// NodeNamed finds the node of that name.
func (n *Network) NodeNamed(s string) (Node, error) {
	switch s {
	case "0":
		return Ground, nil
	case "vp":
		return Source, nil
	case "sp":
		return Terminal, nil
	}
	if id, num, ok := cutLast(s, "_"); ok {
		for b := range n.Buses {
			i, err := strconv.Atoi(num)
			if n.Buses[b].ID == id && err == nil {
				return BusNode(b, i), n.has(BusNode(b, i))
			}
		}
	}
	if len(s) > 3 && s[0] == 'r' {
		if k := strings.IndexAny(s, "LR"); k > 1 {
			p, ok := padNamed(s[k:])
			row, err := strconv.Atoi(s[1:k])
			if ok && err == nil {
				return PadNode(row, p), n.has(PadNode(row, p))
			}
		}
	}
	return Node{}, fmt.Errorf("node %q is not known; allowed: a bus node such as PL_0, a row pad such as r0L+, sp, vp or 0", s)
}

func cutLast(s, sep string) (before, after string, ok bool) {
	k := strings.LastIndex(s, sep)
	if k < 0 {
		return s, "", false
	}
	return s[:k], s[k+len(sep):], true
}

// has says whether the node exists in the network.
func (n *Network) has(x Node) error {
	switch x.place {
	case atGround, atSource, atTerminal:
		return nil
	case atBus:
		if x.a >= 0 && int(x.a) < len(n.Buses) && x.b >= 0 && int(x.b) <= len(n.Buses[x.a].RSeg) {
			return nil
		}
		return fmt.Errorf("bus node (%d, %d) does not exist", x.a, x.b)
	case atPad:
		if x.a >= 0 && int(x.a) < len(n.Rows) && x.b >= 0 && x.b < int32(padCount) {
			if Pad(x.b) >= LeftMinus2 && n.Rows[x.a].Second == nil {
				return fmt.Errorf("row %d has no second channel, so no pad %s", x.a, Pad(x.b))
			}
			return nil
		}
		return fmt.Errorf("pad %d of row %d does not exist", x.b, x.a)
	}
	return errors.New("a node is missing")
}

// Validate refuses a network that names absent nodes or holds a resistance
// that is negative or not a number.
func (n *Network) Validate() error {
	c := checker{n: n}
	if !(n.VOC > 0 && n.VOC <= 60) {
		c.bad("supply voltage is %g V; allowed: above 0, up to 60 V (the limit of extra-low voltage DC)", n.VOC)
	}
	if !(n.RInt >= 0 && n.RInt <= 1e6) {
		c.bad("supply internal resistance is %g Ω; allowed: 0 to 1e6 Ω", n.RInt)
	}
	for k, f := range n.Feeds {
		for _, r := range []float64{f.RPos, f.RNeg, f.ContactPos, f.ContactNeg, f.Dimmer} {
			c.ohm(r, "feed %d", k)
		}
		if f.PosAt != (Node{}) {
			c.node(f.PosAt, "feed %d plus", k)
		}
		if f.NegAt != (Node{}) {
			c.node(f.NegAt, "feed %d minus", k)
		}
	}
	for b := range n.Buses {
		for i, r := range n.Buses[b].RSeg {
			c.ohm(r, "bus %s segment %d", n.Buses[b].ID, i)
		}
	}
	for i := range n.Rows {
		c.row(i, &n.Rows[i])
	}
	for k, j := range n.Jumpers {
		c.ohm(j.R, "jumper %d", k)
		c.node(j.A, "jumper %d", k)
		c.node(j.B, "jumper %d", k)
	}
	return errors.Join(c.errs...)
}

// checker gathers what is wrong with a network.
type checker struct {
	n    *Network
	errs []error
}

func (c *checker) bad(format string, args ...any) {
	c.errs = append(c.errs, fmt.Errorf(format, args...))
}

func (c *checker) ohm(r float64, what string, at ...any) {
	if !(r >= 0) {
		c.bad("resistance of %s is %g Ω; allowed: 0 or more, infinite for a break", fmt.Sprintf(what, at...), r)
	}
}

func (c *checker) node(x Node, what string, at ...any) {
	if err := c.n.has(x); err != nil {
		c.bad("%s: %w", fmt.Sprintf(what, at...), err)
	}
}

func (c *checker) row(i int, r *Row) {
	if len(r.Units) == 0 {
		c.bad("row %d has no units; allowed: at least one", i)
	}
	if r.Second != nil && len(r.Second) != len(r.Units) {
		c.bad("row %d has %d units in the second channel and %d in the first; allowed: none or as many", i, len(r.Second), len(r.Units))
	}
	c.ohm(r.RUnit, "row %d rail per unit", i)
	if math.IsInf(r.RUnit, 1) {
		c.bad("row %d: rail resistance is infinite; mark a broken rail with a break", i)
	}
	for ch, us := range [][]Unit{r.Units, r.Second} {
		for k := range us {
			if k > 0 && us[k] == us[k-1] {
				continue
			}
			if err := us[k].Validate(); err != nil {
				c.bad("row %d unit %d channel %d: %w", i, k, ch+1, err)
			}
		}
	}
	for _, j := range r.Joints {
		c.ohm(j.R, "row %d joint before unit %d", i, j.Before)
		if j.Before < 0 || j.Before >= len(r.Units) {
			c.bad("row %d has a joint before unit %d; allowed: 0 to %d", i, j.Before, len(r.Units)-1)
		}
	}
	for _, b := range r.Breaks {
		if b.Unit < 0 || b.Unit >= len(r.Units) || b.Rail < 0 || b.Rail > 2 || b.Rail == 2 && r.Second == nil {
			c.bad("row %d has a break after unit %d on rail %d; allowed: units 0 to %d, rails 0 plus, 1 minus, 2 minus of a second channel", i, b.Unit, b.Rail, len(r.Units)-1)
		}
	}
	for _, t := range r.Taps {
		c.ohm(t.R, "row %d tap %s", i, t.End)
		c.node(t.Bus, "row %d tap %s", i, t.End)
		if t.End >= padCount || t.End >= LeftMinus2 && r.Second == nil {
			c.bad("row %d has a tap at pad %s, which it has not", i, t.End)
		}
	}
}
