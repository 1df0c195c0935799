package colour

import (
	"fmt"
	"math"
	"sync"

	"dawnsmith/light/spectrum"
)

// Range in which a correlated colour temperature is a sensible thing to
// state: CIE 015:2018 clause 9.5 sets 0.05 in u', 2/3·v' coordinates as the
// farthest distance; the temperatures are those of the daylight formula
// above and of a barely glowing body below.
const (
	LowestCCT  = 1000.0   // K
	HighestCCT = 25_000.0 // K
	FarthestUV = 0.05     // |Duv|
)

// Temperature is the correlated colour temperature of a light and its
// distance from the black-body line.
type Temperature struct {
	Kelvin float64 // K; 0 when not Valid
	Duv    float64 // CIE 1960 u, v distance, positive above the line (greenish), negative below (pinkish); 0 when not Valid
	Valid  bool    // within 1000–25 000 K and |Duv| ≤ 0.05
}

// locus is the black-body line in u, v, sampled at equal steps of ln T.
type locus struct {
	lnLow, step float64
	u, v        []float64
}

const (
	locusLow   = 700.0    // K
	locusHigh  = 60_000.0 // K
	locusStep  = 0.01     // ln K, that is 1 % in T
	locusOrder = 6        // points of the local polynomial
)

// blackBody samples the line with the 2° functions over their whole published
// range, 360–830 nm, with which printed chromaticities of black bodies are
// made.
var blackBody = sync.OnceValue(func() *locus {
	t := spectrum.Matching2Table()
	n := int(math.Ceil(math.Log(locusHigh/locusLow)/locusStep)) + 1
	l := &locus{lnLow: math.Log(locusLow), step: locusStep, u: make([]float64, n), v: make([]float64, n)}
	for i := range n {
		l.u[i], l.v[i] = planckUV(&t, math.Exp(l.lnLow+float64(i)*l.step))
	}
	return l
})

func planckUV(t *spectrum.Table, kelvin float64) (u, v float64) {
	var c XYZ
	for i, y := range t.Columns[1] {
		p := spectrum.PlanckAt(kelvin, t.Start+float64(i)*t.Step)
		c.X += p * t.Columns[0][i]
		c.Y += p * y
		c.Z += p * t.Columns[2][i]
	}
	return c.UV()
}

// PlanckianUV is the CIE 1960 chromaticity of a black body for the 2°
// observer over 360–830 nm, c2 = 1.4388e-2 m·K.
func PlanckianUV(kelvin float64) (u, v float64) {
	t := spectrum.Matching2Table()
	return planckUV(&t, kelvin)
}

// CCTOfUV finds the black body nearest to a chromaticity in CIE 1960 u, v:
// correlated colour temperature and Duv.
//
// Formula: T = argmin |(u, v) − (u_T, v_T)|, Duv = that distance with the sign
// of v − v_T. The line is interpolated by polynomials through six points 1 %
// apart in T, and the least distance found by Newton's method on
// d/d ln T |…|² = 0, so no correction factor is needed. Validity: see
// Temperature.Valid. Source: CIE 015:2018 clause 9.5; Ohno 2014, LEUKOS 10:47
// for Duv.
func CCTOfUV(u, v float64) Temperature {
	l := blackBody()
	best, least := 0, math.Inf(1)
	for i, lu := range l.u {
		du, dv := u-lu, v-l.v[i]
		if d := du*du + dv*dv; d < least {
			best, least = i, d
		}
	}
	if math.IsInf(least, 1) {
		return Temperature{} // u or v is not a number
	}
	first := min(max(best-locusOrder/2+1, 0), len(l.u)-locusOrder)
	var pu, pv [locusOrder]float64
	differences(&pu, l.u[first:])
	differences(&pv, l.v[first:])
	x := float64(best - first)
	low, high := x-1, x+1
	for range 30 {
		fu, du, ddu := newtonPolynomial(&pu, x)
		fv, dv, ddv := newtonPolynomial(&pv, x)
		eu, ev := fu-u, fv-v
		slope := eu*du + ev*dv
		curve := du*du + dv*dv + eu*ddu + ev*ddv
		var next float64
		if slope > 0 {
			high = x
		} else {
			low = x
		}
		if curve > 0 {
			next = x - slope/curve
		}
		if !(curve > 0) || next < low || next > high {
			next = (low + high) / 2
		}
		done := math.Abs(next-x) < 1e-10
		x = next
		if done {
			break
		}
	}
	fu, _, _ := newtonPolynomial(&pu, x)
	fv, _, _ := newtonPolynomial(&pv, x)
	t := Temperature{
		Kelvin: math.Exp(l.lnLow + (float64(first)+x)*l.step),
		Duv:    math.Copysign(math.Hypot(u-fu, v-fv), v-fv),
	}
	t.Valid = t.Kelvin >= LowestCCT && t.Kelvin <= HighestCCT && math.Abs(t.Duv) <= FarthestUV
	if !t.Valid {
		return Temperature{}
	}
	return t
}

// differences turns equally spaced values into the coefficients of Newton's
// forward polynomial, value = Σ c_k · x(x−1)…(x−k+1).
func differences(c *[locusOrder]float64, values []float64) {
	copy(c[:], values[:locusOrder])
	for k := 1; k < locusOrder; k++ {
		for i := locusOrder - 1; i >= k; i-- {
			c[i] = (c[i] - c[i-1]) / float64(k)
		}
	}
}

// newtonPolynomial gives value, first and second derivative at x.
func newtonPolynomial(c *[locusOrder]float64, x float64) (f, d, dd float64) {
	for k := locusOrder - 1; k >= 0; k-- {
		t := x - float64(k)
		dd = dd*t + 2*d
		d = d*t + f
		f = f*t + c[k]
	}
	return f, d, dd
}

// CCT gives the correlated colour temperature and Duv of a light, with the 2°
// observer. A light too far from white comes back with Valid false.
func CCT(s *spectrum.Spectrum) (Temperature, error) {
	_, t, err := whiteAndTemperature(s)
	return t, err
}

// UVOfCCT is the chromaticity in CIE 1960 u, v that CCTOfUV takes back to a
// temperature (1000–25 000 K) and Duv (−0.05 to 0.05): the point at that
// distance from the black body, square to the line.
func UVOfCCT(kelvin, duv float64) (u, v float64, err error) {
	if !(kelvin >= LowestCCT && kelvin <= HighestCCT) {
		return 0, 0, fmt.Errorf("colour temperature is %g K: 1000 to 25000 K is allowed", kelvin)
	}
	if !(math.Abs(duv) <= FarthestUV) {
		return 0, 0, fmt.Errorf("distance from the black-body line is %g: -0.05 to 0.05 is allowed", duv)
	}
	l := blackBody()
	at := (math.Log(kelvin) - l.lnLow) / l.step
	first := min(max(int(at)-locusOrder/2+1, 0), len(l.u)-locusOrder)
	var pu, pv [locusOrder]float64
	differences(&pu, l.u[first:])
	differences(&pv, l.v[first:])
	u, du, _ := newtonPolynomial(&pu, at-float64(first))
	v, dv, _ := newtonPolynomial(&pv, at-float64(first))
	// As T rises u falls, so (dv, −du) points to larger v, the greenish side.
	n := duv / math.Hypot(du, dv)
	return u + n*dv, v - n*du, nil
}
