package optics

import (
	"math"
	"sync"
)

// windowPer is the number of points a period in which a spot pattern is
// sampled; a window is two periods each way.
const windowPer = 32

const windowPoints = 2 * windowPer

// window gathers the light of LEDs over 2 × 2 periods of a lattice: at its
// points, and its mean over one period about each of them. Gaussians that are
// smooth over the window are taken at a few Chebyshev points, and interpolated
// once all that share these points are added.
type window struct {
	x, y   [2]float64 // m, first and last edge
	px, py float64    // m, the periods
	parts  []*windowPart
}

// windowPart is what is gathered at nx × ny points, row-major by y.
type windowPart struct {
	nx, ny   int
	at, mean []float64
}

// part is the one for nx × ny points.
func (w *window) part(nx, ny int) *windowPart {
	for _, p := range w.parts {
		if p.nx == nx && p.ny == ny {
			return p
		}
	}
	p := &windowPart{nx, ny, make([]float64, nx*ny), make([]float64, nx*ny)}
	w.parts = append(w.parts, p)
	return p
}

func newWindow(x, y, px, py float64) *window {
	return &window{[2]float64{x - px, x + px}, [2]float64{y - py, y + py}, px, py, nil}
}

// nodes are the places, m, of n points between the edges: evenly spread when n
// is windowPoints, else Chebyshev points.
func nodes(edge [2]float64, n int) []float64 {
	if n < windowPoints {
		return chebyshev(edge[0], edge[1], n)
	}
	v := make([]float64, n)
	for i := range v {
		v[i] = edge[0] + (edge[1]-edge[0])*(float64(i)+0.5)/float64(n)
	}
	return v
}

// addWindow adds k·Σ Φ·g to a window.
func (s *Solver) addWindow(w *window, f *field, g gaussSum, k float64) {
	if f.total == 0 || k == 0 {
		return
	}
	nc, nl := len(f.x), len(f.y)
	lv := make([]float64, nl)
	for q, a := range g.a {
		nx, ny := nodesFor(a*w.px*w.px), nodesFor(a*w.py*w.py)
		part := w.part(nx, ny)
		vx, mx := s.windowLine(&s.grid.x, w.x, nx, f.x, a, w.px)
		vy, my := s.windowLine(&s.grid.y, w.y, ny, f.y, a, w.py)
		c := k * g.c[q]
		for i := range nx {
			f.alongLines(vx[i*nc:(i+1)*nc], lv)
			for j := range ny {
				part.at[j*nx+i] += c * dot(lv, vy[j*nl:])
			}
			f.alongLines(mx[i*nc:(i+1)*nc], lv)
			for j := range ny {
				part.mean[j*nx+i] += c * dot(lv, my[j*nl:])
			}
		}
	}
}

// windowLines keeps what windowLine gave: it hangs on the box's geometry alone,
// so that a lamp that is dimmed or fed otherwise finds it done.
type windowLines struct {
	mu  sync.Mutex
	all map[windowKey][2][]float64
}

// keptLines bounds what is kept: the window at the face's centre needs one for
// each Gaussian and side.
const keptLines = 128

type windowKey struct {
	ax        *axis
	edge      [2]float64
	n         int
	from      *float64
	a, period float64
}

// windowLine gives exp(−a·d²) at n points of a window's side from each place
// of from and its images, and its mean over a period about each point, both
// row-major by point. The caller leaves them as they are.
func (s *Solver) windowLine(ax *axis, edge [2]float64, n int, from []float64, a, period float64) (v, m []float64) {
	key := windowKey{ax, edge, n, &from[0], a, period}
	s.lines.mu.Lock()
	kept, ok := s.lines.all[key]
	s.lines.mu.Unlock()
	if ok {
		return kept[0], kept[1]
	}
	v, m = s.makeLine(ax, edge, n, from, a, period)
	s.lines.mu.Lock()
	defer s.lines.mu.Unlock()
	if s.lines.all == nil {
		s.lines.all = map[windowKey][2][]float64{}
	}
	if len(s.lines.all) < keptLines {
		s.lines.all[key] = [2][]float64{v, m}
	}
	return v, m
}

func (s *Solver) makeLine(ax *axis, edge [2]float64, n int, from []float64, a, period float64) (v, m []float64) {
	at := nodes(edge, n)
	v, m = make([]float64, n*len(from)), make([]float64, n*len(from))
	q := math.Sqrt(a)
	w0 := math.Sqrt(math.Pi) / (2 * q * period)
	for c, p := range from {
		ax.imagePoints(p, a, edge[0]-period/2, edge[1]+period/2, s.most, func(p, w float64) {
			for i, x := range at {
				d := x - p
				v[i*len(from)+c] += w * expMinus(a*d*d)
				m[i*len(from)+c] += w * w0 * (erf(q*(d+period/2)) - erf(q*(d-period/2)))
			}
		})
	}
	return v, m
}

// sums gives what was gathered at windowPoints × windowPoints even points,
// row-major by y.
func (w *window) sums() (at, mean []float64) {
	const n = windowPoints
	at, mean = make([]float64, n*n), make([]float64, n*n)
	for _, p := range w.parts {
		spread(at, p.at, p.nx, p.ny)
		spread(mean, p.mean, p.nx, p.ny)
	}
	return at, mean
}

// spread adds to the even points what values at nx × ny points say of them.
func spread(to, from []float64, nx, ny int) {
	const n = windowPoints
	wide := from // ny × n
	if nx < n {
		wide = make([]float64, ny*n)
		m := windowMatrix[nx]
		for j := range ny {
			row := from[j*nx : (j+1)*nx]
			for i := range n {
				wide[j*n+i] = dot(row, m[i*nx:])
			}
		}
	}
	if ny < n {
		wide = spreadRows(windowMatrix[ny], wide, ny, n)
	}
	for i, v := range wide {
		to[i] += v
	}
}

// windowMatrix interpolates from each number of Chebyshev points that nodesFor
// gives to the even points of a window, row-major by even point.
var windowMatrix = func() map[int][]float64 {
	even := nodes([2]float64{-1, 1}, windowPoints)
	out := map[int][]float64{}
	for _, s := range windowSteps {
		out[s.nodes] = lagrange(chebyshev(-1, 1, s.nodes), even)
	}
	return out
}()

// windowSteps says how many Chebyshev points carry exp(−a·d²) over two periods
// to 1e−8 of its height, by a·period².
var windowSteps = []struct {
	below float64
	nodes int
}{{0.5, 12}, {2, 18}, {6, 26}, {12, 34}}

// nodesFor is how many points a Gaussian needs over a window, z = a·period²:
// its k-th even Chebyshev coefficient falls as Iₖ(z/2)·exp(−z/2).
func nodesFor(z float64) int {
	for _, s := range windowSteps {
		if z < s.below {
			return s.nodes
		}
	}
	return windowPoints
}

// chebyshev gives n Chebyshev points of a…b.
func chebyshev(a, b float64, n int) []float64 {
	x := make([]float64, n)
	for i := range x {
		x[i] = (a+b)/2 - (b-a)/2*math.Cos(math.Pi*(float64(i)+0.5)/float64(n))
	}
	return x
}

// lagrange is the matrix, row-major len(to) × len(from), that interpolates
// values at from to the points to.
func lagrange(from, to []float64) []float64 {
	m := make([]float64, len(to)*len(from))
	for i, x := range to {
		for j, xj := range from {
			w := 1.0
			for k, xk := range from {
				if k != j {
					w *= (x - xk) / (xj - xk)
				}
			}
			m[i*len(from)+j] = w
		}
	}
	return m
}

// spreadRows multiplies the matrix m by the rows of v.
func spreadRows(m, v []float64, rows, cols int) []float64 {
	n := len(m) / rows
	out := make([]float64, n*cols)
	for i := range n {
		to := out[i*cols : (i+1)*cols]
		for k := range rows {
			w := m[i*rows+k]
			from := v[k*cols:]
			from = from[:len(to)]
			for c := range to {
				to[c] += w * from[c]
			}
		}
	}
	return out
}
