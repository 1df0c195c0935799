package optics

import (
	"math"
	"sync"
)

// pointTable is a gaussSum laid out over lines of points: for each exponent
// px[p*cols+c] = Σ exp(−a(x_p−x_c)²) over the images of column c.
//
// Fluxes that are a product of columns and lines need the sums over the LEDs
// alone, which are kept for the weights last asked for; the tables of every LED
// at every point are made when other fluxes come.
type pointTable struct {
	g      gaussSum
	x, y   *readLine
	wx, wy [][]float64 // integrals over the whole face, m
	tables func() (px, py [][]float64)
	sums   func(f *field) (sx, sy [][]float64)
}

// smoothNodes carry a wide Gaussian and all its images over a side.
const smoothNodes = 12

// stretch is the range of n even cells on 0…l whose centres lie within reach
// of x.
func stretch(x, reach, l float64, n int) (lo, hi int) {
	k := float64(n) / l
	lo = int(clampf(math.Ceil((x-reach)*k-0.5), 0, float64(n)))
	hi = int(clampf(math.Floor((x+reach)*k+0.5), 0, float64(n)))
	return lo, max(lo, hi)
}

func (s *Solver) points(f *field, t *faceTables, g gaussSum) *pointTable {
	p := &pointTable{g: g, x: s.readLine(&s.grid.x, t.x, f.x), y: s.readLine(&s.grid.y, t.y, f.y)}
	for _, a := range g.a {
		p.wx, p.wy = append(p.wx, p.x.wholes(a)), append(p.wy, p.y.wholes(a))
	}
	p.tables = sync.OnceValues(func() (px, py [][]float64) {
		for _, a := range g.a {
			px, py = append(px, p.x.table(a)), append(py, p.y.table(a))
		}
		return px, py
	})
	p.sums = sumsOf(func(ux, uy []float64) (sx, sy [][]float64) {
		for _, a := range g.a {
			sx, sy = append(sx, p.x.profile(a, ux)), append(sy, p.y.profile(a, uy))
		}
		return sx, sy
	})
	return p
}

// readLine is one side of the face: the points at which it is read, the places
// of the LEDs, and the images between them.
type readLine struct {
	ax       *axis
	most     int
	at, from []float64
	half     int // LEDs to follow; the others are their mirror images
	spread   func() []float64
}

func (s *Solver) readLine(ax *axis, at, from []float64) *readLine {
	r := &readLine{ax: ax, most: s.most, at: at, from: from, half: len(from)}
	if ax.w0 == ax.wl && mirrored(from, ax.l) {
		r.half = (len(from) + 1) / 2
	}
	r.spread = sync.OnceValue(func() []float64 { return lagrange(r.smooth(), at) })
	return r
}

func (r *readLine) smooth() []float64 { return chebyshev(0, r.ax.l, smoothNodes) }

// isSmooth: many images of a wide Gaussian, a few points tell all.
func (r *readLine) isSmooth(a float64) bool {
	l := r.ax.l
	return a*l*l < 6 && smoothNodes < len(r.at) && r.ax.reach(a, r.most) > 1
}

// gather adds to row, at the points at, what the Gaussian of exponent a brings
// from an LED at x, images included, times k; and gives what arrives, beside the
// points themselves, at the mirror image of the last, the rim.
func (r *readLine) gather(a, x, k float64, smooth bool, at, row []float64) (image float64) {
	ax, last := r.ax, len(at)-1
	ax.imagePoints(x, a, 0, ax.l, r.most, func(x, w float64) {
		w *= k
		lo, hi := 0, len(at)
		if !smooth { // even cells: those out of the Gaussian's reach get nothing
			lo, hi = stretch(x, math.Sqrt(expEnd/a), ax.l, len(at)-2)
			for _, q := range [2]int{last - 1, last} {
				d := at[q] - x
				row[q] += w * expMinus(a*d*d)
			}
		}
		to := row[lo:hi]
		for q, y := range at[lo:hi] {
			d := y - x
			to[q] += w * expMinus(a*d*d)
		}
		d := ax.l - at[last] - x
		image += w * expMinus(a*d*d)
	})
	return image
}

// wholes are the integrals along the line of what each LED gives, m.
func (r *readLine) wholes(a float64) []float64 {
	n := len(r.from)
	whole := make([]float64, n)
	k := math.Sqrt(a)
	root := math.Sqrt(math.Pi) / (2 * k)
	for c, x := range r.from[:r.half] {
		r.ax.imagePoints(x, a, 0, r.ax.l, r.most, func(x, w float64) {
			whole[c] += w * root * (erf(k*(r.ax.l-x)) - erf(-k*x))
		})
	}
	for c := r.half; c < n; c++ {
		whole[c] = whole[n-1-c]
	}
	return whole
}

// opposite is the point whose mirror image point q is; the rim has none.
func (r *readLine) opposite(q, points int, smooth bool) int {
	switch {
	case smooth:
		return points - 1 - q
	case q == points-2: // the middle
		return q
	}
	return points - 3 - q
}

// points are those at which the Gaussian of exponent a is followed.
func (r *readLine) points(a float64) (at []float64, smooth bool) {
	if r.isSmooth(a) {
		return r.smooth(), true
	}
	return r.at, false
}

// table is what each LED gives at each point, point by point.
func (r *readLine) table(a float64) []float64 {
	at, smooth := r.points(a)
	n, points := len(r.from), len(at)
	v, row := make([]float64, points*n), make([]float64, points)
	for c, x := range r.from[:r.half] {
		clear(row)
		image := r.gather(a, x, 1, smooth, at, row)
		m := n - 1 - c
		for q, e := range row {
			v[q*n+c] = e
			switch {
			case m < r.half: // the middle one, or no symmetry
			case q == points-1 && !smooth:
				v[q*n+m] = image
			default:
				v[r.opposite(q, points, smooth)*n+m] = e
			}
		}
	}
	if smooth {
		return spreadRows(r.spread(), v, points, n)
	}
	return v
}

// profile is what all LEDs give together at each point, each by its weight.
func (r *readLine) profile(a float64, weights []float64) []float64 {
	at, smooth := r.points(a)
	n, points := len(r.from), len(at)
	v, rim := make([]float64, points), 0.0
	if r.half < n && palindrome(weights, alikeWeights) {
		// Half of the LEDs, and the mirror image of what they give.
		one := make([]float64, points)
		for c, x := range r.from[:r.half] {
			k := weights[c]
			if c == n-1-c {
				k /= 2
			}
			rim += r.gather(a, x, k, smooth, at, one)
		}
		copy(v, one)
		for q, e := range one {
			if q == points-1 && !smooth {
				v[q] += rim
			} else {
				v[r.opposite(q, points, smooth)] += e
			}
		}
	} else {
		for c, x := range r.from {
			r.gather(a, x, weights[c], smooth, at, v)
		}
	}
	if smooth {
		return spreadRows(r.spread(), v, points, 1)
	}
	return v
}

// add adds k·Σ Φ·g at all points to dst, x first, and returns k times the
// mean over the face. With even set the light is alike in all four quarters.
func (p *pointTable) add(f *field, k, area float64, dst []float64, even bool) (mean float64) {
	if f.total == 0 || k == 0 {
		return 0
	}
	nc, nl := len(f.x), len(f.y)
	nx, ny := len(p.x.at), len(p.y.at)
	for q := range p.g.a {
		mean += k * p.g.c[q] / area * f.across(p.wx[q], p.wy[q])
	}
	if f.product {
		p.addProduct(f, k, dst, nx, ny, even)
		return mean
	}
	tx, ty := p.tables()
	columns := func(from, to int) {
		lv := make([]float64, nl)
		for q := range p.g.a {
			c := k * p.g.c[q]
			px, py := tx[q], ty[q]
			for i := from; i < to; i++ {
				f.alongLines(px[i*nc:(i+1)*nc], lv)
				for j := range ny {
					dst[j*nx+i] += c * dot(lv, py[j*nl:])
				}
			}
		}
	}
	if len(p.g.a)*nx*nl*(nc+ny) < worthSharing {
		columns(0, nx)
		return mean
	}
	// Columns are added up each by itself: shared out or not, every point
	// comes out the same.
	var both sync.WaitGroup
	both.Go(func() { columns(0, nx/2) })
	columns(nx/2, nx)
	both.Wait()
	return mean
}

// worthSharing is the number of products from which two cores are quicker than
// one.
const worthSharing = 200_000

// addProduct is add for fluxes that are a product of columns and lines.
func (p *pointTable) addProduct(f *field, k float64, dst []float64, nx, ny int, even bool) {
	at, up := make([]int, 0, nx), make([]int, 0, ny) // the points to work out
	pick := func(at []int, n int) []int {
		cells := n - 2
		if even {
			cells = (cells + 1) / 2
		}
		for i := range cells {
			at = append(at, i)
		}
		return append(at, n-2, n-1)
	}
	at, up = pick(at, nx), pick(up, ny)
	sum, row := make([]float64, len(at)*len(up)), make([]float64, len(at))
	sx, sy := p.sums(f)
	for q := range p.g.a {
		c := k * p.g.c[q] * f.total
		for i, x := range at {
			row[i] = c * sx[q][x]
		}
		for j, y := range up {
			v := sy[q][y]
			if v == 0 {
				continue
			}
			out := sum[j*len(at) : (j+1)*len(at)]
			for i := range out {
				out[i] += v * row[i]
			}
		}
	}
	for j := range ny {
		from := sum[nearest(j, ny, len(up))*len(at):]
		to := dst[j*nx : (j+1)*nx]
		for i := range to {
			to[i] += from[nearest(i, nx, len(at))]
		}
	}
}

// nearest is where point i of n (n − 2 cells, then middle and rim) was worked
// out among m.
func nearest(i, n, m int) int {
	switch {
	case i >= n-2:
		return m - n + i
	case i < m-2:
		return i
	}
	return n - 3 - i
}
