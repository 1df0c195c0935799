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

// Moment is the lamp at one time after switching on.
type Moment struct {
	Time            float64 // s
	Floor, Diffuser float64 // K, means
}

// WarmUp is how a lamp gets warm.
type WarmUp struct {
	T95   float64 // s until floor and sheet have done 95 % of their rise
	Tau   float64 // s, T95/3: of one exponential that takes as long
	Soak  float64 // s to wait before reading temperatures, 5 Tau, at least an hour
	Curve []Moment
}

// Warm integrates the two balances of [Node] with the heat capacities of tray
// (floor and walls) and sheet, from the room's temperature, by Runge-Kutta
// steps of a twentieth of the faster time constant.
//
// Validity: sheet and metal with Density and SpecificHeat given. The edge is
// taken as far below the mean as in the end.
//
// Source: lumped capacities, Incropera & DeWitt, section 5.1; Biot numbers of
// tray and sheet are below 0.1.
//
// Not modelled: mount, wire and strip (a few percent of the capacity).
func Warm(in *Input) (WarmUp, error) {
	if err := in.Validate(); err != nil {
		return WarmUp{}, err
	}
	for _, f := range []struct {
		name      string
		v, lo, hi float64
		unit      string
	}{
		{"Sheet.Density", in.Sheet.Density, 500, 20000, "kg/m³"}, {"Sheet.SpecificHeat", in.Sheet.SpecificHeat, 100, 5000, "J/(kg·K)"},
		{"Diffuser.Thickness", in.Diffuser.Thickness, 1e-4, 0.02, "m"}, {"Diffuser.Density", in.Diffuser.Density, 500, 5000, "kg/m³"},
		{"Diffuser.SpecificHeat", in.Diffuser.SpecificHeat, 500, 3000, "J/(kg·K)"},
	} {
		if err := span(f.name, f.v, f.lo, f.hi, f.unit); err != nil {
			return WarmUp{}, err
		}
	}
	b := newBody(in)
	t, td := b.guess()
	t, td, c, _, err := b.solveNode(shape{edge: 1}, t, td, closely)
	if err != nil {
		return WarmUp{}, err
	}
	o := outlineOf(in)
	s, _, _ := b.form(&o, t, td, c)
	if t, td, c, _, err = b.solveNode(s, t, td, 1e-4); err != nil {
		return WarmUp{}, err
	}
	tray := (b.area + b.edge*in.WallHeight) * in.Sheet.Thickness * in.Sheet.Density * in.Sheet.SpecificHeat
	sheet := b.area * in.Diffuser.Thickness * in.Diffuser.Density * in.Diffuser.SpecificHeat
	return b.warm(s, t, td, tray, sheet, min(tray/(b.area*b.slope(c, t)), sheet/(b.area*10))/20), nil
}

// warm runs the two nodes until both are within 0.2 % of the end.
func (b *body) warm(s shape, endT, endD, tray, sheet, dt float64) WarmUp {
	rate := func(t, td float64) (float64, float64) {
		c := b.coefficients(t, td)
		ta := b.in.Ambient
		gap := b.area * (c.gap*(t-td) + b.radGap*(pow4(t)-pow4(td)))
		f1 := b.strip + b.in.TrayHeat - b.area*(c.back*(t-ta)+b.radBack*(pow4(t)-b.ambient4)) - c.edge*b.edge*s.edge*(t-ta) - gap
		f2 := b.in.DiffuserHeat + gap - b.area*(c.sheet*(td-ta)+b.radDiffuser*(pow4(td)-b.ambient4))
		return f1 / tray, f2 / sheet
	}
	done := func(v, end, part float64) bool {
		rise := end - b.in.Ambient
		return math.Abs(rise) < 1e-3 || (v-b.in.Ambient)/rise >= part
	}
	t, td, now := b.in.Ambient, b.in.Ambient, 0.0
	w := WarmUp{Curve: []Moment{{0, t, td}}}
	every := 1.0
	for step := 0; step < 200000 && !(done(t, endT, 0.998) && done(td, endD, 0.998)); step++ {
		a1, a2 := rate(t, td)
		b1, b2 := rate(t+a1*dt/2, td+a2*dt/2)
		c1, c2 := rate(t+b1*dt/2, td+b2*dt/2)
		d1, d2 := rate(t+c1*dt, td+c2*dt)
		t += dt / 6 * (a1 + 2*b1 + 2*c1 + d1)
		td += dt / 6 * (a2 + 2*b2 + 2*c2 + d2)
		now += dt
		if w.T95 == 0 && done(t, endT, 0.95) && done(td, endD, 0.95) {
			w.T95 = now
		}
		// Keep the curve dense early and thin late.
		if now >= every {
			w.Curve = append(w.Curve, Moment{now, t, td})
			every = max(now*1.03, now+1)
		}
	}
	w.Curve = append(w.Curve, Moment{now, t, td})
	w.Tau = w.T95 / 3
	w.Soak = max(3600, 5*w.Tau)
	return w
}
