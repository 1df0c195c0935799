package measure

import (
	"fmt"
	"math"

	"dawnsmith/light/spectrum"
)

// F1Prime is f1′, the general V(λ) mismatch index of a responsivity of any
// scale:
//
//	f1′ = Σ |s*(λ) − V(λ)| / Σ V(λ),  s* = s · (Σ S_A V)/(Σ S_A s)
//
// with S_A CIE illuminant A. Sums over 380–780 nm at 1 nm.
//
// Source: ISO/CIE 19476:2014 clause 4.2.2 (numbering from memory). Not
// modelled: responsivity outside 380–780 nm, which f1′ does not see either.
func F1Prime(responsivity *spectrum.Spectrum) (float64, error) {
	a, err := spectrum.Illuminant("A")
	if err != nil {
		return 0, err
	}
	v := spectrum.Photopic()
	as := a.Dot(responsivity)
	if err := responsivity.Check(); err != nil || !(as > 0) {
		return 0, bad("responsivity", "dark or not a curve", "values not below 0, some above", "")
	}
	k := a.Dot(&v) / as
	sum, total := 0.0, 0.0
	for i := range v {
		sum += math.Abs(k*responsivity[i] - v[i])
		total += v[i]
	}
	return sum / total, nil
}

// MismatchFactor is the spectral mismatch correction factor F by which a
// meter's reading of a lamp is multiplied:
//
//	F = (Σ S V / Σ S s) · (Σ S_C s / Σ S_C V)
//
// S the lamp's spectrum, s the meter's responsivity, S_C the spectrum of the
// light it was calibrated with; all of any scale. F is 1 for the calibration
// light itself and for a meter whose responsivity is V(λ).
//
// Source: ISO/CIE 19476:2014 clause 4.2.1 (its F is the reciprocal's
// correction; numbering from memory).
func MismatchFactor(lamp, responsivity, calibration *spectrum.Spectrum) (float64, error) {
	v := spectrum.Photopic()
	for _, s := range []struct {
		name string
		s    *spectrum.Spectrum
	}{{"lamp spectrum", lamp}, {"responsivity", responsivity}, {"calibration light", calibration}} {
		if s.s == nil {
			return 0, bad(s.name, "not given", "a spectrum", "")
		}
		if err := s.s.Check(); err != nil {
			return 0, fmt.Errorf("%s: %w", s.name, err)
		}
	}
	lv, ls := lamp.Dot(&v), lamp.Dot(responsivity)
	cs, cv := calibration.Dot(responsivity), calibration.Dot(&v)
	if !(lv > 0 && ls > 0 && cs > 0 && cv > 0) {
		return 0, bad("responsivity", "blind to one of the lights", "a responsivity that sees lamp and calibration light", "")
	}
	return lv / ls * (cs / cv), nil
}

// residualMismatch is what stays of the mismatch after correction: a third of
// the correction, and at least 0.5 %, as half width (engineering estimate:
// responsivity and spectrum are known that well).
func residualMismatch(f float64) float64 { return math.Max(0.005, math.Abs(f-1)/3) }

// correction gives the factor for a lamp's reading and the half width of what
// stays uncertain, relative; corrected says whether F was applied. Where the
// responsivity or the lamp's spectrum is missing the factor is 1 and half the
// f1′ stands for the half width: for white LEDs of any kind the error of a
// meter calibrated with illuminant A seldom exceeds half its f1′ (experience
// with published responsivities, no source).
func (i Instrument) correction(lamp *spectrum.Spectrum) (f, half float64, corrected bool, err error) {
	if i.Responsivity == nil || lamp == nil {
		return 1, i.Mismatch / 2, false, nil
	}
	cal, err := spectrum.Illuminant(i.CalibratedWith)
	if err != nil {
		return 0, 0, false, bad("instrument.calibrated_with", fmt.Sprintf("%q", i.CalibratedWith), "the name of a standard illuminant", "A is usual")
	}
	f, err = MismatchFactor(lamp, i.Responsivity, &cal)
	return f, residualMismatch(f), true, err
}
