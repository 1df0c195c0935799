package eye

import "dawnsmith/light/spectrum"

// Eye is every measure of this package for one light at one level.
type Eye struct {
	Alpha    AlphaOpic
	Lux      float64 // at the eye, lx; 0 when only ratios were asked for
	Stimulus Stimulus
}

// Of fills dst with every measure of a light (any scale) at lux, the
// illuminance at the eye in lx, allocating nothing. dst is untouched on error.
func Of(dst *Eye, s *spectrum.Spectrum, lux float64, view View) error {
	st, err := Circadian(s, lux, view)
	if err != nil {
		return err
	}
	*dst = Eye{Alpha: alpha(s, s.Luminous()), Lux: lux, Stimulus: st}
	return nil
}
