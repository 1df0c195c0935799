package meterfile

import (
	"strconv"
	"strings"
	"time"
)

// stampLayouts are ways of writing a moment that leave no doubt.
var stampLayouts = []string{
	time.RFC3339Nano, "2006-01-02T15:04:05", "2006-01-02 15:04:05", "2006-01-02 15:04", "2006-01-02T15:04", "2006/01/02 15:04:05", "2006/01/02 15:04", "2006-01-02",
	"20060102T150405", "20060102 150405", "02.01.2006 15:04:05", "02.01.2006 15:04", "2.1.2006 15:04:05", "2.1.2006 15:04", "02.01.2006",
	"Mon Jan _2 15:04:05 MST 2006", "Mon Jan _2 15:04:05 2006", "Mon 02 Jan 15:04:05 MST 2006", "Mon 2 Jan 15:04:05 MST 2006", "Mon 2 Jan 2006 15:04:05", "2 Jan 2006 15:04:05", "2 Jan 2006 15:04",
	"2 January 2006 15:04:05", "Jan 2, 2006 15:04:05", "Jan 2, 2006 3:04:05 PM", "Mon, 02 Jan 2006 15:04:05 MST",
}

var clockLayouts = []string{"15:04:05", "15:04:05.999999999", "15:04", "3:04:05 PM", "3:04 PM"}

// order is how a date with slashes is written.
type order uint8

const (
	unknownOrder order = iota
	dayFirst
	monthFirst
)

// stamp reads a moment. doubt says that day and month could stand either way;
// then the day is taken first.
func stamp(s string) (t time.Time, doubt, ok bool) {
	s = trimCell(s)
	if len(s) < 4 || len(s) > 64 || !strings.ContainsAny(s, ":-/.") {
		return t, false, false
	}
	for _, l := range stampLayouts {
		if t, err := time.Parse(l, s); err == nil && sane(t) {
			return t, false, true
		}
	}
	if t, doubt, ok = slashed(s); ok {
		return t, doubt, sane(t)
	}
	for _, l := range clockLayouts {
		if t, err := time.Parse(l, s); err == nil {
			return t, false, true
		}
	}
	return t, false, false
}

func sane(t time.Time) bool { return t.Year() >= 1970 && t.Year() < 2200 }

// slashed reads 1/12/2026 5:19:21 PM and its kin: a twelve-hour clock goes with
// the month first.
func slashed(s string) (t time.Time, doubt, ok bool) {
	date, clock, _ := strings.Cut(s, " ")
	p := strings.Split(date, "/")
	if len(p) != 3 {
		return t, false, false
	}
	var n [3]int
	for i := range p {
		v, err := strconv.Atoi(p[i])
		if err != nil || v < 0 {
			return t, false, false
		}
		n[i] = v
	}
	year := n[2]
	if year < 100 {
		year += 2000
	}
	var o order
	clock = strings.TrimSpace(clock)
	twelve := strings.HasSuffix(strings.ToUpper(clock), "M")
	switch {
	case n[0] > 12:
		o = dayFirst
	case n[1] > 12, twelve:
		o = monthFirst
	default:
		o, doubt = dayFirst, n[0] != n[1]
	}
	day, month := n[0], n[1]
	if o == monthFirst {
		day, month = month, day
	}
	if month < 1 || month > 12 || day < 1 || day > 31 {
		return t, false, false
	}
	t = time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if t.Day() != day {
		return t, false, false
	}
	if clock == "" {
		return t, doubt, true
	}
	for _, l := range clockLayouts {
		if c, err := time.Parse(l, strings.ToUpper(clock)); err == nil {
			return t.Add(time.Duration(c.Hour())*time.Hour + time.Duration(c.Minute())*time.Minute + time.Duration(c.Second())*time.Second + time.Duration(c.Nanosecond())), doubt, true
		}
	}
	return t, false, false
}

// maybeStamp is a quick look whether a cell could be a moment.
func maybeStamp(cell string) bool {
	if len(cell) < 4 || len(cell) > 64 {
		return false
	}
	digits, marks := 0, 0
	for i := range len(cell) {
		switch c := cell[i]; {
		case c >= '0' && c <= '9':
			digits++
		case c == ':' || c == '/' || c == '-' && i > 0 || c == 'T':
			marks++
		case c == '.' && i > 0:
			marks++
		}
	}
	return digits >= 3 && marks >= 1 && (strings.ContainsAny(cell, ":/") || strings.Count(cell, "-") >= 2 || strings.Count(cell, ".") >= 2)
}
