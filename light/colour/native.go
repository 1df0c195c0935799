package colour

import (
	"fmt"

	"dawnsmith/light/spectrum"
)

// Native holds chromaticity, colour temperature and rendering from sums over
// a 5 nm table as published, without interpolation.
type Native struct {
	XYZ2        XYZ // Y = 100
	Temperature Temperature
	Rendering   Rendering
}

// AtFive computes with sums at 5 nm, the way the CIE made its printed tables
// (CIE 015:2018 table T.7 and following): every fifth row of the weighting
// functions, the reference light likewise. values are those of 380, 385 …
// 780 nm. Differences from sums at 1 nm are small but can turn a rounding.
func AtFive(values []float64) (Native, error) {
	if len(values) != (spectrum.N+4)/5 {
		return Native{}, fmt.Errorf("5 nm table has %d values: 380 to 780 nm in steps of 5 nm are 81 values", len(values))
	}
	var s spectrum.Spectrum
	for i, v := range values {
		s[5*i] = v
	}
	white, t, err := whiteAndTemperature(&s)
	if err != nil {
		return Native{}, err
	}
	n := Native{XYZ2: white.scaled(100 / white.Y), Temperature: t}
	if !t.Valid {
		return n, nil
	}
	ref, kind, err := RenderingReference(t.Kelvin)
	if err != nil {
		return Native{}, err
	}
	for i := range ref {
		if i%5 != 0 {
			ref[i] = 0
		}
	}
	f := folded()
	refWhite, refSamples := f.renderReference(&ref)
	n.Rendering = f.render(&s, white, refWhite, &refSamples)
	n.Rendering.Reference = kind
	return n, nil
}
