package draw

import (
	"fmt"
	"math"
)

// CheckRuler is a rule of 100 mm to be measured on the print: is it 100 mm
// long, the printer has not scaled the page. It is 112 × 16 mm.
func CheckRuler() Scene {
	s := NewScene(112, 16, "Check rule, 100 mm", "A rule of exactly one hundred millimetres. Measure it on the print before using any template.")
	s.Layer = "RULE"
	const x0, y0 = 6.0, 8.0
	s.Line(x0, y0, x0+100, y0, Stroke(Ink, WidthThin))
	for i := 0; i <= 100; i++ {
		h := 1.4
		switch {
		case i%10 == 0:
			h = 3.4
		case i%5 == 0:
			h = 2.3
		}
		x := x0 + float64(i)
		s.Line(x, y0, x, y0-h, Stroke(Ink, WidthHair))
		if i%10 == 0 {
			s.Text(x, y0-4.1, fmt.Sprint(i), TextStyle{Size: SizeSmall, Align: Centre})
		}
	}
	s.Text(x0, y0+4.4, "This rule must measure 100 mm. If not, print again at 100 %, without “fit to page”.",
		TextStyle{Size: SizeSmall, Paint: Soft})
	return s
}

// footRule draws the check rule of 100 mm in the foot of a page.
func footRule(p *Scene, x0, y float64) {
	g := p.Child("")
	g.Layer = "RULE"
	g.Line(x0, y, x0+100, y, Stroke(Ink, WidthThin))
	for i := 0; i <= 100; i += 5 {
		h := 1.4
		if i%10 == 0 {
			h = 2.6
		}
		x := x0 + float64(i)
		g.Line(x, y, x, y-h, Stroke(Ink, WidthHair))
		if i%20 == 0 {
			g.Text(x, y+3.2, fmt.Sprint(i), TextStyle{Size: SizeSmall, Align: Centre})
		}
	}
	g.Text(x0+105, y+3.2, "must measure 100.0 mm", TextStyle{Size: SizeSmall, Paint: Soft})
}

// tileOverlap is how much neighbouring pages of a tiled template share, mm.
const tileOverlap = 10.0

// Tile cuts a scene into pages at true scale, with an overlap of 10 mm and
// register marks to join the prints by; a small plan on each page says where
// it belongs. Pages are landscape when that takes fewer. A scene that fits one
// page gives one page. Margin is the printer's blank edge in mm (0 means 10).
func Tile(s Scene, size PageSize, margin float64) ([]Scene, error) {
	if err := checkSize(s); err != nil {
		return nil, err
	}
	if margin == 0 {
		margin = 10
	}
	pw, ph := size.Size()
	if !(margin > 0 && margin < 60) {
		return nil, fmt.Errorf("margin %v mm; allowed is above 0 and below 60", margin)
	}
	const strip = 21.0 // foot of the page for the name, the check rule and the plan
	count := func(w, h float64) (nx, ny int) {
		iw, ih := w-2*margin-tileOverlap, h-2*margin-strip-tileOverlap
		return max(int(math.Ceil((s.Width-tileOverlap)/iw-1e-9)), 1), max(int(math.Ceil((s.Height-tileOverlap)/ih-1e-9)), 1)
	}
	nx, ny := count(pw, ph)
	if lx, ly := count(ph, pw); lx*ly < nx*ny || lx*ly == nx*ny && s.Width > s.Height {
		pw, ph, nx, ny = ph, pw, lx, ly
	}
	if nx*ny > 100 {
		return nil, fmt.Errorf("scene %q of %.0f × %.0f mm needs %d pages; at most 100", s.Title, s.Width, s.Height, nx*ny)
	}
	iw, ih := pw-2*margin, ph-2*margin-strip
	var out []Scene
	for j := range ny {
		for i := range nx {
			n := j*nx + i + 1
			p := NewScene(pw, ph, fmt.Sprintf("%s, sheet %d of %d", s.Title, n, nx*ny), s.Desc)
			x0, y0 := float64(i)*(iw-tileOverlap), float64(j)*(ih-tileOverlap)
			p.Clip(margin, margin, iw, ih).Place(s, margin-x0, margin-y0, 1)
			// Register marks where the overlaps meet the edges of the window.
			mark := func(x, y float64) {
				p.Line(x-3, y, x+3, y, Stroke(Ink, WidthHair))
				p.Line(x, y-3, x, y+3, Stroke(Ink, WidthHair))
				p.Circle(x, y, 1.5, Stroke(Ink, WidthHair))
			}
			xs, ys := []float64{}, []float64{}
			if i > 0 {
				xs = append(xs, margin+tileOverlap/2)
			}
			if i < nx-1 {
				xs = append(xs, margin+iw-tileOverlap/2)
			}
			if j > 0 {
				ys = append(ys, margin+tileOverlap/2)
			}
			if j < ny-1 {
				ys = append(ys, margin+ih-tileOverlap/2)
			}
			for _, x := range xs {
				for _, y := range []float64{margin + 15, margin + ih - 15} {
					mark(x, y)
				}
				p.Line(x, margin, x, margin+ih, Stroke(Faint, WidthHair).Dashed(Dotted))
			}
			for _, y := range ys {
				for _, x := range []float64{margin + 25, margin + iw - 25} {
					mark(x, y)
				}
				p.Line(margin, y, margin+iw, y, Stroke(Faint, WidthHair).Dashed(Dotted))
			}
			foot := ph - margin
			p.Text(margin, foot-13.5, Shorten(s.Title, iw-45, SizeBody, true), TextStyle{Size: SizeBody, Bold: true})
			where := "true size"
			if nx*ny > 1 {
				where = fmt.Sprintf("true size · sheet %d of %d, row %d, column %d · lay the crosses on one another", n, nx*ny, j+1, i+1)
			}
			p.Text(margin, foot-9.5, where, TextStyle{Size: SizeSmall, Paint: Soft})
			footRule(&p, margin, foot-3.2)
			if nx*ny > 1 {
				k := min(36/float64(nx), 9/float64(ny), 8)
				for b := range ny {
					for a := range nx {
						st := Stroke(Soft, WidthHair)
						if a == i && b == j {
							st = st.Filled(Accent)
						}
						p.Rect(margin+iw-k*float64(nx-a), foot-9+k*float64(b), k, k, st)
					}
				}
			}
			out = append(out, p)
		}
	}
	return out, nil
}
