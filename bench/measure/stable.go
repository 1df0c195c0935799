package measure

import (
	"fmt"
	"math"
	"slices"
	"sort"

	"dawnsmith/finding"
)

// Rule tells when a lamp counts as settled.
type Rule struct {
	Key    string  `json:"key"`
	Name   string  `json:"name"`
	Burnt  float64 `json:"burnt_s"`  // the lamp must have been on at least so long at the window's end, s
	Window float64 `json:"window_s"` // length of the window, s
	Step   float64 `json:"step_s"`   // between the readings that count, s
	Limit  float64 `json:"limit"`    // (max − min)/mean of them, below
	Power  bool    `json:"power"`    // power must hold it too, where it was read
	Source string  `json:"source"`
}

// The rules of the lighting standards, all from memory: 0.5 % over three
// readings in 30 min (LM-79-08), over three in 20 min (LM-79-19), and over
// the last 15 min, read every minute, after at least 30 min (CIE S 025).
var (
	LM7908  = Rule{"lm-79-08", "IES LM-79-08", 1800, 1800, 900, 0.005, true, "IES LM-79-08 clause 5 (from memory)"}
	LM7919  = Rule{"lm-79-19", "ANSI/IES LM-79-19", 1200, 1200, 600, 0.005, true, "ANSI/IES LM-79-19 (from memory)"}
	CIES025 = Rule{"cie-s-025", "CIE S 025", 1800, 900, 60, 0.005, true, "CIE S 025/E:2015 clause 4.4.1 (from memory)"}
)

// Rules lists the stability rules; the first is the one used when none is
// asked for.
func Rules() []Rule { return []Rule{CIES025, LM7908, LM7919} }

// Stability is what a log says about a lamp's settling.
type Stability struct {
	Rule     string  `json:"rule"`
	Stable   bool    `json:"stable"`
	From     float64 `json:"from_s"` // the first window that meets the rule, s since switching on
	To       float64 `json:"to_s"`
	Spread   float64 `json:"spread"`       // (max − min)/mean of light in it; of the last window when not stable
	Power    float64 `json:"power_spread"` // the same of power; 0 when not read
	HasStart bool    `json:"has_start"`    // the log begins at switching on
	Initial  float64 `json:"initial"`      // light in the first minute
	Level    float64 `json:"level"`        // mean light from the window's start on; of the last window when not stable
	Drop     float64 `json:"drop"`         // (initial − level)/initial
	Why      string  `json:"why"`
	// Settled are the indices of the first and one past the last reading that
	// count as settled; equal when not stable.
	Settled [2]int `json:"settled"`
	// Findings are remarks on the log.
	Findings []finding.Finding `json:"findings,omitempty"`
}

// FindStable looks for the first window of a log in which a rule is met.
//
// t are times since switching on, s, rising; light is any measure of it;
// power is beside it or nil. Each reading that the rule asks for is the median
// of the readings within half a minute (or half a step, if that is less)
// around its time, so that the noise of single readings does not decide; for a
// log of one reading a minute that is the reading itself. A window without a
// reading where one is asked for does not count.
//
// The error is an *InputError: fewer than two readings, times that do not
// rise, numbers that are none.
func FindStable(rule Rule, t, light, power []float64) (Stability, error) {
	s := Stability{Rule: rule.Key}
	if err := checkLog(t, light); err != nil {
		return s, err
	}
	if power != nil && len(power) != len(t) {
		return s, bad("power", fmt.Sprintf("%d readings", len(power)), fmt.Sprintf("%d, one beside each of light", len(t)), "")
	}
	reach := math.Min(30, rule.Step/2)
	n := int(math.Round(rule.Window/rule.Step)) + 1
	at := func(x []float64, t0 float64) (vals []float64, ok bool) {
		for k := range n {
			m, found := medianAround(t, x, t0+float64(k)*rule.Step, reach)
			if !found {
				return nil, false
			}
			vals = append(vals, m)
		}
		return vals, true
	}
	spread := func(x []float64) float64 {
		mean := 0.0
		for _, v := range x {
			mean += v / float64(len(x))
		}
		if mean <= 0 {
			return math.Inf(1)
		}
		return (slices.Max(x) - slices.Min(x)) / mean
	}
	end := t[len(t)-1]
	start := math.Max(t[0], rule.Burnt-rule.Window)
	step := math.Max(rule.Step/15, (end-t[0])/5000)
	tried, gaps := 0, 0
	for t0 := start; t0+rule.Window <= end+reach/2; t0 += step {
		v, ok := at(light, t0)
		if !ok {
			gaps++
			continue
		}
		tried++
		s.Spread, s.Power = spread(v), 0
		held := s.Spread < rule.Limit
		if power != nil && rule.Power {
			if p, ok := at(power, t0); ok {
				s.Power = spread(p)
				held = held && s.Power < rule.Limit
			}
		}
		s.From, s.To = t0, t0+rule.Window
		if held {
			s.Stable = true
			break
		}
	}
	i := sort.SearchFloat64s(t, s.From-1e-9)
	if tried > 0 {
		s.Level = mean(light[i:])
		if !s.Stable {
			s.Level = mean(light[sort.SearchFloat64s(t, s.To-rule.Window-1e-9):])
		}
	} else {
		s.Level = mean(light[max(0, len(light)-max(1, len(light)/10)):])
	}
	s.Settled = [2]int{len(t), len(t)}
	if s.Stable {
		s.Settled[0] = i
	}
	if t[0] <= 60 {
		s.Initial, s.HasStart = medianAroundFirst(t, light, t[0]+60), true
		if s.Initial > 0 {
			s.Drop = (s.Initial - s.Level) / s.Initial
		}
	}
	minutes := func(sec float64) float64 { return sec / 60 }
	switch {
	case s.Stable:
		s.Why = fmt.Sprintf("stable after %s from %.0f to %.0f min: light within %.2f %%", rule.Name, minutes(s.From), minutes(s.To), 100*s.Spread)
		if s.Power > 0 {
			s.Why += fmt.Sprintf(", power within %.2f %%", 100*s.Power)
		}
	case tried == 0 && gaps > 0:
		s.Why = fmt.Sprintf("not stable after %s: the log has gaps where the rule asks for readings every %.0f s", rule.Name, rule.Step)
	case tried == 0:
		s.Why = fmt.Sprintf("not stable after %s: the log ends %.0f min after switching on, the rule needs %.0f min", rule.Name, minutes(end), minutes(math.Max(rule.Burnt, t[0]+rule.Window)))
	default:
		s.Why = fmt.Sprintf("not stable after %s: light still varied by %.2f %% in the last window", rule.Name, 100*s.Spread)
	}
	if !s.Stable {
		s.Findings = append(s.Findings, finding.Finding{
			Severity: finding.Warn, Key: "measure.not_stable", What: s.Why,
			Cause:  "LEDs lose light while they warm; readings before they settle flatter the lamp",
			Mend:   fmt.Sprintf("log until the rule is met; it needs at least %.0f min from switching on", minutes(math.Max(rule.Burnt, rule.Window))),
			Source: rule.Source,
		})
	}
	return s, nil
}

func checkLog(t, x []float64) error {
	if len(x) < 2 {
		return bad("log", fmt.Sprintf("%d readings", len(x)), "two readings or more", "")
	}
	if len(t) != len(x) {
		return bad("times", fmt.Sprintf("%d for %d readings", len(t), len(x)), "one time for each reading", "")
	}
	for i := range x {
		if strange(x[i]) || strange(t[i]) {
			return bad(fmt.Sprintf("log[%d]", i), fmt.Sprintf("%g at %g s", x[i], t[i]), "ordinary numbers", "leave readings out that were not made")
		}
		if i > 0 && t[i] <= t[i-1] {
			return bad(fmt.Sprintf("times[%d]", i), fmt.Sprintf("%g s after %g s", t[i], t[i-1]), "rising times", "")
		}
	}
	return nil
}

func strange(x float64) bool { return math.IsNaN(x) || math.IsInf(x, 0) }

func mean(x []float64) float64 {
	s := 0.0
	for _, v := range x {
		s += v
	}
	return s / float64(len(x))
}

// medianAround is the median of x at times within reach of at.
func medianAround(t, x []float64, at, reach float64) (float64, bool) {
	i, j := sort.SearchFloat64s(t, at-reach-1e-9), sort.SearchFloat64s(t, at+reach+1e-9)
	if i == j {
		return 0, false
	}
	return median(x[i:j]), true
}

func medianAroundFirst(t, x []float64, until float64) float64 {
	return median(x[:max(1, sort.SearchFloat64s(t, until))])
}

// median does not change x.
func median(x []float64) float64 {
	s := slices.Clone(x)
	slices.Sort(s)
	n := len(s)
	if n%2 == 1 {
		return s[n/2]
	}
	return (s[n/2-1] + s[n/2]) / 2
}
