package app

import (
	"cmp"
	"context"
	"math"
	"slices"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/paper/buildpack"
)

// How many trays and strips a guide's table crosses.
const (
	guideTrays  = 4
	guideStrips = 3
)

// Guide works out the variants of a lamp for a guide: the trays nearest in size
// and the strips nearest in power, of the same voltage and channels, crossed.
func (a *App) Guide(ctx context.Context, s lamp.Spec) (*buildpack.Guide, error) {
	own, err := a.Build(s)
	if err != nil {
		return nil, err
	}
	set := a.Parts.Layer(s.Parts)
	area := func(t part.Tray) float64 { return t.Length * t.Width }
	trays := nearest(set.Trays, guideTrays, func(t part.Tray) float64 { return math.Abs(math.Log(area(t) / area(own.Tray))) })
	var like []part.Strip
	if own.Interleaved() {
		like = []part.Strip{own.Strip} // the pair stays
	}
	for _, k := range set.Strips {
		if !own.Interleaved() && k.Voltage == own.Strip.Voltage && len(k.Channels) == len(own.Strip.Channels) {
			like = append(like, k)
		}
	}
	strips := nearest(like, guideStrips, func(k part.Strip) float64 {
		return math.Abs(math.Log(k.LabelPower() / own.Strip.LabelPower()))
	})
	g := &buildpack.Guide{}
	for _, t := range trays {
		for _, k := range strips {
			if err := ctx.Err(); err != nil {
				return nil, err
			}
			if v, ok := a.variant(s, own, t, k); ok {
				g.Variants = append(g.Variants, v)
			}
		}
	}
	return g, nil
}

// nearest are the n parts of least distance, in the order of the catalogue's
// distance, the lamp's own first.
func nearest[P part.Part](ps []P, n int, distance func(P) float64) []P {
	out := slices.Clone(ps)
	slices.SortStableFunc(out, func(x, y P) int { return cmp.Compare(distance(x), distance(y)) })
	return out[:min(n, len(out))]
}

// variant is the lamp with another tray and strip: rows at about the same
// pitch, filled, the smallest supply and fuse that will do.
func (a *App) variant(s lamp.Spec, own lamp.Lamp, t part.Tray, k part.Strip) (buildpack.Variant, bool) {
	v := buildpack.Variant{Tray: t.ID, Strip: k.ID, Own: t.ID == own.Tray.ID && k.ID == own.Strip.ID}
	if !v.Own {
		s.Tray, s.Units, s.Pitch, s.Rows, s.Lines = t.ID, 0, 0, 1, nil
		if own.Interleaved() {
			s.Rows = 2
		} else {
			s.Strip = k.ID
		}
		l, err := a.Build(s)
		if err != nil {
			return v, false
		}
		s.Rows = max(s.Rows, min(l.RowsThatFit(), int(math.Round(l.Across()/own.RowPitch()))))
		if l, err = a.Build(s); err != nil {
			return v, false
		}
		s.Supply, s.Connector, s.Fuse = a.supplyFor(l)
	}
	ans, err := a.Predict(s, nil, false)
	if err != nil {
		return v, false
	}
	l := ans.Lamp
	v.Rows, v.Units, v.RowLength, v.Supply = l.Spec.Rows, l.Spec.Units, l.RowLength(), l.Supply.ID
	v.Price, v.Lux, v.Luminance = ans.Bill.First.String(), ans.Result.Numbers[predict.MeterLux], ans.Result.Numbers[predict.FaceMean]
	for _, f := range ans.Result.Findings {
		if f.Severity == finding.Stop {
			v.Stop = f.What
			break
		}
	}
	return v, true
}

// supplyFor chooses the smallest supply with a fifth in hand (common practice),
// the connector it ends in, and the smallest fuse of 1.25 times the current.
func (a *App) supplyFor(l lamp.Lamp) (supply, connector, fuse string) {
	set := a.Parts.Layer(l.Spec.Parts)
	watts := l.LabelPower()
	supply, connector, fuse = l.Spec.Supply, l.Spec.Connector, l.Spec.Fuse
	least := math.Inf(1)
	for _, k := range set.Supplies {
		if math.Abs(k.Voltage.X-l.Strip.Voltage) <= 0.06*l.Strip.Voltage && k.Rating >= 1.2*watts && k.Rating < least {
			least, supply = k.Rating, k.ID
			if k.Outlet != "" && l.Dimmer == nil {
				connector = k.Outlet
			}
		}
	}
	if l.Fuse == nil {
		return supply, connector, fuse
	}
	amps, rating := watts/l.Strip.Voltage, math.Inf(1)
	for _, k := range set.Fuses {
		if k.Rating >= 1.25*amps && k.Rating < rating && k.Voltage >= 32 {
			rating, fuse = k.Rating, k.ID
		}
	}
	return supply, connector, fuse
}
