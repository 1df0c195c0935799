package colour

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// Rendering is the result of CIE 13.3-1995.
type Rendering struct {
	// Ra is the general index, the mean of R1 to R8, unrounded.
	Ra float64
	// RaRounded is the mean of R1 to R8 after rounding each to an integer, the
	// way the CIE states it.
	RaRounded float64
	// R are the special indices: R[0] is R1, R[8] is R9 (strong red), R[14] is
	// the skin of JIS Z 8726. A negative index is a true result.
	R [15]float64
	// Shift is the distance between source and reference in CIE 1960 u, v;
	// above 5.4e-3 the indices lose their meaning (CIE 13.3 clause 5.3).
	Shift float64
	// Reference is the kind of light compared with.
	Reference Reference
	// Valid is false when the source has no correlated colour temperature;
	// then all other fields are zero.
	Valid bool
}

// uvw is a colour in the CIE 1964 uniform space.
type uvw struct{ u, v, w float64 }

// uniform places a colour of luminance factor y (percent) and chromaticity
// u, v beside a white point.
func uniform(y, u, v float64, white [2]float64) uvw {
	w := 25*math.Cbrt(y) - 17
	return uvw{13 * w * (u - white[0]), 13 * w * (v - white[1]), w}
}

// cd are the auxiliary coordinates c, d of the von Kries adaptation.
func cd(u, v float64) (c, d float64) {
	return (4 - u - 10*v) / v, (1.708*v + 0.404 - 1.481*u) / v
}

// render compares the samples under a test light with those under the
// reference.
//
// Formula (CIE 13.3-1995 clauses 5.4 to 5.9): c = (4 − u − 10v)/v,
// d = (1.708v + 0.404 − 1.481u)/v; adapted u' = (10.872 + 0.404 c − 4 d)/D,
// v' = 5.520/D, D = 16.518 + 1.481 c − d, with c = (c_r/c_t) c_i and
// d = (d_r/d_t) d_i; W* = 25 Y^(1/3) − 17, U* = 13 W*(u' − u_r),
// V* = 13 W*(v' − v_r); R_i = 100 − 4.6 ΔE_i; Ra = mean of R1 to R8.
func (f *fold) render(s *spectrum.Spectrum, white XYZ, refWhite [2]float64, ref *[testSamples]uvw) Rendering {
	var raw [testSamples]XYZ
	samples(raw[:], s, f.test[:], &f.end2)
	tu, tv := white.UV()
	ct, dt := cd(tu, tv)
	cr, dr := cd(refWhite[0], refWhite[1])
	r := Rendering{Valid: true, Shift: math.Hypot(tu-refWhite[0], tv-refWhite[1])}
	k := 100 / white.Y
	for i, x := range raw {
		u, v := x.UV()
		c, d := cd(u, v)
		c *= cr / ct
		d *= dr / dt
		div := 16.518 + 1.481*c - d
		t := uniform(k*x.Y, (10.872+0.404*c-4*d)/div, 5.520/div, refWhite)
		du, dv, dw := t.u-ref[i].u, t.v-ref[i].v, t.w-ref[i].w
		r.R[i] = 100 - 4.6*math.Sqrt(du*du+dv*dv+dw*dw)
	}
	for _, v := range r.R[:8] {
		r.Ra += v / 8
		r.RaRounded += math.Round(v) / 8
	}
	return r
}

// CRI gives the colour rendering indices of CIE 13.3-1995 from sums at 1 nm,
// R15 with the skin of JIS Z 8726. The reference is taken at the source's own
// correlated colour temperature. Where the reference changes kind, at 5000 K,
// Ra may jump by some tenths; that is in the standard.
func CRI(s *spectrum.Spectrum) (Rendering, error) {
	white, t, err := whiteAndTemperature(s)
	if err != nil || !t.Valid {
		return Rendering{}, err
	}
	var ref standardView
	reference(&ref, t.Kelvin)
	r := folded().render(s, white, ref.white, &ref.test)
	r.Reference = renderingKind(t.Kelvin)
	return r, nil
}

func renderingKind(kelvin float64) Reference {
	if kelvin < 5000 {
		return BlackBody
	}
	return DaylightPhase
}

func whiteAndTemperature(s *spectrum.Spectrum) (XYZ, Temperature, error) {
	if err := s.Check(); err != nil {
		return XYZ{}, Temperature{}, err
	}
	white := weigh(s, &folded().cmf2)
	if white.Y <= 0 {
		return XYZ{}, Temperature{}, errInvisible
	}
	return white, CCTOfUV(white.UV()), nil
}

// Findings says when the indices are to be read with care.
func (r *Rendering) Findings() []finding.Finding {
	if !r.Valid || r.Shift <= 5.4e-3 {
		return nil
	}
	return []finding.Finding{{
		Severity: finding.Warn,
		Key:      "colour.reference_shift",
		What:     fmt.Sprintf("the light lies %.4f from its reference in u, v; up to 0.0054 the rendering indices are defined", r.Shift),
		Cause:    "the light is too far from the black-body or daylight line, greenish or pinkish, for the colour adaptation in the method",
		Mend:     "read Ra and R1 to R15 as rough figures only; fidelity Rf is less disturbed",
		Source:   "CIE 13.3-1995 clause 5.3",
	}}
}
