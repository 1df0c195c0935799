package buildpack

import (
	"fmt"
	"slices"
	"strings"

	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/portrait"
	"dawnsmith/quantity"
)

func (p *Pack) shopping() {
	t, b := &p.text, p.in.Bill
	t.Need(130)
	t.Heading(1, "Shopping list")
	intro := "Tick what you have. Parts have the numbers of " + explodedDrawing + ". Need is what one lamp takes; buy so many packs for the first lamp and, with what is left over, for the next."
	stocked := p.onHand()
	if stocked {
		intro += " On hand is what the stock file holds before you begin: it is used first."
	}
	t.Paragraph(intro)
	for _, g := range []struct {
		class price.Class
		title string
	}{{price.DurableClass, "Parts of the lamp"}, {price.ConsumableClass, "Used up"}, {price.ToolClass, "Tools"}} {
		tab := draw.Table{Size: draw.SizeSmall, Boxes: true, Columns: []draw.Column{{Head: "", Width: 7, Align: draw.Right},
			{Head: g.title, Width: 56}, {Head: "need", Align: draw.Right, Width: 23}, {Head: "pack", Align: draw.Right, Width: 13}, {Head: "price", Align: draw.Right, Width: 15},
			{Head: "buy first", Align: draw.Right, Width: 12}, {Head: "cost", Align: draw.Right, Width: 15}, {Head: "buy next", Align: draw.Right, Width: 12}, {Head: "cost", Align: draw.Right, Width: 15}}}
		if stocked {
			tab.Columns[1].Width = 41
			tab.Columns = slices.Insert(tab.Columns, 3, draw.Column{Head: "on hand", Align: draw.Right, Width: 15})
		}
		for _, n := range b.Lines {
			if n.Class != g.class {
				continue
			}
			no := ""
			if k := p.number(n); k > 0 {
				no = fmt.Sprint(k)
			}
			cells := append([]string{no}, billRow(n)...)
			if stocked {
				cells = slices.Insert(cells, 3, stockText(n))
			}
			tab.Rows = append(tab.Rows, draw.Row{Cells: cells})
		}
		if len(tab.Rows) == 0 {
			continue
		}
		t.Table(tab)
	}
	t.Paragraph(fmt.Sprintf("Parts and what is used up: %s for the first lamp, %s for the next, %s a lamp in the long run. Tools, the optional ones not counted: %s.", b.First, b.Next, b.LongRun, b.Tools))
	if len(b.Unpriced) > 0 {
		t.Note("Without a price, and counted as nothing: " + list(b.Unpriced) + ".")
	}
	t.Heading(2, "Small things the steps use up")
	tab := draw.Table{Size: draw.SizeSmall, Boxes: true, Columns: []draw.Column{{Head: "what"}, {Head: "how much"}}}
	for _, r := range p.smallThings() {
		tab.Rows = append(tab.Rows, draw.Row{Cells: r})
	}
	t.Table(tab)
	t.Note("Add what the list above does not hold already. Prices are as given in the parts files; postage is not counted.")
	t.Need(62)
	t.Heading(2, "To have at hand, or to borrow")
	tab = draw.Table{Size: draw.SizeSmall, Boxes: true, Columns: []draw.Column{{Head: "what"}, {Head: "for"}}}
	for _, r := range p.atHand() {
		tab.Rows = append(tab.Rows, draw.Row{Cells: r})
	}
	t.Table(tab)
}

// billRow is one line of the shopping list.
func billRow(n price.Line) []string {
	first, next := fmt.Sprint(n.FirstPacks), fmt.Sprint(n.NextPacks)
	cost, nextCost, each := n.First.String(), n.Next.String(), n.Each.String()
	if n.Unpriced {
		cost, nextCost, each = "–", "–", "–"
	}
	if n.FirstPacks == 0 {
		cost = "on hand"
	}
	if n.NextPacks == 0 {
		nextCost = "–"
	}
	name := n.Name
	if n.Optional {
		name += " (optional)"
	}
	return []string{name, n.NeedText(), packText(n), each, first, cost, next, nextCost}
}

// number is the number of a part in the exploded view; 0: it has none.
func (p *Pack) number(n price.Line) int {
	for _, k := range portrait.Parts(p.lamp()) {
		if k.Kind == n.Kind && k.ID == n.ID {
			return k.Number
		}
	}
	return 0
}

// stockText is what is on hand of a line, "–" for nothing.
func stockText(n price.Line) string {
	switch {
	case n.Stock <= 0:
		return "–"
	case n.Unit == "m", n.Unit == "m²":
		return quantity.Decimals(n.Stock, 2) + "\u202f" + n.Unit
	case n.Unit == "piece":
		return trim(quantity.Digits(n.Stock, 3))
	}
	return quantity.Digits(n.Stock/n.Pack, 2) + " of a pack"
}

func packText(n price.Line) string {
	switch n.Unit {
	case "m", "m²":
		return trim(quantity.Digits(n.Pack, 3)) + "\u202f" + n.Unit
	case "piece":
		if n.Pack == 1 {
			return "1"
		}
	}
	return trim(quantity.Digits(n.Pack, 4))
}

// smallThings are the quantities of what is used up, from the plan itself.
func (p *Pack) smallThings() [][]string {
	sleeves := 0
	for _, j := range p.plan.Joints {
		if j.Row < 0 {
			sleeves++
		}
	}
	out := [][]string{
		{"solder with flux, for", fmt.Sprintf("%d joints", len(p.plan.Joints))},
		{"insulating tape that stands heat (polyimide), 10\u202fmm wide, under row ends and buses", quantity.Decimals(p.plan.TapeLength(), 2) + "\u202fm"},
		{"heat-shrink sleeves, 20\u202fmm long", fmt.Sprint(sleeves)},
		{"grommet for a hole of", mm(p.plan.Entry.Hole)},
		{"cable clip with screw and nut", "1"},
		{"alcohol and wipes", "some"},
		{"washers or a plate for the mount's screws; safety cord with its own screw or hook", "1 set"},
	}
	if p.lamp().Dimmer != nil {
		out = append(out, []string{"a socket that takes the supply's plug, the mate of the lamp's connector, and lead wire of the rest: for the dimmer", "1 each, 0.6\u202fm"})
	}
	return out
}

// atHand is what the steps use and nobody buys for one lamp.
func (p *Pack) atHand() [][]string {
	l := p.lamp()
	amps, _ := p.value(predict.SupplyCurrent)
	volts := short(l.Supply.Voltage.X, quantity.Voltage, 3)
	out := [][]string{
		{fmt.Sprintf("bench supply with a current limit, %s and up to %s; or a shielded filament bulb of about %s for %s or more with its holder", volts, short(limitAmps(amps), quantity.Current, 2), bulb(amps*l.Supply.Voltage.X), volts), "the first power-up"},
		{"eye protection", "drilling, cutting, soldering"},
		{"lens and a bright light", "looking at joints"},
		{"brush or vacuum cleaner, solder wick", "swarf, solder that went too far"},
		{"fine saw or cutter for the sheet, pencil, masking tape", "cutting and marking"},
		{"white paper, dark cloth, clear film", "a cover while the tray is open; readings of light; the nameplate"},
	}
	if l.Dimmer != nil {
		out = append(out, []string{"small screwdriver", "the dimmer's terminals"})
	}
	return out
}

// flatCuts are sheet and lining.
func (p *Pack) flatCuts() []cutPiece {
	l := p.lamp()
	var out []cutPiece
	for _, s := range l.Sheets() {
		a, b := sheetSize(l)
		out = append(out, cutPiece{"sheet: " + s.Name, a, b, 1, s.ID})
	}
	for _, c := range liningPieces(l) {
		c.name, c.part = "lining, "+c.name, l.Lining.ID
		out = append(out, c)
	}
	return out
}

type jointGroup struct {
	what  string
	count int
}

// rowNumbers lists the rows that a bus is soldered to: "1, 3 and 5".
func rowNumbers(b wiring.Bus) string {
	var out []string
	for _, w := range b.Windows {
		out = append(out, fmt.Sprint(w.Row+1))
	}
	return list(out)
}

// jointGroups sums the joints up by wire.
func (p *Pack) jointGroups() []jointGroup {
	var out []jointGroup
	for _, b := range p.plan.Buses {
		rows := fmt.Sprintf("1 to %d", len(p.plan.Rows))
		if len(b.Windows) < len(p.plan.Rows) {
			rows = rowNumbers(b)
		}
		out = append(out, jointGroup{fmt.Sprintf("of %s to the %s pads of rows %s at the %s", b.Code, p.plan.Conductors[b.Conductor].Name, rows, b.End), len(b.Windows)})
	}
	for c, k := range p.plan.Conductors {
		n := 0
		for _, x := range p.plan.Links {
			if x.Conductor == c {
				n += 2
			}
		}
		if n > 0 {
			out = append(out, jointGroup{fmt.Sprintf("of the links K%d between the %s pads of neighbouring rows", c+1, k.Name), n})
		}
	}
	if n := p.plan.Splices(); n > 0 {
		out = append([]jointGroup{{"over splices inside rows", n * wiring.SpliceJoints(p.lamp())}}, out...)
	}
	// What is left lies along the lead: sum it up by where it is.
	tail := []jointGroup{{what: "at the ends of the cross wires"}, {what: "of the lead inside the tray"}, {what: "at the fuse holder"}, {what: "at the connector"}}
	for _, j := range p.plan.Joints {
		if j.Row >= 0 {
			continue
		}
		switch {
		case j.What[0] == 'X':
			tail[0].count++
		case j.Inside:
			tail[1].count++
		case strings.Contains(j.What, "fuse holder"):
			tail[2].count++
		default:
			tail[3].count++
		}
	}
	for _, g := range tail {
		if g.count > 0 {
			out = append(out, g)
		}
	}
	return out
}
