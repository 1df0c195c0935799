package draw

import (
	"bytes"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
)

// DXF writes the outlines of the scene as ASCII DXF release 12 (AC1009) in mm,
// y up, the scene's lower left corner at the origin: LINE, POLYLINE, CIRCLE,
// ARC and TEXT on layers named by [Group.Layer] or else by role.
//
// Areas become their outlines; areas that are mere ground (Paper, Panel, Tint,
// Faint) and pictures are left out. Bézier curves become polylines within
// 0.01 mm. Lines are cut at clip edges, text and whole circles are not.
// Signs the format has no code for are written in plain letters.
func DXF(w io.Writer, s Scene) error {
	if err := checkSize(s); err != nil {
		return err
	}
	v := &dxfWriter{high: s.Height, layers: map[string]int{"0": 7}}
	walk(&s, v)
	var b bytes.Buffer
	pair := func(code int, val any) { fmt.Fprintf(&b, "%3d\n%v\n", code, val) }
	pair(999, "Dawnsmith, 1 unit = 1 mm")
	pair(0, "SECTION")
	pair(2, "HEADER")
	pair(9, "$ACADVER")
	pair(1, "AC1009")
	pair(9, "$EXTMIN")
	pair(10, "0.0")
	pair(20, "0.0")
	pair(9, "$EXTMAX")
	pair(10, dxfNum(s.Width))
	pair(20, dxfNum(s.Height))
	pair(0, "ENDSEC")
	pair(0, "SECTION")
	pair(2, "TABLES")
	pair(0, "TABLE")
	pair(2, "LTYPE")
	pair(70, 4)
	for _, lt := range []struct {
		name, look string
		dashes     []float64
	}{{"CONTINUOUS", "solid", nil}, {"DASHED", "dashed", []float64{2.6, -1.5}},
		{"DOTTED", "dotted", []float64{0.2, -0.8}}, {"CHAIN", "chain", []float64{4, -0.9, 0.6, -0.9}}} {
		pair(0, "LTYPE")
		pair(2, lt.name)
		pair(70, 0)
		pair(3, lt.look)
		pair(72, 65)
		pair(73, len(lt.dashes))
		total := 0.0
		for _, d := range lt.dashes {
			total += math.Abs(d)
		}
		pair(40, dxfNum(total))
		for _, d := range lt.dashes {
			pair(49, dxfNum(d))
		}
	}
	pair(0, "ENDTAB")
	names := make([]string, 0, len(v.layers))
	for n := range v.layers {
		names = append(names, n)
	}
	slices.Sort(names)
	pair(0, "TABLE")
	pair(2, "LAYER")
	pair(70, len(names))
	for _, n := range names {
		pair(0, "LAYER")
		pair(2, n)
		pair(70, 0)
		pair(62, v.layers[n])
		pair(6, "CONTINUOUS")
	}
	pair(0, "ENDTAB")
	pair(0, "ENDSEC")
	pair(0, "SECTION")
	pair(2, "ENTITIES")
	b.Write(v.b.Bytes())
	pair(0, "ENDSEC")
	pair(0, "EOF")
	_, err := w.Write(b.Bytes())
	return err
}

// dxfColour is the index colour of each role: 7 is the reader's own ink.
var dxfColour = [roleCount]int{Ink: 7, Soft: 8, Faint: 9, Accent: 30, Warn: 6, Plus: 1, Minus: 5,
	Copper: 32, Metal: 8, Lining: 254, Strip: 42, Sheet: 140, LED: 2, Ray: 40}

var dxfDash = [...]string{Solid: "CONTINUOUS", Dashed: "DASHED", Dotted: "DOTTED", Chain: "CHAIN"}

type dxfWriter struct {
	b      bytes.Buffer
	high   float64
	layers map[string]int
	stack  []*Group
	clips  [][]Point
}

func dxfNum(v float64) string {
	s := num(v)
	if !strings.Contains(s, ".") {
		s += ".0"
	}
	return s
}

func (v *dxfWriter) pair(code int, val any) { fmt.Fprintf(&v.b, "%3d\n%v\n", code, val) }

func (v *dxfWriter) at(p Point) {
	v.pair(10, dxfNum(p.X))
	v.pair(20, dxfNum(v.high-p.Y))
}

func (v *dxfWriter) begin(g *Group, clip []Point) {
	v.stack = append(v.stack, g)
	if clip != nil {
		v.clips = append(v.clips, clip)
	}
}

func (v *dxfWriter) end(g *Group) {
	v.stack = v.stack[:len(v.stack)-1]
	if g.clip != nil {
		v.clips = v.clips[:len(v.clips)-1]
	}
}

// layer gives the layer for an item in role p and notes it for the table.
func (v *dxfWriter) layer(p Paint) string {
	name, colour := p.String(), 7
	if p < roleCount {
		colour = dxfColour[p]
	} else {
		name = "colour"
	}
	for _, g := range v.stack {
		if g.Layer != "" {
			name = g.Layer
		}
	}
	name = strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z', r >= '0' && r <= '9', r == '-', r == '_', r == '$':
			return r
		}
		return '_'
	}, strings.ToUpper(name))
	name = name[:min(len(name), 31)]
	if _, known := v.layers[name]; !known {
		v.layers[name] = colour
	}
	return name
}

func (v *dxfWriter) open(kind string, p Paint, d Dash) {
	v.pair(0, kind)
	v.pair(8, v.layer(p))
	if d != Solid {
		v.pair(6, dxfDash[d])
	}
}

func (v *dxfWriter) shape(s shape) {
	p := s.style.Stroke
	if p == None {
		switch p = s.style.Fill; p {
		case None, Paper, Panel, Tint, Faint:
			return
		}
	}
	if len(v.clips) == 0 {
		switch s.kind {
		case kindOval:
			v.open("CIRCLE", p, s.style.Dash)
			v.at(s.pts[0])
			v.pair(40, dxfNum(s.r))
			return
		case kindArc:
			from, to := s.a0, s.a0+s.sweep
			if s.sweep < 0 {
				from, to = to, from
			}
			v.open("ARC", p, s.style.Dash)
			v.at(s.pts[0])
			v.pair(40, dxfNum(s.r))
			v.pair(50, dxfNum(math.Mod(from+720, 360)))
			v.pair(51, dxfNum(math.Mod(to+720, 360)))
			return
		}
	}
	pts, cubic, closed := s.outline()
	if cubic {
		pts = flatten(pts)
	}
	if len(v.clips) == 0 {
		v.chain(pts, closed, p, s.style.Dash)
		return
	}
	if closed {
		pts = append(slices.Clone(pts), pts[0])
	}
	var run []Point
	flush := func() {
		if len(run) > 1 {
			v.chain(run, false, p, s.style.Dash)
		}
		run = nil
	}
	for i := 1; i < len(pts); i++ {
		a, b, ok := pts[i-1], pts[i], true
		for _, c := range v.clips {
			if a, b, ok = cutToConvex(a, b, c); !ok {
				break
			}
		}
		if !ok {
			flush()
			continue
		}
		if len(run) == 0 || run[len(run)-1] != a {
			flush()
			run = append(run, a)
		}
		run = append(run, b)
	}
	flush()
}

// chain writes points as LINE or POLYLINE.
func (v *dxfWriter) chain(pts []Point, closed bool, p Paint, d Dash) {
	if len(pts) == 2 {
		v.open("LINE", p, d)
		v.at(pts[0])
		v.pair(11, dxfNum(pts[1].X))
		v.pair(21, dxfNum(v.high-pts[1].Y))
		return
	}
	v.open("POLYLINE", p, d)
	v.pair(66, 1)
	flag := 0
	if closed {
		flag = 1
	}
	v.pair(70, flag)
	name := v.layer(p)
	for _, q := range pts {
		v.pair(0, "VERTEX")
		v.pair(8, name)
		v.at(q)
	}
	v.pair(0, "SEQEND")
	v.pair(8, name)
}

func (v *dxfWriter) text(t text) {
	o := t.origin()
	if t.style.Angle != 0 {
		o = turn(o, t.at, t.style.Angle)
	}
	v.open("TEXT", t.style.Paint, Solid)
	v.at(o)
	v.pair(40, dxfNum(t.style.Size*capHeight)) // DXF measures type by its capitals
	v.pair(1, dxfText(t.s))
	if t.style.Angle != 0 {
		v.pair(50, dxfNum(math.Mod(t.style.Angle+720, 360)))
	}
}

func (*dxfWriter) picture(picture) {}

var dxfSigns = strings.NewReplacer("%", "%%%", "°", "%%d", "±", "%%p", "⌀", "%%c", "Ø", "%%c",
	"²", "2", "³", "3", "−", "-", "–", "-", "—", "-", "·", ".", "×", "x", "µ", "u", "μ", "u", "Ω", "ohm",
	"≤", "<=", "≥", ">=", "≈", "~", "→", "->", "…", "...", "’", "'", "‘", "'", "“", "\"", "”", "\"",
	"½", "1/2", "¼", "1/4", "¾", "3/4", "₂", "2", "⁻", "-", "¹", "1", "€", "EUR", "λ", "lambda", "Δ", "delta",
	"\u00a0", " ", "\u202f", " ", "\u2009", " ", "\n", " ", "\r", " ", "ä", "a", "ö", "o", "å", "a", "ü", "u")

// dxfText brings text to the signs release 12 knows.
func dxfText(s string) string {
	return strings.Map(func(r rune) rune {
		if r < 32 || r > 126 {
			return '?'
		}
		return r
	}, dxfSigns.Replace(s))
}

// cutToConvex keeps the part of the line a–b inside a convex polygon (Cyrus
// and Beck, 1978).
func cutToConvex(a, b Point, poly []Point) (Point, Point, bool) {
	area := 0.0
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		area += p.X*q.Y - q.X*p.Y
	}
	d := Point{b.X - a.X, b.Y - a.Y}
	t0, t1 := 0.0, 1.0
	for i, p := range poly {
		q := poly[(i+1)%len(poly)]
		n := Point{-(q.Y - p.Y), q.X - p.X} // inward when the area is positive
		if area < 0 {
			n = Point{-n.X, -n.Y}
		}
		at, along := n.X*(a.X-p.X)+n.Y*(a.Y-p.Y), n.X*d.X+n.Y*d.Y
		switch {
		case along == 0:
			if at < 0 {
				return a, b, false
			}
		case along > 0:
			t0 = max(t0, -at/along)
		default:
			t1 = min(t1, -at/along)
		}
	}
	if t0 >= t1 {
		return a, b, false
	}
	pa, pb := a, b
	if t0 > 0 {
		pa = Point{a.X + t0*d.X, a.Y + t0*d.Y}
	}
	if t1 < 1 {
		pb = Point{a.X + t1*d.X, a.Y + t1*d.Y}
	}
	return pa, pb, true
}
