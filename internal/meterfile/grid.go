package meterfile

import (
	"fmt"
	"strings"
)

// grid is a table of cells, from lines of text or from a spreadsheet.
type grid struct {
	lines []string // of text, parted by sep
	sep   byte     // ' ' stands for any number of blanks
	comma bool     // the decimal mark is a comma
	cells [][]string
	// offset is added to a row to give its line in the file.
	offset int
}

func (g *grid) len() int {
	if g.cells != nil {
		return len(g.cells)
	}
	return len(g.lines)
}

// row gives the cells of a row; buf is used again.
func (g *grid) row(i int, buf []string) []string {
	if g.cells != nil {
		return g.cells[i]
	}
	return split(g.lines[i], g.sep, buf[:0])
}

// blank tells that a row holds nothing.
func (g *grid) blank(i int) bool {
	if g.cells != nil {
		for _, c := range g.cells[i] {
			if strings.TrimSpace(c) != "" {
				return false
			}
		}
		return true
	}
	return strings.Trim(g.lines[i], " \t,;\u00a0") == ""
}

// text is a row as words, cells parted by tabs.
func (g *grid) text(i int) string {
	if g.cells != nil {
		return strings.Join(g.cells[i], "\t")
	}
	return g.lines[i]
}

// line is the number of a row in the file, from 1.
func (g *grid) line(i int) int { return i + 1 + g.offset }

// split parts a line into cells; quotes keep separators inside them.
func split(line string, sep byte, out []string) []string {
	if sep == ' ' {
		return appendFields(out, line)
	}
	for {
		if len(line) > 0 && line[0] == '"' {
			if end := strings.Index(line[1:], `"`+string(sep)); end >= 0 {
				out = append(out, line[:end+2])
				line = line[end+3:]
				continue
			}
		}
		i := strings.IndexByte(line, sep)
		if i < 0 || len(out) >= maxCols {
			return append(out, line)
		}
		out = append(out, line[:i])
		line = line[i+1:]
	}
}

// appendFields parts a line at blanks.
func appendFields(out []string, line string) []string {
	for {
		line = strings.TrimLeft(line, " \t\u00a0")
		if line == "" || len(out) >= maxCols {
			return out
		}
		i := strings.IndexAny(line, " \t\u00a0")
		if i < 0 {
			return append(out, line)
		}
		out = append(out, line[:i])
		line = line[i:]
	}
}

// numbers counts the numbers of a row, and tells whether it is data: numbers,
// gaps and moments alone, at least two cells of them and one a number.
func (g *grid) numbers(cells []string) (n int, data bool) {
	filled := 0
	data = true
	for _, c := range cells {
		_, k := number(c, g.comma)
		switch k {
		case isNumber, isInfinite:
			n++
			filled++
		case isGap:
			filled++
		case isWords:
			if maybeStamp(trimCell(c)) {
				filled++
			} else {
				data = false
			}
		}
	}
	return n, data && filled >= 2 && n >= 1
}

// sampled are the rows that are looked at to tell a dialect.
const sampled = 400

// dialect tells the separator and the decimal mark by which most rows are rows
// of numbers.
func dialect(all []string) (*grid, error) {
	type try struct {
		sep   byte
		comma bool
	}
	best, score := try{}, 0
	var buf []string
	step := max(1, len(all)/sampled)
	for _, t := range []try{{'\t', false}, {'\t', true}, {';', false}, {';', true}, {',', false}, {' ', false}, {' ', true}, {'|', false}} {
		g := &grid{lines: all, sep: t.sep, comma: t.comma}
		got := 0
		count := func(i int) {
			if t.sep != ' ' && strings.IndexByte(all[i], t.sep) < 0 || len(all[i]) > 4<<20 {
				return
			}
			buf = g.row(i, buf)
			n, data := g.numbers(buf)
			switch {
			case data:
				got += 4
			case n >= 5:
				got += 3 // wavelengths across, with words before them
			}
		}
		for i := 0; i < min(len(all), sampled); i++ {
			count(i)
		}
		for i := sampled; i < len(all); i += step {
			count(i)
		}
		if got > score {
			best, score = t, got
		}
	}
	g := &grid{lines: all, sep: best.sep, comma: best.comma}
	if score == 0 {
		return g, nil
	}
	if best.sep == ',' {
		if err := g.doubtful(); err != nil {
			return nil, err
		}
	}
	return g, nil
}

// doubtful refuses rows such as 380,0,0123, which are wavelength and reading
// with decimal commas as well as three columns: no point anywhere, three or four
// cells, and no header with as many.
func (g *grid) doubtful() error {
	var buf []string
	first, cells := -1, 0
	for i := range min(g.len(), sampled) {
		buf = g.row(i, buf)
		if n, data := g.numbers(buf); !data || n < 3 {
			continue
		}
		if len(buf) > 4 || strings.Contains(g.lines[i], ".") || strings.ContainsAny(g.lines[i], ":/") {
			return nil
		}
		if first < 0 {
			first, cells = i, len(buf)
		}
	}
	if first < 0 {
		return nil
	}
	leading := false
	for i := first; i < min(g.len(), first+sampled); i++ {
		for k, c := range g.row(i, buf) {
			c = trimCell(c)
			leading = leading || k > 0 && len(c) > 1 && c[0] == '0'
		}
	}
	if !leading {
		for i := first - 1; i >= 0 && i >= first-3; i-- {
			if !g.blank(i) && len(g.row(i, buf)) == cells {
				return nil
			}
		}
	}
	return atLine(g.line(first), "%q can be read in two ways: %d columns of whole numbers, or numbers with decimal commas parted by commas; save it with points, semicolons or tabs", short(g.lines[first]), cells)
}

// short is the beginning of a line, to be shown.
func short(s string) string {
	s = strings.TrimSpace(s)
	if r := []rune(s[:min(len(s), 400)]); len(r) > 60 {
		return string(r[:60]) + "…"
	}
	return s[:min(len(s), 400)]
}

// headers joins the rows before one, at most a hundred.
func (g *grid) headers(before int) string {
	var b strings.Builder
	for i := max(0, before-100); i < before; i++ {
		t := g.text(i)
		b.WriteString(t[:min(len(t), 4000)])
		b.WriteByte('\n')
	}
	return b.String()
}

var errNothing = fmt.Errorf("no rows of numbers were found")
