package circuit

import (
	"fmt"
	"math"
	"slices"
)

// joined is the resistance, Ω, at and below which two nodes count as one; the
// current through such a link is recovered afterwards from the node balance.
const joined = 1e-8

// leak, S, to ground keeps parts solvable that no copper joins to the supply.
const leak = 1e-12

// class says whose loss a resistance is.
type class uint8

const (
	classSupply class = iota
	classLead
	classContact
	classDimmer
	classBus
	classRail
	classTap
	classJumper
	classCount
)

// resistor is one resistance of the compiled network, between raw nodes.
type resistor struct {
	a, b  int32
	r     float64
	joint float64 // Ω of r that is a factory joint
	class class
	link  bool // shorter than joined: its nodes are one
}

// element is one unit of the compiled network.
type element struct {
	anode, cathode int32 // raw nodes
	row, unit      int32
	channel        int32
}

// Raw node numbers of the supply.
const (
	rawGround = iota
	rawSource
	rawTerminal
	rawFirst
)

// Solver is a network made ready to be solved again and again: nodes numbered
// in an elimination order that fills in little, every step written down once.
// Run allocates nothing. A Solver is for one goroutine.
//
// Method: nodal analysis with every unit linearised at its present voltage;
// nodes are eliminated by the star-mesh transformation, which only ever adds
// positive conductances, so that rails of milliohms beside a leak of 1e-12 S
// lose no digits (the idea of Grassmann, Taksar & Heyman, Oper. Res. 33 (1985)
// 1107). Tray circuits fill in two or three neighbours a node: linear time.
type Solver struct {
	net       *Network
	voc       float64 // V
	resistors []resistor
	units     []element
	cluster   []int32 // raw node -> representative raw node
	raw       int     // number of raw nodes
	rowBase   []int32 // raw node of the first pad of each row
	busBase   []int32

	plan
	newton
	from start
}

// Compile checks the network and prepares it for solving. The network must not
// be changed afterwards.
func Compile(n *Network) (*Solver, error) { return compile(n, true) }

// compile leaves the units out on request.
func compile(n *Network, withUnits bool) (*Solver, error) {
	if err := n.Validate(); err != nil {
		return nil, fmt.Errorf("network: %w", err)
	}
	s := &Solver{net: n, voc: n.VOC}
	s.number()
	s.connect()
	if !withUnits {
		s.units, s.law, s.laws = nil, nil, nil
	}
	if err := s.merge(); err != nil {
		return nil, err
	}
	s.order()
	s.prepare()
	return s, nil
}

// number gives every node its raw number.
func (s *Solver) number() {
	next := int32(rawFirst)
	for b := range s.net.Buses {
		s.busBase = append(s.busBase, next)
		next += int32(len(s.net.Buses[b].RSeg)) + 1
	}
	for i := range s.net.Rows {
		s.rowBase = append(s.rowBase, next)
		rails := int32(2)
		if s.net.Rows[i].Second != nil {
			rails = 3
		}
		next += 2*rails + rails*int32(len(s.net.Rows[i].Units))
	}
	s.raw = int(next)
}

// at gives the raw number of a node of the network.
func (s *Solver) at(x Node) int32 {
	switch x.place {
	case atSource:
		return rawSource
	case atTerminal:
		return rawTerminal
	case atBus:
		return s.busBase[x.a] + x.b
	case atPad:
		return s.rowBase[x.a] + x.b
	}
	return rawGround
}

// rail gives the raw number of unit k's node on a rail of a row.
func (s *Solver) rail(row, k, rail int) int32 {
	rails := 2
	if s.net.Rows[row].Second != nil {
		rails = 3
	}
	return s.rowBase[row] + int32(2*rails+rails*k+rail)
}

func (s *Solver) add(a, b int32, r float64, c class) {
	s.resistors = append(s.resistors, resistor{a: a, b: b, r: r, class: c})
}

// connect lists every resistance and unit.
func (s *Solver) connect() {
	n := s.net
	s.add(rawSource, rawTerminal, n.RInt, classSupply)
	for _, f := range n.Feeds {
		// One resistance per lead carries wire, contact and dimmer in series;
		// the loss is shared out in proportion afterwards.
		if f.PosAt != (Node{}) {
			s.add(rawTerminal, s.at(f.PosAt), f.RPos+f.ContactPos, classLead)
		}
		if f.NegAt != (Node{}) {
			s.add(s.at(f.NegAt), rawGround, f.RNeg+f.ContactNeg+f.Dimmer, classLead)
		}
	}
	for b := range n.Buses {
		for i, r := range n.Buses[b].RSeg {
			s.add(s.busBase[b]+int32(i), s.busBase[b]+int32(i)+1, r, classBus)
		}
	}
	for i := range n.Rows {
		s.connectRow(i)
	}
	for _, j := range n.Jumpers {
		s.add(s.at(j.A), s.at(j.B), j.R, classJumper)
	}
}

func (s *Solver) connectRow(i int) {
	row := &s.net.Rows[i]
	left, right := [3]Pad{LeftPlus, LeftMinus, LeftMinus2}, [3]Pad{RightPlus, RightMinus, RightMinus2}
	rails := 2
	if row.Second != nil {
		rails = 3
	}
	last := len(row.Units) - 1
	for rail := range rails {
		prev := s.at(PadNode(i, left[rail]))
		for k := range row.Units {
			r := row.RUnit
			if k == 0 {
				r /= 2
			}
			joint := 0.0
			for _, j := range row.Joints {
				if j.Before == k {
					joint += j.R
				}
			}
			if k > 0 && row.broken(k-1, rail) {
				r = math.Inf(1)
			}
			here := s.rail(i, k, rail)
			s.resistors = append(s.resistors, resistor{a: prev, b: here, r: r + joint, joint: joint, class: classRail})
			prev = here
		}
		r := row.RUnit / 2
		if row.broken(last, rail) {
			r = math.Inf(1)
		}
		s.add(prev, s.at(PadNode(i, right[rail])), r, classRail)
	}
	for _, t := range row.Taps {
		s.add(s.at(PadNode(i, t.End)), s.at(t.Bus), t.R, classTap)
	}
	law := 0
	for ch, us := range [][]Unit{row.Units, row.Second} {
		for k := range us {
			e := element{anode: s.rail(i, k, 0), cathode: s.rail(i, k, 1+ch), row: int32(i), unit: int32(k), channel: int32(ch)}
			if row.Reversed {
				e.anode, e.cathode = e.cathode, e.anode
			}
			s.units = append(s.units, e)
			if k == 0 || us[k] != us[k-1] {
				c := us[k].curve()
				if at := slices.Index(s.laws, c); at >= 0 {
					law = at
				} else {
					law = len(s.laws)
					s.laws = append(s.laws, c)
				}
			}
			s.law = append(s.law, int32(law))
		}
	}
}

func (r *Row) broken(unit, rail int) bool {
	for _, b := range r.Breaks {
		if b.Unit == unit && b.Rail == rail {
			return true
		}
	}
	return false
}

// merge makes one node of nodes joined without resistance.
func (s *Solver) merge() error {
	s.cluster = make([]int32, s.raw)
	for i := range s.cluster {
		s.cluster[i] = int32(i)
	}
	for k := range s.resistors {
		r := &s.resistors[k]
		if r.r > joined {
			continue
		}
		r.link = true
		union(s.cluster, r.a, r.b)
	}
	for i := range s.cluster {
		s.cluster[i] = find(s.cluster, int32(i))
	}
	if s.cluster[rawSource] == s.cluster[rawGround] {
		return fmt.Errorf("network: %w: plus and minus of the supply are joined without any resistance", ErrShort)
	}
	return nil
}

// find gives the representative of x; the lower number always represents.
func find(up []int32, x int32) int32 {
	for up[x] != x {
		up[x] = up[up[x]]
		x = up[x]
	}
	return x
}

func union(up []int32, a, b int32) {
	a, b = find(up, a), find(up, b)
	if a > b {
		a, b = b, a
	}
	up[b] = a
}
