package portrait

import (
	"fmt"
	"math"

	"dawnsmith/lamp"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
	"dawnsmith/quantity"
)

const toMM = 1000

// mm writes a length given in m in millimetres, to a tenth where it matters.
func mm(m float64) string {
	x := math.Round(m*toMM*10) / 10
	if x == math.Round(x) {
		return quantity.Decimals(x, 0) + "\u202fmm"
	}
	return quantity.Decimals(x, 1) + "\u202fmm"
}

// PlanInput gives the numbers of the tray's plan: rows with their LEDs and, with
// a wiring, the wires and the entry. A nil wiring leaves them out.
func PlanInput(l lamp.Lamp, w *wiring.Plan) figure.Plan {
	c := figure.Plan{
		Frame:  figure.Frame{Title: "Tray from above, sheet off", Desc: planWords(l)},
		Length: l.RunLength() * toMM, Breadth: l.Across() * toMM, Rim: math.Max(l.Tray.Thickness*toMM, 4),
	}
	pitch := l.LEDPitch() * toMM
	for i := range l.Spec.Rows {
		in := l.RowChannels(i)
		var leds []figure.PlanLED
		for k := range l.Strip.LEDsPerUnit() * len(in) {
			leds = append(leds, figure.PlanLED{At: pitch * (float64(k) + 0.5), Channel: in[k%len(in)]})
		}
		c.Rows = append(c.Rows, figure.PlanRow{Name: fmt.Sprint(i + 1), X: l.RowX(i) * toMM, Y: l.RowAt(i) * toMM,
			Width: l.Strip.Width * toMM, Unit: l.Strip.Cut * toMM, Units: l.Spec.Units, LEDs: leds})
	}
	if w == nil {
		return c
	}
	for i, r := range w.Rows {
		for _, k := range r.Pieces {
			if len(r.Pieces) > 1 {
				c.Rows[i].Pieces = append(c.Rows[i].Pieces, k.To-k.From)
			}
		}
	}
	at := func(p wiring.Point) draw.Point { return draw.Point{X: p.X * toMM, Y: p.Y * toMM} }
	polarity := func(conductor int) figure.Polarity {
		if conductor == 0 {
			return figure.Plus
		}
		return figure.Minus
	}
	for _, b := range w.Buses {
		first, last := b.Windows[0].At.Y, b.Windows[len(b.Windows)-1].At.Y
		start := math.Max(0, first-lamp.BusTail)
		if b.LeadIn {
			start = 0
		}
		wire := figure.PlanWire{Polarity: polarity(b.Conductor), Points: []draw.Point{at(wiring.Point{X: b.X, Y: start}), at(wiring.Point{X: b.X, Y: math.Min(last+lamp.BusTail, l.Across())})}}
		for _, win := range b.Windows {
			wire.Windows = append(wire.Windows, at(wiring.Point{X: b.X, Y: win.At.Y}))
			c.Wires = append(c.Wires, figure.PlanWire{Polarity: wire.Polarity, Points: []draw.Point{at(wiring.Point{X: b.X, Y: win.At.Y}), at(win.At)}})
		}
		c.Wires = append(c.Wires, wire)
	}
	for _, k := range w.Links {
		// A bow beside the row ends.
		out := 4.0 + 3*float64(k.Conductor)
		if k.End == lamp.WiredEnd {
			out = -out
		}
		a, b := at(k.A), at(k.B)
		c.Wires = append(c.Wires, figure.PlanWire{Polarity: polarity(k.Conductor), Points: []draw.Point{a, {X: a.X + out, Y: a.Y}, {X: b.X + out, Y: b.Y}, b}})
	}
	for _, r := range w.Runs {
		var ps []draw.Point
		for _, p := range r.Path {
			ps = append(ps, at(p))
		}
		c.Wires = append(c.Wires, figure.PlanWire{Polarity: polarity(r.Conductor), Points: ps})
	}
	c.Holes = []figure.PlanHole{{X: w.Entry.At.X * toMM, Y: w.Entry.At.Y * toMM, Diameter: w.Entry.Hole * toMM}}
	return c
}

func planWords(l lamp.Lamp) string {
	return fmt.Sprintf("Plan of the tray, %s by %s inside, with %d rows of %d units of strip, %s.",
		mm(l.RunLength()), mm(l.Across()), l.Spec.Rows, l.Spec.Units, apart(l))
}

// TrayPlan draws the dimensioned layout, with wires where a wiring is given.
func TrayPlan(l lamp.Lamp, w *wiring.Plan) draw.Scene {
	c := PlanInput(l, w)
	if w != nil {
		c.Frame.Note = HoleWords(*w)
	}
	return figure.TrayPlan(c)
}

// HoleWords says where the hole for the lead is and how wide.
func HoleWords(w wiring.Plan) string {
	if w.Entry.At.X == 0 {
		return fmt.Sprintf("Lead hole: %s, in %s, on its centre line.", mm(w.Entry.Hole), w.Entry.Wall)
	}
	return fmt.Sprintf("Lead hole: %s, in %s, %s from the end wall.", mm(w.Entry.Hole), w.Entry.Wall, mm(w.Entry.At.X))
}

// SectionInput gives the numbers of the cut across the rows.
func SectionInput(l lamp.Lamp) figure.Section {
	c := figure.Section{
		Frame:   figure.Frame{Title: "Tray, cut across the rows", Width: 170},
		Breadth: l.Across() * toMM, Depth: l.Height() * toMM, Wall: l.Tray.Thickness * toMM,
		StripWidth: l.Strip.Width * toMM, LEDHeight: l.Strip.Height * toMM,
		TrayName: fmt.Sprintf("tray, %s thick", mm(l.Tray.Thickness)), StripName: fmt.Sprintf("strip, %s wide", mm(l.Strip.Width)),
	}
	for i := range l.Spec.Rows {
		c.Rows = append(c.Rows, l.RowAt(i)*toMM)
	}
	if s := l.Sheet; s != nil {
		c.Sheet, c.SheetName = s.Thickness*toMM, fmt.Sprintf("sheet, %s", mm(s.Thickness))
		if l.Doubled() {
			c.SheetName = "two sheets, " + mm(s.Thickness)
		}
	}
	if l.Lining != nil {
		c.Lining, c.LiningFloor, c.LiningName = true, l.Spec.LineFloor, "lining on the walls"
		if l.Spec.LineFloor {
			c.LiningName = "lining on walls and floor"
		}
	}
	return c
}

// TraySection draws the cut across the rows.
func TraySection(l lamp.Lamp) draw.Scene { return figure.TraySection(SectionInput(l)) }

// SightInput gives the numbers of the side view: eye, lamp and brow. The longer
// side of the face lies level.
func SightInput(l lamp.Lamp) figure.Sight {
	p := l.Spec.Place
	const deg = 180 / math.Pi
	reach := 0.0
	if l.Mount != nil {
		reach = l.Mount.Reach * toMM
	}
	c := figure.Sight{
		Mount: reach, Cord: true,
		Frame: figure.Frame{Title: "Lamp and eye from the side", Width: 170},
		Ahead: p.Ahead() * toMM, Above: p.LampAboveEye * toMM, FaceHeight: l.Tray.Width * toMM, Depth: l.Tray.Depth * toMM,
		Tilt: p.FaceTilt() * deg, Gaze: p.Gaze * deg, Brow: p.Brow * deg,
	}
	if p.MonitorDistance > 0 {
		// Only the edge counts; a monitor of usual height is drawn under it.
		c.MonitorAhead, c.MonitorTop, c.MonitorHeight = p.MonitorDistance*toMM, p.MonitorEdge*toMM, 320
	}
	return c
}

// SideView draws lamp and eye.
func SideView(l lamp.Lamp) draw.Scene { return figure.SideView(SightInput(l)) }

// Cover draws the lamp's face and its place side by side, without dimensions
// to build from.
func Cover(l lamp.Lamp) draw.Scene {
	c := PlanInput(l, nil)
	c.Frame = figure.Frame{Title: "The lamp, sheet off"}
	c.NoDimensions = true
	c.Scale = math.Min(66/(c.Length+2*c.Rim), 56/(c.Breadth+2*c.Rim))
	for _, k := range []float64{4, 5, 6, 8, 10, 12, 15, 20, 25} {
		if 1/k <= c.Scale {
			c.Scale = 1 / k
			break
		}
	}
	plan := figure.TrayPlan(c)
	side := SightInput(l)
	side.Mount, side.Cord = 0, false
	const width = 174.0
	side.Frame = figure.Frame{Title: "Where it is used", Width: width - plan.Width}
	sight := figure.SideView(side)
	s := draw.NewScene(width, math.Max(plan.Height, sight.Height), l.Name, planWords(l)+" Beside it a side view of lamp and eye.")
	s.Place(plan, 0, 0, 1)
	s.Place(sight, plan.Width, 0, 1)
	return s
}

func apart(l lamp.Lamp) string {
	if l.Even() {
		return mm(l.RowPitch()) + " apart"
	}
	return "placed one by one"
}
