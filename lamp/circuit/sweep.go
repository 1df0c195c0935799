package circuit

import "fmt"

// start is where the iteration begins: no unit draws current.
type start struct{ uv, ui, ug, uw []float64 }

// prepare does the steps of the still nodes, makes room for the iteration and
// works out its start.
func (s *Solver) prepare() {
	s.load()
	s.forward(0, s.still)
	copy(s.g0, s.g)
	copy(s.d0, s.d)
	copy(s.j0, s.j)
	k := len(s.units)
	s.room(k)
	s.from = start{make([]float64, k), make([]float64, k), make([]float64, k), make([]float64, k)}
	s.begin()
}

// begin finds where the iteration starts.
func (s *Solver) begin() {
	s.load()
	s.forward(s.still, s.n)
	s.backward(s.still, s.n)
	for k := range s.ends {
		s.uv[k] = s.potential(s.ends[k][0]) - s.potential(s.ends[k][1])
	}
	s.evaluate()
	copy(s.from.uv, s.uv)
	copy(s.from.ui, s.ui)
	copy(s.from.ug, s.ug)
	copy(s.from.uw, s.uw)
}

// SetSupply changes the source's voltage, V; the next Run uses it.
func (s *Solver) SetSupply(voc float64) error {
	if !(voc > 0 && voc <= 60) {
		return fmt.Errorf("supply voltage is %g V; allowed: above 0, up to 60 V", voc)
	}
	for p := range s.j0 { // without units every current is proportional to it
		s.j0[p] *= voc / s.voc
	}
	s.voc = voc
	s.begin()
	return nil
}

// Run solves the circuit and leaves unit voltages and currents in the Solver;
// see UnitV, UnitI and Solution. It gives ErrNotConverged rather than a number
// it cannot answer for.
func (s *Solver) Run() error {
	copy(s.uv, s.from.uv)
	copy(s.ui, s.from.ui)
	copy(s.ug, s.from.ug)
	copy(s.uw, s.from.uw)
	clear(s.bal)
	for s.rounds = 0; ; {
		s.load()
		s.stamp()
		s.forward(s.still, s.n)
		s.backward(s.still, s.n)
		t := 1.0
		for k := range s.ends {
			t = s.propose(k, s.potential(s.ends[k][0])-s.potential(s.ends[k][1]), t)
		}
		if done, err := s.advance(t); done || err != nil {
			return err
		}
	}
}

// load brings the network back to its state without units.
func (s *Solver) load() {
	copy(s.g, s.g0)
	copy(s.d, s.d0)
	copy(s.j, s.j0)
}

// stamp adds every unit's tangent.
func (s *Solver) stamp() {
	for k := range s.ends {
		g := s.ug[k]
		c := s.ui[k] - g*s.uv[k]
		a, b := s.ends[k][0], s.ends[k][1]
		switch e := s.unitSlot[k]; {
		case e >= 0:
			s.g[e] += g
			s.j[a] -= c
			s.j[b] += c
		case a == b:
		default:
			if a >= 0 {
				s.d[a] += g
				s.j[a] += g*s.potential(b) - c
			}
			if b >= 0 {
				s.d[b] += g
				s.j[b] += g*s.potential(a) + c
			}
		}
	}
}

// forward eliminates nodes from..to-1: each spreads its conductance to fixed
// nodes and its current over its neighbours and joins them to each other.
func (s *Solver) forward(from, to int) {
	g, d, j := s.g, s.d, s.j
	j = j[:len(d)]
	for p := from; p < to; p++ {
		st := &s.steps[p]
		switch st.degree {
		case 1:
			g0 := g[st.slot[0]]
			inv := 1 / (d[p] + g0)
			s.inv[p] = inv
			w := g0 * inv
			a := st.nbr[0]
			d[a] += w * d[p]
			j[a] += w * j[p]
		case 2:
			g0, g1 := g[st.slot[0]], g[st.slot[1]]
			inv := 1 / (d[p] + g0 + g1)
			s.inv[p] = inv
			dp, jp := d[p]*inv, j[p]*inv
			a, b := st.nbr[0], st.nbr[1]
			d[a] += g0 * dp
			j[a] += g0 * jp
			d[b] += g1 * dp
			j[b] += g1 * jp
			g[st.pair[0]] += g0 * inv * g1
		case 3:
			g0, g1, g2 := g[st.slot[0]], g[st.slot[1]], g[st.slot[2]]
			inv := 1 / (d[p] + g0 + g1 + g2)
			s.inv[p] = inv
			dp, jp := d[p]*inv, j[p]*inv
			a, b, c := st.nbr[0], st.nbr[1], st.nbr[2]
			d[a] += g0 * dp
			j[a] += g0 * jp
			d[b] += g1 * dp
			j[b] += g1 * jp
			d[c] += g2 * dp
			j[c] += g2 * jp
			w0, w1 := g0*inv, g1*inv
			g[st.pair[0]] += w0 * g1
			g[st.pair[1]] += w0 * g2
			g[st.pair[2]] += w1 * g2
		default:
			s.star(p)
		}
	}
}

// star is the step of a node with any number of neighbours.
func (s *Solver) star(p int) {
	lo, hi := s.first[p], s.first[p+1]
	slot, nbr := s.slot[lo:hi], s.nbr[lo:hi]
	sum := s.d[p]
	for _, e := range slot {
		sum += s.g[e]
	}
	inv := 1 / sum
	s.inv[p] = inv
	dp, jp := s.d[p]*inv, s.j[p]*inv
	pair := s.pair[s.pairFirst[p]:s.pairFirst[p+1]]
	for i, e := range slot {
		ge := s.g[e]
		s.d[nbr[i]] += dp * ge
		s.j[nbr[i]] += jp * ge
		w := ge * inv
		rest := slot[i+1:]
		for m, f := range rest {
			s.g[pair[m]] += w * s.g[f]
		}
		pair = pair[len(rest):]
	}
}

// backward finds the voltages of nodes to-1 down to from.
func (s *Solver) backward(from, to int) {
	g, v := s.g, s.v
	for p := to - 1; p >= from; p-- {
		st := &s.steps[p]
		sum := s.j[p]
		switch st.degree {
		case 1:
			sum += g[st.slot[0]] * v[st.nbr[0]]
		case 2:
			sum += g[st.slot[0]]*v[st.nbr[0]] + g[st.slot[1]]*v[st.nbr[1]]
		case 3:
			sum += g[st.slot[0]]*v[st.nbr[0]] + g[st.slot[1]]*v[st.nbr[1]] + g[st.slot[2]]*v[st.nbr[2]]
		default:
			for e := s.first[p]; e < s.first[p+1]; e++ {
				sum += g[s.slot[e]] * v[s.nbr[e]]
			}
		}
		v[p] = sum * s.inv[p]
	}
}

// potential of a position, fixed nodes included.
func (s *Solver) potential(p int32) float64 {
	if p >= 0 {
		return s.v[p]
	}
	if p == fixedSource {
		return s.voc
	}
	return 0
}
