// Package lobe tells the width of a scattering lobe both ways: as its full width
// at half the intensity, as datasheets and a spot on a wall give it, and as the
// σ of the Gaussian in direction cosines that a sheet's model works with.
//
// The lobe is shift-invariant in direction cosines (Harvey–Shack form), so that
// two lobes one behind the other are Gaussians folded into each other: their σ²
// add up. Behind a narrow beam that hits squarely the intensity at the angle θ
// goes as cos θ·exp(−sin²θ/2σ²); at half of the full width a it is a half:
//
//	σ = sin(a/2)/√(2·(ln 2 + ln cos(a/2)))
//
// Validity: up to 120°, where σ grows without end and the lobe becomes
// Lambertian. Source: J. E. Harvey, Light-Scattering Characteristics of Optical
// Surfaces, 1976, for the form; the width follows by arithmetic.
package lobe

import "math"

// MaxSigma stands for an endless σ; the lobe is Lambertian to 1e-5.
const MaxSigma = 150

// Sigma is σ for a full width fwhm, rad, up to 120°.
func Sigma(fwhm float64) float64 {
	a := fwhm / 2
	d := 2 * (math.Ln2 + math.Log(math.Cos(a)))
	if d <= 1.0/(MaxSigma*MaxSigma) {
		return MaxSigma
	}
	return min(MaxSigma, math.Sin(a)/math.Sqrt(d))
}

// FWHM is the full width, rad, of a σ; it undoes Sigma.
func FWHM(sigma float64) float64 {
	lo, hi := 0.0, 2*math.Pi/3
	for range 60 {
		if m := (lo + hi) / 2; Sigma(m) < sigma {
			lo = m
		} else {
			hi = m
		}
	}
	return (lo + hi) / 2
}
