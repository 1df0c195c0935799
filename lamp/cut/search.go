package cut

import (
	"container/heap"
	"fmt"
	"math"
	"slices"
)

// mostStates bounds the search; beyond it a plan is given without the proof.
const mostStates = 3_000_000

// quickStates is where the search stops to fetch better bounds.
const quickStates = 15_000

// tieStates bounds the second search, which only looks for the better of
// plans of equal cost.
const tieStates = 20_000

// grain is far below any cost that means something and far above tie-breaks.
const grain = 1e-4

// state is a place on the reels with what is still to be cut.
type state struct {
	reel, pos, mode int
	demand          int32
}

func (s state) key() uint64 {
	return uint64(uint32(s.demand))<<32 | uint64(s.reel)<<20 | uint64(s.pos)<<4 | uint64(s.mode)
}

// node is a state reached at a cost, and how.
type node struct {
	state
	cost   float64
	parent int32
	piece  [2]int16 // units from, to, cut on the way; equal when none
	option int16    // of the parent's demand
}

// queue orders nodes by cost plus bound, then by what is left to be cut.
type queue struct {
	f     []float64
	units []int32
	node  []int32
}

func (q *queue) Len() int { return len(q.f) }
func (q *queue) Less(a, b int) bool {
	if q.f[a] != q.f[b] {
		return q.f[a] < q.f[b]
	}
	return q.units[a] < q.units[b]
}
func (q *queue) Swap(a, b int) {
	q.f[a], q.f[b] = q.f[b], q.f[a]
	q.units[a], q.units[b] = q.units[b], q.units[a]
	q.node[a], q.node[b] = q.node[b], q.node[a]
}
func (q *queue) Push(x any) {
	e := x.(entry)
	q.f, q.units, q.node = append(q.f, e.f), append(q.units, e.units), append(q.node, e.node)
}
func (q *queue) Pop() any {
	n := len(q.f) - 1
	e := entry{q.f[n], q.units[n], q.node[n]}
	q.f, q.units, q.node = q.f[:n], q.units[:n], q.node[:n]
	return e
}

type entry struct {
	f           float64
	units, node int32
}

// search is one best-first search; weight 1 finds the cheapest plan, more
// finds some plan sooner. A fine search minds the tie-breaks; a coarse one
// takes costs that differ by less than grain as equal and goes for depth.
type search struct {
	p      *problem
	weight float64
	fine   bool
	limit  float64 // plans dearer than this are not looked for
	nodes  []node
	best   map[uint64]float64
	open   queue
}

// prepare fills in the bounds.
func (p *problem) prepare() {
	p.plain = p.bounds(func(int) float64 { return 0 })
	if p.job.MaxPieces > 1 {
		p.half = p.bounds(func(l int) float64 {
			if slices.Contains(p.book.types, l) {
				return 0
			}
			return p.splice / 2
		})
	}
}

// relaxed is the lower bound of the whole problem, the trace of tie-breaks in
// it; infinite when even the simpler problem has no plan.
func (p *problem) relaxed() float64 {
	if p.plain.fresh == nil {
		p.prepare()
	}
	return p.least(0, 0, fresh, p.start)
}

// solve finds a cheapest plan.
func (p *problem) solve() *Plan {
	plan := &Plan{Bound: p.relaxed()}
	if math.IsInf(plan.Bound, 1) {
		plan.Bound = 0
		plan.Proven = true
		plan.Why = p.lack()
		return plan
	}
	look := func(weight float64, fine bool, most int, limit float64) (rows []Row, cost, lower float64) {
		s := search{p: p, weight: weight, fine: fine, limit: limit, best: map[uint64]float64{}}
		goal, lower := s.run(most)
		plan.Explored += len(s.nodes)
		if goal < 0 {
			return nil, math.Inf(1), lower
		}
		return s.rows(goal), s.nodes[goal].cost, lower
	}
	rows, cost, lower := look(1, false, quickStates, math.Inf(1))
	if rows == nil && lower >= 0 {
		// Not settled at once: get some plan, then better bounds, and search on
		// below its cost.
		for _, w := range []float64{1.05, 1.3, 3} {
			if rows, cost, _ = look(w, false, 2*quickStates, math.Inf(1)); rows != nil {
				break
			}
		}
		p.improve(cost)
		better, c, low := look(1, false, mostStates, cost-grain)
		if better != nil {
			rows, cost = better, c
		}
		lower = low
		if better != nil {
			lower = -1
		}
	} else if rows != nil {
		lower = -1
	}
	plan.Proven = lower < 0
	plan.Bound = clean(max(plan.Bound, p.relaxed()))
	if !plan.Proven {
		plan.Bound = clean(max(plan.Bound, lower))
	}
	switch {
	case rows != nil:
		plan.Feasible, plan.Rows = true, rows
		if tidy, _, _ := look(1, true, tieStates, cost+grain/2); tidy != nil && plan.Proven {
			plan.Rows = tidy
		}
	case plan.Proven:
		plan.Why = "the units would do, but no way of cutting them gives every row: joints, shortest pieces and row lengths do not fit together"
	default:
		plan.Why = fmt.Sprintf("no plan found within %d states; allow joints or more pieces a row, or plan fewer trays at once", plan.Explored)
	}
	return plan
}

// clean takes the trace of tie-breaks off a cost.
func clean(x float64) float64 { return math.Round(x*1e4) / 1e4 }

// lack says what is missing when the simpler problem has no plan.
func (p *problem) lack() string {
	need, have := 0, 0
	for _, r := range p.rows {
		need += r.units
	}
	for _, r := range p.reels {
		have += p.job.Reels[r].Units
	}
	switch {
	case need > have:
		return fmt.Sprintf("the rows need %d units, the reels hold %d", need, have)
	case p.job.MaxPieces == 1 && p.book.types[0] > p.longest:
		return fmt.Sprintf("a row of %d units is longer than the longest piece of %d; allow joints or splices", p.book.types[0], p.longest)
	}
	return fmt.Sprintf("the rows need %d units, the reels hold %d, but not in pieces long enough", need, have)
}

func (s *search) push(st state, cost float64, parent int32, from, to int, opt int) {
	h := s.p.least(st.reel, st.pos, st.mode, st.demand)
	if math.IsInf(h, 1) {
		return
	}
	k := st.key()
	if old, ok := s.best[k]; ok && old <= cost+1e-13 {
		return
	}
	s.best[k] = cost
	s.nodes = append(s.nodes, node{st, cost, parent, [2]int16{int16(from), int16(to)}, int16(opt)})
	if cost+h > s.limit {
		return
	}
	f := cost + s.weight*h
	if !s.fine {
		f = math.Round(f/grain) * grain
	}
	heap.Push(&s.open, entry{f, int32(s.p.book.list[st.demand].units), int32(len(s.nodes) - 1)})
}

// run gives the node of the finished plan, or -1; lower is then the bound
// reached, or below zero when every state was looked at.
func (s *search) run(most int) (goal int32, lower float64) {
	p := s.p
	s.push(state{0, 0, fresh, p.start}, 0, -1, 0, 0, 0)
	for s.open.Len() > 0 {
		e := heap.Pop(&s.open).(entry)
		n := s.nodes[e.node]
		if n.cost > s.best[n.key()] {
			continue
		}
		d := p.book.list[n.demand]
		if d.units == 0 && n.mode == fresh {
			return e.node, e.f
		}
		if len(s.nodes) > most {
			return -1, e.f
		}
		s.expand(e.node, n)
	}
	return -1, -1
}

func (s *search) expand(at int32, n node) {
	p := s.p
	if n.mode == fresh {
		if n.reel == len(p.reels) {
			return
		}
		s.push(state{p.skip[n.reel], 0, fresh, n.demand}, n.cost, at, 0, 0, 0)
		s.push(state{n.reel, 0, after, n.demand}, n.cost+p.open[n.reel], at, 0, 0, 0)
		return
	}
	size := p.job.Reels[p.reels[n.reel]].Units
	leave := 0.0
	if n.mode == after {
		leave = p.tail(n.reel, n.pos)
	}
	s.push(state{n.reel + 1, 0, fresh, n.demand}, n.cost+leave, at, 0, 0, 0)
	options := p.book.options(n.demand)
	cutAt := func(from int, cost float64) {
		for k, o := range options {
			if from+o.length > size {
				continue
			}
			c := p.pieceCost(n.reel, from, from+o.length)
			if math.IsInf(c, 1) {
				continue
			}
			s.push(state{n.reel, from + o.length, after, o.next}, cost+c+o.cost, at, from, from+o.length, k)
		}
	}
	cutAt(n.pos, n.cost)
	if n.mode == inside {
		if n.pos < size {
			s.push(state{n.reel, n.pos + 1, inside, n.demand}, n.cost, at, 0, 0, 0)
		}
		return
	}
	keep := max(p.job.Keep, 1)
	// A piece behind scrap begins at a factory joint: otherwise it, and what
	// lies against it, could move left at no more cost.
	for d := 1; d < keep && n.pos+d < size; d++ {
		if p.joints(n.reel, n.pos+d-1, n.pos+d+1) > 0 {
			cutAt(n.pos+d, n.cost+p.loss*float64(d))
		}
	}
	if n.pos+keep <= size {
		s.push(state{n.reel, n.pos + keep, inside, n.demand}, n.cost+p.run, at, 0, 0, 0)
	}
}

// rows puts the pieces on the way to a finished plan together to rows.
func (s *search) rows(goal int32) []Row {
	var way []int32
	for at := goal; at >= 0; at = s.nodes[at].parent {
		way = append(way, at)
	}
	slices.Reverse(way)
	type begun struct {
		row        Row
		rest, left int16
	}
	var open []begun
	var done []Row
	most := int16(s.p.job.MaxPieces)
	for _, at := range way {
		n := s.nodes[at]
		if n.piece[0] == n.piece[1] {
			continue
		}
		o := s.p.book.options(s.nodes[n.parent].demand)[n.option]
		pc := Piece{Reel: s.p.reels[n.reel], From: int(n.piece[0]), To: int(n.piece[1])}
		b := begun{row: Row{Units: int(o.row)}, rest: o.row, left: most}
		if o.row == 0 {
			k := slices.IndexFunc(open, func(x begun) bool { return x.rest == o.from && x.left == o.left })
			b = open[k]
			open = slices.Delete(open, k, k+1)
		}
		b.row.Pieces = append(b.row.Pieces, pc)
		b.rest -= int16(o.length)
		b.left--
		if b.rest == 0 {
			done = append(done, b.row)
		} else {
			open = append(open, b)
		}
	}
	// Hand the rows out to the trays in order of batch, so that a tray gets as
	// few batches as it happens to.
	slices.SortStableFunc(done, func(a, b Row) int {
		x, y := s.p.job.Reels[a.Pieces[0].Reel].Batch, s.p.job.Reels[b.Pieces[0].Reel].Batch
		switch {
		case x < y:
			return -1
		case x > y:
			return 1
		}
		return 0
	})
	out := make([]Row, len(s.p.rows))
	for i, want := range s.p.rows {
		k := slices.IndexFunc(done, func(r Row) bool { return r.Units == want.units })
		out[i] = done[k]
		out[i].Tray, out[i].Row = want.tray, want.row
		done = slices.Delete(done, k, k+1)
	}
	return out
}
