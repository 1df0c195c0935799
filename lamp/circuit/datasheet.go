package circuit

import (
	"fmt"
	"math"
)

// Datasheet is what a strip's label or a bench reading says about one cut unit.
type Datasheet struct {
	Kind      Kind
	VNom      float64 // V
	PowerPerM float64 // W/m at VNom, whole strip (one channel of a two-channel strip)
	CutLength float64 // m, one cut unit
	Series    int     // LEDs in series; 0 means 3 at 12 V, 6 at 24 V, else VNom/4
	Parallel  int     // strings (or dice) side by side in one cut unit; 0 means about 25 mA each

	// A second reading on the same unit, if there is one: I2 at V2, with V2
	// below VNom. A piecewise-linear unit then runs through both.
	V2, I2 float64 // V, A
}

// Typical white mid-power LED, used where a datasheet gives only watts:
// about 2.9 V at 30 mA. Common values of the trade's spice models, from memory.
const (
	typicalIdeality = 2.5
	typicalIS       = 4e-21 // A
	typicalRS       = 3.0   // Ω
	typicalAmps     = 0.025 // A
	typicalHeadroom = 1.2   // V, lost in LEDs' resistance and IC on the way up to nominal current
	typicalDropout  = 0.9   // V, IC, between 0.5 and 1.4
	typicalSlope    = 0.002 // 1/V
)

// FromDatasheet makes a unit that draws the label's power at its nominal
// voltage: I = PowerPerM·CutLength/VNom.
//
// A SeriesDiode unit takes the typical LED, as many side by side as Parallel
// says, and the ballast that leaves exactly that current. A ConstantCurrent
// unit regulates to it and starts at the LEDs' own voltage plus 0.9 V. A
// PiecewiseLinear unit runs through the second reading if given, and otherwise
// is the tangent to the SeriesDiode unit at nominal voltage.
//
// Not modelled: that measured power is often below the label's; give the
// measured figure when there is one.
func FromDatasheet(d Datasheet) (Unit, error) {
	if !(d.VNom >= 1 && d.VNom <= 60) {
		return Unit{}, fmt.Errorf("datasheet: nominal voltage is %g V; allowed: 1 to 60 V", d.VNom)
	}
	if !(d.PowerPerM > 0 && d.PowerPerM <= 200) {
		return Unit{}, fmt.Errorf("datasheet: power is %g W/m; allowed: above 0, up to 200 W/m", d.PowerPerM)
	}
	if !(d.CutLength > 0 && d.CutLength <= 2) {
		return Unit{}, fmt.Errorf("datasheet: cut length is %g m; allowed: above 0, up to 2 m", d.CutLength)
	}
	if d.Series == 0 {
		d.Series = max(1, int(math.Round(d.VNom/4)))
	}
	iNom := d.PowerPerM * d.CutLength / d.VNom
	if d.Parallel == 0 {
		d.Parallel = max(1, int(math.Round(iNom/typicalAmps)))
	}
	if d.Series < 1 || d.Series > 100 || d.Parallel < 1 || d.Parallel > 1000 {
		return Unit{}, fmt.Errorf("datasheet: %d LEDs in series and %d strings side by side; allowed: 1 to 100 and 1 to 1000", d.Series, d.Parallel)
	}
	n, m := float64(d.Series), float64(d.Parallel)
	is, rs := typicalIS*m, typicalRS/m
	leds := n*typicalIdeality*ThermalVoltage*math.Log1p(iNom/is) + n*rs*iNom
	switch d.Kind {
	case ConstantCurrent:
		v0 := leds + typicalDropout
		rOn := typicalHeadroom / iNom
		if v0+rOn*iNom > d.VNom {
			return Unit{}, fmt.Errorf("datasheet: %d LEDs in series need %.3g V with their regulator, nominal is %g V; give fewer in series", d.Series, v0+rOn*iNom, d.VNom)
		}
		u := Unit{Kind: ConstantCurrent, VNom: d.VNom, Series: d.Series, V0: v0, ROn: rOn, ISet: iNom, Slope: typicalSlope, P: 8}
		for range 20 { // the join takes a little off
			i, _ := u.Current(d.VNom)
			u.ISet *= iNom / i
		}
		return u, u.Validate()
	case SeriesDiode, PiecewiseLinear:
		if d.Kind == PiecewiseLinear && d.V2 != 0 {
			u, err := FromPair(d.VNom, iNom, d.V2, d.I2)
			u.Series = d.Series
			return u, err
		}
		ballast := (d.VNom - leds) / iNom
		if ballast < 0 {
			return Unit{}, fmt.Errorf("datasheet: %d LEDs in series need %.3g V, nominal is %g V; give fewer in series", d.Series, leds, d.VNom)
		}
		u := Unit{Kind: SeriesDiode, VNom: d.VNom, Series: d.Series, IS: is, Ideality: typicalIdeality, RS: rs, RBallast: ballast}
		if err := u.Validate(); err != nil || d.Kind == SeriesDiode {
			return u, err
		}
		return u.Tangent(), nil
	}
	return Unit{}, fmt.Errorf("datasheet: unit kind %d is not known; allowed: pwl, series_diode, cc", d.Kind)
}

// FromPair is the piecewise-linear unit through two measured readings, the
// first at nominal voltage: R = (vNom-v2)/(iNom-i2), V0 = vNom - R·iNom.
func FromPair(vNom, iNom, v2, i2 float64) (Unit, error) {
	if !(v2 < vNom && i2 < iNom && i2 > 0) {
		return Unit{}, fmt.Errorf("measured pair: %g A at %g V and %g A at %g V; the second must have both less voltage and less current, and still draw some", iNom, vNom, i2, v2)
	}
	r := (vNom - v2) / (iNom - i2)
	u := Unit{Kind: PiecewiseLinear, VNom: vNom, R: r, V0: vNom - r*iNom}
	if u.V0 < 0 {
		return Unit{}, fmt.Errorf("measured pair: current rises too little from %g V to %g V (knee below 0 V); measure again, or call the unit constant-current", v2, vNom)
	}
	return u, u.Validate()
}

// Tangent is the piecewise-linear unit that touches u at its nominal voltage:
// right there to first order, too much light close to the knee.
func (u Unit) Tangent() Unit {
	i, g := u.Current(u.VNom)
	return Unit{Kind: PiecewiseLinear, VNom: u.VNom, R: 1 / g, V0: max(0, u.VNom-i/g), Series: u.Series, VfPerK: u.VfPerK}
}
