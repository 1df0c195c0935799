package daylight

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/light/colour"
)

// Channel is one white of a two-channel lamp, measured alone at full drive.
type Channel struct {
	Lux  float64 // lx at the eye, at the same place for both channels
	X, Y float64 // CIE 1931 chromaticity
	DER  float64 // melanopic daylight efficacy ratio
}

func (c Channel) validate(name string) error {
	if !(c.Lux > 0 && c.Lux <= 1e6) {
		return fmt.Errorf("daylight: %s channel gives %g lx, allowed is above 0 to 1 000 000 lx", name, c.Lux)
	}
	if !(c.X > 0 && c.X < 0.8 && c.Y > 0.05 && c.Y < 0.9 && c.X+c.Y < 1) {
		return fmt.Errorf("daylight: %s channel has chromaticity (%g, %g), allowed are x and y of a visible light", name, c.X, c.Y)
	}
	if !(c.DER > 0 && c.DER <= 3) {
		return fmt.Errorf("daylight: %s channel has melanopic ratio %g, allowed is above 0 to 3", name, c.DER)
	}
	if !colour.CCTOfUV(uv(c.X, c.Y)).Valid {
		return fmt.Errorf("daylight: %s channel at (%g, %g) is too far from white for a colour temperature", name, c.X, c.Y)
	}
	return nil
}

func uv(x, y float64) (u, v float64) {
	d := -2*x + 12*y + 3
	return 4 * x / d, 6 * y / d
}

// Pair is a lamp of two whites.
type Pair struct {
	Warm, Cool Channel
	// Cross is the share (0 to 0.3) of its light that each channel loses while
	// the other is at full drive, by heat and sagging supply; 0 when not
	// measured (2 to 8 % in all is usual, from memory).
	Cross float64
}

// Validate refuses channels that are no whites, or not warm and cool.
func (p Pair) Validate() error {
	if err := p.Warm.validate("warm"); err != nil {
		return err
	}
	if err := p.Cool.validate("cool"); err != nil {
		return err
	}
	if !(p.Cross >= 0 && p.Cross <= 0.3) {
		return fmt.Errorf("daylight: cross loss is %g, allowed is 0 to 0.3", p.Cross)
	}
	w, c := p.kelvin(0), p.kelvin(1)
	if !(w < c) {
		return fmt.Errorf("daylight: the warm channel is %.0f K and the cool one %.0f K; allowed is a warm one below the cool one", w, c)
	}
	return nil
}

// Keep says what to hold on to when a target is out of reach.
type Keep uint8

const (
	// KeepColour dims both channels together.
	KeepColour Keep = iota
	// KeepLevel gives up the colour as far as needed.
	KeepLevel
)

// ColourState says whether the colour asked for lies between the channels.
type ColourState uint8

const (
	// Within: between the channels.
	Within ColourState = iota
	// BelowWarm: pinned to the warm channel.
	BelowWarm
	// AboveCool: pinned to the cool channel.
	AboveCool
)

// String gives ok, below-warm-channel or above-cool-channel.
func (c ColourState) String() string {
	return [...]string{"ok", "below-warm-channel", "above-cool-channel"}[min(c, AboveCool)]
}

// MarshalText writes the state's words.
func (c ColourState) MarshalText() ([]byte, error) { return []byte(c.String()), nil }

// Target is a colour and one of two levels.
type Target struct {
	Kelvin float64 // K, correlated colour temperature
	Lux    float64 // lx at the eye; or
	MEDI   float64 // lx, melanopic equivalent daylight illuminance
	Keep   Keep
}

// Mixed is what the two channels give together.
type Mixed struct {
	Warm, Cool  float64 // drives, 0 to 1 of full linear output
	Share       float64 // of the illuminance that is cool
	Lux, MEDI   float64 // lx at the eye
	DER         float64
	X, Y        float64
	Kelvin, Duv float64 // K; 0 with no light
	Colour      ColourState
	LimitedBy   string  // "", "warm" or "cool": the channel that is at full drive
	Missing     float64 // share of the level that is not reached, 0 to 1
	Findings    []finding.Finding
}

// chromaticity of a share of cool light: X/Y and Z/Y mix by illuminance,
//
//	X/Y = (1-s)(x/y)_w + s(x/y)_c,  1/y likewise
//
// Source: additivity of tristimulus values, CIE 015 (Grassmann).
func (p Pair) chromaticity(s float64) (x, y float64) {
	xw, xc := p.Warm.X/p.Warm.Y, p.Cool.X/p.Cool.Y
	iw, ic := 1/p.Warm.Y, 1/p.Cool.Y
	inv := (1-s)*iw + s*ic
	return ((1-s)*xw + s*xc) / inv, 1 / inv
}

func (p Pair) kelvin(s float64) float64 {
	x, y := p.chromaticity(s)
	return colour.CCTOfUV(uv(x, y)).Kelvin
}

// share finds the cool share of illuminance whose mixture has a colour
// temperature, by bisection: it rises steadily from warm to cool.
func (p Pair) share(kelvin float64) (float64, ColourState) {
	switch {
	case kelvin <= p.kelvin(0):
		state := BelowWarm
		if kelvin >= p.kelvin(0)-1e-6 {
			state = Within
		}
		return 0, state
	case kelvin >= p.kelvin(1):
		state := AboveCool
		if kelvin <= p.kelvin(1)+1e-6 {
			state = Within
		}
		return 1, state
	}
	lo, hi := 0.0, 1.0
	for range 50 {
		mid := (lo + hi) / 2
		if p.kelvin(mid) < kelvin {
			lo = mid
		} else {
			hi = mid
		}
	}
	return (lo + hi) / 2, Within
}

// drives finds the drives that give the two illuminances, with the cross loss
// undone: warm·E_w(1 - c·cool) and cool·E_c(1 - c·warm).
func (p Pair) drives(warm, cool float64) (a, b float64) {
	a, b = warm/p.Warm.Lux, cool/p.Cool.Lux
	for range 60 {
		na := warm / (p.Warm.Lux * (1 - p.Cross*min(b, 1)))
		nb := cool / (p.Cool.Lux * (1 - p.Cross*min(a, 1)))
		if math.Abs(na-a)+math.Abs(nb-b) < 1e-15 {
			break
		}
		a, b = na, nb
	}
	return a, b
}

// At is what given drives (0 to 1 each) make.
func (p Pair) At(warm, cool float64) (Mixed, error) {
	if err := p.Validate(); err != nil {
		return Mixed{}, err
	}
	if !(warm >= 0 && warm <= 1) {
		return Mixed{}, fmt.Errorf("daylight: warm drive is %g, allowed is 0 to 1", warm)
	}
	if !(cool >= 0 && cool <= 1) {
		return Mixed{}, fmt.Errorf("daylight: cool drive is %g, allowed is 0 to 1", cool)
	}
	return p.at(warm, cool), nil
}

func (p Pair) at(warm, cool float64) Mixed {
	ew, ec := warm*p.Warm.Lux*(1-p.Cross*cool), cool*p.Cool.Lux*(1-p.Cross*warm)
	m := Mixed{Warm: warm, Cool: cool, Lux: ew + ec, MEDI: ew*p.Warm.DER + ec*p.Cool.DER}
	if m.Lux > 0 {
		m.Share = ec / m.Lux
		m.DER = m.MEDI / m.Lux
		m.X, m.Y = p.chromaticity(m.Share)
		t := colour.CCTOfUV(uv(m.X, m.Y))
		m.Kelvin, m.Duv = t.Kelvin, t.Duv
	}
	return m
}

// fullest is the greatest illuminance (lx) at a cool share, and which channel
// ends it.
func (p Pair) fullest(s float64) (lux float64, by string) {
	// One channel at full drive, the other as the share asks.
	if s < 1 {
		// warm 1, cool b: s/(1-s) = b E_c(1-c)/(E_w(1-c b))
		r := s / (1 - s)
		b := r * p.Warm.Lux / (p.Cool.Lux*(1-p.Cross) + r*p.Warm.Lux*p.Cross)
		if b <= 1 {
			return p.at(1, b).Lux, "warm"
		}
	}
	r := (1 - s) / s
	a := r * p.Cool.Lux / (p.Warm.Lux*(1-p.Cross) + r*p.Cool.Lux*p.Cross)
	return p.at(a, 1).Lux, "cool"
}

// Maximum is the most light at a colour temperature (K),
//
//	E = min(E_w/(1-s), E_c/s)
//
// without cross loss. Outside the channels the colour is pinned to the nearer
// one and said to be.
func (p Pair) Maximum(kelvin float64) (Mixed, error) {
	if err := p.Validate(); err != nil {
		return Mixed{}, err
	}
	if err := sensible(kelvin); err != nil {
		return Mixed{}, err
	}
	s, state := p.share(kelvin)
	lux, by := p.fullest(s)
	a, b := p.drives(lux*(1-s), lux*s)
	m := p.at(min(a, 1), min(b, 1))
	m.Colour, m.LimitedBy = state, by
	m.review(p, Target{Kelvin: kelvin})
	return m, nil
}

func sensible(kelvin float64) error {
	if kelvin >= 1000 && kelvin <= 25000 {
		return nil
	}
	return fmt.Errorf("daylight: colour temperature is %g K, allowed is 1000 to 25000 K", kelvin)
}

// Mix finds the drives for a colour and level, in linear light: the cool share
// s from the colour, the level E (or E = MEDI/[(1-s)DER_w + s DER_c]), then
// drives E(1-s)/E_w and E s/E_c. Where a drive would pass 1, KeepColour dims
// both and says what is missing; KeepLevel moves the colour just far enough.
// Nothing is changed in silence: see Colour, LimitedBy, Missing, Findings.
//
// Source: additivity of light; the search is ours.
//
// Not modelled: colour that shifts with drive (as constant-current dimming
// does; pulse-width dimming hardly), beyond [Pair.Cross].
func (p Pair) Mix(t Target) (Mixed, error) {
	if err := p.Validate(); err != nil {
		return Mixed{}, err
	}
	if err := sensible(t.Kelvin); err != nil {
		return Mixed{}, err
	}
	if (t.Lux > 0) == (t.MEDI > 0) || !(t.Lux >= 0 && t.Lux <= 1e6 && t.MEDI >= 0 && t.MEDI <= 1e6) {
		return Mixed{}, fmt.Errorf("daylight: target is %g lx and %g lx melanopic, allowed is just one of them, above 0 to 1 000 000 lx", t.Lux, t.MEDI)
	}
	s, state := p.share(t.Kelvin)
	der := func(s float64) float64 { return (1-s)*p.Warm.DER + s*p.Cool.DER }
	want := t.Lux
	if t.MEDI > 0 {
		want = t.MEDI / der(s)
	}
	var m Mixed
	most, by := p.fullest(s)
	switch {
	case want <= most:
		a, b := p.drives(want*(1-s), want*s)
		m = p.at(min(a, 1), min(b, 1))
	default:
		a, b := p.drives(most*(1-s), most*s)
		m = p.at(min(a, 1), min(b, 1))
		if t.Keep == KeepLevel {
			m = p.keepLevel(t, by, m)
		}
		m.LimitedBy = by
	}
	m.Colour = state
	got, asked := m.Lux, t.Lux
	if t.MEDI > 0 {
		got, asked = m.MEDI, t.MEDI
	}
	if miss := 1 - got/asked; miss > 1e-9 {
		m.Missing = miss
	}
	m.review(p, t)
	return m, nil
}

// keepLevel holds one channel at full drive and raises the other from where
// it is until the level is there, or both are full. The level goes straight
// with that drive, and where a cross loss makes it fall nothing is raised.
func (p Pair) keepLevel(t Target, full string, from Mixed) Mixed {
	drive := func(x float64) Mixed { return p.at(x, 1) }
	start := from.Warm
	if full == "warm" {
		drive = func(x float64) Mixed { return p.at(1, x) }
		start = from.Cool
	}
	level := func(m Mixed) float64 {
		if t.MEDI > 0 {
			return m.MEDI - t.MEDI
		}
		return m.Lux - t.Lux
	}
	a, b := level(from), level(drive(1))
	switch {
	case b <= a:
		return from
	case b <= 0:
		return drive(1)
	}
	return drive(start + (1-start)*a/(a-b))
}

// review says in findings what the numbers only show.
func (m *Mixed) review(p Pair, t Target) {
	add := func(sev finding.Severity, key, what, cause, mend, source string) {
		m.Findings = append(m.Findings, finding.Finding{Severity: sev, Key: key, What: what, Cause: cause, Mend: mend, Source: source})
	}
	const sums = "additivity of light"
	switch m.Colour {
	case BelowWarm:
		add(finding.Note, "mix.below_warm", fmt.Sprintf("%.0f K is warmer than the warm channel; the light stays at %.0f K", t.Kelvin, p.kelvin(0)),
			"two channels reach only the colours between them", "ask for more kelvin, or fit a warmer strip", sums)
	case AboveCool:
		add(finding.Note, "mix.above_cool", fmt.Sprintf("%.0f K is cooler than the cool channel; the light stays at %.0f K", t.Kelvin, p.kelvin(1)),
			"two channels reach only the colours between them", "ask for fewer kelvin, or fit a cooler strip", sums)
	}
	if m.Missing > 0 {
		both := p.at(1, 1)
		add(finding.Warn, "mix.level", fmt.Sprintf("%.0f lx (%.0f lx melanopic) is all there is at this setting, %.0f %% short", m.Lux, m.MEDI, 100*m.Missing),
			"the "+m.LimitedBy+" channel is at full drive",
			fmt.Sprintf("both channels full give the most, %.0f lx (%.0f lx melanopic) at %.0f K", both.Lux, both.MEDI, both.Kelvin), sums)
	} else if m.LimitedBy != "" && t.Keep == KeepLevel && t.Lux+t.MEDI > 0 {
		add(finding.Note, "mix.colour_given_up", fmt.Sprintf("the level is kept at %.0f K instead of %.0f K", m.Kelvin, t.Kelvin),
			"the "+m.LimitedBy+" channel is at full drive", "ask for less light to keep the colour", sums)
	}
	if math.Abs(m.Duv) > 0.006 {
		side := "pinkish"
		if m.Duv > 0 {
			side = "greenish"
		}
		add(finding.Note, "mix.duv", fmt.Sprintf("the mixture lies %.4f off the black-body line, %s", math.Abs(m.Duv), side),
			"a straight mixture cuts the corner of a curved line", "a cool channel slightly above the line, or a third channel, brings it back",
			"ANSI C78.377 allows about 0.006, from memory")
	}
}
