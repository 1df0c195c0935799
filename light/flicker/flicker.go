// Package flicker measures how light varies in time: percent flicker, flicker
// index, the levels of IEEE 1789-2015 and the stroboscopic visibility measure
// of IEC TR 63158, from a sampled waveform of any linear unit. It also makes
// waveforms of known shape, to predict a dimmed or rippling lamp and to test
// the measures.
//
// Not modelled: PstLM (IEC TR 61547-1), the measure for flicker below 80 Hz;
// two values of its scale constant are in circulation and neither could be
// confirmed. Below 80 Hz percent flicker, index and the IEEE levels are given.
package flicker

import (
	"errors"
	"fmt"
	"math"

	"dawnsmith/finding"
)

// Waveform is light against time, evenly sampled.
type Waveform struct {
	Dt      float64   // s between samples
	Samples []float64 // any unit proportional to light, with its true zero
}

// Rate is the number of samples a second.
func (w Waveform) Rate() float64 { return 1 / w.Dt }

// Duration is the length of the record, s.
func (w Waveform) Duration() float64 { return w.Dt * float64(len(w.Samples)) }

// Limits of a record. SVM wants 20 000 samples a second for 1 s or a whole
// number of periods (IEC TR 63158); below leastRate its lines up to 2 kHz are
// not safe from aliases and it is not given.
const (
	wantRate     = 20000.0 // 1/s
	leastRate    = 5000.0  // 1/s
	leastSamples = 16
	mostSamples  = 20_000_000
	wantSeconds  = 1.0
	leastSeconds = 0.1
)

// Result is every measure of one waveform.
type Result struct {
	Mean float64 // in the waveform's unit

	PercentFlicker float64 // 100·(max-min)/(max+min), %
	Index          float64 // area above the mean over total area, 0 to 1

	// Fundamental is the frequency, Hz, at which the pattern repeats; 0 when
	// the light does not vary measurably. Known to about ±FundamentalSpan/2.
	Fundamental     float64
	FundamentalSpan float64 // Hz, 1/duration: nearer lines run together
	Periodic        bool    // all strong lines are multiples of Fundamental

	SVM    float64
	HasSVM bool // false when the record cannot carry it

	Lines []Line // strongest first, up to 40; none when the record holds too few periods

	IEEE Levels // of the fundamental with the whole modulation

	Findings []finding.Finding
}

// Line is one frequency in the light.
type Line struct {
	Frequency float64 // Hz
	Amplitude float64 // of the sine, over the mean
}

// Measure works out every measure. It refuses records from which none can be
// had: samples that are no numbers, too few, or whose mean is not above zero
// (a sensor coupled through a capacitor loses the mean; record it again
// directly coupled or add the mean back). What only weakens a measure is a
// finding.
//
// Percent flicker and index: IES Lighting Handbook, 10th ed., ch. 2; over
// whole periods. Noise raises percent flicker; a finding says so when it
// matters.
func Measure(w Waveform) (*Result, error) {
	if err := w.check(); err != nil {
		return nil, err
	}
	r := &Result{FundamentalSpan: 1 / w.Duration()}
	for _, x := range w.Samples {
		r.Mean += x
	}
	r.Mean /= float64(len(w.Samples))
	lo, hi := extremes(w.Samples)
	if !(r.Mean > 0) || lo < -0.02*hi {
		return nil, fmt.Errorf("waveform: mean %.3g, from %.3g to %.3g; light has its zero at zero: couple the sensor directly, subtract its dark reading, or add the mean back", r.Mean, lo, hi)
	}
	lo = max(lo, 0)
	s := w.spectrum(r.Mean)
	r.Lines = s.lines(40, 0, s.nyquist(), 1e-4)
	r.Fundamental, r.Periodic = fundamental(r.Lines, r.FundamentalSpan)
	if f := w.fromEdges(lo, hi); f > 0 && f*w.Duration() < fewPeriods {
		// So few periods fill no line of their own.
		r.Fundamental, r.Periodic, r.Lines = f, true, nil
	}
	r.PercentFlicker = 100 * (hi - lo) / (hi + lo)
	all := r.Mean
	r.Mean, r.Index = w.index(r.Fundamental)
	s.rescale(all, r.Mean)
	for k := range r.Lines {
		r.Lines[k].Amplitude *= all / r.Mean
	}
	if w.Rate() >= leastRate && w.Duration() >= leastSeconds {
		r.SVM, r.HasSVM = s.svm(), true
	}
	r.IEEE = IEEE1789(r.PercentFlicker, r.Fundamental)
	r.findings(w, s)
	return r, nil
}

func (w Waveform) check() error {
	var errs []error
	if !(w.Dt >= 1e-9 && w.Dt <= 1) {
		errs = append(errs, fmt.Errorf("waveform: sample interval is %g s; allowed: 1e-9 to 1 s", w.Dt))
	}
	if n := len(w.Samples); n < leastSamples || n > mostSamples {
		errs = append(errs, fmt.Errorf("waveform: %d samples; allowed: %d to %d", n, leastSamples, mostSamples))
	}
	for k, x := range w.Samples {
		if math.IsNaN(x) || math.Abs(x) > 1e30 {
			errs = append(errs, fmt.Errorf("waveform: sample %d is %g; allowed: numbers up to 1e30", k, x))
			break
		}
	}
	return errors.Join(errs...)
}

func extremes(xs []float64) (lo, hi float64) {
	lo, hi = xs[0], xs[0]
	for _, x := range xs {
		lo, hi = min(lo, x), max(hi, x)
	}
	return lo, hi
}

// fewPeriods is how many a transform needs to tell a line; a shorter record is
// read by its edges.
const fewPeriods = 3.5

// fromEdges is the frequency by which the light rises, or falls, through the
// middle of its swing; 0 when it does so less than twice. A tenth of the swing to
// either side is passed before an edge counts again.
func (w Waveform) fromEdges(lo, hi float64) float64 {
	mid, band := (lo+hi)/2, 0.1*(hi-lo)
	if !(hi-lo > 0.05*hi) {
		return 0
	}
	var first, last [2]float64 // rising, falling
	var count [2]int
	state := 0 // -1 below, 1 above
	for k, x := range w.Samples {
		to := state
		switch {
		case x > mid+band:
			to = 1
		case x < mid-band:
			to = -1
		}
		if to == state {
			continue
		}
		if state != 0 {
			e := (1 - to) / 2
			at := float64(k)
			if d := x - w.Samples[k-1]; d != 0 {
				at -= min(1, max(0, (x-mid)/d))
			}
			if count[e] == 0 {
				first[e] = at
			}
			last[e] = at
			count[e]++
		}
		state = to
	}
	best := 0
	if count[1] > count[0] {
		best = 1
	}
	if count[best] < 2 {
		return 0
	}
	return float64(count[best]-1) / ((last[best] - first[best]) * w.Dt)
}

// index gives mean and flicker index over the whole periods of f Hz in the
// record; over all of it when there is none. The last sample counts in part.
func (w Waveform) index(f float64) (mean, index float64) {
	n := float64(len(w.Samples))
	if f > 0 {
		if periods := math.Floor(w.Duration()*f + 1e-3); periods >= 1 {
			n = min(n, periods/(f*w.Dt))
		}
	}
	whole := int(n)
	each := func(add func(x, weight float64)) {
		for _, x := range w.Samples[:whole] {
			add(x, 1)
		}
		if whole < len(w.Samples) {
			add(w.Samples[whole], n-float64(whole))
		}
	}
	total, above := 0.0, 0.0
	each(func(x, weight float64) { total += x * weight })
	mean = total / n
	each(func(x, weight float64) { above += max(0, x-mean) * weight })
	return mean, above / total
}

// findings says what the record cannot tell and which limits the light passes.
func (r *Result) findings(w Waveform, s *spectrum) {
	say := func(sev finding.Severity, key, what, cause, mend, source string) {
		r.Findings = append(r.Findings, finding.Finding{Severity: sev, Key: key, What: what, Cause: cause, Mend: mend, Source: source})
	}
	const tr = "IEC TR 63158 (formula as published, constants not confirmed against the paid text)"
	switch {
	case w.Rate() < leastRate:
		say(finding.Warn, "flicker.rate", fmt.Sprintf("%.0f samples a second; SVM needs %.0f and is not given below %.0f", w.Rate(), wantRate, leastRate),
			"light faster than half the rate shows up as something slower", "sample faster, behind a low-pass filter below half the rate", tr)
	case w.Rate() < wantRate:
		say(finding.Warn, "flicker.rate", fmt.Sprintf("%.0f samples a second; SVM wants %.0f", w.Rate(), wantRate),
			"lines near 2 kHz are uncertain and faster light shows up as something slower", "sample faster, behind a low-pass filter below half the rate", tr)
	}
	switch {
	case w.Duration() < leastSeconds:
		say(finding.Warn, "flicker.record", fmt.Sprintf("a record of %.3g s; SVM wants 1 s and is not given below %.1f s", w.Duration(), leastSeconds),
			"lines closer together than one over the record run together", "record 1 s or more", tr)
	case w.Duration() < wantSeconds*(1-1e-6):
		say(finding.Note, "flicker.record", fmt.Sprintf("a record of %.3g s; 1 s is usual, so frequencies are known to ±%.2g Hz only", w.Duration(), r.FundamentalSpan/2),
			"lines closer together than one over the record run together", "record 1 s or more", tr)
	}
	if r.Fundamental > 0 && r.Fundamental*w.Duration() < 5 {
		say(finding.Warn, "flicker.periods", fmt.Sprintf("only %.1f periods of %.0f Hz in the record", r.Fundamental*w.Duration(), r.Fundamental),
			"percent flicker and index need whole periods, some of them", "a longer record", "common practice, no source")
	}
	if r.Fundamental > 0.2*w.Rate() {
		say(finding.Warn, "flicker.alias", fmt.Sprintf("%.0f Hz is close to half the sampling rate of %.0f Hz and may be the alias of something faster", r.Fundamental, w.Rate()),
			"no filter tells a frequency from its mirror image at half the rate", "sample at ten times the frequency looked for", "sampling theorem")
	}
	if noise := s.noise(r.Lines); noise > 0.005 && !(r.Fundamental > 0 && r.Lines == nil) {
		say(finding.Note, "flicker.noise", fmt.Sprintf("noise of %.1f %% of the mean, which adds to percent flicker", 100*noise),
			"an amplifier's noise or a dim reading", "more light on the sensor, or average several records in step", "common practice, no source")
	}
	if r.Fundamental == 0 {
		return
	}
	r.limitFindings(say)
}

func (r *Result) limitFindings(say func(sev finding.Severity, key, what, cause, mend, source string)) {
	const ieee = "IEEE 1789-2015, recommended practices 1 and 2"
	l := r.IEEE
	switch {
	case !l.WithinLowRisk:
		say(finding.Warn, "flicker.ieee1789", fmt.Sprintf("%.1f %% flicker at %.0f Hz; low risk ends at %.1f %%, no observable effect at %.1f %%", r.PercentFlicker, r.Fundamental, l.LowRisk, l.NoEffect),
			"the light swings too deep for its frequency", fmt.Sprintf("PWM at %.0f Hz or more at this depth (%.0f Hz for no observable effect), or a supply with less ripple", Frequency(r.PercentFlicker, false), Frequency(r.PercentFlicker, true)), ieee)
	case !l.WithinNoEffect:
		say(finding.Note, "flicker.ieee1789", fmt.Sprintf("%.1f %% flicker at %.0f Hz is low risk, but above the %.1f %% of no observable effect", r.PercentFlicker, r.Fundamental, l.NoEffect),
			"the light swings a little deep for its frequency", fmt.Sprintf("PWM at %.0f Hz or more at this depth", Frequency(r.PercentFlicker, true)), ieee)
	}
	if r.HasSVM && r.SVM > SVMTarget {
		say(finding.Warn, "flicker.svm", fmt.Sprintf("stroboscopic visibility %.2f; the target is at most %.1f, and 1 is just visible", r.SVM, SVMTarget),
			"moving things, a hand or a tool, are seen in steps", "PWM above 2 kHz, dimming by current, or a supply with less ripple", "IEC TR 63158; limit of Regulation (EU) 2019/2020 for mains sources, here a target")
	}
	if low := r.below(80); low > 0.005 {
		say(finding.Note, "flicker.slow", fmt.Sprintf("%.1f %% of modulation below 80 Hz, where it may be seen directly", 100*low),
			"beat, hiccup or loose contact", "look for a supply that switches on and off; PstLM is not computed here", "IEC TR 61547-1 covers this range")
	}
}

// below is the largest line under f Hz, over the mean.
func (r *Result) below(f float64) float64 {
	a := 0.0
	for _, l := range r.Lines {
		if l.Frequency < f {
			a = max(a, l.Amplitude)
		}
	}
	return a
}
