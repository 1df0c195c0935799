// Package script holds a document in reading order, once for paper and for
// HTML: headings, text, lists, tables and pictures. Lay sets it on pages, HTML
// writes the same words and pictures as markup.
package script

import (
	"fmt"

	"dawnsmith/paper/draw"
)

// Kind is a kind of block on a page.
type Kind uint8

// The kinds of block.
const (
	Heading Kind = iota
	Paragraph
	Note
	Bullet
	Check
	IfNot
	Step
	Caution
	Table
	Figure // at true scale
	Fit    // a picture whose scale does not matter
	Break
	Need
	Sheets // true scale, tiled over pages of their own on paper
)

// Block is one thing on a page, the same for paper and for HTML.
type Block struct {
	Kind  Kind
	Level int    // of a heading, 0 is the title
	Lead  string // bold, or a number, or a title
	Text  string
	Table draw.Table
	Scene draw.Scene
	// Narrow, if it has a size, stands for Scene on a narrow screen.
	Narrow draw.Scene
	MM     float64
	// ID is the block's address in HTML; "" for none. RowIDs are those of a
	// table's rows.
	ID     string
	RowIDs []string
}

// Script is a document in reading order.
type Script []Block

// Add appends a block.
func (s *Script) Add(b Block) { *s = append(*s, b) }

// Name gives the last block an address in HTML.
func (s *Script) Name(id string) { (*s)[len(*s)-1].ID = id }

// Heading sets a heading; level 0 is the title.
func (s *Script) Heading(level int, text string) {
	s.Add(Block{Kind: Heading, Level: level, Text: text})
}

// Paragraph sets running text.
func (s *Script) Paragraph(text string) { s.Add(Block{Kind: Paragraph, Text: text}) }

// Note sets text small and soft.
func (s *Script) Note(text string) { s.Add(Block{Kind: Note, Text: text}) }

// Bullet sets one item of a list.
func (s *Script) Bullet(text string) { s.Add(Block{Kind: Bullet, Text: text}) }

// Check sets one item with a box to tick.
func (s *Script) Check(lead, text string) { s.Add(Block{Kind: Check, Lead: lead, Text: text}) }

// IfNot says what to do when the check before it fails.
func (s *Script) IfNot(text string) { s.Add(Block{Kind: IfNot, Lead: "If not:", Text: text}) }

// Step sets one numbered item.
func (s *Script) Step(number, text string) { s.Add(Block{Kind: Step, Lead: number, Text: text}) }

// Caution sets a warning.
func (s *Script) Caution(title, text string) {
	s.Add(Block{Kind: Caution, Lead: title, Text: text})
}

// Table sets a table.
func (s *Script) Table(t draw.Table) { s.Add(Block{Kind: Table, Table: t}) }

// Figure sets a picture at true scale.
func (s *Script) Figure(c draw.Scene, caption string) {
	s.Add(Block{Kind: Figure, Scene: c, Text: caption})
}

// Fit sets a picture no higher than mm, shrunk if need be.
func (s *Script) Fit(c draw.Scene, caption string, mm float64) {
	s.Add(Block{Kind: Fit, Scene: c, Text: caption, MM: mm})
}

// Sheets tiles a drawing at true scale over pages of its own.
func (s *Script) Sheets(c draw.Scene, bookmark string) {
	s.Add(Block{Kind: Sheets, Scene: c, Text: bookmark})
}

// Page starts a new page on paper.
func (s *Script) Page() { s.Add(Block{Kind: Break}) }

// Need keeps mm of height together on paper.
func (s *Script) Need(mm float64) { s.Add(Block{Kind: Need, MM: mm}) }

// Lay sets the script on paper.
func (s Script) Lay(d *draw.Document, size draw.PageSize) error {
	for _, b := range s {
		switch b.Kind {
		case Heading:
			d.Heading(b.Level, b.Text)
		case Paragraph:
			d.Paragraph(b.Text)
		case Note:
			d.Note(b.Text)
		case Bullet:
			d.Bullet(b.Text)
		case Check:
			d.Check(b.Lead, b.Text)
		case IfNot:
			d.Para(b.Text, draw.Para{Lead: b.Lead, Indent: 6.5})
		case Step:
			d.Step(b.Lead, b.Text)
		case Caution:
			d.Caution(b.Lead, b.Text)
		case Table:
			d.Table(b.Table)
		case Figure:
			d.Figure(b.Scene, b.Text)
		case Fit:
			d.FigureFit(b.Scene, b.Text, b.MM)
		case Break:
			d.Break()
		case Need:
			d.Need(b.MM)
		case Sheets:
			tiles, err := draw.Tile(b.Scene, size, 0)
			if err != nil {
				return fmt.Errorf("%s: %w", b.Text, err)
			}
			for i, t := range tiles {
				mark := ""
				if i == 0 {
					mark = b.Text
				}
				d.Add(t, mark)
			}
		}
	}
	return nil
}
