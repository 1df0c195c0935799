package compare

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/lamp/predict"
)

// Statement is what a fair public comparison says about each lamp, in words;
// "" where nobody has said it. "none" is a statement, "" is a gap.
type Statement struct {
	Meter       string `json:"meter,omitempty"`       // and its calibration
	Spectrum    string `json:"spectrum,omitempty"`    // where it comes from, or that there is none
	Place       string `json:"place,omitempty"`       // plane, height, which way the meter faced
	Distance    string `json:"distance,omitempty"`    // from which face
	Room        string `json:"room,omitempty"`        // dark or not, background
	WarmUp      string `json:"warm_up,omitempty"`     // time, and the rule that was met
	Supply      string `json:"supply,omitempty"`      // which, and its voltage
	Setting     string `json:"setting,omitempty"`     // drive, firmware
	Units       string `json:"units,omitempty"`       // how many were measured
	Date        string `json:"date,omitempty"`        // of the readings
	Photos      string `json:"photos,omitempty"`      // of the set-up
	Log         string `json:"log,omitempty"`         // where the raw readings are
	Uncertainty string `json:"uncertainty,omitempty"` // how it was worked out
	Interest    string `json:"interest,omitempty"`    // who built, sold, lent or paid
	PriceBasis  string `json:"price_basis,omitempty"` // year, tax, tools
	Software    string `json:"software,omitempty"`    // that made the numbers
}

// Item is one thing that a fair comparison states.
type Item struct {
	Key     string `json:"key"`
	What    string `json:"what"`
	Given   string `json:"given"` // "missing" where it is
	Missing bool   `json:"missing"`
}

// Missing is shown in place of what nobody has said.
const Missing = "missing"

// States lists what a fair comparison states about the entry, gaps included,
// always all of them in one order (common practice of careful testers, no
// source).
func (e Entry) States() []Item {
	s := e.Statement
	if s.PriceBasis == "" {
		s.PriceBasis = e.PriceBasis
	}
	items := []Item{
		{Key: "meter", What: "meter and calibration", Given: s.Meter},
		{Key: "spectrum", What: "spectrum", Given: s.Spectrum},
		{Key: "place", What: "plane and height of the meter", Given: s.Place},
		{Key: "distance", What: "distance and the face it starts from", Given: s.Distance},
		{Key: "room", What: "room and background", Given: s.Room},
		{Key: "warm_up", What: "warm-up time and rule met", Given: s.WarmUp},
		{Key: "supply", What: "supply", Given: s.Supply},
		{Key: "setting", What: "drive and firmware setting", Given: s.Setting},
		{Key: "units", What: "number of units", Given: s.Units},
		{Key: "date", What: "date", Given: s.Date},
		{Key: "photos", What: "photographs of the set-up", Given: s.Photos},
		{Key: "log", What: "raw readings", Given: s.Log},
		{Key: "uncertainty", What: "uncertainty", Given: s.Uncertainty},
		{Key: "interest", What: "who built or sold it", Given: s.Interest},
		{Key: "price_basis", What: "price basis", Given: s.PriceBasis},
		{Key: "software", What: "program and version", Given: s.Software},
	}
	for i := range items {
		if strings.TrimSpace(items[i].Given) == "" {
			items[i].Given, items[i].Missing = Missing, true
		}
	}
	return items
}

// StatementFindings tells, in one finding for each entry, what a published
// comparison would leave out.
func StatementFindings(entries []Entry) []finding.Finding {
	var fs []finding.Finding
	for _, e := range entries {
		var gaps []string
		for _, it := range e.States() {
			if it.Missing {
				gaps = append(gaps, it.What)
			}
		}
		if len(gaps) > 0 {
			fs = append(fs, finding.Finding{
				Severity: finding.Note, Key: "compare.not_stated",
				What:   fmt.Sprintf("%s: %d of %d things that a fair comparison states are missing: %s", e.ID, len(gaps), len(e.States()), strings.Join(gaps, ", ")),
				Cause:  "a reader cannot tell whether the numbers may be compared",
				Mend:   "fill them in, or print them as missing",
				Source: "common practice, no source",
			})
		}
	}
	return fs
}

func statementOf(r measure.Record) Statement {
	c := r.Conditions
	var s Statement
	if r.Instrument != "" {
		s.Meter = r.Instrument
		if r.Calibration.Date != "" {
			s.Meter += ", calibrated " + r.Calibration.Date
		} else {
			s.Meter += ", calibration not known"
		}
	}
	switch {
	case r.Spectrum != nil:
		s.Spectrum = "measured, run " + r.Run
		if m, ok := r.Value(predict.CCT); ok && m.Run != "" {
			s.Spectrum = "measured, run " + m.Run // of merged records, the one that has it
		}
	case c.Spectrum != nil:
		s.Spectrum = "known from elsewhere"
	}
	switch c.Facing {
	case measure.AtLamp:
		s.Place = "meter facing the lamp"
		if a := math.Abs(c.Angle) * 180 / math.Pi; a > 0.5 {
			s.Place += fmt.Sprintf(", %.0f° off the face's axis", a)
		} else {
			s.Place += ", on the face's axis"
		}
	case measure.Forward:
		s.Place = "vertical plane at the eye, facing forward"
	case measure.Upwards:
		s.Place = "lying on the desk"
	}
	if c.Distance > 0 && c.From != "" && c.From != measure.FromUnknown {
		s.Distance = fmt.Sprintf("%.0f mm from the %s", 1e3*c.Distance, c.From)
	}
	if c.Room != "" && c.Room != measure.UnknownRoom {
		s.Room = string(c.Room)
	}
	switch {
	case r.Stability != nil:
		s.WarmUp = r.Stability.Why
	case c.WarmUp > 0:
		s.WarmUp = fmt.Sprintf("%.0f min, no rule checked", c.WarmUp/60)
	}
	s.Supply = c.Supply
	if c.SupplyVoltage > 0 {
		s.Supply = strings.TrimPrefix(s.Supply+fmt.Sprintf(", %.2f V at the lamp", c.SupplyVoltage), ", ")
	}
	s.Setting = c.Firmware
	for _, name := range sortedKeys(c.Drive) {
		s.Setting = strings.TrimPrefix(s.Setting+fmt.Sprintf(", %s %.0f %%", name, 100*c.Drive[name]), ", ")
	}
	s.Units = "1"
	s.Date = c.Date
	s.Photos = strings.Join(c.Photos, ", ")
	s.Uncertainty = "budget after JCGM 100:2008 (GUM), k = 2"
	if r.Subject.Maker != "" {
		s.Interest = "made by " + r.Subject.Maker
	}
	return s
}
