package figure

import (
	"fmt"
	"math"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// Polarity tells the conductors apart.
type Polarity uint8

const (
	Plus  Polarity = iota // the positive conductor
	Minus                 // the negative conductor
)

// PlanLED is one emitter within a cut unit.
type PlanLED struct {
	At      float64 // mm from the unit's start
	Channel int     // 0 is drawn as a disc, others as rings
}

// PlanRow is one row of strip. All lengths in mm.
type PlanRow struct {
	Name  string  // "1"
	X, Y  float64 // left end on the centre line, from the inner upper left corner
	Width float64 // of the strip's board
	Unit  float64 // length of a cut unit
	Units int
	LEDs  []PlanLED // of one unit
	// Pieces gives the units of each piece when the row is joined from
	// several; nil is one piece.
	Pieces []int
	// PlusBelow tells that the plus pads lie on the lower edge of the strip.
	PlusBelow bool
	// WiredRight tells that the wires meet the row at its right end; the marks
	// + and − stand at the wired end.
	WiredRight bool
}

func (r PlanRow) length() float64 { return r.Unit * float64(r.Units) }

// PlanWire is a wire on the tray's floor.
type PlanWire struct {
	Polarity Polarity
	Points   []draw.Point // mm from the inner upper left corner
	// Windows are the places where the insulation is taken off, mm.
	Windows []draw.Point
}

// PlanHole is a hole in the floor.
type PlanHole struct {
	X, Y, Diameter float64 // mm
	Name           string
}

// Plan is a tray seen from above with its sheet off. All lengths in mm of the
// real thing; x runs right along Length, y down along Breadth, from the inner
// upper left corner.
type Plan struct {
	Frame
	// Scale is mm of paper for a mm of tray; 0 takes the largest usual scale
	// that fits the frame's width; 1 makes a template.
	Scale           float64
	Length, Breadth float64 // inside
	Rim             float64 // wall and rim seen from above
	Rows            []PlanRow
	Wires           []PlanWire
	Holes           []PlanHole
	// NoDimensions leaves out dimensions and row names; for templates.
	NoDimensions bool
}

// usualScale is the largest of the usual drawing scales that is at most k
// (ISO 5455 and the steps between that workshops use).
func usualScale(k float64) float64 {
	for _, d := range []float64{1, 2, 2.5, 3, 4, 5, 6, 8, 10, 12, 15, 20, 25, 30, 40, 50, 100} {
		if 1/d <= k*(1+1e-9) {
			return 1 / d
		}
	}
	return k
}

func scaleText(k float64) string {
	if k >= 1 {
		return "Scale " + quantity.Digits(k, 2) + " : 1"
	}
	d := quantity.Digits(1/k, 3)
	if math.Abs(1/k-math.Round(1/k)) < 1e-9 {
		d = fmt.Sprint(int(math.Round(1 / k)))
	}
	return "Scale 1 : " + d
}

// mm writes a length in mm with at most one decimal.
func mm(v float64) string {
	if math.Abs(v-math.Round(v)) < 0.05 {
		return quantity.Decimals(v, 0)
	}
	return quantity.Decimals(v, 1)
}

// positive reports whether every length is a number above zero and below 100 m.
func positive(vs ...float64) bool {
	for _, v := range vs {
		if !(v > 0 && v < 1e5) {
			return false
		}
	}
	return true
}

// missing is the picture drawn when there is nothing to draw from.
func missing(f Frame, why string) draw.Scene {
	w, h := f.size(60)
	p := &plot{s: draw.NewScene(w, h, f.Title, why), frame: f}
	p.head(nil)
	p.s.Text(w/2, h/2, why, draw.TextStyle{Align: draw.Centre, Paint: draw.Soft})
	return p.s
}

// TrayPlan draws the tray from above as a workshop drawing: rows of strip with
// their cut units, LEDs and joints, wires with bared windows, plus and minus,
// and the dimensions needed to lay it out.
func TrayPlan(c Plan) draw.Scene {
	if !positive(c.Length, c.Breadth) {
		return missing(c.Frame, "no tray to draw")
	}
	if c.Width == 0 {
		c.Width = 170
	}
	w := c.Width
	left, right := draw.Margin+14.0, draw.Margin+17.0 // rooms for dimensions
	above, below := 9.0, 9.0
	if c.NoDimensions {
		left, right, above, below = draw.Margin, draw.Margin, 2, 2
	}
	rim := max(c.Rim, 0)
	k := c.Scale
	if !(k > 0) {
		k = usualScale((w - left - right) / (c.Length + 2*rim))
	}
	if c.Scale > 0 {
		// A drawing to a given scale is as wide as it must be.
		w = left + right + (c.Length+2*rim)*k
	}
	keys := planKeys(c)
	p := &plot{frame: c.Frame}
	p.s = draw.NewScene(w, 10000, c.Title, c.Desc)
	if c.Desc == "" {
		p.s.Desc = fmt.Sprintf("Plan of a tray, %s × %s mm inside, with %d rows of strip.", mm(c.Length), mm(c.Breadth), len(c.Rows))
	}
	if k < 1 {
		p.frame.Note = joinNotes(scaleText(k)+", all lengths in mm.", c.Note)
	}
	top := p.head(keys) + above + rim*k
	notes := p.notes()
	x0 := left + rim*k
	if c.Scale == 0 {
		x0 += max(0, (w-left-right-(c.Length+2*rim)*k)/2)
	}
	foot := top + (c.Breadth+rim)*k
	h := foot + below + draw.Margin + float64(len(notes))*draw.SizeSmall*draw.Leading
	if c.Height > h {
		h = c.Height
	}
	p.s.Height = h
	for i, l := range notes {
		p.s.Text(draw.Margin, h-draw.Margin-float64(len(notes)-1-i)*draw.SizeSmall*draw.Leading, l,
			draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	d := &planDrawing{g: &p.s.Group, x: x0, y: top, k: k}
	d.tray(c, rim)
	for _, r := range c.Rows {
		d.row(r)
	}
	for _, wire := range c.Wires {
		d.wire(wire)
	}
	for _, r := range c.Rows {
		d.polarity(r)
	}
	for _, hole := range c.Holes {
		d.hole(hole, d.at(c.Length, 0).X)
	}
	if !c.NoDimensions {
		d.dimensions(c, rim)
	}
	return p.s
}

func joinNotes(a, b string) string {
	if b == "" {
		return a
	}
	return a + " " + b
}

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

// dimensions writes the outer size, the rows' places and the margins of the
// rows.
func (d *planDrawing) dimensions(c Plan, rim float64) {
	g := d.g.Child("dimensions")
	g.Layer = "DIMENSIONS"
	st := draw.DimStyle{Size: draw.SizeSmall}
	edge := rim * d.k
	g.Dim(d.at(0, c.Breadth), d.at(c.Length, c.Breadth), -(edge + 5.5), mm(c.Length), st)
	g.Dim(d.at(0, c.Breadth), d.at(0, 0), edge+8, mm(c.Breadth), st)
	if len(c.Rows) == 0 {
		return
	}
	for _, r := range c.Rows {
		p := d.at(0, r.Y)
		g.Text(p.X-edge-1.6, p.Y, r.Name, draw.TextStyle{Size: draw.SizeLabel, Align: draw.Right, Rise: draw.Middle})
	}
	r := c.Rows[0]
	a, b := d.at(0, 0).Y, d.at(0, r.Y-r.Width/2).Y
	// Margins and strip length above the first row.
	for _, part := range []struct{ from, to float64 }{{0, r.X}, {r.X, r.X + r.length()}, {r.X + r.length(), c.Length}} {
		if part.to-part.from > 0.5 {
			g.Dim(d.at(part.from, 0), d.at(part.to, 0), edge+4, mm(part.to-part.from), draw.DimStyle{Size: draw.SizeSmall, Outward: part.from == 0})
		}
	}
	for _, x := range []float64{r.X, r.X + r.length()} {
		p := d.at(x, 0)
		g.Line(p.X, a, p.X, b, draw.Stroke(draw.Soft, draw.WidthHair))
	}
	d.rowChain(g, c, edge)
}

// rowChain dimensions the rows' centre lines at the right: wall to first row,
// equal pitches in one go, and last row to wall.
func (d *planDrawing) rowChain(g *draw.Group, c Plan, edge float64) {
	ys := []float64{0}
	for _, r := range c.Rows {
		ys = append(ys, r.Y)
	}
	ys = append(ys, c.Breadth)
	st := draw.DimStyle{Size: draw.SizeSmall}
	right := c.Length
	n := len(c.Rows)
	equal := n > 2
	for i := 2; i <= n; i++ {
		equal = equal && math.Abs((ys[i]-ys[i-1])-(ys[2]-ys[1])) < 0.05
	}
	for i, r := range c.Rows {
		if equal && i > 0 && i < n-1 {
			continue
		}
		p, q := d.at(r.X+r.length(), r.Y), d.at(right, r.Y)
		g.Line(p.X+0.8, p.Y, q.X+edge+3, q.Y, draw.Stroke(draw.Soft, draw.WidthHair).Dashed(draw.Chain))
	}
	dim := func(a, b float64, words string) {
		if b-a > 0.05 {
			g.Dim(d.at(right, b), d.at(right, a), -(edge + 4.5), words, draw.DimStyle{Size: st.Size, NoExtension: a != 0 && b != c.Breadth, Beside: true})
		}
	}
	if equal {
		dim(ys[0], ys[1], mm(ys[1]-ys[0]))
		pitch := ys[2] - ys[1]
		dim(ys[1], ys[n], fmt.Sprintf("%d × %s = %s", n-1, mm(pitch), mm(ys[n]-ys[1])))
		dim(ys[n], ys[n+1], mm(ys[n+1]-ys[n]))
		return
	}
	for i := 1; i < len(ys); i++ {
		dim(ys[i-1], ys[i], mm(ys[i]-ys[i-1]))
	}
}
