package app

import (
	"errors"
	"fmt"
	"strings"

	"dawnsmith/internal/meterfile"
	"dawnsmith/light/flicker"
	"dawnsmith/quantity"
)

// LogRead is a log with what can be said of it.
type LogRead struct {
	meterfile.Log
	Sentence string
}

// WaveRead is a waveform with its measures; Result is nil when Why says so.
type WaveRead struct {
	meterfile.Wave
	Result   *flicker.Result
	Why      string
	Sentence string
	Groups   []Group
}

// Waveform is the wave as light/flicker takes it.
func (w WaveRead) Waveform() flicker.Waveform {
	return flicker.Waveform{Dt: w.Interval, Samples: w.Values}
}

// logSentence says how a log went.
func logSentence(l meterfile.Log) string {
	var v []float64
	for i, x := range l.Values {
		if l.Gaps == nil || !l.Gaps[i] {
			v = append(v, x)
		}
	}
	if len(v) == 0 {
		return "An empty log."
	}
	first, last := v[0], v[len(v)-1]
	s := fmt.Sprintf("%d readings over %s, from %s to %s %s", len(v), duration(l.Seconds[len(l.Seconds)-1]), quantity.Digits(first, 4), quantity.Digits(last, 4), l.Unit)
	s = strings.TrimSpace(s)
	if first > 0 {
		s += fmt.Sprintf(", a change of %s %%", quantity.Digits(100*(last/first-1), 2))
	}
	if n := len(l.Values) - len(v); n > 0 {
		s += fmt.Sprintf("; %d missing", n)
	}
	return s + "."
}

func duration(s float64) string {
	switch {
	case s < 120:
		return quantity.Digits(s, 3) + " s"
	case s < 7200:
		return quantity.Digits(s/60, 3) + " min"
	}
	return quantity.Digits(s/3600, 3) + " h"
}

var errCoupled = errors.New("the recorder blocks the mean, so percent flicker, index and the limits cannot be told; give the mean (--mean) in the unit of the samples")

func readWave(w meterfile.Wave, o ReadOptions) WaveRead {
	out := WaveRead{Wave: w}
	if w.Coupled && o.Mean == 0 {
		out.Why = errCoupled.Error()
		out.Sentence = "No measures: " + out.Why + "."
		return out
	}
	if o.Mean != 0 {
		mean := 0.0
		for _, x := range w.Values {
			mean += x / float64(len(w.Values))
		}
		out.Values = make([]float64, len(w.Values))
		for i, x := range w.Values {
			out.Values[i] = x - mean + o.Mean
		}
	}
	r, err := flicker.Measure(out.Waveform())
	if err != nil {
		out.Why = strings.TrimPrefix(err.Error(), "waveform: ")
		out.Sentence = "No measures: " + out.Why + "."
		return out
	}
	out.Result = r
	g := Group{Title: "Flicker"}
	r.Each(func(k string, v float64) {
		m := readMetrics[k]
		g.Rows = append(g.Rows, Row{Key: k, Name: m.Name, Symbol: m.Symbol, Unit: m.Unit, Value: quantity.Digits(v, 3), Line: m.Line, Source: m.Source, Better: m.Better})
	})
	if r.Fundamental > 0 {
		g.Rows = append(g.Rows, Row{Key: "fundamental_span", Name: "frequencies are known to", Value: "± " + quantity.Digits(r.FundamentalSpan/2, 2), Unit: "Hz", Line: "from the length of the record", Source: "one over the record's length"})
	}
	out.Groups = []Group{g}
	out.Sentence = "Steady light."
	if r.Fundamental > 0 {
		level := "above the low-risk level"
		switch {
		case r.IEEE.WithinNoEffect:
			level = "within the level of no observable effect"
		case r.IEEE.WithinLowRisk:
			level = "within the low-risk level"
		}
		out.Sentence = fmt.Sprintf("Light that varies %s times a second: %s %% flicker, index %s, %s of IEEE 1789-2015", quantity.Digits(r.Fundamental, 3), quantity.Digits(r.PercentFlicker, 3), quantity.Digits(r.Index, 2), level)
		if r.HasSVM {
			out.Sentence += fmt.Sprintf("; stroboscopic visibility %s", quantity.Digits(r.SVM, 2))
		}
		out.Sentence += "."
	}
	return out
}
