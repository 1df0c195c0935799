package heat

import (
	"fmt"
	"math"
)

// Light is what decides how the electrical watts of a lamp part.
type Light struct {
	Electrical   float64 // W at the strips; losses in the lead and the supply are not the tray's
	Efficacy     float64 // lm/W of the strip, used when RadiantShare is 0
	LER          float64 // lm/W, luminous efficacy of the radiation, used when RadiantShare is 0; white 270 to 340
	RadiantShare float64 // radiant watts over electrical watts, 0 to 0.85; 0 takes Efficacy/LER
	Escaping     float64 // share of the radiant watts that leaves the lamp, 0 to 1
	InDiffuser   float64 // share of the radiant watts swallowed by the sheet, 0 to 1
}

// Shares is where the watts go, W. Radiant = Out + Diffuser + Tray and
// Strip + Diffuser + Tray + Out = Electrical.
type Shares struct {
	Radiant  float64 // leaves the LEDs as light
	Strip    float64 // heat in the strips
	Diffuser float64 // light swallowed by the sheet
	Tray     float64 // light swallowed by floor, walls and strips
	Out      float64 // leaves the lamp as light
	Total    float64 // heat in the lamp, Electrical - Out
}

// Split divides the electrical watts,
//
//	η = (lm/W)/LER,  Q_strip = P(1-η),  Q = P(1-η T)
//
// with η the radiant share and T the share of light that leaves the lamp.
//
// Source: energy balance; η after the definition of LER, CIE S 017.
func Split(l Light) (Shares, error) {
	if err := span("Electrical", l.Electrical, 0, 5000, "W"); err != nil {
		return Shares{}, err
	}
	eta := l.RadiantShare
	if eta == 0 && !(l.Efficacy == 0) {
		if err := span("Efficacy", l.Efficacy, 0, 300, "lm/W"); err != nil {
			return Shares{}, err
		}
		if err := span("LER", l.LER, 100, 683, "lm/W"); err != nil {
			return Shares{}, err
		}
		eta = l.Efficacy / l.LER
	}
	if !(eta >= 0 && eta <= 0.85) {
		return Shares{}, &FieldError{Field: "RadiantShare", Found: fmt.Sprintf("%.3g", eta), Allowed: "0 to 0.85: check the strip's lm/W against its LER"}
	}
	if err := span("Escaping", l.Escaping, 0, 1, ""); err != nil {
		return Shares{}, err
	}
	if err := span("InDiffuser", l.InDiffuser, 0, 1, ""); err != nil {
		return Shares{}, err
	}
	if l.Escaping+l.InDiffuser > 1+1e-9 {
		return Shares{}, &FieldError{Field: "InDiffuser", Found: fmt.Sprintf("%g on top of %g escaping", l.InDiffuser, l.Escaping), Allowed: "together at most 1"}
	}
	s := Shares{Radiant: eta * l.Electrical}
	s.Strip = l.Electrical - s.Radiant
	s.Out, s.Diffuser = s.Radiant*l.Escaping, s.Radiant*l.InDiffuser
	s.Tray = max(0, s.Radiant-s.Out-s.Diffuser)
	s.Total = l.Electrical - s.Out
	return s, nil
}

// LEDCell is the piece of strip that belongs to one LED.
type LEDCell struct {
	Heat                float64 // W
	Pitch               float64 // m, LED to LED along the strip
	StripWidth          float64 // m
	CopperSheet         float64 // W/K, k·t of the strip's copper, averaged over its gaps; 1 oz about 0.011, 2 oz about 0.022
	Resistance          float64 // m²·K/W, board and adhesive to the floor
	PadLength, PadWidth float64 // m, soldered area along and across the strip; 0 takes 2.0 and 2.5 mm
}

// PadRise is how much hotter than the mean of its strip the soldered pad of
// an LED runs, K: heat spreads in the strip's copper and sinks through board
// and adhesive into a floor of even temperature,
//
//	T_mn = q_mn/(1/R + k t (α_m² + β_n²)),  α_m = 2πm/p,  β_n = 2πn/w
//
// on a cell with insulated edges, averaged over the pad, less its mean term.
//
// Validity: copper without breaks near the LED; heat crossing the package's
// own pads is in the LED's resistance.
//
// Source: double cosine series, Carslaw & Jaeger; typical sizes from memory.
func PadRise(c LEDCell) (float64, error) {
	if c.PadLength == 0 {
		c.PadLength = 0.0020
	}
	if c.PadWidth == 0 {
		c.PadWidth = 0.0025
	}
	for _, f := range []struct {
		name   string
		v      float64
		lo, hi float64
		unit   string
	}{
		{"Heat", c.Heat, 0, 20, "W"}, {"Pitch", c.Pitch, 0.001, 0.2, "m"}, {"StripWidth", c.StripWidth, 0.001, 0.05, "m"},
		{"CopperSheet", c.CopperSheet, 0.001, 0.5, "W/K"}, {"Resistance", c.Resistance, 1e-5, 0.05, "m²·K/W"},
		{"PadLength", c.PadLength, 1e-4, c.Pitch, "m"}, {"PadWidth", c.PadWidth, 1e-4, c.StripWidth, "m"},
	} {
		if err := span(f.name, f.v, f.lo, f.hi, f.unit); err != nil {
			return 0, err
		}
	}
	sink := 1 / c.Resistance
	flux := c.Heat / (c.Pitch * c.StripWidth)
	sinc := func(n int, part float64) float64 {
		if n == 0 {
			return 1
		}
		x := math.Pi * float64(n) * part
		return math.Sin(x) / x
	}
	const terms = 60
	sum := 0.0
	for m := range terms {
		a := 2 * math.Pi * float64(m) / c.Pitch
		sx := sinc(m, c.PadLength/c.Pitch)
		for n := range terms {
			if m == 0 && n == 0 {
				continue
			}
			b := 2 * math.Pi * float64(n) / c.StripWidth
			s := sx * sinc(n, c.PadWidth/c.StripWidth)
			w := 1.0
			if m > 0 {
				w *= 2
			}
			if n > 0 {
				w *= 2
			}
			sum += w * s * s * flux / (sink + c.CopperSheet*(a*a+b*b))
		}
	}
	return sum, nil
}
