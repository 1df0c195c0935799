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

// lobeLight is the luminance of a panel of size dx × dy about (cx, cy) along s
// through the lobe, per unit of T·l for the LEDs (smeared to planes) and of
// T_dif·l for the rest.
func (r *Solution) lobeLight(cx, cy, dx, dy, sx, sy, turn float64) (leds, rest float64) {
	g := r.solver.grid
	l, w := r.box.Length, r.box.Width
	var buf [fanRadii * fanAngles]fanRay
	fans := r.solver.opt.Detail.fansOut()
	for k := range fans {
		fan := r.solver.film.fan(sx, sy, turn+float64(k)/float64(fans), buf[:])
		for j, q := range fan {
			ox, oy := spot(j+k*len(fan), dx, dy)
			x, y := cx+ox, cy+oy
			rest += q.weight * r.exitance(x, y, q.sx, q.sy)
			c := math.Sqrt(max(1e-8, 1-q.sx*q.sx-q.sy*q.sy))
			for i := range r.glow.planes {
				p := &r.glow.planes[i]
				px, py := (x-p.h/c*q.sx)/l, (y-p.h/c*q.sy)/w
				keep := g.x.pass(int(math.Floor(px))) * g.y.pass(int(math.Floor(py)))
				if keep == 0 {
					continue
				}
				_, u := unfold(px)
				_, v := unfold(py)
				leds += q.weight * keep * p.at(u, v, c)
			}
		}
	}
	leds, rest = leds/float64(fans), rest/float64(fans)
	return leds, rest / math.Pi
}

// at is the luminance towards the direction of cosine c at u, v in 0…1.
func (p *glowPlane) at(u, v, c float64) float64 {
	d := p.density[min(glowBins-1, int(v*glowBins))*glowBins+min(glowBins-1, int(u*glowBins))]
	if p.m != 1 {
		d *= math.Pow(c, p.m-1)
	}
	return d
}

// LuminanceAt is the luminance, cd/m², of the face at (x, y), m, box frame,
// towards the direction with cosines sx, sy along X and Y, single LEDs seen
// unscattered left out and LED ripple smoothed where the sheet has a lobe and
// the view is oblique.
func (r *Solution) LuminanceAt(x, y, sx, sy float64) float64 {
	if sx*sx+sy*sy >= 1 {
		return 0
	}
	sh := r.box.Sheet
	if !sh.weak() || sx == 0 && sy == 0 {
		return r.Face.At(x, y)
	}
	e := r.lambertAt(x, y)
	v := e
	td := sh.tDiffuse()
	if sh.Through > 0 {
		v += td * sh.Through / math.Pi * r.exitance(x, y, sx, sy)
	}
	if sh.Lobe > 0 {
		leds, rest := r.lobeLight(x, y, 0, 0, sx, sy, 0.5)
		v += sh.Lobe * (sh.T*leds + td*rest)
	}
	return v
}

// lambertAt is the luminance of the Lambertian share at (x, y).
func (r *Solution) lambertAt(x, y float64) float64 {
	g := r.solver.grid
	sh := r.box.Sheet
	n := g.x.n()
	ix, iy := g.x.lerpAt(x), g.y.lerpAt(y)
	val := func(s []float64) float64 {
		a := (1-ix.t)*s[iy.i*n+ix.i] + ix.t*s[iy.i*n+ix.i+1]
		b := (1-ix.t)*s[(iy.i+1)*n+ix.i] + ix.t*s[(iy.i+1)*n+ix.i+1]
		return max(0, (1-iy.t)*a+iy.t*b)
	}
	d, e := val(r.direct.sheet), val(r.total.sheet)
	return sh.Lambert() / math.Pi * (sh.T*d + sh.tDiffuse()*(e-d))
}

// facePanel is a rectangle of the face with its even (Lambertian) luminance.
type facePanel struct {
	x, y, dx, dy float64 // centre and size, m, box frame
	lum          float64
}

// panelsFor divides the face into panels no larger than size, as far as the
// map's cells allow.
func (r *Solution) panelsFor(size float64) []facePanel {
	if usual := r.usualPanel(); r.panels != nil && size >= usual {
		return r.panels
	}
	return r.dividePanels(size)
}

// usualPanel is the size of the panels kept ready, m.
func (r *Solution) usualPanel() float64 {
	return min(r.box.Length, r.box.Width) / r.solver.opt.Detail.panels()
}

func (r *Solution) dividePanels(size float64) []facePanel {
	f := &r.Face
	kx := max(1, int(size/f.DX))
	ky := max(1, int(size/f.DY))
	nx, ny := (f.NX+kx-1)/kx, (f.NY+ky-1)/ky
	ps := make([]facePanel, 0, nx*ny)
	even := f.L
	if r.lambert != nil {
		even = r.lambert
	}
	for j := range ny {
		j0, j1 := j*f.NY/ny, (j+1)*f.NY/ny
		for i := range nx {
			i0, i1 := i*f.NX/nx, (i+1)*f.NX/nx
			p := facePanel{dx: float64(i1-i0) * f.DX, dy: float64(j1-j0) * f.DY}
			p.x, p.y = float64(i0)*f.DX+p.dx/2, float64(j0)*f.DY+p.dy/2
			for b := j0; b < j1; b++ {
				for a := i0; a < i1; a++ {
					p.lum += even[b*f.NX+a]
				}
			}
			p.lum /= float64((i1 - i0) * (j1 - j0))
			ps = append(ps, p)
		}
	}
	return ps
}

// Illuminance is the illuminance, lx, at t from the whole face, unscattered
// LED light included:
//
//	E = Σ L_j(s)·a·v_z·(−n·v)/|v|⁴ + unscattered
//
// Panels cut by the receiver's horizon or its view count with their visible
// part. Validity: at least 20 mm before the sheet. The error is an
// *InputError. Not modelled: anything between lamp and target, light from
// walls and desk.
func (r *Solution) Illuminance(t Target) (float64, error) {
	if err := t.Validate(); err != nil {
		return 0, err
	}
	if err := within("target.position.z", t.Position.Z, 0.02, 1e4, "stay at least 20 mm before the sheet"); err != nil {
		return 0, err
	}
	sh := r.box.Sheet
	var buf [3]Vec
	planes := t.planes(buf[:0])
	l, w := r.box.Length, r.box.Width
	// Distance to the nearest point of the face sets the size of the panels.
	dx := max(0, math.Abs(t.Position.X)-l/2)
	dy := max(0, math.Abs(t.Position.Y)-w/2)
	d := math.Sqrt(dx*dx + dy*dy + t.Position.Z*t.Position.Z)
	sum := 0.0
	for i, p := range r.panelsFor(min(d/4, r.usualPanel())) {
		c := Vec{p.x - l/2, p.y - w/2, 0}
		k := panelWeight(&t, planes, c, p.dx, p.dy, d)
		if k == 0 {
			continue
		}
		lum := p.lum
		if sh.weak() {
			v := t.Position.sub(c).unit()
			if sh.Through > 0 {
				lum += sh.tDiffuse() * sh.Through / math.Pi * r.exitance(p.x, p.y, v.X, v.Y)
			}
			if sh.Lobe > 0 {
				leds, rest := r.lobeLight(p.x, p.y, p.dx, p.dy, v.X, v.Y, turnOf(i))
				lum += sh.Lobe * (sh.T*leds + sh.tDiffuse()*rest)
			}
		}
		sum += k * lum
	}
	if sh.Through > 0 {
		sum += sh.T * sh.Through * r.straight(&t, planes)
	}
	return sum, nil
}

// panelWeight is the illuminance of a panel of unit luminance centred at c.
func panelWeight(t *Target, planes []Vec, c Vec, dx, dy, near float64) float64 {
	v := t.Position.sub(c)
	half := math.Hypot(dx, dy) / 2
	in, out := true, false
	for _, n := range planes {
		s := -v.dot(n)
		in = in && s >= half
		out = out || s <= -half
	}
	if out {
		return 0
	}
	r2 := v.dot(v)
	if in && (dx*dx+dy*dy) < 0.16*r2 {
		k := dx * dy * v.Z * -v.dot(t.Normal) / (r2 * r2)
		return k
	}
	a, b := Vec{c.X - dx/2, c.Y - dy/2, 0}, Vec{c.X + dx/2, c.Y + dy/2, 0}
	return PolygonIlluminance(1, []Vec{a, {b.X, a.Y, 0}, b, {a.X, b.Y, 0}}, *t)
}

// straight is the illuminance at t of LED light that crosses the sheet
// unscattered, per unit of T·u.
func (r *Solution) straight(t *Target, planes []Vec) float64 {
	g := r.solver.grid
	sum := 0.0
	most := min(r.solver.most, 5)
	for _, f := range r.fields {
		front := (f.m + 1) / (2 * math.Pi)
		for nx := -most; nx <= most; nx++ {
			for ny := -most; ny <= most; ny++ {
				keep := g.x.pass(nx) * g.y.pass(ny)
				if keep < 1e-6 {
					continue
				}
				for j, y := range f.y {
					qy, _ := imageOf(y, y, ny, r.box.Width)
					for i, x := range f.x {
						if f.flux[j*len(f.x)+i] == 0 {
							continue
						}
						qx, _ := imageOf(x, x, nx, r.box.Length)
						q := Vec{qx - r.box.Length/2, qy - r.box.Width/2, f.z - r.box.Height}
						sum += front * keep * f.flux[j*len(f.x)+i] * crossing(&r.box, q, t.Position, planes, f.m)
					}
				}
			}
		}
	}
	return sum
}

// Intensity is the luminous intensity, cd, in the far field: theta rad from
// the face's normal, phi rad from the lamp's X towards Y.
//
//	I = Σ a·L_j(s)·cos θ + unscattered,  s = sin θ·(cos φ, sin φ)
//
// zero from 90° on (the tray is opaque). Valid from five times the longest
// side on; nearer use Illuminance.
func (r *Solution) Intensity(theta, phi float64) float64 {
	st, ct := math.Sincos(theta)
	if ct <= 1e-9 {
		return 0
	}
	sp, cp := math.Sincos(phi)
	sx, sy := st*cp, st*sp
	sh := r.box.Sheet
	if !sh.weak() {
		return r.Out / math.Pi * ct
	}
	sum := 0.0
	for i, p := range r.panelsFor(r.usualPanel()) {
		lum := p.lum
		if sh.Through > 0 {
			lum += sh.tDiffuse() * sh.Through / math.Pi * r.exitance(p.x, p.y, sx, sy)
		}
		if sh.Lobe > 0 {
			leds, rest := r.lobeLight(p.x, p.y, p.dx, p.dy, sx, sy, turnOf(i))
			lum += sh.Lobe * (sh.T*leds + sh.tDiffuse()*rest)
		}
		sum += lum * p.dx * p.dy * ct
	}
	if sh.Through > 0 {
		sum += sh.T * sh.Through * r.straightIntensity(sx, sy, ct)
	}
	return sum
}

// straightIntensity is the intensity of LED light that crosses the sheet
// unscattered, per unit of T·u.
func (r *Solution) straightIntensity(sx, sy, c float64) float64 {
	g := r.solver.grid
	sum := 0.0
	for _, f := range r.fields {
		h := (r.box.Height - f.z) / c
		front := (f.m + 1) / (2 * math.Pi) * math.Pow(c, f.m)
		for j, y := range f.y {
			ky := throughFrame(&g.y, y, h*sy)
			if ky == 0 {
				continue
			}
			for i, x := range f.x {
				sum += front * ky * throughFrame(&g.x, x, h*sx) * f.flux[j*len(f.x)+i]
			}
		}
	}
	return sum
}

// throughFrame is what is left of light that goes out with the given
// direction from x or one of its images, moving by d on its way to the sheet
// and landing inside the frame.
func throughFrame(ax *axis, x, d float64) float64 {
	n := 0
	if ax.w0+ax.wl > 0 {
		n = 1 + int(math.Abs(d)/ax.l)
	}
	s := 0.0
	for c := -n; c <= n; c++ {
		v, _ := imageOf(x, x, c, ax.l)
		if v+d >= 0 && v+d < ax.l {
			s += ax.pass(c)
		}
	}
	return s
}
