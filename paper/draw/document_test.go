package draw_test

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dawnsmith/paper/draw"
)

// specimen is a document with every kind of block, over several pages.
func specimen(size draw.PageSize) *draw.Document {
	d := draw.NewDocument(draw.DocumentOptions{Title: "Glaze bench lamp", Header: "Glaze bench lamp · build pack",
		Footer: "Check the 100 mm rule before using a template.", Size: size})
	d.Heading(0, "Glaze bench lamp")
	d.Paragraph("A lamp for the test-tile shelf of a potter's workshop in Oulu: six rows of strip in a folded tray, behind an opal sheet. " +
		"It gives 5 000 lx at the meter, 0.40 m in front of the face, for one hour.")
	d.Caution("Before you begin", "Mains work stays with certified supplies used as sold. Fit the fuse before the first power-up. Do not look into bare strips from close by.")
	d.Heading(1, "What to buy")
	rows := []draw.Row{}
	for i := range 42 {
		rows = append(rows, draw.Row{Cells: []string{fmt.Sprintf("part %d", i+1), "an invented part with a description long enough to need two lines in its column, at least sometimes", fmt.Sprint(i * 7 % 13), fmt.Sprintf("%.2f", float64(i)*1.37)}})
	}
	rows = append(rows, draw.Row{Cells: []string{"Total", "", "", "1 179.57"}, Bold: true, Rule: true})
	d.Table(draw.Table{Columns: []draw.Column{{Head: "Part"}, {Head: "Description"}, {Head: "Pieces", Align: draw.Right}, {Head: "Price, €", Align: draw.Right}}, Rows: rows})
	d.Heading(1, "How to make it")
	d.Check("Brush out swarf.", "Swarf and solder balls between the pads are the usual cause of a short; a dry brush and a look with a lens find them.")
	d.Check("", "Measure from plus to tray and from minus to tray: both must be open.")
	d.Step("1", "Fold the tray.")
	d.Step("12", "Lay the rows along the scribed lines, plus at the left. "+strings.Repeat("Press down for ten seconds. ", 12))
	d.Bullet("One thing.")
	d.Bullet("Another thing, longer: " + strings.Repeat("word after word ", 20))
	d.Para("run on in the same paragraph, as definitions do. "+strings.Repeat("More of the same. ", 10), draw.Para{Lead: "A bold lead"})
	d.Heading(2, "A part of a section")
	d.Figure(draw.CheckRuler(), "Figure 1. The check rule.")
	d.Note("Source: common practice, no source.")
	d.Table(draw.Table{Boxes: true, Columns: []draw.Column{{Head: "Row"}, {Head: "Voltage, V", Align: draw.Right}, {Head: "Read", Width: 30}}, Rows: []draw.Row{{Cells: []string{"1", "23.8"}}, {Cells: []string{"2", "23.7"}}}})
	return d
}

func TestGoldenDocument(t *testing.T) {
	d := specimen(draw.A4)
	pages, err := d.Pages()
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range pages {
		golden(t, fmt.Sprintf("page-%d", i+1), p)
	}
	if dir := os.Getenv("GALLERY"); dir != "" {
		var b bytes.Buffer
		if err := d.PDF(&b); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "specimen.pdf"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		b.Reset()
		wide := draw.NewScene(620, 320, "Drilling template", "")
		wide.Rect(5, 5, 610, 310, draw.Stroke(draw.Ink, 0.4))
		wide.Line(5, 5, 615, 315, draw.Stroke(draw.Accent, 0.4))
		ts, err := draw.Tile(wide, draw.A4, 0)
		if err != nil {
			t.Fatal(err)
		}
		if err := draw.PDF(&b, ts, draw.PDFOptions{Title: "Template"}); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(filepath.Join(dir, "tiles.pdf"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// words joins the labels of a page.
func words(s draw.Scene) string {
	var out []string
	for _, l := range s.Labels() {
		out = append(out, l.Text)
	}
	return strings.Join(out, " ")
}

func TestDocumentKeepsEverythingOnThePage(t *testing.T) {
	for _, size := range []draw.PageSize{draw.A4, draw.Letter} {
		pages, err := specimen(size).Pages()
		if err != nil {
			t.Fatal(err)
		}
		w, h := size.Size()
		for i, p := range pages {
			if p.Width != w || p.Height != h {
				t.Errorf("page %d is %v × %v mm, want %v × %v", i+1, p.Width, p.Height, w, h)
			}
			labels := p.Labels()
			for j, l := range labels {
				if !l.Box.Inside(draw.Rect{X: 17.9, Y: 15, W: w - 2*17.9, H: h - 30}) {
					t.Errorf("page %d: %q at %v leaves the margins", i+1, l.Text, l.Box)
				}
				for _, o := range labels[j+1:] {
					if l.Box.Overlaps(o.Box) {
						t.Errorf("page %d: %q and %q overlap", i+1, l.Text, o.Text)
					}
				}
			}
			if want := fmt.Sprintf("page %d of %d", i+1, len(pages)); !strings.Contains(words(p), want) {
				t.Errorf("page %d does not say %q", i+1, want)
			}
		}
	}
}

// The head is repeated, rows stay whole and in order, totals are not parted
// from the row before.
func TestTableAcrossPages(t *testing.T) {
	d := draw.NewDocument(draw.DocumentOptions{Title: "t"})
	var rows []draw.Row
	for i := range 95 {
		rows = append(rows, draw.Row{Cells: []string{fmt.Sprintf("r%d", i), "first\nsecond", fmt.Sprintf("%d.50", i)}})
	}
	rows = append(rows, draw.Row{Cells: []string{"sum", "", "4512.50"}, Rule: true, Bold: true})
	d.Table(draw.Table{Columns: []draw.Column{{Head: "Name"}, {Head: "Two lines"}, {Head: "Amount", Align: draw.Right}}, Rows: rows})
	pages, err := d.Pages()
	if err != nil {
		t.Fatal(err)
	}
	if len(pages) < 3 {
		t.Fatalf("%d pages; the table ought to need more", len(pages))
	}
	next := 0
	for i, p := range pages {
		if strings.Count(words(p), "Amount") != 1 {
			t.Errorf("page %d: the head stands %d times", i+1, strings.Count(words(p), "Amount"))
		}
		if strings.Count(words(p), "first") != strings.Count(words(p), "second") {
			t.Errorf("page %d parts a row", i+1)
		}
		right := map[string]bool{}
		for _, l := range p.Labels() {
			if l.Text == fmt.Sprintf("r%d", next) {
				next++
			}
			if strings.HasSuffix(l.Text, ".50") {
				right[fmt.Sprintf("%.3f", l.Box.X+l.Box.W)] = true
			}
		}
		if len(right) > 1 {
			t.Errorf("page %d: numbers end at %v, not in one line", i+1, right)
		}
	}
	if next != 95 {
		t.Errorf("%d rows found in order, want 95", next)
	}
	if last := words(pages[len(pages)-1]); !strings.Contains(last, "r94") || !strings.Contains(last, "sum") {
		t.Errorf("the total is parted from its table: %q", last)
	}
}

func TestDocumentRefuses(t *testing.T) {
	for name, make := range map[string]func(*draw.Document){
		"a figure wider than the text": func(d *draw.Document) { d.Figure(draw.NewScene(300, 20, "wide", ""), "") },
		"a row with too many cells": func(d *draw.Document) {
			d.Table(draw.Table{Columns: []draw.Column{{Head: "a"}}, Rows: []draw.Row{{Cells: []string{"1", "2"}}}})
		},
		"a row higher than a page": func(d *draw.Document) {
			d.Table(draw.Table{Columns: []draw.Column{{Head: "a"}}, Rows: []draw.Row{{Cells: []string{strings.Repeat("line\n", 90)}}}})
		},
	} {
		d := draw.NewDocument(draw.DocumentOptions{Title: "t"})
		make(d)
		if _, err := d.Pages(); err == nil {
			t.Errorf("%s was not refused", name)
		}
		if err := d.PDF(&bytes.Buffer{}); err == nil {
			t.Errorf("%s was written", name)
		}
	}
	if _, err := draw.NewDocument(draw.DocumentOptions{Margin: 100}).Pages(); err == nil {
		t.Error("a margin of 100 mm was not refused")
	}
}

// A long paragraph runs over pages without losing a word or leaving a single
// line.
func TestParagraphsRunOn(t *testing.T) {
	d := draw.NewDocument(draw.DocumentOptions{Title: "t"})
	var want []string
	for i := range 1500 {
		want = append(want, fmt.Sprintf("word%d", i))
	}
	d.Paragraph(strings.Join(want, " "))
	pages, err := d.Pages()
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for i, p := range pages {
		n := 0
		for _, l := range p.Labels() {
			if strings.HasPrefix(l.Text, "word") {
				got = append(got, strings.Fields(l.Text)...)
				n++
			}
		}
		if n == 1 {
			t.Errorf("page %d has a single line", i+1)
		}
	}
	if strings.Join(got, " ") != strings.Join(want, " ") {
		t.Errorf("%d of %d words came out", len(got), len(want))
	}
	if len(pages) < 2 {
		t.Errorf("%d pages: nothing ran on", len(pages))
	}
}

// Tiles together show every part of the scene, at true scale, each place of an
// overlap on both sheets.
func TestTile(t *testing.T) {
	big := draw.NewScene(620, 330, "big", "")
	for x := 5.0; x < 620; x += 10 {
		for y := 5.0; y < 330; y += 10 {
			big.Text(x, y, fmt.Sprintf("%.0f/%.0f", x, y), draw.TextStyle{Size: 1, Align: draw.Centre, Rise: draw.Middle})
		}
	}
	tiles, err := draw.Tile(big, draw.A4, 0)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for _, p := range tiles {
		if min(p.Width, p.Height) != 210 || max(p.Width, p.Height) != 297 {
			t.Errorf("a tile of %v × %v mm", p.Width, p.Height)
		}
		var prev *draw.Label
		for _, l := range p.Labels() {
			var x, y float64
			if n, _ := fmt.Sscanf(l.Text, "%f/%f", &x, &y); n != 2 || !l.Box.Inside(draw.Rect{X: 10, Y: 10, W: p.Width - 20, H: p.Height - 32}) {
				continue
			}
			seen[l.Text]++
			if prev != nil {
				var px, py float64
				fmt.Sscanf(prev.Text, "%f/%f", &px, &py)
				if px == x {
					if d := l.Box.Y - prev.Box.Y; d < y-py-1e-6 || d > y-py+1e-6 {
						t.Fatalf("%s to %s is %v mm, want %v", prev.Text, l.Text, d, y-py)
					}
				}
			}
			prev = &l
		}
	}
	if len(seen) != 62*33 {
		t.Errorf("%d of %d places are on some tile", len(seen), 62*33)
	}
	one, err := draw.Tile(draw.CheckRuler(), draw.Letter, 0)
	if err != nil || len(one) != 1 {
		t.Errorf("the rule takes %d tiles (%v), want one", len(one), err)
	}
	if _, err := draw.Tile(draw.NewScene(9000, 9000, "huge", ""), draw.A4, 0); err == nil {
		t.Error("a thousand tiles were not refused")
	}
}

func ExampleDocument() {
	d := draw.NewDocument(draw.DocumentOptions{Title: "Build pack"})
	d.Heading(0, "Glaze bench lamp")
	d.Check("Fuse.", "Fit it before the first power-up.")
	d.Figure(draw.CheckRuler(), "Measure it before using a template.")
	pages, err := d.Pages()
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println(len(pages), "page of", pages[0].Width, "×", pages[0].Height, "mm")
	// Output: 1 page of 210 × 297 mm
}

func ExampleSVG() {
	s := draw.NewScene(40, 10, "A line", "")
	s.Line(5, 5, 35, 5, draw.Stroke(draw.Accent, 0.5))
	draw.SVG(os.Stdout, s, draw.SVGOptions{})
	// Output:
	// <svg xmlns="http://www.w3.org/2000/svg" class="drawing" width="40mm" height="10mm" viewBox="0 0 40 10" role="img" aria-labelledby="d-title" font-family="'DejaVu Sans', Verdana, sans-serif">
	// <title id="d-title">A line</title>
	// <line x1="5" y1="5" x2="35" y2="5" class="s-accent" fill="none" stroke="#a8401a" stroke-width="0.5" stroke-linecap="round" stroke-linejoin="round"/>
	// </svg>
}
