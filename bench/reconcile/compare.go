package reconcile

import (
	"fmt"
	"slices"
	"strings"

	"gonum.org/v1/gonum/stat/distuv"

	"dawnsmith/bench/measure"
	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// At is the lamp as it stood at the bench: distances, drive and air as the
// conditions tell.
func At(l lamp.Lamp, c measure.Conditions) lamp.Lamp {
	if c.Distance > 0 {
		switch c.Facing {
		case measure.Forward:
			l.Spec.Place.EyeDistance = c.Distance
		case measure.AtLamp, "":
			l.Spec.Place.MeterDistance = c.Distance
		}
	}
	if c.Drive != nil {
		l.Spec.Drive = c.Drive
	}
	if c.Ambient > 0 {
		l.Spec.Place.Air = c.Ambient
	}
	return l
}

// Lamp predicts a lamp as it stood at the bench and compares it with a record.
func Lamp(l lamp.Lamp, r measure.Record, o Options) (Report, error) {
	u, err := predict.Spread(At(l, r.Conditions))
	if err != nil {
		return Report{}, fmt.Errorf("predict the lamp as measured: %w", err)
	}
	if o.Unit == "" {
		o.Unit = r.Subject.String()
	}
	return Compare(u, r.Values, o)
}

// Compare lays readings beside a prediction made for the place where they were
// read, and corrects the parts. A reading that only bounds, has no counterpart
// or no uncertainty is listed in Unused. It fails when nothing can be
// compared.
func Compare(u predict.Uncertain, readings []measure.Measured, o Options) (Report, error) {
	if o.Unit == "" {
		o.Unit = "the built lamp"
	}
	r := Report{Verdict: NoAnswer}
	var pred, meas []quantity.Value
	for _, m := range readings {
		if o.Keys != nil && !slices.Contains(o.Keys, m.Key) {
			continue
		}
		p, why := counterpart(u, m)
		if why != "" {
			r.Unused = append(r.Unused, m.Key+": "+why)
			continue
		}
		d, _ := measure.Declared(m.Key)
		if ownDistance(m.Value) {
			// The reading carries the error of its distance; the prediction is
			// for that very distance.
			p.Terms = slices.DeleteFunc(slices.Clone(p.Terms), func(t quantity.Term) bool { return strings.HasPrefix(t.Source, "distance to the ") })
		}
		res := Residual{Metric: d, Predicted: p, Measured: m.Value, Difference: m.Value.Sub(p), How: m.How}
		if res.Difference.U() == 0 {
			r.Unused = append(r.Unused, m.Key+": neither side has an uncertainty")
			continue
		}
		res.Sigmas = res.Difference.X / res.Difference.U()
		r.Residuals = append(r.Residuals, res)
		pred, meas = append(pred, p), append(meas, m.Value)
	}
	if len(pred) == 0 {
		return r, &measure.InputError{Field: "readings", Found: fmt.Sprintf("none of %d that can be compared", len(readings)), Allowed: "at least one measure that is predicted too", Mend: strings.Join(r.Unused, "; ")}
	}
	s := newSystem(pred, meas)
	fields := fieldsOf(&u.Lamp)
	post, d := s.repeat(u, fields, r.Residuals)
	r.Chi2, r.Freedom = post.chi2, post.rank
	if r.Freedom > 0 {
		r.P = 1 - distuv.ChiSquared{K: float64(r.Freedom)}.CDF(r.Chi2)
	}
	r.causes(u, s, post, d, fields)
	r.correct(u, s, post, fields, o.Unit)
	r.afterwards(s, post, d)
	r.judge()
	return r, nil
}

// counterpart is the predicted value of a reading, or why there is none.
func counterpart(u predict.Uncertain, m measure.Measured) (quantity.Value, string) {
	if m.Bound != measure.Estimate {
		return quantity.Value{}, "only a limit was read"
	}
	if !m.Value.Finite() {
		return quantity.Value{}, "no number"
	}
	if v, ok := u.Values[m.Key]; ok {
		if strings.HasPrefix(m.Key, "edi_") || m.Key == "cla" || m.Key == "cs" {
			return quantity.Value{}, "predicted with the brow cut, read without"
		}
		if len(v.Terms) == 0 && m.Value.U() == 0 {
			return quantity.Value{}, "known exactly on both sides"
		}
		return v, ""
	}
	place := u.Lamp.Place.WithDefaults()
	switch m.Key {
	case measure.MeterEDI:
		lux, ok1 := u.Values[predict.MeterLux]
		der, ok2 := u.Values[predict.DER]
		if ok1 && ok2 {
			return lux.Mul(der), ""
		}
	case measure.LampCurrent:
		full := true
		for i := range u.Lamp.Strip.Channels {
			full = full && u.Lamp.Duty(i) == 1
		}
		if v, ok := u.Values[predict.SupplyCurrent]; ok && full {
			return v, ""
		}
		return quantity.Value{}, "current is predicted with every channel full on"
	case measure.RoomTemp:
		return quantity.Measured(place.Air-273.15, 2, "air at the lamp ± 2 K"), ""
	}
	return quantity.Value{}, "not predicted"
}

// ownDistance tells that a reading's terms hold an error of its distance.
func ownDistance(v quantity.Value) bool {
	return slices.ContainsFunc(v.Terms, func(t quantity.Term) bool {
		return strings.Contains(t.Source, " distance") || strings.Contains(t.Source, "zero of the distances")
	})
}
