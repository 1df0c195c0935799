package flicker

import (
	"fmt"
	"math"
)

// Form is the shape of one period of light.
type Form uint8

const (
	// Sine: 1 + Depth·sin.
	Sine Form = iota
	// Square: 1 for the share Duty of the period, Low for the rest (PWM).
	Square
	// Triangle: 1 ± Depth in straight lines.
	Triangle
	// Rectified: full-wave rectified mains of Frequency Hz, so that the light
	// repeats at twice that: 1 - Depth + Depth·|sin|.
	Rectified
)

// Shape is a periodic light of known form.
type Shape struct {
	Form      Form
	Frequency float64 // Hz; of the mains for Rectified
	Depth     float64 // 0 to 1, for Sine, Triangle and Rectified
	Duty      float64 // 0 to 1, for Square
	Low       float64 // light while off over light while on, for Square
	Edge      float64 // s, straight rise and fall of a Square, 1 to 50 µs in practice
	Shift     float64 // share of a period by which it comes later
}

// Period of the light, s.
func (s Shape) Period() float64 {
	if s.Form == Rectified {
		return 0.5 / s.Frequency
	}
	return 1 / s.Frequency
}

// Validate refuses shapes that are no light.
func (s Shape) Validate() error {
	in := func(x, lo, hi float64) bool { return x >= lo && x <= hi }
	switch {
	case !in(s.Frequency, 0.1, 1e6):
		return fmt.Errorf("shape: frequency is %g Hz; allowed: 0.1 to 1e6 Hz", s.Frequency)
	case s.Form > Rectified:
		return fmt.Errorf("shape: form %d is not known; allowed: sine, square, triangle, rectified", s.Form)
	case s.Form != Square && !in(s.Depth, 0, 1):
		return fmt.Errorf("shape: depth is %g; allowed: 0 to 1", s.Depth)
	case s.Form == Square && !(s.Duty > 0 && s.Duty <= 1 && in(s.Low, 0, 1)):
		return fmt.Errorf("shape: duty %g, low level %g; allowed: duty above 0 to 1, low 0 to 1", s.Duty, s.Low)
	case !in(s.Edge, 0, 0.5*s.Period()) || !in(s.Shift, -1, 1):
		return fmt.Errorf("shape: edge %g s, shift %g; allowed: up to half a period, -1 to 1", s.Edge, s.Shift)
	}
	return nil
}

// At is the light at the phase x of its period, 0 to 1.
func (s Shape) At(x float64) float64 {
	x -= s.Shift
	x -= math.Floor(x)
	switch s.Form {
	case Sine:
		return 1 + s.Depth*math.Sin(2*math.Pi*x)
	case Triangle:
		return 1 + s.Depth*(1-4*math.Abs(x-0.5))
	case Rectified:
		return 1 - s.Depth + s.Depth*math.Sin(math.Pi*x)
	}
	return s.Low + (1-s.Low)*s.pulse(x)
}

// pulse is a pulse of width Duty whose edges, Edge long, are centred on its
// ends, so that Duty stays the mean.
func (s Shape) pulse(x float64) float64 {
	if s.Duty >= 1 {
		return 1
	}
	e := s.Edge / s.Period()
	if e == 0 {
		if x < s.Duty {
			return 1
		}
		return 0
	}
	ramp := func(d float64) float64 { return min(max(0.5+d/e, 0), 1) } // d: how far inside the edge
	// Distance to the rise at 0 and the fall at Duty, the period repeated.
	v := 0.0
	for _, y := range []float64{x - 1, x, x + 1} {
		v += max(0, ramp(y)+ramp(s.Duty-y)-1)
	}
	return min(v, 1)
}

// leastShapeRate is the sampling rate, 1/s, of a made waveform at least; high
// enough that aliases of a square wave's edges change SVM by about 1e-4.
const leastShapeRate = 200e3

// Sampled makes a record of at least that many seconds (0 means 1): whole
// periods, a whole number of thousand samples to each, so that duties of three
// digits come out exactly.
func (s Shape) Sampled(seconds float64) (Waveform, error) {
	if err := s.Validate(); err != nil {
		return Waveform{}, err
	}
	if seconds == 0 {
		seconds = 1
	}
	p := s.Period()
	each := 1000 * int(math.Max(1, math.Ceil(leastShapeRate*p/1000)))
	periods := int(math.Max(1, math.Ceil(seconds/p*(1-1e-12))))
	if !(seconds > 0) || float64(each)*float64(periods) > mostSamples {
		return Waveform{}, fmt.Errorf("shape: %g s of %g Hz takes %.3g samples; allowed: above 0 s, up to %d samples; ask for fewer seconds", seconds, s.Frequency, float64(each)*float64(periods), mostSamples)
	}
	w := Waveform{Dt: p / float64(each), Samples: make([]float64, each*periods)}
	for k := range each {
		w.Samples[k] = s.At(float64(k) / float64(each))
	}
	for k := 1; k < periods; k++ {
		copy(w.Samples[k*each:], w.Samples[:each])
	}
	return w, nil
}

// Mix adds waveforms of one sampling, each with its weight: two halves of a
// lamp, or a switched channel on a steady one. The shortest sets the length.
func Mix(weights []float64, parts ...Waveform) (Waveform, error) {
	if len(parts) == 0 || len(weights) != len(parts) {
		return Waveform{}, fmt.Errorf("mix: %d waveforms and %d weights; allowed: as many of each, one at least", len(parts), len(weights))
	}
	n := len(parts[0].Samples)
	for _, p := range parts {
		if math.Abs(p.Dt-parts[0].Dt) > 1e-9*parts[0].Dt {
			return Waveform{}, fmt.Errorf("mix: sample intervals of %g s and %g s; resample one first", parts[0].Dt, p.Dt)
		}
		n = min(n, len(p.Samples))
	}
	out := Waveform{Dt: parts[0].Dt, Samples: make([]float64, n)}
	for c, p := range parts {
		for k := range n {
			out.Samples[k] += weights[c] * p.Samples[k]
		}
	}
	return out, nil
}

// RippleDepth is the modulation (half of peak to peak, over the mean) of the
// light of a resistor strip on a supply with ripple of vpp volts peak to peak,
// headroom being supply voltage less the strip's knee voltage, V:
// dΦ/Φ = 0.95·dV/(V-V0). The exponent 0.95 is that of light against current of
// white LEDs (common practice, no source). A constant-current strip in
// regulation has next to none.
func RippleDepth(vpp, headroom float64) float64 {
	if !(vpp > 0 && headroom > 0) {
		return 0
	}
	return min(1, 0.95*vpp/2/headroom)
}
