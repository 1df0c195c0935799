package optics

import (
	"math"
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
