package draw_test

import (
	"bufio"
	"bytes"
	"compress/zlib"
	"encoding/xml"
	"fmt"
	"image/png"
	"io"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"dawnsmith/paper/draw"

	"pgregory.net/rapid"
)

func svg(t testing.TB, s draw.Scene, o draw.SVGOptions) string {
	t.Helper()
	var b bytes.Buffer
	if err := draw.SVG(&b, s, o); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// streams inflates every stream of a PDF.
func streams(t testing.TB, pdf []byte) []string {
	t.Helper()
	var out []string
	for rest := pdf; ; {
		i := bytes.Index(rest, []byte("stream\n"))
		if i < 0 {
			return out
		}
		rest = rest[i+len("stream\n"):]
		j := bytes.Index(rest, []byte("endstream"))
		if r, err := zlib.NewReader(bytes.NewReader(rest[:j])); err == nil {
			raw, _ := io.ReadAll(r)
			out = append(out, string(raw))
		}
		rest = rest[j+len("endstream"):]
	}
}

// The rule measures 100 mm in every format. 1 in = 25.4 mm = 72 pt.
func TestRulerIsTrue(t *testing.T) {
	ruler := draw.CheckRuler()
	t.Run("svg", func(t *testing.T) {
		s := svg(t, ruler, draw.SVGOptions{})
		if !strings.Contains(s, `width="112mm" height="16mm" viewBox="0 0 112 16"`) {
			t.Error("the svg's units are not mm")
		}
		m := regexp.MustCompile(`<line x1="6" y1="8" x2="(\d+)" y2="8"`).FindStringSubmatch(s)
		if m == nil || m[1] != "106" {
			t.Errorf("rule ends at %v, want 106", m)
		}
	})
	t.Run("pdf", func(t *testing.T) {
		d := draw.NewDocument(draw.DocumentOptions{Title: "rule"})
		d.Figure(ruler, "")
		var b bytes.Buffer
		if err := d.PDF(&b); err != nil {
			t.Fatal(err)
		}
		longest := 0.0
		line := regexp.MustCompile(`([\d.]+) ([\d.]+) m\s+([\d.]+) ([\d.]+) l`)
		for _, s := range streams(t, b.Bytes()) {
			for _, m := range line.FindAllStringSubmatch(s, -1) {
				x1, _ := strconv.ParseFloat(m[1], 64)
				x2, _ := strconv.ParseFloat(m[3], 64)
				longest = max(longest, math.Abs(x2-x1))
			}
		}
		// The PDF writer rounds to 0.01 pt.
		if want := 100 * 72 / 25.4; math.Abs(longest-want) > 0.011 {
			t.Errorf("rule is %v pt, want %v", longest, want)
		}
		if !bytes.Contains(b.Bytes(), []byte("/MediaBox [0 0 595.28 841.89]")) {
			t.Error("the page is not A4")
		}
	})
	t.Run("dxf", func(t *testing.T) {
		longest := 0.0
		for _, e := range entities(t, ruler) {
			if e.kind == "LINE" {
				longest = max(longest, e.num(t, 11)-e.num(t, 10))
			}
		}
		if longest != 100 {
			t.Errorf("rule is %v, want 100", longest)
		}
	})
	t.Run("png", func(t *testing.T) {
		im, err := draw.Raster(ruler, draw.PNGOptions{PerMM: 10})
		if err != nil {
			t.Fatal(err)
		}
		dark := 0
		for x := range im.Bounds().Dx() {
			if r, _, _, _ := im.At(x, 80).RGBA(); r < 0x9000 {
				dark++
			}
		}
		// 1000 pixels, and half a line width of round cap at either end.
		if dark < 1000 || dark > 1004 {
			t.Errorf("rule is %d pixels at 10 per mm, want 1000 to 1004", dark)
		}
	})
}

func TestPDFIsTheSameEachTime(t *testing.T) {
	var a, b bytes.Buffer
	if err := specimen(draw.A4).PDF(&a); err != nil {
		t.Fatal(err)
	}
	if err := specimen(draw.A4).PDF(&b); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(a.Bytes(), b.Bytes()) {
		t.Error("the same document gave two different files")
	}
}

// Text is set as text with a map back to Unicode, from an embedded font.
func TestPDFTextCanBeCopied(t *testing.T) {
	s := draw.NewScene(60, 20, "words", "")
	s.Text(5, 10, "melanopic 250 lx", draw.TextStyle{})
	var b bytes.Buffer
	if err := draw.PDF(&b, []draw.Scene{s}, draw.PDFOptions{Title: "words"}); err != nil {
		t.Fatal(err)
	}
	for _, part := range []string{"/ToUnicode", "/FontFile2", "/Lang (en)"} {
		if !bytes.Contains(b.Bytes(), []byte(part)) {
			t.Errorf("no %s in the file", part)
		}
	}
	if !strings.Contains(strings.Join(streams(t, b.Bytes()), ""), "\x00m\x00e\x00l\x00a\x00n") {
		t.Error("the words are not in the page as text")
	}
	if b.Len() > 60_000 {
		t.Errorf("%d bytes: the fonts are not subset", b.Len())
	}
}

// A dash or fill must not leak into the next item.
func TestPDFStateIsReset(t *testing.T) {
	s := draw.NewScene(60, 20, "state", "")
	s.Line(1, 1, 50, 1, draw.Stroke(draw.Ink, 0.3).Dashed(draw.Dashed))
	s.Line(1, 5, 50, 5, draw.Stroke(draw.Ink, 0.3))
	var b bytes.Buffer
	if err := draw.PDF(&b, []draw.Scene{s}, draw.PDFOptions{}); err != nil {
		t.Fatal(err)
	}
	page := streams(t, b.Bytes())[0]
	dash, clear := regexp.MustCompile(`\[[\d. ]+[\d][\d. ]*\] 0\.00 d`), regexp.MustCompile(`\[\] 0\.00 d`)
	on := dash.FindStringIndex(page)
	if on == nil {
		t.Fatalf("no dash found in %q", page)
	}
	rest := page[on[1]:]
	drawn := strings.Index(rest, " l")
	off := clear.FindStringIndex(rest)
	if off == nil || off[0] < drawn || strings.Count(rest[:off[0]], " l") != 1 {
		t.Errorf("the dash is not put back right after its line: %q", rest)
	}
}

type entity struct {
	kind string
	vals map[int]string
}

func (e entity) num(t *testing.T, code int) float64 {
	t.Helper()
	v, err := strconv.ParseFloat(e.vals[code], 64)
	if err != nil {
		t.Fatalf("%s code %d: %v", e.kind, code, err)
	}
	return v
}

// entities reads the ENTITIES section of a scene's DXF, pair by pair, and
// checks that every layer used is declared.
func entities(t testing.TB, s draw.Scene) []entity {
	t.Helper()
	var b bytes.Buffer
	if err := draw.DXF(&b, s); err != nil {
		t.Fatal(err)
	}
	sc := bufio.NewScanner(&b)
	var out []entity
	layers, section, table, kind, last := map[string]bool{}, "", "", "", ""
	for sc.Scan() {
		code, err := strconv.Atoi(strings.TrimSpace(sc.Text()))
		if err != nil {
			t.Fatalf("group code %q: %v", sc.Text(), err)
		}
		if !sc.Scan() {
			t.Fatal("a group code without value")
		}
		v := sc.Text()
		switch {
		case code == 0:
			kind, last = v, v
			if section == "ENTITIES" {
				out = append(out, entity{v, map[int]string{}})
			}
		case code == 2 && kind == "SECTION":
			section = v
		case code == 2 && kind == "TABLE":
			table = v
		case code == 2 && kind == "LAYER" && table == "LAYER":
			layers[v] = true
		case section == "ENTITIES":
			out[len(out)-1].vals[code] = v
			if code == 8 && !layers[v] {
				t.Errorf("layer %q is used but not declared", v)
			}
		}
	}
	if last != "EOF" {
		t.Error("the file does not end in EOF")
	}
	return out
}

func TestDXFKinds(t *testing.T) {
	s := draw.NewScene(100, 50, "kinds", "")
	s.Circle(10, 10, 5, draw.Stroke(draw.Ink, 0.2))
	s.Arc(30, 10, 5, 350, 30, draw.Stroke(draw.Ink, 0.2))
	g := s.Child("")
	g.Layer = "cut lines"
	g.Polygon([]draw.Point{{X: 1, Y: 1}, {X: 5, Y: 1}, {X: 5, Y: 4}}, draw.Stroke(draw.Warn, 0.2))
	s.Text(2, 20, "5 ± 1 °C", draw.TextStyle{Size: 4})
	s.Clip(40, 0, 10, 10).Line(30, 5, 60, 5, draw.Stroke(draw.Ink, 0.2))
	got := map[string]entity{}
	for _, e := range entities(t, s) {
		if _, ok := got[e.kind]; !ok {
			got[e.kind] = e
		}
	}
	for _, c := range []struct {
		kind string
		code int
		want float64
	}{{"CIRCLE", 40, 5}, {"CIRCLE", 20, 40}, {"ARC", 50, 350}, {"ARC", 51, 20}, {"POLYLINE", 70, 1},
		{"TEXT", 40, 4 * 1493.0 / 2048}, // capital height of DejaVu Sans over its em
		{"LINE", 10, 40}, {"LINE", 11, 50}} {
		if v := got[c.kind].num(t, c.code); math.Abs(v-c.want) > 6e-4 {
			t.Errorf("%s code %d is %v, want %v", c.kind, c.code, v, c.want)
		}
	}
	if l := got["POLYLINE"].vals[8]; l != "CUT_LINES" {
		t.Errorf("layer %q, want CUT_LINES", l)
	}
	if s := got["TEXT"].vals[1]; s != "5 %%p 1 %%dC" {
		t.Errorf("text %q", s)
	}
}

func TestPNG(t *testing.T) {
	s := draw.NewScene(30, 20, "png", "")
	s.Clip(0, 0, 10, 20).Rect(5, 5, 20, 10, draw.Fill(draw.RGB(255, 0, 0)))
	s.Image(20, 0, 10, 10, draw.Grid{Columns: 2, Rows: 1, RGB: []byte{0, 255, 0, 0, 0, 255}})
	var b bytes.Buffer
	if err := draw.PNG(&b, s, draw.PNGOptions{PerMM: 4, Palette: draw.Print()}); err != nil {
		t.Fatal(err)
	}
	im, err := png.Decode(&b)
	if err != nil {
		t.Fatal(err)
	}
	if im.Bounds().Dx() != 120 || im.Bounds().Dy() != 80 {
		t.Fatalf("size %v, want 120 × 80", im.Bounds())
	}
	for _, c := range []struct {
		x, y float64 // mm
		want string
	}{{2, 10, "ffffff"}, {8, 10, "ff0000"}, {12, 10, "ffffff"}, {24.8, 5, "00ff00"}, {25.2, 5, "0000ff"}, {28, 15, "ffffff"}} {
		r, g, bl, _ := im.At(int(c.x*4), int(c.y*4)).RGBA()
		if got := fmt.Sprintf("%02x%02x%02x", r>>8, g>>8, bl>>8); got != c.want {
			t.Errorf("at %v, %v mm: %s, want %s", c.x, c.y, got, c.want)
		}
	}
	if err := draw.PNG(io.Discard, draw.NewScene(20000, 20000, "", ""), draw.PNGOptions{}); err == nil {
		t.Error("a picture of 14 400 million pixels was not refused")
	}
}

func TestBadSizesAreRefused(t *testing.T) {
	for _, wh := range [][2]float64{{0, 10}, {10, -1}, {math.NaN(), 10}, {math.Inf(1), 10}, {10, 1e6}} {
		s := draw.NewScene(wh[0], wh[1], "bad", "")
		if draw.SVG(io.Discard, s, draw.SVGOptions{}) == nil || draw.DXF(io.Discard, s) == nil ||
			draw.PNG(io.Discard, s, draw.PNGOptions{}) == nil || draw.PDF(io.Discard, []draw.Scene{s}, draw.PDFOptions{}) == nil {
			t.Errorf("a scene of %v × %v mm was not refused", wh[0], wh[1])
		}
	}
	if draw.PDF(io.Discard, nil, draw.PDFOptions{}) == nil {
		t.Error("a PDF without pages was not refused")
	}
}

// Whatever is drawn, the SVG is well-formed and holds no NaN or infinity, the
// text in it is the text that went in, and the DXF stays readable.
func TestAnySceneIsWritten(t *testing.T) {
	number := rapid.OneOf(rapid.Float64Range(-500, 500), rapid.SampledFrom([]float64{0, math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e-300, 1e9}))
	rapid.Check(t, func(rt *rapid.T) {
		s := draw.NewScene(200, 100, rapid.String().Draw(rt, "title"), "")
		g := &s.Group
		var words []string
		for range rapid.IntRange(0, 12).Draw(rt, "items") {
			n := func() float64 { return number.Draw(rt, "n") }
			st := draw.Style{Stroke: draw.Paint(rapid.IntRange(0, 20).Draw(rt, "stroke")), Width: rapid.Float64Range(0, 2).Draw(rt, "w"),
				Dash: draw.Dash(rapid.IntRange(0, 3).Draw(rt, "dash")), Fill: draw.Paint(rapid.IntRange(0, 20).Draw(rt, "fill"))}
			switch rapid.IntRange(0, 8).Draw(rt, "kind") {
			case 0:
				g.Line(n(), n(), n(), n(), st)
			case 1:
				g.Polygon([]draw.Point{{X: n(), Y: n()}, {X: n(), Y: n()}, {X: n(), Y: n()}}, st)
			case 2:
				g.RoundRect(n(), n(), n(), n(), n(), st)
			case 3:
				g.Circle(n(), n(), n(), st)
			case 4:
				g.Arc(n(), n(), n(), n(), n(), st)
			case 5:
				w := rapid.StringMatching(`[ -~µλ°²–]{1,20}`).Draw(rt, "text")
				words = append(words, w)
				g.Text(rapid.Float64Range(0, 200).Draw(rt, "x"), 5, w, draw.TextStyle{Angle: rapid.Float64Range(-180, 180).Draw(rt, "angle")})
			case 6:
				g = g.Clip(10, 10, 50, 50)
			case 7:
				g.Hatch([]draw.Point{{X: n(), Y: n()}, {X: n(), Y: n()}, {X: n(), Y: n()}}, n(), 3, st)
			case 8:
				g.Dim(draw.Point{X: n(), Y: n()}, draw.Point{X: n(), Y: n()}, 5, "", draw.DimStyle{Arrows: true})
			}
		}
		var b bytes.Buffer
		if err := draw.SVG(&b, s, draw.SVGOptions{}); err != nil {
			rt.Fatal(err)
		}
		if bytes.Contains(b.Bytes(), []byte("NaN")) || bytes.Contains(b.Bytes(), []byte("Inf")) {
			if !strings.Contains(s.Title+strings.Join(words, ""), "NaN") && !strings.Contains(s.Title+strings.Join(words, ""), "Inf") {
				rt.Fatalf("a number that is none was written:\n%s", b.String())
			}
		}
		dec := xml.NewDecoder(&b)
		var got []string
		in := false
		for {
			tok, err := dec.Token()
			if err == io.EOF {
				break
			}
			if err != nil {
				rt.Fatalf("not well-formed: %v", err)
			}
			switch el := tok.(type) {
			case xml.StartElement:
				in = el.Name.Local == "text"
			case xml.CharData:
				if in {
					got = append(got, string(el))
				}
			case xml.EndElement:
				in = false
			}
		}
		if strings.Join(got, "|") != strings.Join(words, "|") {
			rt.Fatalf("text %q, want %q", got, words)
		}
		entities(t, s)
	})
}

// A browser drops spaces at the ends of text, so a picture must not rely on
// them; this states what SVG keeps: roles twice, axes as data, a name for
// screen readers.
func TestSVGCarriesMeaning(t *testing.T) {
	s := draw.NewScene(50, 50, "A <title>", "What it shows.")
	g := s.Child("axes")
	g.Attr("x-min", "380")
	g.Title = "axes & all"
	g.Focus = true
	g.Line(1, 1, 2, 2, draw.Stroke(draw.Accent, 0.5))
	out := svg(t, s, draw.SVGOptions{ID: "p1", Palette: draw.Dark(), Fluid: true})
	for _, want := range []string{`role="img" aria-labelledby="p1-title p1-desc"`, `<title id="p1-title">A &lt;title&gt;</title>`, `<desc id="p1-desc">What it shows.</desc>`,
		`<g id="p1-axes" tabindex="0" role="img" aria-label="axes &amp; all" data-x-min="380"><title>axes &amp; all</title>`, `class="s-accent"`, `stroke="#f08a52"`} {
		if !strings.Contains(out, want) {
			t.Errorf("no %s in\n%s", want, out)
		}
	}
	if strings.Contains(out, `width="50mm"`) {
		t.Error("a fluid picture states its width")
	}
}

func BenchmarkSVG(b *testing.B) {
	s := sampler()
	for b.Loop() {
		if err := draw.SVG(io.Discard, s, draw.SVGOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPNG(b *testing.B) {
	s := sampler()
	for b.Loop() {
		if err := draw.PNG(io.Discard, s, draw.PNGOptions{}); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkPDF(b *testing.B) {
	for b.Loop() {
		if err := specimen(draw.A4).PDF(io.Discard); err != nil {
			b.Fatal(err)
		}
	}
}
