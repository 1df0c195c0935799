package web

import (
	"fmt"
	"math"
	"strings"

	"dawnsmith/day/dose"
	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
	"dawnsmith/quantity"
)

// doubted are the numbers that the page tells what to measure for.
var doubted = []string{predict.MeterLux, predict.EyeMelanopic, predict.FaceMean, predict.CCT, predict.Ra, predict.MainsPower, predict.StripTemp, predict.SheetTemp}

// of shows a number with its unit, "5520 ± 1200 lx".
func (v *lampView) of(key string) string {
	r, ok := v.Ans.Row(key)
	if !ok {
		return "–"
	}
	// Value, uncertainty and unit stay on one line.
	return strings.ReplaceAll(strings.TrimSpace(r.Value+" "+r.Unit), " ", "\u00a0")
}

// bare shows it without the uncertainty.
func (v *lampView) bare(key string) string {
	r, ok := v.Ans.Row(key)
	if !ok {
		return "–"
	}
	return strings.TrimSpace(r.Short() + "\u00a0" + r.Unit)
}

// Say is the lamp in one sentence, read out when it changes.
func (v *lampView) Say() string {
	if v.Ans == nil || !v.Ans.Worked() {
		return "Not worked out."
	}
	s := fmt.Sprintf("%s at %s m, %s melanopic at the eye, %s on the face, %s, %s from the mains",
		v.bare(predict.MeterLux), quantity.Decimals(v.Ans.Lamp.Spec.Place.MeterDistance, 2), v.bare(predict.EyeMelanopic), v.bare(predict.FaceMean),
		v.bare(predict.CCT), v.bare(predict.MainsPower))
	if p := v.bare(search.PriceFirst); p != "–" {
		s += ", " + p
	}
	missed := 0
	for _, c := range v.Ans.Checks {
		if !c.Met() {
			missed++
		}
	}
	if missed > 0 {
		s += fmt.Sprintf("; it misses %d of %s", missed, plural(len(v.Ans.Checks), "limit"))
	}
	return s + "; " + v.Against() + "."
}

// Against counts the findings in words.
func (v *lampView) Against() string {
	count := map[finding.Severity]int{}
	for _, f := range v.Findings {
		count[f.Severity]++
	}
	var parts []string
	if n := count[finding.Stop]; n > 0 {
		parts = append(parts, plural(n, "stop"))
	}
	if n := count[finding.Warn]; n > 0 {
		parts = append(parts, plural(n, "warning"))
	}
	if len(parts) == 0 {
		return "nothing stands against it"
	}
	return strings.Join(parts, " and ")
}

// Met says whether the brief is met.
func (v *lampView) Met() string {
	if len(v.Ans.Checks) == 0 {
		return ""
	}
	missed, unsure := 0, 0
	for _, c := range v.Ans.Checks {
		switch {
		case !c.Met():
			missed++
		case strings.Contains(app.Verdict(c, v.Ans), "uncertainty"):
			unsure++
		}
	}
	n := len(v.Ans.Checks)
	switch {
	case missed > 0:
		return fmt.Sprintf("It misses %d of the %s of “%s”.", missed, plural(n, "limit"), v.Ans.Brief.Name)
	case unsure > 0:
		return fmt.Sprintf("It meets the %s of “%s”, %d of them by less than the uncertainty.", plural(n, "limit"), v.Ans.Brief.Name, unsure)
	}
	return fmt.Sprintf("It meets the %s of “%s”.", plural(n, "limit"), v.Ans.Brief.Name)
}

// Light says what reaches meter and eye.
func (v *lampView) Light() string {
	p := v.Ans.Lamp.Spec.Place
	return fmt.Sprintf("A meter that faces it at %s m reads %s. An eye at %s m, its gaze %s, gets %s upright, which is %s of melanopic EDI.",
		quantity.Decimals(p.MeterDistance, 2), v.of(predict.MeterLux), quantity.Decimals(p.EyeDistance, 2), gaze(p.Gaze), v.of(predict.EyeLux), v.of(predict.EyeMelanopic))
}

func gaze(rad float64) string {
	switch deg := math.Round(rad * 180 / math.Pi); {
	case deg > 0:
		return fmt.Sprintf("%.0f° up", deg)
	case deg < 0:
		return fmt.Sprintf("%.0f° down", -deg)
	}
	return "level"
}

// Minutes says how long a sitting is, and by which rule.
func (v *lampView) Minutes() string {
	p := v.Ans.Session.Photopic
	if p.Rule == dose.None {
		return "No session length is given: " + p.Why + "."
	}
	return fmt.Sprintf("About %.0f minutes with the eyes where the meter is, facing the lamp: %s.", math.Round(p.Minutes), p.Why)
}

// Made says what the lamp is.
func (v *lampView) Made() string {
	l := v.Ans.Lamp
	mm := func(x float64) string { return quantity.Digits(x*1000, 3) }
	apart := mm(l.RowPitch())
	if !l.Even() {
		least := l.RowPitch()
		for i := range l.Spec.Rows - 1 {
			least = min(least, l.RowGap(i))
		}
		apart = mm(least) + " to " + mm(l.WidestGap())
	}
	s := fmt.Sprintf("%s of %s, %s m of strip in all, lie %s mm apart in a tray of %.0f × %.0f × %.0f mm", plural(l.Spec.Rows, "row"), plural(l.Spec.Units, "cut unit"),
		quantity.Decimals(l.StripLength(), 2), apart, l.Tray.Length*1000, l.Tray.Width*1000, l.Tray.Depth*1000)
	if l.Sheet != nil {
		s += fmt.Sprintf(", the sheet %s mm above the LEDs", mm(l.Height()-l.Strip.Height))
	} else {
		s += ", with no sheet over the LEDs"
	}
	return s + fmt.Sprintf(". The lamp weighs %s.", v.bare(predict.LampMass))
}

// Bright says what the face is like.
func (v *lampView) Bright() string {
	n := v.Ans.Result.Numbers
	rows := "rows do not show"
	switch c := n[predict.Ripple]; {
	case c >= 0.10:
		rows = "rows and dots show plainly"
	case c >= 0.03:
		rows = "rows show"
	case c >= 0.01:
		rows = "rows show to a careful eye"
	}
	s := fmt.Sprintf("The face has a mean luminance of %s; %s (ripple %s).", v.of(predict.FaceMean), rows, v.of(predict.Ripple))
	if _, ok := n[optics.KeyEvenness]; ok {
		s += fmt.Sprintf(" Its darkest spot has %s of the mean.", v.of(optics.KeyEvenness))
	}
	return s
}

// Colour says what light it is.
func (v *lampView) Colour() string {
	return fmt.Sprintf("White of %s, rendering colours with Ra %s; lux for lux it acts on the body clock %s times as strongly as daylight.",
		v.of(predict.CCT), v.of(predict.Ra), v.of(predict.DER))
}

// Safe says how the blue light stands to its limit.
func (v *lampView) Safe() string {
	n := v.Ans.Result.Numbers
	word := "within"
	if math.Max(n[predict.BlueFace], n[predict.BlueClose]) > 100 {
		word = "above"
	}
	return fmt.Sprintf("The blue-light radiance is %s where the eye is and %s at 200 mm, %s the exempt limit of 100 W/(m² sr).", v.of(predict.BlueFace), v.of(predict.BlueClose), word)
}

// Box says where the light goes.
func (v *lampView) Box() string {
	return fmt.Sprintf("Of the %s that the LEDs give, %s leaves through the sheet; floor, walls and sheet keep %s, %s and %s.",
		v.of(predict.FluxLED), v.of(predict.BoxShare), v.bare(predict.LostFloor), v.bare(predict.LostWalls), v.bare(predict.LostSheet))
}

// Flow says what flows.
func (v *lampView) Flow() string {
	return fmt.Sprintf("%s flow into the lamp from a supply of %.0f V; %s come from the mains. The weakest cut unit carries %s of the strongest one's current.",
		v.of(predict.SupplyCurrent), v.Ans.Lamp.Supply.Voltage.X, v.of(predict.MainsPower), v.of(predict.Evenness))
}

// Hot says how hot it gets.
func (v *lampView) Hot() string {
	return fmt.Sprintf("When it has warmed up in air of %.0f °C, the hottest strip is at %s, the back of the tray at %s and the sheet at %s.",
		v.Ans.Lamp.Spec.Place.Air-273.15, v.of(predict.StripTemp), v.of(predict.BackTemp), v.of(predict.SheetTemp))
}

// Cost says what it costs.
func (v *lampView) Cost() string {
	b := v.Ans.Bill
	s := fmt.Sprintf("The first lamp costs %s without tools, the next one %s; tools, bought once, %s.", b.First, b.Next, b.Tools)
	if len(b.Unpriced) > 0 {
		s += " Not counted, since no price is known: " + strings.Join(b.Unpriced, ", ") + "."
	}
	return s
}

// Surely says what limits knowing.
func (v *lampView) Surely() string {
	if v.Ans.Values == nil {
		return ""
	}
	r, ok := v.Ans.Row(predict.MeterLux)
	if !ok || len(r.From) == 0 {
		return "± is the expanded uncertainty, k = 2."
	}
	return fmt.Sprintf("± is the expanded uncertainty, k = 2, about 95 %%. Most of the doubt in the illuminance comes from “%s” (%.0f %%): measure that to know better.",
		r.From[0].Source, 100*r.From[0].Share)
}
