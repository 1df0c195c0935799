package measure

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// backgroundLimit is the change of the background, as a share of the signal,
// beyond which a reading is to be repeated (common practice, no source).
const backgroundLimit = 0.01

// Background is light that is not the lamp's, taken off a reading.
type Background struct {
	Level float64 // subtracted, in the reading's unit
	Half  float64 // half width of its error
	Read  bool    // false: none was read, Level is 0
}

// Dark takes the mean of the readings with the lamp covered, before and after
// (nil: not read), as background of a signal; all in one unit. Half the
// difference of the two is the half width of its error; with only one of
// them, a tenth of it.
func Dark(signal float64, before, after *float64) (Background, []finding.Finding, error) {
	for _, p := range []*float64{before, after} {
		if p != nil && strange(*p) {
			return Background{}, nil, bad("background", *p, "an ordinary number", "")
		}
	}
	switch {
	case before == nil && after == nil:
		return Background{}, []finding.Finding{{
			Severity: finding.Note, Key: "measure.no_background",
			What:   "no reading with the lamp covered: light of the room is counted as the lamp's",
			Cause:  "the room's own light adds to every reading",
			Mend:   "cover the lamp and read before and after; or measure in a dark room",
			Source: "CIE S 025/E:2015 clause 4.4 asks for stray light to be taken off (from memory)",
		}}, nil
	case before == nil || after == nil:
		p := before
		if p == nil {
			p = after
		}
		return Background{*p, math.Abs(*p) / 10, true}, nil, nil
	}
	b := Background{(*before + *after) / 2, math.Abs(*after-*before) / 2, true}
	return b, changed(math.Abs(*after-*before), signal-b.Level), nil
}

func changed(change, signal float64) []finding.Finding {
	if signal > 0 && change <= backgroundLimit*signal {
		return nil
	}
	share := "more than the lamp's own light"
	if signal > 0 {
		share = fmt.Sprintf("by %.1f %% of the lamp's light", 100*change/signal)
	}
	return []finding.Finding{{
		Severity: finding.Warn, Key: "measure.background_changed",
		What:   "the background changed " + share + " between before and after; 1 % is the limit",
		Cause:  "daylight or a room lamp changed while the lamp was read",
		Mend:   "darken the room and repeat the reading",
		Source: "common practice, no source",
	}}
}

// SubtractSpectrum takes the mean of before and after (nil: not read) off a
// spectrum, wavelength by wavelength. What falls below 0 stays so, so that
// noise around 0 adds up to nothing. The half-difference is returned beside it.
func SubtractSpectrum(s, before, after *spectrum.Spectrum) (net, half spectrum.Spectrum, fs []finding.Finding) {
	net = *s
	if before == nil {
		before = after
	}
	if after == nil {
		after = before
	}
	if before == nil {
		_, fs, _ = Dark(0, nil, nil)
		return net, half, fs
	}
	for i := range net {
		net[i] -= (before[i] + after[i]) / 2
		half[i] = (after[i] - before[i]) / 2
	}
	// Change and signal are compared as power: a sheet of violet light that
	// comes and goes shows there and not in lux.
	change := 0.0
	for _, h := range half {
		change += 2 * math.Abs(h)
	}
	noise := 0.0
	if before != after {
		// Readings scatter at every wavelength; what both dark readings show
		// from sample to sample is not a change.
		for i := 1; i < len(half); i++ {
			noise += math.Abs(half[i] - half[i-1])
		}
		noise *= math.Sqrt2
	}
	return net, half, changed(math.Max(0, change-noise), net.Power())
}
