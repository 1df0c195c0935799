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
