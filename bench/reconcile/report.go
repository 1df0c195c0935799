package reconcile

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
	"dawnsmith/lamp/part"
	"dawnsmith/metric"
	"dawnsmith/quantity"
)

// Options steer a comparison.
type Options struct {
	// Unit names the built unit ("oulu-first no. 1"); corrected values carry
	// it in the names of their error sources.
	Unit string
	// Keys are the measures to use; nil: all that both sides have.
	Keys []string
}

// Residual is one measure, predicted and measured.
type Residual struct {
	Metric     metric.Metric  `json:"metric"`
	Predicted  quantity.Value `json:"predicted"` // in the metric's unit
	Measured   quantity.Value `json:"measured"`
	Difference quantity.Value `json:"difference"` // measured − predicted, shared errors cancelled
	Sigmas     float64        `json:"sigmas"`     // over its standard uncertainty
	// After is the prediction with the corrected values; AfterSigmas the
	// difference that is left over the difference's uncertainty before.
	After       quantity.Value `json:"after"`
	AfterSigmas float64        `json:"after_sigmas"`
	How         string         `json:"how,omitempty"`
}

// Cause is one error source as an explanation of the residuals.
type Cause struct {
	Source string `json:"source"`
	// Kind is "part", "set-up", "meter", "model" or "reading".
	Kind string `json:"kind"`
	// Shift is how far off its stated value the source probably is, in its
	// stated standard uncertainties, ± ShiftU.
	Shift  float64 `json:"shift"`
	ShiftU float64 `json:"shift_u"`
	// Share is its part of χ², 0 to 1.
	Share float64 `json:"share"`
	// Suspicion is the common logarithm of how much likelier the readings
	// become if it alone is grossly wrong; above 1 is strong.
	Suspicion float64 `json:"suspicion"`
	// Alike are sources that the readings cannot tell from it.
	Alike []string `json:"alike,omitempty"`
	Says  string   `json:"says"`
}

// Correction is one part value before and after.
type Correction struct {
	Kind   string             `json:"kind"` // "strip", "sheet" …
	ID     string             `json:"id"`
	Key    string             `json:"key"` // in the parts document
	Name   string             `json:"name"`
	Dim    quantity.Dimension `json:"-"`
	Before quantity.Value     `json:"before"` // SI
	After  quantity.Value     `json:"after"`
	// Learned is 1 − u after/u before: 0 when the readings say nothing of it.
	Learned float64 `json:"learned"`
	// Clamped says that the corrected value lay outside what such a part can
	// be, and was held at the border.
	Clamped bool `json:"clamped,omitempty"`
}

// Verdict is the short answer.
type Verdict string

// The verdicts.
const (
	Agrees   Verdict = "agrees"   // the residuals are what the uncertainties allow
	Doubtful Verdict = "doubtful" // they are rare (under 5 %), or one reading stands out
	Differs  Verdict = "differs"  // the stated uncertainties cannot explain them (under 0.1 %)
	NoAnswer Verdict = "no answer"
)

// Report is a comparison of prediction and readings.
type Report struct {
	Residuals   []Residual   `json:"residuals"`
	Causes      []Cause      `json:"causes"` // likeliest first
	Corrections []Correction `json:"corrections"`
	// Layer holds the corrected parts, whole, to be laid over the catalogue.
	// Their values share error sources named after the unit, since what one
	// lamp tells of strip and sheet is told of both together.
	Layer   part.Set `json:"-"`
	Chi2    float64  `json:"chi2"`
	Freedom int      `json:"freedom"`
	P       float64  `json:"p"` // chance of a larger χ² were every uncertainty right
	Verdict Verdict  `json:"verdict"`
	Says    string   `json:"says"`
	// Unused are the readings that were not compared, each with the reason.
	Unused   []string          `json:"unused,omitempty"`
	Findings []finding.Finding `json:"findings,omitempty"`
}

func (r *Report) judge() {
	worst := slices.MaxFunc(r.Residuals, func(a, b Residual) int { return cmp.Compare(math.Abs(a.Sigmas), math.Abs(b.Sigmas)) })
	n := len(r.Residuals)
	switch {
	case r.P < 0.001:
		r.Verdict = Differs
	case r.P < 0.05 || math.Abs(worst.Sigmas) > 3:
		r.Verdict = Doubtful
	default:
		r.Verdict = Agrees
	}
	percent := ""
	if worst.Predicted.X != 0 && worst.Metric.Unit != "°C" {
		percent = fmt.Sprintf(" (%+.1f %%)", 100*(worst.Measured.X/worst.Predicted.X-1))
	}
	largest := fmt.Sprintf("the largest difference is %s%s, %.1f standard uncertainties", worst.Metric.Name, percent, math.Abs(worst.Sigmas))
	switch r.Verdict {
	case Agrees:
		r.Says = fmt.Sprintf("The lamp does what was predicted, within the uncertainties, in %d of %d measures; %s.", n, n, largest)
	case Doubtful:
		r.Says = fmt.Sprintf("The lamp hardly does what was predicted: so large differences come by chance in %.1f %% of lamps; %s.", 100*r.P, largest)
	case Differs:
		r.Says = fmt.Sprintf("The lamp does not do what was predicted, and the stated uncertainties cannot explain it; %s. Look for a gross error before believing the corrected parts.", largest)
	}
	if r.Verdict != Agrees && len(r.Causes) > 0 {
		r.Says += " Likeliest cause: " + r.Causes[0].Says + "."
		sev := finding.Warn
		r.Findings = append(r.Findings, finding.Finding{
			Severity: sev, Key: "reconcile." + string(r.Verdict),
			What:   r.Says,
			Cause:  r.Causes[0].Says,
			Mend:   "check that first: read the part by itself, repeat the reading, or set the distance and the voltage anew",
			Source: "chi-squared test of the residuals, JCGM 102:2011",
		})
	}
	for _, c := range r.Corrections {
		if c.Clamped {
			r.Findings = append(r.Findings, finding.Finding{
				Severity: finding.Note, Key: "reconcile.clamped",
				What:   fmt.Sprintf("the corrected %s was held at %s", c.Name, quantity.Format(c.After.X, c.Dim, 3)),
				Cause:  "the readings ask for more than such a part can be",
				Mend:   "read the part by itself",
				Source: "lamp/part",
			})
		}
	}
}
