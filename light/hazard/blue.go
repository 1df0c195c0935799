package hazard

import (
	"errors"
	"fmt"
	"math"

	"dawnsmith/light/spectrum"
)

// Limits and angles of IEC 62471:2006 clauses 4.3 and 6.1 for blue light.
const (
	// RadianceDose is the allowed blue-light radiance dose up to 10 000 s,
	// J/(m²·sr).
	RadianceDose = 1e6
	// RadianceLimit is the allowed blue-light radiance beyond, W/(m²·sr).
	RadianceLimit = 100.0
	// SmallDose is the allowed blue-light dose of a small source up to 100 s,
	// J/m².
	SmallDose = 100.0
	// SmallLimit is the allowed blue-light irradiance of a small source
	// beyond, W/m².
	SmallLimit = 1.0
	// SmallAngle is the angle under which a source counts as small, rad.
	SmallAngle = 0.011
	// LongestTime is the time beyond which exposure counts as unlimited, s.
	LongestTime = 10_000.0
)

var errInvisible = errors.New("spectrum has no visible light: blue light per lumen is undefined")

// BlueEfficacy is K_B,v, the blue-light hazard efficacy of luminous radiation
// in W/lm: L_B = K_B,v·L in W/(m²·sr) for a luminance in cd/m², E_B = K_B,v·E
// in W/m² for an illuminance in lx.
//
// Formula: K_B,v = Σ S·B(λ) / (683.002·Σ S·V(λ)) over 380–780 nm. Source:
// IEC 62471:2006 clause 4.3.3 with IEC TR 62778:2014. Not in it: light under
// 380 nm, where B is 0.01.
func BlueEfficacy(s *spectrum.Spectrum) (float64, error) {
	if err := s.Check(); err != nil {
		return 0, err
	}
	v := s.Luminous()
	if v <= 0 {
		return 0, errInvisible
	}
	return s.Dot(&grid().blue) / v, nil
}

// BlueShare is the share of the power in 380–780 nm that counts as blue-light
// hazard: Σ S·B / Σ S, 0 to 1.
func BlueShare(s *spectrum.Spectrum) (float64, error) {
	if err := s.Check(); err != nil {
		return 0, err
	}
	return s.Dot(&grid().blue) / s.Power(), nil
}

// BlueRadiance is L_B in W/(m²·sr) of a spectral radiance in W/(m²·sr·nm), or
// E_B in W/m² of a spectral irradiance in W/(m²·nm).
func BlueRadiance(s *spectrum.Spectrum) float64 { return s.Dot(&grid().blue) }

// ThermalRadiance is L_R in W/(m²·sr) of a spectral radiance in
// W/(m²·sr·nm), without the infrared beyond 780 nm, which white LEDs lack.
func ThermalRadiance(s *spectrum.Spectrum) float64 { return s.Dot(&grid().thermal) }

// Time is how long something may be looked at.
type Time struct {
	Seconds float64 // at most LongestTime
	Limited bool    // false: 10 000 s (2.8 h) and more, which counts as all day
}

// RadianceTime is the allowed time of looking at a blue-light radiance in
// W/(m²·sr): 10⁶/L_B s above 100 W/(m²·sr), unlimited below
// (IEC 62471:2006 clause 4.3.3).
func RadianceTime(lb float64) (Time, error) { return limit(lb, RadianceLimit, RadianceDose) }

// SmallTime is the allowed time at a blue-light irradiance in W/m² from a
// source under 0.011 rad: 100/E_B s above 1 W/m², unlimited below
// (IEC 62471:2006 clause 4.3.4). The dose holds up to 100 s, so just above the
// limit the time is near 100 s, not 10 000.
func SmallTime(eb float64) (Time, error) { return limit(eb, SmallLimit, SmallDose) }

func limit(level, limit, dose float64) (Time, error) {
	if !(level >= 0) || math.IsInf(level, 0) {
		return Time{}, fmt.Errorf("blue-light level is %g: a finite number from 0 up is needed", level)
	}
	if level <= limit {
		return Time{Seconds: LongestTime}, nil
	}
	return Time{Seconds: dose / level, Limited: true}, nil
}

// Cone is the full angle in rad over which radiance is averaged for a time of
// looking in s: 0.0017 at 0.25 s and below, 0.011 up to 100 s, then growing
// with the square root of time to 0.1 at 10 000 s, as the eye wanders.
//
// Formula: 0.0011·√t between 100 and 10 000 s, limited to 0.1. Source:
// IEC 62471:2006 clause 4.2.2 for 1.7, 11 and 100 mrad (from memory); the
// square root as in ICNIRP 2013, Health Phys. 105:74, which ends at 0.11.
func Cone(seconds float64) (float64, error) {
	if !(seconds > 0) {
		return 0, fmt.Errorf("time of looking is %g s: more than 0 s is needed", seconds)
	}
	switch {
	case seconds <= 0.25:
		return 0.0017, nil
	case seconds <= 100:
		return SmallAngle, nil
	}
	return min(0.0011*math.Sqrt(seconds), 0.1), nil
}

// Average turns the luminance of a bright patch into what a cone averages:
// the share of the cone the patch fills, at most 1. Both are solid angles in
// sr or areas in m² at the same distance. It refuses sizes of 0 or below.
func Average(luminance, patch, cone float64) (float64, error) {
	if !(patch > 0 && cone > 0) {
		return 0, fmt.Errorf("patch is %g and cone %g: both must be above 0", patch, cone)
	}
	return luminance * min(patch/cone, 1), nil
}

// ConeArea is the area in m², seen square on, that a cone of a full angle in
// rad covers at a distance in m.
func ConeArea(angle, distance float64) float64 {
	d := angle * distance
	return math.Pi * d * d / 4
}
