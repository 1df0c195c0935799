package heat

import (
	"fmt"

	"dawnsmith/finding"
)

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
