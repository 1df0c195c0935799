package figure

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// Frame is what every chart shares.
type Frame struct {
	Title string
	// Desc says in a sentence or two what the picture shows, for those who
	// cannot see it. Empty: the title and the ranges of the axes.
	Desc string
	// Note stands small under the picture: conditions, sources.
	Note string
	// Width and Height in mm; 0 means 150 and 92 (rows set their own height).
	Width, Height float64
}

func (f Frame) size(high float64) (w, h float64) {
	w, h = f.Width, f.Height
	if w == 0 {
		w = 150
	}
	if h == 0 {
		h = high
	}
	return max(w, 60), max(h, 40)
}

// newScene is an empty scene with the margin all figures have.
func newScene(w, h float64, title, desc string) draw.Scene {
	s := draw.NewScene(w, h, title, desc)
	s.Blank = draw.Margin
	return s
}

// keyEntry names one kind of mark above the plot.
type keyEntry struct {
	name string
	wide float64                           // mm for the mark
	draw func(g *draw.Group, x, y float64) // within wide to the right of x, about y
}

const (
	keyMark = 8.0 // mm, a stretch of line
	keyDot  = 2.6 // mm, a single mark
)

// dotKeys names a disc and a ring.
func dotKeys(disc, ring string) []keyEntry {
	return []keyEntry{
		{disc, keyDot, func(g *draw.Group, x, y float64) { g.Circle(x+keyDot/2, y, discSize, draw.Fill(draw.Accent)) }},
		{ring, keyDot, func(g *draw.Group, x, y float64) { g.Circle(x+keyDot/2, y, ringSize, ringStyle()) }}}
}

// Radii of the disc and the ring, mm.
const discSize, ringSize = 1.2, 1.1

func ringStyle() draw.Style { return draw.Stroke(draw.Ink, 0.3).Filled(draw.Paper) }

// plot is a chart under construction: the scene, its data box and scales.
type plot struct {
	s      draw.Scene
	x, y   scale
	box    draw.Rect
	bottom float64 // where the note begins
	left   int     // numbers left out
	frame  Frame
	logged bool
	// ceiling is how high labels of lines may stand.
	ceiling float64
	marks   []draw.Point // where curves and dots lie, for labels to keep clear of
}

// plan is what newPlot needs to know.
type plan struct {
	frame        Frame
	high         float64 // default height
	xAxis, yAxis Axis
	xs, ys       extent
	left         int
	keys         []keyEntry
	under        float64 // mm kept between plot and x labels
	over         float64 // mm kept above the plot, for labels
	looseX       bool
	numberless   bool // no numbers and no name under the x axis: the caller sets them
}

// newPlot lays out title, key, axes and note, and draws all but the data.
func newPlot(p plan) *plot {
	w, h := p.frame.size(p.high)
	c := &plot{s: newScene(w, h, p.frame.Title, p.frame.Desc), frame: p.frame, left: p.left}
	c.logged = p.xAxis.Log || p.yAxis.Log
	y := c.head(p.keys)
	notes := c.notes()
	bottom := h - draw.Margin - float64(len(notes))*draw.SizeSmall*draw.Leading
	if len(notes) > 0 {
		bottom -= 1.5
	}
	c.bottom = bottom
	axisRoom := 1.6 + draw.SizeLabel*2.8
	capRoom := 0.0
	if p.yAxis.Name != "" || p.yAxis.Unit != "" {
		capRoom = draw.SizeLabel * 2.35
	}
	top := y + capRoom + p.over
	base := bottom - axisRoom - p.under
	if base < top+8 {
		base = top + 8
	}
	c.y = newScale(p.yAxis, p.ys, base-top, true, true)
	wide := 0.0
	for _, t := range c.y.ticks {
		wide = max(wide, draw.TextWidth(t.label, draw.SizeLabel, false))
	}
	x0 := draw.Margin + wide + 1.8
	x1 := w - draw.Margin - 1
	c.x = newScale(p.xAxis, p.xs, x1-x0, false, p.looseX)
	// The last number under the axis may reach past it.
	if n := len(c.x.ticks); n > 0 {
		t := c.x.ticks[n-1]
		past := x0 + c.x.frac(t.at)*(x1-x0) + draw.TextWidth(t.label, draw.SizeLabel, false)/2 - (w - draw.Margin)
		if past > 0 {
			x1 -= past
			c.x = newScale(p.xAxis, p.xs, x1-x0, false, p.looseX)
		}
	}
	c.box = draw.Rect{X: x0, Y: top, W: x1 - x0, H: base - top}
	c.ceiling = top
	if p.over == 0 {
		c.ceiling = top - 4
	}
	if capRoom > 0 {
		c.s.Text(draw.Margin, y+draw.SizeLabel*1.05,
			draw.Shorten(p.yAxis.caption(c.y.power), w-2*draw.Margin, draw.SizeLabel, false),
			draw.TextStyle{Paint: draw.Soft})
	}
	c.axes(p)
	for i, l := range notes {
		c.s.Text(draw.Margin, h-draw.Margin-float64(len(notes)-1-i)*draw.SizeSmall*draw.Leading, l,
			draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	if c.s.Desc == "" {
		c.s.Desc = c.describe(p)
	}
	if !p.xs.any || !p.ys.any {
		c.s.Text(c.box.X+c.box.W/2, c.box.Y+c.box.H/2, "nothing to show yet",
			draw.TextStyle{Size: draw.SizeBody, Align: draw.Centre, Rise: draw.Middle, Paint: draw.Soft, Ground: draw.Paper})
	}
	return c
}

// head sets title and key and returns the y below them.
func (c *plot) head(keys []keyEntry) float64 {
	y := draw.Margin
	if c.frame.Title != "" {
		for _, l := range draw.Wrap(c.frame.Title, c.s.Width-2*draw.Margin, draw.SizeHead, true) {
			c.s.Text(draw.Margin, y+draw.SizeHead*0.8, l, draw.TextStyle{Size: draw.SizeHead, Bold: true})
			y += draw.SizeHead * 1.35
		}
		y += 1.4
	}
	if len(keys) == 0 {
		return y
	}
	x := draw.Margin
	for _, k := range keys {
		name := draw.Shorten(k.name, c.s.Width-2*draw.Margin-k.wide-1.5, draw.SizeLabel, false)
		w := k.wide + 1.5 + draw.TextWidth(name, draw.SizeLabel, false)
		if x > draw.Margin && x+w > c.s.Width-draw.Margin {
			x = draw.Margin
			y += draw.SizeLabel * 1.5
		}
		k.draw(&c.s.Group, x, y+draw.SizeLabel*0.7)
		c.s.Text(x+k.wide+1.5, y+draw.SizeLabel*0.7, name, draw.TextStyle{Rise: draw.Middle})
		x += w + 5
	}
	return y + draw.SizeLabel*1.5 + 2
}

// notes are the lines under the picture.
func (c *plot) notes() []string {
	note := c.frame.Note
	if c.left > 0 {
		why := "that are no numbers"
		if c.logged {
			why = "that a logarithmic scale cannot show"
		}
		s := "s"
		if c.left == 1 {
			s, why = "", strings.Replace(why, "are no numbers", "is no number", 1)
		}
		note = strings.TrimSpace(note + fmt.Sprintf(" %d value%s %s left out.", c.left, s, why))
	}
	if note == "" {
		return nil
	}
	return draw.Wrap(note, c.s.Width-2*draw.Margin, draw.SizeSmall, false)
}

func (c *plot) describe(p plan) string {
	if !p.xs.any || !p.ys.any {
		return "An empty chart."
	}
	one := func(a Axis, s scale) string {
		return strings.TrimSpace(fmt.Sprintf("%s from %s to %s %s", a.Name, quantity.Digits(s.lo, 3), quantity.Digits(s.hi, 3), a.Unit))
	}
	if p.numberless {
		return one(p.yAxis, c.y) + "."
	}
	return one(p.yAxis, c.y) + " over " + one(p.xAxis, c.x) + "."
}

// axes draws grid, ticks and numbers, and says the axes to scripts.
func (c *plot) axes(p plan) {
	b := c.box
	g := c.s.Child("axes")
	g.Layer = "AXES"
	for _, a := range []struct {
		name string
		s    scale
	}{{"x", c.x}, {"y", c.y}} {
		kind := "linear"
		if a.s.axis.Log {
			kind = "log"
		}
		g.Attr(a.name+"-scale", kind)
		g.Attr(a.name+"-min", plain(a.s.lo))
		g.Attr(a.name+"-max", plain(a.s.hi))
		g.Attr(a.name+"-name", a.s.axis.Name)
		g.Attr(a.name+"-unit", a.s.axis.Unit)
	}
	g.Attr("plot", fmt.Sprintf("%.3f %.3f %.3f %.3f", b.X, b.Y, b.W, b.H))
	foot := b.Y + b.H
	for _, t := range c.y.ticks {
		y := foot - c.y.frac(t.at)*b.H
		st := draw.Stroke(draw.Faint, draw.WidthHair)
		if t.at == 0 && c.y.lo < 0 {
			st = draw.Stroke(draw.Soft, draw.WidthThin)
		}
		g.Line(b.X, y, b.X+b.W, y, st)
		g.Text(b.X-1.8, y, t.label, draw.TextStyle{Align: draw.Right, Rise: draw.Middle, Paint: draw.Soft})
	}
	base := foot + p.under
	g.Line(b.X, foot, b.X+b.W, foot, draw.Stroke(draw.Soft, draw.WidthThin))
	if c.y.axis.Log {
		for _, v := range c.y.minor {
			y := foot - c.y.frac(v)*b.H
			g.Line(b.X-0.8, y, b.X, y, draw.Stroke(draw.Soft, draw.WidthHair))
		}
	}
	if p.numberless {
		return
	}
	for _, v := range c.x.minor {
		x := b.X + c.x.frac(v)*b.W
		g.Line(x, base, x, base+0.7, draw.Stroke(draw.Soft, draw.WidthHair))
	}
	for _, t := range c.x.ticks {
		x := b.X + c.x.frac(t.at)*b.W
		g.Line(x, base, x, base+1.3, draw.Stroke(draw.Soft, draw.WidthThin))
		if t.label != "" {
			g.Text(x, base+2.0, t.label, draw.TextStyle{Align: draw.Centre, Rise: draw.Top, Paint: draw.Soft})
		}
	}
	g.Text(b.X+b.W, base+2.0+draw.SizeLabel*1.35,
		draw.Shorten(p.xAxis.caption(c.x.power), c.s.Width-2*draw.Margin, draw.SizeLabel, false),
		draw.TextStyle{Align: draw.Right, Rise: draw.Top, Paint: draw.Soft})
}

// plain writes a number for a script: shortest, with a point.
func plain(v float64) string { return fmt.Sprintf("%.9g", v) }

// at places a pair of values on the paper.
func (c *plot) at(x, y float64) draw.Point {
	return draw.Point{X: c.box.X + c.x.frac(x)*c.box.W, Y: c.box.Y + c.box.H - c.y.frac(y)*c.box.H}
}

// data is a group clipped to the plot, with a hair to spare for line widths.
func (c *plot) data() *draw.Group {
	const hair = 0.4
	return c.s.Clip(c.box.X-hair, c.box.Y-hair, c.box.W+2*hair, c.box.H+2*hair)
}

// note remembers where a line runs, at least every millimetre.
func (c *plot) note(run []draw.Point) {
	for i, q := range run {
		if i > 0 {
			p := run[i-1]
			n := min(int(math.Hypot(q.X-p.X, q.Y-p.Y)), 400)
			for k := 1; k < n; k++ {
				f := float64(k) / float64(n)
				c.marks = append(c.marks, draw.Point{X: p.X + f*(q.X-p.X), Y: p.Y + f*(q.Y-p.Y)})
			}
		}
		c.marks = append(c.marks, q)
	}
}

// crowd counts the marks within a box.
func (c *plot) crowd(b draw.Rect) int {
	n := 0
	for _, m := range c.marks {
		if m.X >= b.X && m.X <= b.X+b.W && m.Y >= b.Y && m.Y <= b.Y+b.H {
			n++
		}
	}
	return n
}

// runs cuts a series at values that cannot be drawn and places the pieces.
// More points than the paper can tell apart are thinned to the first, lowest,
// highest and last of each tenth of a millimetre.
func (c *plot) runs(xs, ys []float64) [][]draw.Point {
	var out [][]draw.Point
	var run []draw.Point
	flush := func() {
		if len(run) > 0 {
			out = append(out, thin(run))
			run = nil
		}
	}
	for i, x := range xs {
		if !c.x.axis.drawable(x) || !c.y.axis.drawable(ys[i]) {
			flush()
			continue
		}
		run = append(run, c.at(x, ys[i]))
	}
	flush()
	return out
}

func thin(ps []draw.Point) []draw.Point {
	if len(ps) < 2000 {
		return ps
	}
	out := []draw.Point{}
	for i := 0; i < len(ps); {
		cell := math.Floor(ps[i].X * 10)
		j, lo, hi := i, i, i
		for j < len(ps) && math.Floor(ps[j].X*10) == cell {
			if ps[j].Y < ps[lo].Y {
				lo = j
			}
			if ps[j].Y > ps[hi].Y {
				hi = j
			}
			j++
		}
		last := -1
		for _, k := range []int{i, min(lo, hi), max(lo, hi), j - 1} {
			if k != last {
				out = append(out, ps[k])
			}
			last = k
		}
		i = j
	}
	return out
}
