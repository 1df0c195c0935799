package portrait

import (
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
)

// templateEdge is kept about the template, mm, for words and the check rule.
const (
	templateEdge = 12.0
	templateFoot = 22.0
)

// Template draws, at true scale, what is marked on the tray: the floor with
// every row's place and centre line, bus wires with their windows, the tape
// beneath, the middle for the mount, and the wall with the lead's hole folded
// down beside it. It carries a check rule; see draw.Tile for paper.
//
// Layers for a plotter or cutter: FLOOR, ROWS, CENTRES, TAPE, BUS, HOLES, RULE.
func Template(l lamp.Lamp, w wiring.Plan) draw.Scene {
	length, across := l.RunLength()*toMM, l.Across()*toMM
	flap := math.Min(l.Tray.Depth*toMM, math.Max(22, HoleHeight(l, w)*toMM+w.Entry.Hole*toMM/2+13))
	left, top, foot := templateEdge, templateEdge/2, templateEdge
	side := w.Entry.At.X == 0 // the hole is in the end wall
	ruleBeside := false       // the check rule stands beside the folded wall
	if side {
		left += flap
	} else {
		top += flap
		ruleBeside = w.Entry.At.X*toMM+60+112 < length
	}
	if !ruleBeside {
		top += 6
		foot += templateFoot
	}
	s := draw.NewScene(math.Max(left+length+templateEdge, 112+2*templateEdge), top+across+foot, "Template, "+l.Name,
		fmt.Sprintf("Template at true scale: the tray's floor of %s by %s with %d rows of strip, the wall with the lead's hole beside it, and a rule of 100 mm.", mm(l.RunLength()), mm(l.Across()), l.Spec.Rows))
	at := func(p wiring.Point) draw.Point { return draw.Point{X: left + p.X*toMM, Y: top + p.Y*toMM} }
	layer := func(name string) *draw.Group { g := s.Child(""); g.Layer = name; return g }
	thin, hair := draw.Stroke(draw.Ink, draw.WidthThin), draw.Stroke(draw.Soft, draw.WidthHair)
	small := draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle}

	tape := layer("TAPE")
	for _, k := range w.Tape {
		a := at(k.At)
		tape.Rect(a.X, a.Y, k.Width*toMM, k.Height*toMM, hair.Dashed(draw.Dotted))
	}
	floor := layer("FLOOR")
	floor.Rect(left, top, length, across, draw.Stroke(draw.Ink, draw.WidthBold))
	floor.Text(left+length/2, top+across+4.5, "floor "+mm(l.RunLength())+" × "+mm(l.Across())+": cut the paper along this line", draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre})

	half := l.Strip.Width * toMM / 2
	rows, centres := layer("ROWS"), layer("CENTRES")
	for i, r := range w.Rows {
		a, b := at(wiring.Point{X: r.X0, Y: r.Y}), at(wiring.Point{X: r.X1, Y: r.Y})
		rows.Rect(a.X, a.Y-half, b.X-a.X, 2*half, thin)
		centres.Line(a.X-6, a.Y, b.X+6, b.Y, hair.Dashed(draw.Chain))
		words := small
		words.Bold, words.Align, words.Ground = true, draw.Centre, draw.Paper
		// In each third, so that a sheet of a tiled print names its rows.
		for _, k := range []float64{0.17, 0.5, 0.83} {
			name := fmt.Sprintf("row %d", i+1)
			if l.Interleaved() {
				name += ", " + l.ChannelNames()[i%2]
			}
			centres.Text(a.X+(b.X-a.X)*k, a.Y, name, words)
		}
		mark := small
		mark.Bold, mark.Ground = true, draw.Paper
		for c, k := range w.Conductors {
			if !l.HasPad(i, c) {
				continue
			}
			y := a.Y + l.PadOffset(c)*toMM
			centres.Text(a.X+1, y, k.Mark, mark)
			end := mark
			end.Align = draw.Right
			centres.Text(b.X-1, y, k.Mark, end)
		}
		x := a.X
		for _, c := range r.Pieces[:len(r.Pieces)-1] {
			x += float64(c.To-c.From) * l.Strip.Cut * toMM
			rows.Line(x, a.Y-half-2, x, a.Y+half+2, thin)
		}
	}
	bus := layer("BUS")
	for _, b := range w.Buses {
		first, last := b.Windows[0].At.Y, b.Windows[len(b.Windows)-1].At.Y
		from := 0.0
		if !b.LeadIn {
			from = math.Max(0, first-lamp.BusTail)
		}
		p, q := at(wiring.Point{X: b.X, Y: from}), at(wiring.Point{X: b.X, Y: math.Min(l.Across(), last+lamp.BusTail)})
		bus.Line(p.X, p.Y, q.X, q.Y, wireStyle(b.Conductor))
		for _, win := range b.Windows {
			c := at(wiring.Point{X: b.X, Y: win.At.Y})
			bus.Rect(c.X-1, c.Y-win.Length*toMM/2, 2, win.Length*toMM, thin)
		}
	}
	drillMarks(layer("HOLES"), l, w, left, top, flap)
	if ruleBeside {
		s.Place(draw.CheckRuler(), left+length-112, 0, 1)
	} else {
		s.Place(draw.CheckRuler(), templateEdge-6, s.Height-templateFoot+1, 1)
	}
	return s
}

// HoleHeight is where the lead's hole is drilled, from the floor to its middle,
// m: as low as a grommet's rim allows (common practice, no source).
func HoleHeight(l lamp.Lamp, w wiring.Plan) float64 {
	return math.Min(l.Tray.Depth/2, w.Entry.Hole/2+0.004)
}

// drillMarks draws the wall with the lead's hole, and the floor's middle.
func drillMarks(g *draw.Group, l lamp.Lamp, w wiring.Plan, left, top, flap float64) {
	thin := draw.Stroke(draw.Ink, draw.WidthThin)
	small := draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle}
	h, r := HoleHeight(l, w)*toMM, w.Entry.Hole*toMM/2
	cross := func(x, y, a float64) {
		g.Line(x-a, y, x+a, y, draw.Stroke(draw.Ink, draw.WidthHair))
		g.Line(x, y-a, x, y+a, draw.Stroke(draw.Ink, draw.WidthHair))
	}
	words := fmt.Sprintf("drill %s, %s above the floor", mm(w.Entry.Hole), mm(HoleHeight(l, w)))
	const wide = 52.0
	if w.Entry.At.X == 0 {
		y := top + w.Entry.At.Y*toMM
		box := []draw.Point{{X: left - flap, Y: y - wide/2}, {X: left, Y: y - wide/2}, {X: left, Y: y + wide/2}, {X: left - flap, Y: y + wide/2}}
		g.Polygon(box, thin.Dashed(draw.Dashed))
		g.Circle(left-h, y, r, thin)
		cross(left-h, y, r+2)
		turned := small
		turned.Angle, turned.Align = 90, draw.Centre
		g.Text(left-h-r-4, y, words, turned)
		g.Text(left-flap+3, y, "end wall, folded down", turned)
	} else {
		x := left + w.Entry.At.X*toMM
		a := math.Max(left, x-wide/2)
		g.Polygon([]draw.Point{{X: a, Y: top - flap}, {X: a + wide, Y: top - flap}, {X: a + wide, Y: top - 4}, {X: a + wide, Y: top}, {X: a, Y: top}}, thin.Dashed(draw.Dashed))
		g.Circle(x, top-h, r, thin)
		cross(x, top-h, r+2)
		g.Text(a+1.5, top-h-r-5, words, small)
		g.Text(a+1.5, top-flap+3, "wall of row 1, folded down", small)
	}
	cx, cy := left+l.RunLength()*toMM/2, top+l.Across()*toMM/2
	cross(cx, cy, 9)
	g.Circle(cx, cy, 5, draw.Stroke(draw.Soft, draw.WidthHair))
	if gap := l.RowPitch() - l.Strip.Width; gap*toMM > 4 {
		y := cy
		if l.Spec.Rows%2 == 1 {
			y += l.RowPitch() * toMM / 2
		}
		g.Text(cx+11, y, "mount: within 10 mm", draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle, Ground: draw.Paper, Paint: draw.Soft})
	}
}
