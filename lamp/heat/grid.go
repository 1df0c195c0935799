package heat

import (
	"math"
	"slices"
)

// Map is the floor's temperature on a grid whose lines follow the rows.
type Map struct {
	XEdges, YEdges []float64 // m, cell edges
	X, Y           []float64 // m, cell centres
	T              []float64 // K, T[j*len(X)+i]
}

// At is the temperature at (x, y), m, between cell centres by straight lines;
// nearer to the edge than the last centre, and outside, that of the edge cell.
func (m *Map) At(x, y float64) float64 {
	i, u := between(m.X, x)
	j, v := between(m.Y, y)
	n := len(m.X)
	low := m.T[j*n+i]*(1-u) + m.T[j*n+i+1]*u
	high := m.T[(j+1)*n+i]*(1-u) + m.T[(j+1)*n+i+1]*u
	return low*(1-v) + high*v
}

// between finds the pair of centres around v and how far along it v lies.
func between(centres []float64, v float64) (i int, part float64) {
	i, _ = slices.BinarySearch(centres, v)
	i = min(max(i-1, 0), len(centres)-2)
	return i, min(max((v-centres[i])/(centres[i+1]-centres[i]), 0), 1)
}

// lines places cell edges along one direction: every mark is an edge, cells
// are at most small near a mark and grow by half again away from it, up to
// large.
func lines(length float64, marks []float64, small, large float64) []float64 {
	all := append([]float64{0, length}, marks...)
	slices.Sort(all)
	edges := []float64{0}
	for k := 1; k < len(all); k++ {
		a, b := edges[len(edges)-1], all[k]
		if b-a < 1e-6 {
			continue
		}
		n := cellsIn(b-a, small, large)
		edges = append(edges, n...)
		for i := len(edges) - len(n); i < len(edges); i++ {
			edges[i] += a
		}
		edges[len(edges)-1] = b
	}
	edges[len(edges)-1] = length
	return edges
}

// cellsIn divides a span into cells, small at both ends; it returns the upper
// edges.
func cellsIn(span, small, large float64) []float64 {
	const growth = 1.5
	var half []float64
	sum, w := 0.0, min(small, span/4)
	for sum+w < span/2 {
		half = append(half, w)
		sum += w
		w = min(w*growth, large)
	}
	// Stretch the cells so that two mirrored halves fill the span.
	if len(half) == 0 {
		half, sum = []float64{span / 4, span / 4}, span/2
	}
	if rest := span/2 - sum; rest > half[len(half)-1]/2 {
		half = append(half, rest)
		sum += rest
	}
	k := span / 2 / sum
	out := make([]float64, 0, 2*len(half))
	x := 0.0
	for _, w := range half {
		x += w * k
		out = append(out, x)
	}
	for i := len(half) - 1; i >= 0; i-- {
		x += half[i] * k
		out = append(out, x)
	}
	return out
}

// grid is the discrete floor. The index runs fastest along the shorter
// direction, so that the matrix has the narrowest band.
type grid struct {
	xe, ye []float64
	nx, ny int
	swap   bool      // index runs fastest along y
	area   []float64 // m² per cell
	heat   []float64 // W per cell from strips and tray
	strip  []float64 // m² of each cell under a strip
	rowOf  []int     // row over the cell or -1
}

func (g *grid) index(i, j int) int {
	if g.swap {
		return i*g.ny + j
	}
	return j*g.nx + i
}

// newGrid lays the lines so that every row's rectangle is made of whole
// cells, fine times finer than usual, unless there two row ends lie within 0.2 mm, when a cell is shared.
func newGrid(in *Input, fine float64) *grid {
	var mx, my []float64
	for i := range in.Rows {
		r := &in.Rows[i]
		mx = append(mx, r.X0, r.X1)
		my = append(my, r.Y-r.Width/2, r.Y+r.Width/2)
	}
	mx, my = thin(mx), thin(my)
	g := &grid{
		xe: lines(in.Length, mx, 0.002/fine, in.Length/40/fine),
		ye: lines(in.Width, my, 0.0012/fine, in.Width/50/fine),
	}
	g.nx, g.ny = len(g.xe)-1, len(g.ye)-1
	g.swap = g.ny < g.nx
	n := g.nx * g.ny
	g.area, g.heat, g.strip, g.rowOf = make([]float64, n), make([]float64, n), make([]float64, n), make([]int, n)
	floor := in.area()
	for j := range g.ny {
		for i := range g.nx {
			k := g.index(i, j)
			g.area[k] = (g.xe[i+1] - g.xe[i]) * (g.ye[j+1] - g.ye[j])
			g.heat[k] = in.TrayHeat * g.area[k] / floor
			g.rowOf[k] = -1
		}
	}
	for ri := range in.Rows {
		g.lay(ri, &in.Rows[ri])
	}
	return g
}

// lay spreads a row's heat over the cells by overlap.
func (g *grid) lay(ri int, r *Row) {
	flux := r.Heat / r.area()
	for j := range g.ny {
		h := min(g.ye[j+1], r.Y+r.Width/2) - max(g.ye[j], r.Y-r.Width/2)
		if h <= 1e-9 {
			continue
		}
		for i := range g.nx {
			w := min(g.xe[i+1], r.X1) - max(g.xe[i], r.X0)
			if w <= 1e-9 {
				continue
			}
			k := g.index(i, j)
			g.heat[k] += flux * w * h
			g.strip[k] += w * h
			g.rowOf[k] = ri
		}
	}
}

// thin sorts marks and drops those nearer than 0.2 mm to another.
func thin(marks []float64) []float64 {
	slices.Sort(marks)
	out := marks[:0]
	for _, v := range marks {
		if len(out) == 0 || v-out[len(out)-1] > 2e-4 {
			out = append(out, v)
		}
	}
	return out
}

// matrix assembles the symmetric band of conduction and walls; diag gets the
// diagonal, next the coupling to index+1, far that to index+stride.
func (g *grid) matrix(kt, edge float64) (diag, next, far []float64, wall []float64) {
	n := g.nx * g.ny
	diag, next, far, wall = make([]float64, n), make([]float64, n), make([]float64, n), make([]float64, n)
	for j := range g.ny {
		dy := g.ye[j+1] - g.ye[j]
		for i := range g.nx {
			dx := g.xe[i+1] - g.xe[i]
			k := g.index(i, j)
			if i+1 < g.nx {
				c := kt * dy / ((g.xe[i+2] - g.xe[i]) / 2)
				g.couple(diag, next, far, k, g.index(i+1, j), c)
			}
			if j+1 < g.ny {
				c := kt * dx / ((g.ye[j+2] - g.ye[j]) / 2)
				g.couple(diag, next, far, k, g.index(i, j+1), c)
			}
			if edge > 0 {
				if i == 0 || i == g.nx-1 {
					wall[k] += dy / (1/edge + dx/2/kt)
				}
				if j == 0 || j == g.ny-1 {
					wall[k] += dx / (1/edge + dy/2/kt)
				}
			}
		}
	}
	return diag, next, far, wall
}

func (g *grid) couple(diag, next, far []float64, a, b int, c float64) {
	diag[a] += c
	diag[b] += c
	if b == a+1 {
		next[a] = -c
	} else {
		far[a] = -c
	}
}

func (g *grid) stride() int {
	if g.swap {
		return g.ny
	}
	return g.nx
}

// band matrix in LLᵀ form, row by row: l[r*(w+1)+k] is L[r][r-w+k].
type cholesky struct {
	n, w int
	l    []float64
}

// factor computes the Cholesky factor of the grid matrix with the given
// diagonal. The matrix is diagonally dominant with positive diagonal, so a
// root of a negative number cannot arise.
func factor(diag, next, far []float64, w int) *cholesky {
	n := len(diag)
	c := &cholesky{n: n, w: w, l: make([]float64, n*(w+1))}
	s := w + 1
	for r := range n {
		row := c.l[r*s : (r+1)*s]
		row[w] = diag[r]
		if r >= 1 {
			row[w-1] += next[r-1]
		}
		if r >= w {
			row[0] += far[r-w]
		}
		for k := max(0, w-r); k < w; k++ {
			col := r - w + k
			other := c.l[col*s : (col+1)*s]
			// L[r][col] = (A - Σ_{m<col} L[r][m] L[col][m]) / L[col][col];
			// L[r][m] sits at row[m-r+w], L[col][m] at other[m-col+w].
			sum := row[k]
			a, b := row[:k], other[w-k:w]
			for m, v := range a {
				sum -= v * b[m]
			}
			row[k] = sum / other[w]
		}
		sum := row[w]
		for _, v := range row[:w] {
			sum -= v * v
		}
		row[w] = math.Sqrt(sum)
	}
	return c
}

// solve overwrites x with the solution of A y = x.
func (c *cholesky) solve(x []float64) {
	s, w := c.w+1, c.w
	for r := range c.n {
		row := c.l[r*s : (r+1)*s]
		lo := max(0, w-r)
		sum := x[r]
		xs := x[r-w+lo : r]
		for m, v := range row[lo:w] {
			sum -= v * xs[m]
		}
		x[r] = sum / row[w]
	}
	for r := c.n - 1; r >= 0; r-- {
		row := c.l[r*s : (r+1)*s]
		lo := max(0, w-r)
		x[r] /= row[w]
		v := x[r]
		xs := x[r-w+lo : r]
		for m, l := range row[lo:w] {
			xs[m] -= l * v
		}
	}
}
