package optics

import "math"

// panels is the face in equal rectangles, each with what it gets from the
// LEDs and sees of floor and walls, by wall bounces.
type panels struct {
	b      *Box
	fields []*field
	film   *Film
	nx, ny int
	direct []way     // illuminance per LED lumen, 1/m²
	floor  []zoneWay // configuration factor to the floor by way of the walls
	back   []zoneWay // to the sheet by way of walls and floor mirror
	zones  *zoneBook
	glow   glow
	total  float64 // lm
}

// newPanels divides the face; 8 × 6 panels hold lux to 0.5 % from half the
// shorter side on.
func newPanels(b *Box, fs []*field, film *Film, z *zoneBook) *panels {
	p := &panels{b: b, fields: fs, film: film, zones: z, nx: 8, ny: 6, total: b.LEDFlux()}
	n := p.nx * p.ny
	p.direct, p.floor, p.back = make([]way, n), make([]zoneWay, n), make([]zoneWay, n)
	for _, f := range fs {
		g := ledIlluminance(f.m, b.Height-f.z, 4*math.Hypot(b.Length, b.Width))
		p.spread(f, g, edges(b.Length, p.nx), edges(b.Width, p.ny), p.direct)
	}
	far := 0.0
	for i := range p.direct {
		s := 0.0
		for _, v := range p.direct[i] {
			s += v
		}
		far += s / float64(n)
	}
	far = max(0, 1/b.FaceArea()-far)
	for i := range p.direct {
		p.direct[i][nearBounces+1] = far
	}
	p.platePanels()
	if film != nil {
		p.glow = newGlow(b, fs, p.total)
	}
	return p
}

func edges(l float64, n int) []float64 {
	e := make([]float64, n+1)
	for i := range e {
		e[i] = l * float64(i) / float64(n)
	}
	return e
}

// spread adds the mean over each panel of Σ Φ·g(distance)/total to dst.
func (p *panels) spread(f *field, g gaussSum, ex, ey []float64, dst []way) {
	nx, ny := len(ex)-1, len(ey)-1
	const nb = nearBounces + 1
	tx, ty := make([]float64, nx*nb*len(f.x)), make([]float64, ny*nb*len(f.y))
	vy, lv := make([]float64, ny*nb), make([]float64, len(f.y))
	area := (ex[1] - ex[0]) * (ey[1] - ey[0])
	for k, a := range g.a {
		if math.Abs(g.c[k])*math.Pi/a < 1e-9*math.Abs(g.c[0])*math.Pi/g.a[0] {
			continue
		}
		imageIntegrals(tx, f.x, ex, a, p.b.Length)
		imageIntegrals(ty, f.y, ey, a, p.b.Width)
		c := g.c[k] / (area * p.total)
		nc, nl := len(f.x), len(f.y)
		for q := range vy {
			vy[q] = dot(f.lineSum, ty[q*nl:])
		}
		for q := range nx * nb {
			col := tx[q*nc : (q+1)*nc]
			i, bx := q/nb, q%nb
			if f.product {
				v := dot(f.colSum, col) * c / f.total
				for j := range ny {
					d := &dst[j*nx+i]
					for by := range nb - bx {
						d[bx+by] += v * vy[j*nb+by]
					}
				}
				continue
			}
			f.alongLines(col, lv)
			for j := range ny {
				d := &dst[j*nx+i]
				for by := range nb - bx {
					d[bx+by] += c * dot(lv, ty[(j*nb+by)*nl:])
				}
			}
		}
	}
}

// imageIntegrals fills dst[(cell*(nearBounces+1)+bounces)*len(x)+i] with
// ∫exp(−a(ξ−x_i)²)dξ over the cell and over its images in walls 0 and l.
func imageIntegrals(dst, x, edge []float64, a, l float64) {
	const nb = nearBounces + 1
	r := math.Sqrt(a)
	f := math.Sqrt(math.Pi) / (2 * r)
	n := len(edge) - 1
	clear(dst)
	for i, xv := range x {
		for b := -nearBounces; b <= nearBounces; b++ {
			lo, hi := imageOf(edge[0], edge[n], b, l)
			if r*(lo-xv) > 6 || r*(hi-xv) < -6 {
				continue
			}
			k := max(b, -b)
			p, step := 0, 1 // the image's cells from low to high
			if b%2 != 0 {
				p, step = n-1, -1
			}
			prev := erf(r * (lo - xv))
			for range n {
				_, hi := imageOf(edge[p], edge[p+1], b, l)
				e := erf(r * (hi - xv))
				dst[(p*nb+k)*len(x)+i] += f * (e - prev)
				prev = e
				p += step
			}
		}
	}
}

// imageOf is the stretch lo…hi seen in lattice cell n of mirror walls at 0
// and l.
func imageOf(lo, hi float64, n int, l float64) (float64, float64) {
	o := float64(n) * l
	if n%2 == 0 {
		return o + lo, o + hi
	}
	return o + l - hi, o + l - lo
}

// platePanels fills floor and back with the configuration factor of each
// panel's centre, the far rest by closure.
func (p *panels) platePanels() {
	l, w, h := p.b.Length, p.b.Width, p.b.Height
	cx, cy := make([]float64, p.nx), make([]float64, p.ny)
	for i := range cx {
		cx[i] = (float64(i) + 0.5) * l / float64(p.nx)
	}
	for j := range cy {
		cy[j] = (float64(j) + 0.5) * w / float64(p.ny)
	}
	p.plates(cx, cy, h, p.floor)
	p.plates(cx, cy, 2*h, p.back)
}

func (p *panels) plates(cx, cy []float64, h float64, dst []zoneWay) {
	const nb = nearBounces + 1
	g := ledIlluminance(1, h, 4*math.Hypot(p.b.Length, p.b.Width))
	nx, ny := len(cx), len(cy)
	tx, ty := make([]float64, nx*nb), make([]float64, ny*nb)
	sx, sy := make([]float64, nx*nb), make([]float64, ny*nb)
	for k, a := range g.a {
		if g.c[k]*math.Pi/a < 1e-9 {
			continue
		}
		latticeRow(tx, cx, interval{0, p.b.Length}, a, p.b.Length)
		latticeRow(ty, cy, interval{0, p.b.Width}, a, p.b.Width)
		latticeRow(sx, cx, p.zones.core, a, p.b.Length)
		latticeRow(sy, cy, p.zones.coreY, a, p.b.Width)
		for j := range ny {
			for i := range nx {
				d := &dst[j*nx+i]
				for bx := range nb {
					v, u := g.c[k]*tx[i*nb+bx], g.c[k]*sx[i*nb+bx]
					for by := range nb - bx {
						d.all[bx+by] += v * ty[j*nb+by]
						d.core[bx+by] += u * sy[j*nb+by]
					}
				}
			}
		}
	}
	for i := range dst {
		rest := closeShares(dst[i].all[:], 1)
		dst[i].core[nb] = rest * p.zones.coreArea / p.zones.area
	}
}

func latticeRow(dst, x []float64, stretch interval, a, l float64) {
	const nb = nearBounces + 1
	for i := range x {
		var row [nb]float64
		latticeIntegrals(row[:], x[i:i+1], stretch, a, l, nearBounces)
		copy(dst[i*nb:], row[:])
	}
}

// mean reads the face's mean luminance at normal view.
func (p *panels) mean() probe {
	var q probe
	var rays [fanRadii * fanAngles]fanRay
	area := p.b.FaceArea()
	n := float64(p.nx * p.ny)
	fold(&q[0].direct, p.zones.led, 1/(math.Pi*area))
	// Light from a zone to the whole face, by reciprocity from the face.
	for c, z := range []*zoneShares{&p.zones.near, &p.zones.back} {
		to := []*zoneWay{&q[0].floor, &q[0].back}[c]
		fold(&to.all, z.all, 1/math.Pi)
		fold(&to.core, z.fromCore, p.zones.coreArea/(p.zones.area*math.Pi))
	}
	for j := range p.ny {
		for i := range p.nx {
			x, y := (float64(i)+0.5)*p.b.Length/float64(p.nx), (float64(j)+0.5)*p.b.Width/float64(p.ny)
			if p.film != nil {
				p.look(&q[1].floor, &q[1].back, x, y, p.b.Length/float64(p.nx), p.b.Width/float64(p.ny), p.film.fan(0, 0, turnOf(j*p.nx+i), rays[:]), 1/n)
			}
			p.ray(&q[2].floor, &q[2].back, x, y, 0, 0, 1/(n*math.Pi))
		}
	}
	p.normalLobe(edges(p.b.Length, 1), edges(p.b.Width, 1), &q[1].direct)
	return q
}

// fold puts a long bounce book into a short one.
func fold(dst *way, src []float64, k float64) {
	for b, v := range src {
		dst[min(b, nearBounces+1)] += k * v
	}
}

// normalLobe adds the lobe's direct luminance at normal view, the mean over
// the one panel ex × ey.
func (p *panels) normalLobe(ex, ey []float64, dst *way) {
	if p.film == nil {
		return
	}
	d := make([]way, 1)
	for _, f := range p.fields {
		h := p.b.Height - f.z
		p.spread(f, p.film.kernel(f.m, h, 4*math.Hypot(p.b.Length, p.b.Width)), ex, ey, d)
	}
	*dst = d[0]
}

// centre reads the luminance at the face's centre at normal view, smoothed
// over one cell of the lattice.
func (p *panels) centre(l Lattice) probe {
	var q probe
	var rays [fanRadii * fanAngles]fanRay
	x, y := p.b.Length/2, p.b.Width/2
	dx, dy := min(l.Pitch, p.b.Length)/2, min(l.Spacing, p.b.Width)/2
	if l.Staggered {
		dy = min(2*dy, y)
	}
	ex, ey := []float64{x - dx, x + dx}, []float64{y - dy, y + dy}
	d := make([]way, 1)
	for _, f := range p.fields {
		p.spread(f, ledIlluminance(f.m, p.b.Height-f.z, 4*math.Hypot(p.b.Length, p.b.Width)), ex, ey, d)
	}
	for b := range d[0] {
		q[0].direct[b] = d[0][b] / math.Pi
	}
	q[0].direct[nearBounces+1] = p.direct[0][nearBounces+1] / math.Pi
	for c, to := range []*zoneWay{&q[0].floor, &q[0].back} {
		d := make([]zoneWay, 1)
		p.plates([]float64{x}, []float64{y}, float64(c+1)*p.b.Height, d)
		to.add(&d[0], 1/math.Pi)
	}
	p.normalLobe(ex, ey, &q[1].direct)
	if p.film != nil {
		p.look(&q[1].floor, &q[1].back, x, y, 0, 0, p.film.fan(0, 0, 0.5, rays[:]), 1)
	}
	p.ray(&q[2].floor, &q[2].back, x, y, 0, 0, 1/math.Pi)
	return q
}

// target reads the illuminance at t.
func (p *panels) target(t *Target) probe {
	var q probe
	var buf [3]Vec
	var rays [fanRadii * fanAngles]fanRay
	planes := t.planes(buf[:0])
	l, w := p.b.Length, p.b.Width
	dx, dy := l/float64(p.nx), w/float64(p.ny)
	for j := range p.ny {
		for i := range p.nx {
			x, y := (float64(i)+0.5)*dx, (float64(j)+0.5)*dy
			// The panel's weight is exact for even luminance, its edge cut by
			// the horizon and the brow included.
			lo, hi := Vec{x - dx/2 - l/2, y - dy/2 - w/2, 0}, Vec{x + dx/2 - l/2, y + dy/2 - w/2, 0}
			k := PolygonIlluminance(1, []Vec{lo, {hi.X, lo.Y, 0}, hi, {lo.X, hi.Y, 0}}, *t)
			if k == 0 {
				continue
			}
			v := t.Position.sub(Vec{x - l/2, y - w/2, 0}).unit()
			n := j*p.nx + i
			for b := range q[0].direct {
				q[0].direct[b] += k / math.Pi * p.direct[n][b]
			}
			q[0].floor.add(&p.floor[n], k/math.Pi)
			q[0].back.add(&p.back[n], k/math.Pi)
			if p.film != nil {
				fan := p.film.fan(v.X, v.Y, turnOf(n), rays[:])
				p.look(&q[1].floor, &q[1].back, x, y, dx, dy, fan, k)
				p.glow.look(p, &q[1].direct, x, y, dx, dy, fan, k)
			}
			p.ray(&q[2].floor, &q[2].back, x, y, v.X, v.Y, k/math.Pi)
		}
	}
	if p.b.Sheet.Through > 0 {
		p.straight(t, planes, &q[2].direct)
	}
	return q
}

// straight adds the light of the LEDs and their near wall images that crosses
// the sheet unscattered on its way to t, per lumen.
func (p *panels) straight(t *Target, planes []Vec, dst *way) {
	b := p.b
	for _, f := range p.fields {
		front := (f.m + 1) / (2 * math.Pi * p.total)
		for nx := -nearBounces; nx <= nearBounces; nx++ {
			for ny := -nearBounces; ny <= nearBounces; ny++ {
				n := max(nx, -nx) + max(ny, -ny)
				if n > nearBounces {
					continue
				}
				for j, y := range f.y {
					qy, _ := imageOf(y, y, ny, b.Width)
					for i, x := range f.x {
						if f.flux[j*len(f.x)+i] == 0 {
							continue
						}
						qx, _ := imageOf(x, x, nx, b.Length)
						e := crossing(b, Vec{qx - b.Length/2, qy - b.Width/2, f.z - b.Height}, t.Position, planes, f.m)
						dst[n] += front * f.flux[j*len(f.x)+i] * e
					}
				}
			}
		}
	}
}

// crossing is (v_z/r)^m·(−n·v)/r³ of light from q (lamp frame) that reaches p
// through the frame of the sheet inside the planes, else 0.
func crossing(b *Box, q, p Vec, planes []Vec, m float64) float64 {
	v := p.sub(q)
	k := -q.Z / v.Z
	if math.Abs(q.X+k*v.X) > b.Length/2 || math.Abs(q.Y+k*v.Y) > b.Width/2 {
		return 0
	}
	for _, n := range planes {
		if v.dot(n) > 0 {
			return 0
		}
	}
	r := v.norm()
	c := v.Z / r
	if m != 1 {
		c = math.Pow(c, m)
	}
	return c * -v.dot(planes[0]) / (r * r * r)
}
