package facemap

import (
	"math"
	"slices"
)

// sums are running sums over a grid: the sum over any box in four looks.
type sums struct {
	w, h int
	s    []float64 // (w+1) × (h+1)
}

func (g *grid) sums(at func(i int) float64) sums {
	s := sums{g.w, g.h, make([]float64, (g.w+1)*(g.h+1))}
	for y := range g.h {
		row := 0.0
		for x := range g.w {
			row += at(y*g.w + x)
			s.s[(y+1)*(g.w+1)+x+1] = s.s[y*(g.w+1)+x+1] + row
		}
	}
	return s
}

// box is the sum over columns x0 to x1 and rows y0 to y1 (exclusive).
func (s sums) box(x0, y0, x1, y1 int) float64 {
	w := s.w + 1
	return s.s[y1*w+x1] - s.s[y0*w+x1] - s.s[y1*w+x0] + s.s[y0*w+x0]
}

// patches finds the brightest and the darkest square patch, in the grid's light;
// the darkest keeps away from the edge of the face, where a picture is blurred.
// Where the face has no room for one, ok is false.
func (g *grid) patches() (high, low float64, atX, atY int, ok bool) {
	short := min(g.w, g.h)
	side := max(1, short/100)
	margin := max(1, short/50)
	light := g.sums(func(i int) float64 { return g.v[i] })
	in := g.sums(func(i int) float64 {
		if g.inside(i) {
			return 1
		}
		return 0
	})
	full := func(x, y, m int) bool {
		x0, y0, x1, y1 := x-m, y-m, x+side+m, y+side+m
		return x0 >= 0 && y0 >= 0 && x1 <= g.w && y1 <= g.h && in.box(x0, y0, x1, y1) > float64((x1-x0)*(y1-y0))-0.5
	}
	high, low = math.Inf(-1), math.Inf(1)
	n := float64(side * side)
	for y := 0; y+side <= g.h; y++ {
		for x := 0; x+side <= g.w; x++ {
			if !full(x, y, 0) {
				continue
			}
			v := light.box(x, y, x+side, y+side) / n
			if v > high {
				high, atX, atY = v, x+side/2, y+side/2
			}
			if v < low && full(x, y, margin) {
				low = v
			}
		}
	}
	return high, low, atX, atY, !math.IsInf(high, 0) && !math.IsInf(low, 0)
}

// profile is the mean light along x (or, turned, along y) over the middle half
// of the other direction, without the outer tenth at each end.
func (g *grid) profile(turned bool) []float64 {
	n, m := g.w, g.h
	if turned {
		n, m = g.h, g.w
	}
	var out []float64
	for a := n / 10; a < n-n/10; a++ {
		sum, k := 0.0, 0
		for b := m / 4; b < m-m/4; b++ {
			i := b*g.w + a
			if turned {
				i = a*g.w + b
			}
			if g.inside(i) {
				sum += g.v[i]
				k++
			}
		}
		if k > 0 {
			out = append(out, sum/float64(k))
		}
	}
	return out
}

// ripple is the Michelson contrast (max − min)/(max + min) of a profile, the
// median of its swings from crest to trough, over a parabola fitted to it: the
// face's slow fall towards its rim is no ripple.
func ripple(p []float64) float64 {
	n := len(p)
	if n < 8 {
		return 0
	}
	// Polynomials that are orthogonal over the points.
	c0, c1, c2, n1, n2 := 0.0, 0.0, 0.0, 0.0, 0.0
	x := func(i int) float64 { return 2*(float64(i)+0.5)/float64(n) - 1 }
	second := 0.0
	for i := range n {
		second += x(i) * x(i) / float64(n)
	}
	for i, v := range p {
		t := x(i)
		q := t*t - second
		c0 += v / float64(n)
		c1 += v * t
		c2 += v * q
		n1 += t * t
		n2 += q * q
	}
	flat := make([]float64, n)
	for i, v := range p {
		t := x(i)
		fit := c0 + c1/n1*t + c2/n2*(t*t-second)
		if fit <= 0 {
			return 0
		}
		flat[i] = max(0, v/fit)
	}
	turns := turnings(flat, (slices.Max(flat)-slices.Min(flat))/2)
	var swings []float64
	for i := 1; i < len(turns); i++ {
		swings = append(swings, math.Abs(turns[i]-turns[i-1])/(turns[i]+turns[i-1]))
	}
	if len(swings) == 0 {
		return 0
	}
	slices.Sort(swings)
	return swings[len(swings)/2]
}

// turnings are the crests and troughs of a curve in their order, each at least
// swing beyond the one before; the ends count only where there are not two
// others.
func turnings(v []float64, swing float64) []float64 {
	if !(swing > 0) {
		return nil
	}
	lo, hi := v[0], v[0]
	way := 0 // 1: rising to a crest
	var out []float64
	for _, x := range v {
		lo, hi = min(lo, x), max(hi, x)
		switch {
		case way >= 0 && x <= hi-swing:
			out = append(out, hi)
			way, lo = -1, x
		case way <= 0 && x >= lo+swing:
			out = append(out, lo)
			way, hi = 1, x
		}
		switch way {
		case 1:
			lo = x
		case -1:
			hi = x
		}
	}
	switch way {
	case 1:
		out = append(out, hi)
	case -1:
		out = append(out, lo)
	}
	if len(out) > 3 {
		return out[1 : len(out)-1]
	}
	return out
}

// discCells is the radius in cells from which a disc is worked out on a coarser
// grid.
const discCells = 16

// disc is the highest mean over a disc of a diameter, in the unit of the cells'
// sizes dx and dy, its middle on the face; beyond the face nothing shines. ok is
// false when the disc is smaller than a cell. Large discs are looked for on a
// coarser grid and then around the place found.
func (g *grid) disc(diameter, dx, dy float64) (best float64, ok bool) {
	if diameter < math.Min(dx, dy) {
		for i, v := range g.v {
			if g.inside(i) {
				best = max(best, v)
			}
		}
		return best, false
	}
	best, _, _ = g.discAt(diameter, dx, dy)
	return best, true
}

func (g *grid) discAt(diameter, dx, dy float64) (best float64, atX, atY int) {
	r := diameter / 2
	if k := int(math.Ceil(r / math.Min(dx, dy) / discCells)); k > 1 {
		_, x, y := g.coarse(k).discAt(diameter, dx*float64(k), dy*float64(k))
		return g.scan(r, dx, dy, (x-1)*k, (y-1)*k, (x+2)*k, (y+2)*k)
	}
	return g.scan(r, dx, dy, 0, 0, g.w, g.h)
}

// scan moves a disc of radius r over the cells of a box.
func (g *grid) scan(r, dx, dy float64, x0, y0, x1, y1 int) (best float64, atX, atY int) {
	// Running sums along each row give any part of it, ends by parts of cells.
	run := make([]float64, (g.w+1)*g.h)
	for y := range g.h {
		for x := range g.w {
			v := 0.0
			if i := y*g.w + x; g.inside(i) {
				v = g.v[i]
			}
			run[y*(g.w+1)+x+1] = run[y*(g.w+1)+x] + v
		}
	}
	upTo := func(y int, x float64) float64 {
		x = min(max(x, 0), float64(g.w))
		i := int(x)
		s := run[y*(g.w+1)+i]
		if i < g.w {
			s += (x - float64(i)) * (run[y*(g.w+1)+i+1] - s)
		}
		return s
	}
	type chord struct {
		row  int
		half float64 // cells
	}
	var chords []chord
	area := 0.0
	reach := int(math.Ceil(r/dy + 0.5))
	parts := min(max(32/reach, 1), 8) // slices of a row of cells
	for row := -reach; row <= reach; row++ {
		for s := range parts {
			y := (float64(row) - 0.5 + (float64(s)+0.5)/float64(parts)) * dy
			if q := r*r - y*y; q > 0 {
				half := math.Sqrt(q) / dx
				chords = append(chords, chord{row, half})
				area += 2 * half
			}
		}
	}
	for y := max(0, y0); y < min(g.h, y1); y++ {
		for x := max(0, x0); x < min(g.w, x1); x++ {
			if !g.inside(y*g.w + x) {
				continue
			}
			sum := 0.0
			for _, c := range chords {
				if j := y + c.row; j >= 0 && j < g.h {
					m := float64(x) + 0.5
					sum += upTo(j, m+c.half) - upTo(j, m-c.half)
				}
			}
			if v := sum / area; v > best {
				best, atX, atY = v, x, y
			}
		}
	}
	return best, atX, atY
}

// coarse averages squares of k cells; the rest of a row or column that fills no
// square counts as dark.
func (g *grid) coarse(k int) *grid {
	c := &grid{w: (g.w + k - 1) / k, h: (g.h + k - 1) / k, k: g.k * k}
	c.v, c.in = make([]float64, c.w*c.h), make([]bool, c.w*c.h)
	for y := range g.h {
		for x := range g.w {
			if i := y*g.w + x; g.inside(i) {
				j := y/k*c.w + x/k
				c.v[j] += g.v[i] / float64(k*k)
				c.in[j] = true
			}
		}
	}
	return c
}
