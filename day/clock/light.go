package clock

import (
	"fmt"
	"math"
	"slices"
)

// Piece is light of one level over [From, To).
type Piece struct {
	From, To float64 // h
	Lux      float64 // lx at the eye, photopic (or see ModelLux)
}

// MaxHours is the longest schedule taken, h.
const MaxHours = 24 * 400.0

// checkLight refuses light that is no schedule: pieces follow each other
// without a hole from the first on.
func checkLight(light []Piece) error {
	if len(light) == 0 {
		return fmt.Errorf("clock: the schedule is empty, allowed is at least one piece of light or darkness")
	}
	for i, p := range light {
		if !(p.Lux >= 0 && p.Lux <= 200000) {
			return fmt.Errorf("clock: piece %d has %g lx, allowed is 0 to 200 000 lx", i+1, p.Lux)
		}
		if !(math.Abs(p.From) <= 1e6 && p.To > p.From && p.To <= 1e6) {
			return fmt.Errorf("clock: piece %d runs from %g to %g h, allowed is an end after its start", i+1, p.From, p.To)
		}
		if i > 0 && math.Abs(p.From-light[i-1].To) > 1e-9 {
			return fmt.Errorf("clock: piece %d starts at %g h but the one before ends at %g h; pieces must follow each other, so write darkness as 0 lx", i+1, p.From, light[i-1].To)
		}
	}
	if d := light[len(light)-1].To - light[0].From; d > MaxHours {
		return fmt.Errorf("clock: the schedule lasts %g h, allowed is up to %g h", d, MaxHours)
	}
	return nil
}

// Days writes n equal days from hour 0: lux from on to off o'clock (h, 0 to
// 24; off before on runs over midnight), dark otherwise.
func Days(n int, on, off, lux, dark float64) []Piece {
	var out []Piece
	put := func(from, to, level float64) {
		if to <= from {
			return
		}
		if k := len(out) - 1; k >= 0 && out[k].Lux == level && out[k].To == from {
			out[k].To = to
			return
		}
		out = append(out, Piece{from, to, level})
	}
	for d := range n {
		t := 24 * float64(d)
		if on <= off {
			put(t, t+on, dark)
			put(t+on, t+off, lux)
			put(t+off, t+24, dark)
		} else {
			put(t, t+off, lux)
			put(t+off, t+on, dark)
			put(t+on, t+24, lux)
		}
	}
	return out
}

// Overlay lays a piece over a schedule in place of what lies under it; parts
// outside the schedule are dropped.
func Overlay(base []Piece, p Piece) []Piece {
	if len(base) == 0 {
		return nil
	}
	p.From = max(p.From, base[0].From)
	p.To = min(p.To, base[len(base)-1].To)
	if !(p.To > p.From) {
		return slices.Clone(base)
	}
	var out []Piece
	placed := false
	for _, b := range base {
		if b.From < p.From {
			out = append(out, Piece{b.From, min(b.To, p.From), b.Lux})
		}
		if !placed && b.To > p.From {
			out = append(out, p)
			placed = true
		}
		if b.To > p.To {
			out = append(out, Piece{max(b.From, p.To), b.To, b.Lux})
		}
	}
	return out
}

// repeat runs a day of 24 h over and over for a number of hours from start.
func repeat(day []Piece, start, hours float64) []Piece {
	var out []Piece
	for k := 0; ; k++ {
		t := start + 24*float64(k)
		for _, p := range day {
			from, to := t+p.From-day[0].From, t+p.To-day[0].From
			if from >= start+hours-1e-9 {
				return out
			}
			out = append(out, Piece{from, min(to, start+hours), p.Lux})
		}
	}
}
