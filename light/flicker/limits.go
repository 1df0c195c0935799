package flicker

import "math"

// Levels are the limits of IEEE 1789-2015 at one frequency, in percent
// flicker, and whether a light keeps them.
type Levels struct {
	Frequency float64 // Hz
	// LowRisk and NoEffect are the largest modulation, %, of the low-risk and
	// of the no-observable-effect level; 100 where there is no limit.
	LowRisk, NoEffect             float64
	LimitedLowRisk, LimitedEffect bool // whether a limit applies at this frequency
	WithinLowRisk, WithinNoEffect bool
}

// IEEE1789 gives the levels for a light of percent flicker depth (0 to 100)
// at f Hz. Low risk: 0.025·f below 90 Hz, 0.08·f to 1250 Hz, none above. No
// observable effect: 0.01·f below 90 Hz, 0.0333·f to 3000 Hz, none above.
// Source: IEEE 1789-2015, recommended practices 1 and 2. With f of 0 or less
// the light is steady and keeps both.
func IEEE1789(depth, f float64) Levels {
	l := Levels{Frequency: f, LowRisk: 100, NoEffect: 100, WithinLowRisk: true, WithinNoEffect: true}
	if !(f > 0) {
		return l
	}
	if f <= 1250 {
		l.LimitedLowRisk = true
		l.LowRisk = 0.08 * f
		if f < 90 {
			l.LowRisk = 0.025 * f
		}
		l.WithinLowRisk = depth <= l.LowRisk
	}
	if f <= 3000 {
		l.LimitedEffect = true
		l.NoEffect = 0.0333 * f
		if f < 90 {
			l.NoEffect = 0.01 * f
		}
		l.WithinNoEffect = depth <= l.NoEffect
	}
	l.LowRisk, l.NoEffect = min(l.LowRisk, 100), min(l.NoEffect, 100)
	return l
}

// LimitCurve is the low-risk level of IEEE 1789-2015, or that of no observable
// effect, as corners of a curve for a picture: Hz and percent flicker, from f Hz
// up to where the limit ends. Straight on logarithmic scales between corners,
// with the step at 90 Hz.
func LimitCurve(noEffect bool, f float64) (hz, depth []float64) {
	slow, fast, end := 0.025, 0.08, 1250.0
	if noEffect {
		slow, fast, end = 0.01, 0.0333, 3000
	}
	if f < 90 {
		hz, depth = append(hz, f, 90), append(depth, slow*f, slow*90)
		f = 90
	}
	if f < end {
		hz, depth = append(hz, f, end), append(depth, fast*f, min(fast*end, 100))
	}
	return hz, depth
}

// Frequency is the lowest frequency, Hz, at which modulation of that depth (%)
// keeps the low-risk level, or that of no observable effect: which dimmer
// would do. Full depth: 1250 and 3000 Hz.
func Frequency(depth float64, noEffect bool) float64 {
	slow, fast, end := 0.025, 0.08, 1250.0
	if noEffect {
		slow, fast, end = 0.01, 0.0333, 3000
	}
	if depth <= slow*90 {
		return max(0, depth/slow)
	}
	return min(max(90, depth/fast), end)
}

// SVMTarget is the limit of the stroboscopic visibility measure for mains LED
// sources at full load (Regulation (EU) 2019/2020, annex II); a target for a
// lamp on its own supply.
const SVMTarget = 0.4

// Threshold is the modulation, over the mean, at which a sine of f Hz is just
// seen as a stroboscopic effect:
//
//	T(f) = 1/(1 + exp(-0.00518·(f - 306.6))) + 20·exp(-f/10)
//
// for 80 to 2000 Hz. IEC TR 63158:2018; after Perz et al., Lighting Res.
// Technol. 47 (2015) 281.
func Threshold(f float64) float64 {
	return 1/(1+math.Exp(-0.00518*(f-306.6))) + 20*math.Exp(-f/10)
}

// Limits of the sum in SVM and its exponent.
const (
	svmLow, svmHigh = 80.0, 2000.0
	svmExponent     = 3.7
)

// svm is the stroboscopic visibility measure: [Σ (C/T(f))^3.7]^(1/3.7) over the
// lines from 80 to 2000 Hz, C the amplitude of the line over the mean.
func (s *spectrum) svm() float64 {
	return SVM(s.lines(math.MaxInt, svmLow, svmHigh, 1e-5))
}

// SVM is the stroboscopic visibility measure of a list of lines; those outside
// 80 to 2000 Hz do not count.
func SVM(lines []Line) float64 {
	sum := 0.0
	for _, l := range lines {
		if l.Frequency >= svmLow-0.5 && l.Frequency <= svmHigh+0.5 {
			sum += math.Pow(l.Amplitude/Threshold(l.Frequency), svmExponent)
		}
	}
	return math.Pow(sum, 1/svmExponent)
}
