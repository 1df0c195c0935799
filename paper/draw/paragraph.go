package draw

// Para is how a paragraph is set.
type Para struct {
	Lead   string  // words set bold before the text
	Size   float64 // mm; 0 means SizeBody
	Paint  Paint   // None means Ink
	Bold   bool
	Indent float64 // mm from the left
	mark   paraMark
}

type paraMark uint8

const (
	markNone paraMark = iota
	markBullet
	markCheck
	markNumber
)

// Paragraph sets text broken to the column.
func (d *Document) Paragraph(s string) { d.Para(s, Para{}) }

// Note sets text small and soft: sources, remarks.
func (d *Document) Note(s string) { d.Para(s, Para{Size: SizeSmall, Paint: Soft}) }

// Bullet sets one item of a list.
func (d *Document) Bullet(s string) { d.Para(s, Para{Indent: 4.5, mark: markBullet}) }

// Check sets one item with a box to tick. Lead is set bold; it may be empty.
func (d *Document) Check(lead, s string) { d.Para(s, Para{Lead: lead, Indent: 6.5, mark: markCheck}) }

// Step sets one numbered item.
func (d *Document) Step(number, s string) {
	d.Para(s, Para{Lead: number, Indent: 8, mark: markNumber})
}

// Para sets a paragraph. It may run over a page, but leaves at least two lines
// on each side.
func (d *Document) Para(s string, p Para) {
	if p.Size == 0 {
		p.Size = SizeBody
	}
	if p.Paint == None {
		p.Paint = Ink
	}
	lead := ""
	if p.Lead != "" && p.mark != markNumber {
		lead = p.Lead + " "
	}
	width := d.Width() - p.Indent
	// The bold lead takes room on the first line: stand it in by no-break
	// spaces of the same width.
	pad, padWidth := "", 0.0
	if lead != "" {
		padWidth = TextWidth(lead, p.Size, true)
		if padWidth > width*0.8 {
			d.Para(p.Lead, Para{Size: p.Size, Paint: p.Paint, Bold: true, Indent: p.Indent, mark: p.mark})
			p.Lead, p.mark = "", markNone
			d.gap = 0
			d.Para(s, p)
			return
		}
		for TextWidth(pad, p.Size, p.Bold) < padWidth {
			pad += "\u00a0"
		}
	}
	lines := Wrap(pad+s, width, p.Size, p.Bold)
	lh := lineHeight(p.Size)
	before, after := 0.0, 0.55*lh
	if p.mark == markBullet || p.mark == markCheck || p.mark == markNumber {
		after = 0.3 * lh
	}
	first := true
	for len(lines) > 0 {
		d.Space(before)
		n := len(lines)
		if fit := int((d.Room() + 1e-9) / lh); n > fit {
			n = fit
			if len(lines)-n == 1 {
				n-- // no single line on the next page
			}
			if n < 2 {
				if d.y <= d.top() {
					n = 1
				} else {
					d.Break()
					continue
				}
			}
		}
		y := d.block(float64(n)*lh, 0, 0)
		x := d.margin + p.Indent
		pg := d.page()
		t := TextStyle{Size: p.Size, Bold: p.Bold, Paint: p.Paint}
		for i, l := range lines[:n] {
			base := y + float64(i)*lh + p.Size*1.05
			if first {
				first = false
				d.paraMark(base, p)
				if lead != "" {
					pg.Text(x, base, p.Lead, TextStyle{Size: p.Size, Bold: true, Paint: p.Paint})
					if len(l) >= len(pad) && l[:len(pad)] == pad {
						pg.Text(x+padWidth, base, l[len(pad):], t)
						continue
					}
				}
			}
			pg.Text(x, base, l, t)
		}
		lines = lines[n:]
	}
	d.gap = after
}

func (d *Document) paraMark(base float64, p Para) {
	pg, mid := d.page(), base-p.Size*capHeight/2
	switch p.mark {
	case markBullet:
		pg.Circle(d.margin+1.6, mid, 0.5, Fill(Accent))
	case markCheck:
		pg.Rect(d.margin+0.3, mid-1.6, 3.2, 3.2, Stroke(Ink, 0.25))
	case markNumber:
		pg.Text(d.margin+6, base, p.Lead, TextStyle{Size: p.Size, Bold: true, Align: Right, Paint: Accent})
	}
}
