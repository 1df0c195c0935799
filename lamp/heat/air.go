package heat

import "math"

const (
	// gravity in m/s².
	gravity = 9.81
	// sigma is the Stefan-Boltzmann constant, W/(m²·K⁴), CODATA 2018.
	sigma = 5.670374419e-8

	airColdest = 250.0 // K, first line of the air table
	airHottest = 400.0 // K, last line of the air table
)

// air holds the properties of dry air at 101.325 kPa.
type air struct {
	nu    float64 // kinematic viscosity, m²/s
	k     float64 // thermal conductivity, W/(m·K)
	alpha float64 // thermal diffusivity, m²/s
	pr    float64 // Prandtl number
	beta  float64 // 1/T, ideal gas, 1/K
}

// airTable is dry air at 250, 300, 350 and 400 K.
//
// Source: Incropera & DeWitt, Fundamentals of Heat and Mass Transfer,
// table A.4.
var airTable = [4]air{
	{nu: 11.44e-6, k: 0.0223, alpha: 15.9e-6, pr: 0.720},
	{nu: 15.89e-6, k: 0.0263, alpha: 22.5e-6, pr: 0.707},
	{nu: 20.92e-6, k: 0.0300, alpha: 29.9e-6, pr: 0.700},
	{nu: 26.41e-6, k: 0.0338, alpha: 38.3e-6, pr: 0.690},
}

// airAt interpolates the table linearly at the film temperature t (K). Below
// 250 and above 400 K it holds the end values, so that a solver may pass
// through such a temperature; results there are refused.
func airAt(t float64) air {
	u := (min(max(t, airColdest), airHottest) - airColdest) / 50
	i := min(int(u), 2)
	f := u - float64(i)
	a, b := &airTable[i], &airTable[i+1]
	return air{
		nu:    a.nu + f*(b.nu-a.nu),
		k:     a.k + f*(b.k-a.k),
		alpha: a.alpha + f*(b.alpha-a.alpha),
		pr:    a.pr + f*(b.pr-a.pr),
		beta:  1 / t,
	}
}

// rayleigh is g β ΔT L³/(ν α), dimensionless; g in m/s², dT in K, l in m.
func (a *air) rayleigh(g, dT, l float64) float64 {
	return g * a.beta * dT * l * l * l / (a.nu * a.alpha)
}

// prandtlTerm is [1+(0.492/Pr)^(9/16)]^(4/9), the Prandtl number's part in
// the Churchill-Chu laws.
func prandtlTerm(pr float64) float64 {
	return math.Pow(1+math.Pow(0.492/pr, 9.0/16), 4.0/9)
}

// prandtlFit is the parabola through prandtlTerm at Pr 0.690, 0.705 and
// 0.720, which spans the air table; it is within 4e-7 of it there and spares
// two powers per surface.
var prandtlFit = func() [3]float64 {
	const h = 0.015
	a, b, c := prandtlTerm(0.705-h), prandtlTerm(0.705), prandtlTerm(0.705+h)
	return [3]float64{b, (c - a) / (2 * h), (a - 2*b + c) / (2 * h * h)}
}()

// nuSlope is the Churchill-Chu laminar law for a vertical or leaning plate,
//
//	Nu = 0.68 + 0.670 Ra^(1/4) / [1+(0.492/Pr)^(9/16)]^(4/9)
//
// with Ra on the height along the slope and gravity times the cosine of the
// lean. Validity: Ra below 1e9, any Pr, lean up to 60° from the vertical.
//
// Source: Churchill & Chu 1975, Int. J. Heat Mass Transfer 18:1323, eq. 9;
// Incropera & DeWitt, eq. 9.27.
func nuSlope(ra, prTerm float64) float64 {
	return 0.68 + 0.670*math.Sqrt(math.Sqrt(ra))/prTerm
}

// nuUp is the law for a hot plate facing up, Nu = 0.54 Ra^(1/4) to Ra 1e7 and
// 0.15 Ra^(1/3) beyond, length = area/perimeter, at least 1.
//
// Source: McAdams, Heat Transmission, 1954; Lloyd & Moran 1974; Incropera &
// DeWitt, eqs. 9.30 and 9.31.
func nuUp(ra float64) float64 {
	if ra <= 1e7 {
		return max(1, 0.54*math.Sqrt(math.Sqrt(ra)))
	}
	return 0.15 * math.Cbrt(ra)
}

// nuDown is the law for a hot plate facing down, Nu = 0.27 Ra^(1/4), length =
// area/perimeter, at least 1.
//
// Source: McAdams 1954; Incropera & DeWitt, eq. 9.32.
func nuDown(ra float64) float64 {
	return max(1, 0.27*math.Sqrt(math.Sqrt(ra)))
}

// plate is one rectangular face in free air.
type plate struct {
	height   float64 // m along the slope
	ratio    float64 // m, area/perimeter
	sin, cos float64 // of the elevation of the face's outward normal
}

// newPlate describes a face of the given area (m²) and slope height (m) whose
// outward normal rises by elev (rad) over the horizon.
func newPlate(area, height, elev float64) plate {
	s, c := math.Sincos(elev)
	if math.Abs(s) < 1e-12 {
		s = 0
	}
	width := area / height
	return plate{height: height, ratio: area / (2 * (height + width)), sin: s, cos: max(c, 0)}
}

// coefficient gives the convection coefficient, W/(m²·K), of the face at ts
// in air at ta (K). A leaning face takes the greater of the slope law with
// g·cos(elev) and the horizontal law with g·|sin(elev)|; a face colder than
// the air behaves as a hot one turned over.
//
// Source: the laws of [nuSlope], [nuUp], [nuDown]; taking the greater of the
// two for a leaning face is common practice (Raithby & Hollands).
//
// Not modelled: the tray's own rim, neighbouring surfaces, turbulence of the
// slope law (a tray is far below Ra 1e9).
func (p *plate) coefficient(ts, ta float64) float64 {
	a := airAt((ts + ta) / 2)
	dT, sin := ts-ta, p.sin
	if dT < 0 {
		dT, sin = -dT, -sin
	}
	d := a.pr - 0.705
	term := prandtlFit[0] + d*(prandtlFit[1]+d*prandtlFit[2])
	h := nuSlope(a.rayleigh(gravity*p.cos, dT, p.height), term) * a.k / p.height
	switch {
	case sin > 0:
		h = max(h, nuUp(a.rayleigh(gravity*sin, dT, p.ratio))*a.k/p.ratio)
	case sin < 0:
		h = max(h, nuDown(a.rayleigh(-gravity*sin, dT, p.ratio))*a.k/p.ratio)
	}
	return h
}
