package buildpack

import (
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
)

// sheetHead are the columns of the commissioning sheet as CSV.
var sheetHead = []string{"id", "name", "metric", "bound", "expected", "tolerance", "unit", "distance_m", "reading", "date", "note"}

// ReadingsCSV writes the commissioning sheet for filling in and reading back.
// Columns: id, name, metric (the prediction's key that the reading answers, or
// empty), bound (near, at least, at most), expected, tolerance and unit, the
// distance of a meter from the face in m, then blanks: reading (in the same
// unit), date (2026-12-01) and note.
func (p *Pack) ReadingsCSV(w io.Writer) error {
	rows := [][]string{slices.Clone(sheetHead)}
	for _, r := range p.readings {
		tolerance, distance := "", ""
		if r.Bound == Near {
			tolerance = significant(r.Tolerance)
		}
		if r.Distance > 0 {
			distance = plain(r.Distance, 3)
		}
		rows = append(rows, []string{r.ID, r.Name, r.Metric, string(r.Bound), significant(r.Expected), tolerance, r.Unit, distance, "", "", ""})
	}
	return writeCSV(w, rows)
}

// significant writes a number with at least four digits that matter.
func significant(x float64) string {
	if x == 0 {
		return "0"
	}
	return plain(x, max(0, 3-int(math.Floor(math.Log10(math.Abs(x))))))
}

// Filled is one line of a sheet that somebody filled in.
type Filled struct {
	Reading
	Value float64 // in Unit
	Date  string  // 2026-12-01, or "" for none given
	Note  string
}

// maxSheet is the longest sheet read, bytes.
const maxSheet = 1 << 20

// ReadSheet reads a filled sheet: the columns of ReadingsCSV in any order, of
// which name, unit and reading must be there; other columns are passed over.
// Lines without a reading are left out. A spreadsheet may have written
// semicolons between the columns and commas for decimal points. name is for
// messages, which say line and column.
func ReadSheet(r io.Reader, name string) ([]Filled, error) {
	data, err := io.ReadAll(io.LimitReader(r, maxSheet+1))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	if len(data) > maxSheet {
		return nil, fmt.Errorf("%s: larger than 1 MB, which no sheet of readings is", name)
	}
	text := strings.TrimPrefix(string(data), "\ufeff")
	head, _, _ := strings.Cut(text, "\n")
	c := csv.NewReader(strings.NewReader(text))
	c.TrimLeadingSpace, c.FieldsPerRecord = true, -1
	decimal := ""
	if strings.Count(head, ";") > strings.Count(head, ",") {
		c.Comma, decimal = ';', ","
	}
	first, err := c.Read()
	if err != nil {
		return nil, fmt.Errorf("%s: the sheet has no head: %w", name, err)
	}
	at := map[string]int{}
	for i, k := range first {
		at[strings.ToLower(strings.TrimSpace(k))] = i
	}
	for _, k := range []string{"name", "unit", "reading"} {
		if _, ok := at[k]; !ok {
			return nil, fmt.Errorf("%s:1: the column %q is missing; a sheet has %s", name, k, strings.Join(sheetHead, ", "))
		}
	}
	var out []Filled
	for {
		row, err := c.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		line, _ := c.FieldPos(0)
		cell := func(k string) string {
			if i, ok := at[k]; ok && i < len(row) {
				return strings.TrimSpace(row[i])
			}
			return ""
		}
		number := func(k string) (float64, error) {
			s := cell(k)
			if s == "" {
				return 0, nil
			}
			if decimal != "" {
				s = strings.Replace(s, decimal, ".", 1)
			}
			x, err := strconv.ParseFloat(strings.ReplaceAll(s, " ", ""), 64)
			if err != nil || math.IsNaN(x) || math.IsInf(x, 0) {
				return 0, fmt.Errorf("%s:%d: %s is %q; write a plain number in the unit of the column %q", name, line, k, cell(k), "unit")
			}
			return x, nil
		}
		if cell("reading") == "" {
			continue
		}
		f := Filled{Reading: Reading{ID: cell("id"), Name: cell("name"), Metric: cell("metric"), Unit: cell("unit"), Bound: Bound(cell("bound"))}, Date: cell("date"), Note: cell("note")}
		for k, to := range map[string]*float64{"reading": &f.Value, "expected": &f.Expected, "tolerance": &f.Tolerance, "distance_m": &f.Distance} {
			if *to, err = number(k); err != nil {
				return nil, err
			}
		}
		switch {
		case f.Unit == "":
			return nil, fmt.Errorf("%s:%d: %q has no unit", name, line, f.Name)
		case f.Bound != "" && f.Bound != Near && f.Bound != Above && f.Bound != Below:
			return nil, fmt.Errorf("%s:%d: bound is %q; allowed is %q, %q or %q", name, line, f.Bound, Near, Above, Below)
		}
		if _, err := time.Parse("2006-01-02", f.Date); f.Date != "" && err != nil {
			return nil, fmt.Errorf("%s:%d: date is %q; write it as 2026-12-01", name, line, f.Date)
		}
		out = append(out, f)
	}
	return out, nil
}
