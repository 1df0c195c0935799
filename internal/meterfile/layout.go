package meterfile

import (
	"fmt"
	"math"
	"strings"
	"time"

	"dawnsmith/finding"
)

// readText reads columns of text.
func readText(text string) (*File, error) {
	all, err := lines(text)
	if err != nil {
		return nil, err
	}
	g, err := dialect(all)
	if err != nil {
		return nil, err
	}
	return readGrid(g, "text with columns")
}

// readGrid finds what a table of cells holds.
func readGrid(g *grid, format string) (*File, error) {
	f := &File{Format: format}
	if w, ok := g.wide(); ok {
		return f, g.readWide(f, w)
	}
	b, err := g.block()
	if err != nil {
		return nil, err
	}
	return f, g.readColumns(f, b)
}

// across is a row of wavelengths with spectra as rows below it.
type across struct {
	row, from, to int
	nm            []float64
}

// wide looks for wavelengths that run along a row.
func (g *grid) wide() (across, bool) {
	var buf []string
	for i := 0; i < min(g.len(), 300); i++ {
		buf = g.row(i, buf)
		from, nm := risingRun(buf, g)
		if len(nm) < 5 {
			continue
		}
		w := across{i, from, from + len(nm), nm}
		for j := i + 1; j < min(g.len(), i+4); j++ {
			if g.blank(j) {
				continue
			}
			cells := g.row(j, nil)
			if _, again := risingRun(cells, g); len(again) >= 5 {
				break
			}
			n := 0
			for k := w.from; k < min(w.to, len(cells)); k++ {
				if _, kind := number(cells[k], g.comma); kind == isNumber || kind == isGap {
					n++
				}
			}
			if n > len(nm)/2 {
				return w, true
			}
			break
		}
	}
	return across{}, false
}

// risingRun finds the longest run of cells with rising wavelengths.
func risingRun(cells []string, g *grid) (from int, nm []float64) {
	var run []float64
	start := 0
	micro := strings.Contains(strings.ToLower(strings.Join(cells[:min(8, len(cells))], " ")), "um") || strings.Contains(strings.Join(cells[:min(8, len(cells))], " "), "µm")
	flush := func(i int) {
		if len(run) > len(nm) {
			from, nm = start, append([]float64(nil), run...)
		}
		run, start = run[:0], i
	}
	for i, c := range cells {
		v, k := number(trimNM(c), g.comma)
		if micro && v > 0.19 && v < 1.2 {
			v *= 1000
		}
		if k != isNumber || v < 200 || v > 1100 || len(run) > 0 && v <= run[len(run)-1] {
			flush(i + 1)
			if k == isNumber && v >= 200 && v <= 1100 {
				run, start = append(run, v), i
			}
			continue
		}
		if len(run) == 0 {
			start = i
		}
		run = append(run, v)
	}
	flush(len(cells))
	return from, nm
}

// trimNM takes "nm" off a column's name.
func trimNM(c string) string {
	c = trimCell(c)
	if len(c) > 2 && strings.EqualFold(c[len(c)-2:], "nm") {
		return c[:len(c)-2]
	}
	if len(c) > 2 && strings.EqualFold(c[:2], "nm") {
		return c[2:]
	}
	return c
}

// readWide reads spectra that lie in rows.
func (g *grid) readWide(f *File, w across) error {
	names := g.row(w.row, nil)[:w.from]
	head := g.headers(w.row + 1)
	var buf []string
	doubts := 0
	for i := w.row + 1; i < g.len(); i++ {
		if g.blank(i) {
			continue
		}
		buf = g.row(i, buf)
		if len(buf) <= w.from {
			break
		}
		vs, gaps := make([]float64, len(w.nm)), make([]bool, len(w.nm))
		n, any := 0, false
		for k := range w.nm {
			gaps[k] = true
			if w.from+k >= len(buf) {
				any = true
				continue
			}
			v, kind := number(buf[w.from+k], g.comma)
			switch kind {
			case isNumber:
				vs[k], gaps[k] = v, false
				n++
			case isInfinite:
				return atLine(g.line(i), "the reading at %g nm is %q; a finite number is needed", w.nm[k], short(buf[w.from+k]))
			default:
				any = true
			}
		}
		if n == 0 {
			break // what follows the readings
		}
		if len(f.Spectra)*len(w.nm) > maxCells {
			return atLine(g.line(i), "more than %d numbers, more than a meter writes; cut the file into parts", maxCells)
		}
		r := Reading{Raw: rawOf(w.nm, vs, gaps, any)}
		meta := buf[:w.from]
		var doubt bool
		r.Name, r.At, doubt = described(names, meta)
		if doubt {
			doubts++
		}
		u, ok := unitIn(strings.Join(meta, "\n"))
		if !ok {
			u, _ = unitIn(head)
		}
		u.counts = u.counts || strings.Contains(strings.ToLower(strings.Join(meta, " ")), "count")
		r.take(u)
		if r.Name == "" {
			r.Name = fmt.Sprintf("row %d", len(f.Spectra)+1)
		}
		f.Spectra = append(f.Spectra, r)
	}
	if doubts > 0 {
		f.Findings = append(f.Findings, note(finding.Note, "date_order", fmt.Sprintf("in %d dates day and month could stand either way; the day was taken first", doubts),
			"dates with slashes are written in both orders", "write dates as year-month-day"))
	}
	return nil
}

// described finds name and time among the cells before the readings.
func described(names, meta []string) (name string, at time.Time, doubt bool) {
	for i, c := range meta {
		c = trimCell(c)
		head := ""
		if i < len(names) {
			head = strings.ToLower(trimCell(names[i]))
		}
		if c == "" {
			continue
		}
		if at.IsZero() && maybeStamp(c) {
			if t, d, ok := stamp(c); ok && t.Year() > 0 {
				at, doubt = t, d
				continue
			}
		}
		for _, word := range []string{"tag", "name", "sample", "label", "title", "id", "lamp"} {
			if head == word || strings.HasPrefix(head, word+" ") || strings.HasSuffix(head, " "+word) {
				name = c
			}
		}
	}
	if name == "" && len(meta) > 0 {
		if c := trimCell(meta[0]); c != "" && at.IsZero() {
			name = c
		}
	}
	return name, at, doubt
}

// block is a run of rows with numbers, from and to (exclusive), in columns.
type block struct {
	from, to int
	cols     []int // those with numbers, the first is the running one
	names    []string
	head     string
}

// block finds the longest run of rows of numbers, or columns of numbers beside
// a header.
func (g *grid) block() (block, error) {
	if b, ok := g.beside(); ok {
		return b, nil
	}
	var buf []string
	best, cur := block{}, block{from: -1}
	rows, most, width, widest := 0, 0, 0, 0
	end := func() {
		if cur.from >= 0 && rows > most {
			best, most, widest = cur, rows, width
		}
		cur, rows, width = block{from: -1}, 0, 0
	}
	cells := 0
	for i := range g.len() {
		if g.blank(i) {
			continue
		}
		buf = g.row(i, buf)
		if cells += len(buf); cells > maxCells {
			return block{}, atLine(g.line(i), "more than %d cells, more than a meter writes; cut the file into parts", maxCells)
		}
		if _, data := g.numbers(buf); !data {
			end()
			continue
		}
		if cur.from < 0 {
			cur.from = i
		}
		for k := len(buf); k > width; k-- {
			if trimCell(buf[k-1]) != "" {
				width = k
				break
			}
		}
		cur.to, rows = i+1, rows+1
	}
	end()
	if most < 2 {
		return block{}, &Error{0, errNothing}
	}
	for k := range widest {
		best.cols = append(best.cols, k)
	}
	best.head = g.headers(best.from)
	best.names = g.namesAbove(best.from, widest)
	return best, nil
}

// namesAbove are the cells of the nearest row of words above a block.
func (g *grid) namesAbove(from, width int) []string {
	for i := from - 1; i >= max(0, from-4); i-- {
		if g.blank(i) {
			continue
		}
		cells := g.row(i, nil)
		words := 0
		for _, c := range cells {
			if _, k := number(c, g.comma); k == isWords && trimCell(c) != "" {
				words++
			}
		}
		if words >= 1 && len(cells) >= 2 && len(cells) >= width-1 {
			out := make([]string, len(cells))
			for k, c := range cells {
				out[k] = trimCell(c)
			}
			return out
		}
	}
	return nil
}

// beside finds columns of numbers with a header to their left in the same
// rows, as some oscilloscopes write.
func (g *grid) beside() (block, bool) {
	var buf []string
	var count []int
	rows, words := 0, 0
	for i := range min(g.len(), 2000) {
		if g.blank(i) {
			continue
		}
		rows++
		buf = g.row(i, buf)
		for k, c := range buf[:min(len(buf), 64)] {
			if len(count) <= k {
				count = append(count, 0)
			}
			if _, kind := number(c, g.comma); kind == isNumber {
				count[k]++
			}
		}
		if _, kind := number(buf[0], g.comma); kind == isWords && !maybeStamp(trimCell(buf[0])) {
			words++
		}
	}
	if rows < 8 || words < 2 || len(count) < 3 || count[0] > 0 {
		return block{}, false
	}
	b := block{to: g.len()}
	for k := 1; k < len(count); k++ {
		if count[k] >= rows-rows/20 {
			b.cols = append(b.cols, k)
		}
	}
	if len(b.cols) < 2 {
		return block{}, false
	}
	// The header is in the columns before.
	var head strings.Builder
	for i := range min(g.len(), 200) {
		buf = g.row(i, buf)
		head.WriteString(strings.Join(buf[:min(b.cols[0], len(buf))], "\t") + "\n")
	}
	b.head = head.String()
	return b, true
}

// column reads a column of a block. gap is nil when nothing is missing.
func (g *grid) column(b block, col int) (v []float64, gap []bool, err error) {
	var buf []string
	missing := false
	for i := b.from; i < b.to; i++ {
		if g.blank(i) {
			continue
		}
		buf = g.row(i, buf)
		x, k := 0.0, isEmpty
		if col < len(buf) {
			x, k = number(buf[col], g.comma)
		}
		switch k {
		case isInfinite:
			return nil, nil, atLine(g.line(i), "the reading is %q; a finite number is needed", short(buf[col]))
		case isNumber:
		default:
			x, missing = 0, true
		}
		v, gap = append(v, x), append(gap, k != isNumber)
	}
	if !missing {
		gap = nil
	}
	return v, gap, nil
}

// span is the least and the greatest of some numbers.
func span(v []float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, x := range v {
		lo, hi = math.Min(lo, x), math.Max(hi, x)
	}
	return lo, hi
}
