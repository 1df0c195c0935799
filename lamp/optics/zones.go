package optics

import "math"

// Floor and sheet in two zones each, a rim about one depth wide and the rest:
// walls and missing LEDs darken the rim, and treating the whole as evenly lit would spread
// their loss over the face.

// zoneBook is the bounce book of a zoned box: how the light of a diffuse
// plane spreads over zones and wall bounces on ways of H and 2H, and that of
// the LEDs.
type zoneBook struct {
	core       interval // of x that is core, m
	coreY      interval
	area       float64 // m², floor
	coreArea   float64 // m², core of the floor
	wallArea   float64 // m²
	near, back zoneShares
	led        []float64 // of the LEDs on the sheet, by bounces
	ledCore    []float64 // on the sheet's core
	mix        floorMix  // of the whole floor
	mixCore    floorMix
	mixRim     floorMix
}

// zoneShares are, by wall bounces, the shares of the whole plane's light that
// arrive opposite, of the core's light that arrive anywhere and on the core.
type zoneShares struct {
	all, fromCore, coreCore []float64
}

// zoneBounces is how many wall bounces the zones' book tells apart.
const zoneBounces = 10

// rimWidth is the width of the rim zone, m, on a line of length l with LEDs at
// x (sorted): a box depth, or the margin that the LEDs leave if that is more.
func rimWidth(l, h float64, x []float64) float64 {
	n := len(x)
	pitch := l
	if n > 1 {
		pitch = (x[n-1] - x[0]) / float64(n-1)
	}
	margin := min(x[0], l-x[n-1]) - pitch/2
	return min(max(h, margin), 0.4*l, max(l/4, margin))
}

func newZoneBook(b *Box, fs []*field, n int) *zoneBook {
	main := fs[0]
	for _, f := range fs {
		if f.total > main.total {
			main = f
		}
	}
	ax, ay := rimWidth(b.Length, b.Height, main.x), rimWidth(b.Width, b.Height, main.y)
	z := &zoneBook{
		core: interval{ax, b.Length - ax}, coreY: interval{ay, b.Width - ay},
		area: b.FaceArea(), wallArea: 2 * b.Height * (b.Length + b.Width),
		led: make([]float64, n+2), ledCore: make([]float64, n+2),
	}
	z.coreArea = z.core.len() * z.coreY.len()
	z.near, z.back = z.plates(b, b.Height, n), z.plates(b, 2*b.Height, n)
	for _, f := range fs {
		b.ledShares(f, interval{0, b.Length}, interval{0, b.Width}, n, 1/b.LEDFlux(), z.led)
		b.ledShares(f, z.core, z.coreY, n, 1/b.LEDFlux(), z.ledCore)
	}
	rest := closeShares(z.led, 1)
	z.ledCore[n+1] = rest * z.coreArea / z.area
	bands := b.bands()
	z.mix = mix(bands, interval{0, b.Width})
	z.mixCore = mix(bands, z.coreY)
	z.mixRim = z.mix.without(z.mixCore, z.coreArea/z.area)
	return z
}

// closeShares puts what is left of whole into the last share and returns it.
// Shares that make more than whole, by what a series gives too much, are brought
// down to it.
func closeShares(s []float64, whole float64) float64 {
	sum := 0.0
	for _, v := range s[:len(s)-1] {
		sum += v
	}
	if sum > whole {
		for i := range s {
			s[i] *= whole / sum
		}
	}
	s[len(s)-1] = max(0, whole-sum)
	return s[len(s)-1]
}

// without is the mix of what remains when the share of the floor with mix c
// is taken out.
func (m floorMix) without(c floorMix, share float64) floorMix {
	r := floorMix{share: clampf((m.share-share*c.share)/(1-share), 0, 1), reflectance: m.reflectance}
	if s := m.share - share*c.share; s > 1e-9 {
		r.reflectance = clampf((m.share*m.reflectance-share*c.share*c.reflectance)/s, 0, 1)
	}
	return r
}

// plates books the light of a diffuse plane that goes to the parallel plane
// at distance h: Σ_k w_k·h²·exp(−a_k h²)·X_k·Y_k/π over Gaussians, X and Y
// double integrals over zones and their images.
func (z *zoneBook) plates(b *Box, h float64, n int) zoneShares {
	a, w := inversePower(2, h, 3*math.Hypot(b.Length, b.Width))
	s := zoneShares{make([]float64, n+2), make([]float64, n+2), make([]float64, n+2)}
	x, y := make([][3]float64, n+1), make([][3]float64, n+1)
	for k, av := range a {
		c := w[k] * h * h / math.Pi * expMinus(av*h*h)
		if c*math.Pi/av < 1e-10 {
			continue
		}
		zonePairs(x, z.core, av, b.Length)
		zonePairs(y, z.coreY, av, b.Width)
		for i, xv := range x {
			for j, yv := range y[:n+1-i] {
				s.all[i+j] += c / z.area * xv[0] * yv[0]
				s.fromCore[i+j] += c / z.coreArea * xv[1] * yv[1]
				s.coreCore[i+j] += c / z.coreArea * xv[2] * yv[2]
			}
		}
	}
	closeShares(s.all, 1)
	rest := closeShares(s.fromCore, 1)
	s.coreCore[n+1] = rest * z.coreArea / z.area
	return s
}

// zonePairs fills dst[bounces] with ∬exp(−a(x−ξ)²), m², of the whole line
// with itself, the core with the whole and the core with itself, over both
// images after that many bounces.
func zonePairs(dst [][3]float64, core interval, a, l float64) {
	r := math.Sqrt(a)
	pair := func(x, xi interval) float64 {
		return (psi(r*(x.b-xi.a)) - psi(r*(x.a-xi.a)) - psi(r*(x.b-xi.b)) + psi(r*(x.a-xi.b))) / a
	}
	whole := interval{0, l}
	for n := range dst {
		k := 2.0
		if n == 0 {
			k = 1
		}
		o := float64(n) * l
		if d := float64(n-1) * l; n > 1 && a*d*d > expEnd {
			dst[n] = [3]float64{}
			continue
		}
		image := interval{o, o + l}
		imageCore := interval{o + core.a, o + core.b} // symmetric in its cell
		dst[n] = [3]float64{k * pair(whole, image), k * pair(core, image), k * pair(core, imageCore)}
	}
}

// zoneLight is the solved light of a zoned box.
type zoneLight struct {
	sheet, floor [2]float64 // lm per LED lumen on core and rim
	walls        float64
	w, g         float64
	rhoW, r      float64
	rhoF         [2]float64
	arrive       float64
}

// solve balances the two zones of floor and sheet and the walls:
//
//	I_d,x = p_x + Σ_y ρ_f,y·I_f,y·F_yx + ρ_w·I_w·F_w,dx + R·g·Σ_y I_d,y·F(2H)_yx
//	I_f,x = R·Σ_y I_d,y·F_yx + ρ_w·I_w·F_w,fx
//	I_w = p_w + Σ_y ρ_f,y·I_f,y·V_y + R·Σ_y I_d,y·(V_y + g(V₂,y − V_y)) + ρ_w·F_ww·I_w
//
// as exchange.solve does for one zone.
func (z *zoneBook) solve(walls, floor Surface, strip float64, sheet Sheet) zoneLight {
	w := walls.mirror()
	whole, core, rim := z.mix, z.mixCore, z.mixRim
	own := strip
	scale := 1.0
	if whole.reflectance > 0 {
		scale = own / whole.reflectance
	}
	whole.reflectance = own
	core.reflectance, rim.reflectance = min(1, core.reflectance*scale), min(1, rim.reflectance*scale)
	l := zoneLight{w: w, g: whole.mirror(floor), rhoW: walls.diffuse(), r: sheet.R}
	l.rhoF = [2]float64{core.diffuse(floor), rim.diffuse(floor)}
	if l.g > 0 { // the floor's mirror part counts as spread evenly, so does the rest
		l.rhoF = [2]float64{whole.diffuse(floor), whole.diffuse(floor)}
	}
	area := [2]float64{z.coreArea, z.area - z.coreArea}
	f, v := z.exchange(&z.near, w, area)
	var f2 [2][2]float64
	v2 := v
	if l.g > 0 {
		f2, v2 = z.exchange(&z.back, w, area)
	}
	l.arrive = attenuate(z.led, w)
	p := [2]float64{attenuate(z.ledCore, w), 0}
	p[1] = l.arrive - p[0]
	// Unknowns: sheet core, sheet rim, walls, floor core, floor rim.
	var m [5][6]float64
	toWalls, sum := [2]float64{}, 0.0
	for x := range 2 {
		toWalls[x] = v[x] + l.g*(v2[x]-v[x])
		sum += area[x] / z.wallArea * (toWalls[x] + (1-l.g)*v[x])
	}
	for x := range 2 {
		m[x][x]++
		m[3+x][3+x]++
		for y := range 2 {
			m[x][3+y] -= l.rhoF[y] * f[y][x]
			m[x][y] -= l.r * l.g * f2[y][x]
			m[3+x][y] -= l.r * f[y][x]
		}
		m[x][2] = -l.rhoW * area[x] / z.wallArea * toWalls[x]
		m[3+x][2] = -l.rhoW * area[x] / z.wallArea * v[x]
		m[2][x] = -l.r * toWalls[x]
		m[2][3+x] = -l.rhoF[x] * v[x]
		m[x][5] = p[x]
	}
	m[2][2] = 1
	if l.rhoW > 0 {
		m[2][2] -= l.rhoW * max(0, 1-sum) / (1 - w)
	}
	m[2][5] = wallHits(z.led, w)
	s := eliminate(&m)
	l.sheet, l.walls, l.floor = [2]float64{s[0], s[1]}, s[2], [2]float64{s[3], s[4]}
	return l
}

// exchange gives the factors among core and rim of two planes and the walls
// met on the way from each.
func (z *zoneBook) exchange(s *zoneShares, w float64, area [2]float64) (f [2][2]float64, v [2]float64) {
	all, from, core := attenuate(s.all, w), attenuate(s.fromCore, w), attenuate(s.coreCore, w)
	f[0][0], f[0][1] = core, max(0, from-core)
	f[1][0] = f[0][1] * area[0] / area[1]
	f[1][1] = max(0, (z.area*all-area[0]*from)/area[1]-f[1][0])
	hit, hitCore := wallHits(s.all, w), wallHits(s.fromCore, w)
	v[0], v[1] = hitCore, max(0, (z.area*hit-area[0]*hitCore)/area[1])
	return f, v
}

// eliminate solves the five equations; the matrix is diagonally dominant.
func eliminate(m *[5][6]float64) (x [5]float64) {
	for c := range 5 {
		inv := 1 / m[c][c]
		for r := c + 1; r < 5; r++ {
			k := m[r][c] * inv
			if k == 0 {
				continue
			}
			for j := c; j < 6; j++ {
				m[r][j] -= k * m[c][j]
			}
		}
	}
	for c := 4; c >= 0; c-- {
		s := m[c][5]
		for j := c + 1; j < 5; j++ {
			s -= m[c][j] * x[j]
		}
		x[c] = s / m[c][c]
	}
	return x
}

// balance books the light.
func (l *zoneLight) balance(z *zoneBook, walls Surface, s Sheet, flux float64) Balance {
	on := l.sheet[0] + l.sheet[1]
	rest := on - l.arrive
	b := Balance{
		LEDFlux: flux, Direct: l.arrive, OnSheet: on, OnWalls: l.walls, OnFloor: l.floor[0] + l.floor[1],
		Efficiency:    s.T*l.arrive + s.tDiffuse()*rest,
		AbsorbedSheet: (1-s.R-s.T)*l.arrive + (1-s.R-s.tDiffuse())*rest,
		AbsorbedWalls: (1 - walls.Reflectance) * l.walls,
		AbsorbedFloor: (1-l.g-l.rhoF[0])*l.floor[0] + (1-l.g-l.rhoF[1])*l.floor[1],
	}
	b.scale(z.area)
	return b
}
