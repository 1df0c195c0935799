package buildpack

import (
	"fmt"
	"strings"
	"time"

	"dawnsmith/paper/draw"
	"dawnsmith/paper/portrait"
)

// drawings are numbered in the order in which they appear before the steps.
const (
	explodedDrawing = "drawing 1"
	planDrawing     = "drawing 2"
	sectionDrawing  = "drawing 3"
	sightDrawing    = "drawing 4"
	cutDrawing      = "drawing 5"
	wiringDrawing   = "drawing 6"
	// Each conductor alone, from 7 on.
	firstConductor = 7
)

// conductorDrawing is the drawing of one conductor alone.
func conductorDrawing(c int) string { return fmt.Sprintf("drawing %d", firstConductor+c) }

// template names the drawing at true scale.
const templateDrawing = "template"

// caption begins with the drawing's number.
func caption(drawing, words string) string {
	return strings.ToUpper(drawing[:1]) + drawing[1:] + ": " + words
}

func (p *Pack) drawings() {
	l, t := p.lamp(), &p.text
	t.Page()
	t.Heading(1, "Drawings")
	t.Fit(portrait.Exploded(l, p.plan), caption(explodedDrawing, "the parts with their numbers."), 125)
	t.Fit(portrait.TrayPlan(l, &p.plan), caption(planDrawing, "the tray from above with its rows and wires."), 140)
	t.Fit(portrait.TraySection(l), caption(sectionDrawing, "the tray cut across the rows."), 75)
	t.Fit(portrait.SideView(l), caption(sightDrawing, "lamp and eye from the side, with mount and cord. The longer side of the face lies level."), 110)
	t.Need(20 + 5*float64(len(p.plan.Rows)))
	tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "row"}, {Head: "centre line from the wall of row 1, mm", Align: draw.Right}, {Head: "begins, from the end wall, mm", Align: draw.Right}, {Head: "ends, mm", Align: draw.Right}, {Head: "cut units", Align: draw.Right}}}
	for i, r := range p.plan.Rows {
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{fmt.Sprint(i + 1), bareMM(r.Y), bareMM(r.X0), bareMM(r.X1), fmt.Sprint(r.Units)}})
	}
	t.Table(tab)
}

func (p *Pack) wiring() {
	t := &p.text
	t.Page()
	t.Heading(1, "Wiring")
	t.Fit(portrait.Wiring(p.lamp(), p.plan), caption(wiringDrawing, "every wire with its polarity. Plus is solid, minus is broken."), 0)
	t.Need(14 + 10*float64(len(p.plan.Inline)))
	tab := draw.Table{Size: draw.SizeSmall, Columns: []draw.Column{{Head: "from the wall to the tray"}, {Head: "what"}, {Head: "where"}}}
	for _, d := range p.plan.Inline {
		tab.Rows = append(tab.Rows, draw.Row{Cells: []string{string(d.Kind), d.Name, d.Place}})
	}
	t.Table(tab)
	t.Note("A switch of your own belongs in the plus, behind the fuse, made for direct current of 1.25 times the lamp's; a switched mains socket does as well. Feed: " + p.plan.Scheme.String() + ".")
	for c, k := range p.plan.Conductors {
		t.Fit(portrait.WiringOf(p.lamp(), p.plan, c), caption(conductorDrawing(c), "the wires of the "+k.Name+" alone."), 0)
	}
}

// rulersHeight is what a page has for rulers, mm.
const rulersHeight = 225.0

func (p *Pack) rulers() {
	t := &p.text
	// On one page where they fit one.
	high := 58.0
	for i := range p.plan.Buses {
		high += portrait.StrippingRuler(p.plan, i).Height + 12
	}
	t.Need(min(high, rulersHeight))
	t.Heading(1, "Rulers at true scale")
	t.Paragraph("Print this page without scaling. Measure the check rule first: if it is not 100.0\u202fmm long, do not use the rulers, go by the numbers in millimetres.")
	t.Figure(draw.CheckRuler(), "Check rule: 100.0 mm.")
	if len(p.plan.Buses) == 0 {
		t.Paragraph("This lamp has no bus wires; its links are cut to length by the wire list.")
		return
	}
	t.Paragraph("Lay the bus wire on its ruler with its start at 0 and mark the bared windows; the bold numbers are the rows. A long wire goes on in the next line at the same number.")
	for i, b := range p.plan.Buses {
		t.Figure(portrait.StrippingRuler(p.plan, i), "Ruler "+b.Code+".")
	}
}

func (p *Pack) template() {
	t := &p.text
	t.Need(90)
	t.Heading(1, "Nameplate")
	t.Paragraph("For the lamp's back, at true scale. The same label is in the folder of drawings.")
	t.Figure(p.Nameplate(), "")
	p.text.Sheets(portrait.Template(p.lamp(), p.plan), "Template at true scale")
}

// Drawing is one drawing of the pack as a file of its own.
type Drawing struct {
	File  string // without extension: "wiring"
	Title string
	Scene draw.Scene
	// True says that it is drawn at true scale; its PDF is tiled over pages
	// where it does not fit one.
	True bool
}

// Drawings are all drawings of the pack, for files of their own.
func (p *Pack) Drawings() []Drawing {
	l := p.lamp()
	out := []Drawing{
		{"exploded", "parts with their numbers", portrait.Exploded(l, p.plan), false},
		{"plan", "tray from above", portrait.TrayPlan(l, &p.plan), false},
		{"section", "tray cut across the rows", portrait.TraySection(l), false},
		{"side", "lamp and eye from the side", portrait.SideView(l), false},
		{"reel-map", "cutting the strip", portrait.CutList(p.plan, l.Strip.Cut), false},
		{"wiring", "every wire with its polarity", portrait.Wiring(l, p.plan), false},
	}
	for c, k := range p.plan.Conductors {
		out = append(out, Drawing{"wiring-" + k.Key, "wires of the " + k.Name + " alone", portrait.WiringOf(l, p.plan, c), false})
	}
	for i, b := range p.plan.Buses {
		out = append(out, Drawing{"ruler-" + strings.ToLower(b.Code), "stripping ruler " + b.Code, portrait.StrippingRuler(p.plan, i), true})
	}
	return append(out,
		Drawing{"template", "strip positions and drill holes", portrait.Template(l, p.plan), true},
		Drawing{"nameplate", "label for the back", p.Nameplate(), true})
}

// Nameplate is the label for this lamp's back.
func (p *Pack) Nameplate() draw.Scene {
	amps, _ := p.value("supply_current_a")
	c := portrait.PlateOf(p.lamp(), amps)
	c.Serial = p.in.Serial
	return portrait.Nameplate(c)
}

// Date is the date of the pack.
func (p *Pack) Date() time.Time { return p.in.Date }

// DrawingPages gives one drawing for paper: true drawings tiled over pages of
// the pack's size, others on a page of their own size.
func (p *Pack) DrawingPages(d Drawing) ([]draw.Scene, error) {
	if !d.True {
		return []draw.Scene{d.Scene}, nil
	}
	return draw.Tile(d.Scene, p.in.Size, 0)
}
