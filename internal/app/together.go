package app

import (
	"fmt"
	"math"

	"dawnsmith/day/dose"
	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// Together is several lamps before one eye.
type Together struct {
	predict.Together
	// Session is how long to sit there, by the light at the eye of all lamps.
	Session dose.Session
}

// Together works the lamps out, each at the place of its own file, and adds
// their light at the eye; spread as in Predict.
func (a *App) Together(ss []lamp.Spec, spread bool) (Together, error) {
	var us []predict.Uncertain
	for _, s := range ss {
		l, err := a.Build(s)
		if err != nil {
			return Together{}, err
		}
		var u predict.Uncertain
		if spread {
			u, err = predict.Spread(l)
		} else {
			u.Result, err = predict.Lamp(l)
		}
		if err != nil {
			return Together{}, fmt.Errorf("lamp %q: %w", s.Name, err)
		}
		us = append(us, u)
	}
	sum, err := predict.Sum(us...)
	if err != nil {
		return Together{}, err
	}
	t := Together{Together: sum}
	if t.Eye.X > 0 {
		if t.Session, err = dose.Plan(t.Eye.X, t.DER()); err != nil {
			return Together{}, err
		}
	}
	return t, nil
}

// Worst is the gravest severity of all findings, the lamps' own included; false
// when there is none.
func (t *Together) Worst() (finding.Severity, bool) {
	all := t.Findings
	for _, u := range t.Lamps {
		all = append(all, u.Findings...)
	}
	return finding.Worst(all)
}

// Lux is the light of lamp i at the eye and its melanopic EDI, as shown.
func (t *Together) Lux(i int) (eye, mel string) {
	v := func(key string) string {
		x, ok := t.Lamps[i].Values[key]
		if !ok {
			x = quantity.Exact(t.Lamps[i].Numbers[key])
		}
		return uncertain(x)
	}
	return v(predict.EyeLux), v(predict.EyeMelanopic)
}

func uncertain(v quantity.Value) string {
	if u := 2 * v.U(); u > 0 {
		return quantity.FormatUncertain(v.X, u)
	}
	return quantity.Digits(v.X, 3)
}

// Rows are the numbers of all lamps at once, as shown.
func (t *Together) Rows() []Row {
	row := func(key, value string) Row {
		m := declared()[key]
		return Row{Key: key, Name: m.Name, Symbol: m.Symbol, Unit: m.Unit, Value: value, Line: m.Line, Source: m.Source, Better: m.Better, Range: t.Ranges()[key]}
	}
	eye, mel := row(predict.EyeLux, uncertain(t.Eye)), row(predict.EyeMelanopic, uncertain(t.Melanopic))
	eye.From, mel.From = t.Eye.Contributors(3), t.Melanopic.Contributors(3)
	out := []Row{eye, mel}
	for _, m := range []struct {
		key string
		of  dose.Minutes
	}{{"minutes_photopic", t.Session.Photopic}, {"minutes_melanopic", t.Session.Melanopic}} {
		r := row(m.key, quantity.Decimals(math.Round(m.of.Minutes), 0))
		r.Line = m.of.Why
		if m.of.Minutes == 0 {
			r.Value, r.Unit = "–", ""
		}
		out = append(out, r)
	}
	g := t.Glare
	if g.SolidAngle == 0 {
		return out
	}
	out = append(out, row(optics.KeySolidAngle, quantity.Digits(g.SolidAngle, 3)), row(optics.KeyUGR, quantity.Digits(g.UGR, 3)))
	dgp := row(optics.KeyDGP, quantity.Digits(g.DGP, 3))
	if !g.DGPInRange {
		dgp.Value = "–"
	}
	return append(out, dgp)
}

// TogetherJSON is several lamps at one eye as JSON.
type TogetherJSON struct {
	Lamps       []AtEyeJSON            `json:"lamps"`
	Numbers     map[string]float64     `json:"numbers"`
	Uncertainty map[string]Doubt       `json:"uncertainty,omitempty"`
	Ranges      map[string]string      `json:"ranges,omitempty"`
	Minutes     map[string]MinutesJSON `json:"minutes"`
	Findings    []finding.Finding      `json:"findings"`
}

// AtEyeJSON is one lamp's part.
type AtEyeJSON struct {
	Lamp        string             `json:"lamp"`
	Numbers     map[string]float64 `json:"numbers"`
	Uncertainty map[string]Doubt   `json:"uncertainty,omitempty"`
	Findings    []finding.Finding  `json:"findings"`
}

// JSON gives the JSON form.
func (t *Together) JSON() TogetherJSON {
	keys := []string{predict.EyeLux, predict.EyeMelanopic}
	doubts := func(vs ...quantity.Value) map[string]Doubt {
		out := map[string]Doubt{}
		for i, v := range vs {
			if u := v.U(); u > 0 {
				out[keys[i]] = Doubt{u, v.Contributors(3)}
			}
		}
		return out
	}
	j := TogetherJSON{Ranges: t.Ranges(), Findings: t.Findings, Uncertainty: doubts(t.Eye, t.Melanopic),
		Numbers: map[string]float64{predict.EyeLux: t.Eye.X, predict.EyeMelanopic: t.Melanopic.X},
		Minutes: map[string]MinutesJSON{
			"photopic":  {t.Session.Photopic.Minutes, t.Session.Photopic.Why},
			"melanopic": {t.Session.Melanopic.Minutes, t.Session.Melanopic.Why},
		}}
	if g := t.Glare; g.SolidAngle > 0 {
		j.Numbers[optics.KeySolidAngle], j.Numbers[optics.KeyUGR] = g.SolidAngle, g.UGR
		if g.DGPInRange {
			j.Numbers[optics.KeyDGP] = g.DGP
		}
	}
	if j.Findings == nil {
		j.Findings = []finding.Finding{}
	}
	for _, u := range t.Lamps {
		l := AtEyeJSON{Lamp: u.Lamp.Name, Numbers: map[string]float64{}, Findings: u.Findings, Uncertainty: doubts(u.Values[predict.EyeLux], u.Values[predict.EyeMelanopic])}
		for _, k := range keys {
			l.Numbers[k] = u.Numbers[k]
		}
		if l.Findings == nil {
			l.Findings = []finding.Finding{}
		}
		j.Lamps = append(j.Lamps, l)
	}
	return j
}
