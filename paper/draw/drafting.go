package draw

import (
	"math"
	"slices"
)

// DimStyle is how a dimension is drawn.
type DimStyle struct {
	Size   float64 // type size, mm; 0 means SizeLabel
	Arrows bool    // arrow heads instead of oblique ticks
	Paint  Paint   // None means Soft for lines, Ink for the number
	// Outward puts words that do not fit before the first point instead of
	// after the second.
	Outward bool
	// Beside puts words that do not fit level beside the line instead.
	Beside bool
	// NoExtension leaves out the lines from the measured points.
	NoExtension bool
}

// Dim draws a linear dimension between two points: extension lines, a
// dimension line at `offset` mm from them and the given words on it. A
// positive offset lies to the left of the way from one point to the other
// (above, for a way to the right). The words stand along the line, readable
// from below or from the right, and move past the end when the line is too
// short for them. It returns false and draws nothing when the points coincide.
func (g *Group) Dim(from, to Point, offset float64, words string, s DimStyle) bool {
	length := math.Hypot(to.X-from.X, to.Y-from.Y)
	if !(length > 1e-9) {
		return false
	}
	if s.Size == 0 {
		s.Size = SizeLabel
	}
	line, ink := Soft, Ink
	if s.Paint != None {
		line, ink = s.Paint, s.Paint
	}
	st := Stroke(line, WidthThin)
	ux, uy := (to.X-from.X)/length, (to.Y-from.Y)/length
	nx, ny := uy, -ux // left of the way, y down
	a := Point{from.X + nx*offset, from.Y + ny*offset}
	b := Point{to.X + nx*offset, to.Y + ny*offset}
	if !s.NoExtension && math.Abs(offset) > 1.5 {
		sg := math.Copysign(1, offset)
		for _, p := range []Point{from, to} {
			g.Line(p.X+nx*sg, p.Y+ny*sg, p.X+nx*(offset+sg*1.2), p.Y+ny*(offset+sg*1.2), Stroke(line, WidthHair))
		}
	}
	w := TextWidth(words, s.Size, false)
	fits := length >= w+3
	narrow := length < 5
	if narrow && s.Arrows {
		// Arrows from outside, pointing at each other.
		g.Line(a.X-4*ux, a.Y-4*uy, b.X+4*ux, b.Y+4*uy, st)
		g.head(a, Point{ux, uy}, line)
		g.head(b, Point{-ux, -uy}, line)
	} else {
		g.Line(a.X, a.Y, b.X, b.Y, st)
		if s.Arrows {
			g.head(a, Point{-ux, -uy}, line)
			g.head(b, Point{ux, uy}, line)
		} else {
			for _, p := range []Point{a, b} {
				tx, ty := (ux+nx)*0.9, (uy+ny)*0.9
				g.Line(p.X-tx, p.Y-ty, p.X+tx, p.Y+ty, Stroke(line, WidthLine))
			}
		}
	}
	angle := -math.Atan2(uy, ux) * 180 / math.Pi
	flipped := angle > 90+1e-6 || angle <= -90+1e-6
	if flipped {
		angle += 180
	}
	if angle > 180 {
		angle -= 360
	}
	// Up, as the words see it.
	sn, cs := math.Sincos(angle * math.Pi / 180)
	up := Point{-sn, -cs}
	t := TextStyle{Size: s.Size, Align: Centre, Angle: angle, Paint: ink}
	if fits {
		g.Text((a.X+b.X)/2+up.X*1.1, (a.Y+b.Y)/2+up.Y*1.1, words, t)
		return true
	}
	if s.Beside {
		sg := math.Copysign(1, offset)
		m := Point{(a.X+b.X)/2 + nx*sg*(1.2+math.Abs(nx)*w/2), (a.Y+b.Y)/2 + ny*sg*(1.2+math.Abs(ny)*s.Size*capHeight/2)}
		g.Text(m.X, m.Y, words, TextStyle{Size: s.Size, Align: Centre, Rise: Middle, Paint: ink})
		return true
	}
	// Beyond the end, on a stub of the line.
	reach := 2.0
	if narrow && s.Arrows {
		reach = 5
	}
	if s.Outward {
		b, ux, uy = a, -ux, -uy
	}
	g.Line(b.X, b.Y, b.X+ux*reach, b.Y+uy*reach, st)
	c := Point{b.X + ux*(reach+0.8+w/2), b.Y + uy*(reach+0.8+w/2)}
	t.Rise = Middle
	g.Text(c.X, c.Y, words, t)
	return true
}

// head draws a filled arrow head with its tip at p, pointing along u.
func (g *Group) head(p, u Point, paint Paint) {
	const length, half = 2.2, 0.45
	g.Polygon([]Point{p,
		{p.X - u.X*length - u.Y*half, p.Y - u.Y*length + u.X*half},
		{p.X - u.X*length + u.Y*half, p.Y - u.Y*length - u.X*half}}, Fill(paint))
}

// Arrow draws a line with a head at its second end.
func (g *Group) Arrow(x1, y1, x2, y2 float64, s Style) {
	n := math.Hypot(x2-x1, y2-y1)
	if !(n > 1e-9) {
		return
	}
	u := Point{(x2 - x1) / n, (y2 - y1) / n}
	back := min(1.8, n/2)
	g.Line(x1, y1, x2-u.X*back, y2-u.Y*back, s)
	g.head(Point{x2, y2}, u, s.Stroke)
}

// AngleDim draws an arc about c from one direction over a sweep (degrees,
// counter-clockwise as seen) with a head at its end and words beyond it.
func (g *Group) AngleDim(c Point, r, from, sweep float64, words string, s DimStyle) {
	if s.Size == 0 {
		s.Size = SizeLabel
	}
	line, ink := Soft, Ink
	if s.Paint != None {
		line, ink = s.Paint, s.Paint
	}
	g.Arc(c.X, c.Y, r, from, sweep, Stroke(line, WidthThin))
	if math.Abs(sweep)*math.Pi/180*r > 4 {
		sn, cs := math.Sincos((from + sweep) * math.Pi / 180)
		k := math.Copysign(1, sweep)
		// The head follows the arc, so it leans in by half its own angle.
		lean := k * 1.1 / r
		s2, c2 := math.Sincos((from+sweep)*math.Pi/180 - lean)
		g.head(Point{c.X + r*cs, c.Y - r*sn}, Point{-s2 * k, -c2 * k}, line)
	}
	sn, cs := math.Sincos((from + sweep/2) * math.Pi / 180)
	w := TextWidth(words, s.Size, false)
	// Beyond the arc by half the words' extent in that direction.
	d := r + 1.4 + math.Abs(cs)*w/2 + math.Abs(sn)*s.Size*capHeight/2
	g.Text(c.X+d*cs, c.Y-d*sn, words, TextStyle{Size: s.Size, Align: Centre, Rise: Middle, Paint: ink})
}

// Hatch fills a polygon (convex or not, even-odd) with parallel lines at an
// angle in degrees, spacing mm apart. Lines lie on one lattice of the paper, so
// neighbouring areas hatch alike. Spacing below 0.2 mm is taken as 0.2.
func (g *Group) Hatch(poly []Point, angle, spacing float64, s Style) {
	if len(poly) < 3 {
		return
	}
	spacing = max(spacing, 0.2)
	sn, cs := math.Sincos(angle * math.Pi / 180)
	dir, nor := Point{cs, -sn}, Point{sn, cs}
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range poly {
		d := p.X*nor.X + p.Y*nor.Y
		lo, hi = min(lo, d), max(hi, d)
	}
	if !(hi-lo < 1e5) {
		return
	}
	for n := math.Ceil(lo/spacing - 1e-9); n*spacing <= hi; n++ {
		d := n * spacing
		var cuts []float64
		for i, p := range poly {
			q := poly[(i+1)%len(poly)]
			dp, dq := p.X*nor.X+p.Y*nor.Y-d, q.X*nor.X+q.Y*nor.Y-d
			if (dp < 0) == (dq < 0) {
				continue
			}
			t := dp / (dp - dq)
			x, y := p.X+t*(q.X-p.X), p.Y+t*(q.Y-p.Y)
			cuts = append(cuts, x*dir.X+y*dir.Y)
		}
		slices.Sort(cuts)
		for i := 0; i+1 < len(cuts); i += 2 {
			a, b := cuts[i], cuts[i+1]
			if b-a > 0.05 {
				g.Line(dir.X*a+nor.X*d, dir.Y*a+nor.Y*d, dir.X*b+nor.X*d, dir.Y*b+nor.Y*d, s)
			}
		}
	}
}
