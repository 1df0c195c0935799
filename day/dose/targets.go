package dose

import (
	"fmt"
	"math"

	"dawnsmith/finding"
)

// Protocol is a light and a time that published practice used.
type Protocol struct {
	Lux     float64 // lx at the eye
	Minutes float64 // min
	Note    string
	Source  string
}

// Protocols lists published practice, the two tested ones first.
func Protocols() []Protocol {
	return []Protocol{
		{10000, 30, "soon after waking, every day, eyes open, lamp in view but not stared at, from slightly above", "Terman, Terman & Rafferty 1990; Lam et al. 2006, Am. J. Psychiatry 163:805"},
		{2500, 120, "in the morning", "Terman et al. 1989, Neuropsychopharmacology 2:1"},
		{5000, 60, "between the two by the linear rule", "guideline practice, from memory"},
	}
}

const brown = "Brown et al. 2022, PLOS Biology 20(3): e3001571"

// Target is a recommended melanopic illuminance for healthy adults, in the
// vertical plane at the eye.
type Target struct {
	Key     string
	When    string
	MEDI    float64 // lx
	AtLeast bool    // at least; else at most
	Note    string
	Source  string
}

// Targets lists the consensus recommendations for day, evening and night.
// They are for wakefulness by day and sleep by night, not a treatment.
func Targets() []Target {
	return []Target{
		{"day", "daytime", 250, true, "about 1.2 m above the floor for a seated person", brown},
		{"evening", "from three hours before bed", 10, false, "", brown},
		{"night", "while asleep", 1, false, "where light is needed at night, at most 10 lx", brown},
	}
}

// Forward is the illuminance (lx) in the vertical plane that faces forward
// when the lamp, measured facing it (lx), stands at an angle (rad) off the
// gaze: E cos θ, and 0 from behind. The lamp must be small for its distance.
//
// Source: Lambert's cosine law.
func Forward(lux, angle float64) float64 {
	return lux * max(0, math.Cos(angle))
}

// RoomPart estimates the illuminance (lx) that a flux (lm) makes everywhere in
// a room by reflection from surfaces of the total area (m²) and the mean
// reflectance ρ,
//
//	E = Φ ρ / [A (1-ρ)]
//
// Validity: a furnished room within a factor of two; ρ 0.05 to 0.95.
//
// Source: integrating-sphere formula applied to a room, lighting handbooks,
// from memory. Measure it where it matters.
func RoomPart(flux, area, reflectance float64) (float64, error) {
	if !(flux >= 0 && flux <= 1e7) {
		return 0, fmt.Errorf("dose: flux is %g lm, allowed is 0 to 10 000 000 lm", flux)
	}
	if !(area >= 1 && area <= 1e5) {
		return 0, fmt.Errorf("dose: room surface is %g m², allowed is 1 to 100 000 m²", area)
	}
	if !(reflectance >= 0.05 && reflectance <= 0.95) {
		return 0, fmt.Errorf("dose: mean reflectance is %g, allowed is 0.05 to 0.95", reflectance)
	}
	return flux * reflectance / (area * (1 - reflectance)), nil
}

// CheckTiming looks at a session that starts at an hour of the local clock,
// for a person who wakes and goes to bed at the given hours (0 to 24).
// Sessions belong soon after waking; in the last three hours before bed the
// recommendation is at most 10 lx melanopic.
func CheckTiming(start, wake, bed, minutes float64) []finding.Finding {
	for _, h := range []float64{start, wake, bed} {
		if !(h >= 0 && h <= 24) {
			return []finding.Finding{{
				Severity: finding.Warn, Key: "dose.timing_unknown",
				What: fmt.Sprintf("%g is not an hour of the clock (0 to 24)", h), Mend: "give start, waking and bedtime as hours",
			}}
		}
	}
	after := func(from, to float64) float64 { return math.Mod(to-from+48, 24) }
	var fs []finding.Finding
	end := after(wake, start) + minutes/60
	day := after(wake, bed)
	if day == 0 {
		day = 24
	}
	switch {
	case end > day-3:
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "dose.late",
			What:   fmt.Sprintf("the session ends %s h before bed, or after it; from 3 h before bed the recommendation is at most 10 lx melanopic", figure(max(day-end, 0))),
			Cause:  "bright light in the evening moves the body clock later and can cost sleep",
			Mend:   "move the session to the first hours after waking",
			Source: brown,
		})
	case after(wake, start) > 4:
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "dose.midday",
			What:   fmt.Sprintf("the session starts %s h after waking; published protocols start soon after waking", figure(after(wake, start))),
			Source: trialSource,
		})
	}
	return fs
}
