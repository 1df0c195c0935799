package clock

import (
	"fmt"
	"math"
)

// Model is one published model.
type Model uint8

const (
	// Forger99 is the simpler van der Pol clock.
	//
	// Source: Forger, Jewett & Kronauer 1999, J. Biol. Rhythms 14:533.
	Forger99 Model = iota
	// Jewett99 is the higher-order clock with the same light process.
	//
	// Source: Jewett, Forger & Kronauer 1999, J. Biol. Rhythms 14:493.
	Jewett99
	// Hannay19 is the single-population macroscopic clock.
	//
	// Source: Hannay, Booth & Forger 2019, J. Biol. Rhythms,
	// doi 10.1177/0748730419878298.
	Hannay19
	modelCount
)

// Models lists all.
func Models() []Model { return []Model{Forger99, Jewett99, Hannay19} }

// String gives the model's short name.
func (m Model) String() string {
	if m < modelCount {
		return [...]string{"forger99", "jewett99", "hannay19"}[m]
	}
	return fmt.Sprintf("model(%d)", uint8(m))
}

// MarshalText writes the short name.
func (m Model) MarshalText() ([]byte, error) { return []byte(m.String()), nil }

// UnmarshalText reads a short name.
func (m *Model) UnmarshalText(b []byte) error {
	for _, k := range Models() {
		if k.String() == string(b) {
			*m = k
			return nil
		}
	}
	return fmt.Errorf("clock model is %q, allowed is forger99, jewett99 or hannay19", b)
}

// Source cites the paper.
func (m Model) Source() string {
	return [...]string{
		"Forger, Jewett & Kronauer 1999, J. Biol. Rhythms 14:533",
		"Jewett, Forger & Kronauer 1999, J. Biol. Rhythms 14:493",
		"Hannay, Booth & Forger 2019, J. Biol. Rhythms, doi 10.1177/0748730419878298",
	}[min(m, Hannay19)]
}

// State is a model's state: x, xc and n for the van der Pol clocks, R, ψ and
// n for Hannay19. n is the share of used photoreceptor drive, 0 to 1.
type State [3]float64

// DLMOBefore is how long before the least body temperature evening melatonin
// is taken to begin, h (common convention).
const DLMOBefore = 7.0

// ReferenceDER is the melanopic ratio of the cool-white fluorescent light,
// near 4 000 K, that the models' data came from.
const ReferenceDER = 0.57

// ModelLux turns melanopic equivalent daylight illuminance (lx) into the
// photopic lux the models were fitted to, MEDI/0.57. The models were never
// refitted for it: an assumption to show.
func ModelLux(medi float64) float64 { return medi / ReferenceDER }

// vanDerPol holds the constants of the two related clocks.
type vanDerPol struct {
	tau, mu, k, q, gain, alpha, beta, power, half, f float64
}

var (
	forger = vanDerPol{tau: 24.2, mu: 0.23, k: 0.55, gain: 33.75, alpha: 0.05, beta: 0.0075, power: 0.5, half: 9500, f: 0.99669}
	jewett = vanDerPol{tau: 24.2, mu: 0.13, k: 0.55, q: 1.0 / 3, gain: 19.875, alpha: 0.16, beta: 0.013, power: 0.6, half: 9500, f: 0.99729}
)

// Constants of Hannay19.
const (
	hTau    = 23.84
	hK      = 0.06358
	hGamma  = 0.024
	hBeta1  = -0.09318
	hA1     = 0.3855
	hA2     = 0.1977
	hBetaL1 = -0.0026
	hBetaL2 = -0.957756
	hSigma  = 0.0400692
	hGain   = 33.75
	hAlpha  = 0.05
	hDelta  = 0.0075
	hPower  = 1.5
	hHalf   = 9325.0
)

// alpha is the rate (1/min) at which light of lux uses up drive.
//
//	van der Pol clocks: α0 (I/I0)^p;  Hannay19: α0 I^p/(I^p + I0)
func (m Model) alpha(lux float64) float64 {
	if lux <= 0 {
		return 0
	}
	switch m {
	case Forger99:
		return forger.alpha * math.Pow(lux/forger.half, forger.power)
	case Jewett99:
		return jewett.alpha * math.Pow(lux/jewett.half, jewett.power)
	}
	p := math.Pow(lux, hPower)
	return hAlpha * p / (p + hHalf)
}

// rate is d(state)/dt per hour under the light rate alpha (1/min).
//
// The light process of all three:
//
//	dn/dt = 60[α(1-n) - βn],  B̂ = G(1-n)α
//
// Forger99:
//
//	B = B̂(1-0.4x)(1-0.4xc)
//	dx/dt  = π/12 (xc + B)
//	dxc/dt = π/12 {μ(xc - 4/3 xc³) - x[(24/(0.99669 τ))² + kB]}
//
// Jewett99:
//
//	dx/dt  = π/12 [xc + μ(x/3 + 4x³/3 - 256x⁷/105) + B]
//	dxc/dt = π/12 {qBxc - x[(24/(0.99729 τ))² + kB]}
//
// Hannay19:
//
//	dR/dt = -γR + K/2 cosβ1 R(1-R⁴) + A1/2 B̂(1-R⁴)cos(ψ+βL1) + A2/2 B̂R(1-R⁸)cos(2ψ+βL2)
//	dψ/dt = 2π/τ + K/2 sinβ1 (1+R⁴) + σB̂ - A1/2 B̂(R³+1/R)sin(ψ+βL1) - A2/2 B̂(1+R⁸)sin(2ψ+βL2)
//
// R is held at 1e-6 or more in 1/R.
func (m Model) rate(s State, alpha float64) State {
	if m == Hannay19 {
		return hannayRate(s, alpha)
	}
	c := &forger
	if m == Jewett99 {
		c = &jewett
	}
	x, xc, n := s[0], s[1], s[2]
	b := c.gain * (1 - n) * alpha * (1 - 0.4*x) * (1 - 0.4*xc)
	w := 24 / (c.f * c.tau)
	const k = math.Pi / 12
	out := State{2: 60 * (alpha*(1-n) - c.beta*n)}
	if m == Forger99 {
		out[0] = k * (xc + b)
		out[1] = k * (c.mu*(xc-4.0/3*xc*xc*xc) - x*(w*w+c.k*b))
		return out
	}
	x3 := x * x * x
	out[0] = k * (xc + c.mu*(x/3+4.0/3*x3-256.0/105*x3*x3*x) + b)
	out[1] = k * (c.q*b*xc - x*(w*w+c.k*b))
	return out
}

var hCos, hSin = math.Cos(hBeta1), math.Sin(hBeta1)

func hannayRate(s State, alpha float64) State {
	r, psi, n := s[0], s[1], s[2]
	b := hGain * (1 - n) * alpha
	r2 := r * r
	r4 := r2 * r2
	s1, c1 := math.Sincos(psi + hBetaL1)
	s2, c2 := math.Sincos(2*psi + hBetaL2)
	return State{
		-hGamma*r + hK/2*hCos*r*(1-r4) + hA1/2*b*(1-r4)*c1 + hA2/2*b*r*(1-r4*r4)*c2,
		2*math.Pi/hTau + hK/2*hSin*(1+r4) + hSigma*b - hA1/2*b*(r2*r+1/max(r, 1e-6))*s1 - hA2/2*b*(1+r4*r4)*s2,
		60 * (alpha*(1-n) - hDelta*n),
	}
}

// step is one classical Runge-Kutta step of h hours.
func (m Model) step(s State, alpha, h float64) State {
	add := func(a State, k float64, b State) State {
		return State{a[0] + k*b[0], a[1] + k*b[1], a[2] + k*b[2]}
	}
	k1 := m.rate(s, alpha)
	k2 := m.rate(add(s, h/2, k1), alpha)
	k3 := m.rate(add(s, h/2, k2), alpha)
	k4 := m.rate(add(s, h, k3), alpha)
	for i := range s {
		s[i] += h / 6 * (k1[i] + 2*k2[i] + 2*k3[i] + k4[i])
	}
	return s
}

// Angle is the phase of a state, rad in [-π, π): ψ for Hannay19, atan2 of x and
// xc for the others. It moves smoothly where the time of the least
// temperature may jump.
func (m Model) Angle(s State) float64 {
	a := s[1]
	if m != Hannay19 {
		a = math.Atan2(s[0], s[1])
	}
	return a - 2*math.Pi*math.Floor((a+math.Pi)/(2*math.Pi))
}

// check refuses a state no run could be in.
func (m Model) check(s State) error {
	if m >= modelCount {
		return fmt.Errorf("clock: model %d is not known", uint8(m))
	}
	for i, v := range s {
		if !(math.Abs(v) < 1e6) {
			return fmt.Errorf("clock: state value %d is %g, allowed is a finite number", i+1, v)
		}
	}
	if !(s[2] >= 0 && s[2] <= 1) {
		return fmt.Errorf("clock: state n is %g, allowed is 0 to 1", s[2])
	}
	if m == Hannay19 && !(s[0] > 0 && s[0] <= 1) {
		return fmt.Errorf("clock: state R is %g, allowed is above 0 to 1", s[0])
	}
	if m != Hannay19 && !(math.Abs(s[0]) <= 5 && math.Abs(s[1]) <= 5) {
		return fmt.Errorf("clock: state x, xc is %g, %g, allowed is -5 to 5", s[0], s[1])
	}
	return nil
}
