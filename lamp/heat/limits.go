package heat

import (
	"fmt"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/metric"
)

// Pair is a temperature to aim at and one never to pass, K.
type Pair struct {
	Target, Hard float64
}

// Limits are the temperatures that matter to a lamp. The sheet's own limit is
// in [Input.Diffuser].
type Limits struct {
	Strip    Pair // board at the LED pad
	Tape     Pair // adhesive under the strip
	Junction Pair
	Touch    Pair // back of the tray
	Ambient  Pair // air at the lamp
	// DiffuserReserve is how far under its plastic's limit the sheet should
	// stay, K.
	DiffuserReserve float64
}

// DefaultLimits gives what to use when the parts' data sheets say nothing.
//
// Source: strip, tape and junction: usual data-sheet figures, common
// practice; touch: ISO 13732-1 and IEC 62368-1 TS1 (held over a minute 48 °C;
// one to ten seconds on metal 60 °C), from memory; ambient: common practice.
func DefaultLimits() Limits {
	const zero = 273.15
	return Limits{
		Strip:           Pair{zero + 60, zero + 75},
		Tape:            Pair{zero + 60, zero + 80},
		Junction:        Pair{zero + 85, zero + 105},
		Touch:           Pair{zero + 48, zero + 60},
		Ambient:         Pair{zero + 35, zero + 45},
		DiffuserReserve: 15,
	}
}

// limit is one comparison.
type limit struct {
	key, name, cause, source string
	found                    float64
	pair                     Pair
}

func limits(in *Input, r *Result, lim Limits) []limit {
	const practice = "usual data-sheet figures, common practice"
	ls := []limit{
		{"heat.strip", "the strip at its hottest LED pad", "the floor under it is warm and each LED adds its own rise", practice, r.Pad, lim.Strip},
		{"heat.tape", "the adhesive under the hottest strip", "the tape carries the strip's heat into the floor", practice, r.StripMax, lim.Tape},
		{"heat.junction", "the LED junction", "the LED's own heat crosses its package", practice, r.Junction, lim.Junction},
		{"heat.touch", "the back of the tray", "the tray is the cooler of the lamp, and hands reach it", "ISO 13732-1 and IEC 62368-1 TS1, from memory", r.BackTouch, lim.Touch},
		{"heat.ambient", "the air at the lamp", "warm air from below or a warm room leaves less to cool with", "common practice, no source", in.Ambient, lim.Ambient},
	}
	if in.Diffuser.Limit > 0 {
		ls = append(ls, limit{"heat.diffuser", "the diffuser sheet", "it takes up heat from the floor by air and radiation, and swallows light", "continuous-use limit of its plastic",
			r.Diffuser, Pair{in.Diffuser.Limit - lim.DiffuserReserve, in.Diffuser.Limit}})
	}
	return ls
}

// Over counts the targets and the hard limits passed, the air's own left out;
// quick and without words, for a search.
func Over(in *Input, r *Result, lim Limits) (targets, hard int) {
	for _, l := range limits(in, r, lim) {
		if l.key == "heat.ambient" {
			continue
		}
		if l.found > l.pair.Target {
			targets++
		}
		if l.found > l.pair.Hard {
			hard++
		}
	}
	return targets, hard
}

// Check compares a result with limits: a warning over a target, a stop over a
// hard limit, each with what would help, computed by [Alternatives].
func Check(in *Input, r *Result, lim Limits) []finding.Finding {
	var fs []finding.Finding
	var alts []Alternative
	for _, l := range limits(in, r, lim) {
		if !(l.found > l.pair.Target) {
			continue
		}
		f := finding.Finding{Severity: finding.Warn, Key: l.key, Cause: l.cause, Source: l.source}
		bound, word := l.pair.Target, "target"
		if l.found > l.pair.Hard {
			f.Severity, bound, word = finding.Stop, l.pair.Hard, "limit"
		}
		f.What = fmt.Sprintf("%s reaches %.0f °C; the %s is %.0f °C", l.name, l.found-273.15, word, bound-273.15)
		if l.key == "heat.ambient" {
			f.Mend = "move the lamp out of warm air, away from vents below it, or use it in a cooler room"
		} else {
			if alts == nil {
				alts, _ = Alternatives(in, lim)
			}
			f.Mend = mend(alts, l.key, lim)
		}
		fs = append(fs, f)
	}
	return fs
}

// mend words the alternatives for one limit, the ones that clear all first.
func mend(alts []Alternative, key string, lim Limits) string {
	var parts []string
	for pass := range 2 {
		for i := range alts {
			a := &alts[i]
			if a.Clears != (pass == 0) {
				continue
			}
			for _, l := range limits(&a.Input, &a.Result, lim) {
				if l.key == key {
					parts = append(parts, fmt.Sprintf("%s: %.0f °C", a.What, l.found-273.15))
				}
			}
		}
	}
	return strings.Join(parts, "; ")
}

// Metrics declares the temperatures and flows of a [Result].
func Metrics() []metric.Metric {
	const source = "heat balance of the tray"
	return []metric.Metric{
		{Key: "strip_max_c", Name: "hottest strip", Symbol: "T", Unit: "°C", Better: metric.Down, Line: "pad side of the hottest strip", Source: source},
		{Key: "pad_c", Name: "hottest LED pad", Symbol: "T", Unit: "°C", Better: metric.Down, Line: "board at the LED pad on the hottest strip", Source: source},
		{Key: "junction_c", Name: "LED junction", Symbol: "Tj", Unit: "°C", Better: metric.Down, Line: "junction of an LED on the hottest strip", Source: source},
		{Key: "floor_mean_c", Name: "tray floor, mean", Symbol: "T", Unit: "°C", Better: metric.Down, Line: "mean over the floor's area", Source: source},
		{Key: "back_touch_c", Name: "back of the tray", Symbol: "T", Unit: "°C", Better: metric.Down, Line: "hottest place a hand may touch", Source: source},
		{Key: "diffuser_c", Name: "diffuser sheet", Symbol: "T", Unit: "°C", Better: metric.Down, Line: "mean of the sheet in front", Source: source},
		{Key: "heat_w", Name: "heat in the lamp", Symbol: "Q", Unit: "W", Better: metric.Down, Line: "heat leaving by back, walls and sheet", Source: source},
	}
}

// Values gives the measures by key.
func (r *Result) Values() map[string]float64 {
	const zero = 273.15
	return map[string]float64{
		"strip_max_c": r.StripMax - zero, "pad_c": r.Pad - zero, "junction_c": r.Junction - zero,
		"floor_mean_c": r.FloorMean - zero, "back_touch_c": r.BackTouch - zero, "diffuser_c": r.Diffuser - zero,
		"heat_w": r.BackHeat + r.WallHeat + r.FrontHeat,
	}
}

// Outside notes where a lamp lies beyond what the laws were measured on, but
// not so far that an answer is refused.
func (in *Input) Outside() []finding.Finding {
	var fs []finding.Finding
	note := func(key, what, cause, mend, source string) {
		fs = append(fs, finding.Finding{Severity: finding.Note, Key: key, What: what, Cause: cause, Mend: mend, Source: source})
	}
	if a := in.SlopeHeight / in.Gap; a < 5 || a > 110 {
		note("heat.range_gap", fmt.Sprintf("the gap is a %.3g-th of the tray's height; the law for a closed air layer was measured from a 5th to a 110th", a),
			"outside that span the air between floor and sheet moves in other ways", "expect the sheet a few kelvin off",
			"ElSherbiny, Raithby & Hollands 1982")
	}
	if short := min(in.Length, in.Width); in.WallHeight > short/2 {
		note("heat.range_walls", fmt.Sprintf("walls of %.0f mm on a floor %.0f mm across make a box", 1000*in.WallHeight, 1000*short),
			"the walls are taken as fins that see the room only", "trust the measured temperature before this one", "straight-fin law")
	}
	if in.Sheet.Conductivity < 5 {
		note("heat.range_metal", fmt.Sprintf("the tray conducts %.3g W/(m·K), which is no metal", in.Sheet.Conductivity),
			"the temperature across the sheet's thickness is left out", "use metal under the strips", "lumped thickness")
	}
	return fs
}

// TooHot is the stop for a lamp that a solver refused with [ErrTooHot], with
// what would bring it back.
func TooHot(in *Input, lim Limits) finding.Finding {
	f := finding.Finding{
		Severity: finding.Stop, Key: "heat.too_hot",
		What:   fmt.Sprintf("with %.0f W of heat the lamp passes %.0f °C, where the models end", in.stripHeat()+in.TrayHeat+in.DiffuserHeat, airHottest-273.15),
		Cause:  "too many watts for the tray's area",
		Source: "heat balance of the tray",
	}
	alts, err := Alternatives(in, lim)
	if err == nil {
		f.Mend = mend(alts, "heat.strip", lim)
	}
	if f.Mend == "" {
		f.Mend = "fewer watts, a larger tray and a painted back together"
	}
	return f
}
