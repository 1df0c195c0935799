package wiring

import (
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

const practice = "common practice, no source"

// clearance is kept between bus wires and the tray's wall, m.
const clearance = 0.002

// review says what cannot be wired as asked, or only with care.
func (p *Plan) review(l lamp.Lamp, known bool) []finding.Finding {
	var fs []finding.Finding
	add := func(f finding.Finding) {
		if f.Source == "" {
			f.Source = practice
		}
		fs = append(fs, f)
	}
	mm := func(x float64) string { return quantity.Format(x, quantity.Length, 3) }
	if !known {
		add(finding.Finding{Severity: finding.Stop, Key: "wiring.feed_unknown", NoOverride: true,
			What:  fmt.Sprintf("the feed is %q, which names no way of wiring", l.Feed),
			Cause: "without a feed no wire can be drawn", Mend: `write feed = "first-row", or another of the feed schemes`,
			Changes: []finding.Change{{Path: "feed", Value: `"first-row"`}}, Source: "definition"})
	}
	p.margins(l, add)
	if d, s := 1.15*math.Sqrt(4*l.Bus.Area/math.Pi), padSpacing(l); len(p.Buses) > 0 && d > s/2 {
		add(finding.Finding{Severity: finding.Warn, Key: "wiring.bus_thick",
			What:  fmt.Sprintf("the bare bus wire is %s thick and the strip's pads lie %s apart", mm(d), mm(s)),
			Cause: "a thick wire soldered to one pad easily bridges to the next", Mend: "take a thinner bus wire, or solder a short thin wire between bus and pad"})
	}
	if s := padSpacing(l); s < shortestWindow+padGap {
		add(finding.Finding{Severity: finding.Warn, Key: "wiring.pads_close",
			What:  fmt.Sprintf("the strip's pads lie %s apart; a bared window is at least %s", mm(s), mm(shortestWindow)),
			Cause: "the window of one bus reaches over the neighbouring pad", Mend: "tape over the neighbouring pads before soldering, or take a wider strip"})
	}
	onJoint := 0
	for _, r := range p.Reels {
		onJoint += r.CutsOnJoint()
	}
	if onJoint > 0 {
		add(finding.Finding{Severity: finding.Note, Key: "wiring.cut_on_joint",
			What:  fmt.Sprintf("%s on a factory joint", fallCuts(onJoint)),
			Cause: fmt.Sprintf("the reel is soldered together every %s", mm(l.Strip.Joint)),
			Mend:  "unsolder the overlap there instead of cutting it; if the joints of your reel lie elsewhere, shift the cuts by a unit"})
	}
	if l.Strip.Joint > 0 {
		with := 0
		for _, r := range p.Rows {
			for _, c := range r.Pieces {
				if len(c.Joints) > 0 {
					with++
					break
				}
			}
		}
		if with > 0 {
			where := ""
			if i := slices.IndexFunc(p.Reels, func(r Reel) bool { return !r.Known && len(r.Joints) > 0 }); i >= 0 {
				where = fmt.Sprintf(" if the first of %s lies %s from its start", p.Reels[i].Name, mm(float64(p.Reels[i].Joints[0])*l.Strip.Cut))
			}
			add(finding.Finding{Severity: finding.Note, Key: "wiring.joint_in_row",
				What:  fmt.Sprintf("%d of %d rows hold a factory joint%s", with, len(p.Rows), where),
				Cause: "reels are made of lengths soldered together; the first joint may lie anywhere",
				Mend:  "unroll the reel and mark its joints before cutting; bend no row at a joint"})
		}
	}
	if n := p.Splices(); n > 0 {
		add(finding.Finding{Severity: finding.Note, Key: "wiring.splice",
			What:  fmt.Sprintf("%s of strip joined from two pieces, %d more solder joints", count(n, "place"), n*SpliceJoints(l)),
			Cause: "the reels on hand give no whole piece for every row", Mend: "open another reel, or allow one piece a row only, if you would rather not solder them"})
	}
	if li := l.Lining; li != nil && li.Conducting && l.Spec.LineFloor {
		add(finding.Finding{Severity: finding.Warn, Key: "wiring.conducting_lining",
			What:  fmt.Sprintf("the lining %q conducts and lies on the floor beside bare pads", li.ID),
			Cause: "foil against a cut row end or a solder joint is a short", Mend: "cut it back 2 mm from every row end and bus and tape its edges, or line the walls only"})
	}
	p.outlets(l, add)
	return fs
}

func fallCuts(n int) string {
	if n == 1 {
		return "1 cut falls"
	}
	return fmt.Sprintf("%d cuts fall", n)
}

// margins checks that the buses fit between the row ends and the walls.
func (p *Plan) margins(l lamp.Lamp, add func(finding.Finding)) {
	for _, end := range []lamp.End{lamp.WiredEnd, lamp.FarEnd} {
		n := 0
		for _, b := range p.Buses {
			if b.End == end {
				n++
			}
		}
		if n == 0 {
			continue
		}
		have := l.RowStart()
		key, path, name := "wiring.wired_margin", "wired_margin", "wired"
		outer := l.RowStart() - l.BusAt(end, n-1)
		if end == lamp.FarEnd {
			have = l.RunLength() - l.RowStart() - l.Stagger() - l.RowLength()
			key, path, name = "wiring.far_margin", "free_margin", "far"
			outer = l.BusAt(end, n-1) - l.RowStart() - l.Stagger() - l.RowLength()
		}
		need := outer + l.BusDiameter()/2 + clearance
		if have >= need-1e-9 {
			continue
		}
		up := math.Ceil(need*1000-1e-6) / 1000
		add(finding.Finding{Severity: finding.Stop, Key: key,
			What: fmt.Sprintf("%s are free at the rows' %s end; %s of %s need %s", quantity.Format(have, quantity.Length, 3), name, count(n, "bus wire"),
				quantity.Format(l.BusDiameter(), quantity.Length, 2), quantity.Format(need, quantity.Length, 3)),
			Cause:   "the feed runs a bus there, and bare copper must stay 2 mm off the metal wall",
			Mend:    fmt.Sprintf("keep %s clear at that end (a row may lose a unit), or choose a feed without a bus there", quantity.Format(up, quantity.Length, 3)),
			Changes: []finding.Change{{Path: path, Value: fmt.Sprintf("\"%.0f mm\"", up*1000)}, {Path: "units_per_row", Value: fmt.Sprint(unitsWith(l, path, up))}}})
	}
}

// unitsWith is how many units the row may have with a margin widened so far
// that the row, which is centred where it can be, leaves it free.
func unitsWith(l lamp.Lamp, path string, margin float64) int {
	if path == "wired_margin" {
		l.Spec.WiredMargin = margin
	} else {
		l.Spec.FreeMargin = margin
	}
	return min(l.Spec.Units, l.UnitsThatFit())
}

// outlets checks what joins the supply and the lamp.
func (p *Plan) outlets(l lamp.Lamp, add func(finding.Finding)) {
	if l.Supply.Outlet != "" && l.Supply.Outlet != l.Connector.ID && l.Dimmer == nil {
		add(finding.Finding{Severity: finding.Warn, Key: "wiring.outlet",
			What:    fmt.Sprintf("the supply ends in %q, the lamp begins with %q", l.Supply.Outlet, l.Connector.ID),
			Cause:   "a sealed supply is used as sold: its plug is not cut off",
			Mend:    "take the connector that mates with the supply",
			Changes: []finding.Change{{Path: "connector", Value: fmt.Sprintf("%q", l.Supply.Outlet)}}})
	}
	if len(l.Strip.Channels) > 1 && l.Dimmer == nil {
		add(finding.Finding{Severity: finding.Note, Key: "wiring.channels_together",
			What:  "the strip has two channels and there is no dimmer: both minus conductors are joined at the supply and both channels are always on",
			Cause: "each channel is switched in its own minus", Mend: "take a dimmer with two channels to set them apart"})
	}
	if l.Feed == "serpentine" && l.Spec.Rows > 1 {
		add(finding.Finding{Severity: finding.Note, Key: "wiring.serpentine",
			What:  fmt.Sprintf("all the current of %d rows passes the copper of row 1", l.Spec.Rows),
			Cause: "in a serpentine the rows are fed one through the other", Mend: "a bus to every row keeps the far rows as bright as the near ones",
			Changes: []finding.Change{{Path: "feed", Value: `"first-row"`}}})
	}
}
