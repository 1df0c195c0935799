package dose

import (
	"fmt"
	"slices"
)

// Reading is one line of an exposure log.
type Reading struct {
	Time float64 // s from the log's start, rising
	Lux  float64 // lx at the eye
	MEDI float64 // lx, melanopic equivalent daylight illuminance; used when Log.Melanopic
}

// Log is a run of readings from a meter at the eye.
type Log struct {
	Readings  []Reading
	Interval  float64 // s between readings as set at the meter; 0 takes the median step
	Melanopic bool    // the readings carry MEDI
}

// Gap is a stretch without readings.
type Gap struct {
	From, To float64 // s
}

// Dose is what a log adds up to. Gaps are left out, not counted as dark.
type Dose struct {
	LuxHours          float64 // lx·h
	MelanopicLuxHours float64 // lx·h MEDI; 0 when the log carries none
	Logged, Missing   float64 // s
	Gaps              []Gap
	MeanLux, MeanMEDI float64 // lx, over the logged time
	PeakLux           float64 // lx
	Interval          float64 // s, the one used
}

// Sum adds up a log by the trapezoid rule over neighbouring readings,
//
//	H = Σ (E_i + E_{i+1})/2 · (t_{i+1} - t_i)
//
// A step of more than twice the interval is a gap: neither its light nor its
// time counts. Fewer than two readings, times that do not rise and readings
// below 0 are refused.
func (l Log) Sum() (Dose, error) {
	n := len(l.Readings)
	if n < 2 {
		return Dose{}, fmt.Errorf("dose: the log has %d readings, allowed is at least 2", n)
	}
	steps := make([]float64, 0, n-1)
	for i, r := range l.Readings {
		if err := light(fmt.Sprintf("reading %d", i+1), r.Lux); err != nil {
			return Dose{}, err
		}
		if l.Melanopic {
			if err := light(fmt.Sprintf("melanopic reading %d", i+1), r.MEDI); err != nil {
				return Dose{}, err
			}
		}
		if i == 0 {
			if !(r.Time >= -1e12 && r.Time <= 1e12) {
				return Dose{}, fmt.Errorf("dose: reading 1 is at %g s, allowed is a finite time", r.Time)
			}
			continue
		}
		d := r.Time - l.Readings[i-1].Time
		if !(d > 0 && d < 1e12) {
			return Dose{}, fmt.Errorf("dose: reading %d is %g s after the one before, allowed is later than it; sort the log and drop doubles", i+1, d)
		}
		steps = append(steps, d)
	}
	out := Dose{Interval: l.Interval, PeakLux: l.Readings[0].Lux}
	if out.Interval == 0 {
		s := slices.Clone(steps)
		slices.Sort(s)
		out.Interval = (s[(len(s)-1)/2] + s[len(s)/2]) / 2
	}
	if !(out.Interval > 0 && out.Interval < 1e9) {
		return Dose{}, fmt.Errorf("dose: the interval is %g s, allowed is above 0 s (or 0 for the median step)", l.Interval)
	}
	for i, d := range steps {
		a, b := l.Readings[i], l.Readings[i+1]
		out.PeakLux = max(out.PeakLux, b.Lux)
		if d > 2*out.Interval*(1+1e-9) {
			out.Gaps = append(out.Gaps, Gap{a.Time, b.Time})
			out.Missing += d
			continue
		}
		out.Logged += d
		out.LuxHours += (a.Lux + b.Lux) / 2 * d / 3600
		if l.Melanopic {
			out.MelanopicLuxHours += (a.MEDI + b.MEDI) / 2 * d / 3600
		}
	}
	if out.Logged > 0 {
		out.MeanLux = out.LuxHours / (out.Logged / 3600)
		out.MeanMEDI = out.MelanopicLuxHours / (out.Logged / 3600)
	}
	return out, nil
}
