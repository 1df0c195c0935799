package buildpack

import (
	"fmt"

	"dawnsmith/paper/draw"
)

// blockKind is a kind of block on a page.
type blockKind uint8

const (
	headingBlock blockKind = iota
	paragraphBlock
	noteBlock
	bulletBlock
	checkBlock
	ifNotBlock
	stepBlock
	cautionBlock
	tableBlock
	figureBlock // at true scale
	fitBlock    // a picture whose scale does not matter
	breakBlock
	needBlock
	sheetsBlock // true scale, tiled over pages of their own on paper
)

// block is one thing on a page, the same for paper and for HTML.
type block struct {
	kind  blockKind
	level int
	lead  string // bold, or a number, or a title
	text  string
	table draw.Table
	scene draw.Scene
	mm    float64
}

// script is a pack in reading order.
type script []block

func (s *script) add(b block) { *s = append(*s, b) }

func (s *script) heading(level int, text string) {
	s.add(block{kind: headingBlock, level: level, text: text})
}
func (s *script) paragraph(text string)    { s.add(block{kind: paragraphBlock, text: text}) }
func (s *script) note(text string)         { s.add(block{kind: noteBlock, text: text}) }
func (s *script) bullet(text string)       { s.add(block{kind: bulletBlock, text: text}) }
func (s *script) check(lead, text string)  { s.add(block{kind: checkBlock, lead: lead, text: text}) }
func (s *script) ifNot(text string)        { s.add(block{kind: ifNotBlock, lead: "If not:", text: text}) }
func (s *script) step(number, text string) { s.add(block{kind: stepBlock, lead: number, text: text}) }
func (s *script) caution(title, text string) {
	s.add(block{kind: cautionBlock, lead: title, text: text})
}
func (s *script) table(t draw.Table) { s.add(block{kind: tableBlock, table: t}) }
func (s *script) figure(c draw.Scene, caption string) {
	s.add(block{kind: figureBlock, scene: c, text: caption})
}

// fit sets a picture no higher than mm, shrunk if need be.
func (s *script) fit(c draw.Scene, caption string, mm float64) {
	s.add(block{kind: fitBlock, scene: c, text: caption, mm: mm})
}

// sheets tiles a drawing at true scale over pages of its own.
func (s *script) sheets(c draw.Scene, bookmark string) {
	s.add(block{kind: sheetsBlock, scene: c, text: bookmark})
}

// page starts a new page on paper.
func (s *script) page() { s.add(block{kind: breakBlock}) }

// need keeps mm of height together on paper.
func (s *script) need(mm float64) { s.add(block{kind: needBlock, mm: mm}) }

// lay sets the script on paper.
func (s script) lay(d *draw.Document, size draw.PageSize) error {
	for _, b := range s {
		switch b.kind {
		case headingBlock:
			d.Heading(b.level, b.text)
		case paragraphBlock:
			d.Paragraph(b.text)
		case noteBlock:
			d.Note(b.text)
		case bulletBlock:
			d.Bullet(b.text)
		case checkBlock:
			d.Check(b.lead, b.text)
		case ifNotBlock:
			d.Para(b.text, draw.Para{Lead: b.lead, Indent: 6.5})
		case stepBlock:
			d.Step(b.lead, b.text)
		case cautionBlock:
			d.Caution(b.lead, b.text)
		case tableBlock:
			d.Table(b.table)
		case figureBlock:
			d.Figure(b.scene, b.text)
		case fitBlock:
			d.FigureFit(b.scene, b.text, b.mm)
		case breakBlock:
			d.Break()
		case needBlock:
			d.Need(b.mm)
		case sheetsBlock:
			tiles, err := draw.Tile(b.scene, size, 0)
			if err != nil {
				return fmt.Errorf("%s: %w", b.text, err)
			}
			for i, t := range tiles {
				mark := ""
				if i == 0 {
					mark = b.text
				}
				d.Add(t, mark)
			}
		}
	}
	return nil
}
