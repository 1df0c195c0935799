package predict

import (
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/heat"
	"dawnsmith/lamp/optics"
	"dawnsmith/light/colour"
)

// ScreenBound is the greatest relative difference between Screen's and Lamp's
// illuminances, luminance, watts and current over the lamps that can be built
// from the starter catalogue (a test holds it). Screen takes the feed as "same
// end, first row" whatever the lamp says, leaves factory joints out, and takes
// the spectrum's shape at middling coverage.
const ScreenBound = 0.03

// Screen holds the main numbers of a lamp, found fast.
type Screen struct {
	MeterLux, EyeLux, EyeMelanopic float64 // lx
	FaceMean                       float64 // cd/m²
	FluxOut, FluxLED               float64 // lm
	Efficiency                     float64
	Ripple, DotRatio               float64
	CCT, Duv, Ra                   float64 // Ra by flux-weighted mean of the channels
	BlueFace, BlueClose            float64 // W/(m² sr)
	StripPower, Load, Mains        float64 // W
	Current, CurrentUpper          float64 // A, every channel full on; the upper bound
	SupplyNeeded                   float64 // W
	Evenness                       float64
	Strip, Junction, Back, Sheet   float64 // K
	HeatDoubt                      float64 // K, bound on Strip
	Mass                           float64 // kg
	tooHot                         bool
	flux                           [2]float64 // lm from the LEDs, by channel
	l                              *lamp.Lamp
}

// TooHot reports that a temperature passes a limit that no pack may pass.
func (s *Screen) TooHot() bool { return s.tooHot }

// Spotless reports that neither rows nor single chips show on the face: ripple
// under 3 % (above that, rows are visible) and chips under a fifth of the
// face's luminance.
func (s *Screen) Spotless() bool { return s.Ripple < 0.03 && s.DotRatio < 0.2 }

// Numbers gives the screened numbers under predict's metric keys.
func (s *Screen) Numbers() map[string]float64 {
	return map[string]float64{
		MeterLux: s.MeterLux, EyeLux: s.EyeLux, EyeMelanopic: s.EyeMelanopic, FaceMean: s.FaceMean,
		FluxOut: s.FluxOut, FluxLED: s.FluxLED, BoxShare: s.Efficiency, Ripple: s.Ripple, DotRatio: s.DotRatio,
		CCT: s.CCT, Duv: s.Duv, Ra: s.Ra, BlueFace: s.BlueFace, BlueClose: s.BlueClose, StripPower: s.StripPower, SupplyLoad: s.Load, MainsPower: s.Mains,
		SupplyCurrent: s.Current, SupplyNeeded: s.SupplyNeeded, Evenness: s.Evenness,
		StripTemp: celsius(s.Strip), JunctionTemp: celsius(s.Junction), BackTemp: celsius(s.Back), SheetTemp: celsius(s.Sheet),
		LampMass: s.Mass, FaceLength: s.l.Tray.Length * 1000, FaceWidth: s.l.Tray.Width * 1000, TrayDepth: s.l.Tray.Depth * 1000,
		StripMetres: s.l.StripLength(),
	}
}

// Screen gives the main numbers of one lamp of the family. Its errors against
// Lamp stay within ScreenBound for light and power and within HeatDoubt for
// the strip's temperature.
func (p *Prepared) Screen(l lamp.Lamp) (Screen, error) {
	if err := p.fits(l); err != nil {
		return Screen{}, err
	}
	noms, err := p.nominals(l)
	if err != nil {
		return Screen{}, err
	}
	b := box(l)
	s := Screen{l: &l, Mass: l.Mass()}
	o, err := p.optical(l, b)
	if err != nil {
		return Screen{}, err
	}
	unit, err := o.Screen(o.Finish(b))
	if err != nil {
		return Screen{}, fmt.Errorf("light: %w", err)
	}
	bal := unit.Balance
	at := state{strip: l.Spec.Place.Air + 25, junction: l.Spec.Place.Air + 30}
	solver := circuit.NewFolded(l.Spec.Rows, l.Spec.Units)
	for range 4 {
		next, err := p.quickRound(l, noms, at, bal, solver, &s)
		if err != nil {
			return Screen{}, err
		}
		moved := math.Abs(next.strip - at.strip)
		at = next
		if moved < 0.2 {
			break
		}
	}
	var xyz colour.XYZ
	var der, kbv, ra, flux float64
	for c, bh := range p.behind {
		f := s.flux[c] * bal.Efficiency * bh.share
		flux += f
		xyz.X += f * bh.colour.X
		xyz.Y += f * bh.colour.Y
		xyz.Z += f * bh.colour.Z
		der += f * bh.der
		kbv += f * bh.kbv
		ra += f * bh.ra
	}
	s.FluxOut, s.Efficiency = flux, flux/s.FluxLED
	u, v := xyz.UV()
	t := colour.CCTOfUV(u, v)
	s.CCT, s.Duv, s.Ra = t.Kelvin, t.Duv, ra/flux
	finish := o.Finish(b)
	finish.LEDFlux = s.FluxLED
	q, err := o.Screen(finish)
	if err != nil {
		return Screen{}, fmt.Errorf("light: %w", err)
	}
	k := flux / q.Out
	contrast, err := lattice(l).Contrast(b.Sheet, p.film)
	if err != nil {
		return Screen{}, fmt.Errorf("light: %w", err)
	}
	s.FaceMean, s.Ripple = q.Mean*k, contrast*q.Direct
	s.MeterLux, s.EyeLux = q.Lux[atMeter]*k, q.Lux[atEye]*k
	s.EyeMelanopic = s.EyeLux * der / flux
	slow := math.Max(q.Centre, q.Mean) * k
	s.BlueFace = kbv / flux * slow
	var inCone float64
	if s.DotRatio, inCone, err = dots(l, b, s.FluxLED, s.FaceMean); err != nil {
		return Screen{}, err
	}
	s.BlueClose = kbv / flux * (slow*(1+s.Ripple) + inCone)
	eff := l.Supply.Efficiency.X
	if eff == 0 {
		eff = 0.88
	}
	s.Load = s.Current * l.Supply.Voltage.X
	s.Mains = s.Load / eff
	if on := p.onShare(l); on < 1 {
		s.Mains *= on
	}
	s.CurrentUpper = s.Current * (1 + 2*powerDoubt(l))
	s.SupplyNeeded = 1.2 * math.Max(l.Strip.LabelPower()*l.StripLength(), s.Load*(1+2*powerDoubt(l)))
	s.tooHot = p.tooHot(l, &s)
	return s, nil
}

// onShare is the mean duty, weighted by the channels' label power.
func (p *Prepared) onShare(l lamp.Lamp) float64 {
	on, all := 0.0, 0.0
	for i, c := range l.Strip.Channels {
		on += c.Power.X * l.Duty(i)
		all += c.Power.X
	}
	return on / all
}

func (p *Prepared) tooHot(l lamp.Lamp, s *Screen) bool {
	lim := limits(l)
	hot := s.Strip > lim.Strip.Hard || s.Strip > lim.Tape.Hard || s.Junction > lim.Junction.Hard || s.Back > lim.Touch.Hard
	return hot || l.Sheet != nil && l.Sheet.Limit > 0 && s.Sheet > l.Sheet.Limit
}

// quickRound is round with the folded circuit and the node model of heat.
func (p *Prepared) quickRound(l lamp.Lamp, noms []nominal, at state, bal optics.Balance, solver *circuit.Folded, s *Screen) (state, error) {
	var units [2]circuit.Unit
	fl := circuit.FoldedLamp{VOC: l.Supply.Voltage.X, RMinus: [2]float64{math.Inf(1), math.Inf(1)}}
	wire := func(area float64, stranded bool, k float64) float64 {
		w := circuit.Wire{Area: area, Excess: 1}
		if stranded {
			w.Excess = 1.03
		}
		return w.OhmPerM(k)
	}
	lead := wire(l.Lead.Area, l.Lead.Stranded, l.Spec.Place.Air)*l.LeadLength + l.Connector.Contact
	fl.RPlus = l.Supply.Resistance + lead
	for i, n := range noms {
		if l.Duty(i) == 0 {
			continue
		}
		units[i] = n.unit.Warmed(at.strip - reference)
		fl.Channels[i] = &units[i]
		fl.RMinus[i] = lead
		if l.Dimmer != nil {
			fl.RMinus[i] += l.Dimmer.Resistance
		}
	}
	fl.RUnit = circuit.RailResistance(l.Strip.Copper, l.Strip.Rail, at.strip) * l.Strip.Cut
	bus := wire(l.Bus.Area, l.Bus.Stranded, at.strip) * l.RowPitch()
	for i := range l.Spec.Rows {
		fl.Units = append(fl.Units, l.Spec.Units)
		if i > 0 {
			fl.Bus = append(fl.Bus, bus)
		}
	}
	r, err := solver.Solve(&fl)
	if err != nil {
		return state{}, fmt.Errorf("circuit: %w", err)
	}
	s.Current, s.Evenness = r.Current, r.MinOverMax()
	s.flux, s.FluxLED, s.StripPower = [2]float64{}, 0, 0
	count := float64(l.Spec.Rows * l.Spec.Units)
	radiant := 0.0
	powers := make([]float64, len(noms))
	for c, n := range noms {
		if l.Duty(c) == 0 {
			continue
		}
		warm := heat.FluxFactor(at.junction, reference+n.rise, n.coef)
		s.flux[c] = n.flux * count * circuit.RelativeFlux(r.Mean[c]/n.current) * warm * l.Duty(c)
		s.FluxLED += s.flux[c]
		radiant += s.flux[c] / p.sources[c].LER
		// The channels' shares of the unit power go as their currents.
		powers[c] = r.UnitPower * r.ChannelCurrent[c] / r.Current * l.Duty(c)
		s.StripPower += powers[c]
	}
	if !(s.FluxLED > 0) {
		return state{}, fmt.Errorf("the lamp gives no light: the supply's voltage is below what the strip's LEDs need")
	}
	shares, err := heat.Split(heat.Light{Electrical: s.StripPower, RadiantShare: radiant / s.StripPower, Escaping: bal.Efficiency, InDiffuser: bal.AbsorbedSheet})
	if err != nil {
		return state{}, fmt.Errorf("heat: %w", err)
	}
	in := plate(l)
	for i := range in.Rows {
		in.Rows[i].Heat = shares.Strip / float64(len(in.Rows))
	}
	in.TrayHeat, in.DiffuserHeat = shares.Tray, shares.Diffuser
	in.LED.Heat = math.Max(0, p.ledHeat(l, powers, radiant)/float64(l.LEDsPerRow()*l.Spec.Rows))
	h, err := heat.Node(&in)
	if err != nil {
		return state{}, fmt.Errorf("heat: %w", err)
	}
	s.Strip, s.Back, s.Sheet, s.HeatDoubt = h.StripMax, h.BackTouch, h.Diffuser, h.MaxError
	junction := h.StripMean + in.LED.Heat*in.LED.Resistance
	s.Junction = junction + h.StripMax - h.StripMean
	return state{strip: h.StripMean, junction: junction}, nil
}
