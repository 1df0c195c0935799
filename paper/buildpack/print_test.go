package buildpack

import (
	"bytes"
	"html"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/sample"
)

var sizes = map[string]draw.PageSize{"A4": draw.A4, "Letter": draw.Letter}

// Page 1 carries figures and cautions, no word runs off a page, and there are
// pages enough to follow.
func TestPages(t *testing.T) {
	for name, size := range sizes {
		for i, kept := range made(t) {
			if kept == nil {
				continue
			}
			p := *kept
			p.in.Size = size
			pages, err := p.Pages()
			if err != nil {
				t.Fatal(err)
			}
			if len(pages) < 8 {
				t.Errorf("%s, lamp %d: %d pages; at least 8 are wanted", name, i, len(pages))
			}
			first := words(pages[0])
			for _, want := range []string{"illuminance at the meter", "mean luminance of the face", "hottest strip", "Mains", "Eyes", "Health", "advises patients against home-made lamps", "licensed electrician", "price of the first lamp"} {
				if !strings.Contains(first, want) {
					t.Errorf("%s, lamp %d: page 1 does not say %q", name, i, want)
				}
			}
			w, h := size.Size()
			for n, s := range pages {
				if strings.HasPrefix(s.Title, "Template") {
					checkSheet(t, s, w, h)
					continue
				}
				if math.Abs(s.Width-w) > 1e-9 || math.Abs(s.Height-h) > 1e-9 {
					t.Errorf("%s: page %d is %.1f × %.1f mm", name, n+1, s.Width, s.Height)
				}
				for _, k := range s.Labels() {
					if !k.Box.Inside(draw.Rect{X: 8, Y: 8, W: w - 16, H: h - 16}) {
						t.Errorf("%s, lamp %d, page %d: %q at %.1f %.1f runs into the margin", name, i, n+1, k.Text, k.Box.X, k.Box.Y)
					}
				}
			}
		}
	}
}

// checkSheet looks at one sheet of the tiled template: of the paper's size,
// either way round, its check rule 100.0 mm long and clear of the printer's
// edge.
func checkSheet(t *testing.T, s draw.Scene, w, h float64) {
	t.Helper()
	if math.Abs(s.Width-w) > 1e-9 && math.Abs(s.Width-h) > 1e-9 || math.Abs(s.Width+s.Height-w-h) > 1e-9 {
		t.Errorf("%s is %.1f × %.1f mm", s.Title, s.Width, s.Height)
	}
	var zero, hundred []draw.Label
	for _, k := range s.Labels() {
		if k.Box.Y > s.Height-20 && k.Box.Inside(draw.Rect{X: 8, Y: 8, W: s.Width - 16, H: s.Height - 16}) {
			switch k.Text {
			case "0":
				zero = append(zero, k)
			case "100":
				hundred = append(hundred, k)
			}
		}
	}
	if len(zero) != 1 || len(hundred) != 1 {
		t.Fatalf("%s: %d and %d ends of a check rule in its foot", s.Title, len(zero), len(hundred))
	}
	if d := hundred[0].Box.X + hundred[0].Box.W/2 - zero[0].Box.X - zero[0].Box.W/2; math.Abs(d-100) > 1e-6 {
		t.Errorf("%s: its rule is %.4f mm long", s.Title, d)
	}
}

// The check rule and the rulers keep their millimetres on the page: the numbers
// 0 and 100 stand 100.0 mm apart.
func TestRulerOnThePage(t *testing.T) {
	p := pack(t, input(t, nil))
	pages, err := p.Pages()
	if err != nil {
		t.Fatal(err)
	}
	found := 0
	for _, s := range pages {
		if !strings.Contains(words(s), "Rulers at true scale") {
			continue
		}
		ls := s.Labels()
		mid := func(k draw.Label) float64 { return k.Box.X + k.Box.W/2 }
		for _, a := range ls {
			for _, b := range ls {
				if a.Text == "0" && b.Text == "100" && math.Abs(a.Box.Y-b.Box.Y) < 0.01 {
					found++
					if d := mid(b) - mid(a); math.Abs(d-100) > 1e-6 {
						t.Errorf("from 0 to 100 is %.3f mm", d)
					}
				}
			}
		}
	}
	if want := 1 + len(p.Plan().Buses); found != want {
		t.Errorf("%d scales from 0 to 100 found, want %d", found, want)
	}
}

func TestSameBytes(t *testing.T) {
	make := func() (pdf, page, lists []byte) {
		p := pack(t, input(t, sample.Twin))
		var a, b, c bytes.Buffer
		for _, err := range []error{p.PDF(&a), p.HTML(&b), p.ShoppingCSV(&c), p.CutCSV(&c), p.WireCSV(&c)} {
			if err != nil {
				t.Fatal(err)
			}
		}
		return a.Bytes(), b.Bytes(), c.Bytes()
	}
	a, b, c := make()
	x, y, z := make()
	if !bytes.Equal(a, x) || !bytes.Equal(b, y) || !bytes.Equal(c, z) {
		t.Error("the same lamp gave other bytes")
	}
}

// tool runs a program on a PDF, or skips when it is not there.
func tool(t *testing.T, pdf []byte, name string, args ...string) string {
	t.Helper()
	path, err := exec.LookPath(name)
	if err != nil {
		t.Skipf("%s is not installed", name)
	}
	file := filepath.Join(t.TempDir(), "pack.pdf")
	if err := os.WriteFile(file, pdf, 0o600); err != nil {
		t.Fatal(err)
	}
	for i := range args {
		if args[i] == "FILE" {
			args[i] = file
		}
	}
	out, err := exec.Command(path, args...).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: %v\n%s", name, err, out)
	}
	return string(out)
}

func pdfOf(t *testing.T, change func(*lamp.Spec)) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := pack(t, input(t, change)).PDF(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// The words of the printed pack can be selected and read back.
func TestPrintedText(t *testing.T) {
	text := tool(t, pdfOf(t, nil), "pdftotext", "FILE", "-")
	text = strings.Join(strings.Fields(text), " ")
	for _, want := range []string{"Build pack: Bench lamp", "Shopping list", "Cut list", "Wiring and polarity", "Sheet of readings", "Table of faults", "Building it, step by step", "What this rests on", "Hold A6.", "St John's wort"} {
		if !strings.Contains(text, want) {
			t.Errorf("%q is not in the text of the PDF", want)
		}
	}
}

// In the file itself the check rule's 0 and 100 lie 283.46 pt apart.
func TestPrintedRuler(t *testing.T) {
	out := tool(t, pdfOf(t, nil), "pdftotext", "-bbox", "FILE", "-")
	word := regexp.MustCompile(`<word xMin="([\d.]+)" yMin="([\d.]+)" xMax="([\d.]+)" yMax="[\d.]+">(0|100)</word>`)
	num := func(s string) float64 { x, _ := strconv.ParseFloat(s, 64); return x }
	ok := 0
	for _, pg := range strings.Split(out, "<page ") {
		ms := word.FindAllStringSubmatch(pg, -1)
		for _, a := range ms {
			for _, b := range ms {
				if a[4] != "0" || b[4] != "100" || math.Abs(num(a[2])-num(b[2])) > 0.1 {
					continue
				}
				d := ((num(b[1]) + num(b[3])) - (num(a[1]) + num(a[3]))) / 2 * 25.4 / 72
				if math.Abs(d-100) < 0.05 {
					ok++
				}
			}
		}
	}
	if ok < 3 {
		t.Errorf("%d scales of 100.0 mm found in the file, want the check rule and two rulers", ok)
	}
}

func TestFontsAreEmbedded(t *testing.T) {
	out := tool(t, pdfOf(t, nil), "pdffonts", "FILE")
	lines := strings.Split(strings.TrimSpace(out), "\n")
	if len(lines) < 3 {
		t.Fatalf("no fonts listed:\n%s", out)
	}
	for _, l := range lines[2:] {
		f := strings.Fields(l)
		if len(f) < 5 || f[len(f)-5] != "yes" {
			t.Errorf("not embedded: %s", l)
		}
	}
}

// The page holds every word that the paper holds, and needs nothing from
// elsewhere.
func TestHTMLHasTheSameWords(t *testing.T) {
	p := pack(t, input(t, sample.Twin))
	var b bytes.Buffer
	if err := p.HTML(&b); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, k := range p.text {
		for _, s := range []string{k.Lead, k.Text} {
			if s != "" && !strings.Contains(page, html.EscapeString(s)) {
				t.Errorf("missing on the page: %q", s)
			}
		}
		for _, r := range k.Table.Rows {
			for _, c := range r.Cells {
				if !strings.Contains(page, html.EscapeString(c)) {
					t.Errorf("missing in a table of the page: %q", c)
				}
			}
		}
	}
	for _, bad := range []string{"src=\"http", "href=\"http", "url(http", "<script", "@import"} {
		if strings.Contains(page, bad) {
			t.Errorf("the page reaches out by %q", bad)
		}
	}
	ids := map[string]bool{}
	for _, m := range regexp.MustCompile(` id="([^"]+)"`).FindAllStringSubmatch(page, -1) {
		if ids[m[1]] {
			t.Errorf("id %q stands twice", m[1])
		}
		ids[m[1]] = true
	}
}

// Nothing in a pack promises an effect on health.
func TestNoPromise(t *testing.T) {
	p := pack(t, input(t, nil))
	for _, b := range p.text {
		s := strings.ToLower(blockText(b))
		for _, bad := range []string{"cures", "heals", "will help", "treats your", "improves your", "proven to"} {
			if strings.Contains(s, bad) {
				t.Errorf("%q in %q", bad, s)
			}
		}
	}
}
