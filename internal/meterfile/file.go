package meterfile

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"time"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// Limits on a file.
const (
	MaxBytes = 64 << 20 // of the file itself
	maxRows  = 2_000_000
	maxCells = 20_000_000
	maxCols  = 16_384 // as a spreadsheet has
)

// File is what a meter file holds.
type File struct {
	// Format says in words what it is: "text with columns", "IES TM-27".
	Format  string
	Spectra []Reading
	Logs    []Log
	Waves   []Wave
	// Findings say what was passed over, mended or taken for granted.
	Findings []finding.Finding
}

// Reading is one spectrum as it was written.
type Reading struct {
	Name string
	// At is when it was read; zero when the file does not say. A time without a
	// zone is given in UTC.
	At  time.Time
	Raw spectrum.Raw
	// Unit is the unit as the file states it; "" when it does not.
	Unit string
	// Counts marks readings of an uncalibrated instrument: the shape of the
	// instrument's response is in them.
	Counts bool
	// Saturated are the wavelengths, nm, at which the instrument was at its end.
	Saturated []float64
	// Findings are those of this reading alone.
	Findings []finding.Finding
}

// Log is one quantity over time.
type Log struct {
	Name, Unit string
	Start      time.Time // zero when the file does not say
	Seconds    []float64 // after the first reading
	Values     []float64 // in Unit
	Gaps       []bool    // nil for none
}

// Wave is a waveform at equal steps.
type Wave struct {
	Name, Unit string
	Interval   float64 // s between samples
	Values     []float64
	// Coupled tells that the recorder blocks what does not change, so that the
	// mean, and with it percent flicker, is not in the samples.
	Coupled bool
}

// ErrTooLarge means that a file has more than MaxBytes bytes.
var ErrTooLarge = fmt.Errorf("the file is larger than %d MB, more than a meter writes; cut it into parts", MaxBytes>>20)

// Error says where in a file something is wrong.
type Error struct {
	Line int // from 1; 0: of the file as a whole
	Err  error
}

// Error puts the line first.
func (e *Error) Error() string {
	if e.Line > 0 {
		return fmt.Sprintf("line %d: %v", e.Line, e.Err)
	}
	return e.Err.Error()
}

// Unwrap gives the cause.
func (e *Error) Unwrap() error { return e.Err }

func atLine(line int, format string, args ...any) error {
	return &Error{line, fmt.Errorf(format, args...)}
}

// Read reads a file. The error is ErrTooLarge, an *Error, or that of r.
func Read(r io.Reader) (*File, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxBytes+1))
	if err != nil {
		return nil, err
	}
	if len(data) > MaxBytes {
		return nil, ErrTooLarge
	}
	f, err := parse(data)
	if err != nil {
		return nil, err
	}
	if len(f.Spectra)+len(f.Logs)+len(f.Waves) == 0 {
		return nil, &Error{0, errors.New("no readings were found: neither a spectrum, nor a log, nor a waveform")}
	}
	for _, s := range f.Spectra {
		if err := writable(s); err != nil {
			return nil, &Error{0, err}
		}
	}
	return f, nil
}

// parse tells the format by its first bytes.
func parse(data []byte) (*File, error) {
	if len(bytes.TrimSpace(data)) == 0 {
		return nil, &Error{0, errors.New("the file is empty")}
	}
	for _, k := range kinds {
		if bytes.HasPrefix(data, []byte(k.magic)) {
			return nil, &Error{0, fmt.Errorf("this is %s, not a meter's file; export the numbers as text, spreadsheet or .spdx", k.what)}
		}
	}
	switch {
	case bytes.HasPrefix(data, []byte("PK\x03\x04")), bytes.HasPrefix(data, []byte("PK\x05\x06")):
		return readSheet(data)
	case len(data) >= 12 && string(data[:4]) == "RIFF" && string(data[8:12]) == "WAVE":
		return readWAV(data)
	}
	text, err := plainText(data)
	if err != nil {
		return nil, err
	}
	switch head := firstWords(text); {
	case isXML(head):
		return readSPDX(text)
	case isOurs(head):
		return readJSON(text)
	case isCGATS(text):
		return readCGATS(text)
	}
	return readText(text)
}

// kinds are files that someone may bring along by mistake.
var kinds = []struct{ magic, what string }{
	{"\x89PNG", "a picture (PNG)"}, {"\xff\xd8\xff", "a picture (JPEG)"}, {"GIF8", "a picture (GIF)"}, {"II*\x00", "a picture (TIFF)"}, {"MM\x00*", "a picture (TIFF)"},
	{"%PDF", "a PDF"}, {"\x1f\x8b", "a compressed file (gzip)"}, {"7z\xbc\xaf", "a compressed file (7z)"}, {"Rar!", "a compressed file (RAR)"},
	{"\xd0\xcf\x11\xe0", "an old spreadsheet (.xls); save it as .xlsx or CSV"}, {"SQLite format 3", "a database"}, {"\x7fELF", "a program"}, {"MZ", "a program"}, {"OggS", "a compressed sound file"}, {"ID3", "a compressed sound file"}, {"fLaC", "a compressed sound file; save it as WAV"},
}

// note makes a finding about a file.
func note(sev finding.Severity, key, what, cause, mend string) finding.Finding {
	return finding.Finding{Severity: sev, Key: "meterfile." + key, What: what, Cause: cause, Mend: mend}
}
