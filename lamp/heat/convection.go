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

// cavity is the closed air space between the floor and the sheet.
type cavity struct {
	depth     float64 // m
	logAspect float64 // ln(slope height/depth)
	h         hollands
	hBack     hollands // the same space heated from the sheet's side
}

// hollands keeps what depends on the tilt alone.
type hollands struct {
	tau     float64 // rad, 90° minus the elevation of the front's normal
	sin     float64 // of tau, beyond 90°
	lean    float64 // (sin 1.8τ)^1.6 at min(τ, 60°)
	cosLean float64 // cos of min(τ, 60°)
}

const (
	sixty   = math.Pi / 3
	log6310 = 8.749890955535259
)

func newCavity(depth, height, elev float64) cavity {
	tau := math.Pi/2 - elev
	return cavity{depth: depth, logAspect: math.Log(height / depth), h: newHollands(tau), hBack: newHollands(math.Pi - tau)}
}

func newHollands(tau float64) hollands {
	h := hollands{tau: tau}
	if tau >= math.Pi/2 {
		h.sin = max(math.Sin(tau), 0)
		return h
	}
	t := min(tau, sixty)
	h.cosLean = math.Cos(t)
	h.lean = math.Pow(max(0, math.Sin(1.8*t)), 1.6)
	return h
}

// nuVertical is the Nusselt number of a tall vertical air layer,
//
//	Nu = max{0.0605 Ra^(1/3), [1+(0.104 Ra^0.293/(1+(6310/Ra)^1.36))³]^(1/3), 0.242 (Ra/A)^0.272}
//
// Ra on the depth, A = height/depth, given by its logarithm. Validity: A 5 to 110, Ra 1e2 to 2e7.
//
// Source: ElSherbiny, Raithby & Hollands 1982, J. Heat Transfer 104:96.
func nuVertical(ra, logAspect float64) float64 {
	if ra <= 0 {
		return 1
	}
	lr := math.Log(ra)
	mid := 0.0
	if ra > 100 { // below, the term differs from nothing by less than 1e-9
		mid = 0.104 * math.Exp(0.293*lr) / (1 + math.Exp(1.36*(log6310-lr)))
	}
	// The greatest of three cubes, then one root.
	const a, c = 0.0605 * 0.0605 * 0.0605, 0.242 * 0.242 * 0.242
	return math.Cbrt(max(a*ra, 1+mid*mid*mid, c*math.Exp(3*0.272*(lr-logAspect))))
}

// nuTilted is the Nusselt number of a layer heated from below and tilted by
// tau from the horizontal,
//
//	Nu = 1 + 1.44 [1-1708/(Ra cos τ)]⁺ [1-1708 (sin 1.8τ)^1.6/(Ra cos τ)] + [(Ra cos τ/5830)^(1/3)-1]⁺
//
// where a bracket with ⁺ is dropped when negative. Validity: τ 0 to 60°,
// aspect above 12, Ra to 1e5 (used here to 1e7).
//
// Source: Hollands, Unny, Raithby & Konicek 1976, J. Heat Transfer 98:189.
func nuTilted(ra, cos, lean float64) float64 {
	rc := ra * cos
	nu := 1.0
	if rc > 1708 {
		nu += 1.44 * (1 - 1708/rc) * (1 - 1708*lean/rc)
	}
	if rc > 5830 {
		nu += math.Cbrt(rc/5830) - 1
	}
	return nu
}

// coefficient is the convection coefficient, W/(m²·K), across the space with
// the floor at hot and the sheet at cold (K). Heated from below it follows
// [nuTilted] to 60°, goes linearly to [nuVertical] at 90°, and from there to
// still air, Nu = 1 + (Nu90-1) sin τ, when heated from above. All properties
// at the mean of the two temperatures.
//
// Source: the laws named; the path beyond 90° is Arnold, Catton & Edwards
// 1976, J. Heat Transfer 98:67.
func (c *cavity) coefficient(hot, cold float64) float64 {
	a := airAt((hot + cold) / 2)
	h := &c.h
	dT := hot - cold
	if dT < 0 {
		dT, h = -dT, &c.hBack
	}
	ra := a.rayleigh(gravity, dT, c.depth)
	var nu float64
	switch {
	case h.tau >= math.Pi/2:
		nu = 1 + (nuVertical(ra, c.logAspect)-1)*h.sin
	case h.tau <= sixty:
		nu = nuTilted(ra, h.cosLean, h.lean)
	default:
		n60 := nuTilted(ra, h.cosLean, h.lean)
		nu = n60 + (nuVertical(ra, c.logAspect)-n60)*(h.tau-sixty)/(math.Pi/2-sixty)
	}
	return nu * a.k / c.depth
}
