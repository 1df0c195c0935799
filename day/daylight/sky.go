package daylight

import (
	"fmt"
	"math"

	"dawnsmith/light/colour"
	"dawnsmith/light/spectrum"
)

// Sky is a kind of sky.
type Sky uint8

const (
	// ClearSun: sun and clear sky together.
	ClearSun Sky = iota
	// ClearSky: the clear sky alone, the sun shaded.
	ClearSky
	// PartlyCloudy: thin or broken cloud.
	PartlyCloudy
	// Overcast: closed cloud.
	Overcast
)

// String names the sky.
func (s Sky) String() string {
	return [...]string{"sun and clear sky", "clear sky", "partly cloudy", "overcast"}[min(s, Overcast)]
}

// twilight is the clear-sky illuminance on the ground, lx, at twilight
// elevations, °: about 500 lx at rise, 2.7 lx at -6°, 0.008 at -12°, 6e-4 at
// -18°. Source: twilight tables of the American Meteorological Society's
// glossary (middles of its ranges).
var twilight = [...][2]float64{{-18, 6e-4}, {-12, 0.008}, {-6, 2.7}, {Sunrise, 500}}

// HorizontalLux is the mean illuminance (lx) on open level ground at an
// elevation of the sun (°, geometric),
//
//	sun on a plane facing it  127 500 exp(-0.21/sin h)
//	clear sky                     800 + 15 500 √(sin h)
//	partly cloudy                 300 + 45 000 sin h
//	overcast                      300 + 21 000 sin h
//
// and under -0.833° straight lines in the logarithm through published
// twilight figures; overcast twilight a third of clear. Real skies are often
// half or double. Validity: -90° to 90°; 0 below -18°.
//
// Source: IES Calculation Procedures Committee 1984, J. IES 13:381 (RP-21),
// constants from memory; twilight see above. The join at the horizon is ours.
func HorizontalLux(elevation float64, sky Sky) (float64, error) {
	if !(elevation >= -90 && elevation <= 90) {
		return 0, fmt.Errorf("daylight: elevation is %g°, allowed is -90° to 90°", elevation)
	}
	if sky > Overcast {
		return 0, fmt.Errorf("daylight: sky %d is not known, allowed is 0 to %d", sky, Overcast)
	}
	sin := math.Sin(elevation * deg)
	day := func(s float64) float64 {
		s = max(s, 0)
		switch sky {
		case ClearSun:
			direct := 0.0
			if s > 0 {
				direct = 127500 * math.Exp(-0.21/s) * s
			}
			return direct + 800 + 15500*math.Sqrt(s)
		case ClearSky:
			return 800 + 15500*math.Sqrt(s)
		case PartlyCloudy:
			return 300 + 45000*s
		}
		return 300 + 21000*s
	}
	if elevation >= 0 {
		return day(sin), nil
	}
	if elevation < -18 {
		return 0, nil
	}
	part := 1.0
	if sky >= PartlyCloudy {
		part = 1.0 / 3
	}
	// Points of the twilight, closed by the day's law at the horizon.
	points := append(twilight[:len(twilight):len(twilight)], [2]float64{0, day(0) / part})
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		if elevation <= b[0] {
			u := (elevation - a[0]) / (b[0] - a[0])
			return part * math.Exp(math.Log(a[1])*(1-u)+math.Log(b[1])*u), nil
		}
	}
	return day(0), nil
}

// Locus is the chromaticity of natural light of a correlated colour
// temperature (K, 1 000 to 25 000): the CIE daylight locus from 5 000 K up,
// the black body up to 4 000 K, and between them a blend linear in mired, so
// that there is no step where the daylight formula ends.
//
// Source: CIE 015:2018 clause 4.2.2; the blend is ours (between the two loci
// Duv differs by about 0.003).
func Locus(kelvin float64) (x, y float64, err error) {
	if !(kelvin >= 1000 && kelvin <= 25000) {
		return 0, 0, fmt.Errorf("daylight: colour temperature is %g K, allowed is 1000 to 25000 K", kelvin)
	}
	if kelvin >= 5000 {
		return spectrum.DaylightChromaticity(kelvin)
	}
	u, v := colour.PlanckianUV(kelvin)
	px, py := 3*u/(2*u-8*v+4), 2*v/(2*u-8*v+4)
	if kelvin <= 4000 {
		return px, py, nil
	}
	dx, dy, err := spectrum.DaylightChromaticity(kelvin)
	if err != nil {
		return 0, 0, err
	}
	w := (1e6/4000 - 1e6/kelvin) / (1e6/4000 - 1e6/5000)
	return px + w*(dx-px), py + w*(dy-py), nil
}
