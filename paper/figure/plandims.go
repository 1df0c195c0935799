package figure

import (
	"fmt"
	"math"

	"dawnsmith/paper/draw"
)

// dimensions writes the outer size, the rows' places and the margins of the
// rows.
func (d *planDrawing) dimensions(c Plan, rim float64) {
	g := d.g.Child("dimensions")
	g.Layer = "DIMENSIONS"
	st := draw.DimStyle{Size: draw.SizeSmall}
	edge := rim * d.k
	g.Dim(d.at(0, c.Breadth), d.at(c.Length, c.Breadth), -(edge + 5.5), mm(c.Length), st)
	g.Dim(d.at(0, c.Breadth), d.at(0, 0), edge+8, mm(c.Breadth), st)
	if len(c.Rows) == 0 {
		return
	}
	for _, r := range c.Rows {
		p := d.at(0, r.Y)
		g.Text(p.X-edge-1.6, p.Y, r.Name, draw.TextStyle{Size: draw.SizeLabel, Align: draw.Right, Rise: draw.Middle})
	}
	r := c.Rows[0]
	a, b := d.at(0, 0).Y, d.at(0, r.Y-r.Width/2).Y
	// Margins and strip length above the first row.
	for _, part := range []struct{ from, to float64 }{{0, r.X}, {r.X, r.X + r.length()}, {r.X + r.length(), c.Length}} {
		if part.to-part.from > 0.5 {
			g.Dim(d.at(part.from, 0), d.at(part.to, 0), edge+4, mm(part.to-part.from), draw.DimStyle{Size: draw.SizeSmall, Outward: part.from == 0})
		}
	}
	for _, x := range []float64{r.X, r.X + r.length()} {
		p := d.at(x, 0)
		g.Line(p.X, a, p.X, b, draw.Stroke(draw.Soft, draw.WidthHair))
	}
	d.rowChain(g, c, edge)
}

// rowChain dimensions the rows' centre lines at the right: wall to first row,
// equal pitches in one go, and last row to wall.
func (d *planDrawing) rowChain(g *draw.Group, c Plan, edge float64) {
	ys := []float64{0}
	for _, r := range c.Rows {
		ys = append(ys, r.Y)
	}
	ys = append(ys, c.Breadth)
	st := draw.DimStyle{Size: draw.SizeSmall}
	right := c.Length
	n := len(c.Rows)
	equal := n > 2
	for i := 2; i <= n; i++ {
		equal = equal && math.Abs((ys[i]-ys[i-1])-(ys[2]-ys[1])) < 0.05
	}
	for i, r := range c.Rows {
		if equal && i > 0 && i < n-1 {
			continue
		}
		p, q := d.at(r.X+r.length(), r.Y), d.at(right, r.Y)
		g.Line(p.X+0.8, p.Y, q.X+edge+3, q.Y, draw.Stroke(draw.Soft, draw.WidthHair).Dashed(draw.Chain))
	}
	dim := func(a, b float64, words string) {
		if b-a > 0.05 {
			g.Dim(d.at(right, b), d.at(right, a), -(edge + 4.5), words, draw.DimStyle{Size: st.Size, NoExtension: a != 0 && b != c.Breadth, Beside: true})
		}
	}
	if equal {
		dim(ys[0], ys[1], mm(ys[1]-ys[0]))
		pitch := ys[2] - ys[1]
		dim(ys[1], ys[n], fmt.Sprintf("%d × %s = %s", n-1, mm(pitch), mm(ys[n]-ys[1])))
		dim(ys[n], ys[n+1], mm(ys[n+1]-ys[n]))
		return
	}
	for i := 1; i < len(ys); i++ {
		dim(ys[i-1], ys[i], mm(ys[i]-ys[i-1]))
	}
}
