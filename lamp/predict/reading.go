package predict

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/heat"
	"dawnsmith/quantity"
)

// readings are the lamp's measured temperatures as package heat takes them.
// lamp.Build has seen to their places.
func readings(l lamp.Lamp) []heat.Reading {
	var out []heat.Reading
	for _, r := range l.Readings {
		at, _ := heat.SiteNamed(r.At)
		out = append(out, heat.Reading{At: at, Temperature: r.Temperature, After: r.After, Air: r.Air})
	}
	return out
}

// tradeFigure is the temperature, °C, at which trays of a metal are commonly
// said to run; common practice, no source.
func tradeFigure(material string) (celsius float64, metal string, ok bool) {
	switch {
	case strings.HasPrefix(material, "aluminium"):
		return 42, "aluminium", true
	case strings.HasPrefix(material, "stainless"):
		return 60, "stainless", true
	}
	return 0, "", false
}

// whyReadingsDiffer says what usually lies between a reading and a prediction.
const whyReadingsDiffer = "strips that draw less than their label, a cooler room or a draught, and above all the thermometer: an infrared one reads far too low on bare metal"

// howToRead says how to read a temperature that can be trusted.
const howToRead = "put matt tape or a dab of matt paint where an infrared thermometer aims, or press on a wire probe; wait an hour; measure the strip's watts; then put the reading into the lamp file under [[reading]]"

// measured are the findings about readings, and without any about the figure
// that the trade quotes.
func measured(l lamp.Lamp, r *Result) []finding.Finding {
	c := func(k float64) string { return quantity.Format(k, quantity.Temperature, 3) }
	if len(l.Readings) == 0 {
		figure, metal, ok := tradeFigure(l.Tray.Material)
		back := r.Numbers[BackTemp]
		if d := back - figure; ok && math.Abs(d) > 5 {
			word := "more"
			if d < 0 {
				word = "less"
			}
			return []finding.Finding{{Severity: finding.Note, Key: "heat.trade_figure",
				What:   fmt.Sprintf("%s trays are commonly said to run at about %.0f °C; this one is predicted at %.0f °C, %.0f K %s, and nothing was tuned to the figure", metal, figure, back, math.Abs(d), word),
				Cause:  "what usually lies between: another lamp, " + whyReadingsDiffer,
				Mend:   howToRead,
				Source: "common practice, no source: about 42 °C for an aluminium tray, about 60 °C for a stainless one"}}
		}
		return nil
	}
	var each []string
	for i, m := range l.Readings {
		after := ""
		if m.After > 0 {
			after = " after " + quantity.Format(m.After, quantity.Time, 2)
		}
		each = append(each, fmt.Sprintf("the %s read %s%s where %s was predicted", m.At, c(m.Temperature), after, c(r.Correction.Predicted[i])))
	}
	f := finding.Finding{Severity: finding.Note, Key: "heat.reading",
		What:   fmt.Sprintf("%s; all temperatures now go by %.0f %% of the predicted heat", strings.Join(each, ", "), 100*r.Correction.Factor),
		Cause:  "one number stands for fewer or more watts, better or worse cooling and the thermometer together",
		Mend:   "take the reading out of the lamp file to see the uncorrected prediction",
		Source: "own model, corrected by the reading"}
	if k := r.Correction.Factor; k < 0.75 || k > 1.33 {
		f.Severity = finding.Warn
		f.Cause = "a correction this large is seldom the lamp's alone; what usually lies between: " + whyReadingsDiffer
		f.Mend = howToRead
	}
	return []finding.Finding{f}
}
