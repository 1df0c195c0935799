package circuit

import "math"

// plan is the elimination written down: which node goes when, who its
// neighbours are then, and which conductance each step adds to.
type plan struct {
	num   []int32 // raw node -> position in the elimination order, or fixed below zero
	n     int     // nodes to eliminate
	still int     // the first of them whose steps no unit touches

	// Node p has neighbours nbr[first[p]:first[p+1]], all later in the order,
	// through conductances slot[…]; pair[pairFirst[p]:…] are the conductances
	// between neighbours i<j, row by row.
	first, pairFirst []int32
	nbr, slot, pair  []int32

	steps []step // the same, laid out for the usual one to three neighbours

	unitSlot []int32    // conductance each unit adds to, or -1 when an end is fixed
	ends     [][2]int32 // position of each unit's anode and cathode, or fixed

	g, d, j    []float64 // working conductances, to fixed nodes, injected current
	g0, d0, j0 []float64 // the same without units, still nodes eliminated
	inv        []float64 // 1 / total conductance of each node at its elimination
	v          []float64 // V
}

// Numbers of nodes whose voltage is given.
const (
	fixedGround int32 = -1
	fixedSource int32 = -2
)

// step is a node of at most three neighbours; pair holds the conductances
// between neighbours 0 and 1, 0 and 2, 1 and 2.
type step struct {
	degree          int32
	nbr, slot, pair [3]int32
}

// edge is a neighbour while the order is being found.
type edge struct{ to, slot int32 }

// order finds an elimination order by least degree (George & Liu, SIAM Review
// 31 (1989) 1), first among nodes that no unit touches and that have at most
// two neighbours: their steps never change and are done once, here.
func (s *Solver) order() {
	touched := make([]bool, s.raw)
	for _, u := range s.units {
		touched[s.cluster[u.anode]], touched[s.cluster[u.cathode]] = true, true
	}
	adj := make([][]edge, s.raw)
	slots := int32(0)
	d := make([]float64, s.raw)
	cur := make([]float64, s.raw)
	var base []float64
	join := func(a, b int32) int32 {
		for _, e := range adj[a] {
			if e.to == b {
				return e.slot
			}
		}
		adj[a] = append(adj[a], edge{b, slots})
		adj[b] = append(adj[b], edge{a, slots})
		base = append(base, 0)
		slots++
		return slots - 1
	}
	src, gnd := s.cluster[rawSource], s.cluster[rawGround]
	fixed := func(c int32) bool { return c == src || c == gnd }
	copper := make([]int32, s.raw)
	for i := range copper {
		copper[i] = s.cluster[i]
	}
	for _, r := range s.resistors {
		if r.link || math.IsInf(r.r, 1) {
			continue
		}
		a, b, g := s.cluster[r.a], s.cluster[r.b], 1/r.r
		if a == b {
			continue
		}
		union(copper, a, b)
		switch {
		case fixed(a) && fixed(b):
		case fixed(a) || fixed(b):
			if fixed(b) {
				a, b = b, a
			}
			d[b] += g
			if a == src {
				cur[b] += g * s.voc
			}
		default:
			base[join(a, b)] += g
		}
	}
	unitSlot := make([]int32, len(s.units))
	for k, u := range s.units {
		a, b := s.cluster[u.anode], s.cluster[u.cathode]
		unitSlot[k] = -1
		if a != b && !fixed(a) && !fixed(b) {
			unitSlot[k] = join(a, b)
		}
	}
	gRoot, sRoot := find(copper, gnd), find(copper, src)
	s.num = make([]int32, s.raw)
	var nodes []int32
	for i := range s.raw {
		c := int32(i)
		if s.cluster[i] != c {
			continue
		}
		switch {
		case c == gnd:
			s.num[i] = fixedGround
		case c == src:
			s.num[i] = fixedSource
		default:
			if r := find(copper, c); r != gRoot && r != sRoot {
				d[i] += leak
			}
			nodes = append(nodes, c)
		}
	}
	s.eliminate(nodes, adj, touched, join)
	for i := range s.raw {
		s.num[i] = s.num[s.cluster[i]]
	}

	n := len(nodes)
	s.n = n
	s.unitSlot = unitSlot
	s.ends = make([][2]int32, len(s.units))
	for k, u := range s.units {
		s.ends[k] = [2]int32{s.num[u.anode], s.num[u.cathode]}
	}
	s.g, s.d, s.j = make([]float64, len(base)), make([]float64, n), make([]float64, n)
	s.inv, s.v = make([]float64, n), make([]float64, n)
	s.g0 = base
	s.d0, s.j0 = make([]float64, n), make([]float64, n)
	for _, c := range nodes {
		p := s.num[c]
		s.d0[p], s.j0[p] = d[c], cur[c]
	}
}

// eliminate fills num, first, nbr, slot and pair. join finds or makes the
// conductance between two nodes.
func (s *Solver) eliminate(nodes []int32, adj [][]edge, touched []bool, join func(a, b int32) int32) {
	var bucket [8][]int32 // nodes of degree 0…6, and the rest
	deg := func(c int32) int { return min(len(adj[c]), len(bucket)-1) }
	gone := make([]bool, s.raw)
	at := int32(0)
	s.first, s.pairFirst = append(s.first, 0), append(s.pairFirst, 0)
	remove := func(c int32) {
		gone[c] = true
		s.num[c] = at
		at++
		for _, e := range adj[c] {
			back := adj[e.to]
			for k := range back {
				if back[k].to == c {
					back[k] = back[len(back)-1]
					adj[e.to] = back[:len(back)-1]
					break
				}
			}
			s.nbr, s.slot = append(s.nbr, e.to), append(s.slot, e.slot)
		}
		for i, e := range adj[c] {
			for _, f := range adj[c][i+1:] {
				s.pair = append(s.pair, join(e.to, f.to))
			}
		}
		s.first, s.pairFirst = append(s.first, int32(len(s.nbr))), append(s.pairFirst, int32(len(s.pair)))
	}
	// Still nodes: repeat while any is left with at most two neighbours.
	work := make([]int32, 0, len(nodes))
	for _, c := range nodes {
		if !touched[c] {
			work = append(work, c)
		}
	}
	for len(work) > 0 {
		c := work[len(work)-1]
		work = work[:len(work)-1]
		if gone[c] || len(adj[c]) > 2 {
			continue
		}
		around := adj[c]
		remove(c)
		for _, e := range around {
			if !touched[e.to] && !gone[e.to] {
				work = append(work, e.to)
			}
		}
	}
	s.still = int(at)
	for _, c := range nodes {
		if !gone[c] {
			bucket[deg(c)] = append(bucket[deg(c)], c)
		}
	}
	for {
		k := 0
		for k < len(bucket) && len(bucket[k]) == 0 {
			k++
		}
		if k == len(bucket) {
			break
		}
		c := bucket[k][len(bucket[k])-1]
		bucket[k] = bucket[k][:len(bucket[k])-1]
		if gone[c] || deg(c) != k {
			continue // an old entry; the node stands in its new bucket too
		}
		around := adj[c]
		remove(c)
		for _, e := range around {
			bucket[deg(e.to)] = append(bucket[deg(e.to)], e.to)
		}
	}
	for i, c := range s.nbr {
		s.nbr[i] = s.num[c]
	}
	s.steps = make([]step, at)
	for p := range s.steps {
		st := &s.steps[p]
		lo, hi := s.first[p], s.first[p+1]
		if st.degree = hi - lo; st.degree <= 3 {
			copy(st.nbr[:], s.nbr[lo:hi])
			copy(st.slot[:], s.slot[lo:hi])
			copy(st.pair[:], s.pair[s.pairFirst[p]:s.pairFirst[p+1]])
		}
	}
}
