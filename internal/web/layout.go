package web

import (
	"strings"

	"dawnsmith/internal/form"
	"dawnsmith/quantity"
)

// What the plan needs for its rows to be moved by hand; lengths in mm.

// RowLines are the centre lines of the rows from the wall beside the first.
func (v *lampView) RowLines() string {
	l := v.Ans.Lamp
	var all []string
	for i := range l.Spec.Rows {
		all = append(all, quantity.Decimals(l.RowAt(i)*1000, 3))
	}
	return plainNumbers(strings.Join(all, " "))
}

// Across is the width of the floor that the rows share.
func (v *lampView) Across() string {
	return plainNumbers(quantity.Decimals(v.Ans.Lamp.Across()*1000, 3))
}

// LeastGap is how near the centre lines of two rows may lie.
func (v *lampView) LeastGap() string {
	return plainNumbers(quantity.Decimals(v.Ans.Lamp.LeastGap()*1000, 3))
}

// HalfStrip is how near a wall a centre line may lie.
func (v *lampView) HalfStrip() string {
	return plainNumbers(quantity.Decimals(v.Ans.Lamp.Strip.Width*500, 3))
}

// plainNumbers takes out the thin spaces between thousands.
func plainNumbers(s string) string { return strings.ReplaceAll(s, "\u202f", "") }

// LinesErr is what is wrong with the rows as they were placed.
func (v *lampView) LinesErr() string {
	if b, ok := v.p.state.Bad["row_lines"]; ok {
		return capital(b.Why) + "."
	}
	return ""
}

// Evenly leads to the lamp with its rows spread evenly; "" when they are.
func (v *lampView) Evenly() string {
	if v.Ans.Lamp.Lines == nil {
		return ""
	}
	return v.to(v.p.state.With(map[string]string{"row_lines": ""}).Query())
}

// Feeds are the ways of feeding the rows; the one in use leads nowhere.
func (v *lampView) Feeds() []link {
	var out []link
	for _, f := range v.fields {
		if f.Key != "feed" {
			continue
		}
		for _, o := range f.Options {
			k := link{Text: o.Label}
			if o.Value != form.Get(v.p.state.Doc, f) {
				k.Href = v.to(v.p.state.With(map[string]string{"feed": o.Value}).Query())
			}
			out = append(out, k)
		}
	}
	return out
}
