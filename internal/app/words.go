package app

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/day/dose"
	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
	"dawnsmith/quantity"
)

// Sentence says in one or two sentences what the lamp is and what it does.
func (ans *Answer) Sentence() string {
	l, n := ans.Lamp, ans.Result.Numbers
	lining := "bare metal inside"
	if l.Lining != nil {
		lining = "walls lined"
		if l.LineFloor {
			lining = "walls and floor lined"
		}
	}
	if !ans.Worked() {
		return fmt.Sprintf("%d rows of strip in a tray of %.0f × %.0f mm, %s. It is not worked out: %s.", l.Spec.Rows, l.Tray.Length*1000, l.Tray.Width*1000, lining, ans.Result.Findings[0].What)
	}
	minutes := ans.Session.Photopic.Why
	if ans.Session.Photopic.Rule != dose.None {
		minutes = fmt.Sprintf("%.0f minutes by the linear rule between tested protocols", ans.Session.Photopic.Minutes)
	}
	s := fmt.Sprintf("%d rows of strip in a tray of %.0f × %.0f mm, %s: %s lx at %.2f m, %s cd/m² on the face, %s K, Ra %s, %s W from the mains; %s.",
		l.Spec.Rows, l.Tray.Length*1000, l.Tray.Width*1000, lining,
		quantity.Digits(n[predict.MeterLux], 2), l.Spec.Place.MeterDistance, quantity.Digits(n[predict.FaceMean], 2),
		quantity.Digits(n[predict.CCT], 2), quantity.Digits(n[predict.Ra], 2), quantity.Digits(n[predict.MainsPower], 2), minutes)
	stops := 0
	for _, f := range ans.Result.Findings {
		if f.Severity == finding.Stop {
			stops++
		}
	}
	switch {
	case stops == 1:
		s += " One finding stops it from being built."
	case stops > 1:
		s += fmt.Sprintf(" %d findings stop it from being built.", stops)
	}
	return s
}

// Verdict says whether a check is met, and whether that is certain: a margin
// smaller than the expanded uncertainty (k = 2) is not. ans may be nil.
func Verdict(c search.Check, ans *Answer) string {
	if !c.Met() {
		return fmt.Sprintf("missed by %s %%", quantity.Digits(100*c.Short, 2))
	}
	if ans != nil && ans.Values != nil {
		if u := 2 * ans.Value(c.Metric).U(); u > 0 && math.Abs(c.Got-c.Limit) < u {
			return "met, by less than its uncertainty"
		}
	}
	return "met"
}

// Short is the row's value without its uncertainty.
func (r Row) Short() string {
	x, _, _ := strings.Cut(r.Value, " ± ")
	return x
}

// imperial are the units shown on request in place of a metric one.
var imperial = map[string]struct {
	dim  quantity.Dimension
	from string
	to   string
}{
	"mm": {quantity.Length, "mm", "in"},
	"m":  {quantity.Length, "m", "ft"},
	"kg": {quantity.Mass, "kg", "lb"},
	"°C": {quantity.Temperature, "°C", "°F"},
}

// Imperial shows the row in inches, feet, pounds or °F where its unit has
// such a one.
func (r Row) Imperial(ans *Answer) Row {
	c, ok := imperial[r.Unit]
	if !ok || !ans.Has(r.Key) {
		return r
	}
	v := ans.Value(r.Key)
	convert := func(x float64) float64 {
		si, _ := quantity.Parse(fmt.Sprintf("%.12g %s", x, c.from), c.dim)
		y, _ := c.dim.In(si, c.to)
		return y
	}
	x, u := convert(v.X), 2*v.U()
	u *= (convert(v.X+1) - convert(v.X)) // an interval
	r.Unit = c.to
	if ans.Values == nil || u == 0 {
		r.Value = quantity.Digits(x, 3)
	} else {
		r.Value = quantity.FormatUncertain(x, u)
	}
	return r
}

// Standalone gives the lamp's document with all the parts it uses inside, so
// that it can be worked out anywhere.
func Standalone(l lamp.Lamp) lamp.Spec {
	s := l.Spec
	set := part.Set{Schema: 1, Strips: l.Strips(), Trays: []part.Tray{l.Tray}, Supplies: []part.Supply{l.Supply},
		Wires: []part.Wire{l.Bus}, Connectors: []part.Connector{l.Connector}}
	if l.Lead.ID != l.Bus.ID {
		set.Wires = append(set.Wires, l.Lead)
	}
	if l.Lining != nil {
		set.Linings = []part.Lining{*l.Lining}
	}
	set.Sheets = l.Sheets()
	if len(set.Sheets) == 2 && set.Sheets[0].ID == set.Sheets[1].ID {
		set.Sheets = set.Sheets[:1]
	}
	if l.Fuse != nil {
		set.Fuses = []part.Fuse{*l.Fuse}
	}
	if l.Dimmer != nil {
		set.Dimmers = []part.Dimmer{*l.Dimmer}
	}
	if l.Mount != nil {
		set.Mounts = []part.Mount{*l.Mount}
	}
	if l.Paint != nil {
		set.Consumables = []part.Consumable{*l.Paint}
	}
	s.Parts = set
	return s
}

// SwappedJSON is a swap as JSON.
type SwappedJSON struct {
	Kind    string             `json:"kind"`
	From    string             `json:"from"`
	To      string             `json:"to"`
	Notes   []string           `json:"notes,omitempty"`
	Fields  []FieldChange      `json:"part_fields"`
	Changes []DifferenceJSON   `json:"differences"`
	Raised  []finding.Finding  `json:"raised"`
	Cleared []finding.Finding  `json:"cleared"`
	Before  map[string]float64 `json:"before"`
	After   map[string]float64 `json:"after"`
}

// DifferenceJSON is one changed number.
type DifferenceJSON struct {
	Metric   string  `json:"metric"`
	Before   float64 `json:"before"`
	After    float64 `json:"after"`
	Change   float64 `json:"change"`
	U        float64 `json:"u"`
	Relative float64 `json:"relative"`
	Certain  bool    `json:"certain"`
	Reason   string  `json:"reason"`
}

// JSON gives the swap's JSON form.
func (sw Swapped) JSON() SwappedJSON {
	j := SwappedJSON{Kind: sw.Kind, From: sw.From, To: sw.To, Notes: sw.Notes, Fields: sw.Fields,
		Raised: sw.Raised, Cleared: sw.Cleared, Before: sw.Before.Result.Numbers, After: sw.After.Result.Numbers}
	for _, d := range sw.Differences {
		j.Changes = append(j.Changes, DifferenceJSON{d.Key, d.Before, d.After, d.Change.X, d.Change.U(), d.Relative, d.Certain, d.Reason})
	}
	return j
}
