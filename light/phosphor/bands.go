// Package phosphor makes plausible spectra of white LEDs from what a
// datasheet says: colour temperature, rendition and the colour of the pump.
// The model is a pump LED and phosphor bands whose amounts are solved so that
// the chromaticity is met exactly. How far such a spectrum is from a real
// LED's is stated with it.
package phosphor

import (
	"math"

	"dawnsmith/light/spectrum"
)

// Pump is the LED die under the phosphor.
type Pump int

const (
	// Blue pumps emit near 450 nm: nearly all white LEDs.
	Blue Pump = iota
	// Violet pumps emit near 413 nm under blue, green and red phosphors.
	Violet
)

// String gives blue or violet.
func (p Pump) String() string { return [...]string{"blue", "violet"}[p] }

// band is an emission with a normal shape on either side of its middle, the
// two widths differing; phosphors trail towards the red.
type band struct {
	middle      float64 // nm
	short, long float64 // full width at half maximum the side alone would have, nm
}

func (b band) spectrum() spectrum.Spectrum {
	return spectrum.Func(func(nm float64) float64 {
		w := b.short
		if nm > b.middle {
			w = b.long
		}
		d := (nm - b.middle) / w
		return math.Exp(-4 * math.Ln2 * d * d)
	})
}

// between mixes two bands, a at x = 0 and b at x = 1.
func between(a, b band, x float64) band {
	return band{a.middle + x*(b.middle-a.middle), a.short + x*(b.short-a.short), a.long + x*(b.long-a.long)}
}

// mixture is one choice of phosphors under a pump.
type mixture struct {
	blue, green, red band
	// fill is the peak of the blue band over that of the unconverted pump,
	// with a blue pump: a cyan phosphor that fills the gap near 480 nm.
	fill float64
}

// chemistry is what one pump offers: mixtures from the poorest to the richest
// rendition, passed through in straight lines as x goes from 0 to 1.
type chemistry struct {
	pump     band
	mixtures [3]mixture
	leak     float64 // share of the power that is unconverted violet; 0 with a blue pump
}

// at gives the mixture at x.
func (c *chemistry) at(x float64) mixture {
	y := x * float64(len(c.mixtures)-1)
	i := min(int(y), len(c.mixtures)-2)
	y -= float64(i)
	a, b := &c.mixtures[i], &c.mixtures[i+1]
	return mixture{between(a.blue, b.blue, y), between(a.green, b.green, y), between(a.red, b.red, y), a.fill + y*(b.fill-a.fill)}
}

// The numbers were fitted by us, by least squares on the spectra and their
// measures, to LED-B1 to LED-B5 and to LED-V1 and LED-V2 of CIE 015:2018; the
// richest mixtures were chosen for the highest rendition.
var chemistries = [...]chemistry{
	Blue: {
		pump: band{450, 23.5, 27},
		mixtures: [3]mixture{
			{blue: band{493, 28, 46}, green: band{556, 105, 118}, red: band{594, 85, 133}},
			{blue: band{493, 28, 46}, green: band{532, 96, 109}, red: band{620, 82, 130}},
			{blue: band{493, 28, 46}, green: band{553, 94, 107}, red: band{641, 81, 129}, fill: 0.42},
		},
	},
	Violet: {
		pump: band{413, 16.5, 18},
		mixtures: [3]mixture{
			{blue: band{472, 70, 66}, green: band{532, 90, 110}, red: band{600, 85, 159}},
			{blue: band{472, 70, 66}, green: band{532, 90, 110}, red: band{622, 85, 159}},
			{blue: band{463, 64, 49}, green: band{535, 90, 110}, red: band{630, 85, 159}},
		},
		leak: 0.083,
	},
}
