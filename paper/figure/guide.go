package figure

import (
	"math"
	"strings"

	"dawnsmith/paper/draw"
)

// Guide is a straight line across the plot with its name: a target, a limit, a
// moment.
type Guide struct {
	At   float64
	Name string
	// Upright guides stand at a value of the x axis, others lie at one of y.
	Upright bool
	// Limit draws it as something not to be passed.
	Limit bool
}

// Span shades a range of the x axis.
type Span struct {
	From, To float64
	Name     string
}

// withSpans adds the names of spans as guides at their middle.
func withSpans(gs []Guide, ss []Span) []Guide {
	for _, s := range ss {
		if s.Name != "" {
			gs = append(gs[:len(gs):len(gs)], Guide{At: (s.From + s.To) / 2, Name: s.Name, Upright: true})
		}
	}
	return gs
}

// Guide names above the plot stand in rows this high.
const guideRow = draw.SizeSmall * 1.5

// guideRoom is the height the names of upright guides take above the plot.
func guideRoom(gs []Guide) float64 {
	n := 0
	for _, g := range gs {
		if g.Upright && g.Name != "" {
			n++
		}
	}
	if n == 0 {
		return 0
	}
	return guideRow*float64(min(n, 3)) + 0.5
}

func guideStyle(g Guide) draw.Style {
	if g.Limit {
		return draw.Stroke(draw.Warn, draw.WidthThin).Dashed(draw.Dashed)
	}
	return draw.Stroke(draw.Soft, draw.WidthThin).Dashed(draw.Dotted)
}

func (p *plot) guideLines(gs []Guide) {
	for _, g := range gs {
		switch {
		case g.Upright && p.x.inside(g.At):
			x := p.at(g.At, p.y.lo).X
			p.s.Line(x, p.box.Y, x, p.box.Y+p.box.H, guideStyle(g))
		case !g.Upright && p.y.inside(g.At):
			y := p.at(p.x.lo, g.At).Y
			p.s.Line(p.box.X, y, p.box.X+p.box.W, y, guideStyle(g))
		}
	}
}

// guideNames writes the names: of upright guides above the plot in up to three
// rows, of lying ones on their line where least is hidden, on a ground of paper.
func (p *plot) guideNames(gs []Guide) {
	rows := [3]float64{-1e9, -1e9, -1e9}
	var boxes []draw.Rect
	for _, g := range gs {
		if strings.TrimSpace(g.Name) == "" {
			continue
		}
		paint := draw.Soft
		if g.Limit {
			paint = draw.Warn
		}
		w := draw.TextWidth(g.Name, draw.SizeSmall, false)
		switch {
		case g.Upright && p.x.inside(g.At):
			x := p.at(g.At, p.y.lo).X
			x0 := min(max(x-w/2, draw.Margin), p.s.Width-draw.Margin-w)
			row := -1
			for r := range rows {
				if x0 > rows[r]+2 {
					row = r
					break
				}
			}
			if row < 0 {
				row = 2
			}
			rows[row] = x0 + w
			y := p.box.Y - 1 - guideRow*float64(row)
			if row > 0 {
				p.s.Line(x, p.box.Y, x, y+0.6, draw.Stroke(draw.Faint, draw.WidthThin))
			}
			st := draw.TextStyle{Size: draw.SizeSmall, Paint: paint}
			if row > 0 {
				st.Ground = draw.Paper
			}
			p.s.Text(x0, y, g.Name, st)
		case !g.Upright && p.y.inside(g.At):
			y := p.at(p.x.lo, g.At).Y
			box, least := draw.Rect{}, math.MaxInt
			for k, f := range []float64{1, 0, 0.75, 0.5, 0.25} {
				for j, dy := range []float64{-3.5, 0.9} {
					b := draw.Rect{X: p.box.X + 0.6 + f*(p.box.W-w-1.2), Y: y + dy, W: w, H: 2.7}
					cost := 4*p.crowd(b) + k + 2*j
					for _, o := range boxes {
						if b.Overlaps(draw.Rect{X: o.X - 1, Y: o.Y - 0.3, W: o.W + 2, H: o.H + 0.6}) {
							cost += 1000
						}
					}
					if !b.Inside(draw.Rect{X: 0, Y: p.ceiling, W: p.s.Width, H: p.box.Y + p.box.H - p.ceiling}) {
						cost += 500
					}
					if cost < least {
						box, least = b, cost
					}
				}
			}
			boxes = append(boxes, box)
			p.s.Text(box.X, box.Y+0.4, g.Name, draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Top, Paint: paint, Ground: draw.Paper})
		}
	}
}
