package circuit

import (
	"fmt"
	"math"
)

// FoldedLamp is a lamp whose plus and minus currents are equal at every cut:
// rows wired at one end to a bus pair of one wire size, both leads at the same
// row. Only voltage differences matter then, and the two conductors count as
// one. With a second channel the plus conductor is shared and there are two
// minus conductors.
type FoldedLamp struct {
	VOC    float64    // V
	RPlus  float64    // Ω: supply, plus lead, contact
	RMinus [2]float64 // Ω: minus lead, contact and dimmer of each channel; +Inf for off

	Bus     []float64 // Ω, one conductor, between rows i and i+1
	FeedRow int
	Tap     float64 // Ω, one conductor
	RUnit   float64 // Ω per unit length, one rail
	JointR  float64 // Ω, one rail
	Joints  [][]int // units before which row i has a joint; may be nil

	Units       []int // in each row
	Channels    [2]*Unit
	Interleaved bool // row i belongs to channel i%2; otherwise every row to all
}

// Folded gives the folded form of a layout, and false when the scheme does not
// allow it (leads at different rows, buses at different ends, serpentine).
func (l *Layout) Folded() (FoldedLamp, bool) {
	if l.Feed != FeedFirst && l.Feed != FeedMiddle || l.Validate() != nil {
		return FoldedLamp{}, false
	}
	lead := l.Lead.OhmPerM(orRoom(l.LeadK)) * l.LeadLength
	row, _ := l.FeedRows()
	f := FoldedLamp{
		VOC: l.VOC, RPlus: l.RInt + lead + l.RContact, FeedRow: row, Tap: l.RTap,
		RUnit: l.RailR * l.CutLength, JointR: l.JointR, Joints: l.Joints,
		Units: l.RowUnits, Interleaved: l.Interleaved,
	}
	ohm := l.Bus.OhmPerM(orRoom(l.BusK))
	for i := range len(l.RowUnits) - 1 {
		f.Bus = append(f.Bus, ohm*l.pitch(i))
	}
	for c := range l.Channels {
		f.Channels[c] = &l.Channels[c].Unit
		f.RMinus[c] = lead + l.RContact + l.RDimmer
		if l.Channels[c].Off {
			f.RMinus[c] = math.Inf(1)
		}
	}
	return f, true
}

// FoldedResult is what a folded lamp does, by channel where it is an array.
type FoldedResult struct {
	Current        float64    // A, supply
	ChannelCurrent [2]float64 // A
	Min, Max, Mean [2]float64 // A, over units above LitCurrent
	Lit            [2]int
	UnitPower      float64 // W
	Rounds         int
}

// MinOverMax is the smaller of the channels' ratios of dimmest to brightest
// unit current; 0 when nothing is lit.
func (r *FoldedResult) MinOverMax() float64 {
	m := 0.0
	for c := range r.Min {
		if r.Lit[c] > 0 && (m == 0 || r.Min[c]/r.Max[c] < m) {
			m = r.Min[c] / r.Max[c]
		}
	}
	return m
}

// Folded solves folded lamps of up to a size fixed when it is made, without
// allocating. A Folded is for one goroutine.
//
// Method: tree elimination. With each unit linearised as I = G·V + C, the far
// end of a branch is drawn in through its series resistance R by
// (G, C) → (G, C)/(1 + R·G); the sweep outwards gives the voltages. With two
// channels G and R are 2×2 matrices, the shared plus their off-diagonal.
type Folded struct {
	newton
	maxRows, maxUnits int
	far, node         []branch  // scalar sweep, by unit and by row
	far2, node2       []branch2 // the same with two channels
	jr                []float64 // joint resistance before each unit
}

// branch is a node as its feeder sees it: total conductance and current
// behind it, and 1/(1+R·G) of the resistance R towards the feeder.
type branch struct{ g, c, k, r float64 }

// NewFolded makes room for lamps of up to that many rows of that many units.
func NewFolded(maxRows, maxUnits int) *Folded {
	n := maxRows * maxUnits
	f := &Folded{maxRows: maxRows, maxUnits: maxUnits}
	f.room(2 * n)
	f.law = make([]int32, 2*n)
	f.laws = make([]curve, 2)
	f.far, f.node = make([]branch, n), make([]branch, maxRows)
	f.far2, f.node2 = make([]branch2, n), make([]branch2, maxRows)
	f.jr = make([]float64, n)
	return f
}

// UnitV and UnitI are the unit voltages (V) and currents (A) of the last
// Solve: rows in order; with two channels in every strip, channel 1 and 2 of
// each unit next to each other.
func (f *Folded) UnitV() []float64 { return f.uv }

// UnitI: see UnitV.
func (f *Folded) UnitI() []float64 { return f.ui }

func (f *Folded) check(l *FoldedLamp) (units int, err error) {
	n := len(l.Units)
	if n == 0 || n > f.maxRows || len(l.Bus) != n-1 || l.FeedRow < 0 || l.FeedRow >= n || l.Channels[0] == nil {
		return 0, fmt.Errorf("folded lamp: %d rows, %d bus segments, feed at row %d, room for %d rows; segments must be rows less one and the feed one of the rows", n, len(l.Bus), l.FeedRow, f.maxRows)
	}
	for _, u := range l.Units {
		if u < 1 || u > f.maxUnits {
			return 0, fmt.Errorf("folded lamp: a row of %d units; allowed: 1 to %d", u, f.maxUnits)
		}
		units += u
	}
	sum := l.RPlus + l.Tap + l.RUnit + l.JointR
	low := min(l.RPlus, l.Tap, l.RUnit, l.JointR)
	for _, r := range l.Bus {
		sum += r
		low = min(low, r)
	}
	if !(l.VOC > 0 && l.VOC <= 60 && low >= 0 && sum < 1e9) || !(l.RMinus[0] >= 0 && l.RMinus[1] >= 0) {
		return 0, fmt.Errorf("folded lamp: supply %g V and resistances; allowed: above 0 to 60 V, resistances 0 or more", l.VOC)
	}
	return units, nil
}

// Solve works the lamp out.
func (f *Folded) Solve(l *FoldedLamp) (FoldedResult, error) {
	n, err := f.check(l)
	if err != nil {
		return FoldedResult{}, err
	}
	if l.Channels[1] != nil {
		return f.solve2(l, n)
	}
	if math.IsInf(l.RMinus[0], 1) {
		return FoldedResult{}, nil
	}
	f.begin(n, l.VOC, l.Channels[0], nil)
	f.joints(l, n)
	for {
		t := f.sweep(l)
		if done, err := f.advance(t); err != nil {
			return FoldedResult{}, err
		} else if done {
			break
		}
	}
	var r FoldedResult
	r.Rounds = f.rounds
	f.tally(&r, 0, f.uv, f.ui, 1)
	r.Current = r.ChannelCurrent[0]
	return r, nil
}

// begin puts n units at the open-circuit voltage, the second of each pair
// following the second law if there is one.
func (f *Folded) begin(n int, voc float64, a, b *Unit) {
	f.laws[0] = a.curve()
	pair := 1
	if b != nil {
		f.laws[1] = b.curve()
		pair = 2
	}
	f.uv, f.ui, f.ug, f.uw = f.uv[:n], f.ui[:n], f.ug[:n], f.uw[:n]
	f.bal, f.step, f.change = f.bal[:n], f.step[:n], f.change[:n]
	f.law = f.law[:n]
	f.rounds = 0
	var w [2]float64
	var i, g [2]float64
	for c := range pair {
		law := &f.laws[c]
		i[c], g[c] = law.at(voc)
		if law.kind == SeriesDiode {
			w[c] = i[c]/law.aOverB + law.w0
		}
	}
	for k := range n {
		c := 0
		if pair == 2 {
			c = k & 1
		}
		f.law[k] = int32(c)
		f.uv[k], f.ui[k], f.ug[k], f.uw[k], f.bal[k] = voc, i[c], g[c], w[c], 0
	}
}

// joints spreads the joint resistances over the units.
func (f *Folded) joints(l *FoldedLamp, n int) {
	clear(f.jr[:n])
	at := 0
	for i, u := range l.Units {
		if l.Joints != nil {
			for _, k := range l.Joints[i] {
				if k >= 0 && k < u {
					f.jr[at+k] += l.JointR
				}
			}
		}
		at += u
	}
}

// sweep draws the whole tree in, spreads the voltages and proposes them.
func (f *Folded) sweep(l *FoldedLamp) float64 {
	rUnit, tap := 2*l.RUnit, 2*l.Tap
	at := 0
	for i, units := range l.Units {
		var g, c float64
		far := f.far[at : at+units]
		uv, ui, ug, jr := f.uv[at:at+units], f.ui[at:at+units], f.ug[at:at+units], f.jr[at:at+units]
		for k := units - 1; k >= 0; k-- {
			gk := ug[k]
			g += gk
			c += ui[k] - gk*uv[k]
			r := rUnit + 2*jr[k]
			if k == 0 {
				r += tap - l.RUnit // half a unit's length at the pad
			}
			s := 1 / (1 + r*g)
			far[k] = branch{g, c, s, r}
			g *= s
			c *= s
		}
		f.node[i] = branch{g: g, c: c}
		at += units
	}
	n := len(l.Units)
	feed := &f.node[l.FeedRow]
	draw := func(i, towards int, r float64) {
		b := &f.node[i]
		b.r = r
		b.k = 1 / (1 + r*b.g)
		f.node[towards].g += b.g * b.k
		f.node[towards].c += b.c * b.k
	}
	for i := 0; i < l.FeedRow; i++ {
		draw(i, i+1, 2*l.Bus[i])
	}
	for i := n - 1; i > l.FeedRow; i-- {
		draw(i, i-1, 2*l.Bus[i-1])
	}
	rIn := l.RPlus + l.RMinus[0]
	v := (l.VOC - rIn*feed.c) / (1 + rIn*feed.g)
	// From here on a node's c is its voltage.
	feed.c = v
	for i := l.FeedRow - 1; i >= 0; i-- {
		b := &f.node[i]
		b.c = (f.node[i+1].c - b.r*b.c) * b.k
	}
	for i := l.FeedRow + 1; i < n; i++ {
		b := &f.node[i]
		b.c = (f.node[i-1].c - b.r*b.c) * b.k
	}
	t := 1.0
	at = 0
	limit := f.laws[0].cap
	for i, units := range l.Units {
		v := f.node[i].c
		for k, b := range f.far[at : at+units] {
			v = (v - b.r*b.c) * b.k
			dv := v - f.uv[at+k]
			f.step[at+k] = dv
			if limit > 0 && math.Abs(dv)*t > limit {
				t = limit / math.Abs(dv)
			}
		}
		at += units
	}
	return t
}

// tally sums up one channel: every stride-th unit.
func (f *Folded) tally(r *FoldedResult, c int, v, i []float64, stride int) {
	lo, hi, sum, lit := math.Inf(1), 0.0, 0.0, 0
	for k := c * (stride - 1); k < len(i); k += stride {
		amp := i[k]
		r.ChannelCurrent[c] += amp
		r.UnitPower += amp * v[k]
		if amp > LitCurrent {
			lit++
			sum += amp
			lo, hi = min(lo, amp), max(hi, amp)
		}
	}
	if lit > 0 {
		r.Min[c], r.Max[c], r.Mean[c], r.Lit[c] = lo, hi, sum/float64(lit), lit
	}
}
