package heat

import "math"

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
