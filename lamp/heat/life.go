package heat

import (
	"fmt"
	"math"
)

// DefaultFluxCoefficient is the usual change of a white LED's light with its
// junction, 1/K; data sheets lie between the ends of [FluxBand].
const DefaultFluxCoefficient = -0.0015

// FluxBand gives the ends of the usual range of the flux coefficient, 1/K
// (data sheets of mid-power white LEDs, from memory).
func FluxBand() (low, high float64) { return -0.003, -0.001 }

// FluxFactor is the light at a junction temperature over that at the
// reference, 1 + a (Tj - Tref), temperatures in K, a in 1/K; never below 0.
//
// Validity: Tj 250 to 400 K. Source: linear form of data sheets.
func FluxFactor(junction, reference, coefficient float64) float64 {
	return max(0, 1+coefficient*(junction-reference))
}

// LM80 is a lumen-maintenance test at two case temperatures, each fitted by
// L(t) = B exp(-a t).
type LM80 struct {
	T1, A1 float64 // K, 1/h, the cooler test
	T2, A2 float64 // K, 1/h, the warmer test
	B      float64 // 0.8 to 1.2, taken alike at both
	Hours  float64 // h, length of the test
}

// Life is a projected time to a share of the first light.
type Life struct {
	Hours     float64 // h, by the law alone
	Low, High float64 // h, band; equal to Hours with test data
	Reported  float64 // h, what may be said: at most six times the test
	Capped    bool    // Reported is the six-times limit
	Held      bool    // cooler than the test: the cooler test's rate was kept
	Estimate  bool    // no test data: a band of common practice
	Why       string
}

// ErrTooWarm says that the temperature lies above the test's.
type ErrTooWarm struct {
	T, Highest float64 // K
}

// Error gives both temperatures in °C.
func (e *ErrTooWarm) Error() string {
	return fmt.Sprintf("heat: pad at %.0f °C is above the warmest test at %.0f °C, and the projection must not leave the tested span; cool the lamp or find a test made hotter", e.T-273.15, e.Highest-273.15)
}

// Life projects the hours to a share p of the first light (0.5 to 0.95) at
// the pad temperature t (K),
//
//	a(T) = a1 exp(Ea/k (1/T1 - 1/T)),  Ea/k = ln(a2/a1)/(1/T1 - 1/T2),  L_p = ln(B/p)/a
//
// Warmer than the warmest test is refused; cooler than the coolest keeps the
// coolest test's rate. Reported is at most six times the test's hours.
//
// Source: ANSI/IES TM-21 (exponential fit, Arrhenius interpolation, six-times
// rule for twenty samples or more), from memory.
func (d LM80) Life(t, p float64) (Life, error) {
	for _, f := range []struct {
		name      string
		v, lo, hi float64
		unit      string
	}{
		{"T1", d.T1, 273, 423, "K"}, {"T2", d.T2, d.T1 + 1, 423, "K"}, {"A1", d.A1, 1e-9, 1e-2, "1/h"}, {"A2", d.A2, d.A1, 1e-2, "1/h"},
		{"B", d.B, 0.8, 1.2, ""}, {"Hours", d.Hours, 500, 1e5, "h"}, {"temperature", t, 250, 450, "K"}, {"share", p, 0.5, 0.95, ""},
	} {
		if err := span(f.name, f.v, f.lo, f.hi, f.unit); err != nil {
			return Life{}, err
		}
	}
	if t > d.T2 {
		return Life{}, &ErrTooWarm{T: t, Highest: d.T2}
	}
	ek := math.Log(d.A2/d.A1) / (1/d.T1 - 1/d.T2)
	l := Life{Held: t < d.T1}
	a := d.A1 * math.Exp(ek*(1/d.T1-1/max(t, d.T1)))
	l.Hours = max(0, math.Log(d.B/p)/a)
	l.Low, l.High, l.Reported = l.Hours, l.Hours, l.Hours
	l.Why = "interpolated between the two test temperatures"
	if l.Held {
		l.Why = "cooler than the test: the coolest test's rate is kept"
	}
	if limit := 6 * d.Hours; l.Hours > limit {
		l.Reported, l.Capped = limit, true
		l.Why += fmt.Sprintf("; said to be more than %.0f h, six times the test", limit)
	}
	return l, nil
}

// LifeBand estimates the hours to a share p at the pad temperature t (K)
// without test data: rates of 2e-6 to 1e-5 per hour at 60 °C, a quarter to a
// third of life lost per 10 K (Ea/k 3700 K).
//
// Validity: 20 to 105 °C; an estimate, common practice without a source.
func LifeBand(t, p float64) (Life, error) {
	if err := span("temperature", t, 293.15, 378.15, "K"); err != nil {
		return Life{}, err
	}
	if err := span("share", p, 0.5, 0.95, ""); err != nil {
		return Life{}, err
	}
	const at60 = 333.15
	k := math.Exp(3700 * (1/at60 - 1/t))
	hours := func(a float64) float64 { return -math.Log(p) / (a * k) }
	l := Life{Low: hours(1e-5), High: hours(2e-6), Hours: hours(math.Sqrt(2e-11)), Estimate: true,
		Why: "estimate: no LM-80 test data, so a band of common practice"}
	l.Reported = l.Low
	return l, nil
}
