package optics

import (
	"fmt"
	"math"
)

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

// DistanceFor is the distance, m, before the face's centre at which a meter
// facing it reads lux, between 0.05 and 20 m, to 1e-5 of the lux. It is that of
// the even face that gives as much as this one at the last guess, taken again
// until it stands. The error is an *InputError if there is none.
func (r *Solution) DistanceFor(lux float64) (float64, error) {
	const nearest, farthest = 0.05, 20.0
	l, w := r.box.Length, r.box.Width
	d := clampf(max(l, w), nearest, farthest)
	for range 16 {
		e, err := r.Illuminance(Target{Position: Vec{Z: d}, Normal: Vec{Z: -1}})
		if err != nil {
			return 0, err
		}
		if math.Abs(e-lux) <= 1e-5*lux {
			break
		}
		if !(lux > 0) || math.IsInf(lux, 0) || d == nearest && e < lux || d == farthest && e > lux {
			return 0, &InputError{"target illuminance", fmt.Sprintf("%.4g lx", lux), "what this lamp gives between 0.05 and 20 m", "ask for less light or use a brighter lamp"}
		}
		next, err := DistanceFor(lux, e/OnAxis(1, l, w, d), l, w)
		if err != nil {
			next = nearest // more than an even face as bright as this one gives at all
		}
		d = clampf(next, nearest, farthest)
	}
	return d, nil
}

// Photometry is the far field as a photometric file holds it: intensities in
// C planes about the face's normal (C = 0 along the lamp's X) at angles γ from
// it, of a luminous rectangle of height 0. It holds from ValidFrom on; nearer
// use Illuminance.
type Photometry struct {
	C, Gamma      []float64   // rad; C to 2π in steps of 15°, γ to 90° in steps of 5°
	I             [][]float64 // cd, by C plane
	Length, Width float64     // m, luminous opening
	Flux          float64     // lm
	ValidFrom     float64     // m, five times the longest side
}

// Photometry computes the far field. Light is the same in mirror planes of an
// evenly lit box, which saves three quarters of the work.
//
// Source: type C planes, CIE 121:1996 (from memory).
func (r *Solution) Photometry() Photometry {
	const planes, step = 24, math.Pi / 36
	p := Photometry{Length: r.box.Length, Width: r.box.Width, Flux: r.Out, ValidFrom: 5 * max(r.box.Length, r.box.Width)}
	for k := range 19 {
		p.Gamma = append(p.Gamma, float64(k)*step)
	}
	for c := range planes {
		p.C = append(p.C, 2*math.Pi*float64(c)/planes)
		twin := c
		if r.even { // the plane's mirror image in the first quarter
			twin = min(c, planes-c)
			twin = min(twin, planes/2-twin)
			twin = max(twin, -twin)
		}
		if twin < c {
			p.I = append(p.I, p.I[twin])
			continue
		}
		row := make([]float64, len(p.Gamma))
		for k, g := range p.Gamma {
			row[k] = r.Intensity(g, p.C[c])
		}
		p.I = append(p.I, row)
	}
	return p
}
