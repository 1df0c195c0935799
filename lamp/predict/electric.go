package predict

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

// electric holds the findings about current, wire, fuse, connector and
// supply. Sizes go by the warm current with every channel full on, and its
// upper bound from the doubt in the strip's watts.
func electric(l lamp.Lamp, r *Result) []finding.Finding {
	var fs []finding.Finding
	n := r.Numbers
	amps := func(x float64) string { return quantity.Format(x, quantity.Current, 3) }
	watts := func(x float64) string { return quantity.Format(x, quantity.Power, 3) }
	full := n[SupplyCurrent]
	upper := full * (1 + 2*powerDoubt(l))

	if need := n[SupplyNeeded]; l.Supply.Rating < n[SupplyLoad] {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "circuit.supply_overload",
			What:  fmt.Sprintf("the lamp takes %s, the supply is rated %s", watts(n[SupplyLoad]), watts(l.Supply.Rating)),
			Cause: "an overloaded supply runs hot, blinks or shuts down", Mend: fmt.Sprintf("take a supply of %s or more", watts(need)), Source: "the supply's rating"})
	} else if l.Supply.Rating < need*0.999 {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.supply_margin",
			What:  fmt.Sprintf("the supply is rated %s; %s is advised: the larger of label and predicted upper bound, and a fifth more", watts(l.Supply.Rating), watts(need)),
			Cause: "a supply near its limit runs hot and ages", Mend: fmt.Sprintf("take a supply of %s or more", watts(need)), Source: "common practice, no source: load + 20 %, next standard size"})
	}
	if !l.Supply.Insulated {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.supply_class",
			What:  "the supply is not marked double-insulated (class II)",
			Cause: "a class I supply must be earthed and enclosed, which is work for someone qualified",
			Mend:  "take an enclosed, certified, double-insulated supply and use it as sold", Source: "common practice; local electrical codes come first"})
	}
	if !l.Supply.PowerLimited && l.Fuse == nil {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "circuit.fuse_missing", NoOverride: true,
			What:  "no fuse is fitted and the supply is not power-limited",
			Cause: "a short through thin wire and strip can draw less than the supply's trip and burn",
			Mend:  fmt.Sprintf("fit a fuse of %s or the next value up in the plus lead at the lamp's entry", amps(1.25*full)), Source: "IEC 60127 gives the values; the rule is common practice"})
	}
	thin := l.Bus.Limit
	if l.Lead.Limit < thin {
		thin = l.Lead.Limit
	}
	if f := l.Fuse; f != nil {
		if f.Rating < 1.25*full*0.98 {
			fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.fuse_small",
				What:  fmt.Sprintf("the fuse is %s, the warm current %s; 1.25 times that is advised", amps(f.Rating), amps(full)),
				Cause: "a fuse near its rating tires and opens for no fault", Mend: fmt.Sprintf("take a fuse of at least %s", amps(1.25*full)), Source: "common practice, no source"})
		}
		if f.Rating > thin {
			fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "circuit.fuse_large", NoOverride: true,
				What:  fmt.Sprintf("the fuse of %s is above the %s that the thinnest wire may carry", amps(f.Rating), amps(thin)),
				Cause: "the wire would burn before the fuse opens", Mend: "take thicker wire or a smaller fuse", Source: "common practice, no source: the fuse protects the thinnest wire behind it"})
		}
		if f.Voltage < 1.2*l.Supply.Voltage.X {
			fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "circuit.fuse_voltage", NoOverride: true,
				What:  fmt.Sprintf("the fuse may break %s, the supply gives %s", quantity.Format(f.Voltage, quantity.Voltage, 3), quantity.Format(l.Supply.Voltage.X, quantity.Voltage, 3)),
				Cause: "a direct-current arc does not go out by itself", Mend: "take a fuse rated for 32 V DC or more", Source: "common practice, no source"})
		}
	}
	for _, w := range []struct {
		where, key string
		limit      float64
	}{{"bus wire", "circuit.bus_current", l.Bus.Limit}, {"lead", "circuit.lead_current", l.Lead.Limit}} {
		if upper > w.limit {
			fs = append(fs, finding.Finding{Severity: finding.Stop, Key: w.key, NoOverride: true,
				What:  fmt.Sprintf("the %s may carry up to %s, its limit is %s", w.where, amps(upper), amps(w.limit)),
				Cause: "hot insulation fails and can burn", Mend: "take thicker wire", Source: "the wire's rating; cautious values inside a lamp, common practice"})
		}
	}
	if full > l.Connector.Limit {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "circuit.connector_current", NoOverride: true,
			What:  fmt.Sprintf("the connector is rated %s, the lamp takes %s", amps(l.Connector.Limit), amps(full)),
			Cause: "its contacts overheat and melt", Mend: "take a connector rated for more, such as a terminal block", Source: "the connector's rating"})
	} else if full > 0.8*l.Connector.Limit {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.connector_margin",
			What:  fmt.Sprintf("the connector carries %s of its %s", amps(full), amps(l.Connector.Limit)),
			Cause: "contacts age and then run hot", Mend: "take a connector rated for a quarter more", Source: "common practice, no source"})
	}
	if drop := l.Supply.Voltage.X*0.03 + 1e-9; n[LeadDrop] > drop && n[Evenness] < 0.95 || n[LeadDrop] > 2*drop {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.voltage_drop",
			What:  fmt.Sprintf("%s are lost before the worst unit; 3 %% of the supply is %s", quantity.Format(n[LeadDrop], quantity.Voltage, 2), quantity.Format(drop, quantity.Voltage, 2)),
			Cause: "lead, bus wires or rails are long or thin for this current", Mend: "thicker or shorter lead, thicker bus wire, or another feed scheme", Source: "common practice, no source"})
	}
	if e := n[Evenness]; e < 0.95 {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.uneven",
			What:  fmt.Sprintf("the weakest unit carries %s of the strongest unit's current; at least 95 %% is wanted", percent(e)),
			Cause: "voltage is lost along bus wires and rails", Mend: "feed plus at the first row and minus at the last, or take thicker bus wire", Source: "common practice, no source",
			Changes: []finding.Change{{Path: "feed", Value: `"reverse-return"`}}})
	}
	if d := l.Dimmer; d != nil {
		most := 0.0
		for c := range r.Channels {
			most = math.Max(most, channelCurrent(r, c))
		}
		if most > d.Limit {
			fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "circuit.dimmer_current", NoOverride: true,
				What:  fmt.Sprintf("the dimmer is rated %s a channel, the lamp takes %s", amps(d.Limit), amps(most)),
				Cause: "its switches unsolder themselves", Mend: "take a stronger dimmer", Source: "the dimmer's rating"})
		} else if most > 0.8*d.Limit {
			fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "circuit.dimmer_margin",
				What: fmt.Sprintf("the dimmer carries %s of its %s", amps(most), amps(d.Limit)), Mend: "take a dimmer rated for a quarter more", Source: "common practice, no source"})
		}
		if d.Frequency < 1250 {
			fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "flicker.dimmer",
				What:  fmt.Sprintf("the dimmer pulses at %s; full-depth pulses below 1250 Hz are not low risk, 3000 Hz is without observable effect", quantity.Format(d.Frequency, quantity.Frequency, 3)),
				Cause: "slow pulses cause headaches in some people and can trigger seizures in a few", Mend: "take a dimmer of 3 kHz or more, or run the lamp full on",
				Source: "IEEE 1789-2015 (levels from memory of the standard)"})
		} else if d.Frequency < 3000 {
			fs = append(fs, finding.Finding{Severity: finding.Note, Key: "flicker.dimmer",
				What: fmt.Sprintf("the dimmer pulses at %s: low risk, but under the 3000 Hz of no observable effect", quantity.Format(d.Frequency, quantity.Frequency, 3)),
				Mend: "take a dimmer of 3 kHz or more for sensitive people", Source: "IEEE 1789-2015 (levels from memory of the standard)"})
		}
	}
	return fs
}

// channelCurrent is the current of channel c while it is on, A.
func channelCurrent(r *Result, c int) float64 {
	s := 0.0
	for _, row := range r.Circuit.Rows {
		on := row.First
		if c == 1 {
			on = row.Second
		}
		for _, i := range on.I {
			s += i
		}
	}
	return s
}
