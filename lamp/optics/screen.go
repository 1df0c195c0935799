package optics

import (
	"fmt"
	"math"
)

// MaxTargets is how many targets one Prepared carries.
const MaxTargets = 8

// nearBounces is how many wall bounces are told apart where the place on the
// face matters; what needs more is spread evenly.
const nearBounces = 3

// way books light by wall bounces: coefficient b belongs to b bounces, the
// last to all that need more.
type way [nearBounces + 2]float64

func (s *way) attenuate(w float64) float64 { return attenuate(s[:], w) }

// zoneWay books the way to a zoned plane: all of it, and its core alone.
type zoneWay struct{ all, core way }

func (z *zoneWay) add(o *zoneWay, k float64) {
	for b := range o.all {
		z.all[b] += k * o.all[b]
		z.core[b] += k * o.core[b]
	}
}

// probe is a linear reading of the face (a luminance, an illuminance) as
// three channels of what it reads per T·share: Lambertian, lobe, unscattered.
type probe [3]struct {
	direct      way     // from the LEDs, per lumen
	floor, back zoneWay // light of the floor; light of the sheet by way of the floor's mirror part, per lm/m² of exitance
}

// Finish is everything about a box that a Prepared leaves open.
type Finish struct {
	Walls            Surface
	Floor            Surface // between the strip bands
	StripReflectance float64 // mean of the bands
	Sheet            Sheet   // its LobeFWHM must be the prepared one; Lobe and Through may be over 0 only if they were
	LEDFlux          float64 // lm of all LEDs, in the prepared pattern
}

// Quick is what Prepared.Screen finds in a few microseconds.
type Quick struct {
	Balance
	Mean   float64             // cd/m², face mean at normal view
	Centre float64             // cd/m², at the face's centre, normal view, ripple smoothed
	Direct float64             // share of Centre that came straight or by mirrors from the LEDs
	Ripple float64             // spot contrast at the centre, 0 to 1
	Lux    [MaxTargets]float64 // lx at the targets, in order
	// LuxBound bounds the relative error of Lux and Mean as a model of this
	// box, for targets at least half the face's shorter side away; CentreBound
	// that of Centre, ripple included. Bound is that of Efficiency.
	LuxBound, CentreBound float64
}

// Prepared is a box's geometry, LED pattern, lobe width and targets, worked up
// once so that surfaces, sheet and flux can be varied quickly. It does not
// change and may be shared between goroutines.
type Prepared struct {
	box       Box
	zones     *zoneBook
	probes    []probe // mean, centre, then the targets
	harmonics []harmonic
	lattice   Lattice
	hasLobe   bool
	patchy    float64 // see Box.patchy
}

// Prepare works up the box's sizes, LED places and flux pattern, the width of
// its sheet's lobe (if Lobe > 0) and up to MaxTargets targets. film may be nil;
// given, it must be NewFilm of the sheet's LobeFWHM and saves time. The error
// is an *InputError.
func Prepare(b Box, film *Film, targets ...Target) (*Prepared, error) {
	if err := b.Validate(); err != nil {
		return nil, err
	}
	if len(targets) > MaxTargets {
		return nil, &InputError{"targets", fmt.Sprint(len(targets)), fmt.Sprintf("up to %d", MaxTargets), "prepare them in two turns"}
	}
	for _, t := range targets {
		if err := t.Validate(); err != nil {
			return nil, err
		}
	}
	if b.Sheet.Lobe > 0 && film == nil {
		var err error
		if film, err = NewFilm(b.Sheet.LobeFWHM); err != nil {
			return nil, err
		}
	}
	if b.Sheet.Lobe == 0 {
		film = nil
	}
	fs := b.fields()
	p := &Prepared{box: b, hasLobe: film != nil}
	p.box.Rows = nil
	p.zones = newZoneBook(&b, fs, zoneBounces)
	p.lattice, p.patchy = latticeOf(&b, fs), b.patchy()
	p.harmonics = p.lattice.harmonics(p.lattice.shape(film))
	w := newPanels(&b, fs, film, p.zones)
	p.probes = append(p.probes, w.mean(), w.centre(p.lattice))
	for i := range targets {
		p.probes = append(p.probes, w.target(&targets[i]))
	}
	return p, nil
}

// Finish is the finish of the box the geometry was prepared from.
func (p *Prepared) Finish(b Box) Finish {
	return Finish{Walls: b.meanWall(), Floor: b.Floor, StripReflectance: mix(b.bands(), interval{0, b.Width}).reflectance, Sheet: b.Sheet, LEDFlux: b.LEDFlux()}
}

// latticeOf is the lattice under the face's centre.
func latticeOf(b *Box, fs []*field) Lattice {
	l := Lattice{Pitch: b.Length, Spacing: b.Width, Depth: b.Height, BeamFWHM: DefaultBeam}
	var main *field
	for _, f := range fs {
		if main == nil || f.total > main.total {
			main = f
		}
	}
	l.Depth = b.Height - main.z
	var lit, near []int // rows of the main field with flux; the two nearest the middle
	for i := range b.Rows {
		if r := &b.Rows[i]; r.Z == main.z && exponent(r.beam()) == main.m && r.total() > 0 {
			lit = append(lit, i)
			l.BeamFWHM = r.beam()
		}
	}
	best := math.Inf(1)
	for _, i := range lit {
		for _, j := range lit {
			d := b.Rows[j].Y - b.Rows[i].Y
			if mid := math.Abs((b.Rows[j].Y+b.Rows[i].Y)/2 - b.Width/2); d > same && mid+d < best {
				best, near = mid+d, []int{i, j}
			}
		}
	}
	if r := &b.Rows[lit[0]]; r.Count > 1 {
		l.Pitch = min(l.Pitch, r.Pitch)
	}
	if near != nil {
		r, q := &b.Rows[near[0]], &b.Rows[near[1]]
		l.Spacing = min(l.Spacing, q.Y-r.Y)
		shift := math.Abs(math.Mod(q.X0-r.X0, l.Pitch)) / l.Pitch
		l.Staggered = shift > 0.25 && shift < 0.75
	}
	return l
}

// Screen reads the prepared box with another finish: the whole balance, face
// luminance, ripple and the light at each target. It costs a few microseconds
// and allocates little. The error is an *InputError.
//
// Method: the balance of ThreeSurface with floor and sheet in two zones, a rim
// one depth wide and the rest; zones and walls then shine evenly on every part
// of the face, while the light straight from the LEDs keeps its true spread.
//
// Not modelled: unequal walls (their mean counts), uneven light within zones,
// LED ripple where the lobe looks at the target.
func (p *Prepared) Screen(f Finish) (Quick, error) {
	err := firstOf(f.Walls.validate(fieldAt{"walls", -1}), f.Floor.validate(fieldAt{"floor", -1}), f.Sheet.Validate(),
		within("strip_reflectance", f.StripReflectance, 0, 1, "give the share of light that comes back"),
		within("led_flux", f.LEDFlux, 0, 1e8, "give the lumens of all LEDs"))
	if err != nil {
		return Quick{}, err
	}
	if f.Sheet.Lobe > 0 && (!p.hasLobe || f.Sheet.LobeFWHM != p.box.Sheet.LobeFWHM) {
		return Quick{}, &InputError{"sheet.lobe_fwhm", fmt.Sprintf("%.4g", f.Sheet.LobeFWHM*180/math.Pi), fmt.Sprintf("%.4g, the prepared one", p.box.Sheet.LobeFWHM*180/math.Pi), "prepare the box once for each lobe width"}
	}
	if f.Sheet.Through > 0 && p.box.Sheet.Through == 0 {
		return Quick{}, &InputError{"sheet.unscattered", fmt.Sprintf("%.4g", f.Sheet.Through), "0, as prepared", "prepare the box with a sheet that passes unscattered light"}
	}
	l := p.zones.solve(f.Walls, f.Floor, f.StripReflectance, f.Sheet)
	var q Quick
	s := f.Sheet
	q.Balance = l.balance(p.zones, f.Walls, s, f.LEDFlux)
	uneven := p.evenBalance(&f, q.Efficiency)
	deep := max(0, p.box.Height/min(p.box.Length, p.box.Width)-0.5)
	odd := p.patchy
	area := [2]float64{p.zones.coreArea, p.zones.area - p.zones.coreArea}
	in := insideLight{w: l.w, g: l.g, walls: l.rhoW * l.walls / p.zones.wallArea}
	for x := range 2 {
		in.floor[x] = l.rhoF[x] * l.floor[x] / area[x]
		in.sheet[x] = l.r * l.sheet[x] / area[x]
	}
	share := [3]float64{s.Lambert(), s.Lobe, s.Through}
	t, td := s.T*f.LEDFlux, s.tDiffuse()*f.LEDFlux
	d, i := p.probes[0].read(&in, &share)
	q.Mean = t*d + td*i
	d, i = p.probes[1].read(&in, &share)
	q.Centre = t*d + td*i
	if q.Centre > 0 {
		q.Direct = t * d / q.Centre
	}
	for k := range p.probes[2:] {
		d, i = p.probes[2+k].read(&in, &share)
		q.Lux[k] = t*d + td*i
	}
	q.Ripple = q.Direct * p.ripple(share[0], share[1])
	// LEDs that leave a wide margin light floor and sheet unevenly.
	margin := 0.0
	if m := p.probes[0][0].direct.attenuate(l.w); m > 0 {
		margin = (1 - q.Direct) * max(0, p.probes[1][0].direct.attenuate(l.w)/m-1.15)
	}
	q.Bound = 0.006 + 2*uneven + 0.02*deep + 0.15*margin + odd
	q.LuxBound = 0.025 + 5*uneven + 0.04*deep + 0.3*margin + 2*odd
	if s.weak() {
		q.LuxBound += 0.025
	}
	q.CentreBound = q.LuxBound + 0.03 + 8*uneven + 0.5*margin + 2*odd + q.Ripple/max(0.1, 1-q.Ripple)
	return q, nil
}

// ripple is Lattice.Contrast at the points where rectangular and staggered
// lattices have their extremes.
func (p *Prepared) ripple(d, lo float64) float64 {
	if d+lo == 0 {
		return 1
	}
	if h := p.harmonics; len(h) < 2 {
		return 0
	}
	var v [5]float64 // at the LED, between along, between across, in the middle, quarter
	for _, h := range p.harmonics {
		a := d*h.lambert + lo*h.lobe
		cx, cy := h.kx*p.lattice.Pitch, h.ky*p.lattice.Spacing
		hx, hy := sign(cx), sign(cy)
		v[0] += a
		v[1] += a * hx
		v[2] += a * hy
		v[3] += a * hx * hy
		if p.lattice.Staggered {
			v[4] += a * math.Cos(cx/4) * math.Cos(cy/2)
		}
	}
	if !p.lattice.Staggered {
		v[4] = v[3]
	}
	hi, low := v[0], v[0]
	for _, x := range v[1:] {
		hi, low = max(hi, x), min(low, x)
	}
	low = max(0, low)
	return (hi - low) / (hi + low)
}

// sign is cos(k/2) for k a multiple of π.
func sign(k float64) float64 { return math.Cos(k / 2) }

// insideLight is the exitance of the surfaces, lm/m² per LED lumen: core and
// rim of floor and sheet, walls.
type insideLight struct {
	w, g         float64
	floor, sheet [2]float64
	walls        float64
}

// read gives the direct and the indirect part per lumen and unit of T.
func (p *probe) read(in *insideLight, share *[3]float64) (direct, indirect float64) {
	for c := range p {
		if share[c] == 0 {
			continue
		}
		q := &p[c]
		direct += share[c] * q.direct.attenuate(in.w)
		hit := wallHits(q.floor.all[:], in.w)
		v := in.walls*hit + in.floor[1]*q.floor.all.attenuate(in.w) + (in.floor[0]-in.floor[1])*q.floor.core.attenuate(in.w)
		if in.g > 0 {
			v += in.g * (in.walls*(wallHits(q.back.all[:], in.w)-hit) +
				in.sheet[1]*q.back.all.attenuate(in.w) + (in.sheet[0]-in.sheet[1])*q.back.core.attenuate(in.w))
		}
		indirect += share[c] * v
	}
	return direct, indirect
}

// The bounds grow with what a second zone changes: how far the balance of one
// zone is off tells how uneven floor and sheet are. Their sizes are set from
// the full solution of random boxes; a test holds them.

// evenBalance is the relative difference that the rim zone makes to the
// efficiency.
func (p *Prepared) evenBalance(f *Finish, eta float64) float64 {
	if eta == 0 {
		return 0
	}
	z := p.zones
	w := f.Walls.mirror()
	m := z.mix
	m.reflectance = f.StripReflectance
	e := exchange{
		w: w, g: m.mirror(f.Floor), rhoW: f.Walls.diffuse(), rhoF: m.diffuse(f.Floor), r: f.Sheet.R,
		fh: attenuate(z.near.all, w), f2h: attenuate(z.back.all, w), hits: wallHits(z.near.all, w), hits2: wallHits(z.back.all, w),
		pArrive: attenuate(z.led, w), pHits: wallHits(z.led, w), ratio: z.area / z.wallArea,
	}
	d, _, _ := e.solve()
	return math.Abs((f.Sheet.T*e.pArrive+f.Sheet.tDiffuse()*(d-e.pArrive))/eta - 1)
}
