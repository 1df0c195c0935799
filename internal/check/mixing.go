package check

import (
	"encoding/json"
	"fmt"

	"dawnsmith/day/daylight"
)

// mixed is the light of a mixture.
type mixed struct {
	Lux    float64 `json:"E_lx"`
	MEDI   float64 `json:"melanopic_EDI_lx"`
	DER    float64 `json:"der"`
	X      float64 `json:"x"`
	Y      float64 `json:"y"`
	Kelvin float64 `json:"cct_K"`
	Duv    float64 `json:"duv"`
}

func mixedOf(m daylight.Mixed) mixed {
	return mixed{m.Lux, m.MEDI, m.DER, m.X, m.Y, m.Kelvin, m.Duv}
}

// aimed is the answer to one target.
type aimed struct {
	Kelvin  float64  `json:"cct_target_K"`
	Lux     *float64 `json:"lx_target,omitempty"`
	MEDI    *float64 `json:"mEDI_target,omitempty"`
	Share   float64  `json:"cool_share_of_illuminance"`
	Colour  string   `json:"colour"`
	Warm    float64  `json:"warm"`
	Cool    float64  `json:"cool"`
	Limited *string  `json:"limited_by"`
	Result  mixed    `json:"result"`
}

type swept struct {
	Share float64 `json:"cool_share_of_illuminance"`
	mixed
}

type whiteInput struct {
	X   float64 `json:"x"`
	Y   float64 `json:"y"`
	E   float64 `json:"E"`
	DER float64 `json:"der"`
}

func (w whiteInput) channel() daylight.Channel {
	return daylight.Channel{Lux: w.E, X: w.X, Y: w.Y, DER: w.DER}
}

// pairInput is a pair and what is asked of it. The light of a sweep is held at
// 1000 lx.
type pairInput struct {
	Warm, Cool whiteInput
	Sweep      []struct {
		Share *float64 `json:"cool_share_of_illuminance"`
	} `json:"sweep"`
	Lux []struct {
		Kelvin float64 `json:"cct_target_K"`
		Lux    float64 `json:"lx_target"`
	} `json:"constant_lx"`
	MEDI []struct {
		Kelvin float64 `json:"cct_target_K"`
		MEDI   float64 `json:"mEDI_target"`
	} `json:"constant_mEDI"`
	Maximum []struct {
		Kelvin float64 `json:"cct_target_K"`
	} `json:"maximum"`
}

const sweepLux = 1000

func mixtures(src *source) ([]entry, error) {
	t := src.tolerance
	var rules []rule
	light := func(p string) {
		rules = append(rules, share(p+"E_lx", t.or("lx_relative", 1e-6)), share(p+"melanopic_EDI_lx", t.or("lx_relative", 1e-6)),
			within(p+"cct_K", t.or("cct_K", 0.1)), within(p+"duv", t.or("duv", 1e-6)))
	}
	light("ends/*/")
	light("sweep/*/")
	for _, list := range []string{"constant_lx", "constant_mEDI", "maximum"} {
		p := list + "/*/"
		light(p + "result/")
		rules = append(rules, within(p+"warm", t.or("drive", 1e-5)), within(p+"cool", t.or("drive", 1e-5)),
			within(p+"cool_share_of_illuminance", t.or("drive", 1e-5)), equal(p+"colour"), equal(p+"limited_by"))
	}
	return src.entries("pairs", "", rules, mixPair)
}

func mixPair(raw json.RawMessage) (any, error) {
	var in pairInput
	if err := into(raw, &in); err != nil {
		return nil, err
	}
	p := daylight.Pair{Warm: in.Warm.channel(), Cool: in.Cool.channel()}
	if err := p.Validate(); err != nil {
		return nil, err
	}
	out := struct {
		Ends    []mixed `json:"ends"`
		Sweep   []swept `json:"sweep,omitempty"`
		Lux     []aimed `json:"constant_lx,omitempty"`
		MEDI    []aimed `json:"constant_mEDI,omitempty"`
		Maximum []aimed `json:"maximum,omitempty"`
	}{}
	for _, d := range [][2]float64{{1, 0}, {0, 1}, {1, 1}} {
		m, err := p.At(d[0], d[1])
		if err != nil {
			return nil, err
		}
		out.Ends = append(out.Ends, mixedOf(m))
	}
	for i, s := range in.Sweep {
		if s.Share == nil {
			return nil, fmt.Errorf("sweep[%d].cool_share_of_illuminance is missing", i)
		}
		m, err := sweep(p, *s.Share)
		if err != nil {
			return nil, fmt.Errorf("sweep[%d]: %w", i, err)
		}
		out.Sweep = append(out.Sweep, swept{*s.Share, m})
	}
	for i, t := range in.Lux {
		m, err := p.Mix(daylight.Target{Kelvin: t.Kelvin, Lux: t.Lux})
		if err != nil {
			return nil, fmt.Errorf("constant_lx[%d]: %w", i, err)
		}
		a := aimedOf(t.Kelvin, m)
		a.Lux = &t.Lux
		out.Lux = append(out.Lux, a)
	}
	for i, t := range in.MEDI {
		m, err := p.Mix(daylight.Target{Kelvin: t.Kelvin, MEDI: t.MEDI})
		if err != nil {
			return nil, fmt.Errorf("constant_mEDI[%d]: %w", i, err)
		}
		a := aimedOf(t.Kelvin, m)
		a.MEDI = &t.MEDI
		out.MEDI = append(out.MEDI, a)
	}
	for i, t := range in.Maximum {
		m, err := p.Maximum(t.Kelvin)
		if err != nil {
			return nil, fmt.Errorf("maximum[%d]: %w", i, err)
		}
		out.Maximum = append(out.Maximum, aimedOf(t.Kelvin, m))
	}
	return out, nil
}

// sweep is the light of a given cool share at sweepLux, on channels that are
// strong enough for it.
func sweep(p daylight.Pair, share float64) (mixed, error) {
	if !(share >= 0 && share <= 1) {
		return mixed{}, fmt.Errorf("cool share is %g; allowed: 0 to 1", share)
	}
	p.Warm.Lux, p.Cool.Lux = sweepLux, sweepLux
	m, err := p.At(1-share, share)
	return mixedOf(m), err
}

func aimedOf(kelvin float64, m daylight.Mixed) aimed {
	a := aimed{Kelvin: kelvin, Share: m.Share, Colour: m.Colour.String(), Warm: m.Warm, Cool: m.Cool, Result: mixedOf(m)}
	if m.LimitedBy != "" {
		a.Limited = &m.LimitedBy
	}
	return a
}
