package optics

import (
	"math"
	"sync"
)

// Face is what the sheet shows at normal view, images of single LEDs seen
// unscattered left out.
type Face struct {
	NX, NY   int       // cells along x and y, up to 400
	DX, DY   float64   // m, cell size
	L        []float64 // cd/m² at cell centres, x first, from the corner x = y = 0
	Mean     float64   // cd/m², true mean of the face
	Min, Max float64   // cd/m², over cell centres
	MinAt    [2]float64
	MaxAt    [2]float64 // m, box frame
	Centre   float64    // cd/m², at the face's centre
	EdgeX    float64    // cd/m², at the middle of the edge y = 0, 2.5 mm in
	EdgeY    float64    // cd/m², at the middle of the edge x = 0, 2.5 mm in
	Corner   float64    // cd/m², 2.5 mm in from x = 0 and y = 0
	Evenness float64    // Min/Mean
	Direct   float64    // share of Centre straight from the LEDs
}

// RimInset is the distance, m, of edge and corner readings from the rim.
const RimInset = 2.5e-3

// At interpolates the map at (x, y), m, box frame.
func (f *Face) At(x, y float64) float64 {
	u, v := clampf(x/f.DX-0.5, 0, float64(f.NX-1)), clampf(y/f.DY-0.5, 0, float64(f.NY-1))
	i, j := min(int(u), max(0, f.NX-2)), min(int(v), max(0, f.NY-2))
	i2, j2 := min(i+1, f.NX-1), min(j+1, f.NY-1)
	s, t := u-float64(i), v-float64(j)
	return (1-t)*((1-s)*f.L[j*f.NX+i]+s*f.L[j*f.NX+i2]) + t*((1-s)*f.L[j2*f.NX+i]+s*f.L[j2*f.NX+i2])
}

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

// faceTables are the points at which the face is read. The last two of each
// line are the middle and the rim.
type faceTables struct {
	nx, ny        int
	x, y          []float64
	ix, iy        []lerp
	mx, my        []float64 // mean interpolation weight of every patch cell over the map
	lambert, lobe []*pointTable
}

// lerp interpolates between cells i and i+1 with weight t on i+1; t leaves
// 0…1 towards the rim.
type lerp struct {
	i int
	t float64
}

func (ax *axis) lerpAt(x float64) lerp {
	n := ax.n()
	if n < 2 {
		return lerp{0, 0}
	}
	i := 0
	for i < n-2 && x > ax.centre(i+1) {
		i++
	}
	return lerp{i, (x - ax.centre(i)) / (ax.centre(i+1) - ax.centre(i))}
}

// lerpMean gives, per cell, the integral over the line of what lerpAt weights
// it with, m.
func (ax *axis) lerpMean() []float64 {
	n := ax.n()
	w := make([]float64, n)
	hat := func(i int, a, b float64) { // ∫ of the line through cells i and i+1 over a…b
		c0, c1 := ax.centre(i), ax.centre(i+1)
		t := ((a+b)/2 - c0) / (c1 - c0)
		w[i] += (1 - t) * (b - a)
		w[i+1] += t * (b - a)
	}
	for i := range n - 1 {
		a, b := ax.centre(i), ax.centre(i+1)
		if i == 0 {
			a = 0
		}
		if i == n-2 {
			b = ax.l
		}
		hat(i, a, b)
	}
	return w
}

// mostCells bounds the face map each way.
const mostCells = 400

func mapLine(l, cell float64) []float64 {
	n := min(mostCells, max(1, int(math.Round(l/cell))))
	x := make([]float64, n, n+2)
	for i := range x {
		x[i] = (float64(i) + 0.5) * l / float64(n)
	}
	return append(x, l/2, min(RimInset, l/4))
}

func (s *Solver) newFaceTables() *faceTables {
	g := s.grid
	t := &faceTables{x: mapLine(s.box.Length, s.opt.Cell), y: mapLine(s.box.Width, s.opt.Cell)}
	t.nx, t.ny = len(t.x)-2, len(t.y)-2
	line := func(ax *axis, x []float64) ([]lerp, []float64) {
		w := make([]float64, ax.n())
		l := make([]lerp, len(x))
		for p, v := range x {
			l[p] = ax.lerpAt(v)
			if p < len(x)-2 {
				w[l[p].i] += (1 - l[p].t) / float64(len(x)-2)
				w[l[p].i+1] += l[p].t / float64(len(x)-2)
			}
		}
		return l, w
	}
	t.ix, t.mx = line(&g.x, t.x)
	t.iy, t.my = line(&g.y, t.y)
	far := math.Hypot(s.box.Length, s.box.Width) * float64(s.most+1)
	for i, f := range s.fields {
		h := s.box.Height - f.z
		full := s.tables[i].sheet
		k := s.tables[i].kSheet
		t.lambert = append(t.lambert, s.points(f, t, gaussSum{full.a[:k], full.c[:k]}))
		if s.film != nil {
			t.lobe = append(t.lobe, s.points(f, t, s.film.kernel(f.m, h, far)))
		}
	}
	return t
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

// readFace fills Face from the direct light and the interpolated rest.
func (r *Solution) readFace() {
	s, t := r.solver, r.solver.face()
	g := s.grid
	sh := r.box.Sheet
	area := r.box.FaceArea()
	nx, ny := len(t.x), len(t.y)
	l := make([]float64, nx*ny)
	mean := 0.0
	for i, f := range r.fields {
		mean += t.lambert[i].add(f, sh.T*sh.Lambert()/math.Pi, area, l, r.mirrored)
	}
	centre := (ny-2)*nx + nx - 2
	direct := l[centre]
	q, behind, fix := r.indirect(t)
	t.addPatches(g.x.n(), q, l)
	if sh.weak() {
		r.lambert = make([]float64, t.nx*t.ny)
		for j := range t.ny {
			copy(r.lambert[j*t.nx:(j+1)*t.nx], l[j*nx:])
		}
		direct = -l[centre] + direct
		for i, f := range r.fields {
			if sh.Lobe > 0 {
				mean += t.lobe[i].add(f, sh.T*sh.Lobe, area, l, r.mirrored)
			}
		}
		direct += l[centre]
		t.addPatches(g.x.n(), behind, l)
	}
	mean += fix
	f := Face{NX: t.nx, NY: t.ny, DX: r.box.Length / float64(t.nx), DY: r.box.Width / float64(t.ny), Mean: mean}
	f.L = make([]float64, t.nx*t.ny)
	f.Min, f.Max = math.Inf(1), math.Inf(-1)
	for j := range t.ny {
		for i := range t.nx {
			v := l[j*nx+i]
			f.L[j*t.nx+i] = v
			if v < f.Min {
				f.Min, f.MinAt = v, [2]float64{t.x[i], t.y[j]}
			}
			if v > f.Max {
				f.Max, f.MaxAt = v, [2]float64{t.x[i], t.y[j]}
			}
		}
	}
	f.Centre, f.EdgeX = l[centre], l[(ny-1)*nx+nx-2]
	f.EdgeY, f.Corner = l[(ny-2)*nx+nx-1], l[(ny-1)*nx+nx-1]
	if mean > 0 {
		f.Evenness = f.Min / mean
	}
	if f.Centre > 0 {
		f.Direct = direct / f.Centre
	}
	r.Face = f
}

// addPatches interpolates q, given on the sheet's patches, to all points.
func (t *faceTables) addPatches(n int, q, l []float64) {
	nx := len(t.x)
	line := make([]float64, n)
	for j, y := range t.iy {
		for i := range n {
			line[i] = (1-y.t)*q[y.i*n+i] + y.t*q[(y.i+1)*n+i]
		}
		row := l[j*nx : (j+1)*nx]
		for i := range row {
			x := t.ix[i]
			row[i] += max(0, (1-x.t)*line[x.i]+x.t*line[x.i+1])
		}
	}
}

// indirect gives the luminance of the many-times reflected light at the sheet
// patches' centres: of the Lambertian share, scaled so that its interpolation
// keeps the patch mean, and of the rest at normal view (nil without); and the
// mean of both.
func (r *Solution) indirect(t *faceTables) (q, behind []float64, mean float64) {
	s, g, sh := r.solver, r.solver.grid, r.box.Sheet
	n, m := g.x.n(), g.y.n()
	td := sh.tDiffuse()
	q = make([]float64, n*m)
	k := td * sh.Lambert() / math.Pi
	patch, interp := 0.0, 0.0
	for j := range m {
		for i := range n {
			e := r.total.sheet[j*n+i] - r.direct.sheet[j*n+i]
			q[j*n+i] = k * e
			patch += k * e * g.x.width(i) * g.y.width(j)
			interp += k * e * t.mx[i] * t.my[j]
		}
	}
	patch /= r.box.FaceArea()
	if interp > 0 {
		for i := range q {
			q[i] *= patch / interp
		}
	}
	mean = patch
	if !sh.weak() {
		return q, nil, mean
	}
	// Direction-dependent part: look back into the box from every patch's
	// centre; in a box of even light one quarter tells all.
	behind = make([]float64, n*m)
	fans := s.opt.Detail.fans()
	mi, mj := n, m
	if r.even {
		mi, mj = g.x.m(), g.y.m()
	}
	for j := range mj {
		for i := range mi {
			v := 0.0
			for k := range fans {
				turn := turnOf(j*n+i) + float64(k)/float64(fans)
				v += td / (math.Pi * float64(fans)) * r.behind(g.x.centre(i), g.y.centre(j), 0, 0, turn, sh)
			}
			for _, jj := range [2]int{j, g.y.mirror(j)} {
				for _, ii := range [2]int{i, g.x.mirror(i)} {
					if (ii == i || mi < n) && (jj == j || mj < m) {
						behind[jj*n+ii] = v
						mean += v * t.mx[ii] * t.my[jj]
					}
				}
			}
		}
	}
	return q, behind, mean
}
