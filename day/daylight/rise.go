package daylight

import (
	"fmt"
	"math"
	"time"
)

// Elevations of the sun's centre, geometric, at which the day has names.
//
// Source: Meeus, ch. 15: 34′ of refraction and 16′ of half width for rise and
// set; the twilights by convention.
const (
	Sunrise      = -0.833 // °
	Civil        = -6.0   // °
	Nautical     = -12.0  // °
	Astronomical = -18.0  // °
)

// State says what a day without events is.
type State uint8

const (
	// Normal: the sun crosses the level.
	Normal State = iota
	// UpAllDay: it stays above.
	UpAllDay
	// DownAllDay: it stays below.
	DownAllDay
)

// String gives normal, up-all-day or down-all-day.
func (s State) String() string {
	return [...]string{"normal", "up-all-day", "down-all-day"}[min(s, DownAllDay)]
}

// MarshalText writes the state's word.
func (s State) MarshalText() ([]byte, error) { return []byte(s.String()), nil }

// Event is one crossing of the level.
type Event struct {
	Rise bool // upwards
	At   time.Time
}

// Day is the sun over one civil day of a place.
type Day struct {
	Date            Date
	Start, End      time.Time // [00:00, next 00:00) of the zone: 23 or 25 h long when clocks change
	Level           float64   // °
	Events          []Event   // none to three, in order
	State           State
	Noon            time.Time // the sun's passage over the meridian
	Highest, Lowest float64   // °, geometric elevations met in the day
}

// scanStep is how densely a day is searched for crossings.
const scanStep = 5 * time.Minute

// Day finds every crossing of a level (°, geometric elevation of the centre,
// see [Sunrise]) in a civil day, by a scan in five-minute steps and bisection
// to a millisecond. A day near the poles may hold none, one, two or three.
//
// Accuracy: a few seconds in middle latitudes, a minute and a half on days
// when the sun only grazes the level.
//
// A day without sunset is not always polar day: where clocks are far from the
// sun one civil day may hold no event while its neighbours do.
func (p Place) Day(d Date, level float64) (Day, error) {
	if err := p.Validate(); err != nil {
		return Day{}, err
	}
	if !d.valid() {
		return Day{}, fmt.Errorf("daylight: there is no date %v between the years %d and %d", d, firstYear, lastYear)
	}
	if !(level >= -90 && level <= 90) {
		return Day{}, fmt.Errorf("daylight: level is %g°, allowed is -90° to 90°", level)
	}
	out := Day{Date: d, Level: level, Highest: math.Inf(-1), Lowest: math.Inf(1)}
	out.Start, _ = Wall{}.On(d, p.Zone)
	out.End, _ = Wall{}.On(d.Add(1), p.Zone)
	at := func(t time.Time) float64 {
		s, _ := Sun(t, p) // place and year are checked
		return s.Elevation
	}
	prev, prevH := out.Start, at(out.Start)
	var times []time.Time
	var heights []float64
	for t := out.Start; ; t = t.Add(scanStep) {
		if t.After(out.End) {
			t = out.End
		}
		h := at(t)
		times, heights = append(times, t), append(heights, h)
		if (prevH >= level) != (h >= level) {
			out.Events = append(out.Events, Event{Rise: h >= level, At: crossing(at, prev, t, level).In(p.Zone)})
		}
		if !t.Before(out.End) {
			break
		}
		prev, prevH = t, h
	}
	out.Noon = p.transit(out.Start, out.End)
	out.extremes(at, times, heights)
	out.grazing(at, times, heights, p.Zone)
	if len(out.Events) == 0 {
		out.State = DownAllDay
		if heights[0] >= level {
			out.State = UpAllDay
		}
	}
	// The end belongs to the next day.
	for len(out.Events) > 0 && !out.Events[len(out.Events)-1].At.Before(out.End) {
		out.Events = out.Events[:len(out.Events)-1]
	}
	return out, nil
}

// crossing bisects between two instants on either side of the level.
func crossing(at func(time.Time) float64, a, b time.Time, level float64) time.Time {
	up := at(a) < level
	for b.Sub(a) > time.Millisecond {
		mid := a.Add(b.Sub(a) / 2)
		if (at(mid) < level) == up {
			a = mid
		} else {
			b = mid
		}
	}
	return a.Add(b.Sub(a) / 2)
}

// extremes finds highest and lowest, between scan points by golden section.
func (d *Day) extremes(at func(time.Time) float64, times []time.Time, heights []float64) {
	hi, lo := 0, 0
	for i, h := range heights {
		if h > heights[hi] {
			hi = i
		}
		if h < heights[lo] {
			lo = i
		}
	}
	_, d.Highest = turning(at, times, hi, 1)
	_, d.Lowest = turning(at, times, lo, -1)
}

// transit finds the passage over the meridian nearest to the middle of the
// day: UTC 12 h - 4 min/° · longitude - equation of time.
func (p Place) transit(start, end time.Time) time.Time {
	middle := start.Add(end.Sub(start) / 2)
	t := middle
	for range 4 {
		eot := orbit(julianCentury(t)).EquationOfTime
		noon := time.Duration((720 - 4*p.Longitude - eot) * float64(time.Minute))
		best := middle.UTC().Truncate(24 * time.Hour).Add(noon)
		for _, shift := range []time.Duration{-24 * time.Hour, 24 * time.Hour} {
			if c := middle.UTC().Truncate(24 * time.Hour).Add(noon + shift); c.Sub(middle).Abs() < best.Sub(middle).Abs() {
				best = c
			}
		}
		t = best
	}
	return t.In(p.Zone)
}

// turning refines the extreme around scan point i; sign +1 seeks the highest.
func turning(at func(time.Time) float64, times []time.Time, i int, sign float64) (time.Time, float64) {
	a, b := times[max(i-1, 0)], times[min(i+1, len(times)-1)]
	const ratio = 0.6180339887498949
	for b.Sub(a) > 50*time.Millisecond {
		w := time.Duration(float64(b.Sub(a)) * ratio)
		c, e := b.Add(-w), a.Add(w)
		if sign*at(c) > sign*at(e) {
			b = e
		} else {
			a = c
		}
	}
	t := a.Add(b.Sub(a) / 2)
	h := at(t)
	if v := at(times[i]); sign*v > sign*h {
		return times[i], v
	}
	return t, h
}

// grazing adds the pair of crossings that hide between two scan points when
// the sun only just touches the level.
func (d *Day) grazing(at func(time.Time) float64, times []time.Time, heights []float64, zone *time.Location) {
	for i := 1; i+1 < len(times); i++ {
		a, m, b := heights[i-1], heights[i], heights[i+1]
		above := m >= d.Level
		if (a >= d.Level) != above || (b >= d.Level) != above {
			continue
		}
		sign := 1.0
		if above {
			sign = -1
		}
		if !(sign*m >= sign*a && sign*m >= sign*b) || math.Abs(m-d.Level) > 0.05 {
			continue
		}
		t, h := turning(at, times, i, sign)
		if (h >= d.Level) == above {
			continue
		}
		first := Event{Rise: !above, At: crossing(at, times[i-1], t, d.Level).In(zone)}
		second := Event{Rise: above, At: crossing(at, t, times[i+1], d.Level).In(zone)}
		k := 0
		for k < len(d.Events) && d.Events[k].At.Before(first.At) {
			k++
		}
		d.Events = append(d.Events[:k], append([]Event{first, second}, d.Events[k:]...)...)
	}
}
