package eye

import (
	"fmt"
	"math"
	"sync"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// Constants of the 2021 model. RodSaturation is the value printed in the
// article; a widely used implementation carries 6.5215, which changes CLA by
// up to 0.2 % (see the package's tests).
const (
	opponentK      = 0.2616
	RodSaturation  = 6.50 // W/m²
	rodShunt1      = 2.30 // a_rod1
	rodShunt2      = 1.60 // a_rod2
	coneGain1      = 1.00 // g1
	coneGain2      = 0.16 // g2
	opponentGain   = 0.21 // a_(b−y)
	circadianScale = 1548.0
	circadianKm    = 683.0 // lm/W, as the model's authors count lux
	stimulusMax    = 0.7
	stimulusHalf   = 355.7 // CLA at half of the largest CS
	stimulusPower  = 1.1026
)

// View says how long the eye has the light and where it comes from.
type View struct {
	// Hours of exposure, t: 0.5 to 3 h.
	Hours float64
	// Field is the distribution factor f: 2 for light from all around
	// (Ganzfeld), 1 for a lamp in the centre of the field of view, 0.5 for
	// light from above (a ceiling).
	Field float64
}

// DeskLamp is one hour of a lamp in the centre of the field of view.
var DeskLamp = View{Hours: 1, Field: 1}

func (v View) check() error {
	if !(v.Hours >= 0.5 && v.Hours <= 3) {
		return fmt.Errorf("exposure is %g h: the model holds from 0.5 to 3 h", v.Hours)
	}
	if !(v.Field >= 0.5 && v.Field <= 2) {
		return fmt.Errorf("field factor is %g: 0.5 (from above), 1 (centre) or 2 (all around) is allowed", v.Field)
	}
	return nil
}

// Stimulus is the result of the circadian light model at one level.
type Stimulus struct {
	// CLA is circadian light, 0 or more, without unit. It is not proportional
	// to the light level: compute it at the real one.
	CLA float64
	// CS is the circadian stimulus, 0 to 0.7: the modelled share of melatonin
	// suppressed after the exposure.
	CS float64
	// BlueYellow is the opponent signal by in W/m²: at 0 or above the light
	// counts as blue and the model subtracts a rod term and adds this one.
	BlueYellow float64
	// Blue says which branch held.
	Blue bool
	// Margin is by as a share of the two signals it is the difference of, −1
	// to 1: how far the light is from the border between the branches.
	Margin float64
	// Other is the CLA the other branch would give. Where by is near 0 the
	// model jumps from one to the other.
	Other float64
}

// Jump is the step in CLA at the branch relative to the larger of the two
// values, 0 to 1.
func (s *Stimulus) Jump() float64 {
	hi := max(s.CLA, s.Other)
	if hi == 0 {
		return 0
	}
	return math.Abs(s.CLA-s.Other) / hi
}

// closeMargin is the Margin within which a meter or an LED's spread can tip a
// light over to the other branch: a few per cent of blue, as datasheets leave
// open.
const closeMargin = 0.05

// Findings warns where the light sits so near the border between the branches
// of the model that CLA could be the other one as well.
func (s *Stimulus) Findings() []finding.Finding {
	if s.CLA == 0 || math.Abs(s.Margin) > closeMargin {
		return nil
	}
	return []finding.Finding{{
		Severity: finding.Warn,
		Key:      "eye.cla_branch",
		What:     fmt.Sprintf("circadian light is %.0f, but a light %.1f %% bluer or yellower would get %.0f", s.CLA, 100*math.Abs(s.Margin), s.Other),
		Cause:    "the model switches an opponent term on where blue outweighs yellow, and drops by about a fifth there; no eye does that",
		Mend:     "compare lights by melanopic EDI, and read CS here as a range",
		Source:   sourceCircadian,
	}}
}

// circadianWeights are the four functions of the model and the y it counts
// lux with, on the grid, 0 beyond 730 nm.
type circadianWeights struct{ mc, rod, s, v, y spectrum.Spectrum }

var circadian = sync.OnceValue(func() *circadianWeights {
	t := spectrum.CircadianLight()
	return &circadianWeights{mc: t["Mc"], rod: t["V'"], s: t["S/mp"], v: t["V/mp"], y: t["y"]}
})

// signals are the four weighted irradiances per lux, W/m² at 1 lx.
type signals struct{ mc, rod, s, v float64 }

func sense(sp *spectrum.Spectrum) (k signals, ok bool) {
	w := circadian()
	luminous := circadianKm * sp.Dot(&w.y)
	if luminous <= 0 {
		return signals{}, false
	}
	return signals{sp.Dot(&w.mc) / luminous, sp.Dot(&w.rod) / luminous, sp.Dot(&w.s) / luminous, sp.Dot(&w.v) / luminous}, true
}

// Circadian gives circadian light CLA 2.0 and circadian stimulus CS of a
// light (any scale) at lux, the illuminance at the eye in lx.
//
// Formula, with E the spectral irradiance at the eye in W/(m²·nm) of which
// 683·Σ E y is lux, all sums over 380–730 nm:
//
//	M = Σ Mc E, R = Σ V' E, S = Σ (S/mp) E, V = Σ (V/mp) E
//	by = S − 0.2616 V,  q = 1 − exp(−R/6.50)
//	r1 = 2.30 q R/(V + 1.00 S),  r2 = 1.60 q R/(V + 0.16 S)
//	CLA = 1548 (M − r1)                    if by < 0
//	CLA = 1548 (M − r1 + 0.21 by − r2)     if by ≥ 0
//	CS  = 0.7 (1 − 1/(1 + (t f CLA/355.7)^1.1026))
//
// Validity: t 0.5 to 3 h, f 0.5 to 2; made for white light at the eye in the
// evening. CLA below 0 counts as 0. On the black-body line by changes sign at
// 3443 K, and CLA drops by a fifth there; see Stimulus.Other.
//
// Source: Rea, Nagare, Figueiro 2021, Front. Neurosci. 15:615322, with the
// corrigendum 2022, DOI 10.3389/fnins.2022.849800 (denominators with V/mp and
// S/mp). Not modelled: pupil, age, history of light.
func Circadian(s *spectrum.Spectrum, lux float64, view View) (Stimulus, error) {
	if err := s.Check(); err != nil {
		return Stimulus{}, err
	}
	if err := checkLux(lux); err != nil {
		return Stimulus{}, err
	}
	if err := view.check(); err != nil {
		return Stimulus{}, err
	}
	k, ok := sense(s)
	if !ok {
		return Stimulus{}, errInvisible
	}
	r := k.at(lux, RodSaturation)
	r.CS = stimulus(r.CLA, view)
	return r, nil
}

// at evaluates the model at a level in lx.
func (k signals) at(lux, rodSaturation float64) Stimulus {
	m, rod, s, v := k.mc*lux, k.rod*lux, k.s*lux, k.v*lux
	var r Stimulus
	r.BlueYellow = s - opponentK*v
	r.Blue = r.BlueYellow >= 0
	if lux == 0 || v+s <= 0 {
		return r
	}
	r.Margin = r.BlueYellow / (s + opponentK*v)
	q := -math.Expm1(-rod / rodSaturation)
	warm := m - rodShunt1*q*rod/(v+coneGain1*s)
	blue := warm + opponentGain*r.BlueYellow - rodShunt2*q*rod/(v+coneGain2*s)
	r.CLA, r.Other = max(circadianScale*warm, 0), max(circadianScale*blue, 0)
	if r.Blue {
		r.CLA, r.Other = r.Other, r.CLA
	}
	return r
}

// CS gives the circadian stimulus for a CLA (0 or more) and a view. CS 0.3
// with one hour of a lamp in the centre needs CLA 274.
func CS(cla float64, view View) (float64, error) {
	if !(cla >= 0) || math.IsInf(cla, 0) {
		return 0, fmt.Errorf("circadian light is %g: a finite number from 0 up is needed", cla)
	}
	if err := view.check(); err != nil {
		return 0, err
	}
	return stimulus(cla, view), nil
}

func stimulus(cla float64, view View) float64 {
	return stimulusMax * (1 - 1/(1+math.Pow(view.Hours*view.Field*cla/stimulusHalf, stimulusPower)))
}
