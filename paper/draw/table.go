package draw

import (
	"fmt"
	"strings"
)

// Column declares one column of a table.
type Column struct {
	Head  string
	Align Align
	// Width in mm; 0 lets the table choose from what stands in the column.
	Width float64
}

// Row is one row of a table.
type Row struct {
	Cells []string
	Bold  bool
	// Rule draws a line above the row: totals.
	Rule bool
}

// Table is a table of text. Numbers belong in columns aligned Right, their
// unit in the head.
type Table struct {
	Columns []Column
	Rows    []Row
	Size    float64 // type size, mm; 0 means SizeLabel
	// Boxes draws an empty box to tick before every row.
	Boxes bool
}

const (
	cellPad  = 1.6 // mm left and right within a cell
	rowPad   = 0.9 // mm above and below a row's text
	boxWidth = 6.0 // mm for the box to tick
)

// widths shares out the width among the columns.
func (t Table) widths(total float64) []float64 {
	n := len(t.Columns)
	want, least := make([]float64, n), make([]float64, n)
	for i, c := range t.Columns {
		if c.Width > 0 {
			want[i], least[i] = c.Width, c.Width
			continue
		}
		note := func(s string, bold bool) {
			want[i] = max(want[i], TextWidth(s, t.Size, bold)+2*cellPad+0.1)
			for _, w := range strings.Fields(s) {
				least[i] = max(least[i], TextWidth(w, t.Size, bold)+2*cellPad+0.1)
			}
		}
		note(c.Head, true)
		for _, r := range t.Rows {
			if i < len(r.Cells) {
				note(r.Cells[i], r.Bold)
			}
		}
		least[i] = min(least[i], total/2)
	}
	sumWant, sumLeast := 0.0, 0.0
	for i := range want {
		sumWant += want[i]
		sumLeast += least[i]
	}
	switch {
	case sumWant <= total:
		// Spare room stays at the right; a stretched table is harder to read.
		return want
	case sumLeast >= total:
		for i := range want {
			want[i] = least[i] * total / sumLeast
		}
		return want
	}
	// Narrow columns and numbers keep what they want; columns of text share
	// the rest and break their lines.
	set := make([]bool, n)
	left, open := total, 0.0
	for i, c := range t.Columns {
		if c.Width > 0 || c.Align == Right && want[i] < total/3 {
			set[i] = true
			left -= want[i]
		} else {
			open++
		}
	}
	for again := true; again && open > 0; {
		again = false
		fair := left / open
		for i := range want {
			if !set[i] && (want[i] <= fair || least[i] > fair) {
				if want[i] > fair {
					want[i] = least[i]
				}
				set[i], again = true, true
				left -= want[i]
				open--
			}
		}
	}
	sum := 0.0
	for i := range want {
		if !set[i] {
			want[i] = left / open
		}
		sum += want[i]
	}
	if sum > total+1e-9 || left < 0 {
		// The numbers alone fill the page: back to the least, and a share.
		share := (total - sumLeast) / (sumWant - sumLeast)
		for i, c := range t.Columns {
			if c.Width > 0 {
				want[i] = c.Width
			}
			want[i] = least[i] + share*max(want[i]-least[i], 0)
		}
	}
	return want
}

// Table sets a table. Rows are kept whole and the head is repeated on every
// page the table reaches. A row with more cells than columns is an error.
func (d *Document) Table(t Table) {
	if t.Size == 0 {
		t.Size = SizeLabel
	}
	for i, r := range t.Rows {
		if len(r.Cells) > len(t.Columns) {
			d.fail(fmt.Errorf("table row %d has %d cells for %d columns", i+1, len(r.Cells), len(t.Columns)))
			return
		}
	}
	if len(t.Columns) == 0 {
		return
	}
	left := d.margin
	if t.Boxes {
		left += boxWidth
	}
	ws := t.widths(d.Width() - (left - d.margin))
	full := left - d.margin
	for _, w := range ws {
		full += w
	}
	cells := func(row Row) ([][]string, float64) {
		out, lines := make([][]string, len(t.Columns)), 1
		for i := range t.Columns {
			if i < len(row.Cells) {
				out[i] = Wrap(row.Cells[i], ws[i]-2*cellPad, t.Size, row.Bold)
				lines = max(lines, len(out[i]))
			}
		}
		return out, float64(lines)*lineHeight(t.Size) + 2*rowPad
	}
	heads := Row{Bold: true}
	for _, c := range t.Columns {
		heads.Cells = append(heads.Cells, c.Head)
	}
	headCells, headHigh := cells(heads)
	set := func(cs [][]string, y, high float64, bold bool, p Paint, bottom bool) {
		x := left
		for i, lines := range cs {
			// Heads stand on their rule, cells hang from the top.
			y0 := y + rowPad
			if bottom {
				y0 = y + high - rowPad - float64(len(lines))*lineHeight(t.Size)
			}
			st := TextStyle{Size: t.Size, Bold: bold, Paint: p, Align: t.Columns[i].Align}
			ax := x + cellPad
			switch st.Align {
			case Right:
				ax = x + ws[i] - cellPad
			case Centre:
				ax = x + ws[i]/2
			}
			if i == 0 && st.Align == Left && !t.Boxes {
				ax = x + 0.2 // flush with the text above
			}
			for j, l := range lines {
				d.page().Text(ax, y0+float64(j)*lineHeight(t.Size)+t.Size*1.05, l, st)
			}
			x += ws[i]
		}
	}
	hasHead := strings.TrimSpace(strings.Join(heads.Cells, "")) != ""
	head := func() {
		if !hasHead {
			return
		}
		y := d.block(headHigh, 0, 0)
		set(headCells, y, headHigh, true, Ink, true)
		d.page().Line(d.margin, d.y, d.margin+full, d.y, Stroke(Ink, WidthThin))
	}
	// A total is not parted from the row before it.
	keep := func(i int) float64 {
		if i < len(t.Rows) && t.Rows[i].Rule {
			_, h := cells(t.Rows[i])
			return h
		}
		return 0
	}
	d.Space(2.5)
	for i, row := range t.Rows {
		cs, high := cells(row)
		switch {
		case i == 0:
			// The head never stands alone at the foot of a page.
			if hasHead {
				d.Need(headHigh + high)
			} else {
				d.Need(high)
			}
			head()
		case d.Room() < high+keep(i+1):
			d.Break()
			head()
		}
		if high > d.Room()+1e-6 {
			d.fail(fmt.Errorf("table row %d is %.0f mm high and does not fit a page", i+1, high))
			return
		}
		y := d.block(high, 0, 0)
		pg := d.page()
		if row.Rule {
			pg.Line(d.margin, y, d.margin+full, y, Stroke(Ink, WidthThin))
		}
		set(cs, y, high, row.Bold, Ink, false)
		if t.Boxes {
			pg.Rect(d.margin+0.3, y+rowPad+0.55, 3.2, 3.2, Stroke(Ink, 0.25))
		}
		pg.Line(d.margin, d.y, d.margin+full, d.y, Stroke(Faint, WidthHair))
	}
	if len(t.Rows) == 0 {
		head()
	}
	d.gap = 3
}
