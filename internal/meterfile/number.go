package meterfile

import (
	"strconv"
	"strings"
)

// cellKind is what a cell holds.
type cellKind uint8

const (
	isEmpty cellKind = iota
	isNumber
	isGap      // a mark for no reading: NaN, -, <0.001
	isInfinite // refused
	isStamp    // a date or a time of day
	isWords
)

// number reads a cell as a number; comma says that the decimal mark is one.
func number(cell string, comma bool) (float64, cellKind) {
	cell = trimCell(cell)
	if cell == "" {
		return 0, isEmpty
	}
	switch c := cell[0]; {
	case c >= '0' && c <= '9', c == '-', c == '+', c == '.', c == ',' && comma:
	case c == '<' || c == 0xe2 || c == 'n' || c == 'N' || c == 'i' || c == 'I':
		return oddNumber(cell, comma)
	default:
		return 0, isWords
	}
	marks := 0
	for i := range len(cell) {
		switch c := cell[i]; {
		case c >= '0' && c <= '9', c == '.', c == '-', c == '+', c == 'e', c == 'E':
		case c == ',' && comma:
			marks++
		default:
			return oddNumber(cell, comma)
		}
	}
	if comma && marks > 0 {
		if marks > 1 || strings.Contains(cell, ".") {
			return 0, isWords // thousands marks are never guessed
		}
		cell = strings.Replace(cell, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(cell, 64)
	if err != nil {
		if ne, ok := err.(*strconv.NumError); ok && ne.Err == strconv.ErrRange {
			return 0, isInfinite
		}
		return oddNumber(cell, comma)
	}
	return v, isNumber
}

// oddNumber tells gaps, infinities and typographic minus signs.
func oddNumber(cell string, comma bool) (float64, cellKind) {
	if rest, ok := strings.CutPrefix(cell, "−"); ok {
		v, k := number(rest, comma)
		return -v, k
	}
	switch strings.ToLower(strings.TrimLeft(cell, "+-")) {
	case "nan", "n/a", "na", "#n/a", "null", "none", "", "1.#qnan", "1.#ind", "nan(ind)":
		return 0, isGap
	case "inf", "infinity", "1.#inf", "∞":
		return 0, isInfinite
	}
	if rest, ok := strings.CutPrefix(cell, "<"); ok {
		if _, k := number(rest, comma); k == isNumber {
			return 0, isGap // below what the meter sees
		}
	}
	return 0, isWords
}

// trimCell takes blanks of all kinds and quotes off a cell.
func trimCell(s string) string {
	for len(s) > 0 && (s[0] == ' ' || s[0] == '\t') {
		s = s[1:]
	}
	for len(s) > 0 && (s[len(s)-1] == ' ' || s[len(s)-1] == '\t') {
		s = s[:len(s)-1]
	}
	if len(s) > 0 && (s[0] >= 0x80 || s[len(s)-1] >= 0x80 || s[0] == '"') {
		s = strings.Trim(s, " \t\u00a0\u202f\u2009\ufeff")
		if len(s) >= 2 && s[0] == '"' && s[len(s)-1] == '"' {
			s = strings.TrimSpace(strings.ReplaceAll(s[1:len(s)-1], `""`, `"`))
		}
	}
	return s
}
