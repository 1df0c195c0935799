package portrait

import (
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// Part is one part of the lamp with the number it has in drawings and lists.
type Part struct {
	Number int
	Kind   string // as in the shopping list: "tray", "wire"
	ID     string
	Name   string
	Amount string // "1 piece", "9 rows of 350 mm"
}

// Parts numbers the parts of a lamp in the order of the shopping list.
func Parts(l lamp.Lamp) []Part {
	var out []Part
	add := func(kind, id, name, amount string) {
		out = append(out, Part{len(out) + 1, kind, id, name, amount})
	}
	m := func(x float64) string { return quantity.FormatIn(x, quantity.Length, "m", 3) }
	add("tray", l.Tray.ID, l.Tray.Name, "1")
	for k, s := range l.Strips() {
		add("strip", s.ID, s.Name, fmt.Sprintf("%d × %s", l.Half(k).Spec.Rows, mm(l.RowLength())))
	}
	if l.Lining != nil {
		add("lining", l.Lining.ID, l.Lining.Name, "by the cut list")
	}
	switch s := l.Sheets(); {
	case len(s) == 2 && s[0].ID == s[1].ID:
		add("sheet", s[0].ID, s[0].Name, "2")
	default:
		for _, k := range s {
			add("sheet", k.ID, k.Name, "1")
		}
	}
	add("supply", l.Supply.ID, l.Supply.Name, "1")
	if l.Bus.ID == l.Lead.ID {
		add("wire", l.Bus.ID, l.Bus.Name, m(l.BusTotal()+l.LeadTotal()))
	} else {
		add("wire", l.Bus.ID, l.Bus.Name, m(l.BusTotal()))
		add("wire", l.Lead.ID, l.Lead.Name, m(l.LeadTotal()))
	}
	add("connector", l.Connector.ID, l.Connector.Name, "1")
	if l.Fuse != nil {
		add("fuse", l.Fuse.ID, l.Fuse.Name, "1")
	}
	if l.Dimmer != nil {
		add("dimmer", l.Dimmer.ID, l.Dimmer.Name, "1")
	}
	if l.Mount != nil {
		add("mount", l.Mount.ID, l.Mount.Name, "1")
	}
	return out
}

// stack places points of the exploded view: a and b run along and across the
// rows in mm of the lamp, lift up from the lowest layer in mm of paper.
type stack struct {
	s        *draw.Scene
	x, y, k  float64
	slant    draw.Point // of a mm across the rows, in mm of the lamp
	nextMark float64    // y of the next callout
}

func (d *stack) at(a, b, lift float64) draw.Point {
	return draw.Point{X: d.x + d.k*(a+b*d.slant.X), Y: d.y - lift - d.k*b*d.slant.Y}
}

func (d *stack) plate(length, across, lift float64, st draw.Style) []draw.Point {
	ps := []draw.Point{d.at(0, 0, lift), d.at(length, 0, lift), d.at(length, across, lift), d.at(0, across, lift)}
	d.s.Polygon(ps, st)
	return ps
}

// Exploded draws the lamp's parts lifted off one another, each with its number,
// and a list of the numbers. It is a picture, not to scale.
func Exploded(l lamp.Lamp, w wiring.Plan) draw.Scene {
	parts := Parts(l)
	number := func(kind, id string) int {
		for _, p := range parts {
			if p.Kind == kind && p.ID == id {
				return p.Number
			}
		}
		return 0
	}
	length, across := l.RunLength()*toMM, l.Across()*toMM
	d := &stack{slant: draw.Point{X: 0.5, Y: 0.36}}
	d.k = math.Min(92/(length+across*d.slant.X), 44/(across*d.slant.Y))
	plateHigh := d.k * across * d.slant.Y
	depth := math.Max(4, d.k*l.Tray.Depth*toMM)
	step := math.Max(13, plateHigh*0.74)
	layers := 3.0
	if l.Lining != nil {
		layers++
	}
	stackHigh := plateHigh + step*layers + depth
	mountHigh := 0.0
	if l.Mount != nil {
		mountHigh = 16
	}
	listed := draw.SizeSmall * 1.5
	high := math.Max(14+stackHigh+mountHigh+34, 16+float64(len(parts))*2.6*listed)
	s := draw.NewScene(174, high, "Exploded view", "The parts of the lamp lifted off one another, from the mount below to the sheet on top, with their numbers.")
	s.Text(0, 4, "Exploded view", draw.TextStyle{Size: draw.SizeHead, Bold: true})
	s.Text(0, 8.6, "The face looks up here. Not to scale; the numbers are those of the list.", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	d.s, d.x = &s, 11
	d.y = 14 + stackHigh - depth // the floor of the tray
	line := draw.Stroke(draw.Ink, draw.WidthLine)
	thin := draw.Stroke(draw.Ink, draw.WidthThin)

	// Axes on which the layers are lifted.
	lift := step
	top := step * layers
	for _, c := range [][2]float64{{0, 0}, {length, 0}, {length, across}, {0, across}} {
		a, b := d.at(c[0], c[1], 0), d.at(c[0], c[1], top)
		s.Line(a.X, a.Y, b.X, b.Y, draw.Stroke(draw.Faint, draw.WidthThin).Dashed(draw.Chain))
	}
	// Tray: floor, and the walls in front and at the right.
	rim := d.plate(length, across, 0, line.Filled(draw.Metal))
	s.Polygon([]draw.Point{rim[0], rim[1], {X: rim[1].X, Y: rim[1].Y + depth}, {X: rim[0].X, Y: rim[0].Y + depth}}, line.Filled(draw.Metal))
	s.Polygon([]draw.Point{rim[1], rim[2], {X: rim[2].X, Y: rim[2].Y + depth}, {X: rim[1].X, Y: rim[1].Y + depth}}, line.Filled(draw.Metal))
	in := 0.02 * math.Min(length, across)
	inner := []draw.Point{d.at(in, in, 0), d.at(length-in, in, 0), d.at(length-in, across-in, 0), d.at(in, across-in, 0)}
	s.Polygon(inner, thin.Filled(draw.Panel))
	edge := func(lift float64) draw.Point { return d.at(length, across*0.5, lift) }
	marks := []callout{{edge(0), []int{number("tray", l.Tray.ID)}}}
	if l.Lining != nil {
		d.plate(length, across, lift, thin.Filled(draw.Lining))
		marks = append(marks, callout{edge(lift), []int{number("lining", l.Lining.ID)}})
		lift += step
	}
	d.rows(w, lift)
	var strips []int
	for _, s := range l.Strips() {
		strips = append(strips, number("strip", s.ID))
	}
	marks = append(marks, callout{d.at(l.RowStart()*toMM+l.RowLength()*toMM, across*0.5, lift), strips})
	lift += step
	d.buses(l, w, lift)
	marks = append(marks, callout{d.at(l.BusAt(lamp.WiredEnd, 0)*toMM, across*0.5, lift), []int{number("wire", l.Bus.ID)}})
	lift += step
	for k, s := range l.Sheets() {
		if k > 0 {
			lift += 0.25 * step
		}
		d.plate(length, across, lift, thin.Filled(draw.Sheet))
		marks = append(marks, callout{edge(lift), []int{number("sheet", s.ID)}})
	}
	if l.Mount != nil {
		c := d.at(length/2, across*0.1, -depth)
		c.Y += 5
		s.Line(c.X, c.Y-5, c.X, c.Y, draw.Stroke(draw.Faint, draw.WidthThin).Dashed(draw.Chain))
		s.RoundRect(c.X-7, c.Y, 14, 3, 0.8, line.Filled(draw.Metal))
		s.Line(c.X, c.Y+3, c.X, c.Y+8, draw.Stroke(draw.Ink, draw.WidthHeavy))
		marks = append(marks, callout{draw.Point{X: c.X + 7, Y: c.Y + 1.5}, []int{number("mount", l.Mount.ID)}})
	}
	for _, m := range marks {
		m.draw(&s, 108)
	}
	d.chain(l, w, number, s.Height-14)
	y := 16.0
	for _, p := range parts {
		balloon(&s, draw.Point{X: 121, Y: y}, p.Number)
		lines := draw.Wrap(p.Name+"; "+p.Amount, 47, draw.SizeSmall, false)
		for i, t := range lines {
			s.Text(125.5, y+float64(i)*3.3, t, draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle})
		}
		y += math.Max(2*listed, 3.3*float64(len(lines))+1.6)
	}
	return s
}

// rows draws the strips.
func (d *stack) rows(w wiring.Plan, lift float64) {
	half := 5.0
	for i, r := range w.Rows {
		if i > 0 {
			half = math.Min(half, (w.Rows[i].Y-w.Rows[i-1].Y)*toMM/2.5)
		}
		a, b, y := r.X0*toMM, r.X1*toMM, r.Y*toMM
		d.s.Polygon([]draw.Point{d.at(a, y-half, lift), d.at(b, y-half, lift), d.at(b, y+half, lift), d.at(a, y+half, lift)}, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.Strip))
		n := min(r.Units, 12)
		for k := range n {
			p := d.at(a+(b-a)*(float64(k)+0.5)/float64(n), y, lift)
			d.s.Circle(p.X, p.Y, 0.35, draw.Fill(draw.LED))
		}
	}
}

// buses draws bus wires, or the links of a serpentine.
func (d *stack) buses(l lamp.Lamp, w wiring.Plan, lift float64) {
	for _, b := range w.Buses {
		// Side by side, wider apart than they lie.
		x := b.X*toMM - 2.6/d.k*float64(b.Conductor)
		if b.End == lamp.FarEnd {
			x = b.X*toMM + 2.6/d.k*float64(b.Conductor)
		}
		p, q := d.at(x, 0, lift), d.at(x, l.Across()*toMM, lift)
		d.s.Line(p.X, p.Y, q.X, q.Y, wireStyle(b.Conductor))
	}
	for _, k := range w.Links {
		p, q := d.at(k.A.X*toMM, k.A.Y*toMM, lift), d.at(k.B.X*toMM, k.B.Y*toMM, lift)
		d.s.Line(p.X, p.Y, q.X, q.Y, wireStyle(k.Conductor))
	}
}

// chain draws what lies between supply and tray as boxes with their numbers.
func (d *stack) chain(l lamp.Lamp, w wiring.Plan, number func(kind, id string) int, y float64) {
	type box struct {
		name string
		no   int
	}
	boxes := []box{}
	for _, v := range w.Inline {
		b := box{name: string(v.Kind)}
		switch v.Kind {
		case wiring.SupplyDevice:
			b.no = number("supply", l.Supply.ID)
		case wiring.ConnectorDevice:
			b.no = number("connector", l.Connector.ID)
		case wiring.FuseDevice:
			b.no = number("fuse", l.Fuse.ID)
		case wiring.DimmerDevice:
			b.no = number("dimmer", l.Dimmer.ID)
		case wiring.LeadDevice:
			b.no = number("wire", l.Lead.ID)
		}
		boxes = append(boxes, b)
	}
	wide := 104 / float64(len(boxes))
	d.s.Text(6, y-7.5, "from the supply to the tray", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	for i, b := range boxes {
		x := 6 + wide*float64(i)
		if i > 0 {
			d.s.Line(x-4, y+2.5, x, y+2.5, draw.Stroke(draw.Ink, draw.WidthHeavy))
		}
		d.s.RoundRect(x, y-1.5, wide-4, 8, 0.8, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Paper))
		d.s.Text(x+(wide-4)/2, y+2.5, b.name, draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Rise: draw.Middle})
		balloon(d.s, draw.Point{X: x + wide - 5, Y: y - 1.5}, b.no)
	}
}

// callout points at a part from its number.
type callout struct {
	at      draw.Point
	numbers []int
}

func (c callout) draw(s *draw.Scene, x float64) {
	s.Line(c.at.X, c.at.Y, x-2.4, c.at.Y, draw.Stroke(draw.Soft, draw.WidthHair))
	s.Circle(c.at.X, c.at.Y, 0.5, draw.Fill(draw.Ink))
	for i, n := range c.numbers {
		balloon(s, draw.Point{X: x + 5.5*float64(i), Y: c.at.Y}, n)
	}
}

func balloon(s *draw.Scene, at draw.Point, n int) {
	s.Circle(at.X, at.Y, 2.4, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Paper))
	s.Text(at.X, at.Y, fmt.Sprint(n), draw.TextStyle{Size: draw.SizeSmall, Bold: true, Align: draw.Centre, Rise: draw.Middle})
}
