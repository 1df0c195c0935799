package portrait

import (
	"fmt"

	"dawnsmith/lamp"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
)

// Detail pictures for the steps: how a thing is done, not to scale.

const detailWidth = 174.0

func detail(title, desc string, high float64) draw.Scene {
	return draw.NewScene(detailWidth, high, title, desc)
}

// note writes words with a thin line to what they are about.
func note(g *draw.Group, x, y float64, words string, tx, ty float64) {
	w := 0.0
	lines := draw.Wrap(words, 46, draw.SizeSmall, false)
	for i, l := range lines {
		w = max(w, draw.TextWidth(l, draw.SizeSmall, false))
		g.Text(x, y+float64(i)*draw.SizeSmall*1.3, l, draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle})
	}
	from := x - 0.8
	if tx > x+w/2 {
		from = x + draw.TextWidth(lines[0], draw.SizeSmall, false) + 0.8
	}
	g.Line(from, y, tx, ty, draw.Stroke(draw.Soft, draw.WidthHair))
	g.Circle(tx, ty, 0.4, draw.Fill(draw.Soft))
}

func box(x, y, w, h float64) []draw.Point {
	return []draw.Point{{X: x, Y: y}, {X: x + w, Y: y}, {X: x + w, Y: y + h}, {X: x, Y: y + h}}
}

// drawnStrip draws a strip's end with pads and LEDs from x to x+w, pads at the
// left; it returns the middles of the pads.
func drawnStrip(g *draw.Group, l lamp.Lamp, marks []wiring.Conductor, x, y, w, h float64) []draw.Point {
	g.Rect(x, y, w, h, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Strip))
	n := len(marks)
	var out []draw.Point
	for c, k := range marks {
		py := y + h*(float64(c)+0.5)/float64(n)
		high := h / float64(n) * 0.62
		g.Rect(x, py-high/2, 6, high, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Copper))
		g.Text(x+7.5, py, k.Mark, draw.TextStyle{Size: draw.SizeLabel, Bold: true, Rise: draw.Middle, Paint: markPaint(c)})
		out = append(out, draw.Point{X: x + 3, Y: py})
	}
	for lx := x + 24; lx < x+w-4; lx += 12 {
		g.Rect(lx-2, y+h/2-2, 4, 4, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.LED))
	}
	return out
}

// TrayDetail shows the hole, its grommet and the deburred edge.
func TrayDetail(l lamp.Lamp, w wiring.Plan) draw.Scene {
	s := detail("The tray's wall with the lead's hole", fmt.Sprintf("A wall with a hole of %s, deburred on both sides, and a grommet in it.", mm(w.Entry.Hole)), 34)
	g := &s.Group
	for i, words := range []string{"1  drill", "2  deburr both sides", "3  press the grommet in"} {
		x := 10 + 58*float64(i)
		wall := box(x+12, 2, 3, 24)
		g.Polygon(wall, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Metal))
		g.Hatch(wall, 45, 1.2, draw.Stroke(draw.Soft, draw.WidthHair))
		g.Rect(x+11.8, 10, 3.4, 7, draw.Fill(draw.Paper))
		g.Line(x+12, 10, x+15, 10, draw.Stroke(draw.Ink, draw.WidthLine))
		g.Line(x+12, 17, x+15, 17, draw.Stroke(draw.Ink, draw.WidthLine))
		switch i {
		case 0:
			for _, y := range []float64{10, 17} {
				k := 1.4
				if y == 17 {
					k = -1.4
				}
				g.Line(x+15, y, x+16.4, y+k, draw.Stroke(draw.Ink, draw.WidthLine)) // burr
			}
			g.Dim(draw.Point{X: x + 12, Y: 17}, draw.Point{X: x + 12, Y: 10}, 5, mm(w.Entry.Hole), draw.DimStyle{Size: draw.SizeSmall, Beside: true})
		case 2:
			for _, y := range []float64{8.6, 16.4} {
				g.RoundRect(x+10.4, y, 6.2, 2, 0.8, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Soft))
			}
		}
		g.Text(x, 31.5, words, draw.TextStyle{Size: draw.SizeLabel})
	}
	g.Text(30, 5, "burr: cuts insulation", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	return s
}

// firstRow are the conductors that row 1 has pads of.
func firstRow(l lamp.Lamp, w wiring.Plan) []wiring.Conductor { return w.Conductors[:l.Pads()] }

// RowDetail shows where a row is cut, what lies beneath its end and which way
// round it goes.
func RowDetail(l lamp.Lamp, w wiring.Plan) draw.Scene {
	s := detail("A row's end", "A strip cut through the middle of its pads, tape beneath the cut end, plus towards the entry.", 52)
	g := &s.Group
	// The wall.
	wall := box(8, 2, 3, 46)
	g.Polygon(wall, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Metal))
	g.Hatch(wall, 45, 1.2, draw.Stroke(draw.Soft, draw.WidthHair))
	tape := box(30, 8, 18, 26)
	g.Polygon(tape, draw.Stroke(draw.Soft, draw.WidthThin).Filled(draw.Paper))
	g.Hatch(tape, 60, 1.3, draw.Stroke(draw.Faint, draw.WidthThin))
	drawnStrip(g, l, firstRow(l, w), 38, 12, 74, 18)
	g.Line(38, 5, 38, 37, draw.Stroke(draw.Ink, draw.WidthThin).Dashed(draw.Chain))
	g.Dim(draw.Point{X: 11, Y: 40}, draw.Point{X: 38, Y: 40}, -3, mm(l.RowStart()), draw.DimStyle{Size: draw.SizeSmall})
	g.Text(24, 5, "to the entry ↑", draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre})
	note(g, 122, 7, "plus on the side of the entry, in every row", 52, 14)
	note(g, 122, 16, "cut line through the middle of the pads", 38, 10)
	note(g, 122, 25, "tape beneath: the copper reaches the cut edge, and the tray is metal", 33, 29)
	note(g, 122, 37, "press the whole length down; no row over a drilled edge", 90, 30)
	return s
}

// BusDetail shows how the bus wires meet the pads.
func BusDetail(l lamp.Lamp, w wiring.Plan) draw.Scene {
	s := detail("Bus wires at a row's end", "Each bus is bared only at its own pad, bows over to it and crosses the others over its insulation.", 58)
	g := &s.Group
	h := 26.0
	pads := drawnStrip(g, l, firstRow(l, w), 52, 14, 62, h)
	// One bus for each conductor; the first lies next to the strip.
	// Buses of the other end are not drawn here.
	var here []int
	elsewhere := ""
	for c := range pads {
		b, far := w.BusOf(c, lamp.FarEnd)
		if _, ok := w.BusOf(c, lamp.WiredEnd); ok || !far {
			here = append(here, c)
			continue
		}
		if elsewhere != "" {
			elsewhere += " and "
		}
		elsewhere += b.Code
	}
	for k := len(here) - 1; k >= 0; k-- {
		c := here[k]
		x := 46 - 9*float64(k)
		p := pads[c]
		var pts []draw.Point
		pts = append(pts, draw.Point{X: x, Y: 2}, draw.Point{X: x, Y: p.Y - 7}, draw.Point{X: x + 2, Y: p.Y - 3.5}, draw.Point{X: p.X - 4, Y: p.Y - 0.7})
		back := []draw.Point{{X: p.X - 4, Y: p.Y + 0.7}, {X: x + 2, Y: p.Y + 3.5}, {X: x, Y: p.Y + 7}, {X: x, Y: 54}}
		st := wireStyle(c)
		st.Width = 1.1
		for _, ps := range [][]draw.Point{pts, back} {
			g.Polyline(ps, draw.Stroke(draw.Paper, st.Width+1))
			g.Polyline(ps, st)
		}
		g.RoundRect(p.X-4.5, p.Y-1.5, 7.5, 3, 1.4, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Copper))
		code := w.Conductors[c].Mark
		if b, ok := w.BusOf(c, lamp.WiredEnd); ok {
			code = b.Code
		} else if b, ok := w.BusOf(c, lamp.FarEnd); ok {
			code = b.Code
		}
		g.Text(x, 57, code, draw.TextStyle{Size: draw.SizeLabel, Bold: true, Align: draw.Centre, Paint: markPaint(c)})
	}
	length := 0.0
	if len(w.Buses) > 0 {
		length = w.Buses[0].Windows[0].Length
	}
	if l.Interleaved() {
		other := w.Conductors[2]
		words := "in every second row " + other.Name + " takes the place of " + w.Conductors[1].Name
		if elsewhere != "" {
			words = elsewhere + " likewise at the far end; " + words
		}
		elsewhere = ""
		g.Text(52, 50, words, draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	if elsewhere != "" {
		g.Text(52, 50, elsewhere+" likewise at the far end", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	note(g, 122, 8, "bare only the window, "+mm(length)+" long", pads[0].X-2, pads[0].Y-1.2)
	note(g, 122, 18, "a bow between the rows takes up heat and makes room for the crossing", 46, 8)
	note(g, 122, 31, "wires cross only over insulation", 44, pads[len(pads)-1].Y-3)
	note(g, 122, 40, "solder flows over wire and pad; no strand, no ball reaches the next pad", pads[len(pads)-1].X+1, pads[len(pads)-1].Y+1)
	return s
}

// LinkDetail shows how the rows of a serpentine are linked.
func LinkDetail(l lamp.Lamp, w wiring.Plan) draw.Scene {
	s := detail("A link between two rows", "Each pad is linked to the same pad of the next row; links cross only over insulation.", 58)
	g := &s.Group
	a := drawnStrip(g, l, w.Conductors, 52, 4, 62, 18)
	b := drawnStrip(g, l, w.Conductors, 52, 34, 62, 18)
	for c := len(a) - 1; c >= 0; c-- {
		x := 44 - 9*float64(c)
		st := wireStyle(c)
		st.Width = 1.1
		ps := []draw.Point{{X: a[c].X - 3, Y: a[c].Y}, {X: x, Y: a[c].Y}, {X: x, Y: b[c].Y}, {X: b[c].X - 3, Y: b[c].Y}}
		g.Polyline(ps, draw.Stroke(draw.Paper, st.Width+1))
		g.Polyline(ps, st)
		for _, p := range []draw.Point{a[c], b[c]} {
			g.RoundRect(p.X-4.5, p.Y-1.3, 7, 2.6, 1.2, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Copper))
		}
	}
	note(g, 122, 12, "plus to plus, minus to minus; no row is turned round", a[0].X, a[0].Y)
	note(g, 122, 24, "links cross only over insulation", 44, (a[0].Y+b[0].Y)/2)
	return s
}

// LeadDetail shows the lead's way through the wall.
func LeadDetail(l lamp.Lamp, w wiring.Plan) draw.Scene {
	s := detail("The lead at the wall", "The lead is held by a clip outside, passes the grommet, and each conductor is joined and sleeved inside.", 50)
	g := &s.Group
	wall := box(66, 4, 3, 36)
	g.Polygon(wall, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Metal))
	g.Hatch(wall, 45, 1.2, draw.Stroke(draw.Soft, draw.WidthHair))
	g.Rect(65.8, 14, 3.4, 16, draw.Fill(draw.Paper))
	for _, y := range []float64{12.6, 28.6} {
		g.RoundRect(64.2, y, 6.6, 2.6, 1, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Soft))
	}
	n := float64(len(w.Conductors))
	for c := range w.Conductors {
		y := 22 + (float64(c)-(n-1)/2)*4.2
		st := wireStyle(c)
		st.Width = 1.1
		g.Line(16, y, 112, y, st)
		// Joint beneath a sleeve.
		g.RoundRect(84, y-1.6, 14, 3.2, 1, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Panel))
		g.Circle(91, y, 0.8, draw.Fill(draw.Ink))
		g.Text(14, y, w.Conductors[c].Mark, draw.TextStyle{Size: draw.SizeLabel, Bold: true, Align: draw.Right, Rise: draw.Middle, Paint: markPaint(c)})
	}
	half := (n-1)/2*4.2 + 3
	g.RoundRect(44, 22-half, 9, 2*half, 1.2, draw.Stroke(draw.Ink, draw.WidthBold))
	g.Circle(48.5, 22-half, 1.1, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Metal))
	if l.Fuse != nil {
		y := 22 - (n-1)/2*4.2
		g.RoundRect(21, y-2, 16, 4, 1, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Paper))
		g.Line(23, y, 35, y, draw.Stroke(draw.Ink, draw.WidthThin))
		g.Text(29, y-3.4, "fuse holder", draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre})
	}
	g.Text(20, 44, "← supply", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	g.Text(84, 44, "inside the tray", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	note(g, 122, 8, "grommet in the hole", 70, 13.5)
	note(g, 122, 18, "sleeve over each joint, shrunk on", 98, 22-(n-1)/2*4.2)
	note(g, 122, 34, "clip screwed down outside: pull on the lead and no joint moves", 53, 22+half-1)
	return s
}

// ProbeDetail shows where the meter's probes go before any power.
func ProbeDetail(w wiring.Plan) draw.Scene {
	s := detail("Three readings before any power", "Meter on ohms: plus to minus, plus to tray, minus to tray.", 50)
	g := &s.Group
	for i, k := range []struct{ a, b, want string }{{"+", "−", "above 1 kΩ"}, {"+", "tray", "above 1 MΩ"}, {"−", "tray", "above 1 MΩ"}} {
		x := 6 + 58*float64(i)
		// The lamp.
		g.Rect(x, 4, 48, 14, draw.Stroke(draw.Ink, draw.WidthBold).Filled(draw.Metal))
		g.Text(x+24, 11, "tray with the rows in it", draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Rise: draw.Middle})
		px := map[string]float64{"+": x + 6, "−": x + 14, "tray": x + 42}
		for c, m := range []string{"+", "−"} {
			g.Line(px[m], 18, px[m], 23, wireStyle(c))
			g.Circle(px[m], 24, 1.2, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Copper))
			g.Text(px[m]+2, 24, m, draw.TextStyle{Size: draw.SizeLabel, Bold: true, Rise: draw.Middle, Paint: markPaint(c)})
		}
		g.RoundRect(x+17, 32, 16, 12, 1.5, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Paper))
		g.Text(x+25, 38, "Ω", draw.TextStyle{Size: draw.SizeHead, Bold: true, Align: draw.Centre, Rise: draw.Middle})
		ends := []float64{px[k.a], px[k.b]}
		tip := func(at float64) float64 {
			if at == px["tray"] {
				return 18
			}
			return 25.2
		}
		g.Polyline([]draw.Point{{X: ends[0], Y: tip(ends[0])}, {X: ends[0], Y: 38}, {X: x + 17, Y: 38}}, draw.Stroke(draw.Ink, draw.WidthThin))
		if k.b == "tray" {
			g.Polyline([]draw.Point{{X: ends[1], Y: 18}, {X: ends[1], Y: 38}, {X: x + 33, Y: 38}}, draw.Stroke(draw.Ink, draw.WidthThin))
		} else {
			g.Polyline([]draw.Point{{X: ends[1], Y: 25.2}, {X: ends[1], Y: 29}, {X: x + 38, Y: 29}, {X: x + 38, Y: 38}, {X: x + 33, Y: 38}}, draw.Stroke(draw.Ink, draw.WidthThin))
		}
		g.Text(x+24, 49, k.a+" to "+k.b+": "+k.want, draw.TextStyle{Size: draw.SizeLabel, Bold: true, Align: draw.Centre})
	}
	return s
}

// FirstPowerDetail shows the two ways to limit the current at the first
// power-up: volts is the supply's voltage, amps the limit to set.
func FirstPowerDetail(volts, amps float64) draw.Scene {
	s := detail("First power-up with the current limited", "Left a current-limited bench supply, right a shielded bulb in series with the plus.", 50)
	g := &s.Group
	st := draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Paper)
	text := func(x, y float64, words string, bold bool) {
		g.Text(x, y, words, draw.TextStyle{Size: draw.SizeLabel, Bold: bold, Align: draw.Centre, Rise: draw.Middle})
	}
	circuit := func(x float64, wide float64) {
		g.Line(x+28, 14, x+wide, 14, wireStyle(0))
		g.Line(x+28, 26, x+wide, 26, wireStyle(1))
		g.RoundRect(x, 8, 28, 24, 1, st)
		g.Rect(x+wide, 8, 18, 24, draw.Stroke(draw.Ink, draw.WidthBold).Filled(draw.Metal))
		text(x+wide+9, 20, "lamp", true)
		g.Text(x+30.5, 11, "+", draw.TextStyle{Size: draw.SizeLabel, Bold: true, Paint: draw.Plus})
		g.Text(x+30.5, 31, "−", draw.TextStyle{Size: draw.SizeLabel, Bold: true, Paint: draw.Minus})
	}
	circuit(2, 50)
	text(16, 14, "bench supply", true)
	text(16, 20, fmt.Sprintf("%.3g\u202fV", volts), false)
	text(16, 26, fmt.Sprintf("limit %.2g\u202fA", amps), false)
	g.Text(2, 40, "Either: a bench supply with its current limit set", draw.TextStyle{Size: draw.SizeLabel, Bold: true})
	circuit(92, 60)
	text(106, 17, "the lamp's", true)
	text(106, 22, "own supply", true)
	g.Circle(137, 14, 4.4, st)
	g.Line(134, 11, 140, 17, draw.Stroke(draw.Ink, draw.WidthThin))
	g.Line(134, 17, 140, 11, draw.Stroke(draw.Ink, draw.WidthThin))
	g.Rect(131, 7.6, 12, 12.8, draw.Stroke(draw.Ink, draw.WidthThin).Dashed(draw.Dashed))
	g.Text(137, 5, "bulb in its guard", draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre})
	g.Text(92, 40, "Or: a shielded filament bulb in series with", draw.TextStyle{Size: draw.SizeLabel, Bold: true})
	g.Text(92, 44.5, fmt.Sprintf("the plus, rated %.3g\u202fV or more. It gets hot.", volts), draw.TextStyle{Size: draw.SizeLabel, Bold: true})
	return s
}

// CloseDetail shows the sheet in the tray's rim.
func CloseDetail(l lamp.Lamp) draw.Scene {
	s := detail("The sheet in the rim", "The sheet lies in the rim with room to grow; it is clipped or held by foam tape, not glued with solvent.", 44)
	g := &s.Group
	for _, x := range []float64{14, 92} {
		wall := box(x, 6, 3, 30)
		g.Polygon(wall, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Metal))
		g.Hatch(wall, 45, 1.2, draw.Stroke(draw.Soft, draw.WidthHair))
	}
	floor := box(14, 36, 81, 3)
	g.Polygon(floor, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Metal))
	g.Hatch(floor, 45, 1.2, draw.Stroke(draw.Soft, draw.WidthHair))
	g.Rect(19, 8, 71, 4, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Sheet))
	for _, x := range []float64{17.4, 87.2} {
		g.Rect(x, 12, 4.4, 2.6, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Soft))
	}
	for _, x := range []float64{32, 54.5, 77} {
		g.Rect(x-4, 34.4, 8, 1.6, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Strip))
		g.Rect(x-1.2, 33, 2.4, 1.4, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.LED))
	}
	sheet := "sheet"
	if l.Doubled() {
		sheet = "two sheets, one on the other"
	}
	if l.Sheet != nil {
		sheet += ", " + mm(l.Sheet.Thickness)
	}
	note(g, 108, 7, "a little room at the edge: plastic grows with heat", 18, 9)
	note(g, 108, 18, sheet, 80, 10)
	note(g, 108, 27, "foam tape or clips on the rim's ledge; no solvent glue", 90, 13.4)
	return s
}
