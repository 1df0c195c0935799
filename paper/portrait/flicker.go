package portrait

import (
	"fmt"
	"math"

	"dawnsmith/light/flicker"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/figure"
)

// Waveform draws a stretch of a record of light that shows its pattern: four
// periods if it has any, else the first fifth of a second. r may be nil.
func Waveform(w flicker.Waveform, r *flicker.Result, title string) draw.Scene {
	c := figure.WaveformChart{Frame: figure.Frame{Title: title, Height: 76}, Y: figure.Axis{Name: "light over its mean", Zero: true}}
	seconds, mean := 0.2, 0.0
	if r != nil {
		mean = r.Mean
		c.Note = fmt.Sprintf("%.1f %% flicker, index %.3f", r.PercentFlicker, r.Index)
		if r.Fundamental > 0 {
			seconds = 4 / r.Fundamental
			c.Period = 1000 / r.Fundamental
		}
	}
	n := len(w.Samples)
	if k := seconds/w.Dt + 1; k < float64(n) {
		n = max(2, int(math.Ceil(k)))
	}
	if mean == 0 && n > 0 {
		for _, x := range w.Samples[:n] {
			mean += x / float64(n)
		}
	}
	for k, x := range w.Samples[:n] {
		c.Time = append(c.Time, 1000*w.Dt*float64(k))
		c.Light = append(c.Light, x/mean)
	}
	return figure.Waveform(c)
}

// WaveSpectrum draws the lines of a measured light with the levels of IEEE
// 1789-2015. The levels are meant for the whole modulation at the frequency at
// which the light repeats; a line that alone passes one tells what is to blame.
func WaveSpectrum(r *flicker.Result, title string) draw.Scene {
	c := figure.WaveSpectrumChart{Frame: figure.Frame{Title: title,
		Note: "Amplitude of each sine over the mean. Levels: IEEE 1789-2015, for the whole modulation at the frequency of the pattern."}, Least: 0.1}
	if r.Periodic {
		c.Fundamental = r.Fundamental
	}
	for _, l := range r.Lines {
		if l.Frequency >= 1 && 100*l.Amplitude >= c.Least {
			c.Frequency, c.Amplitude = append(c.Frequency, l.Frequency), append(c.Amplitude, 100*l.Amplitude)
		}
	}
	lowest := 10.0
	for _, f := range c.Frequency {
		lowest = min(lowest, f)
	}
	lowest = math.Pow(10, math.Floor(math.Log10(lowest)+1e-9))
	for _, level := range []struct {
		name     string
		noEffect bool
	}{{"low risk ends", false}, {"no observable effect ends", true}} {
		hz, depth := flicker.LimitCurve(level.noEffect, lowest)
		c.Limits = append(c.Limits, figure.Series{Name: level.name, X: hz, Y: depth})
	}
	return figure.WaveSpectrum(c)
}
