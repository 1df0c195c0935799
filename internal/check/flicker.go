package check

import (
	"bytes"
	"encoding/json"
	"fmt"
	"math"

	"dawnsmith/light/flicker"
)

type flickerResults struct {
	PercentFlicker float64      `json:"percent_flicker"`
	Index          float64      `json:"flicker_index"`
	SVM            *float64     `json:"svm"`
	Lines          [][2]float64 `json:"svm_lines"`
	IEEE           struct {
		LowRisk  float64 `json:"low_risk_pct"`
		NoEffect float64 `json:"noel_pct"`
	} `json:"ieee1789"`
	LowRisk  bool `json:"ieee1789_low_risk"`
	NoEffect bool `json:"ieee1789_noel"`
}

// waveform is a light given by its formula; f in Hz.
type waveform struct {
	Kind string  `json:"kind"`
	F    float64 `json:"f"`
	M    float64 `json:"m"`
	Duty float64 `json:"duty"`
	Low  float64 `json:"low"`
}

func flickers(src *source) ([]entry, error) {
	rules := []rule{
		within("percent_flicker", src.tolerance.or("percent_flicker", 0.05)),
		within("flicker_index", src.tolerance.or("flicker_index", 5e-4)),
		share("svm", src.tolerance.or("svm_rel", 2e-3)),
		share("ieee1789/*", 1e-3), equal("ieee1789_low_risk"), equal("ieee1789_noel"),
	}
	return src.entries("cases", "result", rules, measureFlicker)
}

// measureFlicker samples the waveform and measures the samples, as it would
// those of a recorder.
func measureFlicker(raw json.RawMessage) (any, error) {
	var c struct {
		Waveform json.RawMessage `json:"waveform"`
	}
	if err := into(raw, &c); err != nil {
		return nil, err
	}
	if c.Waveform == nil {
		return nil, fmt.Errorf("the waveform is missing")
	}
	var w waveform
	dec := json.NewDecoder(bytes.NewReader(c.Waveform))
	dec.DisallowUnknownFields() // a formula read in part is another formula
	if err := dec.Decode(&w); err != nil {
		return nil, fmt.Errorf("waveform: %w; allowed: kind, f, m, duty, low", err)
	}
	form, ok := map[string]flicker.Form{
		"sine": flicker.Sine, "square": flicker.Square, "triangle": flicker.Triangle, "rectified": flicker.Rectified,
	}[w.Kind]
	if !ok {
		return nil, fmt.Errorf("waveform kind %.40q is not known; allowed: sine, square, triangle, rectified", w.Kind)
	}
	record, err := flicker.Shape{Form: form, Frequency: w.F, Depth: w.M, Duty: w.Duty, Low: w.Low}.Sampled(1)
	if err != nil {
		return nil, err
	}
	m, err := flicker.Measure(record)
	if err != nil {
		return nil, err
	}
	r := flickerResults{
		PercentFlicker: m.PercentFlicker, Index: m.Index, Lines: [][2]float64{},
		LowRisk: m.IEEE.WithinLowRisk, NoEffect: m.IEEE.WithinNoEffect,
	}
	if m.HasSVM {
		r.SVM = &m.SVM
	}
	r.IEEE.LowRisk, r.IEEE.NoEffect = m.IEEE.LowRisk, m.IEEE.NoEffect
	r.Lines = harmonics(m)
	return r, nil
}

// harmonics lists the strength of each multiple of the fundamental that counts
// for SVM, 80 to 2000 Hz.
func harmonics(m *flicker.Result) [][2]float64 {
	lines := [][2]float64{}
	if m.Fundamental <= 0 {
		return lines
	}
	for n := 1; n <= 2000 && float64(n)*m.Fundamental <= 2000*(1+1e-9); n++ {
		f := float64(n) * m.Fundamental
		if f < 80*(1-1e-9) {
			continue
		}
		amplitude := 0.0
		for _, l := range m.Lines {
			if math.Abs(l.Frequency-f) <= m.FundamentalSpan/2 {
				amplitude = max(amplitude, l.Amplitude)
			}
		}
		lines = append(lines, [2]float64{f, amplitude})
	}
	return lines
}
