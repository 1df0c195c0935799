package check

import (
	"errors"
	"io/fs"

	"dawnsmith/internal/meterfile"
	"dawnsmith/light/spectrum"
)

// readSpectrum reads the first spectrum of a meter file beside the case file,
// by the reader that users have, joined linearly to 1 nm as the cases were; the
// second result is the file's own 5 nm table, if it is one.
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
	m, err := meterfile.Read(f)
	if err != nil {
		return none, nil, err
	}
	if len(m.Spectra) == 0 {
		return none, nil, errors.New("it holds no spectrum")
	}
	r, err := m.Spectra[0].Raw.Resample(spectrum.Linear)
	if err != nil {
		return none, nil, err
	}
	var native []float64
	for nm := float64(spectrum.First); r.Step == 5 && nm <= spectrum.Last; nm += 5 {
		native = append(native, r.Spectrum.At(nm))
	}
	return r.Spectrum, native, nil
}
