package meterfile

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// runs is what the running column of a block is.
type runs int

const (
	unclear runs = iota
	nanometres
	micrometres
	seconds
	moments
)

// readColumns reads a block whose rows run over wavelength or time.
func (g *grid) readColumns(f *File, b block) error {
	name := func(k int) string {
		if k < len(b.names) {
			return b.names[k]
		}
		return ""
	}
	if at, doubt, ok, used := g.moments(b); ok {
		if doubt {
			f.Findings = append(f.Findings, note(finding.Note, "date_order", "day and month could stand either way; the day was taken first", "dates with slashes are written in both orders", "write dates as year-month-day"))
		}
		return g.readLogs(f, b, at[0], elapsed(at), b.cols[used:])
	}
	xcol := b.cols[0]
	x, gap, err := g.column(b, xcol)
	if err != nil {
		return err
	}
	kind, scale := runsOver(name(xcol), b.head, x)
	if kind != nanometres && kind != micrometres && len(b.cols) > 2 && counts1(x) {
		// The first column only counts the rows.
		x2, gap2, err := g.column(b, b.cols[1])
		if err != nil {
			return err
		}
		if k2, s2 := runsOver(name(b.cols[1]), b.head, x2); k2 == nanometres || k2 == micrometres || k2 == seconds {
			b.cols, xcol, x, gap, kind, scale = b.cols[1:], b.cols[1], x2, gap2, k2, s2
		}
	}
	if gap != nil {
		for i, missing := range gap {
			if missing {
				return atLine(g.line(b.from+i), "there is no wavelength and no time in front of the reading")
			}
		}
	}
	switch kind {
	case nanometres, micrometres:
		if kind == micrometres {
			for i := range x {
				x[i] *= 1000
			}
			f.Findings = append(f.Findings, note(finding.Note, "micrometres", "wavelengths were written in µm and turned into nm", "", ""))
		}
		return g.readSpectra(f, b, x)
	case seconds:
		for i := range x {
			x[i] *= scale
		}
		if dt, ok := even(x); ok && dt <= 0.05 && len(x) >= 8 {
			return g.readWaves(f, b, dt)
		}
		first := x[0]
		for i := range x {
			x[i] -= first
		}
		return g.readLogs(f, b, time.Time{}, x, b.cols[1:])
	}
	return atLine(g.line(b.from), "the first column, from %g to %g, is neither wavelengths (200 to 1100 nm) nor times; give it a header such as \"nm\" or \"time (s)\"", x[0], x[len(x)-1])
}

// counts1 tells that numbers only count: 0 or 1, 2, 3, …
func counts1(x []float64) bool {
	for i, v := range x {
		if v != x[0]+float64(i) {
			return false
		}
	}
	return len(x) > 2 && (x[0] == 0 || x[0] == 1)
}

// runsOver tells what the running column is, by its name, else by its values;
// scale turns times into seconds.
func runsOver(name, head string, x []float64) (runs, float64) {
	n := " " + strings.ToLower(strings.NewReplacer("(", " ", ")", " ", "[", " ", "]", " ", "/", " ", ",", " ", "_", " ", "\"", " ", ".", " ").Replace(name)) + " "
	has := func(words ...string) bool {
		for _, w := range words {
			if strings.Contains(n, " "+w+" ") {
				return true
			}
		}
		return false
	}
	lo, hi := span(x)
	like := func(lo0, hi0, least float64) bool { return lo >= lo0 && hi <= hi0 && hi-lo >= least }
	switch {
	case has("µm", "um", "μm", "micron", "microns", "micrometre", "micrometer"):
		return micrometres, 1
	case has("nm", "wavelength", "wavelengths", "lambda", "wl", "λ", "wave") || strings.Contains(n, "wavelength"):
		if like(0.19, 1.3, 0.05) {
			return micrometres, 1
		}
		return nanometres, 1
	case has("ms", "msec", "milliseconds"):
		return seconds, 1e-3
	case has("µs", "us", "μs", "usec", "microseconds"):
		return seconds, 1e-6
	case has("min", "mins", "minutes", "minute"):
		return seconds, 60
	case has("h", "hours", "hour", "hr", "hrs"):
		return seconds, 3600
	case has("s", "sec", "secs", "second", "seconds", "time", "t", "elapsed"):
		return seconds, 1
	case like(200, 1100, 50):
		return nanometres, 1
	case like(0.2, 1.1, 0.1) && strings.Contains(strings.ToLower(head), "wavelength"):
		return micrometres, 1
	}
	if dt, ok := even(x); ok && dt > 0 && strings.Contains(strings.ToLower(head), "sample interval") {
		return seconds, 1
	}
	if _, ok := even(x); ok && (lo <= 0 || hi < 100) && rising(x) {
		return seconds, 1
	}
	return unclear, 1
}

func rising(x []float64) bool {
	for i := 1; i < len(x); i++ {
		if x[i] <= x[i-1] {
			return false
		}
	}
	return len(x) > 1
}

// even gives the step of numbers at equal steps, within a hundredth.
func even(x []float64) (step float64, ok bool) {
	if len(x) < 3 {
		return 0, false
	}
	step = (x[len(x)-1] - x[0]) / float64(len(x)-1)
	if !(step > 0) {
		return 0, false
	}
	for i, v := range x {
		if math.Abs(v-x[0]-float64(i)*step) > 0.02*step+1e-12 {
			return 0, false
		}
	}
	return step, true
}

// valueAfter finds "key, value" in a header.
func valueAfter(head, key string) string {
	for line := range strings.Lines(head) {
		cells := strings.FieldsFunc(line, func(r rune) bool { return r == '\t' || r == ',' || r == ';' || r == ':' || r == '\n' || r == '\r' })
		if len(cells) >= 2 && strings.EqualFold(trimCell(cells[0]), key) {
			return trimCell(cells[1])
		}
	}
	return ""
}

// nameAndUnit parts "illuminance (lx)" or "E [lux]".
func nameAndUnit(s string) (name, unit string) {
	s = trimCell(s)
	if i := strings.IndexAny(s, "(["); i > 0 && len(s) > i+2 {
		return strings.TrimSpace(s[:i]), plainUnit(strings.Trim(s[i:], "()[] "))
	}
	if u := logUnit(s); u != "" {
		return s, u
	}
	return s, ""
}

// onlyUnit tells a column's name that is but a unit, or a word for readings.
func onlyUnit(s string) bool {
	l, begins := letters(s)
	for _, u := range perNanometre {
		if l == u.letters && len(begins) > 0 {
			return true
		}
	}
	switch l {
	case "counts", "signal", "intensity", "value", "y", "irradiance", "spectralirradiance", "relative":
		return true
	}
	return false
}

func plainUnit(u string) string {
	switch strings.ToLower(u) {
	case "lux":
		return "lx"
	case "klux", "kilolux":
		return "klx"
	case "fc", "ftcd", "foot-candle", "foot-candles":
		return "fc"
	case "volt", "volts":
		return "V"
	case "watt", "watts":
		return "W"
	case "amp", "amps", "ampere":
		return "A"
	case "c", "deg c", "degc", "celsius":
		return "°C"
	}
	return u
}

// rawOf makes a spectrum of readings; the wavelengths are shared.
func rawOf(nm, v []float64, gaps []bool, any bool) spectrum.Raw {
	r := spectrum.Raw{Wavelengths: nm, Values: v}
	if any {
		r.Gaps = gaps
	}
	return r
}

// take applies a unit to a reading.
func (r *Reading) take(u unitOf) {
	r.Raw.Quantity, r.Unit = u.quantity, u.written
	switch {
	case u.counts && !u.quantity.IsAbsolute():
		r.Counts, r.Raw.Quantity, r.Unit = true, spectrum.Relative, "counts"
	case u.photons:
		for i, nm := range r.Raw.Wavelengths {
			r.Raw.Values[i] *= u.scale * spectrum.PhotonEnergy(nm)
		}
	case u.scale != 1 && u.scale != 0:
		for i := range r.Raw.Values {
			r.Raw.Values[i] *= u.scale
		}
	}
	r.remark()
}

// remark says what is odd about a reading.
func (r *Reading) remark() {
	below := 0
	for i, v := range r.Raw.Values {
		if v < 0 && (r.Raw.Gaps == nil || !r.Raw.Gaps[i]) {
			below++
		}
	}
	if below > 0 {
		r.Findings = append(r.Findings, note(finding.Note, "negative", fmt.Sprintf("%d of %d readings are below 0", below, len(r.Raw.Values)), "noise, or a dark reading that was too high", ""))
	}
	if !slices.IsSorted(r.Raw.Wavelengths) {
		r.Findings = append(r.Findings, note(finding.Note, "order", "the wavelengths step back; the readings were put in order", "a curve taken off a picture, or parts joined", ""))
	}
	if r.Counts {
		r.Findings = append(r.Findings, note(finding.Warn, "counts", "the readings are raw counts: no absolute result, and colour temperature and rendition are not to be relied on",
			"an uncalibrated instrument answers unequally to the wavelengths", "export the calibrated spectrum"))
	}
	if len(r.Saturated) > 0 {
		var at []string
		for _, nm := range r.Saturated {
			at = append(at, fmt.Sprintf("%g", nm))
		}
		r.Findings = append(r.Findings, note(finding.Warn, "saturated", fmt.Sprintf("the instrument was at its end at %s nm: the peak is cut off there", strings.Join(at[:min(len(at), 8)], ", ")),
			"too long an exposure", "read again with a shorter exposure"))
	}
}

// readSpectra reads columns over wavelength.
func (g *grid) readSpectra(f *File, b block, nm []float64) error {
	if len(nm) < 2 {
		return &Error{0, errors.New("a spectrum needs two readings or more")}
	}
	role := func(k int) string {
		if k >= len(b.names) {
			return ""
		}
		return strings.ToLower(b.names[k])
	}
	var dark, scale []float64
	var signals []int
	for _, col := range b.cols[1:] {
		n := role(col)
		v, gap, err := g.column(b, col)
		if err != nil {
			return err
		}
		switch {
		case gap != nil && !slices.Contains(gap, false):
			// an empty column
		case dark == nil && len(b.cols) > 2 && (strings.Contains(n, "dark") || strings.Contains(n, "background")):
			dark = v
		case scale == nil && len(b.cols) > 2 && (strings.Contains(n, "per count") || strings.Contains(n, "/count") || strings.Contains(n, "calibration") || strings.Contains(n, "scale")):
			scale = v
		case strings.Contains(n, "pixel") || n == "#" || n == "index":
		default:
			signals = append(signals, col)
		}
	}
	unit, _ := unitIn(b.head)
	for _, col := range signals {
		v, gap, err := g.column(b, col)
		if err != nil {
			return err
		}
		u := unit
		if own, ok := unitIn(role(col)); ok {
			u = own
		}
		r := Reading{Name: "", Raw: spectrum.Raw{Wavelengths: nm, Values: v, Gaps: gap}}
		if col < len(b.names) {
			if r.Name, _ = nameAndUnit(b.names[col]); onlyUnit(r.Name) {
				r.Name = ""
			}
		}
		u.counts = u.counts || dark != nil && scale == nil
		if u.counts || dark != nil {
			r.Saturated = atEnd(nm, v)
		}
		if dark != nil {
			for i := range v {
				v[i] -= dark[i]
			}
			r.Findings = append(r.Findings, note(finding.Note, "dark", "the dark column was taken off the signal", "", ""))
		}
		if scale != nil {
			for i := range v {
				v[i] *= scale[i]
			}
			u.counts = false
			if !u.quantity.IsAbsolute() {
				u = unitOf{quantity: spectrum.Irradiance, scale: 1, written: "W/(m²·nm)"}
				r.Findings = append(r.Findings, note(finding.Note, "scale", "counts were multiplied by the scale beside them and taken as W/(m²·nm)", "the file gives a scale for each wavelength and no unit", "state the unit in the header"))
			}
		}
		if len(signals) > 1 || col != signals[0] {
			r.Raw.Wavelengths = slices.Clone(nm)
		}
		r.take(u)
		if r.At.IsZero() {
			r.At = momentIn(b.head)
		}
		f.Spectra = append(f.Spectra, r)
	}
	if len(f.Spectra) == 0 {
		return &Error{0, errors.New("there are wavelengths and no readings beside them")}
	}
	return nil
}

// atEnd finds readings at the end of a 12-, 14-, 15- or 16-bit converter.
func atEnd(nm, v []float64) (at []float64) {
	_, hi := span(v)
	for _, end := range []float64{4095, 16383, 32767, 65535} {
		if hi != end {
			continue
		}
		for i, x := range v {
			if x == end {
				at = append(at, nm[i])
			}
		}
	}
	return at
}

// momentIn finds the one moment that a header states.
func momentIn(head string) time.Time {
	for line := range strings.Lines(head) {
		line = strings.TrimSpace(line)
		_, after, ok := strings.Cut(line, ":")
		for _, c := range []string{line, after} {
			if ok && maybeStamp(trimCell(c)) || strings.Count(c, ":") >= 2 {
				if t, _, good := stamp(strings.TrimSpace(c)); good && t.Year() > 0 {
					return t
				}
			}
		}
	}
	return time.Time{}
}
