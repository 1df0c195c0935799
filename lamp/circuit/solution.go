package circuit

import "math"

// LitCurrent, A, is the current above which a unit counts as lit.
const LitCurrent = 1e-6

// State says what a unit does.
type State uint8

const (
	// Lit: it carries more than LitCurrent.
	Lit State = iota
	// Dark: joined to the supply, but with too little or reversed voltage.
	Dark
	// Open: cut off; its voltage depends on nothing the network says, and V
	// and I are given as zero.
	Open
)

// String gives lit, dark or open.
func (s State) String() string {
	if s > Open {
		return "?"
	}
	return [...]string{"lit", "dark", "open"}[s]
}

// Units are the results of one channel of one row, unit by unit.
type Units struct {
	V     []float64 // V across the unit
	I     []float64 // A
	State []State
}

// Current is the channel's total, A.
func (u Units) Current() float64 {
	t := 0.0
	for _, i := range u.I {
		t += i
	}
	return t
}

// RowSolution is what one row does.
type RowSolution struct {
	First, Second Units   // by channel; Second is empty on a single-channel strip
	Current       float64 // A, all units
	Power         float64 // W, all units
}

// Loss is the power, W, turned to heat in each kind of conductor.
type Loss struct {
	Supply  float64 // the source's internal resistance; not copper of the lamp
	Lead    float64
	Contact float64
	Dimmer  float64
	Bus     float64
	Rails   float64
	Joints  float64
	Taps    float64
	Jumpers float64
}

// Lamp is the sum of everything but the supply's own loss, W.
func (l Loss) Lamp() float64 {
	return l.Lead + l.Contact + l.Dimmer + l.Bus + l.Rails + l.Joints + l.Taps + l.Jumpers
}

// Extent says how evenly a set of units is driven, over those that carry more
// than LitCurrent; all zero when none does.
type Extent struct {
	Min, Max, Mean float64 // A
	Spread         float64 // (Max-Min)/Mean
	MinOverMax     float64
	CV             float64 // standard deviation over mean
	Units, Lit     int     // all units, and those lit
}

// extent sums up the currents of several channels.
func extent(all ...Units) Extent {
	e := Extent{Min: math.Inf(1)}
	sum, sq := 0.0, 0.0
	for _, u := range all {
		e.Units += len(u.I)
		for _, i := range u.I {
			if i > LitCurrent {
				e.Lit++
				e.Min, e.Max = min(e.Min, i), max(e.Max, i)
				sum += i
			}
		}
	}
	if e.Lit == 0 {
		return Extent{Units: e.Units}
	}
	e.Mean = sum / float64(e.Lit)
	for _, u := range all {
		for _, i := range u.I {
			if i > LitCurrent {
				sq += (i - e.Mean) * (i - e.Mean)
			}
		}
	}
	e.CV = math.Sqrt(sq/float64(e.Lit)) / e.Mean
	e.Spread = (e.Max - e.Min) / e.Mean
	e.MinOverMax = e.Min / e.Max
	return e
}

// Solution is a solved circuit.
type Solution struct {
	SupplyCurrent float64 // A
	SupplyV       float64 // V at the plus terminal, behind the internal resistance
	Rows          []RowSolution

	Extent // over all units

	UnitPower        float64 // W, all units
	SupplyPower      float64 // W, delivered by the ideal source
	Loss             Loss
	CopperEfficiency float64 // UnitPower/SupplyPower; zero when nothing flows

	BusV     [][]float64  // V against the minus pole, each bus, each node; 0 where NotConnected
	Segments [][]float64  // A, each bus, each segment, from node i to i+1
	Taps     [][]float64  // A, each row, each tap, from pad to bus
	Leads    [][2]float64 // A, each feed: out of the terminal, into the minus pole
	Jumpers  []float64    // A, from A to B

	NotConnected []string // nodes whose voltage nothing fixes
	Rounds       int      // of the iteration
}

// Solve works out a network. It returns an error for a network that cannot be
// (Validate), for a dead short (ErrShort) and when the iteration fails
// (ErrNotConverged). A part that is cut off is no error: its units are Open.
func Solve(n *Network) (*Solution, error) {
	s, err := Compile(n)
	if err != nil {
		return nil, err
	}
	if err := s.Run(); err != nil {
		return nil, err
	}
	return s.Solution(), nil
}

// UnitV is the voltage, V, across each unit after Run: rows in order, in each
// row the first channel, then the second.
func (s *Solver) UnitV() []float64 { return s.uv }

// UnitI is the current, A, of each unit after Run, in the order of UnitV.
func (s *Solver) UnitI() []float64 { return s.ui }

// Rounds is the number of linear solves the last Run took.
func (s *Solver) Rounds() int { return s.rounds }

// Solution sets out the results of the last Run.
func (s *Solver) Solution() *Solution {
	s.backward(0, s.still)
	out := &Solution{Rounds: s.rounds}
	live := s.live()
	s.unitResults(out, live)
	amps := s.currents(live)

	out.SupplyV = s.potential(s.num[rawTerminal])
	out.SupplyCurrent = s.supplyCurrent(amps)
	for k, u := range s.units {
		if s.cluster[u.anode] == s.cluster[rawSource] && s.cluster[u.cathode] != s.cluster[rawSource] && live[k] {
			out.SupplyCurrent += s.ui[k]
		}
	}
	out.SupplyPower = s.voc * out.SupplyCurrent
	s.account(out, amps)
	if out.SupplyPower > 0 {
		out.CopperEfficiency = out.UnitPower / out.SupplyPower
	}
	out.NotConnected = s.notConnected()
	return out
}

// supplyCurrent is what the source gives to resistors, A.
func (s *Solver) supplyCurrent(amps []float64) float64 {
	total, src := 0.0, s.cluster[rawSource]
	for k, r := range s.resistors {
		switch from, to := s.cluster[r.a] == src, s.cluster[r.b] == src; {
		case from && !to:
			total += amps[k]
		case to && !from:
			total -= amps[k]
		}
	}
	return total
}

func (s *Solver) unitResults(out *Solution, live []bool) {
	out.Rows = make([]RowSolution, len(s.net.Rows))
	for i := range out.Rows {
		fill := func(n int) Units {
			return Units{make([]float64, n), make([]float64, n), make([]State, n)}
		}
		out.Rows[i].First = fill(len(s.net.Rows[i].Units))
		out.Rows[i].Second = fill(len(s.net.Rows[i].Second))
	}
	for k, e := range s.units {
		row := &out.Rows[e.row]
		u := &row.First
		if e.channel == 1 {
			u = &row.Second
		}
		if !live[k] {
			u.State[e.unit] = Open
			continue
		}
		v, i := s.uv[k], s.ui[k]
		u.V[e.unit], u.I[e.unit], u.State[e.unit] = v, i, Dark
		if i > LitCurrent {
			u.State[e.unit] = Lit
		}
		row.Current += i
		row.Power += v * i
		out.UnitPower += v * i
	}
	var all []Units
	for _, r := range out.Rows {
		all = append(all, r.First, r.Second)
	}
	out.Extent = extent(all...)
}

// account shares losses and currents out among the network's parts, in the
// order in which connect listed them.
func (s *Solver) account(out *Solution, amps []float64) {
	n := s.net
	k := 0
	next := func() (i, heat float64) {
		i = amps[k]
		if r := s.resistors[k].r; !math.IsInf(r, 1) {
			heat = i * i * r
		}
		k++
		return i, heat
	}
	share := func(part, whole, heat float64) float64 {
		if !(part > 0) || math.IsInf(whole, 1) {
			return 0
		}
		return heat * part / whole
	}
	_, out.Loss.Supply = next()
	out.Leads = make([][2]float64, len(n.Feeds))
	for f, feed := range n.Feeds {
		if feed.PosAt != (Node{}) {
			i, heat := next()
			out.Leads[f][0] = i
			all := feed.RPos + feed.ContactPos
			out.Loss.Lead += share(feed.RPos, all, heat)
			out.Loss.Contact += share(feed.ContactPos, all, heat)
		}
		if feed.NegAt != (Node{}) {
			i, heat := next()
			out.Leads[f][1] = i
			all := feed.RNeg + feed.ContactNeg + feed.Dimmer
			out.Loss.Lead += share(feed.RNeg, all, heat)
			out.Loss.Contact += share(feed.ContactNeg, all, heat)
			out.Loss.Dimmer += share(feed.Dimmer, all, heat)
		}
	}
	out.Segments, out.BusV = make([][]float64, len(n.Buses)), make([][]float64, len(n.Buses))
	for b := range n.Buses {
		out.Segments[b] = make([]float64, len(n.Buses[b].RSeg))
		for i := range len(n.Buses[b].RSeg) + 1 {
			out.BusV[b] = append(out.BusV[b], s.potential(s.num[s.busBase[b]+int32(i)]))
		}
		for i := range out.Segments[b] {
			amp, heat := next()
			out.Segments[b][i] = amp
			out.Loss.Bus += heat
		}
	}
	out.Taps = make([][]float64, len(n.Rows))
	for i := range n.Rows {
		rails := 2
		if n.Rows[i].Second != nil {
			rails = 3
		}
		for range rails * (len(n.Rows[i].Units) + 1) {
			r := s.resistors[k]
			_, heat := next()
			joint := share(r.joint, r.r, heat)
			out.Loss.Joints += joint
			out.Loss.Rails += heat - joint
		}
		out.Taps[i] = make([]float64, len(n.Rows[i].Taps))
		for t := range out.Taps[i] {
			amp, heat := next()
			out.Taps[i][t] = amp
			out.Loss.Taps += heat
		}
	}
	out.Jumpers = make([]float64, len(n.Jumpers))
	for j := range n.Jumpers {
		amp, heat := next()
		out.Jumpers[j] = amp
		out.Loss.Jumpers += heat
	}
}
