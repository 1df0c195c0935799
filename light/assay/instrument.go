package assay

import (
	"fmt"
	"math"

	"dawnsmith/light/eye"
	"dawnsmith/light/spectrum"
)

// Change is what a flaw of an instrument does to each measure: measure key to
// the measure with the flaw less the one without. A measure that only one of
// the two lights has is left out.
type Change map[string]float64

// WavelengthError tells how the measures of a light change when the scale of
// the instrument is off by delta nm (−10 to 10). lux is the level for the
// measures that need one, lx at the eye; the level is kept.
func WavelengthError(s *spectrum.Spectrum, lux, delta float64) (Change, error) {
	if !(math.Abs(delta) <= 10) {
		return nil, fmt.Errorf("wavelength error is %g nm: -10 to 10 nm is allowed", delta)
	}
	read := s.Shift(delta)
	return difference(s, &read, lux)
}

// StrayLight tells how the measures change when the instrument adds light
// evenly to all wavelengths, as a share of the greatest reading (0 to 0.1).
func StrayLight(s *spectrum.Spectrum, lux, share float64) (Change, error) {
	if !(share >= 0 && share <= 0.1) {
		return nil, fmt.Errorf("stray light is %g of the peak: 0 to 0.1 is allowed", share)
	}
	read := s.Stray(share)
	return difference(s, &read, lux)
}

func difference(s, read *spectrum.Spectrum, lux float64) (Change, error) {
	var a, b Assay
	if err := Into(&a, s, lux, eye.DeskLamp); err != nil {
		return nil, err
	}
	if err := Into(&b, read, lux, eye.DeskLamp); err != nil {
		return nil, err
	}
	with, without := b.Values(), a.Values()
	c := Change{}
	for key, v := range with {
		if w, ok := without[key]; ok {
			c[key] = v - w
		}
	}
	return c, nil
}

// Uncertainty is the standard uncertainty of each measure from what is known
// of the instrument: by measure key, in the measure's unit.
type Uncertainty map[string]float64

// Instrument is how well a spectrometer is known.
type Instrument struct {
	Wavelength float64 // standard uncertainty of the scale, nm
	Stray      float64 // stray light as a share of the greatest reading, taken as between 0 and this
}

// Contributions gives the standard uncertainty of each measure of a light from
// the instrument's scale and, apart, from its stray light.
//
// Scale: half the difference of the measures read Wavelength nm too far on
// either side. Stray light between 0 and Stray with equal chance: the change
// by Stray over √12 (GUM, JCGM 100:2008, 4.3.7). The mean shift by stray light
// is not taken off.
func (in Instrument) Contributions(s *spectrum.Spectrum, lux float64) (scale, stray Uncertainty, err error) {
	if !(in.Wavelength >= 0) || !(in.Stray >= 0) {
		return nil, nil, fmt.Errorf("instrument has %g nm and stray light of %g: both must be 0 or more", in.Wavelength, in.Stray)
	}
	up, err := WavelengthError(s, lux, in.Wavelength)
	if err != nil {
		return nil, nil, err
	}
	down, err := WavelengthError(s, lux, -in.Wavelength)
	if err != nil {
		return nil, nil, err
	}
	scale = Uncertainty{}
	for key, v := range up {
		if w, ok := down[key]; ok {
			scale[key] = math.Abs(v-w) / 2
		}
	}
	more, err := StrayLight(s, lux, in.Stray)
	if err != nil {
		return nil, nil, err
	}
	stray = Uncertainty{}
	for key, v := range more {
		stray[key] = math.Abs(v) / math.Sqrt(12)
	}
	return scale, stray, nil
}
