package measure

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"time"

	"dawnsmith/finding"
)

// CheckReading is a reading of the check lamp: a lamp kept for nothing else,
// always burnt in alike and read at one distance, that tells when a meter
// drifts.
type CheckReading struct {
	Date string  `json:"date"` // 2026-11-25
	X    float64 `json:"x"`    // in any unit, one for all
}

// Watch is what the check lamp says of a meter.
type Watch struct {
	Meter     string  `json:"meter"`
	N         int     `json:"n"`
	Reference float64 `json:"reference"` // mean of all readings but the last
	Last      float64 `json:"last"`
	Change    float64 `json:"change"`   // (last − reference)/reference
	ChangeU   float64 `json:"change_u"` // its standard uncertainty
	PerYear   float64 `json:"per_year"` // slope of a straight line through all, relative
	PerYearU  float64 `json:"per_year_u"`
	Freedom   float64 `json:"freedom"`
	Drifted   bool    `json:"drifted"`
	// Findings are empty while meter and check lamp hold.
	Findings []finding.Finding `json:"findings,omitempty"`
}

// WatchMeter judges a meter by its readings of the check lamp, two or more.
// limit is the change, relative, that is put up with (0: 1 %); repeat is the
// standard uncertainty of one reading, relative, used until five readings
// tell it themselves (0: 0.5 %). A change counts when it passes the limit and
// is larger than chance allows (95 %).
//
// Not modelled: which of the two changed. A second check lamp, or a second
// meter, tells.
func WatchMeter(meter string, readings []CheckReading, limit, repeat float64) (Watch, error) {
	w := Watch{Meter: meter, N: len(readings)}
	if limit == 0 {
		limit = 0.01
	}
	if repeat == 0 {
		repeat = 0.005
	}
	if len(readings) < 2 {
		return w, bad("readings", fmt.Sprintf("%d", len(readings)), "two readings of the check lamp or more", "")
	}
	type dated struct{ day, x float64 }
	rs := make([]dated, len(readings))
	for i, r := range readings {
		d, err := time.Parse(time.DateOnly, r.Date)
		if err != nil {
			return w, bad(fmt.Sprintf("readings[%d].date", i), fmt.Sprintf("%q", r.Date), "a date such as 2026-11-25", "")
		}
		if !(r.X > 0) || math.IsInf(r.X, 0) {
			return w, bad(fmt.Sprintf("readings[%d].x", i), fmt.Sprintf("%g", r.X), "above 0", "")
		}
		rs[i] = dated{float64(d.Unix()) / 86400, r.X}
	}
	slices.SortStableFunc(rs, func(a, b dated) int { return cmp.Compare(a.day, b.day) })
	n := len(rs) - 1
	for _, r := range rs[:n] {
		w.Reference += r.x / float64(n)
	}
	w.Last = rs[n].x
	w.Change = (w.Last - w.Reference) / w.Reference
	s, freedom := repeat, math.Inf(1)
	if n >= 4 {
		ss := 0.0
		for _, r := range rs[:n] {
			ss += sq(r.x/w.Reference - 1)
		}
		s, freedom = math.Sqrt(ss/float64(n-1)), float64(n-1)
	}
	w.ChangeU = s * math.Sqrt(1+1/float64(n))
	w.Freedom = freedom
	all, dm := 0.0, 0.0
	for _, r := range rs {
		all += r.x / float64(n+1)
		dm += r.day / float64(n+1)
	}
	sdd, sdx := 0.0, 0.0
	for _, r := range rs {
		sdd += sq(r.day - dm)
		sdx += (r.day - dm) * (r.x - all)
	}
	const year = 365.25
	if sdd > 0 {
		w.PerYear = sdx / sdd / all * year
		w.PerYearU = s / math.Sqrt(sdd) * year
	}
	k := Student(0.95, freedom)
	w.Drifted = math.Abs(w.Change) > limit && math.Abs(w.Change) > k*w.ChangeU
	creeping := sdd > 0 && n >= 3 && math.Abs(w.PerYear) > limit && math.Abs(w.PerYear) > k*w.PerYearU && (rs[n].day-rs[0].day) > 60
	if w.Drifted || creeping {
		what := fmt.Sprintf("%s reads the check lamp %+.1f ± %.1f %% off its earlier readings; %.1f %% is the limit", meter, 100*w.Change, 100*k*w.ChangeU, 100*limit)
		if !w.Drifted {
			what = fmt.Sprintf("readings of the check lamp by %s drift by %+.1f ± %.1f %% a year; %.1f %% is the limit", meter, 100*w.PerYear, 100*k*w.PerYearU, 100*limit)
		}
		w.Findings = append(w.Findings, finding.Finding{
			Severity: finding.Warn, Key: "measure.meter_drift", What: what,
			Cause:  "the meter or the check lamp has changed, or the set-up was not the same",
			Mend:   "repeat with the distance checked and half an hour of burning; if it stays, read a second check lamp, then have the meter calibrated; mark runs since the last good reading",
			Source: "JCGM 100:2008 (GUM), 4.2; common practice for check standards",
		})
		w.Drifted = true
	}
	return w, nil
}
