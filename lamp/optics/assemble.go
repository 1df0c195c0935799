package optics

import (
	"math"
	"sync"
)

// kmajor turns t[k][p] into flat [p*K+k].
func kmajor(t [][]float64) []float64 {
	n, p := len(t), len(t[0])
	out := make([]float64, n*p)
	for k, row := range t {
		for i, v := range row {
			out[i*n+k] = v
		}
	}
	return out
}

// exchangeSeries gives the exponents and weights of 1/(π r⁴) for patches no
// smaller than small out to far, m. Pairs that touch at right angles ask for
// all higher exponents; there their terms go down as a^−½ and a^−1, so the
// last two weights carry the rest of both geometric series.
func exchangeSeries(small, far float64) (a, w []float64) {
	a, w = inversePower(2, small*0.8, far)
	for k := range w {
		w[k] /= math.Pi
	}
	n := len(w)
	s1, s2 := math.Exp(-logStep/2), math.Exp(-logStep)
	r1, r2 := s1/(1-s1), s2/(1-s2)
	// α + β/s = r for both s.
	beta := (r1 - r2) / (1/s1 - 1/s2)
	alpha := r1 - beta/s1
	w[n-1] *= 1 + alpha
	w[n-2] *= 1 + beta
	return a, w
}

// newGrid works out the patches of b and all exchange among them.
func newGrid(b *Box, d Detail) *grid {
	bands := b.bands()
	g := &grid{b: *b, g: mix(bands, interval{0, b.Width}).mirror(b.Floor)}
	g.b.Rows = nil
	h := b.Height
	rim, body, inner := d.cells()
	g.x = axis{l: b.Length, edge: graded(b.Length, h, rim, body, inner), w0: b.Walls[0].mirror(), wl: b.Walls[1].mirror(), fold: b.Walls[0] == b.Walls[1]}
	g.y = axis{l: b.Width, edge: graded(b.Width, h, rim, body, inner), w0: b.Walls[2].mirror(), wl: b.Walls[3].mirror(), fold: b.Walls[2] == b.Walls[3] && b.evenBands(bands)}
	g.z = d.rungs(h, min(b.Length, b.Width))
	small, far := math.Inf(1), math.Hypot(math.Hypot(b.Length, b.Width), h)
	for _, e := range [][]float64{g.x.edge, g.y.edge, g.z} {
		for i := range len(e) - 1 {
			small = min(small, e[i+1]-e[i])
		}
	}
	most := 0
	if w := max(g.x.w0, g.x.wl, g.y.w0, g.y.wl); w > 0 {
		most = imageReach(b, w)
		far *= float64(most + 1)
	}
	a, w := exchangeSeries(small, far)
	tx, ty, tz := g.x.lines(a, most), g.y.lines(a, most), g.heights(a)
	g.area = g.areas()
	var scale []float64
	for _, sx := range g.x.signs() {
		for _, sy := range g.y.signs() {
			if len(g.lazy) == 0 { // the even part comes first and is always needed
				p := g.assemble(sx, sy, a, w, &tx, &ty, &tz)
				scale = g.balance(&p)
				g.finish(&p, scale)
				g.lazy = append(g.lazy, func() *parity { return &p })
				continue
			}
			g.lazy = append(g.lazy, sync.OnceValue(func() *parity {
				p := g.assemble(sx, sy, a, w, &tx, &ty, &tz)
				g.finish(&p, scale)
				return &p
			}))
		}
	}
	return g
}

// parities is how many patterns there are; part gives the exchange of one.
func (g *grid) parities() int      { return len(g.lazy) }
func (g *grid) part(q int) *parity { return g.lazy[q]() }

// signsOf gives the signs of pattern q.
func (g *grid) signsOf(q int) (sx, sy int) {
	x, y := g.x.signs(), g.y.signs()
	return x[q/len(y)], y[q%len(y)]
}

// imageReach is how many wall images in each direction light has to be
// followed through: until the lattice beyond sends less than 1e-4.
func imageReach(b *Box, w float64) int {
	l := min(b.Length, b.Width)
	n := 1
	for n < 60 {
		r := float64(n) * l / b.Height
		if powInt(w, n)/(r*r) < 1e-4 {
			break
		}
		n++
	}
	return n
}

func (a *axis) signs() []int {
	if a.fold {
		return []int{1, -1}
	}
	return []int{0}
}

// evenBands tells whether the strip bands bs of b are mirror images about the middle.
func (b *Box) evenBands(bs []band) bool {
	for i, s := range bs {
		m := bs[len(bs)-1-i]
		if math.Abs(s.a+m.b-b.Width) > 1e-7 || math.Abs(s.reflectance-m.reflectance) > 1e-9 {
			return false
		}
	}
	return true
}

// side is one wall among the unknowns: where it begins, its distance
// integrals over the floor cells, and its exchange with itself.
type side struct {
	at   int
	to   []float64 // k-major
	self []float64
}

// assemble fills A·F for one parity from the one-dimensional parts:
//
//	floor–sheet   H²·e^(−aH²)·X_ii'·Y_jj'          wall–floor  N_i'·Y_jj'·Z_l
//	wall–opposite D²·e^(−aD²)·Y_jj'·Z_ll'          wall–wall   N_i'·N_j·Z_ll'
//
// each summed over k with weight w[k].
func (g *grid) assemble(sx, sy int, a, w []float64, tx, ty *lines, tz *heights) parity {
	o := g.offsets()
	p := parity{sx: sx, sy: sy, n: o.n, f: make([]float64, o.n*o.n)}
	nk := len(a)
	px, nx := kmajor(tx.even), kmajor(tx.to0)
	if sx < 0 {
		px, nx = kmajor(tx.odd), kmajor(tx.toL)
	}
	py, ny := kmajor(ty.even), kmajor(ty.to0)
	if sy < 0 {
		py, ny = kmajor(ty.odd), kmajor(ty.toL)
	}
	zf, zs, zp := kmajor(tz.floor), kmajor(tz.sheet), kmajor(tz.pair)
	plate, plate2 := make([]float64, nk), make([]float64, nk)
	h2 := g.b.Height * g.b.Height
	for k := range a {
		plate[k] = w[k] * h2 * math.Exp(-a[k]*h2)
		plate2[k] = g.g * w[k] * 4 * h2 * math.Exp(-4*a[k]*h2)
	}
	p.plates(o.floor, o.sheet, px, py, plate, o.mx, o.my)
	if g.g > 0 {
		p.plates(o.sheet, o.sheet, px, py, plate2, o.mx, o.my)
	}
	wx := g.sides(sx, o.wallX, o.wallX2, nx, tx)
	wy := g.sides(sy, o.wallY, o.wallY2, ny, ty)
	for _, s := range wx {
		p.wallPlate(s, o.floor, py, zf, w, o, true)
		p.wallPlate(s, o.sheet, py, zs, w, o, true)
		p.wallWall(s.at, s.at, s.self, w, py, zp, o.my, o.nz)
		for _, q := range wy {
			p.corner(s, q, zp, w, o)
		}
	}
	for _, s := range wy {
		p.wallPlate(s, o.floor, px, zf, w, o, false)
		p.wallPlate(s, o.sheet, px, zs, w, o, false)
		p.wallWall(s.at, s.at, s.self, w, px, zp, o.mx, o.nz)
	}
	if len(wx) == 2 {
		p.wallWall(wx[0].at, wx[1].at, tx.other, w, py, zp, o.my, o.nz)
	}
	if len(wy) == 2 {
		p.wallWall(wy[0].at, wy[1].at, ty.other, w, px, zp, o.mx, o.nz)
	}
	return p
}

func (g *grid) sides(sign, at, at2 int, to []float64, t *lines) []side {
	if sign == 0 {
		return []side{{at, to, t.self}, {at2, kmajor(t.toL), t.selfL}}
	}
	self := make([]float64, len(t.self))
	for k := range self {
		self[k] = t.self[k] + float64(sign)*t.other[k]
	}
	return []side{{at, to, self}}
}

// live cuts weights to the stretch of exponents that matters.
func live(w []float64) (lo, hi int) {
	top := 0.0
	for _, v := range w {
		top = max(top, math.Abs(v))
	}
	lo, hi = 0, len(w)
	for hi > 0 && math.Abs(w[hi-1]) < 1e-14*top {
		hi--
	}
	return lo, hi
}

func (p *parity) plates(at1, at2 int, px, py, w []float64, mx, my int) {
	nk := len(w)
	_, hi := live(w)
	row := make([]float64, hi)
	for i := range mx {
		for i2 := i; i2 < mx; i2++ {
			src := px[(i*mx+i2)*nk:]
			for k := range row {
				row[k] = w[k] * src[k]
			}
			for j := range my {
				for j2 := j; j2 < my; j2++ {
					v := dot(row, py[(j*my+j2)*nk:])
					for _, q := range [4][4]int{{i, j, i2, j2}, {i2, j, i, j2}, {i, j2, i2, j}, {i2, j2, i, j}} {
						r, c := q[1]*mx+q[0], q[3]*mx+q[2]
						p.f[(at1+r)*p.n+at2+c] = v
						p.f[(at2+c)*p.n+at1+r] = v
					}
				}
			}
		}
	}
}

// wallPlate fills a wall against floor or sheet; along is the pair table of
// the direction the wall runs in, y for walls x = 0.
func (p *parity) wallPlate(s side, at int, along, z, w []float64, o offsets, xWall bool) {
	nk := len(w)
	row := make([]float64, nk)
	na, nt := o.my, o.mx // cells along, cells towards the wall
	if !xWall {
		na, nt = o.mx, o.my
	}
	for t := range nt {
		for l := range o.nz {
			for k := range row {
				row[k] = w[k] * s.to[t*nk+k] * z[l*nk+k]
			}
			for j := range na {
				for j2 := j; j2 < na; j2++ {
					v := dot(row, along[(j*na+j2)*nk:])
					for _, q := range [2][2]int{{j, j2}, {j2, j}} {
						wall := s.at + q[0]*o.nz + l
						cell := at + q[1]*o.mx + t
						if !xWall {
							cell = at + t*o.mx + q[1]
						}
						p.f[wall*p.n+cell] = v
						p.f[cell*p.n+wall] = v
					}
				}
			}
		}
	}
}

func (p *parity) wallWall(at1, at2 int, across, w, along, z []float64, na, nz int) {
	nk := len(w)
	c := make([]float64, nk)
	for k := range c {
		c[k] = w[k] * across[k]
	}
	_, hi := live(c)
	if hi == 0 {
		return
	}
	row := make([]float64, hi)
	for l := range nz {
		for l2 := range nz {
			for k := range row {
				row[k] = c[k] * z[(l*nz+l2)*nk+k]
			}
			for j := range na {
				for j2 := range na {
					v := dot(row, along[(j*na+j2)*nk:])
					r1, r2 := at1+j*nz+l, at2+j2*nz+l2
					p.f[r1*p.n+r2] = v
					p.f[r2*p.n+r1] = v
				}
			}
		}
	}
}

// corner fills wall sx (cells j) against wall sy (cells i) at right angles.
func (p *parity) corner(sx, sy side, z, w []float64, o offsets) {
	nk := len(w)
	row := make([]float64, nk)
	for i := range o.mx {
		for j := range o.my {
			for k := range row {
				row[k] = w[k] * sx.to[i*nk+k] * sy.to[j*nk+k]
			}
			for l := range o.nz {
				for l2 := range o.nz {
					v := dot(row, z[(l*o.nz+l2)*nk:])
					r1, r2 := sx.at+j*o.nz+l, sy.at+i*o.nz+l2
					p.f[r1*p.n+r2] = v
					p.f[r2*p.n+r1] = v
				}
			}
		}
	}
}

// balance finds the symmetric scaling of the even part's exchange areas by
// which every patch's light arrives whole, Σ_j A_kF_kj·(1 − mirror_j) = A_k.
// What the series and the cut images had missed, about 1e-4, is so made good.
func (g *grid) balance(p *parity) []float64 {
	area, mir := g.area, g.mirrors()
	n := p.n
	d, keep, next := make([]float64, n), make([]float64, n), make([]float64, n)
	for i := range d {
		d[i] = 1
	}
	for range 20 {
		worst := 0.0
		for j := range keep {
			keep[j] = d[j] * (1 - mir[j])
		}
		for k := range n {
			s := dot(keep, p.f[k*n:(k+1)*n])
			if s <= 0 { // nothing but perfect mirrors in view
				return d
			}
			r := area[k] / (s * d[k])
			worst = max(worst, math.Abs(r-1))
			next[k] = d[k] * math.Sqrt(r)
		}
		if worst < 1e-9 {
			break
		}
		copy(d, next)
	}
	return d
}

// finish scales exchange areas and divides by the receiving patch's area.
func (g *grid) finish(p *parity, d []float64) {
	n := p.n
	for k := range n {
		s := d[k] / g.area[k]
		row := p.f[k*n : (k+1)*n]
		for j := range row {
			row[j] *= s * d[j]
		}
	}
	p.summarise(g)
}

// summarise notes the empty stretches of rows and, for the even pattern, the
// exchange among whole surfaces.
func (p *parity) summarise(g *grid) {
	o := g.offsets()
	p.first, p.group = make([]int, p.n), make([]int, p.n)
	for k := range p.n {
		switch {
		case k < o.sheet:
			p.first[k] = o.sheet // the floor does not see itself
		case k < o.wallX:
			p.group[k] = 1
		case k < o.wallY:
			p.group[k] = 2
		default:
			p.group[k] = 3
		}
	}
	for k := range p.n {
		a := g.area[k]
		p.area[p.group[k]] += a
		row := p.f[k*p.n : (k+1)*p.n]
		for j, v := range row {
			p.coarse[p.group[k]][p.group[j]] += a * v
		}
	}
	for i := range groups {
		for j := range groups {
			p.coarse[i][j] /= p.area[i]
		}
	}
}

// guess is a start for the sweeps: each surface evenly lit by the others on
// top of its direct light.
func (p *parity) guess(g *grid, e0, r, e []float64) {
	var mean, rho, x [groups]float64
	for k, v := range e0 {
		mean[p.group[k]] += g.area[k] * v / p.area[p.group[k]]
		rho[p.group[k]] += g.area[k] * r[k] / p.area[p.group[k]]
	}
	x = mean
	for range 200 {
		worst := 0.0
		for i := range groups {
			v := mean[i]
			for j := range groups {
				v += p.coarse[i][j] * rho[j] * x[j]
			}
			worst = max(worst, math.Abs(v-x[i])/v)
			x[i] = v
		}
		if !(worst > 1e-4) {
			break
		}
	}
	for k, v := range e0 {
		e[k] = v + x[p.group[k]] - mean[p.group[k]]
	}
}
