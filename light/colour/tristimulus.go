// Package colour computes what a light looks like and how it shows colours:
// tristimulus values and chromaticity, correlated colour temperature and its
// distance from the black-body line, the colour rendering indices of
// CIE 13.3-1995, and fidelity, gamut and hue-bin shifts after ANSI/IES
// TM-30-20 (CIE 224:2017). All of it is made from one spectrum of 380–780 nm.
package colour

import "dawnsmith/light/spectrum"

// XYZ are tristimulus values of a light, scaled to Y = 100.
type XYZ struct{ X, Y, Z float64 }

// XY gives the CIE chromaticity x, y; 0, 0 for darkness.
func (c XYZ) XY() (x, y float64) {
	sum := c.X + c.Y + c.Z
	if sum <= 0 {
		return 0, 0
	}
	return c.X / sum, c.Y / sum
}

// UV gives the CIE 1960 coordinates u = 4X/(X+15Y+3Z), v = 6Y/(X+15Y+3Z), in
// which colour temperature and CIE 13.3 are defined.
func (c XYZ) UV() (u, v float64) {
	d := c.X + 15*c.Y + 3*c.Z
	if d <= 0 {
		return 0, 0
	}
	return 4 * c.X / d, 6 * c.Y / d
}

// UVPrime gives the CIE 1976 coordinates u' = u and v' = 1.5·v
// (ISO/CIE 11664-5:2016).
func (c XYZ) UVPrime() (u, v float64) {
	u, v = c.UV()
	return u, 1.5 * v
}

// Tristimulus2 gives X, Y, Z of a light for the CIE 1931 2° observer with
// Y = 100: k = 100/Σ S·y, X = k·Σ S·x and so on (CIE 015:2018 clause 7.1).
func Tristimulus2(s *spectrum.Spectrum) (XYZ, error) {
	return tristimulus(s, &folded().cmf2)
}

// Tristimulus10 gives X, Y, Z of a light for the CIE 1964 10° observer with
// Y = 100.
func Tristimulus10(s *spectrum.Spectrum) (XYZ, error) {
	return tristimulus(s, &folded().cmf10)
}

func tristimulus(s *spectrum.Spectrum, cmf *[3]spectrum.Spectrum) (XYZ, error) {
	if err := s.Check(); err != nil {
		return XYZ{}, err
	}
	c := weigh(s, cmf)
	if c.Y <= 0 {
		return XYZ{}, errInvisible
	}
	return c.scaled(100 / c.Y), nil
}

// weigh gives the plain sums of a spectrum with three functions.
func weigh(s *spectrum.Spectrum, cmf *[3]spectrum.Spectrum) XYZ {
	return XYZ{s.Dot(&cmf[0]), s.Dot(&cmf[1]), s.Dot(&cmf[2])}
}

func (c XYZ) scaled(k float64) XYZ { return XYZ{c.X * k, c.Y * k, c.Z * k} }

// add adds k times b.
func (c *XYZ) add(b XYZ, k float64) {
	c.X += k * b.X
	c.Y += k * b.Y
	c.Z += k * b.Z
}
