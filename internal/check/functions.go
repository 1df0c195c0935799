package check

import (
	"encoding/json"
	"fmt"
	"strconv"

	"dawnsmith/light/colour"
	"dawnsmith/light/eye"
	"dawnsmith/light/hazard"
	"dawnsmith/light/spectrum"
)

// functions are points of single formulas. Their inputs are the keys, or the
// fields of a list's entries, so only entries that are there are computed.
func functions(src *source) []entry {
	all, ok := src.child("functions")
	if !ok {
		return nil
	}
	k, duv, xy := src.tolerance.or("cct_K_rel", 5e-5), src.tolerance.or("duv", 5e-6), src.tolerance.or("x_y", 2e-6)
	cs, cla := src.tolerance.or("CS", 2e-4), src.tolerance.or("CLA_rel", 5e-4)
	known := map[string]struct {
		compute func(json.RawMessage) (any, error)
		rules   []rule
	}{
		"planck_uv_1960_full_range": {byNumber(planckUV), []rule{within("*/*", xy)}},
		"uv_to_cct_duv":             {each(cctOfUV), []rule{share("*/cct_K", k), within("*/duv", duv)}},
		// M1 and M2 are stored to five decimals.
		"daylight_locus":                   {byNumber(daylightLocus), []rule{within("*/x", xy), within("*/y", xy), within("*/M1", 2e-5), within("*/M2", 2e-5)}},
		"CS_of_CLA_t1_f1":                  {byNumber(func(cla float64) (any, error) { return eye.CS(cla, eye.DeskLamp) }), []rule{within("*", cs)}},
		"CS_of_CLA_other_t_f":              {each(csOfCLA), []rule{within("*/CS", cs)}},
		"CLA_jump_on_planck_locus_380_780": {each(claOfPlanck), []rule{rounded("*/CLA_at_lx/*", cla, 2)}},
		"CLA_at_lx":                        {claOfNamed, []rule{rounded("*/*", cla, 2)}},
		"B_lambda_at_nm":                   {byNumber(func(nm float64) (any, error) { return hazard.Blue(nm), nil }), []rule{share("*", 1e-6)}},
	}
	var out []entry
	for _, key := range all.keys {
		raw := all.get(key)
		e := entry{id: key, stored: raw}
		f, ok := known[key]
		e.rules = f.rules
		e.compute = func() (any, error) {
			if !ok {
				return nil, fmt.Errorf("the function %q is not known", key)
			}
			if raw == nil {
				return nil, fmt.Errorf("no points are given")
			}
			return f.compute(raw)
		}
		out = append(out, e)
	}
	return out
}

// byNumber computes f at each key of an object of numbers.
func byNumber(f func(float64) (any, error)) func(json.RawMessage) (any, error) {
	return func(raw json.RawMessage) (any, error) {
		var o object
		if json.Unmarshal(raw, &o) != nil {
			return nil, fmt.Errorf("an object with a number as each key was expected")
		}
		out := map[string]any{}
		for _, key := range o.keys {
			x, err := strconv.ParseFloat(key, 64)
			if err != nil {
				return nil, fmt.Errorf("key %q is no number", key)
			}
			if out[key], err = f(x); err != nil {
				return nil, err
			}
		}
		return out, nil
	}
}

// each computes f for each entry of a list.
func each(f func(json.RawMessage) (any, error)) func(json.RawMessage) (any, error) {
	return func(raw json.RawMessage) (any, error) {
		var l []json.RawMessage
		if json.Unmarshal(raw, &l) != nil {
			return nil, fmt.Errorf("a list was expected")
		}
		out := []any{}
		for i, r := range l {
			v, err := f(r)
			if err != nil {
				return nil, fmt.Errorf("entry %d: %w", i, err)
			}
			out = append(out, v)
		}
		return out, nil
	}
}

func planckUV(kelvin float64) (any, error) {
	if !(kelvin >= 500 && kelvin <= 1e5) {
		return nil, fmt.Errorf("%g K: allowed are 500 to 100000 K", kelvin)
	}
	u, v := colour.PlanckianUV(kelvin)
	return [2]float64{u, v}, nil
}

func cctOfUV(raw json.RawMessage) (any, error) {
	var in struct{ U, V *float64 }
	if err := into(raw, &in); err != nil {
		return nil, err
	}
	if in.U == nil || in.V == nil {
		return nil, fmt.Errorf("u and v are needed")
	}
	t := colour.CCTOfUV(*in.U, *in.V)
	if !t.Valid {
		return nil, fmt.Errorf("u %g, v %g has no colour temperature", *in.U, *in.V)
	}
	return struct {
		Kelvin float64 `json:"cct_K"`
		Duv    float64 `json:"duv"`
	}{t.Kelvin, t.Duv}, nil
}

func daylightLocus(kelvin float64) (any, error) {
	x, y, err := spectrum.DaylightChromaticity(kelvin)
	if err != nil {
		return nil, err
	}
	m1, m2, err := spectrum.DaylightFactors(kelvin)
	if err != nil {
		return nil, err
	}
	return map[string]float64{"x": x, "y": y, "M1": m1, "M2": m2}, nil
}

func csOfCLA(raw json.RawMessage) (any, error) {
	var in struct {
		CLA   float64 `json:"CLA"`
		Hours float64 `json:"t_h"`
		Field float64 `json:"f"`
	}
	if err := into(raw, &in); err != nil {
		return nil, err
	}
	cs, err := eye.CS(in.CLA, eye.View{Hours: in.Hours, Field: in.Field})
	return map[string]float64{"CS": cs}, err
}

func claOfPlanck(raw json.RawMessage) (any, error) {
	var in struct {
		Kelvin float64 `json:"T_K"`
		Levels object  `json:"CLA_at_lx"`
	}
	if err := into(raw, &in); err != nil {
		return nil, err
	}
	s, err := spectrum.Planck(in.Kelvin)
	if err != nil {
		return nil, err
	}
	at, err := claAt(&s, in.Levels)
	if err != nil {
		return nil, err
	}
	thousand, err := eye.Circadian(&s, 1000, eye.DeskLamp)
	return map[string]any{"b_minus_y_at_1000lx": thousand.BlueYellow, "CLA_at_lx": at}, err
}

func claOfNamed(raw json.RawMessage) (any, error) {
	var o object
	if json.Unmarshal(raw, &o) != nil {
		return nil, fmt.Errorf("an object of spectra by name was expected")
	}
	out := map[string]any{}
	for _, name := range o.keys {
		s, err := spectrum.Illuminant(name)
		if err != nil {
			return nil, err
		}
		levels, ok := o.child(name)
		if !ok {
			return nil, fmt.Errorf("%s: an object with lux as keys was expected", name)
		}
		if out[name], err = claAt(&s, levels); err != nil {
			return nil, err
		}
	}
	return out, nil
}

func claAt(s *spectrum.Spectrum, levels object) (map[string]float64, error) {
	out := map[string]float64{}
	for _, key := range levels.keys {
		lux, err := strconv.ParseFloat(key, 64)
		if err != nil {
			return nil, fmt.Errorf("key %q is no illuminance", key)
		}
		st, err := eye.Circadian(s, lux, eye.DeskLamp)
		if err != nil {
			return nil, err
		}
		out[key] = st.CLA
	}
	return out, nil
}
