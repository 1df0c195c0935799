package meterfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"

	"dawnsmith/finding"
)

// moments reads a first column of dates or times of day, or a date and a time
// of day in the first two; used is how many columns they take.
func (g *grid) moments(b block) (at []time.Time, doubt, ok bool, used int) {
	var buf []string
	used = 1
	for i := b.from; i < b.to; i++ {
		if g.blank(i) {
			continue
		}
		buf = g.row(i, buf)
		if len(buf) <= b.cols[0] {
			return nil, false, false, 0
		}
		c := trimCell(buf[b.cols[0]])
		if !maybeStamp(c) {
			return nil, false, false, 0
		}
		t, d, good := stamp(c)
		if !good {
			return nil, false, false, 0
		}
		if len(b.cols) > 2 && len(buf) > b.cols[1] {
			if c2 := trimCell(buf[b.cols[1]]); maybeStamp(c2) {
				if t2, _, good2 := stamp(c2); good2 && t2.Year() == 0 && t.Year() > 0 {
					t = t.Add(t2.Sub(time.Date(0, 1, 1, 0, 0, 0, 0, time.UTC)))
					used = 2
				}
			}
		}
		doubt = doubt || d
		at = append(at, t)
	}
	return at, doubt, len(at) > 1, used
}

// elapsed are the seconds after the first moment; a time of day that falls has
// passed midnight.
func elapsed(at []time.Time) []float64 {
	out := make([]float64, len(at))
	days := 0.0
	for i, t := range at {
		out[i] = t.Sub(at[0]).Seconds() + days
		if i > 0 && t.Year() == 0 && out[i] < out[i-1]-43200 {
			days += 86400
			out[i] += 86400
		}
	}
	return out
}

// readLogs reads columns over time.
func (g *grid) readLogs(f *File, b block, start time.Time, sec []float64, cols []int) error {
	if start.Year() == 0 {
		start = time.Time{}
	}
	if !slices.IsSorted(sec) {
		f.Findings = append(f.Findings, note(finding.Note, "time_back", "the times step back; the readings were put in order", "a clock that was set, or parts joined in the wrong order", ""))
	}
	for _, col := range cols {
		v, gap, err := g.column(b, col)
		if err != nil {
			return err
		}
		l := Log{Start: start, Seconds: slices.Clone(sec), Values: v, Gaps: gap}
		if col < len(b.names) {
			l.Name, l.Unit = nameAndUnit(b.names[col])
		}
		if l.Unit == "" && len(cols) == 1 {
			l.Unit = logUnit(b.head)
		}
		if l.Name == "" {
			l.Name = fmt.Sprintf("column %d", col+1)
		}
		if gap != nil && !slices.Contains(gap, false) {
			continue
		}
		if f := map[string]float64{"klx": 1000, "fc": 10.7639104, "mA": 1e-3, "mV": 1e-3, "mW": 1e-3, "kW": 1000}[l.Unit]; f > 0 {
			for i := range l.Values {
				l.Values[i] *= f
			}
			l.Unit = map[string]string{"klx": "lx", "fc": "lx", "mA": "A", "mV": "V", "mW": "W", "kW": "W"}[l.Unit]
		}
		l.sort()
		f.Logs = append(f.Logs, l)
	}
	return nil
}

func (l *Log) sort() {
	if slices.IsSorted(l.Seconds) {
		return
	}
	at := make([]int, len(l.Seconds))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int { return cmp.Compare(l.Seconds[a], l.Seconds[b]) })
	s, v := make([]float64, len(at)), make([]float64, len(at))
	var gaps []bool
	if l.Gaps != nil {
		gaps = make([]bool, len(at))
	}
	for i, k := range at {
		s[i], v[i] = l.Seconds[k]-l.Seconds[at[0]], l.Values[k]
		if gaps != nil {
			gaps[i] = l.Gaps[k]
		}
	}
	l.Seconds, l.Values, l.Gaps = s, v, gaps
}

// readWaves reads columns at equal short steps.
func (g *grid) readWaves(f *File, b block, dt float64) error {
	for _, col := range b.cols[1:] {
		v, gap, err := g.column(b, col)
		if err != nil {
			return err
		}
		if gap != nil {
			if !slices.Contains(gap, false) {
				continue
			}
			return atLine(g.line(b.from+slices.Index(gap, true)), "the waveform has a hole; a waveform needs every sample")
		}
		w := Wave{Interval: dt, Values: v}
		if col < len(b.names) {
			w.Name, w.Unit = nameAndUnit(b.names[col])
		}
		if w.Unit == "" {
			w.Unit = valueAfter(b.head, "vertical units")
		}
		if w.Name == "" {
			w.Name = cmp.Or(valueAfter(b.head, "source"), fmt.Sprintf("column %d", col+1))
		}
		f.Waves = append(f.Waves, w)
	}
	return nil
}

// logUnit looks for a unit among the words of a header.
func logUnit(s string) string {
	for _, w := range strings.FieldsFunc(s, func(r rune) bool { return strings.ContainsRune(" \t\n\r()[],;:\"/_", r) }) {
		switch strings.ToLower(w) {
		case "lx", "lux":
			return "lx"
		case "klx", "klux":
			return "klx"
		case "fc":
			return "fc"
		case "°c", "degc", "celsius":
			return "°C"
		case "cd/m2", "cd/m²", "nits":
			return "cd/m²"
		}
		switch w {
		case "W", "V", "A", "mA", "mV", "mW", "kW":
			return w
		}
	}
	return ""
}
