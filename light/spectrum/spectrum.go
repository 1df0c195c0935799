// Package spectrum holds light as samples over wavelength: one grid for the
// whole program, readings at any wavelengths brought onto it, the published
// tables that all measures of light are made from, and black-body and
// daylight spectra by formula.
package spectrum

import (
	"errors"
	"fmt"
	"math"
)

// The one internal grid: 380 nm to 780 nm in steps of 1 nm. Integrals are
// plain sums times 1 nm, as CIE 015:2018 clause 7.1 and CIE S 026/E:2018 ask
// for at this step; light outside the grid does not count.
const (
	First = 380              // nm
	Last  = 780              // nm
	N     = Last - First + 1 // samples
)

// Km is the maximum luminous efficacy of radiation for photopic vision in
// lm/W, at the wavelength where V(λ) peaks in standard air (ISO 23539:2023;
// CIE S 026/E:2018 uses the same figure).
const Km = 683.002

// Spectrum is a quantity per nanometre sampled at 380, 381 … 780 nm. What it
// is a quantity of is the holder's business: W/nm for flux, W/(m²·nm) for
// irradiance, W/(m²·sr·nm) for radiance, no unit for a relative spectrum, a
// reflectance or a transmittance. The zero value is darkness.
//
// It is a plain array: it copies by assignment, compares with == and needs no
// allocation; functions take *Spectrum and never change what it points to.
type Spectrum [N]float64

// Wavelength gives the wavelength of sample i in nm.
func Wavelength(i int) float64 { return float64(First + i) }

// Func samples f, a function of the wavelength in nm.
func Func(f func(nm float64) float64) Spectrum {
	var s Spectrum
	for i := range s {
		s[i] = f(Wavelength(i))
	}
	return s
}

// Check refuses what cannot be the spectrum of a light: a sample that is not
// finite or is below zero, or nothing but zeros.
func (s *Spectrum) Check() error {
	var sum float64
	for i, v := range s {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("spectrum at %d nm is %v: every sample must be a finite number; leave the reading out or mark it as a gap", First+i, v)
		}
		if v < 0 {
			return fmt.Errorf("spectrum at %d nm is %g: a light has no power below 0; subtract the dark reading, then set what is left below 0 to 0", First+i, v)
		}
		sum += v
	}
	if sum == 0 {
		return fmt.Errorf("spectrum is 0 everywhere from %d to %d nm: no light to measure", First, Last)
	}
	if math.IsInf(sum, 0) {
		return errors.New("spectrum is too large to sum: scale it to SI units first")
	}
	return nil
}

// At gives the value at any wavelength in nm, linear between samples and 0
// outside 380–780 nm.
func (s *Spectrum) At(nm float64) float64 {
	x := nm - First
	if !(x >= 0 && x <= N-1) {
		return 0
	}
	i := min(int(x), N-2)
	t := x - float64(i)
	return s[i]*(1-t) + s[i+1]*t
}

// Power is the sum over 380–780 nm times 1 nm: W, W/m² or W/(m²·sr), after
// what the spectrum is a quantity of.
func (s *Spectrum) Power() float64 {
	var sum float64
	for _, v := range s {
		sum += v
	}
	return sum
}

// Dot is the sum of s·w over the grid times 1 nm.
func (s *Spectrum) Dot(w *Spectrum) float64 {
	var a, b float64
	for i := 0; i < N-1; i += 2 {
		a += s[i] * w[i]
		b += s[i+1] * w[i+1]
	}
	return a + b + s[N-1]*w[N-1]
}

// Luminous is the photometric quantity that belongs to the spectrum,
// 683.002 lm/W · Σ s V(λ): lm for W/nm, lx for W/(m²·nm), cd/m² for
// W/(m²·sr·nm). Source: ISO 23539:2023 (CIE S 010).
func (s *Spectrum) Luminous() float64 { return Km * s.Dot(&grids().photopic) }

// LER is the luminous efficacy of radiation in lm/W, Luminous over Power, of
// what lies in 380–780 nm; infrared outside the grid is not in it, so a
// filament looks better here than it is. 0 for darkness.
func (s *Spectrum) LER() float64 {
	p := s.Power()
	if p <= 0 {
		return 0
	}
	return s.Luminous() / p
}

// Scale multiplies every sample by k.
func (s *Spectrum) Scale(k float64) Spectrum {
	var r Spectrum
	for i, v := range s {
		r[i] = v * k
	}
	return r
}

// ScaleTo scales the spectrum so that Luminous equals the given lm, lx or
// cd/m². It refuses a spectrum without visible light and a target that is
// negative or not finite.
func (s *Spectrum) ScaleTo(luminous float64) (Spectrum, error) {
	if !(luminous >= 0) || math.IsInf(luminous, 0) {
		return Spectrum{}, fmt.Errorf("luminous quantity is %g: a finite number of lm, lx or cd/m² from 0 up is needed", luminous)
	}
	if err := s.Check(); err != nil {
		return Spectrum{}, err
	}
	l := s.Luminous()
	if l <= 0 {
		return Spectrum{}, errors.New("spectrum has no visible light: it cannot be scaled to a luminous quantity")
	}
	return s.Scale(luminous / l), nil
}

// Weight multiplies by w sample by sample: a light through a sheet of
// transmittance w, or off a lining of reflectance w.
func (s *Spectrum) Weight(w *Spectrum) Spectrum {
	var r Spectrum
	for i, v := range s {
		r[i] = v * w[i]
	}
	return r
}

// Share is one light in a mixture and the factor it enters with.
type Share struct {
	Of     *Spectrum
	Weight float64 // dimensionless
}

// Mix adds lights, each times its weight.
func Mix(parts ...Share) Spectrum {
	var r Spectrum
	for _, p := range parts {
		for i, v := range p.Of {
			r[i] += p.Weight * v
		}
	}
	return r
}

// Blend goes from a (share 0) to b (share 1) in a straight line.
func Blend(a, b *Spectrum, share float64) Spectrum {
	return Mix(Share{a, 1 - share}, Share{b, share})
}

// Peak is the largest sample and its wavelength in nm, the shorter one where
// several are equal.
func (s *Spectrum) Peak() (nm, value float64) {
	best := 0
	for i, v := range s {
		if v > s[best] {
			best = i
		}
	}
	return Wavelength(best), s[best]
}
