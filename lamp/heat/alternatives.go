package heat

import (
	"fmt"
	"slices"
)

// Alternative is one change of a lamp, with what it would give.
type Alternative struct {
	Kind   string  // paint-back, fewer-watts, thicker-sheet, other-metal, larger-tray
	What   string  // in words, with its number
	Factor float64 // what the changed quantity was multiplied by; 0 where that says nothing
	Input  Input
	Result Result
	Clears bool // no target is passed any more (the air's own aside)
}

// scaled multiplies every heat of the lamp.
func (in *Input) scaled(k float64) Input {
	out := *in
	out.Rows = slices.Clone(in.Rows)
	for i := range out.Rows {
		out.Rows[i].Heat *= k
	}
	out.TrayHeat *= k
	out.DiffuserHeat *= k
	out.LED.Heat *= k
	out.LED.PadRise *= k
	return out
}

// enlarged stretches the floor and spreads the rows over it; strips keep
// their width and heat.
func (in *Input) enlarged(k float64) Input {
	out := *in
	out.Rows = slices.Clone(in.Rows)
	out.Length *= k
	out.Width *= k
	out.SlopeHeight *= k
	for i := range out.Rows {
		r := &out.Rows[i]
		mid := (r.X0 + r.X1) / 2 * k
		half := (r.X1 - r.X0) / 2
		r.Y *= k
		r.X0, r.X1 = mid-half, mid+half
	}
	return out
}

// Alternatives recomputes the lamp with the changes a maker has at hand: the
// back painted matt (emissivity 0.9), fewer watts (just enough for every
// target), a sheet twice as thick, 1 mm of aluminium, a floor a quarter
// longer and wider. A change that is no change is left out. The lamp itself
// must be within the models' reach, but where it is hotter than that a
// cooling change may still be found.
func Alternatives(in *Input, lim Limits) ([]Alternative, error) {
	if err := in.Validate(); err != nil {
		return nil, err
	}
	var out []Alternative
	add := func(kind, what string, factor float64, v Input) {
		r, err := Series(&v)
		if err != nil {
			return
		}
		targets, _ := Over(&v, &r, lim)
		out = append(out, Alternative{Kind: kind, What: what, Factor: factor, Input: v, Result: r, Clears: targets == 0})
	}
	if in.EmissivityBack < 0.8 {
		v := *in
		v.EmissivityBack = 0.9
		add("paint-back", "back painted matt (emissivity 0.9)", 0.9/in.EmissivityBack, v)
	}
	if v := *in; in.Sheet.Conductivity < 100 {
		v.Sheet = Metals()[3]
		v.Sheet.Thickness = max(in.Sheet.Thickness, 0.001)
		add("other-metal", fmt.Sprintf("%.1f mm aluminium 5052 for the tray", 1000*v.Sheet.Thickness), 0, v)
	}
	if v := *in; in.Sheet.Thickness*2 <= 0.004 {
		v.Sheet.Thickness *= 2
		add("thicker-sheet", fmt.Sprintf("sheet of %.1f mm", 1000*v.Sheet.Thickness), 2, v)
	}
	if in.Length*1.25 <= 3 && in.Width*1.25 <= 3 {
		v := in.enlarged(1.25)
		add("larger-tray", fmt.Sprintf("floor of %.0f × %.0f mm", 1000*v.Length, 1000*v.Width), 1.25, v)
	}
	if k, ok := in.fewer(lim); ok {
		v := in.scaled(k)
		add("fewer-watts", fmt.Sprintf("%.0f %% of the watts", 100*k), k, v)
	}
	return out, nil
}

// fewer finds the greatest share of the watts that keeps every target, in
// whole percent downwards; false when all of it does, or nothing would.
func (in *Input) fewer(lim Limits) (float64, bool) {
	fits := func(k float64) bool {
		v := in.scaled(k)
		r, err := Series(&v)
		if err != nil {
			return false
		}
		targets, _ := Over(&v, &r, lim)
		return targets == 0
	}
	if fits(1) || !fits(0.01) {
		return 0, false
	}
	lo, hi := 1, 100
	for hi-lo > 1 {
		mid := (lo + hi) / 2
		if fits(float64(mid) / 100) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return float64(lo) / 100, true
}
