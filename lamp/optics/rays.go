package optics

import "math"

// looks are the exitances of the inner surfaces, for rays.
type looks struct {
	floor, sheet   lookup
	x0, xl, y0, yl lookup
}

// lookup interpolates between the centres of the patches of a rectangle.
type lookup struct {
	u, v *ruler
	val  []float64 // u first
}

// ruler finds the two patch centres next to a place on a line.
type ruler struct {
	scale  float64 // buckets per m
	bucket []int
	centre []float64
	inv    []float64 // 1/(distance to the next centre)
}

func newRuler(ax *axis) *ruler {
	const buckets = 64
	n := ax.n()
	r := &ruler{scale: buckets / ax.l, bucket: make([]int, buckets+1), centre: make([]float64, n), inv: make([]float64, n)}
	for i := range n {
		r.centre[i] = ax.centre(i)
		if i > 0 {
			r.inv[i-1] = 1 / (r.centre[i] - r.centre[i-1])
		}
	}
	i := 0
	for b := range r.bucket {
		for i < n-2 && r.centre[i+1] <= float64(b)/r.scale {
			i++
		}
		r.bucket[b] = i
	}
	return r
}

func (r *ruler) at(x float64) (i int, t float64) {
	i = r.bucket[min(max(int(x*r.scale), 0), len(r.bucket)-1)]
	for i < len(r.centre)-2 && x > r.centre[i+1] {
		i++
	}
	return i, (x - r.centre[i]) * r.inv[i]
}

func (l *lookup) at(u, v float64) float64 {
	i, s := l.u.at(u)
	j, t := l.v.at(v)
	n := len(l.u.centre)
	k := j*n + i
	p, q := l.val[k:k+2], l.val[k+n:k+n+2]
	a, b := p[0]+s*(p[1]-p[0]), q[0]+s*(q[1]-q[0])
	return max(0, a+t*(b-a))
}

// prepareLooks readies rays into the box where the view depends on direction.
func (r *Solution) prepareLooks(rho *reflectances) {
	g := r.solver.grid
	r.even = r.isEven()
	if !r.box.Sheet.weak() {
		return
	}
	// Rulers belong to the grid; making them anew costs a microsecond.
	z := axis{l: r.box.Height, edge: g.z}
	x, y, up := newRuler(&g.x), newRuler(&g.y), newRuler(&z)
	// Interpolating patch means loses a little of a hump; each surface is
	// scaled to keep its light.
	shine := func(e []float64, along, across *axis, rho func(j int) float64) []float64 {
		b := make([]float64, len(e))
		wu, wv := along.lerpMean(), across.lerpMean()
		whole, smooth := 0.0, 0.0
		n := along.n()
		for i, v := range e {
			b[i] = rho(i/n) * v
			whole += b[i] * along.width(i%n) * across.width(i/n)
			smooth += b[i] * wu[i%n] * wv[i/n]
		}
		if smooth > 0 {
			k := whole / smooth
			for i := range b {
				b[i] *= k
			}
		}
		return b
	}
	same := func(k float64) func(int) float64 { return func(int) float64 { return k } }
	floor := shine(r.total.floor, &g.x, &g.y, func(j int) float64 { return rho.floor[j] })
	sheet := shine(r.total.sheet, &g.x, &g.y, same(rho.sheet))
	// Walls are stored z first.
	r.looks = looks{
		floor: lookup{x, y, floor}, sheet: lookup{x, y, sheet},
		x0: lookup{up, y, shine(r.total.x0, &z, &g.y, same(rho.x0))}, xl: lookup{up, y, shine(r.total.xl, &z, &g.y, same(rho.xl))},
		y0: lookup{up, x, shine(r.total.y0, &z, &g.x, same(rho.y0))}, yl: lookup{up, x, shine(r.total.yl, &z, &g.x, same(rho.yl))},
	}
	if r.box.Sheet.Lobe > 0 {
		r.glow = newGlow(&r.box, r.fields, 1)
	}
}

// isEven tells whether the light is mirror-symmetric both ways.
func (r *Solution) isEven() bool {
	g := r.solver.grid
	if !g.x.fold || !g.y.fold {
		return false
	}
	n, m := g.x.n(), g.y.n()
	for j := range m {
		for i := range n {
			v := r.total.sheet[j*n+i]
			if math.Abs(v-r.total.sheet[j*n+g.x.mirror(i)])+math.Abs(v-r.total.sheet[g.y.mirror(j)*n+i]) > 1e-7*v {
				return false
			}
		}
	}
	return true
}

// exitance follows the light that reaches (x, y) of the sheet with direction
// cosines s back into the box and returns the exitance it comes from, lm/m²;
// mirror parts send the ray on until less than 1e-4 is left.
func (r *Solution) exitance(x, y, sx, sy float64) float64 {
	g := r.solver.grid
	l, w, h := r.box.Length, r.box.Width, r.box.Height
	c := math.Sqrt(max(1e-8, 1-sx*sx-sy*sy))
	dx, dy, dz := -sx, -sy, -c
	z := h
	keep, sum := 1.0, 0.0
	for range 200 {
		// Next surface.
		t, hit := z/c, 0
		if dz > 0 {
			t, hit = (h-z)/c, 5
		}
		if dx < 0 && -x/dx < t {
			t, hit = -x/dx, 1
		} else if dx > 0 && (l-x)/dx < t {
			t, hit = (l-x)/dx, 2
		}
		if dy < 0 && -y/dy < t {
			t, hit = -y/dy, 3
		} else if dy > 0 && (w-y)/dy < t {
			t, hit = (w-y)/dy, 4
		}
		x, y, z = x+t*dx, y+t*dy, z+t*dz
		m := 0.0
		switch hit {
		case 0:
			sum += keep * r.looks.floor.at(x, y)
			m, dz, z = g.g, c, 0
		case 1:
			sum += keep * r.looks.x0.at(z, y)
			m, dx, x = g.x.w0, -dx, 0
		case 2:
			sum += keep * r.looks.xl.at(z, y)
			m, dx, x = g.x.wl, -dx, l
		case 3:
			sum += keep * r.looks.y0.at(z, x)
			m, dy, y = g.y.w0, -dy, 0
		case 4:
			sum += keep * r.looks.yl.at(z, x)
			m, dy, y = g.y.wl, -dy, w
		case 5:
			return sum + keep*r.looks.sheet.at(x, y)
		}
		keep *= m
		if keep < 1e-4 {
			return sum
		}
	}
	return sum
}

// behind is π times the luminance, per unit of transmittance, that lobe and
// unscattered share show of the inner surfaces at (x, y) along s:
//
//	u·B̂(s) + l·∫ G(s−s')·B̂(s')/N(|s'|) d²s'
func (r *Solution) behind(x, y, sx, sy, turn float64, sh Sheet) float64 {
	v := 0.0
	if sh.Through > 0 {
		v += sh.Through * r.exitance(x, y, sx, sy)
	}
	if sh.Lobe > 0 {
		var buf [fanRadii * fanAngles]fanRay
		s := 0.0
		for _, q := range r.solver.film.fan(sx, sy, turn, buf[:]) {
			s += q.weight * r.exitance(x, y, q.sx, q.sy)
		}
		v += sh.Lobe * s
	}
	return v
}
