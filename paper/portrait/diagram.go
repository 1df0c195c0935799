package portrait

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnsmith/lamp"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
)

// wireStyle is how a conductor is drawn: plus solid, the first minus dashed, a
// second dotted.
func wireStyle(conductor int) draw.Style {
	switch conductor {
	case 0:
		return draw.Stroke(draw.Plus, draw.WidthHeavy)
	case 1:
		return draw.Stroke(draw.Minus, draw.WidthHeavy).Dashed(draw.Dashed)
	}
	return draw.Stroke(draw.Minus, draw.WidthHeavy).Dashed(draw.Dotted)
}

func markPaint(conductor int) draw.Paint {
	if conductor == 0 {
		return draw.Plus
	}
	return draw.Minus
}

// knots maps a length in the tray to the paper piece by piece, so that the
// narrow margins with their wires have room.
type knots struct{ from, to []float64 }

func (k *knots) add(from, to float64) { k.from, k.to = append(k.from, from), append(k.to, to) }

func (k *knots) at(x float64) float64 {
	i, found := slices.BinarySearch(k.from, x)
	switch {
	case found:
		return k.to[i]
	case i == 0:
		return k.to[0]
	case i == len(k.from):
		return k.to[len(k.to)-1]
	}
	t := (x - k.from[i-1]) / (k.from[i] - k.from[i-1])
	return k.to[i-1] + t*(k.to[i]-k.to[i-1])
}

// diagram holds what the parts of the wiring diagram share.
type diagram struct {
	l     lamp.Lamp
	w     wiring.Plan
	s     draw.Scene
	x, y  knots
	shown []int // rows drawn, by index
	top   float64
	only  int // the one conductor that is drawn; −1: all
}

// Sizes on paper, mm.
const (
	diagramWidth = 174.0
	wirePitch    = 6.5 // between neighbouring wires
	padPitch     = 3.6 // between neighbouring pads of a row
	rowAir       = 3.4 // between rows
	chainHigh    = 34.0
	rowsHigh     = 150.0 // for all rows; more are drawn with a gap
)

// Wiring draws the wiring with its polarity: every pad of every row (a long
// list of rows is cut short in the middle), buses with their bared windows,
// what runs on inside, the way to the supply with fuse, dimmer and connector.
// It is a diagram: places are true to the order, not to scale.
func Wiring(l lamp.Lamp, w wiring.Plan) draw.Scene {
	return wiringDiagram(l, w, "Wiring and polarity", -1)
}

// WiringOf draws the wires of one conductor alone, for soldering one polarity
// after the other: 0 is the plus, then the minus of each channel.
func WiringOf(l lamp.Lamp, w wiring.Plan, conductor int) draw.Scene {
	one := w
	one.Buses = slices.DeleteFunc(slices.Clone(w.Buses), func(b wiring.Bus) bool { return b.Conductor != conductor })
	one.Links = slices.DeleteFunc(slices.Clone(w.Links), func(k wiring.Link) bool { return k.Conductor != conductor })
	one.Runs = slices.DeleteFunc(slices.Clone(w.Runs), func(r wiring.Run) bool { return r.Conductor != conductor })
	one.Rows = slices.Clone(w.Rows)
	for i := range one.Rows {
		one.Rows[i].Pads = slices.Clone(w.Rows[i].Pads)
		for k := range one.Rows[i].Pads {
			p := &one.Rows[i].Pads[k]
			p.Used = p.Used && p.Conductor == conductor
		}
	}
	return wiringDiagram(l, one, "Wiring of the "+w.Conductors[conductor].Name+" alone", conductor)
}

func wiringDiagram(l lamp.Lamp, w wiring.Plan, title string, only int) draw.Scene {
	d := &diagram{l: l, w: w, only: only}
	n, pads := len(w.Rows), l.Pads()
	rowHigh := float64(pads)*padPitch + rowAir
	d.shown = shownRows(n, l.FeedRow(0), int(rowsHigh/rowHigh))
	gaps := 0
	for i := 1; i < len(d.shown); i++ {
		if d.shown[i] != d.shown[i-1]+1 {
			gaps++
		}
	}
	d.top = 12 + chainHigh
	high := d.top + 12 + rowHigh*float64(len(d.shown)+gaps) + 8
	d.s = draw.NewScene(diagramWidth, high+14, title, fmt.Sprintf(
		"Wiring diagram: %s. %d rows, %d solder joints. Plus is drawn solid, minus dashed.", w.Scheme, n, len(w.Joints)))
	d.places(rowHigh, high)
	g := &d.s.Group
	g.Text(0, 4, title, draw.TextStyle{Size: draw.SizeHead, Bold: true})
	g.Text(0, 8.6, "Feed: "+w.Scheme.String()+". A diagram, not to scale.", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	left, right := d.x.to[0], d.x.to[len(d.x.to)-1]
	g.Rect(left, d.top, right-left, high-d.top, draw.Stroke(draw.Ink, draw.WidthBold).Filled(draw.Panel))
	d.tape()
	for _, i := range d.shown {
		d.strip(i)
	}
	d.elision()
	d.wires(high)
	for _, i := range d.shown {
		d.pads(i)
	}
	d.chain()
	d.s.Height = d.keys(high+5) + 3
	return d.s
}

// shownRows are the rows that are drawn: all where there are at most so many,
// else the first ones, those about the feed, and the last.
func shownRows(n, feed, most int) []int {
	if n <= most {
		out := make([]int, n)
		for i := range out {
			out[i] = i
		}
		return out
	}
	keep := []int{0, 1, 2, n - 3, n - 2, n - 1}
	for i := feed - 1; i <= feed+1; i++ {
		if i >= 0 && i < n {
			keep = append(keep, i)
		}
	}
	slices.Sort(keep)
	return slices.Compact(keep)
}

// places sets the two maps from the tray to the paper.
func (d *diagram) places(rowHigh, bottom float64) {
	type knot struct{ from, to float64 }
	var xs []knot
	const stripLeft, stripRight = 52.0, 124.0
	xs = append(xs, knot{d.l.RowStart(), stripLeft}, knot{d.l.RowStart() + d.l.RowLength(), stripRight})
	for k := range 5 {
		if x := d.l.BusAt(lamp.WiredEnd, k); x > 0 {
			xs = append(xs, knot{x, stripLeft - 7 - wirePitch*float64(k)})
		}
		if x := d.l.BusAt(lamp.FarEnd, k); x < d.l.RunLength() {
			xs = append(xs, knot{x, stripRight + 7 + wirePitch*float64(k)})
		}
	}
	xs = append(xs, knot{0, 14}, knot{d.l.RunLength(), 162})
	slices.SortFunc(xs, func(a, b knot) int { return cmp.Compare(a.from, b.from) })
	for _, k := range xs {
		d.x.add(k.from, k.to)
	}
	d.y.add(0, d.top)
	// Runs along the wall beside row 1 lie side by side.
	for c := range d.w.Conductors {
		d.y.add(0.0015+0.0025*float64(c), d.top+2.5+2.6*float64(c))
	}
	y, prev := d.top+12, -1
	for _, i := range d.shown {
		if prev >= 0 && i != prev+1 {
			y += rowHigh
		}
		prev = i
		for c := range d.l.Pads() {
			from := d.w.Rows[i].Y + d.l.PadOffset(c)
			if last := d.y.from[len(d.y.from)-1]; from <= last {
				from = last + 1e-6
			}
			d.y.add(from, y+padPitch*(float64(c)+0.5))
		}
		y += rowHigh
	}
	d.y.add(math.Max(d.l.Across(), d.y.from[len(d.y.from)-1]+1e-6), bottom)
}

func (d *diagram) at(p wiring.Point) draw.Point { return draw.Point{X: d.x.at(p.X), Y: d.y.at(p.Y)} }

func (d *diagram) isShown(row int) bool { return slices.Contains(d.shown, row) }

// padAt is the middle of a pad on paper.
func (d *diagram) padAt(row, conductor int, end lamp.End) draw.Point {
	x := d.x.at(d.w.Rows[row].X0) + 2
	if end == lamp.FarEnd {
		x = d.x.at(d.w.Rows[row].X1) - 2
	}
	return draw.Point{X: x, Y: d.y.at(d.w.Rows[row].Y + d.l.PadOffset(conductor))}
}

// tape marks the insulation under row ends and buses.
func (d *diagram) tape() {
	g := d.s.Child("tape")
	for _, i := range d.shown {
		y0 := d.padAt(i, 0, lamp.WiredEnd).Y - padPitch*0.8
		y1 := d.padAt(i, len(d.w.Conductors)-1, lamp.WiredEnd).Y + padPitch*0.8
		for _, x := range []float64{d.x.at(d.w.Rows[i].X0), d.x.at(d.w.Rows[i].X1)} {
			box := []draw.Point{{X: x - 4, Y: y0}, {X: x + 6, Y: y0}, {X: x + 6, Y: y1}, {X: x - 4, Y: y1}}
			if x > 100 {
				for k := range box {
					box[k].X -= 2
				}
			}
			g.Polygon(box, draw.Stroke(draw.Soft, draw.WidthHair).Filled(draw.Paper))
			g.Hatch(box, 60, 1.1, draw.Stroke(draw.Faint, draw.WidthThin))
		}
	}
}

// strip draws one row with its pads.
func (d *diagram) strip(i int) {
	g := d.s.Child("")
	r := d.w.Rows[i]
	g.Title = fmt.Sprintf("row %d: %d units", i+1, r.Units)
	x0, x1 := d.x.at(r.X0), d.x.at(r.X1)
	top := d.padAt(i, 0, lamp.WiredEnd).Y - padPitch/2
	high := padPitch * float64(d.l.Pads())
	st := draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Strip)
	g.Rect(x0, top, x1-x0, high, st)
	mid := (x0 + x1) / 2
	g.Rect(mid-19, top-0.3, 38, high+0.6, draw.Fill(draw.Panel))
	for _, s := range []float64{-1, 1} {
		x := mid + 19*s
		g.Polyline([]draw.Point{{X: x, Y: top - 0.6}, {X: x + 0.9, Y: top + high*0.3}, {X: x - 0.9, Y: top + high*0.7}, {X: x, Y: top + high + 0.6}}, draw.Stroke(draw.Ink, draw.WidthThin))
	}
	words := fmt.Sprintf("row %d · %d units · %s", i+1, r.Units, mm(r.X1-r.X0))
	if d.l.Interleaved() {
		words = fmt.Sprintf("row %d, %s · %d × %s", i+1, d.l.ChannelNames()[i%2], r.Units, mm(d.l.Strip.Cut))
	}
	g.Text(mid, top+high/2, words,
		draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Rise: draw.Middle})
}

// pads draws the pads of one row with their polarity, over the wires.
func (d *diagram) pads(i int) {
	g := d.s.Child("")
	r := d.w.Rows[i]
	for _, p := range r.Pads {
		at := d.padAt(i, p.Conductor, p.End)
		fill := draw.Paper
		if p.Used {
			fill = draw.Copper
		}
		g.Rect(at.X-1.5, at.Y-1.1, 3, 2.2, draw.Stroke(draw.Ink, draw.WidthThin).Filled(fill))
		t := draw.TextStyle{Size: draw.SizeSmall, Bold: true, Rise: draw.Middle, Paint: markPaint(p.Conductor)}
		x := at.X + 2.3
		if p.End == lamp.FarEnd {
			t.Align, x = draw.Right, at.X-2.3
		}
		g.Text(x, at.Y, d.w.Conductors[p.Conductor].Mark, t)
	}
}

// elision says where rows are left out.
func (d *diagram) elision() {
	for k := 1; k < len(d.shown); k++ {
		a, b := d.shown[k-1], d.shown[k]
		if b == a+1 {
			continue
		}
		y := (d.padAt(a, len(d.w.Conductors)-1, lamp.WiredEnd).Y + d.padAt(b, 0, lamp.WiredEnd).Y) / 2
		words := fmt.Sprintf("rows %d to %d likewise", a+2, b)
		if d.l.Interleaved() {
			words += ", by turns"
		}
		if a+2 == b {
			words = fmt.Sprintf("row %d likewise", b)
		}
		d.s.Text((d.x.at(d.w.Rows[0].X0)+d.x.at(d.w.Rows[0].X1))/2, y, words, draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Rise: draw.Middle, Paint: draw.Soft})
	}
}

// line draws a wire over a ground that parts it from what it crosses.
func (d *diagram) line(g *draw.Group, conductor int, ps ...draw.Point) {
	st := wireStyle(conductor)
	g.Polyline(ps, draw.Stroke(draw.Panel, st.Width+0.9))
	g.Polyline(ps, st)
}

func dot(g *draw.Group, p draw.Point) { g.Circle(p.X, p.Y, 0.75, draw.Fill(draw.Ink)) }

// wires draws buses, links and runs: those that pass under others first.
func (d *diagram) wires(bottom float64) {
	g := d.s.Child("wires")
	for _, r := range d.w.Runs {
		if r.Code[0] == 'L' && len(r.Path) == 2 {
			continue // ends at the entry, drawn with the chain
		}
		var ps []draw.Point
		for _, p := range r.Path {
			ps = append(ps, d.at(p))
		}
		d.line(g, r.Conductor, ps...)
		end := ps[len(ps)-1]
		dot(g, end)
		if r.Code[0] == 'X' {
			dot(g, ps[0])
		}
	}
	for _, b := range d.w.Buses {
		x := d.x.at(b.X)
		first, last := d.padAt(b.Windows[0].Row, b.Conductor, b.End), d.padAt(b.Windows[len(b.Windows)-1].Row, b.Conductor, b.End)
		start := first.Y - 3
		if b.LeadIn {
			start = d.top
		}
		d.line(g, b.Conductor, draw.Point{X: x, Y: start}, draw.Point{X: x, Y: math.Min(last.Y+2+padPitch*float64(max(0, d.l.Pads()-1-b.Conductor)), bottom-1)})
		if b.LeadIn && b.End == lamp.FarEnd {
			dot(g, draw.Point{X: x, Y: start})
		}
	}
	// Taps cross the inner buses: over their insulation.
	for _, b := range d.w.Buses {
		x := d.x.at(b.X)
		for _, win := range b.Windows {
			if !d.isShown(win.Row) {
				continue
			}
			pad := d.padAt(win.Row, b.Conductor, b.End)
			to := pad.X - 1.5
			if b.End == lamp.FarEnd {
				to = pad.X + 1.5
			}
			d.line(g, b.Conductor, draw.Point{X: x, Y: pad.Y}, draw.Point{X: to, Y: pad.Y})
			g.Rect(x-0.9, pad.Y-1.3, 1.8, 2.6, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.Copper))
		}
	}
	for _, b := range d.w.Buses {
		last := d.padAt(b.Windows[len(b.Windows)-1].Row, len(d.w.Conductors)-1, b.End)
		x := d.x.at(b.X)
		d.line(g, b.Conductor, draw.Point{X: x, Y: last.Y + 2}, draw.Point{X: x, Y: last.Y + 4})
		g.Text(x, last.Y+7, b.Code, draw.TextStyle{Size: draw.SizeSmall, Bold: true, Align: draw.Centre, Paint: markPaint(b.Conductor)})
	}
	d.links(g)
}

func (d *diagram) links(g *draw.Group) {
	for _, k := range d.w.Links {
		if !d.isShown(k.From) || !d.isShown(k.From+1) {
			continue
		}
		a, b := d.padAt(k.From, k.Conductor, k.End), d.padAt(k.From+1, k.Conductor, k.End)
		out := 7 + wirePitch*float64(k.Conductor)
		side := 1.5
		if k.End == lamp.WiredEnd {
			out, side = -out, -side
		}
		d.line(g, k.Conductor, draw.Point{X: a.X + side, Y: a.Y}, draw.Point{X: a.X + out, Y: a.Y}, draw.Point{X: b.X + out, Y: b.Y}, draw.Point{X: b.X + side, Y: b.Y})
		g.Text(a.X+out, (a.Y+b.Y)/2, k.Code, draw.TextStyle{Size: draw.SizeSmall, Bold: true, Align: draw.Centre, Rise: draw.Middle, Ground: draw.Panel})
	}
}

// keys explains the signs and returns where they end.
func (d *diagram) keys(y float64) float64 {
	g := d.s.Child("key")
	x := 14.0
	unused := "pad, taped over"
	if d.only >= 0 {
		unused = "pad, not for this wire"
	}
	entry := func(words string, w float64, sign func(x float64)) {
		if x+w+1.5+draw.TextWidth(words, draw.SizeSmall, false) > diagramWidth {
			x, y = 14, y+5
		}
		sign(x)
		g.Text(x+w+1.5, y, words, draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle})
		x += w + 1.5 + draw.TextWidth(words, draw.SizeSmall, false) + 5
	}
	for c, k := range d.w.Conductors {
		if d.only >= 0 && c != d.only {
			continue
		}
		entry(k.Name, 8, func(x float64) { g.Line(x, y, x+8, y, wireStyle(c)) })
	}
	entry("bared window", 2, func(x float64) {
		g.Rect(x, y-1.3, 1.8, 2.6, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.Copper))
	})
	entry("pad, soldered", 3, func(x float64) {
		g.Rect(x, y-1.1, 3, 2.2, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Copper))
	})
	entry(unused, 3, func(x float64) {
		g.Rect(x, y-1.1, 3, 2.2, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Paper))
	})
	entry("tape beneath", 5, func(x float64) {
		box := []draw.Point{{X: x, Y: y - 1.5}, {X: x + 5, Y: y - 1.5}, {X: x + 5, Y: y + 1.5}, {X: x, Y: y + 1.5}}
		g.Polygon(box, draw.Stroke(draw.Soft, draw.WidthHair))
		g.Hatch(box, 60, 1.1, draw.Stroke(draw.Faint, draw.WidthThin))
	})
	return y
}
