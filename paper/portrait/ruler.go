package portrait

import (
	"fmt"
	"math"

	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
)

// RulerStep is how much wire one line of a stripping ruler holds, mm.
const RulerStep = 150.0

// StrippingRuler draws one bus wire at true scale with its bared windows: lay
// the wire along it, mark and bare. A wire longer than RulerStep goes on in the
// next line at the same number. It is 170 mm wide.
func StrippingRuler(w wiring.Plan, bus int) draw.Scene {
	b := w.Buses[bus]
	total := b.Length * toMM
	starts := rulerLines(b)
	lines := len(starts)
	const left, lineHigh, head = 8.0, 17.0, 8.0
	c := w.Conductors[b.Conductor]
	title := fmt.Sprintf("%s: %s bus, %s, %.0f mm", b.Code, c.Name, b.End, total)
	s := draw.NewScene(170, head+lineHigh*float64(lines)+1, title,
		fmt.Sprintf("Ruler at true scale with %d bared windows of %.1f mm.", len(b.Windows), b.Windows[0].Length*toMM))
	s.Text(0, 4, title, draw.TextStyle{Size: draw.SizeBody, Bold: true})
	for n := range lines {
		g := s.Child("")
		y := head + lineHigh*float64(n) + 8
		from, to := starts[n], total
		if n+1 < lines {
			to = starts[n+1]
		}
		x := func(at float64) float64 { return left + at - from }
		g.Line(x(from), y, x(to), y, wireStyle(b.Conductor))
		for mm := math.Ceil(from); mm <= to+1e-9; mm++ {
			high := 1.2
			switch {
			case math.Mod(mm, 10) == 0:
				high = 3
				g.Text(x(mm), y+6.6, fmt.Sprintf("%.0f", mm), draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Paint: draw.Soft})
			case math.Mod(mm, 5) == 0:
				high = 2
			}
			g.Line(x(mm), y+1.2, x(mm), y+1.2+high, draw.Stroke(draw.Soft, draw.WidthHair))
		}
		if n == 0 {
			g.Line(x(0), y-3, x(0), y+2, draw.Stroke(draw.Ink, draw.WidthBold))
			g.Text(x(0)-1, y-1.5, "start", draw.TextStyle{Size: draw.SizeSmall, Align: draw.Right, Angle: 90})
		} else {
			g.Text(x(from)-1.2, y, "…", draw.TextStyle{Size: draw.SizeLabel, Align: draw.Right, Rise: draw.Middle})
		}
		if n == lines-1 {
			g.Line(x(total), y-3, x(total), y+2, draw.Stroke(draw.Ink, draw.WidthBold))
			g.Text(x(total)+1.2, y, "cut", draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle})
		} else {
			g.Text(x(to)+1.2, y, "…", draw.TextStyle{Size: draw.SizeLabel, Rise: draw.Middle})
		}
		for _, win := range b.Windows {
			a, z := win.Centre*toMM-win.Length*toMM/2, win.Centre*toMM+win.Length*toMM/2
			if z <= from || a >= to {
				continue
			}
			g.Rect(x(a), y-1.1, z-a, 2.2, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.Copper))
			if win.Centre*toMM >= from && win.Centre*toMM < to {
				g.Text(x(win.Centre*toMM), y-2.4, fmt.Sprintf("%d", win.Row+1), draw.TextStyle{Size: draw.SizeLabel, Bold: true, Align: draw.Centre})
			}
		}
		if b.LeadIn && n == 0 {
			g.Text(x(0), y-6.2, "to the lead: bare 6 mm", draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
			g.Rect(x(0), y-1.1, 6, 2.2, draw.Stroke(draw.Ink, draw.WidthHair).Filled(draw.Copper))
		}
	}
	return s
}

// rulerLines gives where each line of a ruler starts, mm: at whole centimetres
// that no bared window reaches over, at most RulerStep apart.
func rulerLines(b wiring.Bus) []float64 {
	out := []float64{0}
	for {
		from := out[len(out)-1]
		if b.Length*toMM <= from+RulerStep {
			return out
		}
		next := from + RulerStep
		for ; next > from+RulerStep/2; next -= 10 {
			clear := true
			for _, w := range b.Windows {
				clear = clear && math.Abs(w.Centre*toMM-next) > w.Length*toMM/2+0.5
			}
			if clear {
				break
			}
		}
		out = append(out, next)
	}
}

// CutList draws every reel that is opened with the rows cut from it, the places
// of its factory joints, and what is left. It is 170 mm wide.
func CutList(l wiring.Plan, cut float64) draw.Scene {
	const left, width, lineHigh = 14.0, 150.0, 19.0
	s := draw.NewScene(170, 7+lineHigh*float64(len(l.Reels))+5, "Cutting the strip", fmt.Sprintf("%d reels with the rows cut from them.", len(l.Reels)))
	s.Text(0, 4, "Cutting the strip", draw.TextStyle{Size: draw.SizeBody, Bold: true})
	joints := false
	for n, r := range l.Reels {
		g := s.Child("")
		y := 10 + lineHigh*float64(n)
		end := 0
		for _, p := range r.Pieces {
			end = max(end, p.To)
		}
		// What is used takes most of the bar; a long rest is drawn broken off.
		shown := min(float64(r.Units), math.Max(float64(end)/0.72, 1))
		broken := shown < float64(r.Units)
		k := width / shown
		x := func(unit int) float64 { return left + k*math.Min(float64(unit), shown) }
		g.Text(0, y+4, fmt.Sprintf("reel %d", n+1), draw.TextStyle{Size: draw.SizeLabel, Rise: draw.Middle})
		g.Polyline([]draw.Point{{X: left + width, Y: y}, {X: left, Y: y}, {X: left, Y: y + 8}, {X: left + width, Y: y + 8}}, draw.Stroke(draw.Ink, draw.WidthThin))
		tear := []draw.Point{{X: left + width, Y: y}, {X: left + width, Y: y + 8}}
		if broken {
			tear = []draw.Point{{X: left + width, Y: y}, {X: left + width + 1.2, Y: y + 2.6}, {X: left + width - 1.2, Y: y + 5.4}, {X: left + width, Y: y + 8}}
		}
		g.Polyline(tear, draw.Stroke(draw.Ink, draw.WidthThin))
		// Numbers stand at every so many pieces, as they find room, and at the
		// last.
		room := draw.TextWidth(fmt.Sprintf("%.0f", float64(end)*cut*toMM), draw.SizeSmall, false) + 1.4
		stride := 1
		if len(r.Pieces) > 0 {
			stride = int(math.Ceil(room / (k * float64(end) / float64(len(r.Pieces)))))
		}
		for i, p := range r.Pieces {
			g.Rect(x(p.From), y, x(p.To)-x(p.From), 8, draw.Stroke(draw.Ink, draw.WidthLine).Filled(draw.Strip))
			for _, name := range []string{fmt.Sprintf("row %d", p.Row+1), fmt.Sprint(p.Row + 1)} {
				if draw.TextWidth(name, draw.SizeSmall, true)+0.8 < x(p.To)-x(p.From) {
					g.Text((x(p.From)+x(p.To))/2, y+4, name, draw.TextStyle{Size: draw.SizeSmall, Bold: true, Align: draw.Centre, Rise: draw.Middle})
					break
				}
			}
			words := fmt.Sprintf("%.0f", float64(p.To)*cut*toMM)
			g.Line(x(p.To), y+8, x(p.To), y+9.2, draw.Stroke(draw.Ink, draw.WidthThin))
			if last := i == len(r.Pieces)-1; !last && ((i+1)%stride != 0 || x(end)-x(p.To) < room) {
				continue
			}
			g.Text(x(p.To), y+12, words, draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre})
		}
		if r.Rest > 0 && x(r.Units)-x(end) > 1 {
			rest := []draw.Point{{X: x(end), Y: y}, {X: left + width - 1.4, Y: y}, {X: left + width - 1.4, Y: y + 8}, {X: x(end), Y: y + 8}}
			g.Hatch(rest, 45, 1.6, draw.Stroke(draw.Faint, draw.WidthThin))
			words := fmt.Sprintf("left: %d units, %.2f m", r.Rest, r.RestLength)
			if draw.TextWidth(words, draw.SizeSmall, false)+3 < x(r.Units)-x(end) {
				g.Text((x(end)+x(r.Units))/2, y+4, words, draw.TextStyle{Size: draw.SizeSmall, Align: draw.Centre, Rise: draw.Middle, Ground: draw.Paper})
			}
		}
		for u := r.Every; r.Every > 0 && float64(u) < shown; u += r.Every {
			joints = true
			g.Polygon([]draw.Point{{X: x(u), Y: y - 0.2}, {X: x(u) - 1, Y: y - 2.2}, {X: x(u) + 1, Y: y - 2.2}}, draw.Fill(draw.Ink))
		}
	}
	note := "Numbers: mm from the reel's start."
	if joints {
		note += " Triangles: factory joints, if the first lies one distance from the start; mark yours first."
	}
	s.Text(0, s.Height-0.8, note, draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	return s
}
