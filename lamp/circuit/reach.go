package circuit

import "math"

// live tells for every unit whether the supply can drive it at all: plus must
// reach its anode and its cathode must reach minus, where copper leads both
// ways and a unit only forward.
func (s *Solver) live() []bool {
	from, to := s.reach()
	live := make([]bool, len(s.units))
	for k, u := range s.units {
		live[k] = from[s.cluster[u.anode]] && to[s.cluster[u.cathode]]
	}
	return live
}

// reach marks the clusters that the plus pole reaches and those that reach the
// minus pole.
func (s *Solver) reach() (from, to []bool) {
	out, in := make([][]int32, s.raw), make([][]int32, s.raw)
	arc := func(a, b int32) {
		out[a], in[b] = append(out[a], b), append(in[b], a)
	}
	for _, r := range s.resistors {
		if !math.IsInf(r.r, 1) {
			a, b := s.cluster[r.a], s.cluster[r.b]
			arc(a, b)
			arc(b, a)
		}
	}
	for _, u := range s.units {
		arc(s.cluster[u.anode], s.cluster[u.cathode])
	}
	gnd, src := s.cluster[rawGround], s.cluster[rawSource]
	// A path may end at a pole but not lead through it.
	return flood(out, src, gnd), flood(in, gnd, src)
}

func flood(next [][]int32, start, stop int32) []bool {
	seen := make([]bool, len(next))
	seen[start] = true
	stack := []int32{start}
	for len(stack) > 0 {
		x := stack[len(stack)-1]
		stack = stack[:len(stack)-1]
		if x == stop {
			continue
		}
		for _, y := range next[x] {
			if !seen[y] {
				seen[y] = true
				stack = append(stack, y)
			}
		}
	}
	return seen
}

// notConnected names the nodes whose voltage nothing fixes: no copper to
// either pole, and not between two units that pass current on.
func (s *Solver) notConnected() []string {
	from, to := s.reach()
	copper := make([]int32, s.raw)
	for i := range copper {
		copper[i] = int32(i)
	}
	for _, r := range s.resistors {
		if !math.IsInf(r.r, 1) {
			union(copper, r.a, r.b)
		}
	}
	gnd, src := find(copper, rawGround), find(copper, rawSource)
	loose := func(raw int32) bool {
		c := find(copper, raw)
		return c != gnd && c != src && !(from[s.cluster[raw]] && to[s.cluster[raw]])
	}
	var names []string
	say := func(x Node) {
		if loose(s.at(x)) {
			names = append(names, s.net.NodeName(x))
		}
	}
	say(Terminal)
	for b := range s.net.Buses {
		for i := range len(s.net.Buses[b].RSeg) + 1 {
			say(BusNode(b, i))
		}
	}
	for i := range s.net.Rows {
		for p := LeftPlus; p < padCount; p++ {
			if p < LeftMinus2 || s.net.Rows[i].Second != nil {
				say(PadNode(i, p))
			}
		}
	}
	return names
}

// currents gives the current of every resistor from a to b. Where two nodes
// are joined without resistance the voltage says nothing, and the currents
// follow from the balance of each node.
func (s *Solver) currents(live []bool) []float64 {
	amps := make([]float64, len(s.resistors))
	out := make([]float64, s.raw) // A leaving each raw node through everything but links
	for k, r := range s.resistors {
		if r.link || math.IsInf(r.r, 1) {
			continue
		}
		i := (s.potential(s.num[r.a]) - s.potential(s.num[r.b])) / r.r
		amps[k] = i
		out[r.a] += i
		out[r.b] -= i
	}
	for k, u := range s.units {
		if live[k] {
			out[u.anode] += s.ui[k]
			out[u.cathode] -= s.ui[k]
		}
	}
	groups := map[int32][]int{}
	var keys []int32
	for k, r := range s.resistors {
		if r.link && r.a != r.b {
			c := s.cluster[r.a]
			if groups[c] == nil {
				keys = append(keys, c)
			}
			groups[c] = append(groups[c], k)
		}
	}
	for _, c := range keys {
		s.linkCurrents(c, groups[c], out, amps)
	}
	return amps
}

// linkCurrents solves the little network of links that makes up one cluster:
// equal conductances, the balance of every node given, the representative as
// reference (a pole represents its cluster).
func (s *Solver) linkCurrents(root int32, links []int, out, amps []float64) {
	index := map[int32]int{root: -1}
	var nodes []int32
	for _, k := range links {
		for _, x := range [2]int32{s.resistors[k].a, s.resistors[k].b} {
			if _, ok := index[x]; !ok {
				index[x] = len(nodes)
				nodes = append(nodes, x)
			}
		}
	}
	n := len(nodes)
	a := make([][]float64, n)
	for i := range a {
		a[i] = make([]float64, n+1)
		a[i][n] = -out[nodes[i]]
	}
	for _, k := range links {
		i, j := index[s.resistors[k].a], index[s.resistors[k].b]
		if i >= 0 {
			a[i][i]++
		}
		if j >= 0 {
			a[j][j]++
		}
		if i >= 0 && j >= 0 {
			a[i][j]--
			a[j][i]--
		}
	}
	// Symmetric, diagonally dominant: no pivoting needed.
	for p := range n {
		for i := p + 1; i < n; i++ {
			if f := a[i][p] / a[p][p]; f != 0 {
				for j := p; j <= n; j++ {
					a[i][j] -= f * a[p][j]
				}
			}
		}
	}
	x := make([]float64, n)
	for p := n - 1; p >= 0; p-- {
		t := a[p][n]
		for j := p + 1; j < n; j++ {
			t -= a[p][j] * x[j]
		}
		x[p] = t / a[p][p]
	}
	at := func(raw int32) float64 {
		if i := index[raw]; i >= 0 {
			return x[i]
		}
		return 0
	}
	for _, k := range links {
		amps[k] = at(s.resistors[k].a) - at(s.resistors[k].b)
	}
}
