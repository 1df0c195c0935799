package part

import (
	"math"
	"slices"

	"dawnsmith/light/lobe"
	"dawnsmith/quantity"
)

// Under is what s, towards the LEDs, makes with t laid on it, light going to and
// fro between them, as one sheet that nobody sells, its id those of both joined
// by a plus:
//
//	T = T₁T₂/(1 − R₁R₂),  R = R₁ + T₁²R₂/(1 − R₁R₂)
//	u = u₁u₂·(1 − R₁R₂),  l = (u₁l₂ + l₁u₂ + l₁l₂)·(1 − R₁R₂),  σ² by shares
//
// Light that turns back between the sheets comes out even: it is the share R₁R₂
// of what passes. Lobes run one into the other as Gaussians do, σ₁² + σ₂², and
// the one lobe that stands for all has their mean σ²; one wider than a part
// may have is taken as even. Uncertainties are those of both sheets, their curves multiplied,
// the lower limit counts.
//
// Not modelled: a gap between the sheets, which spreads the light further, and
// glue in it, which takes the reflections away. Reflectance is alike on both
// sides. Source: G. G. Stokes, Proc. R. Soc. 11 (1862) 545, piles of plates; two
// equal sheets give T²/(1 − R²).
func (s Sheet) Under(t Sheet) Sheet {
	x := pile(s, t)
	out := s
	out.ID, out.Name, out.Note, out.Price, out.Pack = s.ID+"+"+t.ID, s.Name+", and on it "+t.Name, "", Money{}, 0
	out.Transmittance = piled(s, t, func(p passes) float64 { return p.t })
	out.Reflectance = piled(s, t, func(p passes) float64 { return p.r })
	out.Clear = piled(s, t, func(p passes) float64 { return p.u })
	out.Lobe, out.LobeWidth = x.l, quantity.Value{}
	if x.l > 0 {
		out.LobeWidth = piled(s, t, func(p passes) float64 { return p.width })
	}
	out.Thickness = s.Thickness + t.Thickness
	out.Density = (s.Density*s.Thickness + t.Density*t.Thickness) / out.Thickness
	out.Limit, out.Emissivity = min(s.Limit, t.Limit), t.Emissivity
	out.Curve = both(s, t)
	return out
}

// passes is what a sheet does to light, by the middle of its values.
type passes struct{ t, r, u, l, width float64 }

func pile(a, b Sheet) passes {
	turned := a.Reflectance.X * b.Reflectance.X
	back := 1 / (1 - turned)
	ta, tb := a.Transmittance.X, b.Transmittance.X
	out := passes{t: ta * tb * back, r: a.Reflectance.X + ta*ta*b.Reflectance.X*back, u: a.Clear.X * b.Clear.X * (1 - turned)}
	variance := func(s Sheet) float64 {
		if s.Lobe == 0 {
			return 0
		}
		v := lobe.Sigma(s.LobeWidth.X)
		return v * v
	}
	va, vb := variance(a), variance(b)
	first, second, twice := a.Lobe*b.Clear.X, a.Clear.X*b.Lobe, a.Lobe*b.Lobe
	l := first + second + twice
	if l == 0 {
		return out
	}
	if w := lobe.FWHM(math.Sqrt((first*va + second*vb + twice*(va+vb)) / l)); w <= widestLobe*math.Pi/180 {
		out.l, out.width = l*(1-turned), w
	}
	return out
}

// piled is one value of the pile with the uncertainty of both sheets, slopes by
// differences.
func piled(a, b Sheet, of func(passes) float64) quantity.Value {
	at := of(pile(a, b))
	var parts []quantity.Part
	for i := range 2 {
		for _, field := range []func(*Sheet) *quantity.Value{
			func(s *Sheet) *quantity.Value { return &s.Transmittance }, func(s *Sheet) *quantity.Value { return &s.Reflectance },
			func(s *Sheet) *quantity.Value { return &s.Clear }, func(s *Sheet) *quantity.Value { return &s.LobeWidth },
		} {
			moved := [2]Sheet{a, b}
			v := field(&moved[i])
			if v.U() == 0 {
				continue
			}
			was := *v
			step := -1e-4 * math.Max(v.X, 1e-3) // down, so that a lobe stays under 120°
			v.X += step
			parts = append(parts, quantity.Part{Value: was, Slope: (of(pile(moved[0], moved[1])) - at) / step})
		}
	}
	return quantity.Combine(at, parts...)
}

// both is the curve of what passes two sheets, at the wavelengths of either.
func both(a, b Sheet) Curve {
	var at []float64
	for _, c := range []Curve{a.Curve, b.Curve} {
		for _, p := range c {
			at = append(at, p[0])
		}
	}
	slices.Sort(at)
	var out Curve
	for _, nm := range slices.Compact(at) {
		out = append(out, [2]float64{nm, a.Curve.At(nm, a.Transmittance.X) * b.Curve.At(nm, b.Transmittance.X)})
	}
	return out
}
