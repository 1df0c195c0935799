package spectrum

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// C2 is the second radiation constant in m·K as the CIE fixes it for
// colorimetry (CIE 015:2018 clause 4.1: 1.4388e-2 m·K, with n = 1).
const C2 = 1.4388e-2

// PlanckAt is the spectral radiance of a black body relative to its value at
// 560 nm, so that it stays in a handy range:
//
//	S(λ) = (560/λ)⁵ · (exp(c2/(560·T)) − 1) / (exp(c2/(λ·T)) − 1)
//
// λ = nm in nanometres, T = kelvin, c2 in the same length unit. Source:
// CIE 015:2018 clause 4.1 (Planck's law with n = 1, ITS-90 scale).
func PlanckAt(kelvin, nm float64) float64 {
	const c2 = C2 * 1e9 // nm·K
	r := 560 / nm
	return r * r * r * r * r * math.Expm1(c2/(560*kelvin)) / math.Expm1(c2/(nm*kelvin))
}

// Planck is the relative spectrum of a black body, 1 at 560 nm. It is made
// for 500 to 100 000 K.
func Planck(kelvin float64) (Spectrum, error) {
	if !(kelvin >= 500 && kelvin <= 100_000) {
		return Spectrum{}, fmt.Errorf("black-body temperature is %g K: 500 to 100000 K is allowed", kelvin)
	}
	return Func(func(nm float64) float64 { return PlanckAt(kelvin, nm) }), nil
}

// DaylightChromaticity is the point of the CIE daylight locus for a
// temperature of 4000 to 25 000 K, as x, y of the 2° observer:
//
//	x = −4.6070e9/T³ + 2.9678e6/T² + 0.09911e3/T + 0.244063   (T ≤ 7000 K)
//	x = −2.0064e9/T³ + 1.9018e6/T² + 0.24748e3/T + 0.237040   (T > 7000 K)
//	y = −3x² + 2.870x − 0.275
//
// Source: CIE 015:2018 clause 4.2.2 (Judd, MacAdam, Wyszecki 1964).
func DaylightChromaticity(kelvin float64) (x, y float64, err error) {
	if !(kelvin >= 4000 && kelvin <= 25_000) {
		return 0, 0, fmt.Errorf("daylight temperature is %g K: 4000 to 25000 K is allowed", kelvin)
	}
	t := 1e3 / kelvin
	if kelvin <= 7000 {
		x = ((-4.6070*t+2.9678)*t+0.09911)*t + 0.244063
	} else {
		x = ((-2.0064*t+1.9018)*t+0.24748)*t + 0.237040
	}
	return x, (-3*x+2.870)*x - 0.275, nil
}

// DaylightFactors gives M1 and M2, the weights of S1 and S2 beside S0 in
// daylight of that temperature, unrounded (CIE 015:2018 clause 4.2.2):
//
//	M  = 0.0241 + 0.2562x − 0.7341y
//	M1 = (−1.3515 − 1.7703x + 5.9114y)/M
//	M2 = (0.0300 − 31.4424x + 30.0717y)/M
//
// The CIE rounds them to three decimals for its tabulated illuminants D only.
func DaylightFactors(kelvin float64) (m1, m2 float64, err error) {
	x, y, err := DaylightChromaticity(kelvin)
	if err != nil {
		return 0, 0, err
	}
	m := 0.0241 + 0.2562*x - 0.7341*y
	return (-1.3515 - 1.7703*x + 5.9114*y) / m, (0.0300 - 31.4424*x + 30.0717*y) / m, nil
}

// Daylight is the relative spectrum of the CIE daylight phase with that
// correlated colour temperature, 4000 to 25 000 K: S0 + M1·S1 + M2·S2. The
// temperature is on today's scale; the illuminant named D65 is at
// 6500 · 1.4388/1.4380 = 6504 K.
func Daylight(kelvin float64) (Spectrum, error) {
	m1, m2, err := DaylightFactors(kelvin)
	if err != nil {
		return Spectrum{}, err
	}
	d := &grids().daylight
	return Mix(Share{&d[0], 1}, Share{&d[1], m1}, Share{&d[2], m2}), nil
}

// illuminantA is the defining formula of CIE standard illuminant A (ISO/CIE
// 11664-2:2022), 100 at 560 nm, with the radiation constant of its first
// definition.
func illuminantA(nm float64) float64 {
	const c = 1.435e7 / 2848 // nm
	r := 560 / nm
	return 100 * r * r * r * r * r * math.Expm1(c/560) / math.Expm1(c/nm)
}

// Illuminant gives a standard illuminant or a formula spectrum by name:
//
//   - the names of Illuminants: tables of the CIE at 5 nm, interpolated
//     linearly to 1 nm; A from its formula, E equal to 1;
//   - a name with "@1nm" (LED-B1 … LED-V2, A, D65): the CIE's own 1 nm table;
//   - "Planck4000K" and "Daylight5600K" with any allowed temperature.
//
// Names are matched without regard to case. The spectrum is relative.
func Illuminant(name string) (Spectrum, error) {
	name = strings.TrimSpace(name)
	upper := strings.ToUpper(name)
	switch upper {
	case "A":
		return Func(illuminantA), nil
	case "E":
		return Func(func(float64) float64 { return 1 }), nil
	}
	if t, ok := formula(upper, "PLANCK"); ok {
		return Planck(t)
	}
	if t, ok := formula(upper, "DAYLIGHT"); ok {
		return Daylight(t)
	}
	if start, step, values, ok := curve(upper); ok {
		return Func(func(nm float64) float64 { return interpolate(start, step, values, nm) }), nil
	}
	return Spectrum{}, unknown(name)
}

// Standard gives the published table of an illuminant: its first wavelength,
// its step (both nm) and its values. Use it where a printed figure was made
// with sums at the table's own step. E has no table.
func Standard(name string) (start, step float64, values []float64, err error) {
	start, step, values, ok := curve(strings.ToUpper(strings.TrimSpace(name)))
	if !ok {
		return 0, 0, nil, unknown(name)
	}
	return start, step, append([]float64(nil), values...), nil
}

// Illuminants lists the names Illuminant knows, beside the formulas.
func Illuminants() []string {
	names := []string{"A"}
	wide := wideTable().Names
	names = append(names, wide[1:5]...)
	names = append(names, "E")
	names = append(names, narrowTable().Names...)
	names = append(names, wide[5:]...)
	for _, n := range ledTable().Names {
		names = append(names, n+"@1nm")
	}
	return append(names, "A@1nm", "D65@1nm")
}

func curve(upper string) (start, step float64, values []float64, ok bool) {
	tables := []*Table{wideTable(), narrowTable()}
	base, fine := strings.CutSuffix(upper, "@1NM")
	if fine {
		tables = []*Table{ledTable(), fineTable()}
	}
	for _, t := range tables {
		if v, found := t.Column(base); found {
			return t.Start, t.Step, v, true
		}
	}
	return 0, 0, nil, false
}

func formula(upper, prefix string) (kelvin float64, ok bool) {
	rest, ok := strings.CutPrefix(upper, prefix)
	if !ok {
		return 0, false
	}
	rest, ok = strings.CutSuffix(rest, "K")
	if !ok {
		return 0, false
	}
	t, err := strconv.ParseFloat(rest, 64)
	return t, err == nil
}

func unknown(name string) error {
	return fmt.Errorf("illuminant %q is not known: allowed are A, D50, D55, D65, D75, E, FL1 to FL12, FL3.1 to FL3.15, HP1 to HP5, "+
		"LED-B1 to LED-B5, LED-BH1, LED-RGB1, LED-V1, LED-V2, ID50, ID65, an LED name with @1nm, Planck4000K, Daylight5600K", name)
}
