package predict

import (
	"fmt"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/quantity"
)

// review is lamp/circuit's of the layout with every channel full on and warm.
func review(l lamp.Lamp, layout circuit.Layout) (circuit.Reviewed, error) {
	in := circuit.ReviewInput{
		Layout: layout, SupplyWatts: l.Supply.Rating, Efficiency: l.Supply.Efficiency.X,
		PlugRating: l.Connector.Limit, BusRating: l.Bus.Limit, LeadRating: l.Lead.Limit, NoFuse: l.Fuse == nil,
	}
	if l.Supply.PowerLimited {
		in.Limit = circuit.LimitedPowerSource
	}
	if l.Fuse != nil {
		in.Fuse, in.FuseVolts = l.Fuse.Rating, l.Fuse.Voltage
	}
	if d := l.Dimmer; d != nil {
		in.Dimmer = circuit.DimmerUse{Rated: d.Limit, Frequency: d.Frequency, Bits: d.Bits}
	}
	rev, err := circuit.Review(in)
	if err != nil {
		return rev, fmt.Errorf("circuit: %w", err)
	}
	return rev, nil
}

// electric holds the findings about current, wire, fuse, connector, dimmer and
// supply: the circuit's review, and what only the parts themselves tell.
func electric(l lamp.Lamp, r *Result, rev circuit.Reviewed) []finding.Finding {
	fs := rev.Findings
	for i := range fs {
		// The review knows no part names; the connector has one.
		fs[i].What = strings.Replace(fs[i].What, circuit.NoPlug.String(), "connector ("+l.Connector.Name+")", 1)
	}
	watts := func(x float64) string { return quantity.Format(x, quantity.Power, 3) }
	if need := r.Numbers[SupplyNeeded]; l.Supply.Rating < need*0.999 && !finding.Has(fs, "circuit.supply_rating") {
		fs = append(fs, finding.Finding{Severity: finding.Note, Key: "circuit.supply_margin",
			What:  fmt.Sprintf("the supply is rated %s; by the label and the doubt in the strip's watts %s would be safe", watts(l.Supply.Rating), watts(need)),
			Cause: "strips differ from their label", Mend: fmt.Sprintf("measure the strip's watts, or take a supply of %s or more", watts(need)),
			Source: "common practice, no source: the larger of label and predicted upper bound, and a fifth more"})
	}
	if !l.Supply.Insulated {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.supply_insulation",
			What:  "the supply is not marked double-insulated (class II)",
			Cause: "a class I supply must be earthed and enclosed, which is work for someone qualified",
			Mend:  "take an enclosed, certified, double-insulated supply and use it as sold", Source: "common practice; local electrical codes come first"})
	}
	if !l.Supply.PowerLimited && l.Fuse == nil {
		least := quantity.Format(1.25*rev.LeadCurrent, quantity.Current, 3)
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "circuit.fuse_missing", NoOverride: true,
			What:  "no fuse is fitted and the supply is not power-limited",
			Cause: "a short through thin wire and strip can draw less than the supply's trip and burn",
			Mend:  fmt.Sprintf("fit a fuse of %s or the next value up in the plus lead at the lamp's entry", least), Source: "IEC 60127 gives the values; the rule is common practice"})
	}
	return fs
}

// Layout is the lamp's circuit at its final temperatures; the zero Layout for
// a lamp that was not worked out.
func (r *Result) Layout() circuit.Layout { return r.layout }
