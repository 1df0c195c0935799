package circuit

import (
	"errors"
	"fmt"
	"math"
)

// Kind says which law a cut unit follows.
type Kind uint8

const (
	// PiecewiseLinear draws nothing below V0 and (V - V0)/R above.
	PiecewiseLinear Kind = iota
	// SeriesDiode is equal LEDs in series with a ballast resistor.
	SeriesDiode
	// ConstantCurrent is a string with a current-regulating IC.
	ConstantCurrent

	tabulated // a whole row, see RowTable
)

var kindNames = [...]string{"pwl", "series_diode", "cc"}

// String gives pwl, series_diode or cc.
func (k Kind) String() string {
	if int(k) >= len(kindNames) {
		return fmt.Sprintf("kind(%d)", int(k))
	}
	return kindNames[k]
}

// ThermalVoltage is kT/q in V at 300.15 K (27 °C), the temperature at which
// circuit simulators state diode parameters (k and q of the 2019 SI).
const ThermalVoltage = 1.380649e-23 * 300.15 / 1.602176634e-19

// DefaultVfPerK is the change of one white LED's forward voltage with junction
// temperature, V/K. Data sheets of 3 V mid-power parts give -2 to -4 mV/K,
// some -1; the small end is the default because it claims the least.
const DefaultVfPerK = -0.002

// fluxExponent: light grows a little slower than current (efficiency droop);
// 0.92 to 0.98 for mid-power white LEDs below rated current, common practice,
// no source.
const fluxExponent = 0.95

// Unit is the current-voltage law of one cut unit of strip, V being the
// voltage across the unit, positive forward.
//
//	PiecewiseLinear  I = max(0, (V-V0)/R)
//	SeriesDiode      V = n·N·Vt·ln(1 + I/IS) + (n·RS + RBallast)·I
//	ConstantCurrent  y = max(0, V-V0)/ROn, lim = ISet·(1 + Slope·(V-VNom)),
//	                 I = y / (1 + (y/lim)^P)^(1/P)
//
// The diode law is Shockley's with series resistance (Sze & Ng, Physics of
// Semiconductor Devices, 3rd ed., ch. 2). The smooth join of the third law is
// ours: headroom line below, regulated current above.
//
// Not modelled: string-to-string spread, current above the LEDs' rating,
// reverse breakdown.
type Unit struct {
	Kind Kind
	VNom float64 // V, nominal supply voltage of the strip

	V0 float64 // V, where current starts (PiecewiseLinear, ConstantCurrent)
	R  float64 // Ω (PiecewiseLinear)

	Series   int     // LEDs in series n (SeriesDiode; others for temperature only)
	IS       float64 // A, saturation current
	Ideality float64 // N, emission coefficient
	RS       float64 // Ω in each LED
	RBallast float64 // Ω
	Vt       float64 // V, thermal voltage; 0 means ThermalVoltage

	ROn   float64 // Ω, slope of the headroom line (ConstantCurrent)
	ISet  float64 // A, regulated current at VNom
	Slope float64 // 1/V, relative rise of the regulated current, not negative
	P     float64 // sharpness of the join; 0 means 8

	VfPerK float64 // V/K per LED; 0 means DefaultVfPerK
}

// Validate refuses a unit whose current is not a finite rising function of its
// voltage, naming the field, what it holds and what it may hold.
func (u Unit) Validate() error {
	var errs []error
	need := func(ok bool, field string, v float64, allowed string) {
		if !ok {
			errs = append(errs, fmt.Errorf("unit %s: %s is %g; allowed: %s", u.Kind, field, v, allowed))
		}
	}
	within := func(v, lo, hi float64) bool { return v >= lo && v <= hi }
	need(within(u.VNom, 1, 60), "nominal voltage", u.VNom, "1 to 60 V")
	need(within(u.VfPerK, -0.01, 0), "forward voltage per kelvin", u.VfPerK, "-0.01 to 0 V/K")
	switch u.Kind {
	case PiecewiseLinear:
		need(within(u.V0, 0, 60), "knee voltage", u.V0, "0 to 60 V")
		need(within(u.R, 1e-3, 1e7), "resistance", u.R, "0.001 to 1e7 Ω")
	case SeriesDiode:
		need(within(float64(u.Series), 1, 100), "LEDs in series", float64(u.Series), "1 to 100")
		need(within(u.IS, 1e-60, 1e-3), "saturation current", u.IS, "1e-60 to 1e-3 A")
		need(within(u.Ideality, 0.5, 20), "ideality", u.Ideality, "0.5 to 20")
		need(within(u.RS, 0, 1e4), "series resistance", u.RS, "0 to 1e4 Ω")
		need(within(u.RBallast, 0, 1e7), "ballast resistance", u.RBallast, "0 to 1e7 Ω")
		need(within(u.Vt, 0, 0.1), "thermal voltage", u.Vt, "0 (27 °C) to 0.1 V")
		b := float64(u.Series)*u.RS + u.RBallast
		need(b >= 1e-3, "ballast and series resistance together", b, "at least 0.001 Ω; LEDs without any are not a strip for constant voltage")
	case ConstantCurrent:
		need(within(u.V0, 0, 60), "knee voltage", u.V0, "0 to 60 V")
		need(within(u.ROn, 1e-3, 1e6), "headroom slope", u.ROn, "0.001 to 1e6 Ω")
		need(within(u.ISet, 1e-6, 100), "set current", u.ISet, "1e-6 to 100 A")
		need(within(u.Slope, 0, 1) && 1-u.Slope*u.VNom > 0, "current slope", u.Slope, "0 to 1/nominal voltage, per V")
		need(u.P == 0 || within(u.P, 1, 100), "sharpness of the join", u.P, "0 (means 8) or 1 to 100")
	default:
		errs = append(errs, fmt.Errorf("unit kind %d is not known; allowed: pwl, series_diode, cc", u.Kind))
	}
	return errors.Join(errs...)
}

// Current gives the unit's current I in A and its slope dI/dV in S at v volts.
// The unit must be valid.
func (u *Unit) Current(v float64) (i, g float64) {
	c := u.curve()
	return c.at(v)
}

// Warmed is the unit with its LEDs dT kelvin above the temperature its numbers
// belong to: the forward voltage of the whole string moves by
// n·VfPerK·dT at a given current. In the diode law that is a saturation
// current exp(-VfPerK·dT/(N·Vt)) times as large; in the others a lower knee.
//
// Valid for |dT| up to about 100 K, where the straight line of the data sheets
// holds. Not modelled: the regulator's own drift and the resistor's.
func (u Unit) Warmed(dT float64) Unit {
	switch shift := u.Shift(dT); u.Kind {
	case SeriesDiode:
		u.IS *= math.Exp(-shift / (float64(u.Series) * u.Ideality * u.vt()))
	default:
		u.V0 = max(0, u.V0+shift)
	}
	return u
}

// Shift is by how much, V, the unit's voltage moves at a given current with
// its LEDs dT kelvin warmer: what Warmed does to the law, for currents far over
// the saturation current and while the knee stays above 0 V.
func (u *Unit) Shift(dT float64) float64 {
	k := u.VfPerK
	if k == 0 {
		k = DefaultVfPerK
	}
	return float64(u.Series) * k * dT
}

func (u *Unit) vt() float64 {
	if u.Vt == 0 {
		return ThermalVoltage
	}
	return u.Vt
}

// RelativeFlux is the light of a unit relative to its light at nominal
// current, at one junction temperature: (I/I_nom)^0.95. The exponent lies
// between 0.92 and 0.98 for mid-power white LEDs (common practice, no source);
// temperature comes on top, in package heat.
//
// Below a tenth of the nominal current the light goes as the current: droop
// fades there, and the power law would promise ever more lumens per ampere.
func RelativeFlux(iOverNominal float64) float64 {
	switch {
	case !(iOverNominal > 0):
		return 0
	case iOverNominal < droopFades:
		return iOverNominal * fluxAtDroopFades
	}
	return math.Pow(iOverNominal, fluxExponent)
}

// droopFades is the share of the nominal current below which droop no longer
// shows (common practice, no source).
const droopFades = 0.1

var fluxAtDroopFades = math.Pow(droopFades, fluxExponent-1)

// curve is a Unit with everything that does not depend on V worked out.
type curve struct {
	kind                      Kind
	p8                        bool
	v0, g0                    float64 // pwl: knee, 1/R; cc: knee, 1/ROn
	invA, y0, w0, aOverB, inB float64 // diode
	iSet, slope, vNom, p      float64 // cc
	table                     *RowTable
	cap                       float64 // V, largest Newton step, 0 without limit
}

func (u *Unit) curve() curve {
	switch u.Kind {
	case SeriesDiode:
		a := float64(u.Series) * u.Ideality * u.vt()
		b := float64(u.Series)*u.RS + u.RBallast
		w0 := b * u.IS / a
		return curve{kind: SeriesDiode, invA: 1 / a, w0: w0, y0: math.Log(w0) + w0, aOverB: a / b, inB: 1 / b}
	case ConstantCurrent:
		p := u.P
		if p == 0 {
			p = 8
		}
		return curve{kind: ConstantCurrent, p8: p == 8, v0: u.V0, g0: 1 / u.ROn, iSet: u.ISet, slope: u.Slope, vNom: u.VNom, p: p, cap: u.VNom / 24}
	}
	return curve{kind: PiecewiseLinear, v0: u.V0, g0: 1 / u.R}
}

func (c *curve) at(v float64) (i, g float64) {
	switch c.kind {
	case PiecewiseLinear:
		if v <= c.v0 {
			return 0, 0
		}
		return (v - c.v0) * c.g0, c.g0
	case SeriesDiode:
		w := wrightOmega(c.y0 + v*c.invA)
		return c.aOverB * (w - c.w0), c.inB * w / (1 + w)
	}
	return c.regulated(v)
}

// regulated is the constant-current law, written with whichever of y/lim and
// lim/y is below one so that no power overflows.
func (c *curve) regulated(v float64) (i, g float64) {
	if v <= c.v0 {
		return 0, 0
	}
	y := (v - c.v0) * c.g0
	dLim := c.iSet * c.slope
	lim := c.iSet * (1 + c.slope*(v-c.vNom))
	small, big, dSmall, dBig := y, lim, c.g0, dLim
	if y > lim {
		small, big, dSmall, dBig = lim, y, dLim, c.g0
	}
	// I = small·(1+s)^(-1/p), s = (small/big)^p.
	q := small / big
	var s, f float64
	if c.p8 {
		s = q * q
		s *= s
		s *= s
		f = 1 / math.Sqrt(math.Sqrt(math.Sqrt(1+s)))
	} else {
		s = math.Pow(q, c.p)
		f = math.Pow(1+s, -1/c.p)
	}
	h := f / (1 + s)
	return small * f, h*dSmall + q*s*h*dBig
}

// wrightOmega solves w + ln w = y for w > 0. It starts from the asymptotic
// series and takes fourth-order steps (Fritsch, Shafer & Crowley, Commun. ACM
// 16 (1973) 123, algorithm 443; Lawrence, Corless & Jeffrey, ACM Trans. Math.
// Softw. 38 (2012) 20, algorithm 917), relative error below 1e-14.
func wrightOmega(y float64) float64 {
	var w float64
	switch {
	case y > 3:
		l := math.Log(y)
		w = y - l + l/y + l*(l-2)/(2*y*y)
	case y > -1:
		// Pade-like start round y = 1, where w = 1.
		d := y - 1
		w = 1 + d*(0.5+d*(0.0625-d*0.00520833))
	case y < -40:
		return math.Exp(y)
	default:
		e := math.Exp(y)
		w = e / (1 + e)
	}
	return polishOmega(w, y)
}

// omegaFrom is wrightOmega with a guess from a nearby y; 0 is no guess.
func omegaFrom(w, y float64) float64 {
	if !(w > 1e-3) || y < -6 {
		return wrightOmega(y)
	}
	return polishOmega(w, y)
}

func polishOmega(w, y float64) float64 {
	for range 8 {
		r := y - w - math.Log(w)
		w1 := 1 + w
		t := w1 * (w1 + r*(2.0/3))
		next := w * (1 + r*(t-r/2)/(w1*(t-r)))
		if !(next > 0) {
			return wrightOmega(y) // the guess was far off
		}
		w = next
		if math.Abs(r) < 3e-4*w1 {
			break
		}
	}
	return w
}
