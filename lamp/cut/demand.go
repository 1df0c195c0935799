package cut

import (
	"encoding/binary"
	"math"
	"slices"
)

// demand is what is still to be cut: whole rows by length, and rows begun of
// which some length is missing.
type demand struct {
	whole   []int16    // rows not begun, by type
	partial [][2]int16 // units missing and pieces left of rows begun, sorted
	units   int
	least   float64 // cost of splices that cannot be avoided any more
	price   float64 // what its rows pay on the market; NaN until asked
	options []option
	opened  bool // options are filled in
}

// option is one piece that could be cut next.
type option struct {
	length int
	next   int32   // demand after it
	cost   float64 // of splices
	// what it is, for putting the plan together: a row of that many units begun
	// (from 0), or one of which from units were missing with left pieces.
	row, from, left int16
}

// book numbers demands, so that a state is a few bytes.
type book struct {
	p     *problem
	types []int // distinct row lengths, longest first
	index map[string]int32
	list  []*demand
	key   []byte
}

func newBook(p *problem, rows []rowRef) (*book, int32) {
	b := &book{p: p, index: map[string]int32{}}
	for _, r := range rows {
		b.types = append(b.types, r.units)
	}
	slices.Sort(b.types)
	slices.Reverse(b.types)
	b.types = slices.Compact(b.types)
	d := demand{whole: make([]int16, len(b.types))}
	for _, r := range rows {
		d.whole[slices.Index(b.types, r.units)]++
	}
	return b, b.number(&d)
}

// number finds or enters a demand.
func (b *book) number(d *demand) int32 {
	b.key = b.key[:0]
	for _, n := range d.whole {
		b.key = binary.LittleEndian.AppendUint16(b.key, uint16(n))
	}
	for _, q := range d.partial {
		b.key = binary.LittleEndian.AppendUint16(b.key, uint16(q[0]))
		b.key = append(b.key, byte(q[1]))
	}
	if id, ok := b.index[string(b.key)]; ok {
		return id
	}
	id := int32(len(b.list))
	b.index[string(b.key)] = id
	n := &demand{whole: slices.Clone(d.whole), partial: slices.Clone(d.partial), price: math.NaN()}
	c := b.p.splice
	for t, k := range n.whole {
		n.units += int(k) * b.types[t]
		n.least += float64(k) * c * float64(b.p.leastPieces(b.types[t])-1)
	}
	for _, q := range n.partial {
		n.units += int(q[0])
		n.least += c/2 + c*float64(b.p.leastPieces(int(q[0]))-1)
	}
	b.list = append(b.list, n)
	return id
}

// options lists every piece that could be cut next, longest first.
//
// A row of k pieces costs k-1 splices; half of one is charged with its first
// and its last piece, one with each between, so that every part of a row costs
// at least half a splice.
func (b *book) options(id int32) []option {
	d := b.list[id]
	if d.opened {
		return d.options
	}
	d.opened = true
	var out []option
	after := func(change func(*demand)) int32 {
		n := demand{whole: slices.Clone(d.whole), partial: slices.Clone(d.partial)}
		change(&n)
		slices.SortFunc(n.partial, func(x, y [2]int16) int {
			if x[0] != y[0] {
				return int(y[0]) - int(x[0])
			}
			return int(y[1]) - int(x[1])
		})
		return b.number(&n)
	}
	c, least := b.p.splice, b.p.job.MinPiece
	for t, u := range b.types {
		if d.whole[t] == 0 {
			continue
		}
		if u <= b.p.longest {
			out = append(out, option{u, after(func(n *demand) { n.whole[t]-- }), 0, int16(u), 0, 0})
		}
		if b.p.job.MaxPieces < 2 {
			continue
		}
		for a := min(u-least, b.p.longest); a >= least; a-- {
			if !b.p.fits(u-a, b.p.job.MaxPieces-1) {
				continue
			}
			next := after(func(n *demand) {
				n.whole[t]--
				n.partial = append(n.partial, [2]int16{int16(u - a), int16(b.p.job.MaxPieces - 1)})
			})
			out = append(out, option{a, next, c / 2, int16(u), 0, 0})
		}
	}
	for k, q := range d.partial {
		if k > 0 && q == d.partial[k-1] {
			continue
		}
		rest, left := int(q[0]), int(q[1])
		if rest <= b.p.longest {
			out = append(out, option{rest, after(func(n *demand) { n.partial = slices.Delete(n.partial, k, k+1) }), c / 2, 0, q[0], q[1]})
		}
		if left < 2 {
			continue
		}
		for a := min(rest-least, b.p.longest); a >= least; a-- {
			if !b.p.fits(rest-a, left-1) {
				continue
			}
			next := after(func(n *demand) { n.partial[k] = [2]int16{int16(rest - a), int16(left - 1)} })
			out = append(out, option{a, next, c, 0, q[0], q[1]})
		}
	}
	slices.SortStableFunc(out, func(x, y option) int { return y.length - x.length })
	d.options = out
	return out
}

// leastPieces is how many pieces a length takes at least.
func (p *problem) leastPieces(u int) int {
	if p.longest == 0 {
		return 1
	}
	return (u + p.longest - 1) / p.longest
}

// fits tells whether a missing length can still be made of that many pieces.
func (p *problem) fits(u, pieces int) bool {
	return u >= p.job.MinPiece && p.leastPieces(u) <= pieces
}
