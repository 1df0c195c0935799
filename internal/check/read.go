package check

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"strconv"
	"strings"

	"dawnsmith/light/spectrum"
)

// largestSpectrum is the most bytes read of a spectrum file.
const largestSpectrum = 4 << 20

// readSpectrum reads a spectrum file beside the case file: text with a
// wavelength (nm) and a value in each line, parted by tab, semicolon, comma or
// blanks; a decimal comma where the separator is none. Lines before and after
// the readings are passed over. It is joined linearly to 1 nm, as the cases
// were; the second result is the file's own 5 nm table, if it is one.
func readSpectrum(dir fs.FS, name string) (spectrum.Spectrum, []float64, error) {
	var none spectrum.Spectrum
	if dir == nil {
		return none, nil, errors.New("there is no folder to read it from; give the case file by its path")
	}
	f, err := dir.Open(name)
	if err != nil {
		return none, nil, err
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, largestSpectrum+1))
	if err != nil {
		return none, nil, err
	}
	if len(data) > largestSpectrum {
		return none, nil, fmt.Errorf("it is larger than %d MB", largestSpectrum>>20)
	}
	var raw spectrum.Raw
	raw.Quantity = spectrum.Relative
	for _, line := range strings.FieldsFunc(strings.TrimPrefix(string(data), "\ufeff"), func(r rune) bool { return r == '\n' || r == '\r' }) {
		nm, v, ok := pair(line)
		if !ok {
			if len(raw.Wavelengths) > 1 {
				break // what follows the readings
			}
			raw.Wavelengths, raw.Values = nil, nil
			continue
		}
		raw.Wavelengths, raw.Values = append(raw.Wavelengths, nm), append(raw.Values, v)
	}
	if len(raw.Wavelengths) < 2 {
		return none, nil, errors.New("it holds no lines of a wavelength in nm and a value")
	}
	r, err := raw.Resample(spectrum.Linear)
	if err != nil {
		return none, nil, err
	}
	var native []float64
	for nm := float64(spectrum.First); r.Step == 5 && nm <= spectrum.Last; nm += 5 {
		native = append(native, r.Spectrum.At(nm))
	}
	return r.Spectrum, native, nil
}

// pair reads a wavelength and a value from a line.
func pair(line string) (nm, v float64, ok bool) {
	sep := ","
	for _, s := range []string{"\t", ";"} {
		if strings.Contains(line, s) {
			sep = s
			line = strings.ReplaceAll(line, ",", ".")
			break
		}
	}
	fields := strings.Split(line, sep)
	if len(fields) < 2 {
		fields = strings.Fields(line)
	}
	if len(fields) < 2 {
		return 0, 0, false
	}
	nm, err1 := strconv.ParseFloat(strings.TrimSpace(fields[0]), 64)
	v, err2 := strconv.ParseFloat(strings.TrimSpace(fields[1]), 64)
	return nm, v, err1 == nil && err2 == nil && nm >= 200 && nm <= 1100
}
