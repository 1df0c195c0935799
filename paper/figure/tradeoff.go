package figure

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnsmith/metric"
	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// TradeOffPoint is one candidate.
type TradeOffPoint struct {
	X, Y float64
	// Name is written beside the point when Pick is set.
	Name string
	Pick bool
	// Main is the pick drawn in the accent.
	Main bool
}

// TradeOffChart scatters candidates over two measures.
type TradeOffChart struct {
	Frame
	X, Y             Axis
	BetterX, BetterY metric.Better
	Points           []TradeOffPoint
	Guides           []Guide
	whole            bool // names are never cut
}

// Front gives the indices of the points no other point beats in one measure
// without losing in the other, in the order of x. Points without numbers are
// never on it. With a direction that does not rank, there is no front.
func Front(points []TradeOffPoint, betterX, betterY metric.Better) []int {
	if betterX == metric.Neither || betterY == metric.Neither {
		return nil
	}
	cost := func(v float64, b metric.Better) float64 {
		if b == metric.Up {
			return -v
		}
		return v
	}
	var order []int
	for i, p := range points {
		if !math.IsNaN(p.X) && !math.IsNaN(p.Y) {
			order = append(order, i)
		}
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(cost(points[a].X, betterX), cost(points[b].X, betterX)),
			cmp.Compare(cost(points[a].Y, betterY), cost(points[b].Y, betterY)))
	})
	var out []int
	best := math.Inf(1)
	for _, i := range order {
		c := cost(points[i].Y, betterY)
		// Equal twins both stay.
		twin := len(out) > 0 && points[out[len(out)-1]].X == points[i].X && points[out[len(out)-1]].Y == points[i].Y
		if c < best || twin {
			out = append(out, i)
			best = c
		}
	}
	slices.SortStableFunc(out, func(a, b int) int { return cmp.Compare(points[a].X, points[b].X) })
	return out
}

// TradeOff draws candidates as quiet dots, the front that none of them beats
// as a stepped line, and the picks with their names.
func TradeOff(c TradeOffChart) draw.Scene {
	var xs, ys extent
	left := 0
	ok := make([]bool, len(c.Points))
	for i, p := range c.Points {
		if ok[i] = c.X.drawable(p.X) && c.Y.drawable(p.Y); ok[i] {
			xs.add(p.X)
			ys.add(p.Y)
		} else {
			left++
		}
	}
	if xs.any {
		for _, g := range c.Guides {
			if g.Upright && c.X.drawable(g.At) {
				xs.add(g.At)
			} else if !g.Upright && c.Y.drawable(g.At) {
				ys.add(g.At)
			}
		}
	}
	xAxis, yAxis := c.X, c.Y
	xAxis.Name, yAxis.Name = withBetter(c.X.Name, c.BetterX), withBetter(c.Y.Name, c.BetterY)
	p := newPlot(plan{frame: c.Frame, high: 105, xAxis: xAxis, yAxis: yAxis, xs: xs, ys: ys, left: left, looseX: true, over: guideRoom(c.Guides)})
	p.guideLines(c.Guides)
	d := p.data()
	front := Front(c.Points, c.BetterX, c.BetterY)
	onFront := map[int]bool{}
	var line []draw.Point
	for _, i := range front {
		if !ok[i] {
			continue
		}
		onFront[i] = true
		q := p.at(c.Points[i].X, c.Points[i].Y)
		if n := len(line); n > 0 {
			// Along the side that is worse: whatever lies beyond is beaten.
			if c.BetterX == metric.Down {
				line = append(line, draw.Point{X: q.X, Y: line[n-1].Y})
			} else {
				line = append(line, draw.Point{X: line[n-1].X, Y: q.Y})
			}
		}
		line = append(line, q)
	}
	p.note(line)
	d.Polyline(line, draw.Stroke(draw.Soft, draw.WidthThin))
	var busy []draw.Rect
	for i, pt := range c.Points {
		if !ok[i] || !p.x.inside(pt.X) || !p.y.inside(pt.Y) {
			continue
		}
		q := p.at(pt.X, pt.Y)
		r := 0.6
		switch {
		case pt.Pick:
			r = 1.5
		case onFront[i]:
			r = 0.9
			d.Circle(q.X, q.Y, r, draw.Stroke(draw.Ink, 0.25).Filled(draw.Paper))
		default:
			d.Circle(q.X, q.Y, r, draw.Fill(draw.Soft))
		}
		p.marks = append(p.marks, q)
		busy = append(busy, draw.Rect{X: q.X - r, Y: q.Y - r, W: 2 * r, H: 2 * r})
	}
	p.guideNames(c.Guides)
	p.picks(c, ok, busy)
	return p.s
}

func withBetter(name string, b metric.Better) string {
	switch b {
	case metric.Up:
		return name + " (more is better)"
	case metric.Down:
		return name + " (less is better)"
	}
	return name
}

// picks draws the named points on top, their names where they hide least:
// near the point if there is room, else further out with a thin leader.
func (p *plot) picks(c TradeOffChart, ok []bool, busy []draw.Rect) {
	inside := draw.Rect{X: p.box.X + 0.5, Y: p.box.Y - 3, W: p.box.W + draw.Margin - 1.5, H: p.box.H + 2.5}
	var labels, leaders []draw.Rect
	// The main pick chooses its place first.
	var order []int
	for i, pt := range c.Points {
		if pt.Pick && pt.Main {
			order = append(order, i)
		}
	}
	for i, pt := range c.Points {
		if pt.Pick && !pt.Main {
			order = append(order, i)
		}
	}
	for _, i := range order {
		pt := c.Points[i]
		if !ok[i] || !p.x.inside(pt.X) || !p.y.inside(pt.Y) {
			continue
		}
		q := p.at(pt.X, pt.Y)
		name := pt.Name
		if !c.whole {
			name = draw.Shorten(name, p.box.W*0.5, draw.SizeLabel, pt.Main)
		}
		w := draw.TextWidth(name, draw.SizeLabel, pt.Main)
		const h = 3.4
		best, bestCost := draw.Rect{}, math.Inf(1)
		far := false
		for ring, r := range []float64{2.2, 5, 9, 14, 20} {
			for _, deg := range []float64{0, 180, 45, -45, 135, -135, 90, -90} {
				sn, cs := math.Sincos(deg * math.Pi / 180)
				cx, cy := q.X+cs*(r+w/2), q.Y-sn*(r+h/2)
				if math.Abs(cs) < 0.9 && math.Abs(cs) > 0.1 {
					cx = q.X + cs*r*1.2 + math.Copysign(w/2, cs)
				}
				b := draw.Rect{X: cx - w/2, Y: cy - h/2, W: w, H: h}
				b.X = max(min(b.X, inside.X+inside.W-w), inside.X)
				cost := 3*float64(ring) + 0.6*float64(p.crowd(b))
				if ring > 0 && leaderHits(q, b, labels) {
					cost += 200
				}
				for _, l := range labels {
					if b.Overlaps(l) {
						cost += 1000
					}
				}
				for _, l := range leaders {
					if b.Overlaps(l) {
						cost += 100
					}
				}
				for _, o := range busy {
					if b.Overlaps(o) {
						cost += 7
						if o.W > 2 {
							cost += 20 // another pick
						}
					}
				}
				if !b.Inside(inside) {
					cost += 500
				}
				if cost < bestCost {
					best, bestCost, far = b, cost, ring > 0
				}
			}
		}
		labels = append(labels, best)
		if far {
			nx, ny := nearest(q, best)
			for k := range 20 {
				f := float64(k) / 19
				leaders = append(leaders, draw.Rect{X: q.X + f*(nx-q.X) - 0.3, Y: q.Y + f*(ny-q.Y) - 0.3, W: 0.6, H: 0.6})
			}
			p.s.Line(q.X, q.Y, nx, ny, draw.Stroke(draw.Soft, draw.WidthHair))
		}
		g := p.s.Child("")
		g.Title = fmt.Sprintf("%s: %s %s, %s %s", pt.Name, quantity.Digits(pt.X, 3), c.X.Unit, quantity.Digits(pt.Y, 3), c.Y.Unit)
		paint := draw.Ink
		if pt.Main {
			paint = draw.Accent
		}
		g.Circle(q.X, q.Y, 1.5, draw.Stroke(draw.Paper, 0.4).Filled(paint))
		g.Text(best.X, best.Y+best.H/2, name, draw.TextStyle{Rise: draw.Middle, Bold: pt.Main, Ground: draw.Paper})
	}
}

// leaderHits reports whether a straight way from q to a label's box runs
// through another label.
func leaderHits(q draw.Point, b draw.Rect, labels []draw.Rect) bool {
	nx, ny := nearest(q, b)
	for k := 1; k < 20; k++ {
		f := float64(k) / 20
		at := draw.Rect{X: q.X + f*(nx-q.X), Y: q.Y + f*(ny-q.Y), W: 0.01, H: 0.01}
		for _, l := range labels {
			if at.Overlaps(l) {
				return true
			}
		}
	}
	return false
}

// nearest is the place of a box nearest to q.
func nearest(q draw.Point, b draw.Rect) (x, y float64) {
	return min(max(q.X, b.X), b.X+b.W), min(max(q.Y, b.Y), b.Y+b.H)
}
