package app

import (
	"math"

	"dawnsmith/finding"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
	"dawnsmith/quantity"
)

// The JSON forms have stable, documented keys (docs/json.md): numbers are SI
// or carry their unit in the key's name, and the keys under "numbers" are the
// metric keys everywhere.

// AnswerJSON is a prediction as JSON.
type AnswerJSON struct {
	Lamp        string                 `json:"lamp"`
	Parts       map[string]string      `json:"parts"`
	Rows        int                    `json:"rows"`
	Units       int                    `json:"units_per_row"`
	Numbers     map[string]float64     `json:"numbers"`
	Uncertainty map[string]Doubt       `json:"uncertainty,omitempty"`
	Ranges      map[string]string      `json:"ranges,omitempty"`
	Channels    []predict.Channel      `json:"channels"`
	Findings    []finding.Finding      `json:"findings"`
	Checks      []CheckJSON            `json:"checks,omitempty"`
	Bill        BillJSON               `json:"bill"`
	Minutes     map[string]MinutesJSON `json:"minutes"`
	Assumptions []string               `json:"assumptions"`
}

// Doubt is the uncertainty of one number: standard (k = 1), and its largest
// contributors.
type Doubt struct {
	Standard float64          `json:"u"`
	From     []quantity.Share `json:"from"`
}

// CheckJSON is one target held against its number.
type CheckJSON struct {
	Metric string  `json:"metric"`
	Name   string  `json:"name"`
	Bound  string  `json:"bound"`
	Limit  float64 `json:"limit"`
	Got    float64 `json:"got"`
	Met    bool    `json:"met"`
	Short  float64 `json:"short_relative"`
}

// BillJSON is the shopping list's sums and lines.
type BillJSON struct {
	First, Next, Tools, LongRun part.Money `json:"-"`
	FirstText                   string     `json:"first_lamp"`
	NextText                    string     `json:"next_lamp"`
	ToolsText                   string     `json:"tools"`
	LongRunText                 string     `json:"long_run"`
	Lines                       any        `json:"lines"`
}

// MinutesJSON is a session length; minutes is 0 where no tested protocol
// answers, and why says so.
type MinutesJSON struct {
	Minutes float64 `json:"minutes"`
	Why     string  `json:"why"`
}

// PartIDs names the parts of a lamp by kind.
func PartIDs(ans *Answer) map[string]string {
	s := ans.Lamp.Spec
	out := map[string]string{}
	for k, v := range map[string]string{"tray": s.Tray, "strip": s.Strip, "second_strip": s.Second, "sheet": s.Sheet, "second_sheet": s.SecondSheet, "lining": s.Lining, "paint": s.Paint,
		"supply": s.Supply, "bus_wire": s.Bus, "lead_wire": s.Lead, "connector": s.Connector, "fuse": s.Fuse, "dimmer": s.Dimmer, "mount": s.Mount} {
		if v != "" {
			out[k] = v
		}
	}
	return out
}

// JSON gives the answer's JSON form.
func (ans *Answer) JSON() AnswerJSON {
	j := AnswerJSON{
		Lamp: ans.Lamp.Name, Parts: PartIDs(ans), Rows: ans.Lamp.Spec.Rows, Units: ans.Lamp.Spec.Units,
		Numbers: ans.Result.Numbers, Ranges: ans.Result.Ranges(), Channels: ans.Result.Channels, Findings: ans.Result.Findings, Assumptions: ans.Result.Assumptions,
		Checks: checksJSON(ans.Checks),
		Bill: BillJSON{FirstText: money(ans.Bill.First), NextText: money(ans.Bill.Next), ToolsText: money(ans.Bill.Tools),
			LongRunText: money(ans.Bill.LongRun), Lines: ans.Bill.Lines},
		Minutes: map[string]MinutesJSON{
			"photopic":  {ans.Session.Photopic.Minutes, ans.Session.Photopic.Why},
			"melanopic": {ans.Session.Melanopic.Minutes, ans.Session.Melanopic.Why},
		},
	}
	if j.Findings == nil {
		j.Findings = []finding.Finding{}
	}
	if ans.Values != nil {
		j.Uncertainty = map[string]Doubt{}
		for k, v := range ans.Values {
			if u := v.U(); u > 0 {
				j.Uncertainty[k] = Doubt{u, v.Contributors(3)}
			}
		}
	}
	return j
}

func money(m part.Money) string {
	b, _ := m.MarshalText()
	return string(b)
}

func checksJSON(cs []search.Check) []CheckJSON {
	var out []CheckJSON
	for _, c := range cs {
		out = append(out, CheckJSON{c.Metric, c.Name, string(c.Bound), c.Limit, c.Got, c.Met(), c.Short})
	}
	return out
}

// FoundJSON is a search's outcome as JSON.
type FoundJSON struct {
	Brief      string         `json:"brief"`
	Considered int            `json:"considered"`
	Feasible   int            `json:"feasible"`
	Picks      []PickJSON     `json:"picks"`
	Front      []PointJSON    `json:"front"`
	Impossible *ImpossibleJS  `json:"impossible,omitempty"`
	Missing    map[string]int `json:"missing_parts,omitempty"`
}

// PickJSON is one picked lamp.
type PickJSON struct {
	Title string `json:"title"`
	Why   string `json:"why"`
	AnswerJSON
}

// PointJSON is one screened lamp of the trade-off front.
type PointJSON struct {
	Tray      string             `json:"tray"`
	Strip     string             `json:"strip"`
	Sheet     string             `json:"sheet"`
	Lining    string             `json:"lining,omitempty"`
	LineFloor bool               `json:"line_floor,omitempty"`
	Rows      int                `json:"rows"`
	Numbers   map[string]float64 `json:"numbers"`
}

// ImpossibleJS explains why there is no lamp.
type ImpossibleJS struct {
	Proof   string      `json:"proof,omitempty"`
	Heat    bool        `json:"heat,omitempty"`
	Relax   []RelaxJSON `json:"relax"`
	Nearest *PointJSON  `json:"nearest,omitempty"`
	Checks  []CheckJSON `json:"nearest_checks,omitempty"`
}

// RelaxJSON is one way out.
type RelaxJSON struct {
	Field    string    `json:"field"`
	Metric   string    `json:"metric"`
	Limit    float64   `json:"limit"`
	To       float64   `json:"to"`
	Relative float64   `json:"relative"`
	Sentence string    `json:"sentence"`
	Lamp     PointJSON `json:"lamp"`
}

func pointJSON(p search.Point) PointJSON {
	n := map[string]float64{}
	for k, v := range p.Numbers {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			n[k] = v
		}
	}
	return PointJSON{p.Spec.Tray, p.Spec.Strip, p.Spec.Sheet, p.Spec.Lining, p.Spec.LineFloor, p.Spec.Rows, n}
}

// FoundToJSON gives the JSON form of a search; answers are its picks worked
// out.
func FoundToJSON(f search.Found, answers []Answer) FoundJSON {
	j := FoundJSON{Brief: f.Brief.Name, Considered: f.Considered, Feasible: f.Feasible, Picks: []PickJSON{}, Front: []PointJSON{}, Missing: f.Missing}
	for i, a := range answers {
		j.Picks = append(j.Picks, PickJSON{f.Picks[i].Title, f.Picks[i].Why, a.JSON()})
	}
	for _, p := range f.Front {
		j.Front = append(j.Front, pointJSON(p))
	}
	if im := f.Impossible; im != nil {
		js := &ImpossibleJS{Proof: im.Proof, Heat: im.Heat, Relax: []RelaxJSON{}}
		for _, r := range im.Relax {
			js.Relax = append(js.Relax, RelaxJSON{r.Target.Field, r.Target.Metric, r.Target.Limit, r.To, r.By, r.Sentence(), pointJSON(r.Lamp)})
		}
		if im.Nearest != nil {
			p := pointJSON(*im.Nearest)
			js.Nearest, js.Checks = &p, checksJSON(im.Nearest.Checks)
		}
		j.Impossible = js
	}
	return j
}
