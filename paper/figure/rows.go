package figure

import (
	"math"
	"slices"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// IntervalRow is one row of an interval chart.
type IntervalRow struct {
	Name string
	Sub  string // small, under the name
	// Value with its interval; Low and High both zero means no interval.
	Value, Low, High float64
	// Text stands at the right; empty writes the value with three digits.
	Text string
	// Rank stands before the name; rows that cannot be told apart share one,
	// such as "2–4".
	Rank string
	// Chosen draws the row in the accent.
	Chosen bool
	// Was, if HasWas, is an earlier or other value, drawn as a ring.
	Was    float64
	HasWas bool
}

// IntervalChart shows values with intervals on a common scale, one row each.
type IntervalChart struct {
	Frame
	X    Axis
	Rows []IntervalRow
	// ValueName and WasName name the disc and the ring; needed only if rows
	// have both.
	ValueName, WasName string
	Guides             []Guide // Upright
}

// Intervals draws rows of values with their intervals: a dot on a line from
// low to high. Rows whose intervals overlap are seen to overlap.
func Intervals(c IntervalChart) draw.Scene {
	return rows(c)
}

// ReceptorRow is the response of one of the eye's receptors.
type ReceptorRow struct {
	Name      string // "S cone", "melanopsin"
	Sub       string // "short-wave cone"
	Value     float64
	Reference float64 // the same for the light compared with
}

// ReceptorChart shows how a light acts on the receptors of the eye.
type ReceptorChart struct {
	Frame
	X         Axis
	Rows      []ReceptorRow
	Name      string // whose values: "this lamp"
	Reference string // what it is compared with: "daylight of the same illuminance"; empty hides it
}

// Receptors draws the receptors by name, each a dot on a common scale, with a
// ring for the reference.
func Receptors(c ReceptorChart) draw.Scene {
	ic := IntervalChart{Frame: c.Frame, X: c.X, ValueName: c.Name, WasName: c.Reference}
	for _, r := range c.Rows {
		ic.Rows = append(ic.Rows, IntervalRow{Name: r.Name, Sub: r.Sub, Value: r.Value, Was: r.Reference, HasWas: c.Reference != "", Chosen: true})
	}
	return rows(ic)
}

func rows(c IntervalChart) draw.Scene {
	const rowHigh = 8.2
	var xs extent
	left := 0
	nameWide, textWide, rankWide, subs, hasWas := 0.0, 0.0, 0.0, false, false
	texts := make([]string, len(c.Rows))
	// Bold picks out a row, so it says nothing when all are picked.
	all := !slices.ContainsFunc(c.Rows, func(r IntervalRow) bool { return !r.Chosen })
	for i, r := range c.Rows {
		ok := c.X.drawable(r.Value)
		if ok {
			xs.add(r.Value)
		} else {
			left++
		}
		if r.Low != 0 || r.High != 0 {
			left += xs.addAll(c.X, []float64{r.Low, r.High})
		}
		if r.HasWas {
			left += xs.addAll(c.X, []float64{r.Was})
			hasWas = true
		}
		texts[i] = r.Text
		if r.Text == "" {
			texts[i] = quantity.Digits(r.Value, 3)
		}
		nameWide = max(nameWide, draw.TextWidth(r.Name, draw.SizeLabel, r.Chosen && !all), draw.TextWidth(r.Sub, draw.SizeSmall, false))
		textWide = max(textWide, draw.TextWidth(texts[i], draw.SizeLabel, false))
		rankWide = max(rankWide, draw.TextWidth(r.Rank, draw.SizeLabel, false))
		subs = subs || r.Sub != ""
	}
	any := xs.any
	for _, g := range c.Guides {
		if any && c.X.drawable(g.At) {
			xs.add(g.At)
		}
	}
	high := rowHigh
	if subs {
		high = 9.6
	}
	if c.Height == 0 {
		extra := 2*draw.Margin + 12
		if c.Title != "" {
			extra += 8
		}
		if c.Note != "" {
			extra += 9
		}
		if hasWas {
			extra += 6
		}
		c.Height = extra + high*float64(max(len(c.Rows), 2)) + 5
	}
	w, _ := c.size(0)
	if rankWide > 0 {
		rankWide += 2.5
	}
	nameWide = min(nameWide, w*0.42)
	textWide = min(textWide, w*0.25)
	var keys []keyEntry
	if hasWas && c.ValueName != "" {
		keys = dotKeys(c.ValueName, c.WasName)
	}
	p := newRows(c, xs, left, keys, draw.Margin+rankWide+nameWide+4, textWide+4, guideRoom(c.Guides), any)
	p.guideLines(c.Guides)
	pitch := p.box.H / float64(max(len(c.Rows), 1))
	for i, r := range c.Rows {
		y := p.box.Y + pitch*(float64(i)+0.5)
		g := p.s.Child("")
		g.Title = r.Name + ": " + texts[i]
		if i > 0 {
			p.s.Line(draw.Margin, y-pitch/2, p.s.Width-draw.Margin, y-pitch/2, draw.Stroke(draw.Faint, draw.WidthHair))
		}
		name := draw.Shorten(r.Name, nameWide+0.01, draw.SizeLabel, r.Chosen && !all)
		ny := y
		if r.Sub != "" {
			ny = y - 1.7
			g.Text(draw.Margin+rankWide, y+1.9, draw.Shorten(r.Sub, nameWide+0.01, draw.SizeSmall, false),
				draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle, Paint: draw.Soft})
		}
		g.Text(draw.Margin, ny, r.Rank, draw.TextStyle{Rise: draw.Middle, Paint: draw.Soft})
		g.Text(draw.Margin+rankWide, ny, name, draw.TextStyle{Rise: draw.Middle, Bold: r.Chosen && !all})
		g.Text(p.s.Width-draw.Margin, y, draw.Shorten(texts[i], textWide+0.01, draw.SizeLabel, false),
			draw.TextStyle{Rise: draw.Middle, Align: draw.Right})
		p.row(g, r, y)
	}
	p.guideNames(c.Guides)
	return p.s
}

// row draws the marks of one row, cut at the ends of the scale.
func (p *plot) row(g *draw.Group, r IntervalRow, y float64) {
	paint := draw.Ink
	if r.Chosen {
		paint = draw.Accent
	}
	x := func(v float64) float64 { return p.box.X + min(max(p.x.frac(v), 0), 1)*p.box.W }
	a := p.x.axis
	if (r.Low != 0 || r.High != 0) && a.drawable(r.High) {
		lo := p.box.X
		if a.drawable(r.Low) {
			lo = x(r.Low)
		}
		hi := x(r.High)
		g.Line(lo, y, hi, y, draw.Stroke(paint, 0.5))
		for _, e := range []float64{lo, hi} {
			g.Line(e, y-0.9, e, y+0.9, draw.Stroke(paint, draw.WidthThin))
		}
	}
	if r.HasWas && a.drawable(r.Was) {
		if a.drawable(r.Value) {
			g.Line(x(r.Was), y, x(r.Value), y, draw.Stroke(draw.Soft, draw.WidthThin))
		}
		g.Circle(x(r.Was), y, ringSize, ringStyle())
	}
	if a.drawable(r.Value) {
		if !p.x.inside(r.Value) {
			// Beyond the scale: an arrow head at its end.
			u := 1.0
			if p.x.frac(r.Value) < 0 {
				u = -1
			}
			e := x(r.Value)
			g.Polygon([]draw.Point{{X: e + u*1.6, Y: y}, {X: e - u*0.8, Y: y - 1.2}, {X: e - u*0.8, Y: y + 1.2}}, draw.Fill(paint))
			return
		}
		g.Circle(x(r.Value), y, discSize, draw.Fill(paint))
	}
}

// newRows lays out a chart whose ordinate is rows: upright grid, no y axis.
func newRows(c IntervalChart, xs extent, left int, keys []keyEntry, x0, right, over float64, any bool) *plot {
	w, h := c.size(80)
	p := &plot{s: newScene(w, h, c.Title, c.Desc), frame: c.Frame, left: left, logged: c.X.Log}
	y := p.head(keys) + over
	notes := p.notes()
	foot := h - draw.Margin - float64(len(notes))*draw.SizeSmall*draw.Leading
	if len(notes) > 0 {
		foot -= 1.5
	}
	base := max(foot-draw.SizeLabel*2.8-1.6, y+8)
	x1 := w - draw.Margin - right
	p.x = newScale(c.X, xs, x1-x0, false, true)
	p.y = newScale(Axis{From: 0, To: math.Max(float64(len(c.Rows)), 1)}, extent{}, base-y, true, false)
	p.box = draw.Rect{X: x0, Y: y, W: x1 - x0, H: base - y}
	g := p.s.Child("axes")
	g.Layer = "AXES"
	for _, t := range p.x.ticks {
		x := x0 + p.x.frac(t.at)*(x1-x0)
		st := draw.Stroke(draw.Faint, draw.WidthHair)
		if t.at == 0 {
			st = draw.Stroke(draw.Soft, draw.WidthThin)
		}
		g.Line(x, y, x, base, st)
		g.Text(x, base+2, t.label, draw.TextStyle{Align: draw.Centre, Rise: draw.Top, Paint: draw.Soft})
	}
	for _, v := range p.x.minor {
		x := x0 + p.x.frac(v)*(x1-x0)
		g.Line(x, base, x, base+0.7, draw.Stroke(draw.Soft, draw.WidthHair))
	}
	g.Line(x0, base, x1, base, draw.Stroke(draw.Soft, draw.WidthThin))
	g.Text(x1, base+2+draw.SizeLabel*1.35, draw.Shorten(c.X.caption(p.x.power), w-2*draw.Margin, draw.SizeLabel, false),
		draw.TextStyle{Align: draw.Right, Rise: draw.Top, Paint: draw.Soft})
	for i, l := range notes {
		p.s.Text(draw.Margin, h-draw.Margin-float64(len(notes)-1-i)*draw.SizeSmall*draw.Leading, l,
			draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	if p.s.Desc == "" {
		p.s.Desc = c.X.Name + ", one row for each of " + quantity.Decimals(float64(len(c.Rows)), 0) + "."
	}
	if !any {
		p.s.Text(x0+(x1-x0)/2, y+(base-y)/2, "nothing to show yet",
			draw.TextStyle{Size: draw.SizeBody, Align: draw.Centre, Rise: draw.Middle, Paint: draw.Soft, Ground: draw.Paper})
	}
	return p
}
