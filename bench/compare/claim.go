package compare

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/lamp/optics"
	"dawnsmith/light/colour"
	"dawnsmith/light/spectrum"
	"dawnsmith/quantity"
)

// Claim is what a seller says of a lamp, and what else is known of it. A field
// that is 0 or nil was not stated.
type Claim struct {
	Lux      float64 `json:"lux,omitempty"`        // lx
	Distance float64 `json:"distance_m,omitempty"` // m, that the lux are said to hold at
	Lumens   float64 `json:"lumens,omitempty"`     // lm
	Watts    float64 `json:"watts,omitempty"`      // W, at the plug unless LEDWatts
	LEDWatts bool    `json:"led_watts,omitempty"`  // the watts are a sum of LED ratings, not read at a plug
	CCT      float64 `json:"cct_k,omitempty"`      // K
	Ra       float64 `json:"ra,omitempty"`
	// FaceLength and FaceWidth are those of the luminous face, m.
	FaceLength float64 `json:"face_length_m,omitempty"`
	FaceWidth  float64 `json:"face_width_m,omitempty"`
	// Spectrum, of any scale, as published or measured.
	Spectrum *spectrum.Spectrum `json:"spectrum,omitempty"`
	// MeasuredLux is a reading at the claim's Distance, lx.
	MeasuredLux *quantity.Value `json:"measured_lux,omitempty"`
	// MeasuredWatts is a reading at the plug, W.
	MeasuredWatts *quantity.Value `json:"measured_watts,omitempty"`
}

// Limits of what white light can be.
const (
	// bestWhite is near the most lumens that a watt of radiation of good white
	// light holds: blue-pumped LEDs lie at 300–350 lm/W.
	bestWhite = 350.0
	// bestPlug is beyond the best lamps sold: LEDs, lining, sheet and supply.
	bestPlug = 200.0
)

// CheckClaim tells in plain words what is wrong or missing in a claim. An
// empty answer means that nothing in it contradicts itself; it does not mean
// that it is true.
func CheckClaim(c Claim) []finding.Finding {
	var fs []finding.Finding
	say := func(sev finding.Severity, key, what, cause, mend, source string) {
		fs = append(fs, finding.Finding{Severity: sev, Key: key, What: what, Cause: cause, Mend: mend, Source: source})
	}
	d := func(x float64) string { return quantity.Digits(x, 3) }
	if c.Lux > 0 && c.Distance == 0 {
		say(finding.Warn, "claim.lux_without_distance",
			fmt.Sprintf("%s lx are stated without a distance", d(c.Lux)),
			"any lamp gives any number of lux if the meter is close enough",
			"ask at what distance from the face; without it the number says nothing", "definition of illuminance")
	}
	if c.Lux > 0 && c.Distance > 0 && c.Distance < 0.20 {
		say(finding.Warn, "claim.lux_close_up",
			fmt.Sprintf("%s lx are stated at %.0f mm", d(c.Lux), 1e3*c.Distance),
			"nobody sits so close; at 500 mm it is a fraction of that",
			"compare at the distance you would use it at", "common practice, no source")
	}
	face := c.FaceLength > 0 && c.FaceWidth > 0
	if c.Lux > 0 && c.Distance > 0 && c.Lumens > 0 && face {
		need := c.Lux / optics.OnAxis(1, c.FaceLength, c.FaceWidth, c.Distance) * math.Pi * c.FaceLength * c.FaceWidth
		switch {
		case need > 1.25*c.Lumens:
			say(finding.Warn, "claim.lux_above_lumens",
				fmt.Sprintf("%s lx at %.0f mm from such a face take about %s lm; %s lm are stated", d(c.Lux), 1e3*c.Distance, d(need), d(c.Lumens)),
				"a matt face spreads its light evenly; only a lens or a reflector could do more with so few lumens",
				"measure it", "Lambert's law for an even face; 25 % left for faces that are not")
		case need < c.Lumens/3:
			say(finding.Note, "claim.lumens_above_lux",
				fmt.Sprintf("%s lm would give about %s lx at %.0f mm; %s lx are stated", d(c.Lumens), d(c.Lux*c.Lumens/need), 1e3*c.Distance, d(c.Lux)),
				"the lumens may be those of the bare LEDs, before sheet and case",
				"ask whether the lumens are of the lamp or of its LEDs", "Lambert's law for an even face")
		}
	}
	if c.Lumens > 0 && c.Watts > 0 {
		eff := c.Lumens / c.Watts
		limit, of := bestPlug, "at the plug"
		if c.LEDWatts {
			limit, of = 1.1*bestPlug, "of the LEDs"
		}
		switch {
		case eff > bestWhite:
			say(finding.Stop, "claim.lumens_impossible",
				fmt.Sprintf("%s lm from %s W are %.0f lm/W: more than white light itself holds (%.0f lm/W)", d(c.Lumens), d(c.Watts), eff, bestWhite),
				"one of the two numbers is wrong",
				"read the watts at the plug", "luminous efficacy of radiation of white LEDs, 300 to 350 lm/W")
		case eff > limit:
			say(finding.Warn, "claim.lumens_too_many",
				fmt.Sprintf("%s lm from %s W are %.0f lm/W %s; more than %.0f is hardly sold", d(c.Lumens), d(c.Watts), eff, of, limit),
				"the lumens may be those of cold, bare LEDs, or the watts those of a dimmed lamp",
				"read the watts at the plug and the lux at a known distance", "common practice, no source")
		}
	}
	if c.Spectrum != nil {
		if ler := c.Spectrum.LER(); c.Lumens > 0 && c.Watts > 0 && c.Lumens/c.Watts > ler {
			say(finding.Stop, "claim.lumens_above_spectrum",
				fmt.Sprintf("%.0f lm/W are stated; a watt of this spectrum's light is only %.0f lm", c.Lumens/c.Watts, ler),
				"lumens, watts or spectrum are not this lamp's", "ask which lamp they belong to", "luminous efficacy of radiation over 380–780 nm")
		}
		t, err := colour.CCT(c.Spectrum)
		if err == nil && t.Valid && c.CCT > 0 && math.Abs(t.Kelvin/c.CCT-1) > 0.05 {
			say(finding.Warn, "claim.kelvin_against_spectrum",
				fmt.Sprintf("%.0f K are stated; its spectrum has %.0f K (Duv %+.4f)", c.CCT, t.Kelvin, t.Duv),
				"labels are rounded by up to 5 %, this is more",
				"believe the spectrum", "CIE 015:2018 clause 9.5; bins of ANSI C78.377 are about ± 5 % wide")
		}
		if cri, err := colour.CRI(c.Spectrum); err == nil && c.Ra > 0 && math.Abs(cri.Ra-c.Ra) > 3 {
			grave := finding.Warn
			if cri.Ra > c.Ra {
				grave = finding.Note // better than its class
			}
			say(grave, "claim.ra_against_spectrum",
				fmt.Sprintf("Ra %.0f is stated; its spectrum has Ra %.0f", c.Ra, cri.Ra),
				"the label is a class or a best case",
				"believe the spectrum", "CIE 13.3-1995; 3 is what meters differ by (engineering estimate)")
		}
	} else if c.CCT > 0 {
		say(finding.Note, "claim.no_spectrum",
			fmt.Sprintf("%.0f K alone do not tell the spectrum", c.CCT),
			"two lamps of one colour temperature may differ by a third in what reaches the body clock",
			"ask for a spectrum or measure one", "CIE S 026/E:2018; ratios of published illuminants")
	}
	against := func(key, what string, stated float64, read *quantity.Value, unit string) {
		if stated <= 0 || read == nil || !(read.X > 0) {
			return
		}
		u := 2 * read.U()
		if diff := stated - read.X; math.Abs(diff) > u && math.Abs(diff) > 0.05*read.X {
			say(finding.Warn, key,
				fmt.Sprintf("%s are stated, %s were measured: %+.0f %%", strings.TrimSpace(d(stated)+" "+unit+" "+what), quantity.FormatUncertain(read.X, u), 100*diff/read.X),
				"the claim is outside the measurement's uncertainty (k = 2) and more than 5 % off",
				"publish the measured number, and the claim beside it as claimed", "JCGM 100:2008 (GUM)")
		}
	}
	if c.Distance > 0 {
		against("claim.lux_against_reading", fmt.Sprintf("at %.0f mm", 1e3*c.Distance), c.Lux, c.MeasuredLux, "lx")
	}
	against("claim.watts_against_reading", "", c.Watts, c.MeasuredWatts, "W")
	finding.Sort(fs)
	return fs
}
