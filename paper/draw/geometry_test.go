package draw

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// Advance widths in units of 2048 to the em, as the hmtx table of DejaVu Sans
// 2.37 has them: space 651, all figures 1303, hyphen-minus 739; bold figures
// 1425.
func TestTextWidth(t *testing.T) {
	for _, c := range []struct {
		s    string
		bold bool
		want float64
	}{{" ", false, 651}, {"0", false, 1303}, {"1234567890", false, 13030}, {"-", false, 739}, {"77", true, 2850}, {"", false, 0}} {
		if got := TextWidth(c.s, 2048, c.bold); math.Abs(got-c.want) > 0.01 {
			t.Errorf("%q is %v wide, want %v", c.s, got, c.want)
		}
	}
}

// Every sign the program prints is in both weights of the font.
func TestFontHasOurSigns(t *testing.T) {
	for _, bold := range []bool{false, true} {
		f := faceFor(bold)
		for _, r := range "µλΔΩσηρταβφ°±×·⁻⁰¹²³⁴⁵⁶⁷⁸⁹₀₂½¼≤≥≈→←↑↓∅☐✓−–—€…“”’‑\u202fåäöÅÄÖ" {
			gi, err := f.font.GlyphIndex(nil, r)
			if err != nil || gi == 0 {
				t.Errorf("bold %v: no glyph for %q", bold, r)
			}
		}
	}
}

func TestWrap(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		words := rapid.SliceOfN(rapid.StringMatching(`[a-zäö0-9]{1,25}`), 0, 30).Draw(rt, "words")
		width := rapid.Float64Range(8, 120).Draw(rt, "width")
		lines := Wrap(strings.Join(words, " "), width, 3, false)
		for _, l := range lines {
			if w := TextWidth(l, 3, false); w > width+1e-9 && len([]rune(l)) > 1 {
				rt.Fatalf("line %q is %v mm wide, more than %v", l, w, width)
			}
		}
		// Nothing is lost or invented: only spaces may differ.
		if got, want := strings.ReplaceAll(strings.Join(lines, ""), " ", ""), strings.Join(words, ""); got != want {
			rt.Fatalf("got %q, want %q", got, want)
		}
		short := Shorten(strings.Join(words, " "), width, 3, false)
		if TextWidth(short, 3, false) > width && short != "…" {
			rt.Fatalf("%q is wider than %v", short, width)
		}
	})
}

func TestArcsAreRound(t *testing.T) {
	for _, sweep := range []float64{360, 90, -270, 10, 45.1} {
		for _, p := range flatten(arcCubics(Point{3, 4}, 50, 20, sweep)) {
			if d := math.Hypot(p.X-3, p.Y-4); math.Abs(d-50) > 50*5e-6 {
				t.Errorf("sweep %v: a point lies %v from the centre, want 50", sweep, d)
			}
		}
	}
	// Counter-clockwise as seen: from the right, a quarter turn ends above.
	ps := arcCubics(Point{0, 0}, 1, 0, 90)
	if end := ps[len(ps)-1]; math.Abs(end.X) > 1e-12 || math.Abs(end.Y+1) > 1e-12 {
		t.Errorf("a quarter turn from the right ends at %v, want 0, −1", end)
	}
}

// The hatch covers its polygon: its total length times the spacing is the
// area, up to one line at either edge.
func TestHatchCoversArea(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		w, h := rapid.Float64Range(5, 60).Draw(rt, "w"), rapid.Float64Range(5, 60).Draw(rt, "h")
		angle := rapid.Float64Range(-90, 90).Draw(rt, "angle")
		const spacing = 0.5
		// An L, so that concave outlines are met.
		poly := []Point{{0, 0}, {w, 0}, {w, h / 2}, {w / 3, h / 2}, {w / 3, h}, {0, h}}
		var g Group
		g.Hatch(poly, angle, spacing, Stroke(Ink, 0.1))
		total := 0.0
		for _, it := range g.items {
			s := it.(shape)
			total += math.Hypot(s.pts[1].X-s.pts[0].X, s.pts[1].Y-s.pts[0].Y)
		}
		area := w*h/2 + w/3*h/2
		edge := spacing * 2 * (w + h)
		if math.Abs(total*spacing-area) > edge {
			rt.Fatalf("hatched %v mm², the area is %v", total*spacing, area)
		}
	})
}

// Cutting a line to a rectangle keeps exactly what is inside.
func TestCutToConvex(t *testing.T) {
	box := []Point{{0, 0}, {10, 0}, {10, 5}, {0, 5}}
	for _, turned := range []bool{false, true} {
		if turned {
			box[1], box[3] = box[3], box[1]
		}
		a, b, ok := cutToConvex(Point{-5, 2}, Point{20, 2}, box)
		if !ok || a != (Point{0, 2}) || b != (Point{10, 2}) {
			t.Errorf("through: %v %v %v", a, b, ok)
		}
		if _, _, ok = cutToConvex(Point{-5, 7}, Point{20, 7}, box); ok {
			t.Error("a line outside was kept")
		}
		a, b, ok = cutToConvex(Point{2, 1}, Point{3, 4}, box)
		if !ok || a != (Point{2, 1}) || b != (Point{3, 4}) {
			t.Errorf("inside: %v %v %v", a, b, ok)
		}
	}
}

// Dimension words never stand on their head and lie outside the measured side.
func TestDimReads(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		a := rapid.Float64Range(-180, 180).Draw(rt, "direction")
		s, c := math.Sincos(a * math.Pi / 180)
		sc := NewScene(200, 200, "", "")
		sc.Dim(Point{100, 100}, Point{100 + 60*c, 100 - 60*s}, 8, "60", DimStyle{})
		n := 0
		for _, it := range sc.items {
			if tx, ok := it.(text); ok {
				n++
				if tx.style.Angle > 90+1e-6 || tx.style.Angle < -90-1e-6 {
					rt.Fatalf("direction %v: words turned by %v", a, tx.style.Angle)
				}
			}
		}
		if n != 1 {
			rt.Fatalf("%d texts", n)
		}
	})
	sc := NewScene(10, 10, "", "")
	if sc.Dim(Point{1, 1}, Point{1, 1}, 5, "0", DimStyle{}) || len(sc.items) != 0 {
		t.Error("a dimension of nothing was drawn")
	}
	// To the right with a positive offset: above.
	sc.Dim(Point{0, 50}, Point{60, 50}, 8, "60", DimStyle{})
	if l := sc.Labels()[0]; l.Box.Y+l.Box.H > 42.5 || l.Box.Y < 36 {
		t.Errorf("words at %v, want just above 42", l.Box)
	}
}

// luminance is the relative luminance of WCAG 2.2.
func luminance(r, g, b uint8) float64 {
	f := func(v uint8) float64 {
		x := float64(v) / 255
		if x <= 0.04045 {
			return x / 12.92
		}
		return math.Pow((x+0.055)/1.055, 2.4)
	}
	return 0.2126*f(r) + 0.7152*f(g) + 0.0722*f(b)
}

// Text roles reach 4.5:1 on the paper and on panels, lines 3:1 (WCAG 2.2,
// 1.4.3 and 1.4.11); ink reaches 7:1.
func TestContrast(t *testing.T) {
	for _, p := range Palettes() {
		for _, ground := range []Paint{Paper, Panel} {
			gr, gg, gb, _ := p.Colour(ground)
			lg := luminance(gr, gg, gb)
			for _, c := range []struct {
				role Paint
				want float64
			}{{Ink, 7}, {Soft, 4.5}, {Accent, 4.5}, {Warn, 4.5}, {Plus, 4.5}, {Minus, 4.5}, {Copper, 3}, {Ray, 3}} {
				r, g, b, _ := p.Colour(c.role)
				l := luminance(r, g, b)
				ratio := (max(l, lg) + 0.05) / (min(l, lg) + 0.05)
				if ratio < c.want {
					t.Errorf("%s: %s on %s is %.2f:1, want %.1f:1", p.Name, c.role, ground, ratio, c.want)
				}
			}
		}
	}
}

// Plus and minus stay apart for people without red or green cones. Simulation
// after G. M. Machado, M. M. Oliveira, L. A. F. Fernandes, IEEE Trans.
// Visualization and Computer Graphics 15(6), 2009, severity 1 (matrices from
// memory); distance in CIELAB, 20 being a plain difference.
func TestPolesStayApart(t *testing.T) {
	sim := map[string][3][3]float64{
		"protan": {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
		"deutan": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	}
	for _, p := range Palettes() {
		for name, m := range sim {
			a, b := labOf(p, Plus, m), labOf(p, Minus, m)
			if d := math.Hypot(math.Hypot(a[0]-b[0], a[1]-b[1]), a[2]-b[2]); d < 20 {
				t.Errorf("%s, %s: plus and minus differ by %.1f only", p.Name, name, d)
			}
		}
	}
}

func labOf(p Palette, role Paint, m [3][3]float64) [3]float64 {
	r, g, b, _ := p.Colour(role)
	in := [3]float64{}
	for i, v := range []uint8{r, g, b} {
		x := float64(v) / 255
		if x <= 0.04045 {
			x /= 12.92
		} else {
			x = math.Pow((x+0.055)/1.055, 2.4)
		}
		in[i] = x
	}
	var s [3]float64
	for i := range s {
		for j := range in {
			s[i] += m[i][j] * in[j]
		}
		s[i] = min(max(s[i], 0), 1)
	}
	x := (0.4124*s[0] + 0.3576*s[1] + 0.1805*s[2]) / 0.95047
	y := 0.2126*s[0] + 0.7152*s[1] + 0.0722*s[2]
	z := (0.0193*s[0] + 0.1192*s[1] + 0.9505*s[2]) / 1.08883
	f := func(t float64) float64 {
		if t > 216.0/24389 {
			return math.Cbrt(t)
		}
		return (24389.0/27*t + 16) / 116
	}
	return [3]float64{116*f(y) - 16, 500 * (f(x) - f(y)), 200 * (f(y) - f(z))}
}

func TestCSSHasEveryToken(t *testing.T) {
	var b bytes.Buffer
	if err := CSS(&b); err != nil {
		t.Fatal(err)
	}
	css := b.String()
	for _, r := range Roles() {
		for _, want := range []string{fmt.Sprintf("--%s: %s;", r, Light().hex(r)), fmt.Sprintf("--%s: %s;", r, Dark().hex(r)),
			fmt.Sprintf(".s-%s { stroke: var(--%s); }", r, r), fmt.Sprintf(".f-%s { fill: var(--%s); }", r, r)} {
			if !strings.Contains(css, want) {
				t.Errorf("no %q", want)
			}
		}
	}
	if strings.Count(css, "{") != strings.Count(css, "}") {
		t.Error("braces do not match")
	}
}
