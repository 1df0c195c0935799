package draw

import (
	"fmt"
	"io"
	"slices"
	"time"
)

// PageSize is a paper format.
type PageSize uint8

const (
	A4     PageSize = iota // 210 × 297 mm, ISO 216
	Letter                 // 215.9 × 279.4 mm, ANSI A
)

// Size gives width and height in mm, upright.
func (p PageSize) Size() (w, h float64) {
	if p == Letter {
		return 215.9, 279.4
	}
	return 210, 297
}

// DocumentOptions says what a [Document]'s pages are like.
type DocumentOptions struct {
	Title   string
	Subject string
	Author  string
	Size    PageSize
	// Landscape turns the pages.
	Landscape bool
	// Margin is the blank edge in mm; 0 means 18.
	Margin float64
	// Header stands at the top of every page but the first, Footer at the foot
	// of every page beside "page n of m". One line each.
	Header, Footer string
	Palette        Palette   // for PDF; the zero value is Print
	Date           time.Time // stamped into the file, see [PDFOptions]
	Language       string    // BCP 47; empty means "en"
	Attachments    []Attachment
}

// Document sets text, tables and scenes one under the other on pages. Its
// methods add to it in reading order; the first mistake is kept and returned
// by [Document.Pages] and [Document.PDF].
type Document struct {
	o      DocumentOptions
	w, h   float64
	margin float64
	pages  []*Scene
	y      float64 // where the next block goes, mm from the top
	marks  []Bookmark
	whole  map[int]bool // pages taken as they are, by [Document.Add]
	err    error
	gap    float64 // wanted before the next block
}

// Heights kept for header and footer within the margins' inner side, mm.
const (
	headerRoom = 8.0
	footerRoom = 8.0
)

// NewDocument starts a document with one empty page.
func NewDocument(o DocumentOptions) *Document {
	d := &Document{o: o, margin: o.Margin, whole: map[int]bool{}}
	if d.margin == 0 {
		d.margin = 18
	}
	d.w, d.h = o.Size.Size()
	if o.Landscape {
		d.w, d.h = d.h, d.w
	}
	if !(d.margin > 0 && d.margin < d.w/3) {
		d.fail(fmt.Errorf("margin %v mm; allowed is above 0 and below a third of the page's width", d.margin))
		d.margin = 18
	}
	d.Break()
	return d
}

func (d *Document) fail(err error) {
	if d.err == nil {
		d.err = err
	}
}

func (d *Document) page() *Scene { return d.pages[len(d.pages)-1] }

// Width is the width of the text column in mm.
func (d *Document) Width() float64 { return d.w - 2*d.margin }

// Room is the height left on the page in mm.
func (d *Document) Room() float64 { return d.bottom() - d.y - d.gap }

func (d *Document) bottom() float64 { return d.h - d.margin - footerRoom }

func (d *Document) top() float64 {
	if len(d.pages) > 1 && d.o.Header != "" {
		return d.margin + headerRoom
	}
	return d.margin
}

// Break starts a new page.
func (d *Document) Break() {
	n := len(d.pages) + 1
	s := NewScene(d.w, d.h, fmt.Sprintf("%s, page %d", d.o.Title, n), "")
	d.pages = append(d.pages, &s)
	d.y, d.gap = d.top(), 0
}

// Space leaves at least mm of white before the next block, except at the top
// of a page.
func (d *Document) Space(mm float64) { d.gap = max(d.gap, mm) }

// Need breaks the page unless mm of height are left.
func (d *Document) Need(mm float64) {
	if d.Room() < mm && d.y > d.top() {
		d.Break()
	}
}

// block makes room for a block of the given height and returns where it goes.
func (d *Document) block(high, before, after float64) float64 {
	d.Space(before)
	d.Need(high)
	if d.y <= d.top() {
		d.gap = 0
	}
	y := d.y + d.gap
	d.y, d.gap = y+high, after
	return y
}

// lineHeight is the distance between baselines for a type size.
func lineHeight(size float64) float64 { return size * Leading }

// Heading sets a heading and a bookmark. Level 0 is the document's title,
// 1 a section, 2 a part of one. It stays with what follows.
func (d *Document) Heading(level int, s string) {
	size, before, after := SizeHead, 7.0, 1.8
	switch {
	case level <= 0:
		size, before, after = SizeTitle*1.25, 0.0, 3.5
	case level >= 2:
		size, before, after = SizeBody, 4.5, 1.0
	}
	lines := Wrap(s, d.Width(), size, true)
	high := float64(len(lines)) * lineHeight(size)
	d.Space(before)
	d.Need(high + after + 3*lineHeight(SizeBody))
	y := d.block(high, before, after)
	d.marks = append(d.marks, Bookmark{Text: s, Level: max(level, 0), Page: len(d.pages) - 1, Y: y})
	d.lines(d.margin, y, lines, TextStyle{Size: size, Bold: true})
}

// lines sets lines from the top y down.
func (d *Document) lines(x, y float64, lines []string, t TextStyle) {
	for i, l := range lines {
		d.page().Text(x, y+float64(i)*lineHeight(t.Size)+t.Size*1.05, l, t)
	}
}

// Caution sets a warning: a heavy bar at the left, a title and text. It is
// kept whole.
func (d *Document) Caution(title, s string) {
	const indent = 5.0
	head := Wrap(title, d.Width()-indent, SizeBody, true)
	body := Wrap(s, d.Width()-indent, SizeBody, false)
	lh := lineHeight(SizeBody)
	high := float64(len(head)+len(body))*lh + 1.5
	y := d.block(high, 2, 3)
	d.page().Rect(d.margin, y, 1.1, high, Fill(Warn))
	d.lines(d.margin+indent, y+0.5, head, TextStyle{Size: SizeBody, Bold: true, Paint: Warn})
	d.lines(d.margin+indent, y+0.5+float64(len(head))*lh, body, TextStyle{Size: SizeBody})
}

// Figure sets a scene at true scale with a caption under it, kept whole. A
// scene larger than the text area is an error, never a shrunken drawing; see
// [Document.FigureFit] for pictures whose scale does not matter and [Tile] for
// templates over several pages.
func (d *Document) Figure(s Scene, caption string) { d.figure(s, caption, 1) }

// FigureFit sets a scene no wider than the text and no higher than maxHigh mm
// (0: the page), shrunk if need be. Not for drawings to measure from.
func (d *Document) FigureFit(s Scene, caption string, maxHigh float64) {
	room := d.bottom() - d.margin - headerRoom - 12
	if maxHigh == 0 || maxHigh > room {
		maxHigh = room
	}
	d.figure(s, caption, min(1, d.Width()/max(s.Width-2*s.Blank, 1), maxHigh/s.Height))
}

func (d *Document) figure(s Scene, caption string, k float64) {
	if err := checkSize(s); err != nil {
		d.fail(err)
		return
	}
	var lines []string
	if caption != "" {
		lines = Wrap(caption, d.Width(), SizeSmall*1.08, false)
	}
	blank := min(max(s.Blank*k, 0), d.margin-4)
	high := s.Height*k - blank/2 + float64(len(lines))*lineHeight(SizeSmall*1.08) + 1
	if s.Width*k-2*blank > d.Width()+1e-6 || high > d.bottom()-d.margin-headerRoom {
		d.fail(fmt.Errorf("figure %q is %.0f × %.0f mm; the page has room for %.0f × %.0f mm",
			s.Title, s.Width, s.Height, d.Width(), d.bottom()-d.margin-headerRoom-(high-s.Height*k)))
		return
	}
	y := d.block(high, 3, 4)
	d.page().Place(s, d.margin-blank, y-blank/2, k)
	d.lines(d.margin, y+s.Height*k-blank/2+1, lines, TextStyle{Size: SizeSmall * 1.08, Paint: Soft})
}

// Add appends a whole page of its own size, such as one of [Tile]'s, and goes
// on with a fresh page after it if anything follows.
func (d *Document) Add(s Scene, bookmark string) {
	blank := d.y <= d.top()
	if blank {
		d.pages = d.pages[:len(d.pages)-1]
	}
	s.Group.at, s.Group.scale = Point{}, 0
	d.pages = append(d.pages, &s)
	d.whole[len(d.pages)-1] = true
	if bookmark != "" {
		d.marks = append(d.marks, Bookmark{Text: bookmark, Level: 1, Page: len(d.pages) - 1})
	}
	d.y, d.gap = d.bottom()+1, 0 // full: whatever follows breaks
}

// Pages gives the finished pages, with header, footer and page numbers.
func (d *Document) Pages() ([]Scene, error) {
	if d.err != nil {
		return nil, d.err
	}
	out := make([]Scene, 0, len(d.pages))
	small := TextStyle{Size: SizeSmall, Paint: Soft}
	for i, p := range d.pages {
		s := *p
		// Added to a copy, so that asking twice does not print twice.
		s.items = slices.Clone(p.items)
		if d.whole[i] {
			out = append(out, s)
			continue
		}
		if i > 0 && d.o.Header != "" {
			s.Text(d.margin, d.margin+1, Shorten(d.o.Header, s.Width-2*d.margin, SizeSmall, false), small)
			s.Line(d.margin, d.margin+2.6, s.Width-d.margin, d.margin+2.6, Stroke(Faint, WidthThin))
		}
		foot := s.Height - d.margin + 1
		number := fmt.Sprintf("page %d of %d", i+1, len(d.pages))
		right := small
		right.Align = Right
		s.Text(s.Width-d.margin, foot, number, right)
		room := s.Width - 2*d.margin - TextWidth(number, SizeSmall, false) - 6
		s.Text(d.margin, foot, Shorten(d.o.Footer, room, SizeSmall, false), small)
		out = append(out, s)
	}
	return out, nil
}

// PDF writes the document.
func (d *Document) PDF(w io.Writer) error {
	pages, err := d.Pages()
	if err != nil {
		return err
	}
	return PDF(w, pages, PDFOptions{Title: d.o.Title, Subject: d.o.Subject, Author: d.o.Author,
		Palette: d.o.Palette, Date: d.o.Date, Bookmarks: d.marks, Language: d.o.Language, Attachments: d.o.Attachments})
}
