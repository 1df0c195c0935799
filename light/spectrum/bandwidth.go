package spectrum

import (
	"fmt"
	"math"
)

// Narrow corrects a spectrum for the width of the instrument that read it.
// bandwidth is the full width at half maximum in nm, 1 to 20, of a triangular
// band; the correction is optional and off unless asked for, as it makes noise
// larger (by up to 1.5 times where the steps of the readings equal the
// bandwidth).
//
// Formula: with a triangular band of width Δ the reading is M = S + Δ²/12·S” +
// Δ⁴/360·S””, whose inverse to the same order is S = M − Δ²/12·M” +
// Δ⁴/240·M””; the derivatives are central differences over Δ. What comes out
// below 0 is cut. Source: derived here; the same differential method is
// Woolliams, Baribeau, Bialek, Cox 2011, Metrologia 48:164, and CIE 214:2014.
// Validity: bands wider than about twice Δ; a laser line stays as wide as the
// instrument. Not modelled: other band shapes.
func (s *Spectrum) Narrow(bandwidth float64) (Spectrum, error) {
	if !(bandwidth >= 1 && bandwidth <= 20) {
		return Spectrum{}, fmt.Errorf("bandwidth is %g nm: 1 to 20 nm is allowed; leave it out if unknown", bandwidth)
	}
	at := func(nm float64) float64 { // level beyond the ends: no derivative there
		return s.At(min(max(nm, First), Last))
	}
	return Func(func(nm float64) float64 {
		m := at(nm)
		a, b := at(nm-bandwidth)+at(nm+bandwidth), at(nm-2*bandwidth)+at(nm+2*bandwidth)
		second := a - 2*m       // Δ²·M'' + Δ⁴/12·M''''
		fourth := b - 4*a + 6*m // Δ⁴·M''''
		second -= fourth / 12   // Δ²·M''
		return max(m-second/12+fourth/240, 0)
	}), nil
}

// Shift moves a spectrum along the wavelengths by delta nm, towards the red
// for a positive delta: what an instrument with that error of its scale reads.
// What comes in over the end is 0.
func (s *Spectrum) Shift(delta float64) Spectrum {
	return Func(func(nm float64) float64 { return s.At(nm - delta) })
}

// Stray adds light that is spread evenly over all wavelengths to each sample,
// as a share of the greatest value: what an instrument with that stray light
// reads.
func (s *Spectrum) Stray(share float64) Spectrum {
	_, top := s.Peak()
	return Func(func(nm float64) float64 { return math.Max(s[int(nm)-First]+share*top, 0) })
}
