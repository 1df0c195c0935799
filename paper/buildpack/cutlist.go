package buildpack

import (
	"fmt"
	"slices"
	"strings"

	"dawnsmith/lamp/price"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/portrait"
	"dawnsmith/quantity"
)

func (p *Pack) cutting() {
	l, t := p.lamp(), &p.text
	t.Page()
	t.Heading(1, "Cut list")
	t.Fit(portrait.CutList(p.plan, l.Strip.Cut), caption(cutDrawing, "the reel map, how the rows are cut from each reel, seen from its start."), 0)
	tab := draw.Table{Size: draw.SizeSmall, Boxes: true, Columns: []draw.Column{{Head: "strip for"}, {Head: "from"}, {Head: "at, mm", Align: draw.Right}, {Head: "to, mm", Align: draw.Right}, {Head: "units", Align: draw.Right}, {Head: "length, mm", Align: draw.Right}, {Head: "factory joint inside"}}}
	for _, c := range p.stripCuts() {
		tab.Rows = append(tab.Rows, draw.Row{Cells: c})
	}
	t.Table(tab)
	t.Note(fmt.Sprintf("Together %s of strip, %d rows of %d units. Scissors take nothing away; cut on the printed lines only.", quantity.FormatIn(l.StripLength(), quantity.Length, "m", 3), l.Spec.Rows, l.Spec.Units))
	t.Paragraph(p.cut.Proof(l))
	if s := p.cut.Unsure(l); s != "" {
		t.Paragraph(s)
	}
	p.leftovers()
	p.measuredTwice()
	p.flatAndWire()
}

// leftovers says what stays of the reels and how to mark it.
func (p *Pack) leftovers() {
	l, t := p.lamp(), &p.text
	var keep []string
	scrap := 0
	for _, r := range p.plan.Reels {
		for _, k := range r.Rests {
			n := k.To - k.From
			if !k.Kept {
				scrap += n
				continue
			}
			s := fmt.Sprintf("%s of %s, %d units", quantity.FormatIn(float64(n)*l.Strip.Cut, quantity.Length, "m", 3), r.Name, n)
			if r.Batch != "" {
				s += ", batch " + r.Batch
			}
			keep = append(keep, s)
		}
	}
	s := "Nothing is left to keep."
	if len(keep) > 0 {
		s = "Left to keep: " + strings.Join(keep, "; ") + ". Write strip, units and batch on each leftover; the next lamp takes it first."
	}
	if scrap > 0 {
		s += fmt.Sprintf(" Too short to keep: %d units.", scrap)
	}
	if n := p.plan.Splices(); n > 0 {
		s += fmt.Sprintf(" Spliced: %s; of a row of several pieces the one listed first lies at the wired end.", countOf(n, "place"))
	}
	t.Paragraph(s)
}

// measured is one line of the check before cutting.
type measured struct{ what, planned, allowed string }

// measurements are what to measure before anything is cut.
func (p *Pack) measurements() []measured {
	l := p.lamp()
	spare := l.RunLength() - l.RowStart() - l.Stagger() - l.RowLength()
	out := []measured{
		{"tray's flat floor along the rows, in two places", mm(l.RunLength()), "± " + mm(min(0.002, max(0.001, spare/2)))},
		{"tray's flat floor across the rows, in two places", mm(l.Across()), "± 2\u202fmm"},
		{"depth from the floor to the rim's ledge", mm(l.Tray.Depth), "± 1\u202fmm"},
		{"strip: length of ten cut units", mm(10 * l.Strip.Cut), "± " + mm(0.004)},
		{"strip: width", mm(l.Strip.Width), "± " + mm(0.0005)},
	}
	for _, r := range p.plan.Reels {
		out = append(out, measured{r.Name + ": length", mm(float64(r.Units) * l.Strip.Cut), "not less"})
		if len(r.Joints) > 0 {
			how := "exactly"
			if !r.Known {
				how = "any; then plan again"
			}
			out = append(out, measured{r.Name + ": start to the first factory joint", mm(float64(r.Joints[0]) * l.Strip.Cut), how})
		}
	}
	return out
}

func (p *Pack) measuredTwice() {
	t := &p.text
	t.Need(60)
	t.Heading(2, "Measure before you cut")
	tab := draw.Table{Size: draw.SizeSmall, Boxes: true, Columns: []draw.Column{{Head: "what", Width: 66}, {Head: "planned", Align: draw.Right, Width: 26}, {Head: "allowed", Width: 34}, {Head: "measured", Align: draw.Right}}}
	for _, m := range p.measurements() {
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{m.what, m.planned, m.allowed, "__________\u202fmm"}})
	}
	t.Table(tab)
	t.Note("Should one be outside, put the true sizes into the lamp's parts (tray) and into the stock file (reels, first joints), and make the pack again: \u201cdawnsmith cut\u201d tells at once whether the rows still fit.")
}

func countOf(n int, what string) string {
	if n == 1 {
		return "1 " + what
	}
	return fmt.Sprintf("%d %ss", n, what)
}

// pieces are all pieces of strip, row by row.
func (p *Pack) pieces() []wiring.Piece {
	var out []wiring.Piece
	for _, r := range p.plan.Rows {
		out = append(out, r.Pieces...)
	}
	return out
}

// stripCuts are the rows of the cut list.
func (p *Pack) stripCuts() [][]string {
	l := p.lamp()
	at := func(units int) string { return bareMM(float64(units) * l.Strip.Cut) }
	var out [][]string
	for _, c := range p.pieces() {
		joints := "none"
		for k, j := range c.Joints {
			if k == 0 {
				joints = "at "
			} else {
				joints += ", "
			}
			joints += mm(float64(j) * l.Strip.Cut)
		}
		name := wiring.RowName(c.Row)
		if l.Interleaved() {
			name += ", " + l.ChannelNames()[c.Row%2]
		}
		out = append(out, []string{name, p.plan.Reels[c.Reel].Name, at(c.From), at(c.To), fmt.Sprint(c.To - c.From), at(c.To - c.From), joints})
	}
	return out
}

// flatAndWire lists sheet, lining, wire and joints.
func (p *Pack) flatAndWire() {
	t := &p.text
	t.Heading(2, "Sheet and lining")
	tab := draw.Table{Size: draw.SizeSmall, Boxes: true, Columns: []draw.Column{{Head: "piece"}, {Head: "length, mm", Align: draw.Right}, {Head: "width, mm", Align: draw.Right}, {Head: "count", Align: draw.Right}}}
	for _, c := range p.flatCuts() {
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{c.name, bareMM(c.length), bareMM(c.width), fmt.Sprint(c.count)}})
	}
	if len(tab.Rows) > 0 {
		t.Table(tab)
		t.Note("Finished sizes. A saw takes its own width (1 to 3\u202fmm) beside the line; the list allows for one edge of the sheet as bought.")
	}
	t.Heading(2, "Wire list")
	tab = draw.Table{Size: draw.SizeSmall, Boxes: true, Columns: []draw.Column{{Head: "code"}, {Head: "what"}, {Head: "wire"}, {Head: "length, mm", Align: draw.Right}, {Head: "count", Align: draw.Right}, {Head: "bared"}}}
	var bus, lead float64
	for _, w := range p.plan.Wires {
		name, _, _ := strings.Cut(w.Part.Name, ",") // what follows tells of the pack
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{w.Code, w.Name, name, bareMM(w.Length), fmt.Sprint(w.Count), w.Strip}})
		if w.Code[0] == 'L' || w.Code[0] == 'X' {
			lead += w.Length * float64(w.Count)
		} else {
			bus += w.Length * float64(w.Count)
		}
	}
	t.Table(tab)
	t.Note(fmt.Sprintf("Together %s of bus wire and %s of lead wire.", quantity.FormatIn(bus, quantity.Length, "m", 3), quantity.FormatIn(lead, quantity.Length, "m", 3)))
	t.Heading(2, "Solder joints")
	var groups []string
	for _, g := range p.jointGroups() {
		groups = append(groups, fmt.Sprintf("%d %s", g.count, g.what))
	}
	t.Paragraph(fmt.Sprintf("%d in all: %s.", len(p.plan.Joints), strings.Join(groups, "; ")))
}

// onHand tells whether any line of the list is in stock.
func (p *Pack) onHand() bool {
	return slices.ContainsFunc(p.in.Bill.Lines, func(n price.Line) bool { return n.Stock > 0 })
}
