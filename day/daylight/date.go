package daylight

import (
	"fmt"
	"time"
)

// Date is a day of the civil calendar, without a zone.
type Date struct {
	Year  int
	Month time.Month
	Day   int
}

// DateOf is the civil date of an instant in a zone.
func DateOf(t time.Time, zone *time.Location) Date {
	y, m, d := t.In(zone).Date()
	return Date{y, m, d}
}

// ParseDate reads 2026-12-21.
func ParseDate(s string) (Date, error) {
	t, err := time.Parse("2006-01-02", s)
	if err != nil {
		return Date{}, fmt.Errorf("date is %q, allowed is year-month-day such as 2026-12-21", s)
	}
	return Date{t.Year(), t.Month(), t.Day()}, nil
}

// String writes 2026-12-21.
func (d Date) String() string { return fmt.Sprintf("%04d-%02d-%02d", d.Year, d.Month, d.Day) }

// MarshalText writes the date as String does.
func (d Date) MarshalText() ([]byte, error) { return []byte(d.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (d *Date) UnmarshalText(b []byte) (err error) {
	*d, err = ParseDate(string(b))
	return err
}

// Add is the date some days later.
func (d Date) Add(days int) Date {
	t := time.Date(d.Year, d.Month, d.Day+days, 0, 0, 0, 0, time.UTC)
	return Date{t.Year(), t.Month(), t.Day()}
}

// valid reports whether the calendar has such a day.
func (d Date) valid() bool { return d.Year >= firstYear && d.Year <= lastYear && d.Add(0) == d }

// Wall is a time on a wall clock, 00:00:00 to 23:59:59.
type Wall struct {
	Hour, Minute, Second int
}

// ParseWall reads 06:30 or 06:30:15.
func ParseWall(s string) (Wall, error) {
	for _, layout := range []string{"15:04", "15:04:05"} {
		if t, err := time.Parse(layout, s); err == nil {
			return Wall{t.Hour(), t.Minute(), t.Second()}, nil
		}
	}
	return Wall{}, fmt.Errorf("time is %q, allowed is hours:minutes such as 06:30", s)
}

// WallOf is what the clock on the wall shows at an instant.
func WallOf(t time.Time, zone *time.Location) Wall {
	h, m, s := t.In(zone).Clock()
	return Wall{h, m, s}
}

// String writes 06:30, with seconds only where there are any.
func (w Wall) String() string {
	if w.Second == 0 {
		return fmt.Sprintf("%02d:%02d", w.Hour, w.Minute)
	}
	return fmt.Sprintf("%02d:%02d:%02d", w.Hour, w.Minute, w.Second)
}

// MarshalText writes the time as String does.
func (w Wall) MarshalText() ([]byte, error) { return []byte(w.String()), nil }

// UnmarshalText reads what MarshalText wrote.
func (w *Wall) UnmarshalText(b []byte) (err error) {
	*w, err = ParseWall(string(b))
	return err
}

func (w Wall) valid() bool {
	return w.Hour >= 0 && w.Hour < 24 && w.Minute >= 0 && w.Minute < 60 && w.Second >= 0 && w.Second < 60
}

// Fold tells what a zone does with a time on the wall.
type Fold uint8

const (
	// Plain: the time comes once on that date.
	Plain Fold = iota
	// Skipped: clocks jump over it; the instant is as much later as they jump.
	Skipped
	// Twice: clocks are put back over it; the instant is the first one.
	Twice
)

// String gives the fold in a word.
func (f Fold) String() string { return [...]string{"plain", "skipped", "twice"}[min(f, Twice)] }

// On finds the instant at which the wall shows w on a date.
func (w Wall) On(d Date, zone *time.Location) (time.Time, Fold) {
	asUTC := time.Date(d.Year, d.Month, d.Day, w.Hour, w.Minute, w.Second, 0, time.UTC)
	offset := func(t time.Time) time.Duration {
		_, s := t.In(zone).Zone()
		return time.Duration(s) * time.Second
	}
	before, after := offset(asUTC.Add(-26*time.Hour)), offset(asUTC.Add(26*time.Hour))
	first, second := asUTC.Add(-before), asUTC.Add(-after)
	fits := func(t time.Time) bool { return DateOf(t, zone) == d && WallOf(t, zone) == w }
	switch {
	case before == after && fits(first):
		return first.In(zone), Plain
	case fits(first) && fits(second):
		return first.In(zone), Twice
	case fits(first):
		return first.In(zone), Plain
	case fits(second):
		return second.In(zone), Plain
	}
	if before != after {
		return first.In(zone), Skipped
	}
	// Two changes within two days: rely on the library's own choice.
	return time.Date(d.Year, d.Month, d.Day, w.Hour, w.Minute, w.Second, 0, zone), Skipped
}
