package dose

import (
	"fmt"
	"math"

	"dawnsmith/finding"
)

// The tested span: trials used 2 500 lx for two hours and 10 000 lx for half
// an hour; between them minutes go as one over lux.
//
// Source: Terman et al. 1989, Neuropsychopharmacology 2:1, and Terman, Terman
// & Rafferty 1990 (the two protocols); the straight trade between them is
// common practice in guidelines.
const (
	LowestLux        = 2500.0  // lx
	HighestLux       = 10000.0 // lx
	ReferenceLux     = 10000.0 // lx
	ReferenceMinutes = 30.0    // min
	// ReferenceDER is the melanopic daylight efficacy ratio of the light the
	// trials used, cool-white fluorescent tubes near 4 000 K: CIE FL11.
	//
	// Source: CIE 15 (FL11) weighted by CIE S 026.
	ReferenceDER = 0.5636
	// LongestMinutes at 10 000 lx in published practice.
	LongestMinutes = 90.0 // min
)

// Rule says how minutes were found.
type Rule uint8

const (
	// None: no tested protocol covers this light.
	None Rule = iota
	// Linear: minutes by lux, between the tested protocols.
	Linear
	// Held: kept at the reference's 30 minutes.
	Held
)

// String gives the rule in a word.
func (r Rule) String() string {
	switch r {
	case Linear:
		return "linear"
	case Held:
		return "held"
	}
	return "none"
}

// MarshalText writes the rule's word.
func (r Rule) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// Minutes is the length of a session, or why there is none.
type Minutes struct {
	Minutes float64 // min; 0 with Rule None
	Scaled  float64 // min by plain scaling, before Held kept it at 30; 0 with Rule None
	Rule    Rule
	Why     string // one sentence
}

// light refuses what is not an illuminance.
func light(field string, v float64) error {
	if v >= 0 && v <= 1e6 {
		return nil
	}
	return fmt.Errorf("dose: %s is %g lx, allowed is 0 to 1 000 000 lx", field, v)
}

// Photopic gives the minutes for an illuminance at the eye plane (lx),
//
//	t = 30 min · 10 000 lx / E,  2 500 lx <= E <= 10 000 lx
//
// Above the span the time stays at 30 minutes: more light is untested. Below
// it there is no tested protocol and no minutes are claimed.
//
// Source: see [LowestLux]. Not modelled: that lux and minutes are not in truth
// freely exchanged; short pulses count for more per minute (Chang et al. 2012,
// J. Physiol. 590:3103).
func Photopic(lux float64) (Minutes, error) {
	if err := light("illuminance", lux); err != nil {
		return Minutes{}, err
	}
	switch {
	case lux < LowestLux:
		return Minutes{Why: fmt.Sprintf("no tested protocol uses %s lx: the trials start at 2 500 lx, so no minutes are given", figure(lux))}, nil
	case lux > HighestLux:
		return Minutes{ReferenceMinutes, ReferenceMinutes * ReferenceLux / lux, Held, fmt.Sprintf("%s lx is more than the trials used: the time stays at the 30 min of 10 000 lx; go farther away rather than shorter", figure(lux))}, nil
	}
	t := ReferenceMinutes * ReferenceLux / lux
	return Minutes{t, t, Linear, "30 min at 10 000 lx and 120 min at 2 500 lx are tested; between them minutes go as one over lux, a rule of thumb"}, nil
}

// Melanopic gives the minutes that bring the melanopic exposure of the trials'
// fluorescent light (10 000 lx at DER 0.5636 for 30 min), for a melanopic
// equivalent daylight illuminance at the eye (lx). It never goes under 30
// minutes, and like [Photopic] says nothing under a quarter of the reference.
//
// Validity: no trial has proved this scaling. Show it second, as what would
// follow if the melanopic part is what counts.
//
// Source: CIE S 026 (MEDI), the protocols at [LowestLux]; the scaling is ours.
func Melanopic(medi float64) (Minutes, error) {
	if err := light("melanopic illuminance", medi); err != nil {
		return Minutes{}, err
	}
	const full = ReferenceLux * ReferenceDER
	switch {
	case medi < full*LowestLux/ReferenceLux:
		return Minutes{Why: fmt.Sprintf("%s lx melanopic is less than the weakest tested protocol gave (%s lx)", figure(medi), figure(full*LowestLux/ReferenceLux))}, nil
	case medi > full:
		return Minutes{ReferenceMinutes, ReferenceMinutes * full / medi, Held, "melanopic scaling alone never shortens a session below the tested 30 min"}, nil
	}
	t := ReferenceMinutes * full / medi
	return Minutes{t, t, Linear, "if the melanopic part is what counts: as much as the trials' fluorescent light gave in 30 min; not proved by a trial"}, nil
}

// Session is what a light means for a sitting, photopic first.
type Session struct {
	Lux, DER, MEDI      float64 // lx, 1, lx
	Photopic, Melanopic Minutes
	LuxHours            float64 // lx·h of the photopic session, 0 without one
	MelanopicLuxHours   float64 // lx·h MEDI of the same session
	Findings            []finding.Finding
}

// Plan works out a session from the illuminance at the eye plane (lx) and the
// light's melanopic daylight efficacy ratio (0 to 3; D65 is 1).
func Plan(lux, der float64) (Session, error) {
	if err := light("illuminance", lux); err != nil {
		return Session{}, err
	}
	if !(der > 0 && der <= 3) {
		return Session{}, fmt.Errorf("dose: melanopic daylight efficacy ratio is %g, allowed is above 0 to 3 (daylight is 1)", der)
	}
	s := Session{Lux: lux, DER: der, MEDI: lux * der}
	var err error
	if s.Photopic, err = Photopic(lux); err != nil {
		return Session{}, err
	}
	if s.Melanopic, err = Melanopic(s.MEDI); err != nil {
		return Session{}, err
	}
	if s.Photopic.Rule == None {
		s.Melanopic = Minutes{Why: "without a tested protocol for the illuminance no minutes are given by its melanopic part either"}
	}
	s.LuxHours = lux * s.Photopic.Minutes / 60
	s.MelanopicLuxHours = s.MEDI * s.Photopic.Minutes / 60
	s.Findings = s.review()
	return s, nil
}

const trialSource = "Terman et al. 1989 and 1990 (2 500 lx for 2 h, 10 000 lx for 30 min)"

func (s *Session) review() (fs []finding.Finding) {
	switch s.Photopic.Rule {
	case None:
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "dose.below_protocol",
			What:   fmt.Sprintf("the eye gets %s lx; tested protocols start at 2 500 lx", figure(s.Lux)),
			Cause:  "no trial tells how long a weaker light would take",
			Mend:   "sit nearer, use a larger or brighter face, or judge the light by the daytime target of 250 lx melanopic instead",
			Source: trialSource,
		})
		fs = append(fs, s.dayTarget())
	case Held:
		fs = append(fs, finding.Finding{
			Severity: finding.Warn, Key: "dose.above_protocol",
			What:   fmt.Sprintf("the eye gets %s lx; tested protocols end at 10 000 lx", figure(s.Lux)),
			Cause:  "more light than the trials used is untested, and not shown to save time",
			Mend:   "sit farther away or dim the lamp until the meter reads 10 000 lx",
			Source: trialSource,
		})
	}
	if s.Photopic.Rule != None && s.Melanopic.Rule != None && s.Melanopic.Minutes > 1.1*s.Photopic.Minutes {
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "dose.melanopic",
			What:   fmt.Sprintf("counted by its melanopic part this light would take %s min, not %s", figure(s.Melanopic.Minutes), figure(s.Photopic.Minutes)),
			Cause:  fmt.Sprintf("its melanopic ratio is %.2f, the trials' fluorescent light had %.2f", s.DER, ReferenceDER),
			Mend:   "a cooler white at the same illuminance brings the two together",
			Source: "CIE S 026; the scaling is not proved by a trial",
		})
	}
	return fs
}

func (s *Session) dayTarget() finding.Finding {
	f := finding.Finding{
		Severity: finding.Note, Key: "dose.day_target",
		What:   fmt.Sprintf("melanopic illuminance is %s lx; the daytime recommendation is at least 250 lx", figure(s.MEDI)),
		Source: brown,
	}
	if s.MEDI < 250 {
		f.Cause = "the light at the eye is too little, or too warm"
		f.Mend = "raise the illuminance at the eye or use a cooler white"
	}
	return f
}

// figure writes a number with three digits at most, thousands set apart.
func figure(v float64) string {
	if v == 0 || math.IsNaN(v) || math.IsInf(v, 0) {
		return fmt.Sprintf("%g", v)
	}
	unit := math.Pow(10, math.Floor(math.Log10(math.Abs(v)))-2)
	r := math.Round(v/unit) * unit
	if math.Abs(r) < 100 {
		return fmt.Sprintf("%.3g", r)
	}
	s := fmt.Sprintf("%.0f", r)
	for i := len(s) - 3; i > 0; i -= 3 {
		s = s[:i] + " " + s[i:]
	}
	return s
}
