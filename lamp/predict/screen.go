package predict

import (
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/light/colour"
)

// ScreenBound is the greatest relative difference between Screen's and Lamp's
// illuminances, luminance, watts and current over the lamps that can be built
// from the starter catalogue (a test holds it). Screen takes the feed as "same
// end, first row" whatever the lamp says, leaves factory joints out, takes the
// rails of the strips at 45 °C, and the spectrum's shape at middling coverage.
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
// the strip's temperature. With a Cache (see Cache.Prepare) the box, the strip's
// current and the ripple of each number of rows are worked up once.
func (p *Prepared) Screen(l lamp.Lamp) (Screen, error) {
	if err := p.fits(l); err != nil {
		return Screen{}, err
	}
	if p.cache == nil {
		own := *p
		own.cache, own.fittings = NewCache(), map[fittingKey]*fitting{}
		p = &own
	}
	f, err := p.fitting(&l)
	if err != nil {
		return Screen{}, err
	}
	finish := p.finishes
	finish.LEDFlux = 1
	q, err := f.box.Screen(finish)
	if err != nil {
		return Screen{}, fmt.Errorf("light: %w", err)
	}
	s := Screen{l: &l, Mass: l.Mass()}
	if err := p.settle(&l, f, &q.Balance, &s); err != nil {
		return Screen{}, err
	}
	p.lit(&l, f, &q, &s)
	eff := l.Supply.Efficiency.X
	if eff == 0 {
		eff = 0.88
	}
	s.Load = s.Current * l.Supply.Voltage.X
	s.Mains = s.Load / eff * p.onShare(&l)
	doubt := powerDoubt(l)
	s.CurrentUpper = s.Current * (1 + 2*doubt)
	s.SupplyNeeded = 1.2 * math.Max(l.LabelPower(), s.Load*(1+2*doubt))
	s.tooHot = tooHot(l, &s)
	return s, nil
}

// lit takes the numbers of the light; q is the box at 1 lm.
func (p *Prepared) lit(l *lamp.Lamp, f *fitting, q *optics.Quick, s *Screen) {
	var xyz colour.XYZ
	var der, kbv, ra, flux float64
	for c := range p.behind {
		bh := &p.behind[c]
		out := s.flux[c] * q.Efficiency * bh.share
		flux += out
		xyz.X += out * bh.colour.X
		xyz.Y += out * bh.colour.Y
		xyz.Z += out * bh.colour.Z
		der += out * bh.der
		kbv += out * bh.kbv
		ra += out * bh.ra
	}
	s.FluxOut, s.Efficiency = flux, flux/s.FluxLED
	t := p.behind[0].kelvin
	if len(p.behind) > 1 {
		t = colour.CCTOfUV(xyz.UV())
	}
	s.CCT, s.Duv, s.Ra = t.Kelvin, t.Duv, ra/flux
	// The box lets the colours out unequally; what is read per lumen out stays.
	k := flux / q.Out
	s.FaceMean, s.Ripple = q.Mean*k, f.contrast*q.Direct
	if f.turns > 0 { // two strips of unlike light: every second row is brighter
		s.Ripple = math.Min(1, s.Ripple+f.turns*q.Direct*math.Abs(s.flux[0]-s.flux[1])/s.FluxLED)
	}
	s.MeterLux, s.EyeLux = q.Lux[atMeter]*k, q.Lux[atEye]*k
	s.EyeMelanopic = s.EyeLux * der / flux
	slow := math.Max(q.Centre, q.Mean) * k
	s.BlueFace = kbv / flux * slow
	s.DotRatio = f.dots * s.FluxLED / s.FaceMean
	s.BlueClose = kbv / flux * (slow*(1+s.Ripple) + s.DotRatio*s.FaceMean*f.inCone)
}

// onShare is the mean duty, weighted by the channels' label power.
func (p *Prepared) onShare(l *lamp.Lamp) float64 {
	on, all := 0.0, 0.0
	for i := range l.Strip.Channels {
		w := l.Strip.Channels[i].Power.X * float64(l.RowsOf(i))
		on += w * l.Duty(i)
		all += w
	}
	return math.Min(1, on/all)
}

func tooHot(l lamp.Lamp, s *Screen) bool {
	lim := limits(l)
	hot := s.Strip > lim.Strip.Hard || s.Strip > lim.Tape.Hard || s.Junction > lim.Junction.Hard || s.Back > lim.Touch.Hard
	return hot || l.Sheet != nil && l.Sheet.Limit > 0 && s.Sheet > l.Sheet.Limit
}
