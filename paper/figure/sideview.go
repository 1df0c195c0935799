package figure

import (
	"fmt"
	"math"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// Sight is a lamp and an eye seen from the side. Lengths in mm of the real
// thing, from the eye: ahead is towards the lamp, above is up. Angles in
// degrees.
type Sight struct {
	Frame
	// Ahead and Above place the centre of the lamp's face.
	Ahead, Above float64
	FaceHeight   float64 // of the face in this view
	Depth        float64 // of the tray
	Tilt         float64 // how far the face looks down from level
	Gaze         float64 // of the line of sight, up positive
	// Brow is where the brow cuts light off, above the line of sight; 0 means
	// 50° (as the optics model has it).
	Brow float64
	// EyeHeight above the desk; 0 leaves the desk out. The desk reaches from
	// DeskFrom to DeskTo ahead of the eye.
	EyeHeight, DeskFrom, DeskTo float64
	// Mount is how far the arm reaches from the middle of the lamp's back; 0:
	// none is drawn. Cord draws a safety cord to a point of its own.
	Mount float64
	Cord  bool
	// A monitor of MonitorHeight (0: none) stands MonitorAhead of the eye, its
	// upper edge MonitorTop above the eye (negative: below). It hides the part of
	// a face behind it that lies below the line over its edge.
	MonitorAhead, MonitorTop, MonitorHeight float64
}

// Slant is the distance from the eye to the face's centre in mm, and the
// elevation of that line in degrees.
func (c Sight) Slant() (r, elevation float64) {
	return math.Hypot(c.Ahead, c.Above), math.Atan2(c.Above, c.Ahead) * 180 / math.Pi
}

func (c Sight) brow() float64 {
	if c.Brow == 0 {
		return 50
	}
	return c.Brow
}

// along gives the place on the face at s mm above its centre, and behind mm
// behind it.
func (c Sight) along(s, behind float64) draw.Point {
	sn, cs := math.Sincos(c.Tilt * math.Pi / 180)
	return draw.Point{X: c.Ahead - s*sn + behind*cs, Y: c.Above + s*cs + behind*sn}
}

// Hidden is the share of the face's height above the brow's edge, and below the
// monitor's, 0 to 1.
func (c Sight) Hidden() (brow, monitor float64) {
	const n = 400
	for i := range n {
		switch p := c.along(c.FaceHeight*((float64(i)+0.5)/n-0.5), 0); {
		case c.behindBrow(p):
			brow += 1. / n
		case c.behindMonitor(p):
			monitor += 1. / n
		}
	}
	return brow, monitor
}

func (c Sight) behindBrow(p draw.Point) bool {
	return math.Atan2(p.Y, p.X)*180/math.Pi > c.Gaze+c.brow()
}

func (c Sight) behindMonitor(p draw.Point) bool {
	return c.MonitorHeight > 0 && c.Ahead > c.MonitorAhead && p.Y*c.MonitorAhead < c.MonitorTop*p.X
}

// sightDrawing places points of the side view (y up) on paper.
type sightDrawing struct {
	g       *draw.Group
	x, y, k float64
}

func (d *sightDrawing) at(p draw.Point) draw.Point {
	return draw.Point{X: d.x + p.X*d.k, Y: d.y - p.Y*d.k}
}

// SideView draws eye, line of sight, brow, lamp, desk and monitor from the
// side, with distance, elevation and tilt, and marks the part of the face that
// brow and monitor hide.
func SideView(c Sight) draw.Scene {
	if !positive(c.Ahead, c.FaceHeight) || math.IsNaN(c.Above+c.Tilt+c.Gaze) || math.Abs(c.Above) > 1e5 {
		return missing(c.Frame, "no lamp to draw")
	}
	w, _ := c.size(1)
	r, elevation := c.Slant()
	const head = 88.0 // mm, radius of the head
	pts := []draw.Point{{X: -2 * head, Y: head * 1.2}, {X: 0, Y: -head},
		c.along(c.FaceHeight/2, 0), c.along(-c.FaceHeight/2, 0), c.along(c.FaceHeight/2, c.Depth), c.along(-c.FaceHeight/2, c.Depth)}
	if c.EyeHeight > 0 {
		pts = append(pts, draw.Point{X: c.DeskFrom, Y: -c.EyeHeight - 25}, draw.Point{X: c.DeskTo, Y: -c.EyeHeight - 25})
	}
	if c.MonitorHeight > 0 {
		pts = append(pts, draw.Point{X: c.MonitorAhead + 30, Y: c.MonitorTop}, draw.Point{X: c.MonitorAhead, Y: c.MonitorTop - c.MonitorHeight})
	}
	if c.Mount > 0 {
		elbow, clamp := c.arm()
		pts = append(pts, elbow, clamp)
	}
	lo, hi := pts[0], pts[0]
	for _, p := range pts {
		lo.X, lo.Y, hi.X, hi.Y = min(lo.X, p.X), min(lo.Y, p.Y), max(hi.X, p.X), max(hi.Y, p.Y)
	}
	// Room for dimensions: at the right the height, below the reach.
	const left, right, below, above = 9.0, 17.0, 10.0, 6.0
	availW := w - 2*draw.Margin - left - right
	k := usualScale(min(availW/(hi.X-lo.X), 105/(hi.Y-lo.Y)))
	p := &plot{frame: c.Frame}
	p.s = newScene(w, 10000, c.Title, c.Desc)
	if c.Desc == "" {
		p.s.Desc = fmt.Sprintf("Side view: the face is %s mm from the eye, %.0f degrees above the horizontal, tilted by %.0f degrees.", mm(r), elevation, c.Tilt)
	}
	note := scaleText(k) + ", lengths in mm."
	brow, monitor := c.Hidden()
	if monitor > 0.005 {
		note = joinNotes(fmt.Sprintf("The monitor hides %s %% of the face's height (heavy line).", quantity.Digits(100*monitor, 2)), note)
	}
	if brow > 0.005 {
		note = joinNotes(fmt.Sprintf("The brow hides %s %% of the face's height (heavy line).", quantity.Digits(100*brow, 2)), note)
	}
	p.frame.Note = joinNotes(note, c.Note)
	top := p.head(nil) + above
	notes := p.notes()
	h := top + (hi.Y-lo.Y)*k + below + draw.Margin + 1 + float64(len(notes))*draw.SizeSmall*draw.Leading
	p.s.Height = h
	for i, l := range notes {
		p.s.Text(draw.Margin, h-draw.Margin-float64(len(notes)-1-i)*draw.SizeSmall*draw.Leading, l,
			draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	spare := max(0, (availW-(hi.X-lo.X)*k)/2)
	d := &sightDrawing{g: &p.s.Group, x: draw.Margin + left + spare - lo.X*k, y: top + hi.Y*k, k: k}
	c.scenery(d)
	c.head(d, head)
	c.brows(d, top, r)
	c.mount(d)
	c.lamp(d)
	c.measures(d, r, elevation, hi, lo)
	return p.s
}

// scenery draws desk and monitor.
func (c Sight) scenery(d *sightDrawing) {
	g := d.g
	if c.EyeHeight > 0 && c.DeskTo > c.DeskFrom {
		a := d.at(draw.Point{X: c.DeskFrom, Y: -c.EyeHeight})
		wide, thick := (c.DeskTo-c.DeskFrom)*d.k, max(25*d.k, 1.2)
		box := []draw.Point{a, {X: a.X + wide, Y: a.Y}, {X: a.X + wide, Y: a.Y + thick}, {X: a.X, Y: a.Y + thick}}
		g.Polygon(box, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Panel))
		g.Hatch(box, 45, 1.2, draw.Stroke(draw.Soft, draw.WidthHair))
		g.Text(a.X+1.5, a.Y-1.4, "desk", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	if c.MonitorHeight > 0 {
		a := d.at(draw.Point{X: c.MonitorAhead, Y: c.MonitorTop})
		g.RoundRect(a.X, a.Y, max(28*d.k, 1), c.MonitorHeight*d.k, 0.5, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Panel))
		if c.EyeHeight > 0 {
			foot := d.at(draw.Point{X: c.MonitorAhead + 20, Y: -c.EyeHeight})
			y0 := a.Y + c.MonitorHeight*d.k
			if foot.Y > y0 {
				g.Rect(foot.X, y0, max(8*d.k, 0.6), foot.Y-y0, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Panel))
			}
		}
		g.Text(a.X-1.2, a.Y+c.MonitorHeight*d.k*0.92, "monitor", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft, Align: draw.Right, Ground: draw.Paper})
	}
}

// head draws head and eye.
func (c Sight) head(d *sightDrawing, radius float64) {
	g := d.g
	o := d.at(draw.Point{X: -radius * 0.98, Y: radius * 0.12})
	g.Circle(o.X, o.Y, radius*d.k, draw.Stroke(draw.Soft, draw.WidthThin).Filled(draw.Panel))
	e := d.at(draw.Point{})
	size := max(13*d.k, 1.3)
	g.Circle(e.X-size*0.6, e.Y, size, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Paper))
	g.Circle(e.X-size*0.1, e.Y, size*0.42, draw.Fill(draw.Ink))
}

// brows draws the line of sight and the sector above the brow.
func (c Sight) brows(d *sightDrawing, top, r float64) {
	g := d.g
	e := d.at(draw.Point{})
	dir := func(deg, dist float64) draw.Point {
		s, co := math.Sincos(deg * math.Pi / 180)
		return draw.Point{X: e.X + dist*co, Y: e.Y - dist*s}
	}
	long := r * d.k * 0.72
	cut := c.Gaze + c.brow()
	// The sector is kept below the title.
	reach := long
	if s := math.Sin(cut * math.Pi / 180); s > 0 {
		reach = min(reach, (e.Y-top+2)/s)
	}
	reach = max(reach, 8)
	sector := []draw.Point{e}
	small := min(reach, max(e.Y-top+2, 8))
	for a := cut; a <= cut+32; a += 4 {
		sector = append(sector, dir(a, small*0.8))
	}
	g.Hatch(sector, 45, 1.8, draw.Stroke(draw.Faint, draw.WidthThin))
	tip := dir(cut, reach)
	g.Line(e.X, e.Y, tip.X, tip.Y, draw.Stroke(draw.Soft, draw.WidthThin).Dashed(draw.Dashed))
	st := draw.TextStyle{Size: draw.SizeSmall, Align: draw.Right, Paint: draw.Soft, Ground: draw.Paper}
	side := -1.6
	if _, elevation := c.Slant(); elevation > cut-8 {
		st.Align, side = draw.Left, 1.6 // the lamp's own lines are on the other side
	}
	g.Text(tip.X+side, tip.Y+1.2, fmt.Sprintf("brow, %g°", math.Round(10*c.brow())/10), st)
	// The line of sight ends on a monitor that it meets.
	far := c.Ahead
	if at := c.MonitorAhead * math.Tan(c.Gaze*math.Pi/180); c.MonitorHeight > 0 && c.MonitorAhead < c.Ahead && at < c.MonitorTop && at > c.MonitorTop-c.MonitorHeight {
		far = c.MonitorAhead / math.Cos(c.Gaze*math.Pi/180) / 1.02
	}
	end := dir(c.Gaze, far*d.k*1.02)
	g.Line(e.X, e.Y, end.X, end.Y, draw.Stroke(draw.Ink, draw.WidthThin).Dashed(draw.Chain))
	name := "line of sight"
	if c.Gaze == 0 {
		name = "line of sight, level"
	}
	lab := dir(c.Gaze, far*d.k*0.98)
	g.Text(lab.X, lab.Y+3.3, name, draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft, Align: draw.Right, Ground: draw.Paper})
}

// arm gives the elbow and the clamp of an arm that is not quite stretched: up to
// the elbow behind the lamp, then down. Where it is clamped is the user's to
// choose; the picture shows how far it reaches.
func (c Sight) arm() (elbow, clamp draw.Point) {
	b := c.along(0, c.Depth)
	const share = 0.48 // of the reach, each of the two links
	link := share * c.Mount
	elbow = draw.Point{X: b.X + 0.80*link, Y: b.Y - 0.60*link}
	return elbow, draw.Point{X: elbow.X - 0.28*link, Y: elbow.Y - 0.96*link}
}

// mount draws the arm behind the lamp, its clamp, and the safety cord.
func (c Sight) mount(d *sightDrawing) {
	if c.Cord {
		a := d.at(c.along(c.FaceHeight*0.3, c.Depth))
		g := d.g.Child("cord")
		g.Line(a.X, a.Y, a.X+13, a.Y-7, draw.Stroke(draw.Ink, draw.WidthThin).Dashed(draw.Dotted))
		g.Text(a.X+14, a.Y-6.4, "cord", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	if c.Mount <= 0 {
		return
	}
	g := d.g.Child("mount")
	e, k := c.arm()
	back, elbow, clamp := d.at(c.along(0, c.Depth)), d.at(e), d.at(k)
	g.Polyline([]draw.Point{back, elbow, clamp}, draw.Stroke(draw.Soft, draw.WidthHeavy))
	for _, p := range []draw.Point{back, elbow} {
		g.Circle(p.X, p.Y, 1, draw.Stroke(draw.Ink, draw.WidthThin).Filled(draw.Paper))
	}
	g.Polyline([]draw.Point{{X: clamp.X - 3, Y: clamp.Y}, {X: clamp.X + 3, Y: clamp.Y}, {X: clamp.X + 3, Y: clamp.Y + 3}, {X: clamp.X - 1, Y: clamp.Y + 3}}, draw.Stroke(draw.Ink, draw.WidthBold))
	g.Text(clamp.X+4.5, clamp.Y+1.6, "arm, reach "+mm(c.Mount), draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft, Rise: draw.Middle, Ground: draw.Paper})
}

// lamp draws the tray, its face, the rays to the eye and what is hidden.
func (c Sight) lamp(d *sightDrawing) {
	g := d.g.Child("lamp")
	half := c.FaceHeight / 2
	corner := func(s, b float64) draw.Point { return d.at(c.along(s, b)) }
	depth := max(c.Depth, 2/d.k)
	g.Polygon([]draw.Point{corner(half, 0), corner(half, depth), corner(-half, depth), corner(-half, 0)},
		draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Metal))
	e := d.at(draw.Point{})
	for _, s := range []float64{half, -half} {
		p := corner(s, 0)
		q := c.along(s, 0)
		st := draw.Stroke(draw.Ray, draw.WidthThin)
		if c.behindBrow(q) || c.behindMonitor(q) {
			st = st.Dashed(draw.Dotted)
		}
		g.Line(e.X, e.Y, p.X, p.Y, st)
	}
	// The face in short pieces, so that the hidden part can be told.
	const n = 60
	start, hidden := -half, false
	flush := func(to float64) {
		a, b := corner(start, 0), corner(to, 0)
		if hidden {
			g.Line(a.X, a.Y, b.X, b.Y, draw.Stroke(draw.Warn, 1.5))
		} else {
			g.Line(a.X, a.Y, b.X, b.Y, draw.Stroke(draw.LED, 1.1))
		}
	}
	for i := range n {
		q := c.along(c.FaceHeight*((float64(i)+0.5)/n-0.5), 0)
		now := c.behindBrow(q) || c.behindMonitor(q)
		s := c.FaceHeight * (float64(i)/n - 0.5)
		if i > 0 && now != hidden {
			flush(s)
			start = s
		}
		hidden = now
	}
	flush(half)
}

// measures writes distance, elevation, tilt, reach and height.
func (c Sight) measures(d *sightDrawing, r, elevation float64, hi, lo draw.Point) {
	g := d.g.Child("dimensions")
	g.Layer = "DIMENSIONS"
	e, m := d.at(draw.Point{}), d.at(draw.Point{X: c.Ahead, Y: c.Above})
	g.Dim(e, m, 0, quantity.Decimals(r, 0), draw.DimStyle{Arrows: true, NoExtension: true, Size: draw.SizeLabel})
	if math.Abs(elevation) > 2 {
		g.AngleDim(e, min(r*d.k*0.36, 24), 0, elevation, fmt.Sprintf("%.0f°", elevation), draw.DimStyle{Size: draw.SizeSmall})
	}
	foot := d.at(draw.Point{X: 0, Y: lo.Y}).Y
	// The extension lines come down from eye and face, beside everything.
	g.Line(e.X, e.Y+2, e.X, foot+1, draw.Stroke(draw.Soft, draw.WidthHair))
	g.Line(m.X, m.Y, m.X, foot+1, draw.Stroke(draw.Soft, draw.WidthHair))
	g.Dim(draw.Point{X: e.X, Y: foot}, draw.Point{X: m.X, Y: foot}, -5, mm(c.Ahead), draw.DimStyle{Size: draw.SizeSmall})
	edge := d.at(draw.Point{X: hi.X}).X
	if math.Abs(c.Above)*d.k > 1 {
		a, b := draw.Point{X: edge, Y: e.Y}, draw.Point{X: edge, Y: m.Y}
		g.Line(m.X, m.Y, edge+1, m.Y, draw.Stroke(draw.Soft, draw.WidthHair))
		g.Line(d.at(draw.Point{X: c.Ahead}).X, e.Y, edge+1, e.Y, draw.Stroke(draw.Soft, draw.WidthHair))
		if b.Y > a.Y {
			a, b = b, a
		}
		g.Dim(a, b, -5, mm(math.Abs(c.Above)), draw.DimStyle{Size: draw.SizeSmall})
	}
	if c.EyeHeight > 0 {
		x := d.at(draw.Point{X: lo.X}).X
		desk := d.at(draw.Point{Y: -c.EyeHeight}).Y
		near := d.at(draw.Point{X: c.DeskFrom}).X
		g.Line(x-4, desk, near, desk, draw.Stroke(draw.Soft, draw.WidthHair))
		g.Line(x-4, e.Y, x+1, e.Y, draw.Stroke(draw.Soft, draw.WidthHair))
		g.Dim(draw.Point{X: x - 3, Y: desk}, draw.Point{X: x - 3, Y: e.Y}, 0, mm(c.EyeHeight), draw.DimStyle{Size: draw.SizeSmall, NoExtension: true})
	}
	if math.Abs(c.Tilt) > 1 {
		// The tilt at the lamp's upper end, from the plumb line.
		f := d.at(c.along(-c.FaceHeight/2, 0))
		rad := min(c.FaceHeight*d.k*0.75, 20)
		g.Line(f.X, f.Y, f.X, f.Y-rad-2, draw.Stroke(draw.Soft, draw.WidthThin).Dashed(draw.Dotted))
		g.AngleDim(f, rad, 90, c.Tilt, "", draw.DimStyle{Size: draw.SizeSmall})
		t := d.at(c.along(c.FaceHeight/2, c.Depth))
		g.Text(t.X, t.Y-2, fmt.Sprintf("tilt %.0f°", c.Tilt), draw.TextStyle{Size: draw.SizeSmall, Ground: draw.Paper})
	}
}
