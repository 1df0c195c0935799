package portrait

import (
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
)

// leadLeft is where the lead's conductors part from the chain, mm.
const leadLeft = 54.0

// chain draws the way from the supply to the tray above it: supply at the
// right, the lead's entry at the left.
func (d *diagram) chain() {
	g := d.s.Child("supply")
	entry := d.at(d.w.Entry.At)
	side := d.w.Entry.At.X == 0 // in the end wall
	n := len(d.w.Conductors)
	devices := d.w.Inline
	// Lines of the conductors in the chain, plus lowest: so none crosses another
	// on its way to the entry.
	y0 := 15.0
	lineY := func(c int) float64 { return y0 + 5 + 4.2*float64(n-1-c) }
	right := 168.0
	first := 58.0 // left edge of the leftmost device
	wide := (right - first) / float64(len(devices)-1)
	// The lead itself is no box but the lines at the left.
	x := right
	type span struct{ from, to float64 }
	var boxes []span
	for i, v := range devices {
		if v.Kind == wiring.LeadDevice {
			continue
		}
		to := x - float64(i)*wide
		boxes = append(boxes, span{to - wide + 5, to})
	}
	// Which conductors exist right of a device: a dimmer makes one minus into
	// one for each channel.
	minusAt := func(i int) int {
		hasDimmer := false
		for _, v := range devices[:i+1] {
			hasDimmer = hasDimmer || v.Kind == wiring.DimmerDevice
		}
		dimmed := false
		for _, v := range devices {
			dimmed = dimmed || v.Kind == wiring.DimmerDevice
		}
		if dimmed && !hasDimmer {
			return 2 // plus and one minus
		}
		return n
	}
	// Conductors: from each device's left edge to the next one's right edge, the
	// last on to the entry.
	for i := range boxes {
		from := boxes[i].from
		to := leadLeft
		if i+1 < len(boxes) {
			to = boxes[i+1].to
		}
		for c := range minusAt(i) {
			g.Line(from, lineY(c), to, lineY(c), wireStyle(c))
		}
	}
	for i, b := range boxes {
		v := devices[i]
		top, bottom := lineY(n-1)-3, lineY(0)+3
		if v.PlusOnly {
			top = lineY(0) - 2
			for c := 1; c < minusAt(i); c++ {
				g.Line(b.from, lineY(c), b.to, lineY(c), wireStyle(c))
			}
		}
		g.RoundRect(b.from, top, b.to-b.from, bottom-top, 0.8, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Paper))
		g.Text((b.from+b.to)/2, (top+bottom)/2, string(v.Kind), draw.TextStyle{Size: draw.SizeLabel, Bold: true, Align: draw.Centre, Rise: draw.Middle})
		for k, line := range draw.Wrap(v.Name, b.to-b.from+3.5, draw.SizeSmall, false) {
			if k > 3 {
				break
			}
			g.Text((b.from+b.to)/2, lineY(0)+7+float64(k)*draw.SizeSmall*1.3, line, draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre})
		}
	}
	d.leadIn(g, entry, side, lineY)
}

// leadIn draws the lead's conductors from the chain through the tray's wall.
func (d *diagram) leadIn(g *draw.Group, entry draw.Point, side bool, lineY func(int) float64) {
	n := len(d.w.Conductors)
	g.Text(leadLeft, lineY(n-1)-3.6, "lead", draw.TextStyle{Size: draw.SizeLabel, Bold: true, Align: draw.Centre})
	for c := range n {
		if d.only >= 0 && c != d.only {
			continue
		}
		y := lineY(c)
		if side {
			// Down outside the wall to the feed row.
			x := 10.0 - 2.6*float64(c)
			feed := d.padAt(d.l.FeedRow(c), c, 0)
			g.Polyline([]draw.Point{{X: leadLeft, Y: y}, {X: x, Y: y}, {X: x, Y: feed.Y}, {X: entry.X, Y: feed.Y}}, wireStyle(c))
			continue
		}
		// Through the wall to the bus of this conductor, or to what runs on
		// inside.
		x, joint := entry.X, false
		for _, r := range d.w.Runs {
			if r.Code[0] == 'L' && r.Conductor == c {
				x, joint = d.at(r.Path[0]).X, len(r.Path) == 2
			}
		}
		g.Polyline([]draw.Point{{X: leadLeft, Y: y}, {X: x, Y: y}, {X: x, Y: d.top}}, wireStyle(c))
		if joint {
			dot(g, draw.Point{X: x, Y: d.top})
		}
	}
	for c := range n {
		if d.only >= 0 && c != d.only {
			g.Line(leadLeft-4, lineY(c), leadLeft, lineY(c), wireStyle(c))
		}
		g.Text(leadLeft, lineY(c), d.w.Conductors[c].Mark, draw.TextStyle{Size: draw.SizeSmall, Bold: true, Align: draw.Centre, Rise: draw.Middle, Paint: markPaint(c), Ground: draw.Paper})
	}
	if side {
		mid := (d.padAt(d.l.FeedRow(0), 0, 0).Y + d.padAt(d.l.FeedRow(0), n-1, 0).Y) / 2
		g.Circle(entry.X, mid, padPitch*float64(n)/2+0.6, draw.Stroke(draw.Ink, draw.WidthLine))
	}
}
