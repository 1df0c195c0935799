package draw

import "math"

// Point is a place on the paper: mm from the left edge, mm down from the top.
type Point struct{ X, Y float64 }

// Rect is an upright rectangle in mm; X, Y is its upper left corner.
type Rect struct{ X, Y, W, H float64 }

// Overlaps reports whether two rectangles share area.
func (r Rect) Overlaps(o Rect) bool {
	return r.X < o.X+o.W && o.X < r.X+r.W && r.Y < o.Y+o.H && o.Y < r.Y+r.H
}

// Inside reports whether r lies wholly within o.
func (r Rect) Inside(o Rect) bool {
	return r.X >= o.X && r.Y >= o.Y && r.X+r.W <= o.X+o.W && r.Y+r.H <= o.Y+o.H
}

// Dash is a line style.
type Dash uint8

const (
	Solid  Dash = iota
	Dashed      // hidden edges, references
	Dotted      // guides
	Chain       // centre lines: long, short
)

// pattern gives dash and gap lengths in mm for a line of the given width.
func (d Dash) pattern(width float64) []float64 {
	w := max(width, 0.2)
	switch d {
	case Dashed:
		return []float64{1.2 + 4*w, 0.8 + 2*w}
	case Dotted:
		return []float64{w, 0.6 + w}
	case Chain:
		return []float64{4, 0.9, 0.6, 0.9}
	}
	return nil
}

// Style is how a shape is drawn. The zero value draws nothing.
type Style struct {
	Stroke Paint
	Width  float64 // mm; 0 with a stroke means WidthLine
	Dash   Dash
	Fill   Paint
}

// Stroke is a solid line of the given width in mm.
func Stroke(p Paint, width float64) Style { return Style{Stroke: p, Width: width} }

// Fill is a plain area without outline.
func Fill(p Paint) Style { return Style{Fill: p} }

// Dashed returns s with another line style.
func (s Style) Dashed(d Dash) Style { s.Dash = d; return s }

// Filled returns s with a filling.
func (s Style) Filled(p Paint) Style { s.Fill = p; return s }

// Align places text along its line relative to its anchor.
type Align uint8

const (
	Left Align = iota
	Centre
	Right
)

// Rise places text across its line relative to its anchor.
type Rise uint8

const (
	Baseline Rise = iota
	Middle        // the anchor is half way up the capitals
	Top           // the anchor is at the top of the capitals
)

// TextStyle is how a line of text is set.
type TextStyle struct {
	Size  float64 // mm; 0 means SizeLabel
	Bold  bool
	Align Align
	Rise  Rise
	Angle float64 // degrees, counter-clockwise as seen
	Paint Paint   // None means Ink
	// Ground is laid behind the words to keep them legible over lines; None
	// leaves it out.
	Ground Paint
}

func (t TextStyle) size() float64 {
	if t.Size == 0 {
		return SizeLabel
	}
	return t.Size
}

// Attr is one data-* attribute of a group in SVG.
type Attr struct{ Name, Value string }

// Group holds items drawn in order. Its methods add to it.
type Group struct {
	// ID names the group in SVG; it must be unique within its scene.
	ID string
	// Title is read by screen readers and shown on hover; Desc is longer.
	Title, Desc string
	// Layer is the DXF layer of everything in the group that has none nearer;
	// without one the layer is the item's role.
	Layer string
	// Focus makes the group reachable by keyboard in SVG (it needs a Title).
	Focus bool

	data  []Attr
	items []item
	clip  []Point
	at    Point
	scale float64 // 0 means 1
}

// Scene is a drawing of a stated size. The group within it is its content.
type Scene struct {
	Width, Height float64 // mm
	// Blank is the width of the scene's own empty edge, mm. A document lets
	// it hang into its margin, so that words in the picture line up with the
	// text.
	Blank float64
	Group
}

// NewScene makes an empty scene. Title is one line; desc says in a sentence
// what the picture shows, for those who cannot see it.
func NewScene(width, height float64, title, desc string) Scene {
	return Scene{Width: width, Height: height, Group: Group{Title: title, Desc: desc}}
}

type shapeKind uint8

const (
	kindLine  shapeKind = iota // pts joined by straight lines
	kindRect                   // pts[0], pts[1] opposite corners, r corner radius
	kindOval                   // circle about pts[0]
	kindArc                    // circle part about pts[0], from a0 by sweep
	kindCurve                  // pts[0] then triples of cubic control points
)

type item interface{ emit(b backend, f frame) }

type shape struct {
	kind      shapeKind
	pts       []Point
	closed    bool
	r         float64
	a0, sweep float64 // degrees, counter-clockwise as seen
	style     Style
}

type text struct {
	at    Point
	s     string
	style TextStyle
}

type picture struct {
	box  Rect
	grid Grid
}

// Grid is a picture given cell by cell: row by row from the upper left.
type Grid struct {
	Columns, Rows int
	RGB           []byte // 3 × Columns × Rows, sRGB
}

// Attr sets a data-* attribute of the group in SVG, in the order given.
func (g *Group) Attr(name, value string) { g.data = append(g.data, Attr{name, value}) }

// Line draws a straight line.
func (g *Group) Line(x1, y1, x2, y2 float64, s Style) {
	g.add(shape{pts: []Point{{x1, y1}, {x2, y2}}, style: s})
}

// Polyline joins points by straight lines; fewer than two draw nothing.
func (g *Group) Polyline(pts []Point, s Style) {
	if len(pts) > 1 {
		g.add(shape{pts: append([]Point(nil), pts...), style: s})
	}
}

// Polygon is a closed polyline; fewer than three points draw nothing.
func (g *Group) Polygon(pts []Point, s Style) {
	if len(pts) > 2 {
		g.add(shape{pts: append([]Point(nil), pts...), closed: true, style: s})
	}
}

// Rect draws an upright rectangle.
func (g *Group) Rect(x, y, w, h float64, s Style) { g.RoundRect(x, y, w, h, 0, s) }

// RoundRect draws an upright rectangle with corners of radius r mm.
func (g *Group) RoundRect(x, y, w, h, r float64, s Style) {
	if w < 0 {
		x, w = x+w, -w
	}
	if h < 0 {
		y, h = y+h, -h
	}
	g.add(shape{kind: kindRect, pts: []Point{{x, y}, {x + w, y + h}}, r: max(min(r, w/2, h/2), 0), closed: true, style: s})
}

// Circle draws a circle of radius r mm about x, y.
func (g *Group) Circle(x, y, r float64, s Style) {
	g.add(shape{kind: kindOval, pts: []Point{{x, y}}, r: math.Abs(r), closed: true, style: s})
}

// Arc draws part of a circle about x, y: from the direction `from` (degrees,
// counter-clockwise as seen, 0 to the right) over `sweep` degrees, at most a
// whole turn either way.
func (g *Group) Arc(x, y, r, from, sweep float64, s Style) {
	g.add(shape{kind: kindArc, pts: []Point{{x, y}}, r: math.Abs(r), a0: from, sweep: min(max(sweep, -360), 360), style: s})
}

// Curve draws cubic Bézier curves: a start, then for each piece two control
// points and its end. It panics unless len(pts) is 1 + 3n with n ≥ 1.
func (g *Group) Curve(pts []Point, closed bool, s Style) {
	if len(pts) < 4 || len(pts)%3 != 1 {
		panic("draw: a curve needs one point and then three for each piece")
	}
	g.add(shape{kind: kindCurve, pts: append([]Point(nil), pts...), closed: closed, style: s})
}

// Text sets one line of text at x, y. An empty string draws nothing.
func (g *Group) Text(x, y float64, s string, t TextStyle) {
	if s == "" {
		return
	}
	if t.Paint == None {
		t.Paint = Ink
	}
	t.Size = t.size()
	g.items = append(g.items, text{at: Point{x, y}, s: s, style: t})
}

// Image draws a grid of colours over the given rectangle, each cell a plain
// block. It panics when the grid's bytes do not match its size.
func (g *Group) Image(x, y, w, h float64, grid Grid) {
	if len(grid.RGB) != 3*grid.Columns*grid.Rows {
		panic("draw: a grid needs three bytes for each cell")
	}
	if grid.Columns > 0 && grid.Rows > 0 {
		g.items = append(g.items, picture{Rect{x, y, w, h}, grid})
	}
}

// Child adds an empty group and returns it. An empty id is allowed.
func (g *Group) Child(id string) *Group {
	c := &Group{ID: id}
	g.items = append(g.items, c)
	return c
}

// Clip adds an empty group that shows only what falls inside a rectangle.
func (g *Group) Clip(x, y, w, h float64) *Group {
	c := g.Child("")
	c.clip = []Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
	return c
}

// ClipPolygon adds an empty group that shows only what falls inside a convex
// polygon.
func (g *Group) ClipPolygon(pts []Point) *Group {
	c := g.Child("")
	c.clip = append([]Point(nil), pts...)
	return c
}

// Place sets a whole scene into g with its upper left corner at x, y, enlarged
// by scale (1 keeps true millimetres). The scene's group is returned.
func (g *Group) Place(s Scene, x, y, scale float64) *Group {
	c := s.Group
	c.at, c.scale = Point{x, y}, scale
	g.items = append(g.items, &c)
	return &c
}

func (g *Group) add(s shape) {
	if s.style.Stroke == None && s.style.Fill == None {
		return
	}
	if s.style.Stroke != None && s.style.Width == 0 {
		s.style.Width = WidthLine
	}
	g.items = append(g.items, s)
}
