// Package hazard computes the photobiological figures of a light after
// IEC 62471:2006 (CIE S 009): blue-light, retinal thermal and ultraviolet
// weighting, the time a level may be looked at, and risk groups. It is a
// calculation aid for a maker, not an assessment by a laboratory.
package hazard

import (
	"math"
	"sync"

	"dawnsmith/light/spectrum"
)

// blueTable is B(λ) every 5 nm from 380 nm to 500 nm, IEC 62471:2006 table
// 4.2 (ICNIRP 2013 prints 0.0125 at 385 nm).
var blueTable = [...]float64{
	0.01, 0.013, 0.025, 0.05, 0.1, 0.2, 0.4, 0.8, 0.9, 0.95, 0.98, 1, 1, 0.97, 0.94, 0.9,
	0.8, 0.7, 0.62, 0.55, 0.45, 0.4, 0.22, 0.16, 0.1,
}

// Blue is the blue-light hazard weighting B(λ) at a wavelength in nm.
//
// 300–380 nm: 0.01; 380–500 nm: table, linear between its points;
// 500–600 nm: 10^((450 − λ)/50); 600–700 nm: 0.001; else 0. Source:
// IEC 62471:2006 table 4.2. Interpolating the logarithm instead would change
// the weighted sum of a white LED by some 0.3 %.
func Blue(nm float64) float64 {
	switch {
	case !(nm >= 300 && nm <= 700):
		return 0
	case nm < 380:
		return 0.01
	case nm < 500:
		return between(blueTable[:], 380, 5, nm)
	case nm < 600:
		return math.Pow(10, (450-nm)/50)
	}
	return 0.001
}

// thermalTable is R(λ) every 5 nm from 380 nm to 500 nm, IEC 62471:2006
// table 4.2.
var thermalTable = [...]float64{
	0.1, 0.13, 0.25, 0.5, 1, 2, 4, 8, 9, 9.5, 9.8, 10, 10, 9.7, 9.4, 9,
	8, 7, 6.2, 5.5, 4.5, 4, 2.2, 1.6, 1,
}

// Thermal is the retinal thermal hazard weighting R(λ) of IEC 62471:2006 at a
// wavelength in nm: the table up to 500 nm, 1 to 700 nm, 10^((700 − λ)/500)
// to 1050 nm, 0.2 to 1150 nm, 0.2·10^(0.02(1150 − λ)) to 1200 nm, 0.02 to
// 1400 nm, else 0. ICNIRP 2013 has a tenth of this below 440 nm.
func Thermal(nm float64) float64 {
	switch {
	case !(nm >= 380 && nm <= 1400):
		return 0
	case nm < 500:
		return between(thermalTable[:], 380, 5, nm)
	case nm <= 700:
		return 1
	case nm < 1050:
		return math.Pow(10, (700-nm)/500)
	case nm < 1150:
		return 0.2
	case nm < 1200:
		return 0.2 * math.Pow(10, 0.02*(1150-nm))
	}
	return 0.02
}

// actinicTable holds S(λ) of IEC 62471:2006 table 4.1: nm, weight.
var actinicTable = [...][2]float64{
	{200, 0.03}, {210, 0.075}, {220, 0.12}, {230, 0.19}, {240, 0.3}, {250, 0.43}, {254, 0.5}, {260, 0.65},
	{270, 1}, {280, 0.88}, {290, 0.64}, {295, 0.54}, {297, 0.46}, {300, 0.3}, {303, 0.12}, {305, 0.06},
	{308, 0.026}, {310, 0.015}, {313, 0.006}, {315, 0.003}, {320, 0.001}, {325, 5e-4}, {330, 4.1e-4},
	{340, 2.8e-4}, {350, 2e-4}, {360, 1.3e-4}, {370, 9.3e-5}, {380, 6.4e-5}, {390, 4.4e-5}, {400, 3e-5},
}

// Actinic is the actinic ultraviolet weighting S(λ), 200–400 nm, at a
// wavelength in nm, its logarithm interpolated linearly between the points of
// IEC 62471:2006 table 4.1; else 0.
func Actinic(nm float64) float64 {
	if !(nm >= 200 && nm <= 400) {
		return 0
	}
	for i := 1; i < len(actinicTable); i++ {
		lo, hi := actinicTable[i-1], actinicTable[i]
		if nm <= hi[0] {
			f := (nm - lo[0]) / (hi[0] - lo[0])
			return math.Exp((1-f)*math.Log(lo[1]) + f*math.Log(hi[1]))
		}
	}
	return 0
}

func between(values []float64, start, step, nm float64) float64 {
	x := (nm - start) / step
	i := min(int(x), len(values)-2)
	f := x - float64(i)
	return values[i]*(1-f) + values[i+1]*f
}

type weights struct{ blue, thermal, actinic spectrum.Spectrum }

var grid = sync.OnceValue(func() *weights {
	return &weights{spectrum.Func(Blue), spectrum.Func(Thermal), spectrum.Func(Actinic)}
})
