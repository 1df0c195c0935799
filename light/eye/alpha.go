// Package eye computes what light does at the eye beyond vision: the five
// α-opic quantities of CIE S 026/E:2018, and circadian light and circadian
// stimulus after Rea, Nagare and Figueiro 2021. All illuminances are those at
// the cornea, in the plane of the eye, not on the desk. The numbers describe
// light; they are no statement about anyone's health.
package eye

import (
	"errors"
	"fmt"
	"math"
	"sync"

	"dawnsmith/light/spectrum"
)

// Channel is one of the five receptors of CIE S 026.
type Channel int

// The receptors in the order of the standard.
const (
	SCone Channel = iota
	MCone
	LCone
	Rod
	Melanopic
	Channels = 5 // number of channels
)

// String gives the name of the quantity: "S-cone-opic" … "melanopic".
func (c Channel) String() string {
	if c < 0 || c >= Channels {
		return fmt.Sprintf("channel(%d)", int(c))
	}
	return [...]string{"S-cone-opic", "M-cone-opic", "L-cone-opic", "rhodopic", "melanopic"}[c]
}

// daylightEfficacy are the α-opic efficacies of luminous radiation of D65 in
// W/lm. CIE S 026/E:2018 table 3 prints 0.8173, 1.4558, 1.6289, 1.4497 and
// 1.3262 mW/lm; here they come from the tabulated D65 itself so that the
// ratios of D65 are exactly 1.
var daylightEfficacy = sync.OnceValue(func() *[Channels]float64 {
	s, err := spectrum.Illuminant("D65")
	if err != nil {
		panic(err)
	}
	v := s.Luminous()
	var k [Channels]float64
	for c := range k {
		k[c] = s.Dot(&actions()[c]) / v
	}
	return &k
})

var actions = sync.OnceValue(func() *[Channels]spectrum.Spectrum {
	a := spectrum.AlphaOpic()
	return &a
})

// AlphaOpic is what one lumen, or one lux, of a light gives each receptor.
type AlphaOpic struct {
	// Efficacy is the α-opic efficacy of luminous radiation in W/lm.
	Efficacy [Channels]float64
	// DER is the α-opic daylight (D65) efficacy ratio, without unit: the
	// equivalent daylight illuminance in lx that 1 lx of this light gives.
	DER [Channels]float64
}

// Alpha gives the five α-opic figures of a light.
//
// Formula: E_α = Σ E(λ)·s_α(λ) over 380–780 nm at 1 nm; K_α,v = E_α/E_v with
// E_v = 683.002·Σ E V; DER_α = K_α,v / K_α,v(D65); EDI_α = E_α / K_α,v(D65).
// Source: CIE S 026/E:2018 clauses 3 and 4. The standard's observer is 32
// years old; no age correction is made.
func Alpha(s *spectrum.Spectrum) (AlphaOpic, error) {
	if err := s.Check(); err != nil {
		return AlphaOpic{}, err
	}
	v := s.Luminous()
	if v <= 0 {
		return AlphaOpic{}, errInvisible
	}
	return alpha(s, v), nil
}

func alpha(s *spectrum.Spectrum, luminous float64) AlphaOpic {
	var r AlphaOpic
	k := daylightEfficacy()
	for c := range r.DER {
		r.Efficacy[c] = s.Dot(&actions()[c]) / luminous
		r.DER[c] = r.Efficacy[c] / k[c]
	}
	return r
}

// EDI is the α-opic equivalent daylight (D65) illuminance in lx at an
// illuminance in lx at the eye.
func (a *AlphaOpic) EDI(c Channel, lux float64) float64 { return a.DER[c] * lux }

// MelanopicDER is the melanopic daylight efficacy ratio of a light.
func MelanopicDER(s *spectrum.Spectrum) (float64, error) {
	a, err := Alpha(s)
	return a.DER[Melanopic], err
}

// EquivalentMelanopicLux is the older unit of Lucas et al. 2014 for a
// melanopic EDI in lx: the equal-energy spectrum is its reference, not D65, so
// EML = EDI / DER(E) = 1.104·EDI.
func EquivalentMelanopicLux(edi float64) float64 { return edi / equalEnergyDER() }

var equalEnergyDER = sync.OnceValue(func() float64 {
	s := spectrum.Func(func(float64) float64 { return 1 })
	a := alpha(&s, s.Luminous())
	return a.DER[Melanopic]
})

var errInvisible = errors.New("spectrum has no visible light: it gives no lux to relate to")

func checkLux(lux float64) error {
	if !(lux >= 0) || math.IsInf(lux, 0) {
		return fmt.Errorf("illuminance at the eye is %g lx: a finite number from 0 up is needed", lux)
	}
	return nil
}
