package figure

import (
	"fmt"
	"math"

	"dawnsmith/paper/draw"
)

// planKeys explains the signs that occur.
func planKeys(c Plan) []keyEntry {
	if c.NoDimensions || len(c.Rows) == 0 {
		return nil
	}
	keys := []keyEntry{{"strip, cut lines, LEDs", 8, func(g *draw.Group, x, y float64) {
		g.Rect(x, y-1, 8, 2, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Strip))
		g.Line(x+4, y-1, x+4, y+1, draw.Stroke(draw.Ink, draw.WidthThin))
		led(g, draw.Point{X: x + 2, Y: y}, 0.5, 0)
		led(g, draw.Point{X: x + 6, Y: y}, 0.5, 0)
	}}}
	second, joint := false, false
	for _, r := range c.Rows {
		joint = joint || len(r.Pieces) > 1
		for _, l := range r.LEDs {
			second = second || l.Channel > 0
		}
	}
	if second {
		keys = append(keys, keyEntry{"second channel", 2, func(g *draw.Group, x, y float64) { led(g, draw.Point{X: x + 1, Y: y}, 0.6, 1) }})
	}
	if joint {
		keys = append(keys, keyEntry{"joint", 3, func(g *draw.Group, x, y float64) { jointMark(g, x+1.5, y, 1) }})
	}
	has := [2]bool{}
	windows := false
	for _, w := range c.Wires {
		has[w.Polarity&1] = true
		windows = windows || len(w.Windows) > 0
	}
	for i, name := range []string{"plus", "minus"} {
		if has[i] {
			keys = append(keys, keyEntry{name, 6, func(g *draw.Group, x, y float64) { g.Line(x, y, x+6, y, wireStyle(Polarity(i), 0.25)) }})
		}
	}
	if windows {
		keys = append(keys, keyEntry{"bared window", 3, func(g *draw.Group, x, y float64) { window(g, draw.Point{X: x + 1.5, Y: y}, 1, 0, 2.4) }})
	}
	return keys
}

func wireStyle(p Polarity, k float64) draw.Style {
	wide := min(max(1.6*k, 0.45), 1.6)
	if p == Minus {
		return draw.Stroke(draw.Minus, wide).Dashed(draw.Dashed)
	}
	return draw.Stroke(draw.Plus, wide)
}

func led(g *draw.Group, p draw.Point, r float64, channel int) {
	if channel == 0 {
		g.Rect(p.X-r, p.Y-r, 2*r, 2*r, draw.Stroke(draw.Ink, 0.1).Filled(draw.LED))
		return
	}
	g.Circle(p.X, p.Y, r, draw.Stroke(draw.Ink, 0.2).Filled(draw.Paper))
}

func jointMark(g *draw.Group, x, y, half float64) {
	g.Line(x, y-half-0.8, x, y+half+0.8, draw.Stroke(draw.Ink, 0.5))
	for _, s := range []float64{-1, 1} {
		g.Circle(x, y+s*(half+0.8), 0.55, draw.Fill(draw.Copper))
	}
}

// window draws a bared stretch of wire about p, along (ux, uy), length mm.
func window(g *draw.Group, p draw.Point, ux, uy, length float64) {
	const half = 0.55
	a := draw.Point{X: p.X - ux*length/2, Y: p.Y - uy*length/2}
	b := draw.Point{X: p.X + ux*length/2, Y: p.Y + uy*length/2}
	g.Polygon([]draw.Point{{X: a.X - uy*half, Y: a.Y + ux*half}, {X: b.X - uy*half, Y: b.Y + ux*half},
		{X: b.X + uy*half, Y: b.Y - ux*half}, {X: a.X + uy*half, Y: a.Y - ux*half}},
		draw.Stroke(draw.Ink, 0.12).Filled(draw.Copper))
}

// planDrawing places tray coordinates on paper.
type planDrawing struct {
	g       *draw.Group
	x, y, k float64
}

func (d *planDrawing) at(x, y float64) draw.Point { return draw.Point{X: d.x + x*d.k, Y: d.y + y*d.k} }

func (d *planDrawing) tray(c Plan, rim float64) {
	g := d.g.Child("tray")
	g.Layer = "TRAY"
	if rim > 0 {
		a := d.at(-rim, -rim)
		g.RoundRect(a.X, a.Y, (c.Length+2*rim)*d.k, (c.Breadth+2*rim)*d.k, 1, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Metal))
	}
	a := d.at(0, 0)
	g.Rect(a.X, a.Y, c.Length*d.k, c.Breadth*d.k, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Lining))
}

func (d *planDrawing) row(r PlanRow) {
	if !positive(r.Unit, r.Width, float64(r.Units)) || r.Units > 10000 {
		return
	}
	g := d.g.Child("")
	g.Title = fmt.Sprintf("row %s: %d units, %s mm", r.Name, r.Units, mm(r.length()))
	g.Layer = "STRIP"
	a := d.at(r.X, r.Y-r.Width/2)
	w, h := r.length()*d.k, r.Width*d.k
	g.Rect(a.X, a.Y, w, h, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Strip))
	gap := math.Inf(1)
	for i, l := range r.LEDs {
		if i > 0 {
			gap = min(gap, math.Abs(l.At-r.LEDs[i-1].At))
		}
	}
	if len(r.LEDs) == 1 {
		gap = r.Unit
	}
	size := min(2.2*d.k, h*0.32, gap*d.k*0.4)
	pitch := r.Unit * d.k
	for u := range r.Units {
		x := a.X + float64(u)*pitch
		// Units too short to tell apart on paper are not drawn one by one.
		if u > 0 && pitch > 0.8 {
			g.Line(x, a.Y, x, a.Y+h, draw.Stroke(draw.Ink, draw.WidthHair))
		}
		if size > 0.12 {
			for _, l := range r.LEDs {
				led(g, draw.Point{X: x + l.At*d.k, Y: a.Y + h/2}, size, l.Channel)
			}
		}
	}
	at := 0
	for i, n := range r.Pieces {
		at += n
		if i < len(r.Pieces)-1 {
			jointMark(g, a.X+float64(at)*pitch, a.Y+h/2, h/2)
		}
	}
}

func (d *planDrawing) wire(w PlanWire) {
	g := d.g.Child("")
	g.Layer = "WIRE_PLUS"
	g.Title = "plus wire"
	if w.Polarity == Minus {
		g.Layer, g.Title = "WIRE_MINUS", "minus wire"
	}
	ps := make([]draw.Point, len(w.Points))
	for i, p := range w.Points {
		ps[i] = d.at(p.X, p.Y)
	}
	// A ground of paper first, so that crossing wires can be told apart.
	st := wireStyle(w.Polarity, d.k)
	g.Polyline(ps, draw.Stroke(draw.Lining, st.Width+0.5))
	g.Polyline(ps, st)
	for _, q := range w.Windows {
		at := d.at(q.X, q.Y)
		ux, uy := alongWire(ps, at)
		window(g, at, ux, uy, max(5*d.k, 1.6))
	}
}

// alongWire is the direction of the piece of wire nearest to p.
func alongWire(ps []draw.Point, p draw.Point) (ux, uy float64) {
	best := math.Inf(1)
	ux = 1
	for i := 1; i < len(ps); i++ {
		a, b := ps[i-1], ps[i]
		n := math.Hypot(b.X-a.X, b.Y-a.Y)
		if n == 0 {
			continue
		}
		t := min(max(((p.X-a.X)*(b.X-a.X)+(p.Y-a.Y)*(b.Y-a.Y))/(n*n), 0), 1)
		if dist := math.Hypot(a.X+t*(b.X-a.X)-p.X, a.Y+t*(b.Y-a.Y)-p.Y); dist < best {
			best, ux, uy = dist, (b.X-a.X)/n, (b.Y-a.Y)/n
		}
	}
	return ux, uy
}

// polarity writes + and − beside the pads at the wired end.
func (d *planDrawing) polarity(r PlanRow) {
	if !positive(r.Unit, r.Width, float64(r.Units)) {
		return
	}
	x, side := r.X, 1.0
	if r.WiredRight {
		x, side = r.X+r.length(), -1
	}
	size := min(max(r.Width*d.k*0.75, 1.9), 3)
	up, down := "+", "−"
	upPaint, downPaint := draw.Plus, draw.Minus
	if r.PlusBelow {
		up, down, upPaint, downPaint = down, up, downPaint, upPaint
	}
	p := d.at(x, r.Y)
	off := r.Width*d.k/2 + size*0.45
	st := draw.TextStyle{Size: size, Bold: true, Align: draw.Centre, Rise: draw.Middle}
	st.Paint = upPaint
	d.g.Text(p.X+side*size*0.6, p.Y-off, up, st)
	st.Paint = downPaint
	d.g.Text(p.X+side*size*0.6, p.Y+off, down, st)
}

func (d *planDrawing) hole(h PlanHole, right float64) {
	if !positive(h.Diameter) {
		return
	}
	g := d.g.Child("")
	g.Layer = "HOLES"
	g.Title = fmt.Sprintf("hole %s, diameter %s mm", h.Name, mm(h.Diameter))
	p := d.at(h.X, h.Y)
	r := max(h.Diameter*d.k/2, 0.5)
	g.Circle(p.X, p.Y, r, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Paper))
	cross := r + 1.2
	g.Line(p.X-cross, p.Y, p.X+cross, p.Y, draw.Stroke(draw.Ink, draw.WidthHair).Dashed(draw.Chain))
	g.Line(p.X, p.Y-cross, p.X, p.Y+cross, draw.Stroke(draw.Ink, draw.WidthHair).Dashed(draw.Chain))
	if h.Name != "" {
		st := draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle, Ground: draw.Lining}
		x := p.X + cross + 0.6
		if x+draw.TextWidth(h.Name, draw.SizeSmall, false) > right-1 {
			x, st.Align = p.X-cross-0.6, draw.Right
		}
		g.Text(x, p.Y, h.Name, st)
	}
}
