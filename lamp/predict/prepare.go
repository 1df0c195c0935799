package predict

import (
	"errors"
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/light/colour"
	"dawnsmith/light/eye"
	"dawnsmith/light/hazard"
	"dawnsmith/light/spectrum"
)

// Prepared holds what a family of lamps shares: same tray, strip, sheet,
// lining, direction of rows and place; any number of rows, any feed, wire and
// supply. It does not change once made and may be shared.
type Prepared struct {
	of      lamp.Lamp
	sources []Source
	film    *optics.Film
	// behind is what one lumen of each channel's light is, behind lining and
	// sheet, at the coverage of the lamp that was prepared.
	behind []behind
	// nominal is what a cut unit of each channel does; finishes are the
	// surfaces of the box.
	nominal  []nominal
	finishes optics.Finish
	// fittings are the geometries that Screen has met; nil without a cache.
	fittings map[fittingKey]*fitting
	// cache keeps the worked-up boxes of the family by number of rows; nil for
	// a Prepared that is shared.
	cache *Cache
	// solver is the full solution's geometry, kept while circuit, heat and light
	// go round; each call of At works on its own copy of the Prepared.
	solver      *optics.Solver
	solverGrade Grade
}

// behind is the light of one channel after the box, per lumen that leaves.
type behind struct {
	colour   colour.XYZ
	der      float64 // melanopic daylight efficacy ratio
	kbv      float64 // W/lm
	ra       float64
	kelvin   colour.Temperature
	share    float64 // lumens that leave over those that a grey box of the same photopic figures lets out
	spectrum spectrum.Spectrum
}

// Cache keeps spectra and scatter tables between families; it is for one
// goroutine.
type Cache struct {
	sources map[string]Source
	films   map[float64]*optics.Film
	behinds map[string]behind
	boxes   map[string]*optics.Prepared
	tables  map[tableKey]*circuit.RowTable
	solvers []*optics.Solver // for the Live grade, oldest first
}

// NewCache makes an empty Cache.
func NewCache() *Cache {
	return &Cache{sources: map[string]Source{}, films: map[float64]*optics.Film{}, behinds: map[string]behind{}, boxes: map[string]*optics.Prepared{}, tables: map[tableKey]*circuit.RowTable{}}
}

// Prepare builds what the family of l shares.
func Prepare(l lamp.Lamp) (*Prepared, error) {
	p, err := NewCache().Prepare(l)
	if err != nil {
		return nil, err
	}
	p.cache, p.fittings = nil, nil
	return p, nil
}

// Prepare builds what the family of l shares, with what the cache has.
func (c *Cache) Prepare(l lamp.Lamp) (*Prepared, error) {
	p := &Prepared{of: l, cache: c, fittings: map[fittingKey]*fitting{}}
	for _, ch := range l.Strip.Channels {
		key := fmt.Sprint(ch.Spectrum, ch.CCT.X, ch.Ra, ch.Pump, ch.Name)
		src, ok := c.sources[key]
		if !ok {
			var err error
			if src, err = Light(ch, 0); err != nil {
				return nil, fmt.Errorf("strip %q: %w", l.Strip.ID, err)
			}
			c.sources[key] = src
		}
		p.sources = append(p.sources, src)
	}
	if s := l.Sheet; s != nil && s.Lobe > 0 {
		f, ok := c.films[s.LobeWidth.X]
		if !ok {
			var err error
			if f, err = optics.NewFilm(s.LobeWidth.X); err != nil {
				return nil, fmt.Errorf("sheet %q: %w", s.ID, err)
			}
			c.films[s.LobeWidth.X] = f
		}
		p.film = f
	}
	b := box(l)
	if err := b.Validate(); err != nil {
		return nil, fmt.Errorf("light: %w", err)
	}
	o, err := p.optical(l, b)
	if err != nil {
		return nil, err
	}
	for i := range p.sources {
		bh, err := c.behindOf(l, o, o.Finish(b), p.sources[i], i)
		if err != nil {
			return nil, err
		}
		p.behind = append(p.behind, bh)
	}
	p.finishes = o.Finish(b)
	if p.nominal, err = p.nominals(l); err != nil {
		return nil, err
	}
	return p, nil
}

// behindOf follows one channel's light through lining and sheet at middling
// coverage of the floor; how many rows there are changes the colour of what
// leaves by far less than the strips differ.
func (c *Cache) behindOf(l lamp.Lamp, o *optics.Prepared, f optics.Finish, src Source, channel int) (behind, error) {
	sheet, lining := "", ""
	if l.Sheet != nil {
		sheet = fmt.Sprint(l.Sheet.ID, l.Sheet.Transmittance.X, l.Sheet.Reflectance.X)
	}
	if l.Lining != nil {
		lining = fmt.Sprint(l.Lining.ID, l.Lining.Reflectance.X, l.Spec.LineFloor)
	}
	key := fmt.Sprint(l.Tray.ID, l.Tray.Reflectance.X, "|", l.Strip.ID, channel, src.Origin, l.Strip.Reflectance.X, "|", lining, "|", sheet)
	if got, ok := c.behinds[key]; ok {
		return got, nil
	}
	shape, err := transport(l, o, f)
	if err != nil {
		return behind{}, fmt.Errorf("light: %w", err)
	}
	s := src.Spectrum.Weight(&shape)
	out := behind{share: s.Luminous()}
	if s, err = s.ScaleTo(1); err != nil {
		return behind{}, fmt.Errorf("light: %w", err)
	}
	out.spectrum = s
	if out.colour, err = colour.Tristimulus2(&s); err != nil {
		return behind{}, err
	}
	if out.der, err = eye.MelanopicDER(&s); err != nil {
		return behind{}, err
	}
	if out.kbv, err = hazard.BlueEfficacy(&s); err != nil {
		return behind{}, err
	}
	r, err := colour.CRI(&s)
	if err != nil {
		return behind{}, err
	}
	out.ra = r.Ra
	u, v := out.colour.UV()
	out.kelvin = colour.CCTOfUV(u, v)
	c.behinds[key] = out
	return out, nil
}

// errFamily is a programmer's mistake turned into an error.
var errFamily = errors.New("this lamp is of another family than the one prepared")

func (p *Prepared) fits(l lamp.Lamp) error {
	o := p.of
	same := o.Tray.ID == l.Tray.ID && o.Strip.ID == l.Strip.ID && o.Spec.Along == l.Spec.Along && o.Spec.Place == l.Spec.Place &&
		idOf(o.Sheet) == idOf(l.Sheet) && idOf(o.Lining) == idOf(l.Lining) && o.Spec.LineFloor == l.Spec.LineFloor && o.Spec.Staggered == l.Spec.Staggered
	if !same {
		return errFamily
	}
	return nil
}

func idOf[P part.Part](p *P) string {
	if p == nil {
		return ""
	}
	return (*p).Ident().ID
}

// again prepares a lamp whose part values have been moved a little, keeping
// what the move does not touch.
func (p *Prepared) again(m, from lamp.Lamp) (*Prepared, error) {
	c := NewCache()
	for i, ch := range m.Strip.Channels {
		if ch.CCT.X == from.Strip.Channels[i].CCT.X {
			c.sources[fmt.Sprint(ch.Spectrum, ch.CCT.X, ch.Ra, ch.Pump, ch.Name)] = p.sources[i]
		}
	}
	if p.film != nil && m.Sheet.LobeWidth.X == from.Sheet.LobeWidth.X {
		c.films[m.Sheet.LobeWidth.X] = p.film
	}
	return c.Prepare(m)
}

// optical works up the box of one lamp. With a cache, for screening, LEDs of a
// row are first merged into a point for every sheet height, which moves light
// and efficiency by under half a per cent (lamp/optics, on merging) and lets
// strips of one width share the work.
func (p *Prepared) optical(l lamp.Lamp, b optics.Box) (*optics.Prepared, error) {
	targets := sight(l)
	if p.cache == nil {
		o, err := optics.Prepare(b, p.film, targets[:]...)
		if err != nil {
			return nil, fmt.Errorf("light: %w", err)
		}
		return o, nil
	}
	m := merged(l, b)
	r := m.Rows[0]
	key := fmt.Sprint(m.Length, m.Width, m.Height, l.Spec.Along, len(m.Rows), r.Y, r.X0, r.Pitch, r.Count, r.Z, r.BeamFWHM, r.StripWidth,
		m.Sheet.Lobe > 0, m.Sheet.LobeFWHM, l.Spec.Place, l.Spec.Lines, l.Spec.Staggered)
	if got, ok := p.cache.boxes[key]; ok {
		return got, nil
	}
	o, err := optics.Prepare(m, p.film, targets[:]...)
	if err != nil {
		return nil, fmt.Errorf("light: %w", err)
	}
	if len(p.cache.boxes) > 2000 {
		clear(p.cache.boxes)
	}
	p.cache.boxes[key] = o
	return o, nil
}

// merged replaces the LEDs of each row by fewer points on a row whose length
// is rounded to a centimetre.
func merged(l lamp.Lamp, b optics.Box) optics.Box {
	run := math.Min(b.Length, math.Max(0.01, math.Round(l.RowLength()*100)/100))
	n := int(math.Min(24, math.Max(4, math.Ceil(run/math.Max(0.5*b.Height, 0.01)))))
	m := b
	m.Rows = make([]optics.Row, l.Spec.Rows)
	for i := range m.Rows {
		r := b.Rows[i*len(l.RowChannels(0))]
		r.Pitch, r.Count, r.Flux, r.Fluxes = run/float64(n), n, 1, nil
		r.X0 = (b.Length-run)/2 + r.Pitch/2
		m.Rows[i] = r
	}
	return m
}

// lattice is the field of LEDs under the middle of the face.
func lattice(l lamp.Lamp) optics.Lattice {
	return optics.Lattice{Pitch: l.LEDPitch(), Spacing: l.WidestGap(), Depth: l.Height() - l.Strip.Height, BeamFWHM: l.Strip.Beam, Staggered: l.Stagger() > 0}
}

func cctOf(s *spectrum.Spectrum) (float64, error) {
	t, err := colour.CCT(s)
	if err != nil {
		return 0, err
	}
	return t.Kelvin, nil
}

// dots gives the luminance of a chip seen unscattered over that of the face,
// and what such chips add to the mean over an 11 mrad cone at 200 mm, cd/m².
func dots(l lamp.Lamp, b optics.Box, flux, face float64) (ratio, inCone float64, err error) {
	if b.Sheet.Through == 0 || face <= 0 {
		return 0, 0, nil
	}
	perLED := flux / float64(l.LEDsPerRow()*l.Spec.Rows)
	ratio, err = optics.DotRatio(b.Sheet, perLED, l.Strip.Beam, l.Strip.Emitter, face)
	if err != nil {
		return 0, 0, fmt.Errorf("light: %w", err)
	}
	cone := hazard.ConeArea(0.011, 0.2)
	chips := math.Max(1, cone/(l.LEDPitch()*l.RowPitch())) // chips in the cone at once
	return ratio, ratio * face * math.Min(1, chips*l.Strip.Emitter/cone), nil
}
