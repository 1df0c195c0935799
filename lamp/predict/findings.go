package predict

import (
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/heat"
	"dawnsmith/quantity"
)

// findings collects what every model has to say about the lamp, and what only
// their joint result shows.
func findings(l lamp.Lamp, r *Result, rev circuit.Reviewed) []finding.Finding {
	fs := l.Review()
	fs = append(fs, r.Box.Findings()...)
	fs = append(fs, electric(l, r, rev)...)
	fs = append(fs, heat.Check(&r.HeatInput, &r.Heat, limits(l))...)
	fs = append(fs, r.HeatInput.Outside()...)
	fs = append(fs, measured(l, r)...)
	fs = append(fs, eyes(l, r)...)
	fs = append(fs, varying(r)...)
	fs = append(fs, striped(l, r)...)
	fs = append(fs, hanging(l, r)...)
	finding.Sort(fs)
	return fs
}

func limits(l lamp.Lamp) heat.Limits {
	lim := heat.DefaultLimits()
	lim.Tape.Hard = math.Min(lim.Tape.Hard, l.Strip.TapeLimit)
	lim.Tape.Target = math.Min(lim.Tape.Target, l.Strip.TapeLimit-15)
	lim.Junction.Hard = math.Min(lim.Junction.Hard, l.Strip.JunctionLimit)
	return lim
}

// eyes holds the findings about comfort and the blue-light hazard.
func eyes(l lamp.Lamp, r *Result) []finding.Finding {
	var fs []finding.Finding
	n := r.Numbers
	switch c := n[Ripple]; {
	case l.Sheet == nil:
	case c >= 0.10:
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "optics.ripple",
			What:   fmt.Sprintf("the face shows dots or stripes: ripple %s, invisible is below 1 %%", percent(c)),
			Cause:  fmt.Sprintf("rows %s apart behind a sheet at %s", quantity.Format(l.WidestGap(), quantity.Length, 3), quantity.Format(l.Height()-l.Strip.Height, quantity.Length, 3)),
			Mend:   "take a sheet that scatters more, a deeper tray, or more rows closer together",
			Source: "contrast thresholds of 0.5 to 1 % at 0.2 to 1.4 cycles/degree, contrast-sensitivity literature; the words are common practice"})
	case c >= 0.03:
		fs = append(fs, finding.Finding{Severity: finding.Note, Key: "optics.ripple",
			What: fmt.Sprintf("rows are visible on the face: ripple %s, invisible is below 1 %%", percent(c)),
			Mend: "a little more depth or a sheet that scatters more", Source: "contrast-sensitivity literature"})
	}
	if d := n[DotRatio]; d > 0.2 && l.Sheet != nil {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "optics.dots",
			What:   fmt.Sprintf("each chip is seen through the sheet at %s times the face's luminance", quantity.Digits(d, 2)),
			Cause:  fmt.Sprintf("%s of the light passes the sheet unscattered, and depth does not cure that", percent(l.Sheet.Clear.X)),
			Mend:   "take a sheet without an unscattered share, or lay a second sheet over it",
			Source: "geometry of an unscattered image"})
	}
	if lb := n[BlueClose]; lb > 100 {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "eyes.blue_light", NoOverride: true,
			What:   fmt.Sprintf("the brightest spot reaches a blue-light radiance of %s W/(m² sr) at 200 mm; exempt is below 100", quantity.Digits(lb, 3)),
			Cause:  "LED chips are seen unscattered",
			Mend:   "cover the LEDs with a sheet that has no unscattered share",
			Source: "IEC 62471:2006, table 6.1 (calculation aid, no assessment)"})
	} else if lb > 50 {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "eyes.blue_light",
			What:   fmt.Sprintf("the brightest spot reaches %s W/(m² sr) of blue-light radiance at 200 mm, over half of the exempt limit of 100", quantity.Digits(lb, 3)),
			Cause:  "a bright face of bluish light, or chips seen through the sheet",
			Mend:   "a larger face at the same light, warmer light, or a sheet that scatters more",
			Source: "IEC 62471:2006, table 6.1 (calculation aid, no assessment)"})
	}
	for _, c := range l.Strip.Channels {
		if c.Pump == "violet" {
			fs = append(fs, finding.Finding{Severity: finding.Note, Key: "eyes.violet",
				What:   fmt.Sprintf("channel %q is violet-pumped and emits down to about 400 nm", c.Name),
				Cause:  "violet weighs more in the blue-light hazard than its kelvin suggests, and yellows plastics",
				Mend:   "judge it by its measured spectrum; prefer a sheet and a lining stable to violet",
				Source: "blue-light weighting of IEC 62471:2006, table 4.2"})
		}
	}
	deg := n[EyeElevation]
	switch {
	case deg > 45:
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "place.elevation",
			What:  fmt.Sprintf("the face's centre stands %.0f° above the line of sight; the brow cuts off what is above %.0f°", deg, l.Spec.Place.Brow*180/math.Pi),
			Cause: "people squint in bright light and the brow comes lower", Mend: "hang the lamp lower or further away",
			Source: "field-of-view limits of CIE S 026:2018, from memory"})
	case deg > 35:
		fs = append(fs, finding.Finding{Severity: finding.Note, Key: "place.elevation",
			What: fmt.Sprintf("the face's centre stands %.0f° above the line of sight, near what the brow cuts off", deg), Mend: "hang the lamp a little lower",
			Source: "field-of-view limits of CIE S 026:2018, from memory"})
	}
	if share, raise := monitorHides(l); share > 0.005 {
		f := finding.Finding{Severity: finding.Note, Key: "place.monitor",
			What:  fmt.Sprintf("the monitor's upper edge hides %s of the face's height from the eye", percent(share)),
			Cause: "the face's lower part lies below the line from the eye over the monitor",
			Mend:  fmt.Sprintf("raise the lamp by %s or lower the monitor", quantity.Format(math.Ceil(raise*100)/100, quantity.Length, 2)), Source: "geometry; the monitor is taken to be as wide as the lamp"}
		if share > 0.1 {
			f.Severity = finding.Warn
		}
		fs = append(fs, f)
	}
	if n[EyeLuxUncut] > 0 && n[EyeLux] < 0.9*n[EyeLuxUncut] {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "place.brow",
			What:  fmt.Sprintf("the brow takes %s of the light that a meter would read at the eye", percent(1-n[EyeLux]/n[EyeLuxUncut])),
			Cause: "part of the face is above the field of view", Mend: "hang the lamp lower or further away",
			Source: "field-of-view limits of CIE S 026:2018, from memory"})
	}
	return fs
}

// monitorHides is the share of the face's height that lies below the line from
// the eye over the monitor's upper edge, and how far the lamp is to be raised,
// m, its tilt kept, to clear it.
func monitorHides(l lamp.Lamp) (share, raise float64) {
	p := l.Spec.Place
	e, between := p.Monitor()
	if !between {
		return 0, 0
	}
	// A point s above the middle of the face stands at ahead − s·sin t,
	// above + s·cos t.
	st, ct := math.Sincos(p.FaceTilt())
	slope := math.Tan(e)
	half := l.Tray.Width / 2
	low := slope*p.Ahead() - p.LampAboveEye // of the line, over the middle
	share = (low/(ct+slope*st) + half) / (2 * half)
	return max(0, min(1, share)), low + half*(ct+slope*st)
}

// hanging holds the findings about the mount.
func hanging(l lamp.Lamp, r *Result) []finding.Finding {
	m := l.Mount
	if m == nil {
		return nil
	}
	var fs []finding.Finding
	mass := r.Numbers[LampMass]
	if mass > m.Load {
		fs = append(fs, finding.Finding{Severity: finding.Stop, Key: "mount.load",
			What: fmt.Sprintf("the lamp weighs %s, the mount carries %s", quantity.Format(mass, quantity.Mass, 3), quantity.Format(m.Load, quantity.Mass, 3)),
			Mend: "take a stronger mount or a lighter tray", Source: "the mount's rating"})
	}
	// The lever is half the tray's depth when the mount holds it in the middle.
	if torque := mass * 9.81 * (l.Tray.Depth/2 + 0.02); m.Torque > 0 && torque > 0.5*m.Torque {
		fs = append(fs, finding.Finding{Severity: finding.Warn, Key: "mount.torque",
			What:  fmt.Sprintf("the joint holds %.2g N m, the lamp asks %.2g N m; half of the rating is the advice", m.Torque, torque),
			Cause: "friction joints creep with time", Mend: "take a stronger joint or a second point of suspension", Source: "common practice, no source"})
	}
	if m.Torque > 0 {
		fs = append(fs, finding.Finding{Severity: finding.Note, Key: "mount.second",
			What: "one friction joint holds a lamp over a desk", Mend: "fit a safety cord to a second point", Source: "common practice, no source"})
	}
	return fs
}

func percent(x float64) string { return quantity.Digits(x*100, 2) + "\u202f%" }

// assumptions says in words what the numbers rest on.
func (p *Prepared) assumptions(l lamp.Lamp, r *Result) []string {
	out := []string{
		"no light from the room or from other lamps is counted",
		map[Grade]string{
			Full:  "light followed patch by patch through the box, every LED at its place; the sheet reflects diffusely",
			Live:  "light followed patch by patch through the box, coarsely, for sliders",
			Quick: "floor and walls of the box shine evenly; the light straight from the LEDs keeps its true spread",
		}[r.Grade],
		fmt.Sprintf("air at the lamp %s, steady state, tray free in air with 50 mm above and behind", quantity.Format(l.Spec.Place.Air, quantity.Temperature, 3)),
	}
	for _, s := range p.sources {
		out = append(out, fmt.Sprintf("spectrum of the %s channel: %s", s.Name, s.Origin))
	}
	for _, c := range l.Strip.Channels {
		if c.MeasuredPower.X == 0 {
			out = append(out, fmt.Sprintf("the %s channel draws what its label says; real strips often draw less, a measurement settles it", c.Name))
		}
	}
	if l.Supply.Efficiency.X == 0 {
		out = append(out, "supply efficiency 88 % for want of a figure")
	}
	return out
}
