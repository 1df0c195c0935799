package draw

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"time"

	"codeberg.org/go-pdf/fpdf"
)

// PDFOptions says how [PDF] writes.
type PDFOptions struct {
	Title, Subject, Author string
	Palette                Palette   // the zero value is Print
	Date                   time.Time // stamped into the file; zero means 1 January 2000, so that the same pages give the same bytes
	Bookmarks              []Bookmark
	Language               string // BCP 47; empty means "en"
	Attachments            []Attachment
}

// Attachment is a file carried inside a PDF, for a reader to take out again.
type Attachment struct {
	Name string // of the file
	Text string // what it is, in some words
	Data []byte
}

// Bookmark is one entry of the outline a reader shows beside the pages.
type Bookmark struct {
	Text  string
	Level int     // 0 is the outermost
	Page  int     // from 0
	Y     float64 // mm from the top of the page
}

// PDF writes each scene as a page of its own size at true scale. Text can be
// selected and searched; the fonts are embedded, only the signs used.
func PDF(w io.Writer, pages []Scene, o PDFOptions) error {
	if len(pages) == 0 {
		return fmt.Errorf("a PDF needs at least one page")
	}
	if o.Palette.Name == "" {
		o.Palette = Print()
	}
	if o.Date.IsZero() {
		o.Date = time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC)
	}
	if o.Language == "" {
		o.Language = "en"
	}
	f := fpdf.NewCustom(&fpdf.InitType{UnitStr: "mm", Size: fpdf.SizeType{Wd: pages[0].Width, Ht: pages[0].Height}})
	f.SetCatalogSort(true)
	f.SetCreationDate(o.Date)
	f.SetModificationDate(o.Date)
	f.SetTitle(o.Title, true)
	f.SetSubject(o.Subject, true)
	f.SetAuthor(o.Author, true)
	f.SetCreator("Dawnsmith", true)
	f.SetLang(o.Language)
	f.SetMargins(0, 0, 0)
	f.SetAutoPageBreak(false, 0)
	f.SetDisplayMode("default", "default")
	var files []fpdf.Attachment
	for _, a := range o.Attachments {
		files = append(files, fpdf.Attachment{Content: a.Data, Filename: a.Name, Description: a.Text})
	}
	f.SetAttachments(files)
	regular, bold := FontFiles()
	f.AddUTF8FontFromBytes(pdfFamily, "", regular)
	f.AddUTF8FontFromBytes(pdfFamily, "B", bold)
	v := &pdfWriter{f: f, pal: o.Palette, pictures: map[[32]byte]string{}}
	marks := o.Bookmarks
	for i := range pages {
		if err := checkSize(pages[i]); err != nil {
			return err
		}
		f.AddPageFormat("P", fpdf.SizeType{Wd: pages[i].Width, Ht: pages[i].Height})
		v.page(&pages[i])
		for ; len(marks) > 0 && marks[0].Page == i; marks = marks[1:] {
			f.SetFont(pdfFamily, "", 10)
			f.Bookmark(marks[0].Text, marks[0].Level, marks[0].Y)
		}
	}
	if len(marks) > 0 {
		return fmt.Errorf("bookmark %q points to page %d; the pages run from 0 to %d and bookmarks go in page order", marks[0].Text, marks[0].Page, len(pages)-1)
	}
	var b bytes.Buffer
	if err := f.Output(&b); err != nil {
		return fmt.Errorf("write PDF: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

const pdfFamily = "dejavu"

// pdfWriter draws items onto the current page. Every item sets all it needs
// and puts back what the library remembers, since a dash or a fill left behind
// would show in whatever comes next.
type pdfWriter struct {
	f        *fpdf.Fpdf
	pal      Palette
	pictures map[[32]byte]string
}

func (v *pdfWriter) page(s *Scene) {
	v.reset()
	if r, g, b, _ := v.pal.Colour(Paper); r&g&b != 255 {
		v.shape(shape{kind: kindRect, pts: []Point{{0, 0}, {s.Width, s.Height}}, style: Fill(Paper)})
	}
	walk(s, v)
}

func (v *pdfWriter) reset() {
	v.f.SetDashPattern(nil, 0)
	v.f.SetFillColor(255, 255, 255)
	v.f.SetDrawColor(0, 0, 0)
	v.f.SetTextColor(0, 0, 0)
	v.f.SetLineWidth(WidthThin)
	v.f.SetLineCapStyle("round")
	v.f.SetLineJoinStyle("round")
}

func (v *pdfWriter) begin(_ *Group, clip []Point) {
	if clip == nil {
		return
	}
	ps := make([]fpdf.PointType, len(clip))
	for i, p := range clip {
		ps[i] = fpdf.PointType{X: p.X, Y: p.Y}
	}
	v.f.ClipPolygon(ps, false)
}

func (v *pdfWriter) end(g *Group) {
	if g.clip != nil {
		v.f.ClipEnd()
		v.forgetFont()
		v.reset()
	}
}

// forgetFont makes the library write the font again: restoring the graphics
// state after a clip or a turn also restored an older font.
func (v *pdfWriter) forgetFont() { v.f.SetFont(pdfFamily, "", 0.5) }

func (v *pdfWriter) shape(s shape) {
	f := v.f
	mode := ""
	if r, g, b, ok := v.pal.Colour(s.style.Fill); ok {
		f.SetFillColor(int(r), int(g), int(b))
		mode = "F"
	}
	if r, g, b, ok := v.pal.Colour(s.style.Stroke); ok {
		f.SetDrawColor(int(r), int(g), int(b))
		f.SetLineWidth(s.style.Width)
		mode += "D"
		if d := s.style.Dash.pattern(s.style.Width); d != nil {
			f.SetLineCapStyle("butt")
			f.SetDashPattern(d, 0)
		}
	}
	pts, cubic, closed := s.outline()
	f.MoveTo(pts[0].X, pts[0].Y)
	if cubic {
		for i := 1; i+2 < len(pts); i += 3 {
			f.CurveBezierCubicTo(pts[i].X, pts[i].Y, pts[i+1].X, pts[i+1].Y, pts[i+2].X, pts[i+2].Y)
		}
	} else {
		for _, p := range pts[1:] {
			f.LineTo(p.X, p.Y)
		}
	}
	if closed {
		f.ClosePath()
	}
	f.DrawPath(mode)
	v.reset()
}

func (v *pdfWriter) text(t text) {
	f := v.f
	weight := ""
	if t.style.Bold {
		weight = "B"
	}
	r, g, b, ok := v.pal.Colour(t.style.Paint)
	if !ok {
		return
	}
	o := t.origin()
	turned := t.style.Angle != 0
	if turned {
		f.TransformBegin()
		f.TransformRotate(t.style.Angle, t.at.X, t.at.Y)
		v.forgetFont()
	}
	f.SetFont(pdfFamily, weight, f.UnitToPointConvert(t.style.Size))
	f.SetTextColor(int(r), int(g), int(b))
	f.Text(o.X, o.Y, t.s)
	if turned {
		f.TransformEnd()
		v.forgetFont()
	}
	v.reset()
}

func (v *pdfWriter) picture(p picture) {
	key := sha256.Sum256(fmt.Appendf(p.grid.RGB[:len(p.grid.RGB):len(p.grid.RGB)], "%d×%d", p.grid.Columns, p.grid.Rows))
	name, known := v.pictures[key]
	opt := fpdf.ImageOptions{ImageType: "PNG"}
	if !known {
		data, err := p.grid.png(enlarge(p.grid))
		if err != nil {
			v.f.SetError(err)
			return
		}
		name = fmt.Sprintf("grid%d", len(v.pictures)+1)
		v.pictures[key] = name
		v.f.RegisterImageOptionsReader(name, opt, bytes.NewReader(data))
	}
	v.f.ImageOptions(name, p.box.X, p.box.Y, p.box.W, p.box.H, false, opt, 0, "")
}
