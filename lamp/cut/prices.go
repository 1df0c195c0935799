package cut

import "math"

// prices is a Lagrangian relaxation of the tie between rows and pieces: every
// piece of a length is sold by the reels and bought by the rows at a price, and
// both sides settle for themselves. Whatever the prices, what the reels lose
// and the rows pay together is at most the cost of any plan (Geoffrion, Math.
// Programming Study 2 (1974) 82); good prices are found by subgradient steps.
type prices struct {
	of   []float64   // by length of piece
	row  []float64   // least cost of a whole row, by length: splices and prices
	part [][]float64 // the same of a length missing from a row begun: [length][pieces left]
	sell bound       // the reels' side
}

// value fills in the rows' side for the prices of.
func (p *problem) value(of []float64) *prices {
	most, least := p.job.MaxPieces, p.job.MinPiece
	long := p.book.types[0]
	q := &prices{of: of, row: make([]float64, long+1), part: make([][]float64, long+1)}
	for u := range q.part {
		q.part[u] = make([]float64, most)
		for left := range q.part[u] {
			q.part[u][left] = math.Inf(1)
			if left == 0 || u < least {
				continue
			}
			if u <= p.longest {
				q.part[u][left] = p.splice/2 + of[u]
			}
			if left > 1 {
				for a := least; a <= min(u-least, p.longest); a++ {
					q.part[u][left] = min(q.part[u][left], p.splice+of[a]+q.part[u-a][left-1])
				}
			}
		}
	}
	for _, u := range p.book.types {
		q.row[u] = math.Inf(1)
		if u <= p.longest {
			q.row[u] = of[u]
		}
		if most > 1 {
			for a := least; a <= min(u-least, p.longest); a++ {
				q.row[u] = min(q.row[u], p.splice/2+of[a]+q.part[u-a][most-1])
			}
		}
	}
	return q
}

// rows is what the rows of a demand pay.
func (q *prices) rows(p *problem, d *demand) float64 {
	t := 0.0
	for i, n := range d.whole {
		if n > 0 {
			t += float64(n) * q.row[p.book.types[i]]
		}
	}
	for _, x := range d.partial {
		t += q.part[x[0]][x[1]]
	}
	return t
}

// bought counts the pieces by length that the rows of the whole job buy.
func (q *prices) bought(p *problem, count []float64) {
	const eps = 1e-9
	most, least := p.job.MaxPieces, p.job.MinPiece
	for i, n := range p.book.list[p.start].whole {
		u := p.book.types[i]
		if u <= p.longest && q.of[u] <= q.row[u]+eps {
			count[u] += float64(n)
			continue
		}
		rest, left, due := u, most, q.row[u]
		charge := p.splice / 2
		for {
			if left < most && rest <= p.longest && p.splice/2+q.of[rest] <= due+eps {
				count[rest] += float64(n)
				break
			}
			found := false
			for a := least; a <= min(rest-least, p.longest) && left > 1; a++ {
				if charge+q.of[a]+q.part[rest-a][left-1] <= due+eps {
					count[a] += float64(n)
					rest, left = rest-a, left-1
					due, charge, found = q.part[rest][left], p.splice, true
					break
				}
			}
			if !found {
				return // prices without a row for them; the caller stops there
			}
		}
	}
}

// sold counts the pieces by length on the reels' cheapest way, read back from
// the tables of b.
func (p *problem) sold(b *bound, cost func(int) float64, lengths []int, count []float64) {
	w := b.units + 1
	u := b.units
	keep := max(p.job.Keep, 1)
	const eps = 1e-9
	for i := 0; i < len(p.reels); {
		if b.fresh[p.skip[i]][u] <= b.fresh[i][u]+eps {
			i = p.skip[i]
			continue
		}
		size := p.job.Reels[p.reels[i]].Units
		pos, mode := 0, after
		take := func(from int, due float64) bool {
			for _, l := range lengths {
				if from+l > size || l > u {
					continue
				}
				c := p.pieceCost(i, from, from+l) + cost(l)
				if c+b.after[i][(from+l)*w+u-l] <= due+eps {
					count[l]++
					pos, mode, u = from+l, after, u-l
					return true
				}
			}
			return false
		}
	reel:
		for {
			due := b.at(i, pos, mode, u)
			if mode == inside {
				switch {
				case b.fresh[i+1][u] <= due+eps:
					break reel
				case take(pos, due):
				case pos < size:
					pos++
				default:
					break reel
				}
				continue
			}
			if p.tail(i, pos)+b.fresh[i+1][u] <= due+eps {
				break
			}
			done := false
			for d := 0; d < keep && pos+d <= size && !done; d++ {
				done = take(pos+d, due-p.loss*float64(d))
			}
			switch {
			case done:
			case pos+keep <= size:
				pos, mode = pos+keep, inside
			default:
				break reel
			}
		}
		i++
	}
}

// improve looks for prices that lift the bound of the whole job towards best,
// the cost of a plan at hand.
func (p *problem) improve(best float64) {
	lengths := p.lengths()
	long := p.book.types[0]
	of := make([]float64, long+1)
	cells := 0
	for _, r := range p.reels {
		cells += p.job.Reels[r].Units + 1
	}
	work := cells * (p.book.list[p.start].units + 1) * (len(lengths) + p.job.Keep + 4)
	rounds := min(60, max(8, 40_000_000/max(work, 1)))
	if math.IsInf(best, 1) {
		best = p.relaxed() + 4*p.splice + p.joint
	}
	var top *prices
	reached := math.Inf(-1)
	scale, stale := 1.0, 0
	for range rounds {
		q := p.value(of)
		cost := func(l int) float64 { return -of[l] }
		q.sell = p.bounds(cost)
		d := p.book.list[p.start]
		now := q.sell.fresh[0][d.units] + q.rows(p, d)
		if now > reached+1e-9 {
			reached, top, stale = now, q, 0
		} else if stale++; stale >= 4 {
			scale, stale = scale/2, 0
		}
		if reached >= best-grain || math.IsInf(now, 1) || scale < 1e-2 {
			break
		}
		bought, sold := make([]float64, long+1), make([]float64, long+1)
		q.bought(p, bought)
		p.sold(&q.sell, cost, lengths, sold)
		norm := 0.0
		for _, l := range lengths {
			norm += (bought[l] - sold[l]) * (bought[l] - sold[l])
		}
		if norm == 0 {
			break // both sides agree: these prices cannot be bettered
		}
		step := scale * (best - now) / norm
		next := make([]float64, long+1)
		copy(next, of)
		for _, l := range lengths {
			next[l] += step * (bought[l] - sold[l])
		}
		of = next
	}
	p.market = top
	for _, d := range p.book.list {
		d.price = math.NaN()
	}
}
