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

func TestDocumentLook(t *testing.T) {
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
