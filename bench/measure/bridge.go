package measure

import (
	"fmt"
	"math"
)

// Bridging is how two meters read the same check lamp.
type Bridging struct {
	// Factor is what a reading of the second meter is multiplied by to agree
	// with the first; U its standard uncertainty, from the pairs alone.
	Factor float64 `json:"factor"`
	U      float64 `json:"u"`
	Pairs  int     `json:"pairs"`
}

// Bridge joins two meters by readings of one check lamp on the same days: the
// geometric mean of the ratios first/second, its uncertainty from their scatter
// (three pairs or more) or from repeat, the standard uncertainty of one
// reading, relative (0: 0.5 %). The scale of neither meter is made better: the
// factor carries readings over, the calibration of the first stays with them.
// The error is an *InputError: no day on which both read, readings not above 0.
//
// Source: JCGM 100:2008 (GUM), 4.2 for the mean of repeated observations, in
// logarithms.
func Bridge(first, second []CheckReading, repeat float64) (Bridging, error) {
	if repeat == 0 {
		repeat = 0.005
	}
	day := map[string]float64{}
	for i, r := range first {
		if !(r.X > 0) || math.IsInf(r.X, 0) {
			return Bridging{}, bad(fmt.Sprintf("first[%d].x", i), fmt.Sprintf("%g", r.X), "above 0", "")
		}
		day[r.Date] = r.X
	}
	var logs []float64
	for i, r := range second {
		if !(r.X > 0) || math.IsInf(r.X, 0) {
			return Bridging{}, bad(fmt.Sprintf("second[%d].x", i), fmt.Sprintf("%g", r.X), "above 0", "")
		}
		if x, ok := day[r.Date]; ok && r.Date != "" {
			logs = append(logs, math.Log(x/r.X))
			delete(day, r.Date)
		}
	}
	n := float64(len(logs))
	if n == 0 {
		return Bridging{}, bad("readings", "no day in common", "a day on which both meters read the check lamp", "read it with both, one after the other")
	}
	mean := 0.0
	for _, l := range logs {
		mean += l / n
	}
	b := Bridging{Factor: math.Exp(mean), Pairs: len(logs)}
	s := repeat * math.Sqrt2
	if len(logs) >= 3 {
		ss := 0.0
		for _, l := range logs {
			ss += sq(l - mean)
		}
		s = math.Sqrt(ss / (n - 1))
	}
	b.U = b.Factor * s / math.Sqrt(n)
	return b, nil
}
