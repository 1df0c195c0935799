package heat

import "math"

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
	return max(0.0605*math.Cbrt(ra), math.Cbrt(1+mid*mid*mid), 0.242*math.Exp(0.272*(lr-logAspect)))
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
