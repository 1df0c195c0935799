package check

import (
	"encoding/json"
	"fmt"
	"strings"

	"dawnsmith/light/colour"
	"dawnsmith/light/eye"
	"dawnsmith/light/hazard"
	"dawnsmith/light/spectrum"
)

// spectrumResults are the measures of one light.
type spectrumResults struct {
	XYZ2   plane            `json:"xyz2"`
	XYZ10  plane            `json:"xyz10"`
	CCT    *cctResult       `json:"cct"`
	CRI    *criResult       `json:"cri"`
	TM30   *tm30Result      `json:"tm30"`
	Alpha  map[string]alpha `json:"alpha_opic"`
	DER    float64          `json:"melanopic_DER"`
	Blue   blueResult       `json:"blh"`
	LER    float64          `json:"ler_lm_per_W"`
	CLA    map[string]any   `json:"cla20"`
	Native *nativeResult    `json:"native_5nm,omitempty"`
}

// plane is X, Y, Z (Y = 100) and the chromaticities that follow.
type plane map[string]float64

type cctResult struct {
	Kelvin float64 `json:"K"`
	Duv    float64 `json:"duv"`
}

type criResult struct {
	Ra        float64     `json:"Ra"`
	RaRounded float64     `json:"Ra_from_rounded_Ri"`
	R         [15]float64 `json:"R"`
	R9        float64     `json:"R9"`
	Shift     float64     `json:"delta_C_uv"`
	Reference string      `json:"reference"`
}

type tm30Result struct {
	Rf        float64     `json:"Rf"`
	Rg        float64     `json:"Rg"`
	RfBin     [16]float64 `json:"Rf_hj"`
	RcsBin    [16]float64 `json:"Rcs_hj"`
	RhsBin    [16]float64 `json:"Rhs_hj"`
	Count     [16]int     `json:"n_hj"`
	RfSample  [99]float64 `json:"Rf_ces"`
	Reference string      `json:"reference"`
}

type alpha struct {
	Efficacy float64 `json:"elr_mW_per_lm"`
	DER      float64 `json:"edi_lx_per_lx"`
}

type blueResult struct {
	KBv   float64 `json:"K_Bv_W_per_lm"`
	Share float64 `json:"eta_B"`
	Lux   float64 `json:"Ev_lx_at_EB_1_W_m2"`
}

type claResult struct {
	CLA float64 `json:"CLA"`
	CS  float64 `json:"CS"`
}

type nativeResult struct {
	X         float64     `json:"x"`
	Y         float64     `json:"y"`
	Kelvin    float64     `json:"cct_K"`
	Duv       float64     `json:"duv"`
	Ra        float64     `json:"Ra"`
	RaRounded float64     `json:"Ra_from_rounded_Ri"`
	R         [15]float64 `json:"R"`
}

// spectrumRules are the tolerances of the set; those of native sums are the
// same as at 1 nm.
func spectrumRules(tol limits) []rule {
	var r []rule
	add := func(rules ...rule) { r = append(r, rules...) }
	xy, xyz := tol.or("x_y", 2e-6), tol.or("XYZ", 2e-4)
	for _, p := range []string{"xyz2/", "xyz10/"} {
		add(within(p+"X", xyz), within(p+"Y", xyz), within(p+"Z", xyz))
		for _, k := range []string{"x", "y", "u", "v", "u'", "v'"} {
			add(within(p+k, xy))
		}
	}
	k, duv, ra, ri := tol.or("cct_K_rel", 5e-5), tol.or("duv", 5e-6), tol.or("Ra", 0.05), tol.or("Ri", 0.1)
	add(share("cct/K", k), within("cct/duv", duv),
		within("cri/Ra", ra), within("cri/R/*", ri), within("cri/R9", ri), equal("cri/reference"),
		within("tm30/Rf", tol.or("Rf", 0.02)), within("tm30/Rg", tol.or("Rg", 0.05)),
		within("tm30/Rf_hj/*", tol.or("Rf_hj", 0.15)), within("tm30/Rcs_hj/*", tol.or("Rcs_hj", 0.0015)),
		within("tm30/Rhs_hj/*", tol.or("Rhs_hj", 0.0025)), equal("tm30/reference"))
	elr := tol.or("elr_rel", 2e-5)
	add(rounded("alpha_opic/*/elr_mW_per_lm", elr, 5), rounded("alpha_opic/*/edi_lx_per_lx", elr, 5), rounded("melanopic_DER", elr, 5),
		share("blh/K_Bv_W_per_lm", tol.or("K_Bv_rel", 5e-5)), share("ler_lm_per_W", tol.or("ler_rel", 1e-5)),
		share("cla20/*/CLA", tol.or("CLA_rel", 5e-4)), within("cla20/*/CS", tol.or("CS", 2e-4)), equal("cla20/b_minus_y"),
		within("native_5nm/x", xy), within("native_5nm/y", xy), share("native_5nm/cct_K", k), within("native_5nm/duv", duv),
		within("native_5nm/Ra", ra), within("native_5nm/R/*", ri))
	return r
}

func spectra(src *source) ([]entry, error) {
	var out []entry
	all, ok := src.child("spectra")
	if !ok && src.get("spectra") != nil {
		return nil, fmt.Errorf("spectra must be an object of spectra by name")
	}
	rules := spectrumRules(src.tolerance)
	for _, key := range all.keys {
		raw := all.values[key]
		var o object
		bad := json.Unmarshal(raw, &o)
		out = append(out, entry{
			id: key, title: o.text("source"), rules: rules, stored: answers(o),
			compute: func() (any, error) {
				if bad != nil {
					return nil, fmt.Errorf("the spectrum is no object")
				}
				return measureNamed(key, o, src)
			},
		})
	}
	return append(out, functions(src)...), nil
}

// answers are what a spectrum's entry holds beside its input; nil for nothing.
func answers(o object) json.RawMessage {
	rest := map[string]json.RawMessage{}
	for k, v := range o.values {
		if k != "source" && k != "input" {
			rest[k] = v
		}
	}
	if len(rest) == 0 {
		return nil
	}
	b, err := json.Marshal(rest)
	if err != nil {
		return nil
	}
	return b
}

// measureNamed finds the light a case speaks of and measures it.
func measureNamed(key string, o object, src *source) (any, error) {
	in, ok := o.child("input")
	if o.get("input") != nil && !ok {
		return nil, fmt.Errorf("input is no object")
	}
	if in.get("file") != nil {
		name := in.text("file")
		if name == "" {
			return nil, fmt.Errorf("input.file is no file name")
		}
		s, native, err := readSpectrum(src.dir, name)
		if err != nil {
			return nil, fmt.Errorf("spectrum file %q: %w", name, err)
		}
		return measure(&s, native)
	}
	s, err := spectrum.Illuminant(key)
	if err != nil {
		return nil, err
	}
	return measure(&s, fiveNanometre(key))
}

// fiveNanometre is the published 5 nm table of an illuminant on 380–780 nm;
// nil when there is none.
func fiveNanometre(key string) []float64 {
	if strings.Contains(key, "@") {
		return nil
	}
	start, step, values, err := spectrum.Standard(key)
	if err != nil || step != 5 {
		return nil
	}
	first := int(spectrum.First-start) / 5
	const n = (spectrum.N + 4) / 5
	if start > spectrum.First || len(values) < first+n {
		return nil
	}
	return values[first : first+n]
}

// measure takes every measure of a light. A light without a colour
// temperature has neither rendition nor fidelity: those are null.
func measure(s *spectrum.Spectrum, native []float64) (any, error) {
	if err := s.Check(); err != nil {
		return nil, err
	}
	var c colour.Colour
	if err := colour.Of(&c, s); err != nil {
		return nil, err
	}
	r := spectrumResults{XYZ2: planeOf(c.XYZ2).withUV(c.XYZ2), XYZ10: planeOf(c.XYZ10), LER: s.LER(), Alpha: map[string]alpha{}, CLA: map[string]any{}}
	if c.Temperature.Valid {
		r.CCT = &cctResult{c.Temperature.Kelvin, c.Temperature.Duv}
	}
	if q := &c.Rendering; q.Valid {
		r.CRI = &criResult{q.Ra, q.RaRounded, q.R, q.R[8], q.Shift, q.Reference.String()}
	}
	if f := &c.Fidelity; f.Valid {
		r.TM30 = &tm30Result{f.Rf, f.Rg, f.RfBin, f.RcsBin, f.RhsBin, f.Count, f.RfSample, f.Reference.String()}
	}
	a, err := eye.Alpha(s)
	if err != nil {
		return nil, err
	}
	for i, k := range []string{"sc", "mc", "lc", "rh", "mel"} {
		r.Alpha[k] = alpha{a.Efficacy[i] * 1e3, a.DER[i]}
	}
	r.DER = a.DER[eye.Melanopic]
	if r.Blue.KBv, err = hazard.BlueEfficacy(s); err != nil {
		return nil, err
	}
	if r.Blue.Share, err = hazard.BlueShare(s); err != nil {
		return nil, err
	}
	if r.Blue.KBv > 0 {
		r.Blue.Lux = 1 / r.Blue.KBv
	}
	for _, lux := range []float64{100, 300, 1000} {
		st, err := eye.Circadian(s, lux, eye.DeskLamp)
		if err != nil {
			return nil, err
		}
		r.CLA[fmt.Sprint(lux)] = claResult{st.CLA, st.CS}
		r.CLA["b_minus_y"] = map[bool]string{true: "blue", false: "yellow"}[st.Blue]
		r.CLA["b_minus_y_at_1000lx"] = st.BlueYellow
	}
	if native != nil {
		if r.Native, err = nativeOf(native); err != nil {
			return nil, err
		}
	}
	return r, nil
}

func planeOf(c colour.XYZ) plane {
	x, y := c.XY()
	return plane{"X": c.X, "Y": c.Y, "Z": c.Z, "x": x, "y": y}
}

// withUV adds the chromaticities of the 2° observer's uniform diagrams.
func (p plane) withUV(c colour.XYZ) plane {
	p["u"], p["v"] = c.UV()
	p["u'"], p["v'"] = c.UVPrime()
	return p
}

func nativeOf(values []float64) (*nativeResult, error) {
	n, err := colour.AtFive(values)
	if err != nil {
		return nil, err
	}
	r := &nativeResult{Kelvin: n.Temperature.Kelvin, Duv: n.Temperature.Duv, Ra: n.Rendering.Ra, RaRounded: n.Rendering.RaRounded, R: n.Rendering.R}
	r.X, r.Y = n.XYZ2.XY()
	return r, nil
}
