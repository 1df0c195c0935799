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
	p := &plot{s: newScene(w, h, f.Title, why), frame: f}
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
	p.s = newScene(w, 10000, c.Title, c.Desc)
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
