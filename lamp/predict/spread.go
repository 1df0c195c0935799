package predict

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/light/phosphor"
	"dawnsmith/quantity"
)

// Uncertain is a Result whose numbers carry their uncertainty.
type Uncertain struct {
	Result
	// Values holds every number with its terms; the terms' sources are the
	// part fields and model statements that were moved.
	Values map[string]quantity.Value
}

// knob is one uncertain input: moved by one standard uncertainty either way.
type knob struct {
	source string
	move   func(l *lamp.Lamp, by float64) // by is +1 or −1 standard uncertainties
}

// Spread works a lamp out and again with every uncertain input moved by one
// standard uncertainty up and down, one at a time (JCGM 100:2008, 5.1.3, note
// 2), and adds the stated errors of the models. Discrete choices (fuse, supply
// size, number of units) are held fixed. Transmittance, reflectance and
// absorptance of the sheet stay 1 together.
func Spread(l lamp.Lamp) (Uncertain, error) {
	p, err := Prepare(l)
	if err != nil {
		return Uncertain{}, err
	}
	base, err := p.Lamp(l)
	if err != nil {
		return Uncertain{}, err
	}
	if _, worked := base.Numbers[MeterLux]; !worked {
		return Uncertain{Result: base, Values: map[string]quantity.Value{}}, nil
	}
	// What a move does is taken from the quick grade, relative to that grade's
	// own number: the grades differ far less in slope than in value.
	quick, err := p.At(l, Quick)
	if err != nil {
		return Uncertain{}, err
	}
	u := Uncertain{Result: base, Values: make(map[string]quantity.Value, len(base.Numbers))}
	terms := map[string][]quantity.Term{}
	add := func(key, source string, d float64) {
		if d != 0 && !math.IsNaN(d) {
			terms[key] = append(terms[key], quantity.Term{Source: source, U: d})
		}
	}
	for _, k := range knobs(l) {
		up, errUp := p.moved(l, k, +1)
		down, errDown := p.moved(l, k, -1)
		for key, x := range base.Numbers {
			q, ok := quick.Numbers[key]
			if !ok {
				continue // modelTerms speaks for what only the full grade has
			}
			var d float64
			switch {
			case errUp == nil && errDown == nil:
				d = (up.Numbers[key] - down.Numbers[key]) / 2
			case errUp == nil:
				d = up.Numbers[key] - q
			case errDown == nil:
				d = q - down.Numbers[key]
			}
			if q > 0 && x > 0 && scales[key] {
				d *= x / q
			}
			add(key, k.source, d)
		}
	}
	p.modelTerms(l, base, terms, add)
	for key, x := range base.Numbers {
		ts := terms[key]
		slices.SortFunc(ts, func(a, b quantity.Term) int {
			if a.Source < b.Source {
				return -1
			}
			return 1
		})
		u.Values[key] = quantity.Value{X: x, Terms: ts}
	}
	return u, nil
}

func (p *Prepared) moved(l lamp.Lamp, k knob, by float64) (Result, error) {
	m := clone(l)
	k.move(&m, by)
	q, err := p.again(m, l)
	if err != nil {
		return Result{}, err
	}
	return q.At(m, Quick)
}

// scales marks the numbers that go as the light: their quick slopes are taken
// relative to their value.
var scales = map[string]bool{FluxOut: true, FaceExitance: true, FaceMean: true, FacePeak: true, FaceContrast: true, MeterLux: true, EyeLux: true,
	EyeLuxUncut: true, EyeMelanopic: true, BlueFace: true, BlueClose: true, MainsEfficacy: true, Ripple: true, DotRatio: true}

// clone copies a lamp as deep as the knobs reach.
func clone(l lamp.Lamp) lamp.Lamp {
	l.Strip.Channels = slices.Clone(l.Strip.Channels)
	l.Readings = slices.Clone(l.Readings)
	if l.Sheet != nil {
		s := *l.Sheet
		l.Sheet = &s
	}
	if l.Lining != nil {
		s := *l.Lining
		l.Lining = &s
	}
	if l.Paint != nil {
		s := *l.Paint
		l.Paint = &s
	}
	return l
}

// placeU are the standard uncertainties with which a lamp is set up: 3 mm of
// distance, 2 K of air; readU that of a temperature read on matt tape or with a
// wire probe, K (engineering estimates).
const (
	distanceU = 0.003
	airU      = 2.0
	readU     = 1.5
	absorbU   = 0.015
)

func knobs(l lamp.Lamp) []knob {
	var ks []knob
	value := func(get func(*lamp.Lamp) *quantity.Value, lo, hi float64) {
		v := *get(&l)
		if v.U() == 0 {
			return
		}
		// A value has one term as it comes from a parts file; several are
		// moved one by one so that each keeps its source.
		for _, t := range v.Terms {
			ks = append(ks, knob{t.Source, func(m *lamp.Lamp, by float64) {
				w := get(m)
				w.X = math.Min(hi, math.Max(lo, w.X+by*t.U))
			}})
		}
	}
	inf := math.Inf(1)
	for i := range l.Strip.Channels {
		ch := func(m *lamp.Lamp) *part.Channel { return &m.Strip.Channels[i] }
		if l.Strip.Channels[i].MeasuredPower.X > 0 {
			value(func(m *lamp.Lamp) *quantity.Value { return &ch(m).MeasuredPower }, 0.1, inf)
		} else {
			// Watts that are more than the label says bring their lumens along:
			// the same chips at a higher current.
			for _, t := range l.Strip.Channels[i].Power.Terms {
				ks = append(ks, knob{t.Source, func(m *lamp.Lamp, by float64) {
					c := ch(m)
					c.MeasuredPower = quantity.Exact(math.Max(0.1, c.Power.X+by*t.U))
				}})
			}
		}
		value(func(m *lamp.Lamp) *quantity.Value { return &ch(m).Flux }, 1, inf)
		value(func(m *lamp.Lamp) *quantity.Value { return &ch(m).FluxPerKelvin }, -0.01, 0)
		if l.Strip.Channels[i].Spectrum == "" {
			value(func(m *lamp.Lamp) *quantity.Value { return &ch(m).CCT }, 1800, 10000)
		}
	}
	value(func(m *lamp.Lamp) *quantity.Value { return &m.Strip.Reflectance }, 0, 0.98)
	value(func(m *lamp.Lamp) *quantity.Value { return &m.Strip.JunctionR }, 0, inf)
	bareWalls := l.Lining == nil
	if bareWalls || !l.Spec.LineFloor {
		value(func(m *lamp.Lamp) *quantity.Value { return &m.Tray.Reflectance }, 0, 0.98)
		value(func(m *lamp.Lamp) *quantity.Value { return &m.Tray.Specular }, 0, 1)
		value(func(m *lamp.Lamp) *quantity.Value { return &m.Tray.EmissivityInside }, 0.02, 1)
	}
	if l.Paint == nil {
		value(func(m *lamp.Lamp) *quantity.Value { return &m.Tray.EmissivityBack }, 0.02, 1)
	}
	if l.Lining != nil {
		value(func(m *lamp.Lamp) *quantity.Value { return &m.Lining.Reflectance }, 0, 0.99)
		value(func(m *lamp.Lamp) *quantity.Value { return &m.Lining.Specular }, 0, 1)
	}
	if l.Sheet != nil {
		for _, t := range l.Sheet.Transmittance.Terms {
			ks = append(ks, knob{t.Source, func(m *lamp.Lamp, by float64) {
				s := m.Sheet
				d := math.Max(-s.Transmittance.X+0.01, math.Min(by*t.U, s.Reflectance.X))
				s.Transmittance.X += d
				s.Reflectance.X -= d
			}})
		}
		ks = append(ks, knob{"sheet " + l.Sheet.ID + " absorptance (assumed)", func(m *lamp.Lamp, by float64) {
			s := m.Sheet
			d := math.Max(-s.Absorptance(), math.Min(by*absorbU, s.Reflectance.X))
			s.Reflectance.X -= d
		}})
		value(func(m *lamp.Lamp) *quantity.Value { return &m.Sheet.LobeWidth }, 5*math.Pi/180, 119*math.Pi/180)
		value(func(m *lamp.Lamp) *quantity.Value { return &m.Sheet.Clear }, 0, 1)
	}
	value(func(m *lamp.Lamp) *quantity.Value { return &m.Supply.Voltage }, 1, 62)
	value(func(m *lamp.Lamp) *quantity.Value { return &m.Supply.Efficiency }, 0.3, 0.99)
	for i, r := range l.Readings {
		ks = append(ks, knob{"temperature read at the " + r.At + " ± 1.5 K", func(m *lamp.Lamp, by float64) { m.Readings[i].Temperature += by * readU }})
	}
	ks = append(ks,
		knob{"distance to the meter ± 3 mm", func(m *lamp.Lamp, by float64) { m.Spec.Place.MeterDistance += by * distanceU }},
		knob{"distance to the eye ± 3 mm", func(m *lamp.Lamp, by float64) { m.Spec.Place.EyeDistance += by * distanceU }},
		knob{"air at the lamp ± 2 K", func(m *lamp.Lamp, by float64) { m.Spec.Place.Air += by * airU }},
	)
	return ks
}

// modelTerms adds what the models themselves leave open, as each states it.
func (p *Prepared) modelTerms(l lamp.Lamp, r Result, terms map[string][]quantity.Term, add func(key, source string, d float64)) {
	n := r.Numbers
	light := []string{FluxOut, FaceExitance, FaceMean, FacePeak, FaceContrast, MeterLux, EyeLux, EyeLuxUncut, EyeMelanopic, BlueFace, BlueClose, MainsEfficacy, BoxShare, "edi_mel_lx"}
	for _, k := range light {
		add(k, modelOptics, n[k]*r.LuxBound/math.Sqrt(3))
	}
	for _, k := range []string{FacePeak, BlueFace, BlueClose} {
		add(k, "model: brightest spot of the face", n[k]*peakU)
	}
	add(Ripple, "model: ripple", 0.03*n[Ripple])
	// The face's shape follows the flux's errors as a whole and the lining's
	// and sheet's a little: 3 % for the darkest cell, 5 % for the corner.
	add(optics.KeyEvenness, "model: shape of the face", 0.03*n[optics.KeyEvenness])
	for key, u := range map[string]float64{optics.KeyCentre: 0.01, optics.KeyCorner: 0.05} {
		if n[key] > 0 {
			rel := quantity.Value{X: n[FaceMean], Terms: terms[FaceMean]}.U() / n[FaceMean]
			add(key, "as the mean luminance of the face", rel*n[key])
			add(key, "model: shape of the face", u*n[key])
		}
	}
	defer distances(l, n, terms, add)
	defer glare(r, terms, add)
	for _, k := range []string{StripTemp, JunctionTemp, BackTemp, FloorTemp, SheetTemp} {
		// Convection coefficients hold to about a tenth (Incropera et al.,
		// Fundamentals of Heat and Mass Transfer, 9.6: up to 25 % for single
		// correlations): a tenth of the rise, and the plate solution's bound.
		rise := n[k] - celsius(l.Spec.Place.Air)
		share := 0.10
		if len(l.Readings) > 0 {
			share = 0.03
		}
		add(k, "model: convection and radiation", share*rise)
		add(k, "model: plate solution", r.Heat.MaxError/2)
	}
	for c, s := range p.sources {
		if !s.Synthesised {
			continue
		}
		sp, err := phosphor.Spread(recipe(l.Strip.Channels[c], 0))
		if err != nil {
			continue // White has said what is wrong with the recipe
		}
		w := r.Channels[c].Flux / n[FluxLED]
		source := fmt.Sprintf("strip %s %s spectrum (synthesised)", l.Strip.ID, s.Name)
		for _, k := range []string{DER, EyeMelanopic, "edi_mel_lx"} {
			add(k, source, w*sp.DER*n[k])
		}
		for _, k := range []string{BlueEfficacy, BlueFace, BlueClose} {
			add(k, source, w*sp.KBv*n[k])
		}
		add("ler_lm_w", source, w*sp.LER*n["ler_lm_w"])
		for _, k := range []string{Ra, "rf"} {
			add(k, source, w*2)
		}
		add("r9", source, w*10)
		add("rg", source, w*1.5)
		// Bins of white LEDs reach some ±0.006 off the line (ANSI C78.377, from
		// memory); the label says nothing of where in it the strip lies.
		add(Duv, source, w*0.006/math.Sqrt(3))
	}
}

// distances gives the distances for a target the doubt of the light that makes
// them: δd/d = (δL/L + δDER/DER) / −(d ln E/d ln d), the fall being that of an
// even face.
func distances(l lamp.Lamp, n map[string]float64, terms map[string][]quantity.Term, add func(key, source string, d float64)) {
	for key, by := range map[string][]string{optics.KeySessionLight: {FaceMean}, optics.KeyDayLight: {FaceMean, DER}} {
		d := n[key]
		if d == 0 {
			continue
		}
		const h = 0.01
		on := func(d float64) float64 { return math.Log(optics.OnAxis(1, l.RunLength(), l.Across(), d)) }
		fall := (on(d*math.Exp(-h)) - on(d*math.Exp(h))) / (2 * h)
		rel := map[string]float64{}
		for _, k := range by {
			for _, t := range terms[k] {
				rel[t.Source] += t.U / n[k]
			}
		}
		for source, u := range rel {
			add(key, source, u*d/fall)
		}
	}
}

// glare gives UGR and DGP the doubt of the light, and that of the position
// index: up to 12 % off Guth's plot, which is 0.8 of UGR and under 0.0096 of DGP.
func glare(r Result, terms map[string][]quantity.Term, add func(key, source string, d float64)) {
	const h = 0.01
	up, down := r.glare.Scaled(1+h), r.glare.Scaled(1-h)
	for key, c := range map[string]struct{ slope, index float64 }{
		optics.KeyUGR: {(up.UGR - down.UGR) / (2 * h), 0.8}, optics.KeyDGP: {(up.DGP - down.DGP) / (2 * h), 0.0096},
	} {
		if _, ok := r.Numbers[key]; !ok {
			continue
		}
		for _, t := range terms[FaceMean] {
			add(key, t.Source, c.slope*t.U/r.Numbers[FaceMean])
		}
		add(key, "model: position index", c.index/math.Sqrt(3))
	}
}

const (
	modelOptics = "model: light in the box"
	// peakU is the relative standard uncertainty of the brightest spot over the
	// mean.
	peakU = 0.02
)
