package predict

import (
	"errors"
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/heat"
	"dawnsmith/lamp/optics"
)

// fittingKey is what tells the lamps of a family apart for light and current:
// the geometry of the rows.
type fittingKey struct {
	rows, units int
	pitch       float64
	lines       string // where rows are placed one by one
}

// fitting is what Screen works up once for a geometry of rows.
type fitting struct {
	box      *optics.Prepared
	contrast float64 // of the direct light under the middle of the face
	turns    float64 // of that of one strip's rows alone, where two take turns; else 0
	dots     float64 // luminance of a chip seen straight, cd/m² per lm of all LEDs
	inCone   float64 // share of that in the mean over an 11 mrad cone at 200 mm
	plate    heat.Input
	rows     [2]*circuit.RowTable // of each channel
	follow   [2]float64           // current of the other channel over this one's
	chain    *circuit.Chain
	lamp     circuit.ChainLamp
	power    [2]float64 // W, scratch
}

// tableCopper is the temperature, K, at which Screen takes the strips' rails.
// Rails lose a few per cent of the voltage, and 20 K is 8 % of that.
const tableCopper = 318.15

type tableKey struct {
	strip          string
	channel, units int
	follow, watts  float64
}

// fitting finds or works up the geometry of l.
func (p *Prepared) fitting(l *lamp.Lamp) (*fitting, error) {
	key := fittingKey{rows: l.Spec.Rows, units: l.Spec.Units, pitch: l.Spec.Pitch}
	if l.Lines != nil {
		key.lines = fmt.Sprint(l.Lines)
	}
	if f, ok := p.fittings[key]; ok {
		return f, nil
	}
	b := box(*l)
	o, err := p.optical(*l, b)
	if err != nil {
		return nil, err
	}
	f := &fitting{box: o, plate: plate(*l), chain: circuit.NewChain(l.Spec.Rows)}
	if f.contrast, err = lattice(*l).Contrast(b.Sheet, p.film); err != nil {
		return nil, fmt.Errorf("light: %w", err)
	}
	if l.Interleaved() {
		if f.turns, err = everySecond(*l).Contrast(b.Sheet, p.film); err != nil {
			return nil, fmt.Errorf("light: %w", err)
		}
	}
	// Per lumen of all LEDs and cd/m² of the face.
	ratio, inCone, err := dots(*l, b, 1, 1)
	if err != nil {
		return nil, err
	}
	if f.dots = ratio; ratio > 0 {
		f.inCone = inCone / ratio
	}
	for c, n := range p.nominal {
		inRow := 0.0 // of the other channel, in the rails of a row
		if other := 1 - c; len(p.nominal) == 2 {
			f.follow[c] = p.nominal[other].current / n.current
			if l.Interleaved() {
				f.follow[c] *= float64(l.RowsOf(other)) / float64(l.RowsOf(c))
			} else {
				inRow = f.follow[c]
			}
		}
		if f.rows[c], err = p.table(l, c, n, inRow); err != nil {
			return nil, fmt.Errorf("circuit: %w", err)
		}
	}
	p.fittings[key] = f
	return f, nil
}

// table gives the current of a whole row of one channel. The plus rail also
// carries the other channel, taken as following this one: follow times its
// current, so that both rails drop as 2 + follow instead of 2.
func (p *Prepared) table(l *lamp.Lamp, channel int, n nominal, follow float64) (*circuit.RowTable, error) {
	key := tableKey{l.Strip.ID, channel, l.Spec.Units, follow, n.current}
	if t, ok := p.cache.tables[key]; ok {
		return t, nil
	}
	v := l.Strip.Voltage
	t, err := circuit.NewRowTable(circuit.RowNeed{
		Unit: n.unit, Units: l.Spec.Units, Lo: 0.5 * v, Hi: math.Min(1.3*v, 59),
		RUnit: circuit.RailResistance(l.Strip.Copper, l.Strip.Rail, tableCopper) * l.Strip.Cut * (2 + follow) / 2,
	})
	if err != nil {
		return nil, err
	}
	p.cache.tables[key] = t
	return t, nil
}

var errDark = errors.New("the lamp gives no light: the supply's voltage is below what the strip's LEDs need")

// settle finds current, heat and light that agree, at the lamp's own drive.
//
// The watts hang on the strip's temperature but weakly (some 0.2 % a kelvin),
// so one balance of heat is enough: the rises of the second and last turn go
// as the power 0.85 of the heat, between convection (4/5) and radiation (1).
func (p *Prepared) settle(l *lamp.Lamp, f *fitting, bal *optics.Balance, s *Screen) error {
	air := l.Spec.Place.Air
	at := state{strip: air + 25, junction: air + 30}
	var first heat.Result
	heat0 := 0.0
	for turn := range 3 {
		if err := p.current(l, f, at, s); err != nil {
			return err
		}
		if turn == 2 {
			break
		}
		radiant := 0.0
		for c := range p.sources {
			radiant += s.flux[c] / p.sources[c].LER
		}
		in := &f.plate
		if turn == 0 {
			shares, err := heat.Split(heat.Light{Electrical: s.StripPower, RadiantShare: radiant / s.StripPower, Escaping: bal.Efficiency, InDiffuser: bal.AbsorbedSheet})
			if err != nil {
				return fmt.Errorf("heat: %w", err)
			}
			in.EmissivityBack = l.BackEmissivity()
			for i := range in.Rows {
				in.Rows[i].Heat = shares.Strip / float64(len(in.Rows))
			}
			in.TrayHeat, in.DiffuserHeat = shares.Tray, shares.Diffuser
			if first, err = heat.Node(in); err != nil {
				return fmt.Errorf("heat: %w", err)
			}
			heat0 = s.StripPower - radiant*bal.Efficiency
		}
		grown := math.Pow((s.StripPower-radiant*bal.Efficiency)/heat0, 0.85)
		rise := func(t float64) float64 { return air + (t-air)*grown }
		led := math.Max(0, p.ledHeat(*l, f.power[:len(p.nominal)], radiant)/float64(l.LEDsPerRow()*l.Spec.Rows))
		s.Strip, s.Back, s.Sheet, s.HeatDoubt = rise(first.StripMax), rise(first.BackTouch), rise(first.Diffuser), first.MaxError
		at = state{strip: rise(first.StripMean), junction: rise(first.StripMean) + led*in.LED.Resistance}
		s.Junction = s.Strip + at.junction - at.strip
	}
	return nil
}

// current solves the circuit at the temperatures at, every channel full on,
// and takes flux and watts at the drive.
//
// Warm LEDs shift a unit's voltage by the same amount at any current, so the
// table of cold rows serves with the supply raised by as much.
func (p *Prepared) current(l *lamp.Lamp, f *fitting, at state, s *Screen) error {
	lead := wire(l.Lead).OhmPerM(l.Spec.Place.Air)*l.LeadLength + l.Connector.Contact
	bus := wire(l.Bus).OhmPerM(at.strip) * l.RowPitch()
	if l.Interleaved() {
		bus *= 2 // from one row of a channel to the next
	}
	c := &f.lamp
	s.Current, s.Evenness, s.FluxLED, s.StripPower = 0, 1, 0, 0
	for ch := range p.nominal {
		s.flux[ch], f.power[ch] = 0, 0
		if f.rows[ch] == nil {
			continue
		}
		n := &p.nominal[ch]
		shift := n.unit.Shift(at.strip - reference)
		c.VOC = l.Supply.Voltage.X - shift
		c.RPlus, c.RMinus = (l.Supply.Resistance+lead)*(1+f.follow[ch]), lead
		if l.Dimmer != nil {
			c.RMinus += l.Dimmer.Resistance
		}
		c.Rows, c.BusPlus, c.BusMinus = c.Rows[:0], c.BusPlus[:0], c.BusMinus[:0]
		for i := range l.RowsOf(ch) {
			c.Rows = append(c.Rows, f.rows[ch])
			if i > 0 {
				c.BusPlus, c.BusMinus = append(c.BusPlus, bus*(1+f.follow[ch])), append(c.BusMinus, bus)
			}
		}
		r, err := f.chain.Solve(c)
		if err != nil {
			return fmt.Errorf("circuit: %w", err)
		}
		duty := l.Duty(ch)
		warm := heat.FluxFactor(at.junction, reference+n.rise, n.coef)
		s.Current += r.Current
		s.flux[ch] = n.flux * r.Flux * warm * duty
		f.power[ch] = (r.UnitPower + shift*r.Current) * duty
		s.FluxLED += s.flux[ch]
		s.StripPower += f.power[ch]
		if r.High > 0 {
			s.Evenness = math.Min(s.Evenness, r.Low/r.High)
		}
	}
	if !(s.FluxLED > 0 && s.StripPower > 0) {
		return errDark
	}
	return nil
}
