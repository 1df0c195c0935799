package facemap

import "math"

// gridCells is the most cells that a map is worked out on; larger pictures are
// averaged over squares of pixels.
const gridCells = 2_000_000

// grid is light on square-on or picture cells, black taken off.
type grid struct {
	w, h int
	k    int // pixels a cell is wide and high
	v    []float64
	clip []float32 // share of clipped pixels; nil for none
	in   []bool    // belongs to the face; nil: all
}

// bin averages a picture over squares of pixels, so that the grid has at most
// gridCells. Columns and rows that fill no square are left out.
func bin(p *Picture, black float64) *grid {
	k := 1
	for (p.Width/k)*(p.Height/k) > gridCells {
		k++
	}
	return binBy(p, black, k)
}

func binBy(p *Picture, black float64, k int) *grid {
	g := &grid{w: p.Width / k, h: p.Height / k, k: k}
	g.v = make([]float64, g.w*g.h)
	clip, any := make([]float32, g.w*g.h), false
	n := float64(k * k)
	for y := range g.h * k {
		row := p.Samples[y*p.Width:]
		for x := range g.w * k {
			c := y/k*g.w + x/k
			g.v[c] += float64(row[x])
			if row[x] >= ClipFrom || p.Clipped != nil && p.Clipped[y*p.Width+x] {
				clip[c] += float32(1 / n)
				any = true
			}
		}
	}
	for i := range g.v {
		g.v[i] = g.v[i]/n - black
	}
	if any {
		g.clip = clip
	}
	return g
}

// inside tells whether a cell belongs to the face.
func (g *grid) inside(i int) bool { return g.in == nil || g.in[i] }

// level is the brightest spot of three by three cells, which no single hot pixel
// makes.
func (g *grid) level() float64 {
	best := 0.0
	for y := 1; y+1 < g.h; y++ {
		for x := 1; x+1 < g.w; x++ {
			s := 0.0
			for dy := -1; dy <= 1; dy++ {
				i := (y+dy)*g.w + x
				s += g.v[i-1] + g.v[i] + g.v[i+1]
			}
			best = max(best, s/9)
		}
	}
	return best
}

// region is the luminous face as it was found.
type region struct {
	x0, y0, x1, y1 int // bounding box in cells, x1 and y1 beyond
	cells          int
	edge           int     // sides of cells that border on what is outside
	second         int     // cells of the next largest bright area
	outside        float64 // mean of what is outside
	touches        bool    // the picture's edge
}

// find marks the largest connected area above a share of the brightest spot,
// with the holes in it.
func (g *grid) find(share float64) (r region, ok bool) {
	limit := share * g.level()
	if !(limit > 0) {
		return r, false
	}
	label := make([]int32, len(g.v))
	var stack []int32
	var best, count int32
	most, second := 0, 0
	flood := func(from int, id int32, pass func(i int) bool) int {
		n := 0
		label[from] = id
		stack = append(stack[:0], int32(from))
		for len(stack) > 0 {
			i := int(stack[len(stack)-1])
			stack = stack[:len(stack)-1]
			n++
			x := i % g.w
			for _, j := range [4]int{i - g.w, i + g.w, i - 1, i + 1} {
				if j < 0 || j >= len(g.v) || x == 0 && j == i-1 || x == g.w-1 && j == i+1 {
					continue
				}
				if label[j] == 0 && pass(j) {
					label[j] = id
					stack = append(stack, int32(j))
				}
			}
		}
		return n
	}
	bright := func(i int) bool { return g.v[i] >= limit }
	for i := range g.v {
		if label[i] == 0 && bright(i) {
			count++
			n := flood(i, count, bright)
			if n > most {
				most, second, best = n, most, count
			} else {
				second = max(second, n)
			}
		}
	}
	if most == 0 {
		return r, false
	}
	// What is reached from the rim without crossing the face is outside, all
	// else are holes in it.
	for i, l := range label {
		if l != best {
			label[i] = 0
		}
	}
	outer := func(i int) bool { return label[i] == 0 }
	for i := range g.v {
		x, y := i%g.w, i/g.w
		if (x == 0 || y == 0 || x == g.w-1 || y == g.h-1) && label[i] == 0 {
			flood(i, -1, outer)
		}
	}
	r = region{x0: g.w, y0: g.h, second: second}
	g.in = make([]bool, len(g.v))
	sum, n := 0.0, 0
	for i, l := range label {
		x, y := i%g.w, i/g.w
		if l == -1 {
			sum += g.v[i]
			n++
			continue
		}
		g.in[i] = true
		r.cells++
		r.x0, r.y0, r.x1, r.y1 = min(r.x0, x), min(r.y0, y), max(r.x1, x+1), max(r.y1, y+1)
		r.touches = r.touches || x == 0 || y == 0 || x == g.w-1 || y == g.h-1
		for _, j := range [4]int{i - g.w, i + g.w, i - 1, i + 1} {
			if j >= 0 && j < len(g.v) && label[j] == -1 {
				r.edge++
			}
		}
	}
	if n > 0 {
		r.outside = sum / float64(n)
	}
	return r, true
}

// crop keeps a box of cells.
func (g *grid) crop(x0, y0, x1, y1 int) *grid {
	out := &grid{w: x1 - x0, h: y1 - y0, k: g.k}
	for y := y0; y < y1; y++ {
		a, b := y*g.w+x0, y*g.w+x1
		out.v = append(out.v, g.v[a:b]...)
		if g.clip != nil {
			out.clip = append(out.clip, g.clip[a:b]...)
		}
		if g.in != nil {
			out.in = append(out.in, g.in[a:b]...)
		}
	}
	return out
}

// Point is a place in a picture: pixels from the upper left corner, x to the
// right, y down; the middle of the first pixel is at (0.5, 0.5).
type Point struct{ X, Y float64 }

// square looks at four corners (upper left, upper right, lower right, lower
// left) squarely: nx × ny cells, each the picture's light at its middle, joined
// linearly between pixels. Luminance does not change with the point of view, so
// only the places are mended.
//
// Formula: the projective map of the unit square onto a quadrilateral. Source:
// P. Heckbert, Fundamentals of Texture Mapping and Image Warping, 1989, section
// 2.2.3.
func (g *grid) square(c [4]Point, nx, ny int) *grid {
	dx1, dy1 := c[1].X-c[2].X, c[1].Y-c[2].Y
	dx2, dy2 := c[3].X-c[2].X, c[3].Y-c[2].Y
	sx, sy := c[0].X-c[1].X+c[2].X-c[3].X, c[0].Y-c[1].Y+c[2].Y-c[3].Y
	det := dx1*dy2 - dx2*dy1
	m, n := (sx*dy2-dx2*sy)/det, (dx1*sy-sx*dy1)/det
	ax, bx := c[1].X-c[0].X+m*c[1].X, c[3].X-c[0].X+n*c[3].X
	ay, by := c[1].Y-c[0].Y+m*c[1].Y, c[3].Y-c[0].Y+n*c[3].Y
	out := &grid{w: nx, h: ny, k: g.k, v: make([]float64, nx*ny)}
	if g.clip != nil {
		out.clip = make([]float32, nx*ny)
	}
	for j := range ny {
		for i := range nx {
			u, v := (float64(i)+0.5)/float64(nx), (float64(j)+0.5)/float64(ny)
			d := m*u + n*v + 1
			x, y := (ax*u+bx*v+c[0].X)/d/float64(g.k)-0.5, (ay*u+by*v+c[0].Y)/d/float64(g.k)-0.5
			x, y = min(max(x, 0), float64(g.w-1)), min(max(y, 0), float64(g.h-1))
			x0, y0 := int(math.Min(x, float64(max(g.w-2, 0)))), int(math.Min(y, float64(max(g.h-2, 0))))
			fx, fy := x-float64(x0), y-float64(y0)
			x1, y1 := min(x0+1, g.w-1), min(y0+1, g.h-1)
			at := func(x, y int) float64 { return g.v[y*g.w+x] }
			out.v[j*nx+i] = (at(x0, y0)*(1-fx)+at(x1, y0)*fx)*(1-fy) + (at(x0, y1)*(1-fx)+at(x1, y1)*fx)*fy
			if g.clip != nil {
				out.clip[j*nx+i] = g.clip[y0*g.w+x0]
			}
		}
	}
	return out
}
