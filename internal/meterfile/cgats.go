package meterfile

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// isCGATS tells a CGATS.17 text by its sections.
func isCGATS(text string) bool {
	i := strings.Index(text, "BEGIN_DATA_FORMAT")
	return i >= 0 && i < 1<<16 && strings.Contains(text[i:], "BEGIN_DATA")
}

// cgatsToken is a word of a CGATS file with its line.
type cgatsToken struct {
	text   string
	line   int
	quoted bool
}

// cgatsTokens splits the file into words, quoted ones whole, comments left out.
func cgatsTokens(text string, put func(cgatsToken) error) error {
	line := 1
	for i := 0; i < len(text); {
		switch c := text[i]; {
		case c == '\n':
			line++
			i++
		case c == ' ' || c == '\t' || c == '\r':
			i++
		case c == '#':
			for i < len(text) && text[i] != '\n' {
				i++
			}
		case c == '"':
			end := strings.IndexByte(text[i+1:], '"')
			if end < 0 || strings.Contains(text[i+1:i+1+end], "\n") {
				return atLine(line, "a quotation mark is not closed")
			}
			if err := put(cgatsToken{text[i+1 : i+1+end], line, true}); err != nil {
				return err
			}
			i += end + 2
		default:
			j := i
			for j < len(text) && !strings.ContainsRune(" \t\r\n\"", rune(text[j])) {
				j++
			}
			if err := put(cgatsToken{text[i:j], line, false}); err != nil {
				return err
			}
			i = j
		}
	}
	return nil
}

// readCGATS reads a CGATS.17 text with spectral columns or with pairs of
// wavelength and value.
//
// Source: ANSI CGATS.17 (keywords as in public files).
func readCGATS(text string) (*File, error) {
	f := &File{Format: "CGATS text"}
	const (
		header = iota
		format
		data
	)
	at := header
	var fields []string
	keys := map[string]string{}
	var last string
	var row []cgatsToken
	var pairs Reading
	rows := 0
	var cols, nmCol, valueCol = []int(nil), -1, -1
	var nm []float64
	percent := false
	nameCol := -1
	layoutOf := func(line int) error {
		for i, name := range fields {
			up := strings.ToUpper(name)
			switch {
			case up == "SAMPLE_NAME" || nameCol < 0 && (up == "SAMPLE_ID" || up == "SAMPLEID"):
				nameCol = i
			case up == "SPECTRAL_NM" || up == "NM":
				nmCol = i
			case up == "SPECTRAL_PCT":
				valueCol, percent = i, true
			case up == "SPECTRAL_DEC" || up == "SPECTRAL_VALUE":
				valueCol = i
			default:
				rest := up
				for _, p := range []string{"SPECTRAL_NM", "SPECTRAL_", "SPEC_", "NM", "R_"} {
					if r, ok := strings.CutPrefix(rest, p); ok {
						rest = r
						break
					}
				}
				rest = strings.TrimSuffix(rest, "NM")
				v, err := strconv.ParseFloat(rest, 64)
				if err == nil && v >= 200e3 && v <= 2500e3 {
					v /= 1000 // written in thousandths of a nanometre
				}
				if err == nil && v >= 200 && v <= 2500 && rest != up {
					cols, nm = append(cols, i), append(nm, v)
				}
			}
		}
		if len(cols) < 2 && (nmCol < 0 || valueCol < 0) {
			return atLine(line, "none of the %d fields is a wavelength such as SPEC_380; it may be a colour chart without spectra", len(fields))
		}
		return nil
	}
	norm := 1.0
	finish := func() error {
		defer func() { row = row[:0] }()
		if rows++; rows*len(fields) > maxCells {
			return atLine(row[0].line, "more than %d numbers, more than a meter writes", maxCells)
		}
		value := func(t cgatsToken) (float64, bool, error) {
			v, k := number(t.text, false)
			if k == isWords {
				v, k = number(t.text, true)
			}
			switch k {
			case isNumber:
				v /= norm
				if percent {
					v /= 100
				}
				return v, false, nil
			case isGap, isEmpty:
				return 0, true, nil
			}
			return 0, false, atLine(t.line, "%q stands where a number belongs", short(t.text))
		}
		if nmCol >= 0 && valueCol >= 0 && len(cols) < 2 {
			l, k := number(row[nmCol].text, false)
			if k != isNumber || !(l > 0 && l < 1e5) {
				return atLine(row[nmCol].line, "the wavelength is %q; allowed is a number of nm above 0", short(row[nmCol].text))
			}
			v, gap, err := value(row[valueCol])
			if err != nil {
				return err
			}
			pairs.Raw.Wavelengths, pairs.Raw.Values, pairs.Raw.Gaps = append(pairs.Raw.Wavelengths, l), append(pairs.Raw.Values, v), append(pairs.Raw.Gaps, gap)
			return nil
		}
		r := Reading{Raw: spectrum.Raw{Wavelengths: slices.Clone(nm)}}
		gaps, any := make([]bool, len(cols)), false
		for i, c := range cols {
			v, gap, err := value(row[c])
			if err != nil {
				return err
			}
			r.Raw.Values = append(r.Raw.Values, v)
			gaps[i], any = gap, any || gap
		}
		if any {
			r.Raw.Gaps = gaps
		}
		if nameCol >= 0 {
			r.Name = row[nameCol].text
		}
		r.Name = firstOf(r.Name, fmt.Sprintf("set %d", rows))
		f.Spectra = append(f.Spectra, r)
		return nil
	}
	err := cgatsTokens(text, func(t cgatsToken) error {
		switch at {
		case header:
			switch {
			case t.text == "BEGIN_DATA_FORMAT" && !t.quoted:
				at, fields = format, fields[:0]
			case t.text == "BEGIN_DATA" && !t.quoted:
				if len(fields) == 0 {
					return atLine(t.line, "BEGIN_DATA comes before BEGIN_DATA_FORMAT")
				}
				if cols, nm, nmCol, valueCol = nil, nil, -1, -1; true {
					if err := layoutOf(t.line); err != nil {
						return err
					}
				}
				norm = 1
				if v, k := number(keys["SPECTRAL_NORM"], false); k == isNumber && v > 0 {
					norm = v
				}
				at = data
			case t.quoted || last != "" && isValue(t.text):
				if last != "" {
					keys[last] = strings.TrimSpace(keys[last] + " " + t.text)
				}
			default:
				last = strings.ToUpper(t.text)
				keys[last] = ""
			}
		case format:
			if t.text == "END_DATA_FORMAT" {
				at = header
				last = ""
				break
			}
			if fields = append(fields, t.text); len(fields) > maxCols {
				return atLine(t.line, "more than %d fields", maxCols)
			}
		case data:
			if t.text == "END_DATA" && !t.quoted {
				if len(row) > 0 {
					return atLine(row[0].line, "the last set has %d of %d fields", len(row), len(fields))
				}
				at, last = header, ""
				break
			}
			if row = append(row, t); len(row) == len(fields) {
				return finish()
			}
		}
		return nil
	})
	if err != nil {
		return nil, err
	}
	if at != header {
		return nil, &Error{0, errors.New("the file breaks off before END_DATA or END_DATA_FORMAT")}
	}
	if len(pairs.Raw.Values) > 1 {
		pairs.Name = firstOf(keys["DESCRIPTOR"], "spectrum")
		if !slices.Contains(pairs.Raw.Gaps, true) {
			pairs.Raw.Gaps = nil
		}
		f.Spectra = append(f.Spectra, pairs)
	}
	q, stated := cgatsQuantity(keys)
	if !stated {
		f.Findings = append(f.Findings, note(finding.Note, "quantity", "the file does not say whether it holds lights or materials; it was taken as relative readings of a light",
			"CGATS files may leave that to the reader", "state MEAS_TYPE \"EMISSION\", \"REFLECTIVE\" or \"TRANSMISSIVE\" above BEGIN_DATA_FORMAT"))
	}
	for i := range f.Spectra {
		r := &f.Spectra[i]
		if len(f.Spectra) == 1 && nameCol < 0 {
			r.Name = firstOf(short(firstOf(keys["DISPLAY"], keys["DESCRIPTOR"])), r.Name)
		}
		r.Raw.Quantity, r.Unit = q, q.Unit()
		if v, k := number(keys["SPECTRAL_BANDWIDTH_FWHM"], false); k == isNumber && v > 0 && v < 100 {
			r.Raw.Bandwidth = v
		}
		if t, _, ok := stamp(keys["CREATED"]); ok && t.Year() > 0 {
			r.At = t
		}
		r.remark()
	}
	return f, nil
}

// cgatsQuantity tells what the readings are by the keywords of a file: its own
// SPECTRAL_QUANTITY, else MEAS_TYPE and its kin, else the words of the
// descriptor, where one for a light goes before one for a material. stated is
// false when nothing says it; then they are relative.
func cgatsQuantity(keys map[string]string) (q spectrum.Quantity, stated bool) {
	if w := keys["SPECTRAL_QUANTITY"]; w != "" && q.UnmarshalText([]byte(strings.ToLower(w))) == nil {
		return q, true
	}
	for _, text := range []string{keys["MEAS_TYPE"] + " " + keys["MEASUREMENT_TYPE"] + " " + keys["DEVICE_CLASS"], keys["DESCRIPTOR"]} {
		text = strings.ToLower(text)
		has := func(words ...string) bool {
			return slices.ContainsFunc(words, func(w string) bool { return strings.Contains(text, w) })
		}
		switch {
		case has("emissi", "emitt", "power", "illumin", "illimin", "radian", "ambient", "display"):
			return spectrum.Relative, true
		case has("transmi"):
			return spectrum.Transmittance, true
		case has("reflectan", "reflectiv", "reflection"):
			return spectrum.Reflectance, true
		}
	}
	return spectrum.Relative, false
}

// isValue tells an unquoted value from a keyword.
func isValue(s string) bool { return s[0] >= '0' && s[0] <= '9' || s[0] == '-' || s[0] == '.' }

// WriteCGATS writes spectra at the same wavelengths as a CGATS.17 text, every
// digit kept; a gap is written as NaN.
func WriteCGATS(w io.Writer, rs []Reading, maker string) error {
	if len(rs) == 0 {
		return errors.New("there is no spectrum to write")
	}
	first := rs[0].Raw
	for _, r := range rs {
		if err := writable(r); err != nil {
			return err
		}
		if !slices.Equal(r.Raw.Wavelengths, first.Wavelengths) || r.Raw.Quantity != first.Quantity {
			return fmt.Errorf("%q has other wavelengths or another quantity than %q; CGATS holds one table: write them apart", r.Name, rs[0].Name)
		}
	}
	var b strings.Builder
	b.WriteString("CGATS.17\n")
	fmt.Fprintf(&b, "ORIGINATOR %q\n", clean(maker))
	if !rs[0].At.IsZero() && len(rs) == 1 {
		fmt.Fprintf(&b, "CREATED %q\n", rs[0].At.Format("2006-01-02T15:04:05Z07:00"))
	}
	fmt.Fprintf(&b, "KEYWORD \"SPECTRAL_QUANTITY\"\nSPECTRAL_QUANTITY %q\n", first.Quantity.String())
	if first.Bandwidth > 0 {
		fmt.Fprintf(&b, "KEYWORD \"SPECTRAL_BANDWIDTH_FWHM\"\nSPECTRAL_BANDWIDTH_FWHM %q\n", digits(first.Bandwidth))
	}
	fmt.Fprintf(&b, "NUMBER_OF_FIELDS %d\nBEGIN_DATA_FORMAT\nSAMPLE_NAME", len(first.Wavelengths)+1)
	for _, nm := range first.Wavelengths {
		b.WriteString(" SPECTRAL_NM" + digits(nm))
	}
	fmt.Fprintf(&b, "\nEND_DATA_FORMAT\nNUMBER_OF_SETS %d\nBEGIN_DATA\n", len(rs))
	for i, r := range rs {
		fmt.Fprintf(&b, "\"%s\"", clean(firstOf(r.Name, fmt.Sprintf("spectrum %d", i+1))))
		for k, v := range r.Raw.Values {
			if r.Raw.Gaps != nil && r.Raw.Gaps[k] {
				b.WriteString(" NaN")
				continue
			}
			b.WriteString(" " + digits(v))
		}
		b.WriteByte('\n')
	}
	b.WriteString("END_DATA\n")
	_, err := io.WriteString(w, b.String())
	return err
}

// clean takes out of a text what would end it early.
func clean(s string) string {
	return strings.Map(func(r rune) rune {
		if r == '"' || r < ' ' {
			return '\''
		}
		return r
	}, s)
}
