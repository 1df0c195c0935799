package draw

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"html"
	"image"
	"image/color"
	"image/png"
	"io"
	"math"
	"strconv"
	"strings"
)

// SVGOptions says how [SVG] writes.
type SVGOptions struct {
	// Palette gives the colours written into the file; the zero value is Light.
	// A page that includes the rules of [CSS] overrides them by class.
	Palette Palette
	// ID starts every id in the file, so that several pictures can share a
	// page. Empty means "d".
	ID string
	// Ground fills the picture with the paper colour first. Set it for a file
	// that stands alone; leave it out for a picture inside a page.
	Ground bool
	// Fluid leaves out the size in mm, so that the picture fills the width the
	// page gives it.
	Fluid bool
}

// num writes a number of mm rounded to 0.001, without needless zeros.
func num(v float64) string {
	v = math.Round(v*1000) / 1000
	if v == 0 {
		v = 0 // no minus zero
	}
	return strconv.FormatFloat(v, 'f', -1, 64)
}

// xmlText escapes text for XML; characters XML cannot hold become �.
func xmlText(s string) string {
	return html.EscapeString(strings.Map(func(r rune) rune {
		if r < 0x20 && r != '\t' && r != '\n' && r != '\r' || r == 0xfffe || r == 0xffff {
			return '\ufffd'
		}
		return r
	}, strings.ToValidUTF8(s, "\ufffd")))
}

// SVG writes the scene as one svg element. Text stays text. Every item carries
// its role twice: as a class (s-… for strokes, f-… for fills) for the page's
// style sheet and as a plain attribute for viewers without one.
func SVG(w io.Writer, s Scene, o SVGOptions) error {
	if err := checkSize(s); err != nil {
		return err
	}
	if o.ID == "" {
		o.ID = "d"
	}
	v := &svgWriter{o: o}
	b := &v.b
	fmt.Fprintf(b, `<svg xmlns="http://www.w3.org/2000/svg" class="drawing"`)
	if !o.Fluid {
		fmt.Fprintf(b, ` width="%smm" height="%smm"`, num(s.Width), num(s.Height))
	}
	fmt.Fprintf(b, ` viewBox="0 0 %s %s" role="img" aria-labelledby="%s-title`, num(s.Width), num(s.Height), o.ID)
	if s.Desc != "" {
		fmt.Fprintf(b, " %s-desc", o.ID)
	}
	fmt.Fprintf(b, `" font-family="'%s', Verdana, sans-serif"`, FontFamily)
	v.attrs(s.data)
	fmt.Fprintf(b, ">\n<title id=\"%s-title\">%s</title>\n", o.ID, xmlText(s.Title))
	if s.Desc != "" {
		fmt.Fprintf(b, "<desc id=\"%s-desc\">%s</desc>\n", o.ID, xmlText(s.Desc))
	}
	if o.Ground {
		v.shape(shape{kind: kindRect, pts: []Point{{0, 0}, {s.Width, s.Height}}, style: Fill(Paper)})
	}
	walk(&s, v)
	b.WriteString("</svg>\n")
	_, err := w.Write(b.Bytes())
	return err
}

// checkSize refuses a scene no paper or screen can show.
func checkSize(s Scene) error {
	if !(s.Width > 0 && s.Height > 0 && s.Width <= 20000 && s.Height <= 20000) {
		return fmt.Errorf("scene %q measures %v × %v mm; each side must be above 0 and at most 20000", s.Title, s.Width, s.Height)
	}
	return nil
}

type svgWriter struct {
	b     bytes.Buffer
	o     SVGOptions
	clips int
}

func (v *svgWriter) attrs(as []Attr) {
	for _, a := range as {
		fmt.Fprintf(&v.b, ` data-%s="%s"`, a.Name, xmlText(a.Value))
	}
}

func (v *svgWriter) begin(g *Group, clip []Point) {
	b := &v.b
	if clip != nil {
		v.clips++
		fmt.Fprintf(b, `<clipPath id="%s-clip%d"><polygon points="%s"/></clipPath>`+"\n", v.o.ID, v.clips, pointList(clip))
	}
	b.WriteString("<g")
	if g.ID != "" {
		fmt.Fprintf(b, ` id="%s-%s"`, v.o.ID, xmlText(g.ID))
	}
	if clip != nil {
		fmt.Fprintf(b, ` clip-path="url(#%s-clip%d)"`, v.o.ID, v.clips)
	}
	if g.Focus {
		fmt.Fprintf(b, ` tabindex="0" role="img" aria-label="%s"`, xmlText(g.Title))
	}
	v.attrs(g.data)
	b.WriteString(">")
	if g.Title != "" {
		fmt.Fprintf(b, "<title>%s</title>", xmlText(g.Title))
	}
	if g.Desc != "" {
		fmt.Fprintf(b, "<desc>%s</desc>", xmlText(g.Desc))
	}
	b.WriteByte('\n')
}

func (v *svgWriter) end(*Group) { v.b.WriteString("</g>\n") }

func pointList(ps []Point) string {
	var b bytes.Buffer
	for i, p := range ps {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(num(p.X))
		b.WriteByte(',')
		b.WriteString(num(p.Y))
	}
	return b.String()
}

// paint writes class and attributes for a style.
func (v *svgWriter) paint(s Style) {
	b := &v.b
	class := ""
	if s.Stroke != None && s.Stroke < explicit {
		class = "s-" + s.Stroke.String()
	}
	if s.Fill != None && s.Fill < explicit {
		if class != "" {
			class += " "
		}
		class += "f-" + s.Fill.String()
	}
	if class != "" {
		fmt.Fprintf(b, ` class="%s"`, class)
	}
	fmt.Fprintf(b, ` fill="%s"`, v.o.Palette.hex(s.Fill))
	if s.Stroke != None {
		fmt.Fprintf(b, ` stroke="%s" stroke-width="%s"`, v.o.Palette.hex(s.Stroke), num(s.Width))
		if d := s.Dash.pattern(s.Width); d != nil {
			b.WriteString(` stroke-dasharray="`)
			for i, x := range d {
				if i > 0 {
					b.WriteByte(' ')
				}
				b.WriteString(num(x))
			}
			b.WriteByte('"')
		} else {
			b.WriteString(` stroke-linecap="round"`)
		}
		b.WriteString(` stroke-linejoin="round"`)
	}
	b.WriteString("/>\n")
}

func (v *svgWriter) shape(s shape) {
	b := &v.b
	switch s.kind {
	case kindRect:
		p, q := s.pts[0], s.pts[1]
		fmt.Fprintf(b, `<rect x="%s" y="%s" width="%s" height="%s"`, num(p.X), num(p.Y), num(q.X-p.X), num(q.Y-p.Y))
		if s.r > 0 {
			fmt.Fprintf(b, ` rx="%s"`, num(s.r))
		}
	case kindOval:
		fmt.Fprintf(b, `<circle cx="%s" cy="%s" r="%s"`, num(s.pts[0].X), num(s.pts[0].Y), num(s.r))
	case kindArc, kindCurve:
		pts, _, closed := s.outline()
		fmt.Fprintf(b, `<path d="M%s %s`, num(pts[0].X), num(pts[0].Y))
		if s.kind == kindArc && math.Abs(s.sweep) < 360 {
			end := pts[len(pts)-1]
			large, way := 0, 0
			if math.Abs(s.sweep) > 180 {
				large = 1
			}
			if s.sweep < 0 {
				way = 1
			}
			fmt.Fprintf(b, "A%s %s 0 %d %d %s %s", num(s.r), num(s.r), large, way, num(end.X), num(end.Y))
		} else {
			b.WriteByte('C')
			for i, p := range pts[1:] {
				if i > 0 {
					b.WriteByte(' ')
				}
				fmt.Fprintf(b, "%s %s", num(p.X), num(p.Y))
			}
		}
		if closed {
			b.WriteByte('Z')
		}
		b.WriteByte('"')
	default:
		name := "polyline"
		switch {
		case s.closed:
			name = "polygon"
		case len(s.pts) == 2:
			fmt.Fprintf(b, `<line x1="%s" y1="%s" x2="%s" y2="%s"`,
				num(s.pts[0].X), num(s.pts[0].Y), num(s.pts[1].X), num(s.pts[1].Y))
			v.paint(s.style)
			return
		}
		fmt.Fprintf(b, `<%s points="%s"`, name, pointList(s.pts))
	}
	v.paint(s.style)
}

func (v *svgWriter) text(t text) {
	b := &v.b
	fmt.Fprintf(b, `<text x="%s" y="%s" font-size="%s"`, num(t.at.X), num(t.at.Y+t.drop()), num(t.style.Size))
	if t.style.Bold {
		b.WriteString(` font-weight="700"`)
	}
	switch t.style.Align {
	case Centre:
		b.WriteString(` text-anchor="middle"`)
	case Right:
		b.WriteString(` text-anchor="end"`)
	}
	if t.style.Angle != 0 {
		fmt.Fprintf(b, ` transform="rotate(%s %s %s)"`, num(-t.style.Angle), num(t.at.X), num(t.at.Y))
	}
	if t.style.Paint < explicit {
		fmt.Fprintf(b, ` class="f-%s"`, t.style.Paint)
	}
	fmt.Fprintf(b, ` fill="%s">%s</text>`+"\n", v.o.Palette.hex(t.style.Paint), xmlText(t.s))
}

func (v *svgWriter) picture(p picture) {
	k := enlarge(p.grid)
	if v.o.Fluid {
		k = 1 // a page's browser keeps the cells square-edged itself
	}
	data, err := p.grid.png(k)
	if err != nil {
		return // encoding into memory fails only for sizes checked before
	}
	fmt.Fprintf(&v.b, `<image x="%s" y="%s" width="%s" height="%s" preserveAspectRatio="none" image-rendering="pixelated" href="data:image/png;base64,%s"/>`+"\n",
		num(p.box.X), num(p.box.Y), num(p.box.W), num(p.box.H), base64.StdEncoding.EncodeToString(data))
}

// enlarge is how many pixels a cell gets on each side in files whose viewers
// would otherwise blur small pictures.
func enlarge(g Grid) int {
	return min(max(900/max(g.Columns, g.Rows), 1), 12)
}

// pixels gives the grid with every cell k × k pixels.
func (g Grid) pixels(k int) *image.RGBA {
	im := image.NewRGBA(image.Rect(0, 0, g.Columns*k, g.Rows*k))
	for y := range g.Rows * k {
		for x := range g.Columns * k {
			i := 3 * (y/k*g.Columns + x/k)
			im.SetRGBA(x, y, color.RGBA{g.RGB[i], g.RGB[i+1], g.RGB[i+2], 255})
		}
	}
	return im
}

func (g Grid) png(k int) ([]byte, error) {
	var b bytes.Buffer
	enc := png.Encoder{CompressionLevel: png.BestCompression}
	err := enc.Encode(&b, g.pixels(k))
	return b.Bytes(), err
}
