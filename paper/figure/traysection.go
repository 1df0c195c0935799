package figure

import (
	"math"

	"dawnsmith/paper/draw"
)

// Section is a cut across the rows of a tray. All lengths in mm of the real
// thing. Sheets and boards thinner than the paper can show are drawn thicker.
type Section struct {
	Frame
	Scale float64 // mm of paper for a mm of tray; 0 fits the frame's width
	// Breadth is the inner width across the rows, Depth from the floor to the
	// underside of the sheet.
	Breadth, Depth float64
	Wall           float64   // thickness of the tray
	Rows           []float64 // centre lines of the rows from the left wall
	StripWidth     float64
	LEDHeight      float64 // of the emitting surface above the floor
	Sheet          float64 // thickness; 0: none
	Lining         bool    // on the walls
	LiningFloor    bool    // and between the rows
	// Names written beside the parts; an empty one is left out.
	TrayName, StripName, SheetName, LiningName string
}

// TraySection draws the section: tray, lining, strips, sheet, the way of the
// light, and the dimensions that govern its evenness.
func TraySection(c Section) draw.Scene {
	if !positive(c.Breadth, c.Depth) {
		return missing(c.Frame, "no tray to draw")
	}
	w, _ := c.size(1)
	names := []struct{ name string }{{c.SheetName}, {c.LiningName}, {c.StripName}, {c.TrayName}}
	nameWide := 0.0
	for _, n := range names {
		nameWide = max(nameWide, draw.TextWidth(n.name, draw.SizeLabel, false))
	}
	nameWide = min(nameWide, w*0.32)
	left, right := draw.Margin+13.0, draw.Margin+nameWide+9
	k := c.Scale
	if !(k > 0) {
		k = usualScale((w - left - right) / (c.Breadth + 2*max(c.Wall, 0)))
	}
	w = max(w, left+right+(c.Breadth+2*max(c.Wall, 0))*k)
	wall := max(c.Wall*k, 0.7)
	sheet := 0.0
	if c.Sheet > 0 {
		sheet = max(c.Sheet*k, 0.9)
	}
	p := &plot{frame: c.Frame}
	p.s = newScene(w, 10000, c.Title, c.Desc)
	if c.Desc == "" {
		p.s.Desc = "Section across a tray " + mm(c.Breadth) + " mm wide and " + mm(c.Depth) + " mm deep."
	}
	p.frame.Note = joinNotes(scaleText(k)+", lengths in mm; thicknesses not to scale.", c.Note)
	top := p.head(nil) + 4 + sheet
	notes := p.notes()
	x0 := left + wall
	depth := c.Depth * k
	floor := top + depth
	rows := len(c.Rows)
	below := 4.0
	if rows > 0 {
		below = 10
	}
	h := floor + wall + below + draw.Margin + 3 + float64(len(notes))*draw.SizeSmall*draw.Leading
	// Names need their height too.
	h = max(h, top+4*draw.SizeLabel*1.7+draw.Margin+6)
	p.s.Height = h
	for i, l := range notes {
		p.s.Text(draw.Margin, h-draw.Margin-float64(len(notes)-1-i)*draw.SizeSmall*draw.Leading, l,
			draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	g := &p.s.Group
	width := c.Breadth * k
	x1 := x0 + width
	// Tray: a channel, hatched as metal in section.
	tray := []draw.Point{{X: x0 - wall, Y: top}, {X: x0, Y: top}, {X: x0, Y: floor}, {X: x1, Y: floor}, {X: x1, Y: top},
		{X: x1 + wall, Y: top}, {X: x1 + wall, Y: floor + wall}, {X: x0 - wall, Y: floor + wall}}
	g.Polygon(tray, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Metal))
	const film = 0.6
	if c.Lining {
		for _, x := range []float64{x0, x1 - film} {
			g.Rect(x, top, film, depth, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.Lining))
		}
	}
	if c.LiningFloor {
		g.Rect(x0, floor-film, width, film, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.Lining))
	}
	if sheet > 0 {
		poly := []draw.Point{{X: x0 - wall, Y: top - sheet}, {X: x1 + wall, Y: top - sheet}, {X: x1 + wall, Y: top}, {X: x0 - wall, Y: top}}
		g.Polygon(poly, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Sheet))
		g.Hatch(poly, 60, 1.6, draw.Stroke(draw.Soft, draw.WidthHair))
	}
	ledTop := max(c.LEDHeight*k, 1.1)
	sw := max(c.StripWidth*k, 1)
	for i, y := range c.Rows {
		if !(y >= 0 && y <= c.Breadth) {
			continue
		}
		x := x0 + y*k
		if i == rows/2 {
			sectionRays(g, draw.Point{X: x, Y: floor - ledTop}, top, x0, x1)
		}
		g.Rect(x-sw/2, floor-0.5, sw, 0.5, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.Strip))
		lw := min(sw*0.5, 2.2)
		g.Rect(x-lw/2, floor-ledTop, lw, ledTop-0.5, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.LED))
	}
	d := g.Child("dimensions")
	d.Layer = "DIMENSIONS"
	st := draw.DimStyle{Size: draw.SizeSmall}
	d.Dim(draw.Point{X: x0 - wall, Y: floor}, draw.Point{X: x0 - wall, Y: top}, 5, mm(c.Depth), st)
	c.across(d, x0, floor+wall, k)
	c.callouts(g, x0, x1, top, floor, wall, sheet, film, k, right)
	return p.s
}

// across dimensions the rows under the floor.
func (c Section) across(d *draw.Group, x0, y, k float64) {
	st := draw.DimStyle{Size: draw.SizeSmall}
	at := func(v float64) draw.Point { return draw.Point{X: x0 + v*k, Y: y} }
	const off = -5.5
	switch n := len(c.Rows); {
	case n == 0:
	case n == 1:
		d.Dim(at(0), at(c.Rows[0]), off, mm(c.Rows[0]), st)
	default:
		d.Dim(at(0), at(c.Rows[0]), off, mm(c.Rows[0]), draw.DimStyle{Size: st.Size, Outward: true})
		d.Dim(at(c.Rows[0]), at(c.Rows[1]), off, mm(c.Rows[1]-c.Rows[0]), st)
	}
}

// sectionRays shows how an LED lights the sheet: thin rays within 60° of its
// axis.
func sectionRays(g *draw.Group, p draw.Point, top, x0, x1 float64) {
	for _, deg := range []float64{-60, -35, 0, 35, 60} {
		s, co := math.Sincos(deg * math.Pi / 180)
		t := (p.Y - top) / co
		if x := p.X + t*s; x < x0 || x > x1 {
			if s < 0 {
				t = (x0 - p.X) / s
			} else {
				t = (x1 - p.X) / s
			}
		}
		if t > 2 {
			g.Line(p.X, p.Y, p.X+t*s, p.Y-t*co, draw.Stroke(draw.Ray, draw.WidthThin))
		}
	}
}

// callouts names the parts at the right, with leaders, in the order in which
// they lie, and dimensions the height over the LEDs.
func (c Section) callouts(g *draw.Group, x0, x1, top, floor, wall, sheet, film, k, right float64) {
	lastRow := x1 - 8
	if n := len(c.Rows); n > 0 {
		lastRow = x0 + c.Rows[n-1]*k
	}
	type call struct {
		name string
		at   draw.Point
	}
	var calls []call
	add := func(name string, ok bool, x, y float64) {
		if name != "" && ok {
			calls = append(calls, call{name, draw.Point{X: x, Y: y}})
		}
	}
	add(c.SheetName, sheet > 0, x1-3, top-sheet/2)
	add(c.LiningName, c.Lining || c.LiningFloor, x1-film/2, top+(floor-top)*0.3)
	add(c.StripName, len(c.Rows) > 0, lastRow+max(c.StripWidth*k, 1)/2-0.3, floor-0.3)
	add(c.TrayName, true, x1+wall*0.5, floor-(floor-top)*0.12)
	pitch := draw.SizeLabel * 1.7
	y := min(top-sheet/2-0.5, top+(floor-top)/2-pitch*float64(len(calls)-1)/2)
	x := x1 + wall + 6
	for i, cl := range calls {
		ty := y + pitch*float64(i)
		g.Polyline([]draw.Point{cl.at, {X: x - 1.5, Y: ty}, {X: x - 0.6, Y: ty}}, draw.Stroke(draw.Soft, draw.WidthThin))
		g.Circle(cl.at.X, cl.at.Y, 0.35, draw.Fill(draw.Ink))
		g.Text(x, ty, draw.Shorten(cl.name, right-6, draw.SizeLabel, false), draw.TextStyle{Rise: draw.Middle})
	}
	if len(c.Rows) > 0 && c.LEDHeight > 0 && c.Depth > c.LEDHeight {
		lx := x0 + c.Rows[0]*k
		g.Dim(draw.Point{X: lx + 0.01, Y: floor - max(c.LEDHeight*k, 1.1)}, draw.Point{X: lx + 0.01, Y: top}, 0, mm(c.Depth-c.LEDHeight),
			draw.DimStyle{Size: draw.SizeSmall, Arrows: true, NoExtension: true})
	}
}
