package app

import (
	"crypto/sha256"
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"dawnsmith/bench/measure"
	"dawnsmith/internal/meterfile"
	"dawnsmith/lamp/predict"
	"dawnsmith/light/flicker"
	"dawnsmith/light/spectrum"
	"dawnsmith/quantity"
)

// shortKeys are words for the measures most often typed in.
var shortKeys = map[string]string{
	"lux": predict.MeterLux, "watts": predict.MainsPower, "luminance": predict.FaceMean, "cct": predict.CCT, "ra": predict.Ra,
	"volts": measure.SupplyVolts, "amps": measure.LampCurrent, "air": measure.RoomTemp, "strip": predict.StripTemp, "back": predict.BackTemp,
	"desk": measure.HorizontalE, "kilograms": predict.LampMass, "noise": measure.Noise, "power-factor": measure.PowerFactor,
}

// ShortKeys lists the words that stand for measures when readings are typed
// in, sorted.
func ShortKeys() []string { return slices.Sorted(maps.Keys(shortKeys)) }

// MeasureKey is the key of a measure named by its key or a short word.
func MeasureKey(word string) (string, error) {
	if k, ok := shortKeys[word]; ok {
		return k, nil
	}
	if _, ok := measure.Declared(word); ok {
		return word, nil
	}
	return "", fmt.Errorf("%q is no measure; allowed are %s, or the key of any measure (docs/json.md)", word, strings.Join(ShortKeys(), ", "))
}

// readingOf reads a typed number: "5200", "5200 lx", "5200 ± 40 lx", the ±
// being one standard uncertainty.
func readingOf(word, text string) (measure.Reading, error) {
	key, err := MeasureKey(word)
	if err != nil {
		return measure.Reading{}, err
	}
	m, _ := measure.Declared(key)
	rest := strings.TrimSpace(text)
	if m.Unit != "" {
		rest = strings.TrimSpace(strings.TrimSuffix(rest, m.Unit))
	}
	x, u, _ := strings.Cut(rest, "±")
	r := measure.Reading{Key: key}
	if r.X, err = strconv.ParseFloat(strings.TrimSpace(x), 64); err == nil && strings.TrimSpace(u) != "" {
		r.U, err = strconv.ParseFloat(strings.TrimSpace(u), 64)
	}
	if err != nil || math.IsNaN(r.X) || math.IsInf(r.X, 0) || !(r.U >= 0) {
		return r, fmt.Errorf("%s is %q; allowed is a number, plain or in %s, with or without ± its standard uncertainty", word, text, orNone(m.Unit))
	}
	return r, nil
}

func orNone(unit string) string {
	if unit == "" {
		return "no unit"
	}
	return unit
}

// typed are the runs of the numbers typed into a set-up.
func (s Setup) typed(base measure.Run) ([]measure.Run, error) {
	var out []measure.Run
	if len(s.Readings) > 0 {
		r := base
		r.Kind = measure.HandRun
		for _, word := range slices.Sorted(maps.Keys(s.Readings)) {
			h, err := readingOf(word, s.Readings[word])
			if err != nil {
				return nil, fmt.Errorf("readings: %w", err)
			}
			if m, _ := measure.Declared(h.Key); m.Unit != "lx" && m.Unit != "cd/m²" && h.U == 0 && r.Instrument.Kind != "" {
				h.Instrument = otherMeter(m.Unit, r.Instrument.Kind)
			}
			r.Hand = append(r.Hand, h)
		}
		out = append(out, r)
	}
	if len(s.Distances) > 0 {
		r := base
		r.Kind = measure.DistanceRun
		for _, at := range slices.Sorted(maps.Keys(s.Distances)) {
			d, err := quantity.Parse(at, quantity.Length)
			if err != nil {
				return nil, fmt.Errorf("distances: %w", err)
			}
			h, err := readingOf("lux", s.Distances[at])
			if err != nil {
				return nil, fmt.Errorf("distances, %s: %w", at, err)
			}
			r.Distances = append(r.Distances, measure.AtDistance{Distance: d, Lux: h.X})
		}
		slices.SortFunc(r.Distances, func(a, b measure.AtDistance) int { return int(math.Copysign(1, a.Distance-b.Distance)) })
		out = append(out, r)
	}
	for i := range out {
		doc, err := json.Marshal(out[i])
		if err != nil {
			return nil, err
		}
		out[i].ID = runID(out[i], "typed", doc)
	}
	return out, nil
}

// otherMeter stands for the wattmeter, multimeter or thermometer beside a light
// meter; nil when the meter itself reads such a thing.
func otherMeter(unit string, kind measure.InstrumentKind) *measure.Instrument {
	for _, o := range []struct {
		units string
		i     measure.Instrument
	}{
		{" W ", measure.Instrument{ID: "unnamed-power-meter", Kind: measure.PowerMeter}},
		{" V A ", measure.Instrument{ID: "unnamed-multimeter", Kind: measure.Multimeter}},
		{" °C ", measure.Instrument{ID: "unnamed-thermometer", Kind: measure.Thermometer}},
	} {
		if strings.Contains(o.units, " "+unit+" ") && kind != o.i.Kind {
			return &o.i
		}
	}
	return nil
}

// spectrometer is the instrument that read the spectra: that of the set-up, the
// meter itself if it is one, else one that nobody described.
func (s Setup) spectrometer(meter measure.Instrument) (measure.Instrument, error) {
	switch {
	case s.Spectrometer != nil:
		m := *s.Spectrometer
		if m.Kind == "" {
			m.Kind = string(measure.Spectrometer)
		}
		i, err := m.Instrument()
		if err != nil {
			return i, fmt.Errorf("spectrometer: %w", err)
		}
		return i, nil
	case meter.Kind == measure.Spectrometer:
		return meter, nil
	}
	return measure.Instrument{ID: "unnamed-spectrometer", Kind: measure.Spectrometer}, nil
}

// runID names a run after lamp, file and the bytes it came from: the same file
// read again has the same name.
func runID(r measure.Run, stem string, data []byte) string {
	sum := sha256.Sum256(data)
	return fmt.Sprintf("%s-%s-%s-%x", r.Subject.Lamp, stem, strings.ReplaceAll(string(r.Kind), " ", "-"), sum[:4])
}

// RunsOf makes the runs that a meter's file holds. base has subject, instrument
// and conditions.
func RunsOf(base measure.Run, s Setup, name string, data []byte, f *meterfile.File) ([]measure.Run, error) {
	var out []measure.Run
	add := func(kind measure.Kind, fill func(*measure.Run)) {
		r := base
		r.Kind = kind
		fill(&r)
		if s.Conditions.LogsFromStart && (r.Lux != nil && r.Lux.Times != nil || r.Spectra != nil && r.Spectra.Times != nil || r.Log != nil) {
			r.Conditions.WarmUp = 0
		}
		stem := strings.TrimSuffix(filepath.Base(name), filepath.Ext(name))
		r.ID = runID(r, stem, data)
		for n := 2; slices.ContainsFunc(out, func(o measure.Run) bool { return o.ID == r.ID }); n++ {
			r.ID = fmt.Sprintf("%s-%d", runID(r, stem, data), n)
		}
		out = append(out, r)
	}
	if len(f.Spectra) > 0 {
		reader, err := s.spectrometer(base.Instrument)
		if err != nil {
			return nil, err
		}
		log, err := spectraOf(f.Spectra)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", name, err)
		}
		kind := measure.SpectrumRun
		if log.Times != nil {
			kind = measure.SpectraRun
		}
		add(kind, func(r *measure.Run) {
			r.Spectra, r.Instrument = log, reader
			if t := f.Spectra[0].At; !t.IsZero() && r.Conditions.Date == "" {
				r.Conditions.Date = t.Format("2006-01-02")
			}
		})
	}
	before, after, err := s.Conditions.background()
	if err != nil {
		return nil, err
	}
	var rest []meterfile.Log
	var lux *measure.LuxLog
	for _, l := range f.Logs {
		if l.Unit == "lx" && lux == nil {
			t, x := withoutGaps(l)
			lux = &measure.LuxLog{Times: t, Lux: x, Before: before, After: after}
			continue
		}
		rest = append(rest, l)
	}
	if lux != nil {
		for _, l := range rest {
			if t, x := withoutGaps(l); l.Unit == "W" && slices.Equal(t, lux.Times) {
				lux.Power = x
			}
		}
		add(measure.LuxRun, func(r *measure.Run) { r.Lux = lux })
	}
	if log := logOf(rest, base.Instrument); len(log.Columns) > 0 {
		add(measure.LogRun, func(r *measure.Run) { r.Log = log })
	}
	for _, w := range f.Waves {
		if w.Coupled {
			return nil, fmt.Errorf("%s: the recorder blocks the mean, so flicker cannot be told from it; record it direct-coupled", name)
		}
		add(measure.WaveformRun, func(r *measure.Run) { r.Waveform = &flicker.Waveform{Dt: w.Interval, Samples: w.Values} })
	}
	if len(out) == 0 {
		return nil, fmt.Errorf("%s: nothing in it is a measure that the logbook keeps; allowed are spectra, logs of lx, W, V, A or °C, and waveforms", name)
	}
	return out, nil
}

// covered tells that a spectrum was read with the lamp covered.
func covered(name string) bool {
	n := strings.ToLower(name)
	return strings.Contains(n, "background") || strings.Contains(n, "covered") || strings.Contains(n, "dark")
}

// spectraOf lays readings on the grid; those with "background", "covered" or
// "dark" in the name were read with the lamp covered.
func spectraOf(rs []meterfile.Reading) (*measure.SpectrumLog, error) {
	log := &measure.SpectrumLog{}
	timed := true
	seen := false
	var times []float64
	start := rs[0].At
	for i := range rs {
		r := &rs[i]
		if r.Raw.Quantity.IsMaterial() {
			return nil, fmt.Errorf("%q is of a material, not of a light; use \"dawnsmith gauge\" for parts", r.Name)
		}
		g, err := r.Raw.Resample(spectrum.Automatic)
		if err != nil {
			return nil, fmt.Errorf("spectrum %q: %w", r.Name, err)
		}
		if covered(r.Name) {
			if seen {
				log.After = &g.Spectrum
			} else {
				log.Before = &g.Spectrum
			}
			continue
		}
		if seen && g.Quantity != log.Quantity {
			return nil, fmt.Errorf("spectrum %q is %v, those before it %v; one file holds one quantity", r.Name, g.Quantity, log.Quantity)
		}
		if !seen {
			start = r.At
		}
		seen, log.Quantity = true, g.Quantity
		log.OverRange = log.OverRange || len(r.Saturated) > 0
		t := r.At.Sub(start).Seconds()
		timed = timed && !r.At.IsZero() && (len(times) == 0 || t > times[len(times)-1])
		times = append(times, t)
		log.Spectra = append(log.Spectra, g.Spectrum)
	}
	if !seen {
		return nil, fmt.Errorf("all spectra were read with the lamp covered")
	}
	if timed && len(times) > 1 {
		log.Times = times
	}
	return log, nil
}

func withoutGaps(l meterfile.Log) (t, x []float64) {
	for i, v := range l.Values {
		if l.Gaps == nil || !l.Gaps[i] {
			t, x = append(t, l.Seconds[i]), append(x, v)
		}
	}
	return t, x
}

// logOf takes the columns that measure something a lamp's record holds.
func logOf(ls []meterfile.Log, own measure.Instrument) *measure.Log {
	out := &measure.Log{}
	for _, l := range ls {
		key, _ := map[string]string{"W": predict.MainsPower, "V": measure.SupplyVolts, "A": measure.LampCurrent, "°C": predict.StripTemp}[l.Unit]
		n := strings.ToLower(l.Name)
		if l.Unit == "°C" && (strings.Contains(n, "air") || strings.Contains(n, "room") || strings.Contains(n, "ambient")) {
			key = measure.RoomTemp
		}
		t, x := withoutGaps(l)
		if key == "" || slices.ContainsFunc(out.Columns, func(c measure.Column) bool { return c.Key == key }) || out.Times != nil && !slices.Equal(out.Times, t) {
			continue
		}
		out.Times = t
		out.Columns = append(out.Columns, measure.Column{Key: key, X: x, Instrument: otherMeter(l.Unit, own.Kind)})
	}
	return out
}
