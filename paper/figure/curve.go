package figure

import (
	"fmt"

	"dawnsmith/paper/draw"
)

// Series is one curve.
type Series struct {
	Name string
	X, Y []float64 // of one length, in the axes' units
	// Reference draws the curve quietly and dashed: what the others are held
	// against.
	Reference bool
	// Dots marks every point.
	Dots bool
	// DotsOnly marks every point and draws no line: readings.
	DotsOnly bool
	// Steps holds each value until the next.
	Steps bool
	// Low and High, if given, bound a band about the curve (of the same length).
	Low, High []float64
}

func (s Series) check() {
	if len(s.X) != len(s.Y) || s.Low != nil && (len(s.Low) != len(s.X) || len(s.High) != len(s.X)) {
		panic(fmt.Sprintf("figure: series %q has %d x, %d y, %d low and %d high values", s.Name, len(s.X), len(s.Y), len(s.Low), len(s.High)))
	}
}

// stepped repeats values so that lines drawn between them make steps.
func (s Series) stepped() (xs, ys []float64) {
	if !s.Steps {
		return s.X, s.Y
	}
	for i, x := range s.X {
		if i > 0 {
			xs, ys = append(xs, x), append(ys, s.Y[i-1])
		}
		xs, ys = append(xs, x), append(ys, s.Y[i])
	}
	return xs, ys
}

// CurveChart is one or more curves over a common axis.
type CurveChart struct {
	Frame
	X, Y   Axis
	Series []Series
	Guides []Guide
	Spans  []Span
}

// look is the line of the n-th series that is not a reference: the first in
// the accent, the others in ink, told apart by dash.
func look(n int) draw.Style {
	switch n {
	case 0:
		return draw.Stroke(draw.Accent, draw.WidthBold)
	case 1:
		return draw.Stroke(draw.Ink, draw.WidthLine)
	case 2:
		return draw.Stroke(draw.Ink, draw.WidthLine).Dashed(draw.Chain)
	case 3:
		return draw.Stroke(draw.Accent, draw.WidthLine).Dashed(draw.Dotted)
	}
	return draw.Stroke(draw.Soft, draw.WidthLine)
}

// looks gives every series its line.
func looks(ss []Series) []draw.Style {
	out, n := make([]draw.Style, len(ss)), 0
	for i, s := range ss {
		if s.Reference {
			out[i] = draw.Stroke(draw.Soft, draw.WidthLine).Dashed(draw.Dashed)
			continue
		}
		out[i] = look(n)
		n++
	}
	return out
}

// keysFor lists the series when there is more than one.
func keysFor(ss []Series, st []draw.Style) []keyEntry {
	if len(ss) < 2 {
		return nil
	}
	var out []keyEntry
	for i, s := range ss {
		if s.Name == "" {
			continue
		}
		out = append(out, keyEntry{s.Name, keyMark, func(g *draw.Group, x, y float64) {
			if s.Low != nil {
				g.Rect(x, y-1.1, keyMark, 2.2, draw.Fill(draw.Tint))
			}
			if !s.DotsOnly {
				g.Line(x, y, x+keyMark, y, st[i])
			}
			if s.Dots || s.DotsOnly {
				dot(g, i, draw.Point{X: x + keyMark/2, Y: y}, st[i].Stroke)
			}
		}})
	}
	return out
}

// dot draws the mark of the n-th series: disc, ring, square, diamond.
func dot(g *draw.Group, n int, p draw.Point, paint draw.Paint) {
	const r = 0.9
	switch n % 4 {
	case 0:
		g.Circle(p.X, p.Y, r, draw.Fill(paint))
	case 1:
		g.Circle(p.X, p.Y, r, draw.Stroke(paint, 0.3).Filled(draw.Paper))
	case 2:
		g.Rect(p.X-r*0.9, p.Y-r*0.9, 1.8*r, 1.8*r, draw.Fill(paint))
	default:
		g.Polygon([]draw.Point{{X: p.X, Y: p.Y - 1.3*r}, {X: p.X + 1.3*r, Y: p.Y}, {X: p.X, Y: p.Y + 1.3*r}, {X: p.X - 1.3*r, Y: p.Y}},
			draw.Stroke(paint, 0.3).Filled(draw.Paper))
	}
}

// Curves draws curves with optional bands, guides and spans.
func Curves(c CurveChart) draw.Scene {
	return curves(c, extras{})
}

// extras is what a kind of chart adds to plain curves.
type extras struct {
	under  float64     // mm between plot and x numbers
	over   float64     // mm above the plot
	before func(*plot) // draws on the finished axes, under the curves
}

func curves(c CurveChart, ex extras) draw.Scene {
	var xs, ys extent
	left := 0
	for _, s := range c.Series {
		s.check()
		for i, x := range s.X {
			okX := c.X.drawable(x)
			if !okX || !c.Y.drawable(s.Y[i]) {
				left++
				continue
			}
			xs.add(x)
			ys.add(s.Y[i])
			if s.Low != nil {
				ys.addAll(c.Y, []float64{s.Low[i], s.High[i]})
			}
		}
	}
	for _, g := range c.Guides {
		if !g.Upright && xs.any && c.Y.drawable(g.At) {
			ys.add(g.At)
		}
	}
	st := looks(c.Series)
	p := newPlot(plan{frame: c.Frame, high: 92, xAxis: c.X, yAxis: c.Y, xs: xs, ys: ys, left: left,
		keys: keysFor(c.Series, st), under: ex.under, over: max(ex.over, guideRoom(withSpans(c.Guides, c.Spans)))})
	p.spans(c.Spans)
	if ex.before != nil {
		ex.before(p)
	}
	d := p.data()
	for _, s := range c.Series {
		if s.Low != nil {
			p.band(d, s)
		}
	}
	p.guideLines(c.Guides)
	d = p.data()
	// References first, then curves, the main one over the others, and
	// readings on top.
	for pass := range 3 {
		for i := len(c.Series) - 1; i >= 0; i-- {
			s := c.Series[i]
			turn := 1
			switch {
			case s.DotsOnly:
				turn = 2
			case s.Reference:
				turn = 0
			}
			if turn == pass {
				p.curve(d, i, s, st[i])
			}
		}
	}
	p.guideNames(withSpans(c.Guides, c.Spans))
	return p.s
}

func (p *plot) curve(d *draw.Group, i int, s Series, st draw.Style) {
	g := d.Child("")
	g.Layer = "CURVES"
	if s.Name != "" {
		g.Title = s.Name
		g.Attr("series", s.Name)
	}
	xs, ys := s.stepped()
	for _, run := range p.runs(xs, ys) {
		if len(run) == 1 {
			dot(g, i, run[0], st.Stroke)
			continue
		}
		p.note(run)
		if !s.DotsOnly {
			g.Polyline(run, st)
		}
	}
	if s.Dots || s.DotsOnly {
		whole := p.s.Child("") // marks at the edge are not cut
		whole.Layer = "CURVES"
		for k, x := range s.X {
			if p.x.inside(x) && p.y.inside(s.Y[k]) {
				dot(whole, i, p.at(x, s.Y[k]), st.Stroke)
			}
		}
	}
}

// band fills between Low and High, piece by piece.
func (p *plot) band(d *draw.Group, s Series) {
	var upper, lower []draw.Point
	flush := func() {
		if len(upper) > 1 {
			ps := upper
			for i := len(lower) - 1; i >= 0; i-- {
				ps = append(ps, lower[i])
			}
			d.Polygon(ps, draw.Fill(draw.Tint))
		}
		upper, lower = nil, nil
	}
	for i, x := range s.X {
		if !p.x.axis.drawable(x) || !p.y.axis.drawable(s.Low[i]) || !p.y.axis.drawable(s.High[i]) {
			flush()
			continue
		}
		upper, lower = append(upper, p.at(x, s.High[i])), append(lower, p.at(x, s.Low[i]))
	}
	flush()
}

func (p *plot) spans(ss []Span) {
	for _, s := range ss {
		if !p.x.axis.drawable(s.From) || !p.x.axis.drawable(s.To) {
			continue
		}
		f0, f1 := max(p.x.frac(min(s.From, s.To)), 0), min(p.x.frac(max(s.From, s.To)), 1)
		if f1 <= f0 {
			continue
		}
		x, w := p.box.X+f0*p.box.W, (f1-f0)*p.box.W
		p.s.Rect(x, p.box.Y, w, p.box.H, draw.Fill(draw.Panel))
		p.s.Line(x, p.box.Y, x, p.box.Y+p.box.H, draw.Stroke(draw.Faint, draw.WidthThin))
		p.s.Line(x+w, p.box.Y, x+w, p.box.Y+p.box.H, draw.Stroke(draw.Faint, draw.WidthThin))
	}
}
