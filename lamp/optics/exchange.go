package optics

import "math"

// axis is one horizontal direction of the patch grid.
type axis struct {
	l      float64   // m
	edge   []float64 // cell edges, 0 … l, mirror-symmetric, an even number of cells
	w0, wl float64   // mirror parts of the walls at 0 and l
	fold   bool      // both walls alike: even and odd patterns part
}

func (a *axis) n() int { return len(a.edge) - 1 }

// m is the number of unknown cells: half of them on a folded axis.
func (a *axis) m() int {
	if a.fold {
		return a.n() / 2
	}
	return a.n()
}

func (a *axis) cell(i int) interval  { return interval{a.edge[i], a.edge[i+1]} }
func (a *axis) width(i int) float64  { return a.edge[i+1] - a.edge[i] }
func (a *axis) centre(i int) float64 { return (a.edge[i] + a.edge[i+1]) / 2 }
func (a *axis) mirror(i int) int     { return a.n() - 1 - i }

// pass is the share kept by light that crosses n lattice planes on its way
// from a source to the right (n > 0) or left of the target: the planes are
// alternately images of the wall on that side and of the other.
func (a *axis) pass(n int) float64 {
	near, far := a.wl, a.w0
	if n < 0 {
		near, far, n = a.w0, a.wl, -n
	}
	return powInt(near, (n+1)/2) * powInt(far, n/2)
}

func powInt(x float64, n int) float64 {
	p := 1.0
	for ; n > 0; n-- {
		p *= x
	}
	return p
}

// graded divides 0…l into an even number of cells that widen from rim·h at
// the ends to about body·h inside, but no more than most of these.
func graded(l, h, rim, body, most float64) []float64 {
	body = max(body, l/(h*most))
	var half []float64
	x, w := 0.0, rim*h
	for rim < body && w < body*h && x+w < l/2-0.6*w*2 {
		x += w
		half = append(half, x)
		w *= 2
	}
	rest := l/2 - x
	n := max(1, int(math.Round(rest/(body*h))))
	for i := 1; i <= n; i++ {
		half = append(half, x+rest*float64(i)/float64(n))
	}
	e := make([]float64, 0, 2*len(half)+1)
	e = append(e, 0)
	e = append(e, half...)
	for i := len(half) - 2; i >= 0; i-- {
		e = append(e, l-half[i])
	}
	return append(e, l)
}

// lines are an axis' parts of the exchange for every exponent a[k].
type lines struct {
	m int
	// pair[k][i*m+j]: ∬exp(−a(x−ξ)²) over cells i and j, m², all images of j
	// with their losses. even, odd: plus and minus the mirror cell of j.
	even, odd [][]float64
	// to0[k][i]: ∫x·exp(−a x²) over cell i and its images right of wall 0, m²;
	// toL likewise left of wall l. On a folded axis even and odd sums of to0.
	to0, toL [][]float64
	// across[k]: Σ D²exp(−aD²) over the images of the other wall and of the
	// wall itself at distance D, seen from wall 0; selfL seen from wall l.
	other, self, selfL []float64
}

// reach is how many lattice cells to each side matter for exponent a.
func (ax *axis) reach(a float64, most int) int {
	w := math.Sqrt(ax.w0 * ax.wl)
	if w == 0 {
		if ax.w0+ax.wl > 0 {
			return min(1, most)
		}
		return 0
	}
	n := int(math.Ceil(math.Sqrt(30/a)/ax.l)) + 1
	if w < 1 {
		n = min(n, int(math.Ceil(math.Log(1e-6)/math.Log(w))))
	}
	return min(n, most)
}

func (ax *axis) lines(a []float64, most int) lines {
	m, n := ax.m(), ax.n()
	t := lines{m: m}
	alloc := func() [][]float64 {
		all := make([]float64, len(a)*m*m)
		s := make([][]float64, len(a))
		for k := range s {
			s[k] = all[k*m*m : (k+1)*m*m]
		}
		return s
	}
	t.even = alloc()
	if ax.fold {
		t.odd = alloc()
	}
	t.to0, t.toL = make([][]float64, len(a)), make([][]float64, len(a))
	t.other, t.self, t.selfL = make([]float64, len(a)), make([]float64, len(a)), make([]float64, len(a))
	row := make([]float64, n)
	img := make([]float64, n+1)
	walls := make([]float64, 4*n*len(a))
	for k, av := range a {
		r := math.Sqrt(av)
		reach := ax.reach(av, most)
		for i := range m {
			clear(row)
			lo, hi := ax.edge[i], ax.edge[i+1]
			for c := -reach; c <= reach; c++ {
				w := ax.pass(c)
				if w == 0 {
					continue
				}
				o := float64(c) * ax.l
				if d := max(o-hi, lo-o-ax.l); d > 0 && av*d*d > 34 {
					continue
				}
				for e, v := range ax.edge {
					if c%2 != 0 {
						v = ax.l - v
					}
					img[e] = psi(r*(hi-o-v)) - psi(r*(lo-o-v))
				}
				for j := range n {
					d := img[j] - img[j+1]
					if c%2 != 0 {
						d = -d
					}
					row[j] += w / av * d
				}
			}
			for j := range m {
				if ax.fold {
					t.even[k][i*m+j] = row[j] + row[ax.mirror(j)]
					t.odd[k][i*m+j] = row[j] - row[ax.mirror(j)]
				} else {
					t.even[k][i*m+j] = row[j]
				}
			}
		}
		t.to0[k], t.toL[k] = ax.toWalls(av, reach, walls[4*n*k:4*n*(k+1)])
		t.walls(ax, k, av, reach)
	}
	return t
}

// toWalls gives ∫x·exp(−a x²) over each cell and its images, distances from
// wall 0 and from wall l; on a folded axis the even and odd sums over a cell
// and its mirror cell, from wall 0.
//
// The results go to out, which is 4·n long and cleared.
func (ax *axis) toWalls(a float64, reach int, out []float64) (to0, toL []float64) {
	n, m := ax.n(), ax.m()
	z, l := out[:n], out[n:2*n]
	// side adds the images of all cells as wall 0, or wall l, sees them; each
	// edge is shared by two cells.
	side := func(to []float64, k float64, c int, at func(edge float64) float64) {
		if k == 0 {
			return
		}
		gauss := func(edge float64) float64 {
			v, _ := imageOf(at(edge), at(edge), c, ax.l)
			return math.Exp(-a * v * v)
		}
		prev := gauss(ax.edge[0])
		for i := range n {
			e := gauss(ax.edge[i+1])
			to[i] += k * math.Abs(e-prev) / (2 * a)
			prev = e
		}
	}
	for c := 0; c <= reach; c++ {
		side(z, ax.pass(c), c, func(e float64) float64 { return e })
		if !ax.fold {
			side(l, ax.pass(-c), c, func(e float64) float64 { return ax.l - e })
		}
	}
	if !ax.fold {
		return z, l
	}
	even, odd := out[2*n:2*n+m], out[3*n:3*n+m]
	for i := range m {
		even[i], odd[i] = z[i]+z[ax.mirror(i)], z[i]-z[ax.mirror(i)]
	}
	return even, odd
}

func (t *lines) walls(ax *axis, k int, a float64, reach int) {
	for c := 1; c <= reach+1; c++ {
		d := float64(c) * ax.l
		v := d * d * math.Exp(-a*d*d)
		if c%2 == 1 {
			t.other[k] += ax.pass(c-1) * v
		} else {
			t.self[k] += ax.pass(c-1) * v
			t.selfL[k] += ax.pass(1-c) * v
		}
	}
}

// grid is the patch grid of a box with everything about its exchange that
// does not depend on diffuse reflectances.
type grid struct {
	b    Box // sizes and walls
	x, y axis
	z    []float64 // wall edges, 0 … H
	g    float64   // mirror part of the floor
	area []float64 // of the unknowns, m²
	lazy []func() *parity
}

// parity is the exchange among patterns that are even or odd in x and y. The
// unknowns are floor, sheet, walls x = 0 (and l), walls y = 0 (and l): cells
// of floor and sheet run x first, of walls z first.
type parity struct {
	sx, sy int // +1 even, −1 odd, 0 axis not folded
	n      int
	f      []float64 // row-major n × n configuration factors, images in
	first  []int     // per row, the first column that may be over 0
	// group[k] is the surface of unknown k: floor, sheet, walls x, walls y;
	// coarse the configuration factors among them, each taken as evenly lit.
	group  []int
	coarse [groups][groups]float64
	area   [groups]float64
}

// groups are floor, sheet and the two pairs of walls.
const groups = 4

// offsets are where each surface begins among the unknowns.
type offsets struct {
	floor, sheet  int
	wallX, wallX2 int // x = 0; x = l, −1 if folded
	wallY, wallY2 int
	n, mx, my, nz int
}

func (g *grid) offsets() offsets {
	o := offsets{mx: g.x.m(), my: g.y.m(), nz: len(g.z) - 1, wallX2: -1, wallY2: -1}
	o.sheet = o.mx * o.my
	o.wallX = 2 * o.sheet
	at := o.wallX + o.my*o.nz
	if !g.x.fold {
		o.wallX2 = at
		at += o.my * o.nz
	}
	o.wallY = at
	at += o.mx * o.nz
	if !g.y.fold {
		o.wallY2 = at
		at += o.mx * o.nz
	}
	o.n = at
	return o
}

// areas gives every unknown's patch area, m².
func (g *grid) areas() []float64 {
	o := g.offsets()
	a := make([]float64, o.n)
	for j := range o.my {
		for i := range o.mx {
			v := g.x.width(i) * g.y.width(j)
			a[o.floor+j*o.mx+i], a[o.sheet+j*o.mx+i] = v, v
		}
	}
	for l := range o.nz {
		dz := g.z[l+1] - g.z[l]
		for j := range o.my {
			for _, w := range []int{o.wallX, o.wallX2} {
				if w >= 0 {
					a[w+j*o.nz+l] = g.y.width(j) * dz
				}
			}
		}
		for i := range o.mx {
			for _, w := range []int{o.wallY, o.wallY2} {
				if w >= 0 {
					a[w+i*o.nz+l] = g.x.width(i) * dz
				}
			}
		}
	}
	return a
}

// mirrors gives every unknown's mirror part.
func (g *grid) mirrors() []float64 {
	o := g.offsets()
	w := make([]float64, o.n)
	for i := o.floor; i < o.sheet; i++ {
		w[i] = g.g
	}
	set := func(at, n int, v float64) {
		for i := range n {
			if at >= 0 {
				w[at+i] = v
			}
		}
	}
	set(o.wallX, o.my*o.nz, g.x.w0)
	set(o.wallX2, o.my*o.nz, g.x.wl)
	set(o.wallY, o.mx*o.nz, g.y.w0)
	set(o.wallY2, o.mx*o.nz, g.y.wl)
	return w
}

// heights are the vertical parts of the exchange for every exponent.
type heights struct {
	floor, sheet [][]float64 // ∫z·exp(−a z²), ∫(H−z)·exp(−a(H−z)²) with the floor mirror, m²
	pair         [][]float64 // ∬exp(−a(z−ζ)²) with the floor mirror, m²
}

func (g *grid) heights(a []float64) heights {
	nz, h := len(g.z)-1, g.b.Height
	var t heights
	half := func(a, lo, hi float64) float64 { return (math.Exp(-a*lo*lo) - math.Exp(-a*hi*hi)) / (2 * a) }
	all := make([]float64, len(a)*nz*(nz+2))
	for _, av := range a {
		f, s, p := all[:nz:nz], all[nz:2*nz:2*nz], all[2*nz:nz*(nz+2):nz*(nz+2)]
		all = all[nz*(nz+2):]
		r := math.Sqrt(av)
		for l := range nz {
			f[l] = half(av, g.z[l], g.z[l+1])
			s[l] = half(av, h-g.z[l+1], h-g.z[l]) + g.g*half(av, h+g.z[l], h+g.z[l+1])
			for q := range nz {
				d := psi(r*(g.z[l+1]-g.z[q])) - psi(r*(g.z[l]-g.z[q])) - psi(r*(g.z[l+1]-g.z[q+1])) + psi(r*(g.z[l]-g.z[q+1]))
				if g.g > 0 {
					d += g.g * (psi(r*(g.z[l+1]+g.z[q+1])) - psi(r*(g.z[l]+g.z[q+1])) - psi(r*(g.z[l+1]+g.z[q])) + psi(r*(g.z[l]+g.z[q])))
				}
				p[l*nz+q] = d / av
			}
		}
		t.floor, t.sheet, t.pair = append(t.floor, f), append(t.sheet, s), append(t.pair, p)
	}
	return t
}
