package buildpack

import (
	"fmt"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// Guide makes a pack into a guide for strangers: the same lamp, but no one
// owner's stock or serial, with other trays and strips beside it, and dated
// notes on parts with room to disclose how they were come by.
type Guide struct {
	Variants []Variant
}

// Variant is the lamp in another tray, with another strip, or both.
type Variant struct {
	Tray, Strip string
	Rows, Units int
	RowLength   float64 // m
	Supply      string
	Price       string  // of the first lamp, without tools
	Lux         float64 // at the meter's place
	Luminance   float64 // mean of the face, cd/m²
	// Stop says why it should not be built; "": nothing stands against it.
	Stop string
	// Own marks the lamp of this guide.
	Own bool
}

// kind is what the pages call themselves.
func (p *Pack) kind() string {
	if p.in.Guide != nil {
		return "Building guide"
	}
	return "Build pack"
}

// welcome tells strangers what they hold.
func (p *Pack) welcome() {
	if p.in.Guide == nil {
		return
	}
	p.text.Paragraph("For anyone who wants to build this lamp and has not met it before. Nothing here counts on what its author had at hand: every part is on the shopping list, and the table of variants says what changes with another tray or strip. Measure what you buy; strips and sheets differ from their labels.")
}

// variants tables the lamp's relatives and the parts with room for notes.
func (p *Pack) variants() {
	g, t := p.in.Guide, &p.text
	if g == nil {
		return
	}
	t.Page()
	t.Heading(1, "Variants")
	t.Paragraph(fmt.Sprintf("The same lamp with other trays and strips of the catalogue: rows as close together as here, the smallest supply that will do. Illuminance and luminance are predicted at the same places, %s before the face; prices are of the first lamp without tools. The pages after this one are for the lamp marked with ▸ alone: make a pack of its own for another.", mm(p.lamp().Spec.Place.MeterDistance)))
	tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "tray", Width: 34}, {Head: "strip", Width: 30}, {Head: "rows × units", Align: draw.Right, Width: 16}, {Head: "cut, mm", Align: draw.Right, Width: 14}, {Head: "supply", Width: 24},
		{Head: "price", Align: draw.Right, Width: 17}, {Head: "lx", Align: draw.Right, Width: 13}, {Head: "cd/m²", Align: draw.Right, Width: 15}}}
	for _, v := range g.Variants {
		tray := v.Tray
		if v.Own {
			tray = "▸ " + tray
		}
		price, lux, lum := v.Price, quantity.Digits(v.Lux, 2), quantity.Digits(v.Luminance, 2)
		if v.Stop != "" {
			price, lux, lum = "not built", "–", "–"
		}
		tab.Rows = append(tab.Rows, draw.Row{Bold: v.Own, Cells: []string{tray, v.Strip, fmt.Sprintf("%d × %d", v.Rows, v.Units), bareMM(v.RowLength), v.Supply, price, lux, lum}})
	}
	t.Table(tab)
	stops := false
	for _, v := range g.Variants {
		if v.Stop != "" {
			t.Bullet(fmt.Sprintf("%s with %s is not to be built: %s", v.Tray, v.Strip, sentence(v.Stop)))
			stops = true
		}
	}
	if stops {
		t.Note("Other rows, feeds or a painted back may clear a stop; work the variant out.")
	}
	t.Need(80)
	t.Heading(2, "Notes on the parts, dated")
	t.Paragraph("Shops change what they sell under one name. Write down when and where a part was had, what was measured on it, and whether it was bought, lent or given; a reader should know what the writer got for nothing.")
	tab = draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "part", Width: 56}, {Head: "as of", Width: 22}, {Head: "where, what was measured"}, {Head: "bought, lent or given", Width: 38}}}
	for _, r := range p.partRows() {
		name := r[2]
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{name, p.in.Date.Format("2006-01-02"), "__________________", "________________"}})
	}
	t.Table(tab)
	t.Note("Disclosure: ______________________________________________________________________")
}
