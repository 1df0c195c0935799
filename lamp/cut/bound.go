package cut

import (
	"math"
	"slices"
)

// bound is a lower bound of the cost of cutting any number of units from the
// rest of the reels: lengths may be mixed at will, only their sum counts.
type bound struct {
	units int
	// per reel: cost from its start before opening, after a piece (or at its
	// start, open), and inside a leftover long enough to keep.
	fresh, after, inside [][]float64 // [reel][pos*(units+1)+units]
}

// problem is one set of reels and rows to be cut from them.
type problem struct {
	job     *Job
	reels   []int // into job.Reels
	rows    []rowRef
	longest int   // longest piece any reel gives
	skip    []int // where to go on when a reel is left closed: past its equals

	// Costs with a trace of the tie-breaks in them.
	open                []float64
	splice, joint, loss float64
	run                 float64

	jointsIn [][]int16 // per reel: number of joints before each position, for counting

	book   *book
	start  int32
	plain  bound   // parts of rows cost nothing; splices that must be come on top
	half   bound   // parts of rows cost half a splice
	market *prices // once the search asks for a better bound
}

// Tie-breaks, far below any cost that means something.
const (
	tieOpen   = 1e-6
	tieSplice = 1e-8
	tieJoint  = 1e-10
	tieRun    = 1e-11
)

func newProblem(j *Job, reels []int, rows []rowRef) *problem {
	p := &problem{job: j, rows: rows}
	// Open remnants first, then cheap reels; equal reels next to each other.
	p.reels = slices.Clone(reels)
	slices.SortStableFunc(p.reels, func(a, b int) int {
		x, y := &j.Reels[a], &j.Reels[b]
		switch {
		case x.OpenCost != y.OpenCost:
			return cmpFloat(x.OpenCost, y.OpenCost)
		case x.Units != y.Units:
			return y.Units - x.Units
		}
		return slices.Compare(x.Joints, y.Joints)
	})
	p.splice, p.joint = j.Costs.Splice+tieSplice, j.Costs.Joint+tieJoint
	p.loss, p.run = j.Costs.Scrap, tieRun
	p.skip = make([]int, len(p.reels))
	for i := len(p.reels) - 1; i >= 0; i-- {
		r := &j.Reels[p.reels[i]]
		p.skip[i] = i + 1
		if i+1 < len(p.reels) && r.same(&j.Reels[p.reels[i+1]]) {
			p.skip[i] = p.skip[i+1]
		}
		p.longest = max(p.longest, r.longest(j.JointsAllowed))
	}
	for _, ri := range p.reels {
		r := &j.Reels[ri]
		p.open = append(p.open, r.OpenCost+tieOpen)
		before := make([]int16, r.Units+1) // joints at positions < x, that is 1…x-1
		for x := 1; x <= r.Units; x++ {
			before[x] = before[x-1]
			if slices.Contains(r.Joints, x-1) {
				before[x]++
			}
		}
		p.jointsIn = append(p.jointsIn, before)
	}
	p.book, p.start = newBook(p, rows)
	return p
}

func cmpFloat(a, b float64) int {
	if a < b {
		return -1
	}
	if a > b {
		return 1
	}
	return 0
}

func (r *Reel) same(o *Reel) bool {
	return r.Units == o.Units && r.OpenCost == o.OpenCost && slices.Equal(r.Joints, o.Joints)
}

// longest is the longest piece the reel gives.
func (r *Reel) longest(jointsAllowed bool) int {
	if jointsAllowed {
		return r.Units
	}
	at, best := 0, 0
	for _, k := range r.Joints {
		best = max(best, k-at)
		at = k
	}
	return max(best, r.Units-at)
}

// joints strictly inside [from, to) of reel i.
func (p *problem) joints(i, from, to int) int {
	b := p.jointsIn[i]
	return int(b[to] - b[min(from+1, to)])
}

// pieceCost is the cost of joints in a piece, infinite where they are not
// allowed.
func (p *problem) pieceCost(i, from, to int) float64 {
	n := p.joints(i, from, to)
	if n == 0 {
		return 0
	}
	if !p.job.JointsAllowed {
		return math.Inf(1)
	}
	return p.joint * float64(n)
}

// tail is the cost of what is left of reel i behind a piece that ends at pos.
func (p *problem) tail(i, pos int) float64 {
	d := p.job.Reels[p.reels[i]].Units - pos
	switch {
	case d == 0:
		return 0
	case d < p.job.Keep:
		return p.loss * float64(d)
	}
	return p.run
}

// lengths are those a piece can have.
func (p *problem) lengths() []int {
	var out []int
	for _, u := range p.book.types {
		if u <= p.longest {
			out = append(out, u)
		}
	}
	if p.job.MaxPieces > 1 {
		for a := p.job.MinPiece; a <= min(p.book.types[0]-p.job.MinPiece, p.longest); a++ {
			if !slices.Contains(p.book.types, a) {
				out = append(out, a)
			}
		}
	}
	return out
}

// bounds fills in a bound in which a piece of a length has a cost of its own,
// which may be below zero.
func (p *problem) bounds(own func(int) float64) bound {
	total := p.book.list[p.start].units
	w := total + 1
	type length struct {
		units int
		cost  float64
	}
	var lengths []length
	for _, l := range p.lengths() {
		lengths = append(lengths, length{l, own(l)})
	}
	n := len(p.reels)
	b := bound{units: total, fresh: make([][]float64, n+1), after: make([][]float64, n), inside: make([][]float64, n)}
	b.fresh[n] = make([]float64, w)
	for u := 1; u < w; u++ {
		b.fresh[n][u] = math.Inf(1)
	}
	keep := max(p.job.Keep, 1)
	for i := n - 1; i >= 0; i-- {
		size := p.job.Reels[p.reels[i]].Units
		after, inside, from := make([]float64, (size+1)*w), make([]float64, (size+1)*w), make([]float64, (size+1)*w)
		next := b.fresh[i+1]
		for pos := size; pos >= 0; pos-- {
			row := from[pos*w : (pos+1)*w] // best with a piece that begins at pos
			for u := range row {
				row[u] = math.Inf(1)
			}
			for _, l := range lengths {
				if pos+l.units > size {
					continue
				}
				c := p.pieceCost(i, pos, pos+l.units) + l.cost
				if math.IsInf(c, 1) {
					continue
				}
				to := after[(pos+l.units)*w:]
				for u := l.units; u < w; u++ {
					row[u] = min(row[u], c+to[u-l.units])
				}
			}
			in := inside[pos*w : (pos+1)*w]
			copy(in, next)
			if pos < size {
				for u, v := range inside[(pos+1)*w : (pos+2)*w] {
					in[u] = min(in[u], v)
				}
			}
			out := after[pos*w : (pos+1)*w]
			tail := p.tail(i, pos)
			for u := range out {
				in[u] = min(in[u], row[u])
				out[u] = tail + next[u]
			}
			for d := 0; d < keep && pos+d <= size; d++ {
				c := p.loss * float64(d)
				for u, v := range from[(pos+d)*w : (pos+d+1)*w] {
					out[u] = min(out[u], c+v)
				}
			}
			if pos+keep <= size {
				for u, v := range inside[(pos+keep)*w : (pos+keep+1)*w] {
					out[u] = min(out[u], p.run+v)
				}
			}
		}
		b.after[i], b.inside[i] = after, inside
		fresh := make([]float64, w)
		for u := range fresh {
			fresh[u] = min(b.fresh[p.skip[i]][u], p.open[i]+after[u])
		}
		b.fresh[i] = fresh
	}
	return b
}

// Places of a state within a reel.
const (
	fresh  = iota // before the reel, closed
	after         // open, behind a piece or at its start
	inside        // open, in a leftover long enough to keep
)

func (b *bound) at(reel, pos, mode, units int) float64 {
	switch mode {
	case fresh:
		return b.fresh[reel][units]
	case after:
		return b.after[reel][pos*(b.units+1)+units]
	}
	return b.inside[reel][pos*(b.units+1)+units]
}

// least is the lower bound of a state.
func (p *problem) least(reel, pos, mode int, id int32) float64 {
	d := p.book.list[id]
	h := p.plain.at(reel, pos, mode, d.units) + d.least
	if p.job.MaxPieces > 1 {
		h = max(h, p.half.at(reel, pos, mode, d.units))
	}
	if q := p.market; q != nil {
		if math.IsNaN(d.price) {
			d.price = q.rows(p, d)
		}
		h = max(h, q.sell.at(reel, pos, mode, d.units)+d.price)
	}
	return h
}
