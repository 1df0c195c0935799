package app

import (
	"fmt"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/stock"
	"dawnsmith/lamp/wiring"
	"dawnsmith/quantity"
)

// Cuts plans how n like lamps are cut from the app's stock and new reels.
func (a *App) Cuts(l lamp.Lamp, n int) (*stock.Plan, error) {
	var s stock.Stock
	if a.Stock != nil {
		s = *a.Stock
	}
	return s.Cut(l, n)
}

// Confirmed is a lamp held against its tray as measured.
type Confirmed struct {
	Fits bool `json:"fits"`
	// Says is one sentence: what fits, or what does not and how to mend it.
	Says string `json:"says"`
	// Findings are the stops and warnings that the measured sizes raise.
	Findings []finding.Finding `json:"findings,omitempty"`
	// RowStart and RowPitch are those in the measured tray, m.
	RowStart float64 `json:"row_start_m"`
	RowPitch float64 `json:"row_pitch_m"`
}

// Confirm holds a lamp against the measured floor of its tray, m; 0 leaves a
// size as planned.
func (a *App) Confirm(s lamp.Spec, length, width float64) (Confirmed, error) {
	plan, err := a.Build(s)
	if err != nil {
		return Confirmed{}, err
	}
	tray := plan.Tray
	for _, m := range []struct {
		name string
		got  float64
		to   *float64
	}{{"length", length, &tray.Length}, {"width", width, &tray.Width}} {
		if m.got == 0 {
			continue
		}
		if !(m.got > 0.02 && m.got < 3) {
			return Confirmed{}, fmt.Errorf("the measured %s is %s; allowed is 20 mm to 3 m", m.name, quantity.Format(m.got, quantity.Length, 4))
		}
		*m.to = m.got
	}
	t := s
	t.Units = plan.Spec.Units
	t.Parts.Trays = append(t.Parts.Trays[:0:0], tray)
	for _, k := range s.Parts.Trays {
		if k.ID != tray.ID {
			t.Parts.Trays = append(t.Parts.Trays, k)
		}
	}
	real, err := a.Build(t)
	if err != nil {
		return Confirmed{Says: "The rows do not fit the measured tray: " + err.Error() + ". Cut nothing by the old plan."}, nil
	}
	c := Confirmed{Fits: true, RowStart: real.RowStart(), RowPitch: real.RowPitch()}
	for _, f := range wiring.Of(real, wiring.Options{}).Findings {
		if f.Severity == finding.Stop {
			c.Fits = false
			c.Findings = append(c.Findings, f)
		}
	}
	mm := func(x float64) string { return strings.TrimSuffix(quantity.Decimals(x*1000, 1), ".0") + "\u202fmm" }
	switch {
	case !c.Fits:
		c.Says = fmt.Sprintf("The rows fit, but not their wires: %s; %s.", c.Findings[0].What, c.Findings[0].Mend)
	case real.RunLength() == plan.RunLength() && real.Across() == plan.Across():
		c.Says = fmt.Sprintf("The rows fit as planned: they begin %s from the wired end's wall, %s apart.", mm(c.RowStart), mm(c.RowPitch))
	default:
		c.Says = fmt.Sprintf("The rows fit the measured tray: they begin %s from the wired end's wall (planned %s) and lie %s apart (planned %s). The strip is cut alike; make the pack again with the measured tray for the drawings and wires.",
			mm(c.RowStart), mm(plan.RowStart()), mm(c.RowPitch), mm(plan.RowPitch()))
	}
	return c, nil
}
