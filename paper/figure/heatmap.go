package figure

import (
	"math"

	"dawnsmith/paper/draw"
	"dawnsmith/quantity"
)

// MapChart shows a quantity over a face as lightness.
type MapChart struct {
	Frame
	// Values holds rows of cells from the upper left; rows of one length. NaN
	// cells stay blank.
	Values [][]float64
	// FaceWidth and FaceHeight are the true size of the face in mm.
	FaceWidth, FaceHeight float64
	Z                     Axis // what is shown; From and To fix the scale
	// Lines draws lines of equal value at the scale's numbers.
	Lines bool
}

// ramp goes from dark to light without turning back, so that it reads in
// black and white and with any colour vision: CIELAB lightness 12 to 97, hue
// from 40° to 90°.
func ramp(t float64) (r, g, b uint8) {
	t = min(max(t, 0), 1)
	return labColour(12+85*t, 18+48*math.Sin(math.Pi*math.Min(t*1.05, 1)), 38+54*t)
}

// Map draws a map of values over a face, true to its proportions, with a scale
// and lines of equal value.
func Map(c MapChart) draw.Scene {
	w, h := c.size(100)
	s := newScene(w, h, c.Title, c.Desc)
	var e extent
	left, nx, ny := 0, 0, len(c.Values)
	for _, row := range c.Values {
		if nx != 0 && len(row) != nx {
			panic("figure: the rows of a map differ in length")
		}
		nx = len(row)
		for _, v := range row {
			switch {
			case c.Z.drawable(v):
				e.add(v)
			case !math.IsNaN(v):
				left++
			}
		}
	}
	p := &plot{s: s, frame: c.Frame, left: left, logged: c.Z.Log}
	top := p.head(nil)
	notes := p.notes()
	foot := h - draw.Margin - float64(len(notes))*draw.SizeSmall*draw.Leading
	if len(notes) > 0 {
		foot -= 1.5
	}
	dims := draw.SizeLabel*1.5 + 3.5 // under and left of the face
	fw, fh := c.FaceWidth, c.FaceHeight
	if !(fw > 0 && fh > 0 && !math.IsInf(fw, 0) && !math.IsInf(fh, 0)) {
		fw, fh = 1, 1
	}
	if p.s.Desc == "" && e.any {
		p.s.Desc = "Map of " + c.Z.Name + " from " + quantity.Digits(e.lo, 3) + " to " + quantity.Digits(e.hi, 3) + " " + c.Z.Unit + "."
	}
	for i, l := range notes {
		p.s.Text(draw.Margin, h-draw.Margin-float64(len(notes)-1-i)*draw.SizeSmall*draw.Leading, l,
			draw.TextStyle{Size: draw.SizeSmall, Paint: draw.Soft})
	}
	barHigh := foot - top - draw.SizeLabel*1.8 - 2
	z := newScale(c.Z, e, barHigh, true, true)
	labels := 0.0
	for _, t := range z.ticks {
		labels = max(labels, draw.TextWidth(t.label, draw.SizeLabel, false))
	}
	const barWide = 4.0
	barRoom := barWide + 1.8 + labels + 6
	availW, availH := w-2*draw.Margin-barRoom-dims, foot-top-dims
	k := min(availW/fw, availH/fh)
	x0 := draw.Margin + dims + max(0, (availW-fw*k)/2)
	y0 := top + max(0, (availH-fh*k)/2)
	mw, mh := fw*k, fh*k
	if !e.any {
		p.s.Rect(x0, y0, mw, mh, draw.Stroke(draw.Soft, draw.WidthThin))
		p.s.Text(x0+mw/2, y0+mh/2, "nothing to show yet", draw.TextStyle{Size: draw.SizeBody, Align: draw.Centre, Rise: draw.Middle, Paint: draw.Soft})
		return p.s
	}
	p.s.Rect(x0, y0, mw, mh, draw.Fill(draw.Panel))
	p.cells(c, z, x0, y0, mw, mh, nx, ny)
	if c.Lines {
		for _, t := range z.ticks {
			for _, seg := range contour(c.Values, t.at) {
				at := func(q draw.Point) draw.Point {
					return draw.Point{X: x0 + (q.X+0.5)/float64(nx)*mw, Y: y0 + (q.Y+0.5)/float64(ny)*mh}
				}
				a, b := at(seg[0]), at(seg[1])
				r, g, bl := ramp(z.frac(t.at))
				paint := draw.RGB(0, 0, 0)
				if int(r)*2+int(g)*5+int(bl) < 8*110 {
					paint = draw.RGB(255, 255, 255)
				}
				p.s.Line(a.X, a.Y, b.X, b.Y, draw.Stroke(paint, draw.WidthHair))
			}
		}
	}
	p.s.Rect(x0, y0, mw, mh, draw.Stroke(draw.Ink, draw.WidthThin))
	if c.FaceWidth > 0 && c.FaceHeight > 0 {
		p.s.Dim(draw.Point{X: x0, Y: y0 + mh}, draw.Point{X: x0 + mw, Y: y0 + mh}, -(dims - draw.SizeLabel*1.5 + 3), quantity.Digits(c.FaceWidth, 3)+" mm", draw.DimStyle{})
		p.s.Dim(draw.Point{X: x0, Y: y0 + mh}, draw.Point{X: x0, Y: y0}, 3.2, quantity.Digits(c.FaceHeight, 3)+" mm", draw.DimStyle{})
	}
	p.bar(z, c.Z, w-draw.Margin-barRoom+6, top+draw.SizeLabel*1.8, barWide, barHigh)
	return p.s
}

func (p *plot) cells(c MapChart, z scale, x0, y0, mw, mh float64, nx, ny int) {
	grid := draw.Grid{Columns: nx, Rows: ny, RGB: make([]byte, 0, 3*nx*ny)}
	type gap struct{ x, y int }
	var gaps []gap
	for j, row := range c.Values {
		for i, v := range row {
			if !c.Z.drawable(v) {
				gaps = append(gaps, gap{i, j})
				grid.RGB = append(grid.RGB, 255, 255, 255)
				continue
			}
			r, g, b := ramp(z.frac(v))
			grid.RGB = append(grid.RGB, r, g, b)
		}
	}
	p.s.Image(x0, y0, mw, mh, grid)
	cw, ch := mw/float64(nx), mh/float64(ny)
	for _, g := range gaps {
		p.s.Rect(x0+float64(g.x)*cw, y0+float64(g.y)*ch, cw, ch, draw.Fill(draw.Panel))
	}
}

// bar draws the scale: a strip of the ramp with numbers.
func (p *plot) bar(z scale, a Axis, x, y, w, h float64) {
	const n = 120
	g := draw.Grid{Columns: 1, Rows: n}
	for i := range n {
		r, gr, b := ramp(1 - (float64(i)+0.5)/n)
		g.RGB = append(g.RGB, r, gr, b)
	}
	p.s.Image(x, y, w, h, g)
	p.s.Rect(x, y, w, h, draw.Stroke(draw.Soft, draw.WidthHair))
	for _, t := range z.ticks {
		ty := y + h - z.frac(t.at)*h
		p.s.Line(x+w, ty, x+w+1, ty, draw.Stroke(draw.Soft, draw.WidthThin))
		p.s.Text(x+w+1.8, ty, t.label, draw.TextStyle{Rise: draw.Middle, Paint: draw.Soft})
	}
	p.s.Text(p.s.Width-draw.Margin, y-draw.SizeLabel*1.1, draw.Shorten(a.caption(z.power), p.s.Width/2, draw.SizeLabel, false),
		draw.TextStyle{Align: draw.Right, Paint: draw.Soft})
}

// contour gives the line of equal value as short pieces between cell centres,
// in cells (marching squares; a saddle is split by its mean).
func contour(v [][]float64, level float64) [][2]draw.Point {
	var out [][2]draw.Point
	for j := 0; j+1 < len(v); j++ {
		for i := 0; i+1 < len(v[j]); i++ {
			q := [4]float64{v[j][i] - level, v[j][i+1] - level, v[j+1][i+1] - level, v[j+1][i] - level}
			at := [4]draw.Point{{X: float64(i), Y: float64(j)}, {X: float64(i + 1), Y: float64(j)},
				{X: float64(i + 1), Y: float64(j + 1)}, {X: float64(i), Y: float64(j + 1)}}
			bad := false
			var cuts []draw.Point
			for k := range 4 {
				a, b := q[k], q[(k+1)%4]
				bad = bad || math.IsNaN(a) || math.IsInf(a, 0)
				if (a < 0) != (b < 0) {
					t := a / (a - b)
					p0, p1 := at[k], at[(k+1)%4]
					cuts = append(cuts, draw.Point{X: p0.X + t*(p1.X-p0.X), Y: p0.Y + t*(p1.Y-p0.Y)})
				}
			}
			switch {
			case bad:
			case len(cuts) == 2:
				out = append(out, [2]draw.Point{cuts[0], cuts[1]})
			case len(cuts) == 4:
				mean := q[0] + q[1] + q[2] + q[3]
				if (mean < 0) == (q[0] < 0) {
					out = append(out, [2]draw.Point{cuts[0], cuts[1]}, [2]draw.Point{cuts[2], cuts[3]})
				} else {
					out = append(out, [2]draw.Point{cuts[3], cuts[0]}, [2]draw.Point{cuts[1], cuts[2]})
				}
			}
		}
	}
	return out
}
