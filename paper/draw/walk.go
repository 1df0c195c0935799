package draw

import (
	"math"
)

// backend is what a writer must offer. Coordinates reach it in mm of the
// outermost scene, scales already applied.
type backend interface {
	begin(g *Group, clip []Point)
	end(g *Group)
	shape(s shape)
	text(t text)
	picture(p picture)
}

// frame carries a group's coordinates to those of the outermost scene.
type frame struct{ x, y, k float64 }

func (f frame) point(p Point) Point { return Point{f.x + f.k*p.X, f.y + f.k*p.Y} }

func (f frame) points(ps []Point) []Point {
	if ps == nil {
		return nil
	}
	out := make([]Point, len(ps))
	for i, p := range ps {
		out[i] = f.point(p)
	}
	return out
}

func (f frame) into(g *Group) frame {
	k := g.scale
	if k == 0 {
		k = 1
	}
	o := f.point(g.at)
	return frame{o.X, o.Y, f.k * k}
}

// walk sends every item of a scene to b, in order.
func walk(s *Scene, b backend) {
	f := frame{k: 1}.into(&s.Group)
	for _, it := range s.items {
		it.emit(b, f)
	}
}

func (g *Group) emit(b backend, f frame) {
	in := f.into(g)
	clip := in.points(g.clip)
	if !placeable(clip...) {
		return
	}
	b.begin(g, clip)
	for _, it := range g.items {
		it.emit(b, in)
	}
	b.end(g)
}

func (s shape) emit(b backend, f frame) {
	s.pts = f.points(s.pts)
	s.r *= f.k
	s.style.Width *= f.k
	if s.finite() {
		b.shape(s)
	}
}

// finite reports whether every coordinate can be written; a shape that has
// one beyond writing is left out rather than spoiling the file.
func (s shape) finite() bool {
	return placeable(s.pts...) && math.Abs(s.r) < 1e7 && math.Abs(s.a0) < 1e7 && math.Abs(s.sweep) <= 360 && s.style.Width < 1e7
}

// placeable reports whether points can be written: numbers, within 10 km.
func placeable(ps ...Point) bool {
	for _, p := range ps {
		if !(math.Abs(p.X) < 1e7 && math.Abs(p.Y) < 1e7) {
			return false
		}
	}
	return true
}

func (t text) emit(b backend, f frame) {
	t.at = f.point(t.at)
	t.style.Size *= f.k
	if !placeable(t.at, Point{t.style.Size, t.style.Angle}) {
		return
	}
	if t.style.Ground != None {
		box := t.corners(0.25 * t.style.Size)
		b.shape(shape{pts: box, closed: true, style: Fill(t.style.Ground)})
	}
	b.text(t)
}

func (p picture) emit(b backend, f frame) {
	o := f.point(Point{p.box.X, p.box.Y})
	p.box = Rect{o.X, o.Y, p.box.W * f.k, p.box.H * f.k}
	if placeable(o, Point{p.box.W, p.box.H}) {
		b.picture(p)
	}
}

// origin gives the start of the baseline, the anchor and rise resolved, as if
// the text were not turned; the turn is about t.at.
func (t text) origin() Point {
	w := TextWidth(t.s, t.style.Size, t.style.Bold)
	p := t.at
	switch t.style.Align {
	case Centre:
		p.X -= w / 2
	case Right:
		p.X -= w
	}
	p.Y += t.drop()
	return p
}

// drop is how far the baseline lies below the anchor.
func (t text) drop() float64 {
	switch t.style.Rise {
	case Middle:
		return capHeight * t.style.Size / 2
	case Top:
		return capHeight * t.style.Size
	}
	return 0
}

// corners gives the four corners of the text's box grown by pad.
func (t text) corners(pad float64) []Point {
	o := t.origin()
	w := TextWidth(t.s, t.style.Size, t.style.Bold)
	up, down := capHeight*t.style.Size, 0.21*t.style.Size
	ps := []Point{{o.X - pad, o.Y - up - pad}, {o.X + w + pad, o.Y - up - pad},
		{o.X + w + pad, o.Y + down + pad/2}, {o.X - pad, o.Y + down + pad/2}}
	if t.style.Angle != 0 {
		for i := range ps {
			ps[i] = turn(ps[i], t.at, t.style.Angle)
		}
	}
	return ps
}

// turn rotates p about c by deg degrees, counter-clockwise as seen.
func turn(p, c Point, deg float64) Point {
	s, k := math.Sincos(deg * math.Pi / 180)
	dx, dy := p.X-c.X, p.Y-c.Y
	return Point{c.X + dx*k + dy*s, c.Y - dx*s + dy*k}
}

// Label is one piece of text in a scene and the upright box around it, from
// the top of its capitals to the foot of its descenders.
type Label struct {
	Text string
	Box  Rect
	Size float64 // mm
}

// Labels lists every text of the scene in drawing order, for checks of what
// is said and whether anything overlaps.
func (s Scene) Labels() []Label {
	var c labelCollector
	walk(&s, &c)
	return c.out
}

type labelCollector struct{ out []Label }

func (*labelCollector) begin(*Group, []Point) {}
func (*labelCollector) end(*Group)            {}
func (*labelCollector) shape(shape)           {}
func (*labelCollector) picture(picture)       {}
func (c *labelCollector) text(t text) {
	c.out = append(c.out, Label{t.s, bounds(t.corners(0)), t.style.Size})
}

// bounds is the upright box around points.
func bounds(ps []Point) Rect {
	lo, hi := Point{math.Inf(1), math.Inf(1)}, Point{math.Inf(-1), math.Inf(-1)}
	for _, p := range ps {
		lo.X, lo.Y = min(lo.X, p.X), min(lo.Y, p.Y)
		hi.X, hi.Y = max(hi.X, p.X), max(hi.Y, p.Y)
	}
	return Rect{lo.X, lo.Y, hi.X - lo.X, hi.Y - lo.Y}
}

// cubics gives the shape as a start and cubic pieces, for writers without
// circles. Straight pieces become cubics too.
func (s shape) outline() (pts []Point, cubic, closed bool) {
	switch s.kind {
	case kindRect:
		a, b := s.pts[0], s.pts[1]
		if s.r <= 0 {
			return []Point{a, {b.X, a.Y}, b, {a.X, b.Y}}, false, true
		}
		r, k := s.r, s.r*0.5522847498307936
		x0, y0, x1, y1 := a.X, a.Y, b.X, b.Y
		line := func(p, q Point) []Point { return []Point{p, q, q} }
		pts = []Point{{x0 + r, y0}}
		pts = append(pts, line(Point{x0 + r, y0}, Point{x1 - r, y0})...)
		pts = append(pts, Point{x1 - r + k, y0}, Point{x1, y0 + r - k}, Point{x1, y0 + r})
		pts = append(pts, line(Point{x1, y0 + r}, Point{x1, y1 - r})...)
		pts = append(pts, Point{x1, y1 - r + k}, Point{x1 - r + k, y1}, Point{x1 - r, y1})
		pts = append(pts, line(Point{x1 - r, y1}, Point{x0 + r, y1})...)
		pts = append(pts, Point{x0 + r - k, y1}, Point{x0, y1 - r + k}, Point{x0, y1 - r})
		pts = append(pts, line(Point{x0, y1 - r}, Point{x0, y0 + r})...)
		pts = append(pts, Point{x0, y0 + r - k}, Point{x0 + r - k, y0}, Point{x0 + r, y0})
		return pts, true, true
	case kindOval:
		return arcCubics(s.pts[0], s.r, 0, 360), true, true
	case kindArc:
		return arcCubics(s.pts[0], s.r, s.a0, s.sweep), true, s.closed
	case kindCurve:
		return s.pts, true, s.closed
	}
	return s.pts, false, s.closed
}

// arcCubics approximates an arc by cubics of at most 45° each (error below
// 5e-6 of the radius).
func arcCubics(c Point, r, from, sweep float64) []Point {
	n := max(int(math.Ceil(math.Abs(sweep)/45)), 1)
	step := sweep / float64(n) * math.Pi / 180
	k := 4.0 / 3 * math.Tan(step/4)
	at := func(a float64) (p, t Point) {
		s, co := math.Sincos(a)
		return Point{c.X + r*co, c.Y - r*s}, Point{-r * s, -r * co}
	}
	a := from * math.Pi / 180
	p, t := at(a)
	out := []Point{p}
	for range n {
		a += step
		q, u := at(a)
		out = append(out, Point{p.X + k*t.X, p.Y + k*t.Y}, Point{q.X - k*u.X, q.Y - k*u.Y}, q)
		p, t = q, u
	}
	return out
}

// flatten turns cubic pieces into a polyline that strays less than about
// 0.01 mm for pieces up to a few hundred mm.
func flatten(pts []Point) []Point {
	out := []Point{pts[0]}
	for i := 1; i+2 < len(pts); i += 3 {
		a, b, c, d := pts[i-1], pts[i], pts[i+1], pts[i+2]
		bend := math.Hypot(a.X-2*b.X+c.X, a.Y-2*b.Y+c.Y) + math.Hypot(b.X-2*c.X+d.X, b.Y-2*c.Y+d.Y)
		n := min(max(int(math.Ceil(math.Sqrt(bend*6/8/0.01))), 1), 200)
		for j := 1; j <= n; j++ {
			t := float64(j) / float64(n)
			u := 1 - t
			out = append(out, Point{
				u*u*u*a.X + 3*u*u*t*b.X + 3*u*t*t*c.X + t*t*t*d.X,
				u*u*u*a.Y + 3*u*u*t*b.Y + 3*u*t*t*c.Y + t*t*t*d.Y})
		}
	}
	return out
}
