package circuit

import (
	"fmt"
	"math"
)

// ChainLamp is a lamp of tabulated rows between one plus and one minus bus,
// each fed at one row: every scheme in which a row is tapped at two pads.
type ChainLamp struct {
	VOC                 float64   // V
	RPlus               float64   // Ω: supply, plus lead, contact
	RMinus              float64   // Ω: minus lead, contact, dimmer
	BusPlus, BusMinus   []float64 // Ω, between rows i and i+1
	FeedPlus, FeedMinus int
	Rows                []*RowTable
}

// Chain gives the layout as tabulated rows; table is asked for the row table
// of each kind of row. It is false for schemes with rows tapped at more than
// two pads, in series, or with two channels.
func (l *Layout) Chain(table func(RowNeed) (*RowTable, error)) (ChainLamp, bool, error) {
	if err := l.Validate(); err != nil {
		return ChainLamp{}, false, err
	}
	if len(l.Channels) != 1 || l.Channels[0].Off || l.Feed == FeedBothEnds || l.Feed == FeedSerpentine {
		return ChainLamp{}, false, nil
	}
	lead := l.Lead.OhmPerM(orRoom(l.LeadK))
	c := ChainLamp{
		VOC:    l.VOC,
		RPlus:  l.RInt + lead*l.LeadLength + l.RContact,
		RMinus: lead*(l.LeadLength+l.minusDetour()) + l.RContact + l.RDimmer,
	}
	c.FeedPlus, c.FeedMinus = l.FeedRows()
	ohm := l.Bus.OhmPerM(orRoom(l.BusK))
	for i := range len(l.RowUnits) - 1 {
		c.BusPlus = append(c.BusPlus, ohm*l.pitch(i))
	}
	c.BusMinus = c.BusPlus
	for i, units := range l.RowUnits {
		need := RowNeed{
			Unit: l.Channels[0].Unit, Units: units, RUnit: l.RailR * l.CutLength, Tap: l.RTap, JointR: l.JointR,
			Opposite: l.Feed == FeedOpposite || l.Feed == FeedOppositeReverse,
		}
		if l.Joints != nil {
			need.Joints = l.Joints[i]
		}
		t, err := table(need)
		if err != nil {
			return ChainLamp{}, false, err
		}
		c.Rows = append(c.Rows, t)
	}
	return c, true, nil
}

// ChainResult is what a chain lamp does.
type ChainResult struct {
	Current   float64 // A, supply
	SupplyEnd float64 // V between the bus nodes at which the leads end
	Low, High float64 // A, dimmest and brightest unit
	UnitPower float64 // W
	Flux      float64 // sum over units of RelativeFlux
	Rounds    int
}

// Chain solves chain lamps of up to a number of rows fixed when it is made,
// without allocating. A Chain is for one goroutine.
//
// Method: both bus nodes of a row as one 2×2 block, block tridiagonal
// elimination from the first row to the last. When plus and minus are fed at
// one row they carry equal currents at every cut, the two conductors count as
// one, and tree elimination does it (see Folded).
type Chain struct {
	newton
	block []chainBlock
	node  []branch
}

type chainBlock struct {
	d    sym // inverse of the eliminated diagonal block
	j    vec
	p, n float64 // S, to the next row
	v    vec
}

// NewChain makes room for lamps of up to that many rows.
func NewChain(maxRows int) *Chain {
	c := &Chain{block: make([]chainBlock, maxRows), node: make([]branch, maxRows)}
	c.room(maxRows)
	c.law = make([]int32, maxRows)
	c.laws = make([]curve, maxRows)
	return c
}

// RowV is the voltage, V, between the tapped pads' bus nodes of each row after
// Solve.
func (c *Chain) RowV() []float64 { return c.uv }

// RowI is the current, A, of each row after Solve.
func (c *Chain) RowI() []float64 { return c.ui }

// leastOhm keeps conductances finite where a wire has no resistance.
const leastOhm = 1e-6

// Solve works the lamp out. ErrOutsideTable means that a row's table does not
// reach to its voltage.
func (c *Chain) Solve(l *ChainLamp) (ChainResult, error) {
	n := len(l.Rows)
	if n == 0 || n > len(c.block) || len(l.BusPlus) != n-1 || len(l.BusMinus) != n-1 ||
		l.FeedPlus < 0 || l.FeedPlus >= n || l.FeedMinus < 0 || l.FeedMinus >= n {
		return ChainResult{}, fmt.Errorf("chain lamp: %d rows (room for %d), %d and %d bus segments, feeds at rows %d and %d; segments must be rows less one and feeds one of the rows", n, len(c.block), len(l.BusPlus), len(l.BusMinus), l.FeedPlus, l.FeedMinus)
	}
	if !(l.VOC > 0 && l.VOC <= 60 && l.RPlus >= 0 && l.RMinus >= 0) {
		return ChainResult{}, fmt.Errorf("chain lamp: supply %g V, leads %g and %g Ω; allowed: above 0 to 60 V, 0 Ω or more", l.VOC, l.RPlus, l.RMinus)
	}
	c.uv, c.ui, c.ug, c.uw = c.uv[:n], c.ui[:n], c.ug[:n], c.uw[:n]
	c.bal, c.step, c.change, c.law, c.laws = c.bal[:n], c.step[:n], c.change[:n], c.law[:n], c.laws[:n]
	c.rounds = 0
	for i, t := range l.Rows {
		c.laws[i].kind, c.laws[i].table, c.laws[i].cap = tabulated, t, t.cap
		c.law[i] = int32(i)
		c.uv[i], c.bal[i] = l.VOC, 0
		if i > 0 && t == l.Rows[i-1] {
			c.ui[i], c.ug[i] = c.ui[i-1], c.ug[i-1]
		} else {
			c.ui[i], c.ug[i] = t.current(l.VOC)
		}
	}
	fold := l.FeedPlus == l.FeedMinus
	if !fold {
		for i := range n - 1 {
			b := &c.block[i]
			if i > 0 && l.BusPlus[i] == l.BusPlus[i-1] && l.BusMinus[i] == l.BusMinus[i-1] {
				b.p, b.n = c.block[i-1].p, c.block[i-1].n
				continue
			}
			b.p, b.n = 1/max(l.BusPlus[i], leastOhm), 1/max(l.BusMinus[i], leastOhm)
		}
	}
	gp, gn := 1/max(l.RPlus, leastOhm), 1/max(l.RMinus, leastOhm)
	for {
		var t float64
		if fold {
			t = c.sweepFolded(l)
		} else {
			t = c.sweep(l, gp, gn)
		}
		if done, err := c.advance(t); err != nil {
			return ChainResult{}, err
		} else if done {
			break
		}
	}
	r := ChainResult{Low: math.Inf(1), Rounds: c.rounds}
	for i, t := range l.Rows {
		s, ok := t.At(c.uv[i])
		if !ok {
			return ChainResult{}, fmt.Errorf("row %d at %.3g V, table %.3g to %.3g V: %w", i, c.uv[i], t.lo, t.hi, ErrOutsideTable)
		}
		r.Current += s.Current
		r.Low, r.High = min(r.Low, s.Low), max(r.High, s.High)
		r.UnitPower += s.UnitPower
		r.Flux += s.Flux
	}
	r.SupplyEnd = l.VOC - r.Current*(l.RPlus+l.RMinus)
	return r, nil
}

func (c *Chain) sweep(l *ChainLamp, gp, gn float64) float64 {
	n := len(l.Rows)
	b := c.block[:n]
	var above sym // what elimination of the row before leaves on this one
	var j vec
	for i := range b {
		g := c.ug[i]
		cur := c.ui[i] - g*c.uv[i]
		m := sym{above.a + g, above.b - g, above.d + g}
		j.x -= cur
		j.y += cur
		if i < n-1 {
			m.a += b[i].p
			m.d += b[i].n
		}
		if i > 0 {
			m.a += b[i-1].p
			m.d += b[i-1].n
		}
		if i == l.FeedPlus {
			m.a += gp
			j.x += gp * l.VOC
		}
		if i == l.FeedMinus {
			m.d += gn
		}
		inv := 1 / (m.a*m.d - m.b*m.b)
		e := sym{m.d * inv, -m.b * inv, m.a * inv}
		b[i].d, b[i].j = e, j
		if i < n-1 {
			p, q := b[i].p, b[i].n
			u := e.times(j)
			above = sym{-p * p * e.a, -p * q * e.b, -q * q * e.d}
			j = vec{p * u.x, q * u.y}
		}
	}
	t := 1.0
	for i := n - 1; i >= 0; i-- {
		j := b[i].j
		if i < n-1 {
			j.x += b[i].p * b[i+1].v.x
			j.y += b[i].n * b[i+1].v.y
		}
		b[i].v = b[i].d.times(j)
		t = c.propose(i, b[i].v.x-b[i].v.y, t)
	}
	return t
}

// sweepFolded draws the rows in towards the feed and spreads the voltages.
func (c *Chain) sweepFolded(l *ChainLamp) float64 {
	n, feed := len(l.Rows), l.FeedPlus
	b := c.node[:n]
	for i := range b {
		g := c.ug[i]
		b[i] = branch{g: g, c: c.ui[i] - g*c.uv[i]}
	}
	draw := func(at, to *branch, r float64) {
		at.r, at.k = r, 1/(1+r*at.g)
		to.g += at.g * at.k
		to.c += at.c * at.k
	}
	for i := 0; i < feed; i++ {
		draw(&b[i], &b[i+1], l.BusPlus[i]+l.BusMinus[i])
	}
	for i := n - 1; i > feed; i-- {
		draw(&b[i], &b[i-1], l.BusPlus[i-1]+l.BusMinus[i-1])
	}
	rIn := l.RPlus + l.RMinus
	t := 1.0
	// From here on a node's c is its voltage.
	b[feed].c = (l.VOC - rIn*b[feed].c) / (1 + rIn*b[feed].g)
	t = c.propose(feed, b[feed].c, t)
	for i := feed - 1; i >= 0; i-- {
		b[i].c = (b[i+1].c - b[i].r*b[i].c) * b[i].k
		t = c.propose(i, b[i].c, t)
	}
	for i := feed + 1; i < n; i++ {
		b[i].c = (b[i-1].c - b[i].r*b[i].c) * b[i].k
		t = c.propose(i, b[i].c, t)
	}
	return t
}
