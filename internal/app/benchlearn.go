package app

import (
	"fmt"
	"regexp"

	"dawnsmith/bench/reconcile"
	"dawnsmith/finding"
	"dawnsmith/quantity"
)

// oneOfMany are measures of which there are many alike.
var oneOfMany = regexp.MustCompile(`_h\d+$|^r([1-8]|1\d)$|^(der|elr)_(s|m|l|rod)|^chroma_[xy]10`)

// OneOfMany tells that a measure is one of many alike (hue bins, single
// samples, single receptors) and can stand behind the others.
func OneOfMany(key string) bool { return oneOfMany.MatchString(key) }

// LearnedRows is a reconciliation in the form that people read.
type LearnedRows struct {
	Says      string
	Residuals []ResidualRow
	Causes    []string
	Parts     []CorrectedRow
	Unused    []string
	Findings  []finding.Finding
}

// ResidualRow is one measure, predicted and measured.
type ResidualRow struct{ Name, Predicted, Measured, Unit, Sigmas, After string }

// CorrectedRow is one part value before and after.
type CorrectedRow struct{ Part, Name, Before, After, Learned string }

// LearnedTable lays a reconciliation out: the six likeliest causes above 2 % of
// the misfit.
func LearnedTable(r reconcile.Report) LearnedRows {
	out := LearnedRows{Says: r.Says, Unused: r.Unused, Findings: r.Findings}
	for _, x := range r.Residuals {
		out.Residuals = append(out.Residuals, ResidualRow{x.Metric.Name, x.Predicted.String(), x.Measured.String(), x.Metric.Unit, fmt.Sprintf("%+.1f", x.Sigmas), x.After.String()})
	}
	for i, c := range r.Causes {
		if i >= 6 || c.Share < 0.02 {
			break
		}
		out.Causes = append(out.Causes, fmt.Sprintf("%.0f %%: %s", 100*c.Share, c.Says))
	}
	for _, c := range r.Corrections {
		out.Parts = append(out.Parts, CorrectedRow{c.Kind + " " + c.ID, c.Name, quantity.FormatValue(c.Before, c.Dim), quantity.FormatValue(c.After, c.Dim), fmt.Sprintf("%.0f %%", 100*c.Learned)})
	}
	return out
}
