package daylight

import (
	"fmt"
	"math"
	"time"

	"dawnsmith/finding"
)

// Setting is what a lamp should be at one moment.
type Setting struct {
	Kelvin float64 // K
	Level  float64 // of the plan's full light, 0 to 1
}

// Anchor ties a setting to an elevation of the sun.
type Anchor struct {
	Elevation float64 // °, geometric
	Setting
}

// DefaultAnchors is a plain taste for following the disc of the sun: warm and
// dim at the horizon, full and neutral from 30° up. It is no physics (the
// light of the whole sky is blue at twilight) and is meant to be edited.
//
// Source: ours.
func DefaultAnchors() []Anchor {
	return []Anchor{
		{-6, Setting{2200, 0}}, {0, Setting{2700, 0.1}}, {5, Setting{3500, 0.35}}, {15, Setting{4500, 0.75}}, {30, Setting{5700, 1}},
	}
}

// Follow says what a plan takes as its sun.
type Follow uint8

const (
	// TodaysSun follows the sun of the place.
	TodaysSun Follow = iota
	// ChosenSun follows the sun of a chosen date, or latitude, or both, by the
	// same clock.
	ChosenSun
	// Waking follows the owner's own day.
	Waking
)

// String gives the words for what is followed.
func (f Follow) String() string {
	return [...]string{"today's sun", "a chosen sun", "the waking day"}[min(f, Waking)]
}

// Rhythm is the owner's day on the wall clock: a dawn that ends at Wake, full
// light, and a dusk that ends Quiet before Bed.
type Rhythm struct {
	Wake, Bed     Wall
	Dawn          time.Duration // ramp before Wake, 0 to 3 h
	Dusk          time.Duration // ramp in the evening, 0 to 6 h
	Quiet         time.Duration // evening light before Bed, 0 to 6 h; 3 h keeps to Brown et al. 2022
	DawnKelvin    float64       // K, where dawn begins
	DayKelvin     float64       // K
	EveningKelvin float64       // K
	DawnLevel     float64       // where dawn begins, 0.0001 to 1
	DayLevel      float64       // 0.0001 to 1
	EveningLevel  float64       // 0.0001 to 1, until Bed; then off
}

// DefaultRhythm is half an hour of dawn, a full day, and an hour of dusk that
// ends three hours before bed.
func DefaultRhythm(wake, bed Wall) Rhythm {
	return Rhythm{
		Wake: wake, Bed: bed, Dawn: 30 * time.Minute, Dusk: time.Hour, Quiet: 3 * time.Hour,
		DawnKelvin: 2200, DayKelvin: 5000, EveningKelvin: 2700, DawnLevel: 0.001, DayLevel: 1, EveningLevel: 0.02,
	}
}

// Plan is how a lamp goes through the days.
type Plan struct {
	Place   Place
	Follow  Follow
	Anchors []Anchor // rising; empty takes DefaultAnchors
	// Date and Latitude are the sun of ChosenSun; at least one is given.
	Date     *Date
	Latitude *float64 // °
	Rhythm   Rhythm   // for Waking; its Wake is also used to judge the mornings of the other two
}

// Validate names what cannot be followed.
func (p *Plan) Validate() error {
	if err := p.Place.Validate(); err != nil {
		return err
	}
	switch p.Follow {
	case TodaysSun:
	case ChosenSun:
		if p.Date == nil && p.Latitude == nil {
			return fmt.Errorf("daylight: the plan follows a chosen sun but names neither a date nor a latitude")
		}
		if p.Date != nil && !p.Date.valid() {
			return fmt.Errorf("daylight: there is no date %v between the years %d and %d", *p.Date, firstYear, lastYear)
		}
		if p.Latitude != nil && !(*p.Latitude >= -90 && *p.Latitude <= 90) {
			return fmt.Errorf("daylight: chosen latitude is %g°, allowed is -90° to 90°", *p.Latitude)
		}
	case Waking:
		return p.Rhythm.validate()
	default:
		return fmt.Errorf("daylight: plan follows %d, allowed is 0 to %d", p.Follow, Waking)
	}
	return validAnchors(p.Anchors)
}

func validAnchors(as []Anchor) error {
	for i, a := range as {
		if !(a.Elevation >= -90 && a.Elevation <= 90) || i > 0 && !(a.Elevation > as[i-1].Elevation) {
			return fmt.Errorf("daylight: anchor %d is at %g°, allowed is -90° to 90°, rising", i+1, a.Elevation)
		}
		if !(a.Kelvin >= 1000 && a.Kelvin <= 25000) {
			return fmt.Errorf("daylight: anchor %d is %g K, allowed is 1000 to 25000 K", i+1, a.Kelvin)
		}
		if !(a.Level >= 0 && a.Level <= 1) {
			return fmt.Errorf("daylight: anchor %d has level %g, allowed is 0 to 1", i+1, a.Level)
		}
	}
	return nil
}

func (r *Rhythm) validate() error {
	if !r.Wake.valid() || !r.Bed.valid() {
		return fmt.Errorf("daylight: waking %v or bedtime %v is no time of the clock", r.Wake, r.Bed)
	}
	for _, f := range []struct {
		name string
		v    time.Duration
		hi   time.Duration
	}{{"dawn", r.Dawn, 3 * time.Hour}, {"dusk", r.Dusk, 6 * time.Hour}, {"quiet", r.Quiet, 6 * time.Hour}} {
		if f.v < 0 || f.v > f.hi {
			return fmt.Errorf("daylight: %s lasts %v, allowed is 0 to %v", f.name, f.v, f.hi)
		}
	}
	for _, k := range []float64{r.DawnKelvin, r.DayKelvin, r.EveningKelvin} {
		if err := sensible(k); err != nil {
			return err
		}
	}
	for _, l := range []float64{r.DawnLevel, r.DayLevel, r.EveningLevel} {
		if !(l >= 1e-4 && l <= 1) {
			return fmt.Errorf("daylight: a level of the day is %g, allowed is 0.0001 to 1", l)
		}
	}
	if up := r.awake(); up < r.Dusk+r.Quiet {
		return fmt.Errorf("daylight: %v from waking to bed is less than dusk and quiet together (%v); shorten them", up, r.Dusk+r.Quiet)
	} else if up+r.Dawn > 24*time.Hour {
		return fmt.Errorf("daylight: dawn before %v begins before bedtime %v; shorten it", r.Wake, r.Bed)
	}
	return nil
}

// awake is the time from waking to bed on a day without a change of clocks.
func (r *Rhythm) awake() time.Duration {
	since := func(w Wall) time.Duration {
		return time.Duration(w.Hour)*time.Hour + time.Duration(w.Minute)*time.Minute + time.Duration(w.Second)*time.Second
	}
	d := since(r.Bed) - since(r.Wake)
	if d <= 0 {
		d += 24 * time.Hour
	}
	return d
}

// Ramp goes from a to b, u 0 to 1: straight in mired, and in the logarithm of
// the level unless one end is dark, when the level goes straight.
func Ramp(a, b Setting, u float64) Setting {
	u = min(max(u, 0), 1)
	out := Setting{Kelvin: 1 / ((1-u)/a.Kelvin + u/b.Kelvin)}
	if a.Level > 0 && b.Level > 0 {
		out.Level = math.Exp((1-u)*math.Log(a.Level) + u*math.Log(b.Level))
	} else {
		out.Level = (1-u)*a.Level + u*b.Level
	}
	return out
}

// anchored is the setting at an elevation: straight in mired and in level
// between anchors, the end anchors beyond.
func anchored(as []Anchor, elevation float64) Setting {
	if elevation <= as[0].Elevation {
		return as[0].Setting
	}
	for i := 1; i < len(as); i++ {
		if elevation <= as[i].Elevation {
			a, b := as[i-1], as[i]
			u := (elevation - a.Elevation) / (b.Elevation - a.Elevation)
			return Setting{Kelvin: 1 / ((1-u)/a.Kelvin + u/b.Kelvin), Level: (1-u)*a.Level + u*b.Level}
		}
	}
	return as[len(as)-1].Setting
}

// At is the setting at an instant.
func (p *Plan) At(t time.Time) (Setting, error) {
	if err := p.Validate(); err != nil {
		return Setting{}, err
	}
	return p.at(t)
}

func (p *Plan) at(t time.Time) (Setting, error) {
	if p.Follow == Waking {
		return p.Rhythm.at(t, p.Place.Zone), nil
	}
	place, when := p.Place, t
	if p.Follow == ChosenSun {
		if p.Latitude != nil {
			place.Latitude = *p.Latitude
		}
		if p.Date != nil {
			when, _ = WallOf(t, place.Zone).On(*p.Date, place.Zone)
		}
	}
	s, err := Sun(when, place)
	if err != nil {
		return Setting{}, err
	}
	as := p.Anchors
	if len(as) == 0 {
		as = DefaultAnchors()
	}
	return anchored(as, s.Elevation), nil
}

// at is the setting of the owner's day; instants are measured from the true
// times of waking and bed, so that a day of 23 or 25 hours comes out right.
func (r *Rhythm) at(t time.Time, zone *time.Location) Setting {
	day := Setting{r.DayKelvin, r.DayLevel}
	dawn := Setting{r.DawnKelvin, r.DawnLevel}
	evening := Setting{r.EveningKelvin, r.EveningLevel}
	today := DateOf(t, zone)
	for _, d := range []Date{today.Add(1), today, today.Add(-1)} {
		wake, bed := r.times(d, zone)
		begin := wake.Add(-r.Dawn)
		quiet := bed.Add(-r.Quiet)
		dusk := quiet.Add(-r.Dusk)
		switch {
		case t.Before(begin) || !t.Before(bed):
			continue
		case t.Before(wake):
			return Ramp(dawn, day, float64(t.Sub(begin))/float64(r.Dawn))
		case t.Before(dusk):
			return day
		case t.Before(quiet):
			return Ramp(day, evening, float64(t.Sub(dusk))/float64(r.Dusk))
		default:
			return evening
		}
	}
	return Setting{Kelvin: r.EveningKelvin}
}

// times are waking on a date and the bedtime that follows it.
func (r *Rhythm) times(d Date, zone *time.Location) (wake, bed time.Time) {
	wake, _ = r.Wake.On(d, zone)
	bed, _ = r.Bed.On(d, zone)
	if !bed.After(wake) {
		bed, _ = r.Bed.On(d.Add(1), zone)
	}
	return wake, bed
}

// Step is a setting and when it begins.
type Step struct {
	At time.Time
	Setting
}

// Schedule is a plan over one civil day.
type Schedule struct {
	Date     Date
	Steps    []Step
	Findings []finding.Finding
}

// Day lays a plan out over a civil day of the place in even steps of elapsed
// time (a second to six hours), from midnight to midnight by the zone.
func (p *Plan) Day(d Date, step time.Duration) (Schedule, error) {
	if err := p.Validate(); err != nil {
		return Schedule{}, err
	}
	if step < time.Second || step > 6*time.Hour {
		return Schedule{}, fmt.Errorf("daylight: step is %v, allowed is 1s to 6h", step)
	}
	sun, err := p.Place.Day(d, Sunrise)
	if err != nil {
		return Schedule{}, err
	}
	out := Schedule{Date: d}
	for t := sun.Start; t.Before(sun.End); t = t.Add(step) {
		s, err := p.at(t)
		if err != nil {
			return Schedule{}, err
		}
		out.Steps = append(out.Steps, Step{t.In(p.Place.Zone), s})
	}
	out.Findings, err = p.review(d, sun)
	return out, err
}

// review tells what a plan will not do on a day.
func (p *Plan) review(d Date, sun Day) ([]finding.Finding, error) {
	var fs []finding.Finding
	add := func(sev finding.Severity, key, what, cause, mend string) {
		fs = append(fs, finding.Finding{Severity: sev, Key: key, What: what, Cause: cause, Mend: mend, Source: "position of the sun (Meeus, ch. 25)"})
	}
	const other = "follow a chosen date or latitude, or the waking day"
	if p.Follow == TodaysSun {
		switch sun.State {
		case DownAllDay:
			add(finding.Warn, "daylight.polar_night", fmt.Sprintf("on %v the sun does not rise; it gets to %.1f° below the horizon", d, -sun.Highest),
				"following the sun leaves the lamp dark or dim all day", other)
		case UpAllDay:
			add(finding.Note, "daylight.polar_day", fmt.Sprintf("on %v the sun does not set", d),
				"following the sun leaves the lamp on all night", other)
		}
	}
	if p.Follow != Waking && p.Rhythm.Wake.valid() && p.Rhythm.Wake != (Wall{}) {
		wake, _ := p.Rhythm.Wake.On(d, p.Place.Zone)
		s, err := p.at(wake)
		if err != nil {
			return nil, err
		}
		if s.Level < 0.1 && sun.State != UpAllDay {
			add(finding.Warn, "daylight.winter_trap", fmt.Sprintf("at waking, %v, the lamp is at %.0f %%", p.Rhythm.Wake, 100*s.Level),
				"the sun it follows is not up yet when the light is wanted", other)
		}
	}
	if p.Follow == Waking {
		for _, w := range []struct {
			name string
			at   Wall
		}{{"waking", p.Rhythm.Wake}, {"bedtime", p.Rhythm.Bed}} {
			switch t, fold := w.at.On(d, p.Place.Zone); fold {
			case Skipped:
				add(finding.Note, "daylight.clock_skipped", fmt.Sprintf("%s, %v, does not come on %v; %v is taken", w.name, w.at, d, WallOf(t, p.Place.Zone)),
					"clocks are put forward over it", "")
			case Twice:
				add(finding.Note, "daylight.clock_twice", fmt.Sprintf("%s, %v, comes twice on %v; the first is taken", w.name, w.at, d),
					"clocks are put back over it", "")
			}
		}
	}
	return fs, nil
}
