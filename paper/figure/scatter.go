package figure

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// ScatterPoint is one lamp: its output and the luminance of its face, each
// with its interval. Low and High both zero mean that no uncertainty is known.
type ScatterPoint struct {
	Name         string
	X, XLow, XHi float64 // face luminance, cd/m²
	Y, YLow, YHi float64 // output
	Main         bool
	// Missing says why the lamp cannot be placed; it is listed under the
	// picture.
	Missing string
}

// ScatterChart sets output against face luminance, both on logarithmic axes.
type ScatterChart struct {
	Frame
	X, Y   Axis // Log is set here
	Points []ScatterPoint
	// Distance, m, makes Y an illuminance at that distance: the lines of equal
	// area are then those of a square face on the axis. 0 makes Y a luminous
	// flux: Φ = π·L·A.
	Distance float64
	// Areas of the lines, m²; nil: 0.01, 0.03, 0.1, 0.3, 1.
	Areas []float64
}

// areaLine is the output of a square Lambertian face of an area in m² and a
// luminance of 1 cd/m²: far off, E·d² = L·A; near, the exact law of an even
// square, so that lines hold at the distance of a desk. Both are proportional
// to the luminance, so that a line of equal area is straight with slope 1 in
// logarithmic axes.
//
//	E = 4·(1/2)·[2·a/√(a²+d²)·atan(a/√(a²+d²))], a = √A/2
//
// (four corner squares; the corner form of a uniform rectangle, as in every
// handbook of radiative configuration factors).
func (c ScatterChart) areaLine(area float64) float64 {
	if c.Distance <= 0 {
		return math.Pi * area
	}
	a, d := math.Sqrt(area)/2, c.Distance
	r := math.Hypot(a, d)
	return 4 * a / r * math.Atan(a/r)
}

// Scatter draws lamps as named discs with crosses of their intervals, over
// lines of equal luminous area. Names keep clear of each other; a lamp that
// cannot be placed is listed under the picture with the reason.
func Scatter(c ScatterChart) draw.Scene {
	c.X.Log, c.Y.Log = true, true
	var xs, ys extent
	ok := make([]bool, len(c.Points))
	var gone []string
	for i, p := range c.Points {
		switch {
		case p.Missing != "":
			gone = append(gone, p.Name+" ("+p.Missing+")")
		case !c.X.drawable(p.X) || !c.Y.drawable(p.Y):
			gone = append(gone, p.Name+" (no number above zero)")
		default:
			ok[i] = true
			for _, v := range []float64{p.X, p.XLow, p.XHi} {
				if c.X.drawable(v) {
					xs.add(v)
				}
			}
			for _, v := range []float64{p.Y, p.YLow, p.YHi} {
				if c.Y.drawable(v) {
					ys.add(v)
				}
			}
		}
	}
	// A little air, so that discs do not sit on the frame.
	if xs.any {
		xs.lo, xs.hi = xs.lo/1.15, xs.hi*1.35
		ys.lo, ys.hi = ys.lo/1.25, ys.hi*1.25
	}
	if len(gone) > 0 {
		c.Note = strings.TrimSpace(c.Note + " Not placed: " + strings.Join(gone, "; ") + ".")
	}
	if n := len(c.Points) - len(gone); n > mostNames {
		c.Note = strings.TrimSpace(c.Note + fmt.Sprintf(" Of %d lamps those are named that no other beats in both.", n))
	}
	high := 105.0
	if c.Height == 0 {
		w, _ := c.size(0)
		n := len(draw.Wrap(c.Note, w-2*draw.Margin, draw.SizeSmall, false))
		c.Height = high + max(float64(n-2), 0)*draw.SizeSmall*draw.Leading + 0.8*max(float64(len(c.Points)-12), 0)
	}
	p := newPlot(plan{frame: c.Frame, high: high, xAxis: c.X, yAxis: c.Y, xs: xs, ys: ys, looseX: true})
	if !xs.any {
		return p.s
	}
	busy := c.areaLines(p)
	d := p.data()
	named := c.named(ok)
	ps := make([]TradeOffPoint, len(c.Points))
	for i, pt := range c.Points {
		ps[i] = TradeOffPoint{X: pt.X, Y: pt.Y, Name: pt.Name, Pick: named[i], Main: pt.Main}
		if !ok[i] {
			continue
		}
		q := p.at(pt.X, pt.Y)
		if !named[i] {
			g := d.Child("")
			g.Title = pt.Name
			g.Circle(q.X, q.Y, 0.7, draw.Fill(draw.Soft))
			continue
		}
		paint := draw.Ink
		if pt.Main {
			paint = draw.Accent
		}
		cross := func(lo, hi draw.Point) {
			d.Line(lo.X, lo.Y, hi.X, hi.Y, draw.Stroke(paint, draw.WidthLine))
			p.note([]draw.Point{lo, hi})
		}
		if pt.XLow != 0 || pt.XHi != 0 {
			cross(p.at(max(pt.XLow, p.x.lo), pt.Y), p.at(max(pt.XHi, pt.X), pt.Y))
		}
		if pt.YLow != 0 || pt.YHi != 0 {
			cross(p.at(pt.X, max(pt.YLow, p.y.lo)), p.at(pt.X, max(pt.YHi, pt.Y)))
		}
		p.marks = append(p.marks, q)
		busy = append(busy, draw.Rect{X: q.X - 1.5, Y: q.Y - 1.5, W: 3, H: 3})
	}
	p.picks(TradeOffChart{X: c.X, Y: c.Y, Points: ps, whole: true}, ok, busy)
	return p.s
}

// mostNames is how many lamps are named before the names would hide the lamps.
const mostNames = 40

// named tells which lamps get their names: all while they are few, else the
// main ones and those that no other beats in both, more light and a softer
// face.
func (c ScatterChart) named(ok []bool) []bool {
	out := make([]bool, len(c.Points))
	var order []int
	for i := range c.Points {
		if ok[i] {
			order = append(order, i)
		}
	}
	if len(order) <= mostNames {
		for _, i := range order {
			out[i] = true
		}
		return out
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(c.Points[a].X, c.Points[b].X), cmp.Compare(c.Points[b].Y, c.Points[a].Y))
	})
	most := math.Inf(-1)
	left := mostNames
	for _, i := range order {
		if p := c.Points[i]; p.Main || p.Y > most && left > 0 {
			out[i] = true
			left--
			most = max(most, p.Y)
		}
	}
	return out
}

// areaLines draws the lines of equal area that cross the plot, their names at
// the end, and returns the boxes of the names.
func (c ScatterChart) areaLines(p *plot) []draw.Rect {
	areas := c.Areas
	if areas == nil {
		areas = []float64{0.003, 0.01, 0.03, 0.1, 0.3, 1, 3}
	}
	var boxes []draw.Rect
	d := p.data()
	named := false
	for _, a := range areas {
		if !(a > 0) {
			continue
		}
		k := c.areaLine(a)
		// y = k·x within the box.
		lo, hi := max(p.x.lo, p.y.lo/k), min(p.x.hi, p.y.hi/k)
		if !(hi > lo*1.02) {
			continue
		}
		from, to := p.at(lo, k*lo), p.at(hi, k*hi)
		d.Line(from.X, from.Y, to.X, to.Y, draw.Stroke(draw.Soft, draw.WidthHair).Dashed(draw.Dashed))
		name := areaWords(a)
		if !named {
			name = "face of " + name
		}
		w := draw.TextWidth(name, draw.SizeSmall, false)
		// At the upper end, inside the plot, else half way down.
		best, found := draw.Rect{}, false
		for _, f := range []float64{0.02, 0.06, 0.94, 0.9, 0.5, 0.3, 0.7} {
			x, y := to.X+f*(from.X-to.X), to.Y+f*(from.Y-to.Y)
			b := draw.Rect{X: x - w - 1, Y: y - 1.4, W: w, H: 2.8}
			if f > 0.85 {
				b.X = x + 1
			}
			if !b.Inside(p.box) {
				continue
			}
			clear := p.crowd(b) == 0
			for _, o := range boxes {
				clear = clear && !b.Overlaps(o)
			}
			if clear {
				best, found = b, true
				break
			}
		}
		if !found {
			continue
		}
		named = true
		boxes = append(boxes, best)
		p.s.Text(best.X, best.Y+best.H/2, name, draw.TextStyle{Size: draw.SizeSmall, Rise: draw.Middle, Paint: draw.Soft, Ground: draw.Paper})
	}
	return boxes
}

// areaWords writes an area with the unit that reads best.
func areaWords(a float64) string {
	if a < 0.01 {
		return fmt.Sprintf("%s cm²", quantity.Digits(a*1e4, 2))
	}
	return fmt.Sprintf("%s m²", strings.TrimRight(quantity.Digits(a, 2), ""))
}
