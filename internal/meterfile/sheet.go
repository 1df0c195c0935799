package meterfile

import (
	"archive/zip"
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/xuri/excelize/v2"

	"dawnsmith/finding"
)

// readSheet reads the first sheet of a spreadsheet (.xlsx) that holds readings.
func readSheet(data []byte) (*File, error) {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return nil, &Error{0, errors.New("this is a broken spreadsheet or archive: its directory cannot be read")}
	}
	workbook := false
	var size uint64
	for _, e := range z.File {
		name := strings.ToLower(e.Name)
		workbook = workbook || name == "xl/workbook.xml" || name == "[content_types].xml"
		if size += e.UncompressedSize64; size > 4*MaxBytes || len(z.File) > 10_000 {
			return nil, &Error{0, fmt.Errorf("unpacked, the spreadsheet is larger than %d MB", 4*MaxBytes>>20)}
		}
	}
	if !workbook {
		return nil, &Error{0, errors.New("this is a zip archive, not a spreadsheet; unpack it first")}
	}
	x, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: 4 * MaxBytes, UnzipXMLSizeLimit: MaxBytes, RawCellValue: true})
	if err != nil {
		return nil, &Error{0, errors.New("this spreadsheet cannot be read; save it as CSV and try that")}
	}
	defer x.Close()
	var first error
	for _, name := range x.GetSheetList() {
		cells, err := sheetCells(x, name)
		if err == nil && len(cells) > 0 {
			var f *File
			g := &grid{cells: cells}
			if f, err = readGrid(g, "spreadsheet"); err == nil && len(f.Spectra)+len(f.Logs)+len(f.Waves) > 0 {
				if len(x.GetSheetList()) > 1 {
					f.Findings = append(f.Findings, note(finding.Note, "sheet", fmt.Sprintf("of %d sheets %q was read", len(x.GetSheetList()), name), "", ""))
				}
				return f, nil
			}
		}
		if err != nil && first == nil {
			first = fmt.Errorf("sheet %q: %w", name, err)
		}
	}
	if first == nil {
		first = errors.New("the spreadsheet is empty")
	}
	return nil, &Error{0, first}
}

// sheetCells reads the cells of a sheet row by row, up to the limits.
func sheetCells(x *excelize.File, name string) ([][]string, error) {
	rows, err := x.Rows(name)
	if err != nil {
		return nil, err
	}
	defer rows.Close()
	var out [][]string
	n := 0
	for rows.Next() {
		cells, err := rows.Columns()
		if err != nil {
			return nil, atLine(len(out)+1, "the row cannot be read: %v", err)
		}
		if n += len(cells) + 1; n > maxCells/4 || len(out) >= maxRows {
			return nil, atLine(len(out)+1, "the sheet has more cells than a meter writes; cut it into parts")
		}
		out = append(out, cells)
	}
	return out, rows.Error()
}
