// Package app holds the use cases that page and terminal share: predict a
// lamp, find lamps for a brief, swap a part, and the answers in the form that
// both show and that JSON carries. It joins the wings: a prediction, its price
// and the minutes at the light that is reached.
package app

import (
	"context"
	"errors"
	"fmt"
	"slices"

	"dawnsmith/day/dose"
	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/search"
	"dawnsmith/lamp/stock"
	"dawnsmith/metric"
	"dawnsmith/quantity"
)

// App answers questions about lamps from one catalogue of parts.
type App struct {
	// Parts is the catalogue: the starter parts with the owner's layers over
	// them.
	Parts part.Set
	// Stock is what the owner has on hand; nil: nothing.
	Stock *stock.Stock
	// Workers is how many lamps are screened at a time; 0: 1.
	Workers int
}

// Answer is a lamp worked out, priced, and held against what was wanted.
type Answer struct {
	Lamp   lamp.Lamp
	Result predict.Result
	// Values holds the numbers with their uncertainty; nil when it was not
	// asked for.
	Values map[string]quantity.Value
	Bill   price.Bill
	// Fit is how the rows are cut from stock and new reels, in agreement with
	// the bill; nil when they cannot be cut.
	Fit *stock.Outfit
	// Session is how long to sit before it at the light it gives the eye when
	// the face is looked at, as at the meter.
	Session dose.Session
	// Checks holds the targets of the brief, if there was one.
	Checks []search.Check
	Brief  *brief.Brief
}

// Build places the parts of a lamp document.
func (a *App) Build(s lamp.Spec) (lamp.Lamp, error) { return lamp.Build(s, a.Parts) }

// Predict works a lamp out. With spread the numbers carry their uncertainty,
// which takes about forty times as long. b may be nil.
func (a *App) Predict(s lamp.Spec, b *brief.Brief, spread bool) (Answer, error) {
	if b != nil {
		s.Place = b.Place
	}
	l, err := a.Build(s)
	if err != nil {
		return Answer{}, err
	}
	ans := Answer{Lamp: l}
	if spread {
		u, err := predict.Spread(l)
		if err != nil {
			return Answer{}, fmt.Errorf("lamp %q: %w", s.Name, err)
		}
		ans.Result, ans.Values = u.Result, u.Values
	} else if ans.Result, err = predict.Lamp(l); err != nil {
		return Answer{}, fmt.Errorf("lamp %q: %w", s.Name, err)
	}
	return a.finish(ans, b, a.fit)
}

// finish adds price, minutes and checks.
func (a *App) finish(ans Answer, b *brief.Brief, fit func(lamp.Lamp) (*stock.Outfit, error)) (Answer, error) {
	var err error
	if ans.Fit, err = fit(ans.Lamp); err != nil {
		var none *stock.Impossible
		if !errors.As(err, &none) {
			return Answer{}, err
		}
		ans.Result.Findings = append(slices.Clone(ans.Result.Findings), none.Finding())
		finding.Sort(ans.Result.Findings)
		if ans.Bill, err = price.List(ans.Lamp, a.Parts, a.amounts()); err != nil {
			return Answer{}, err
		}
	} else {
		ans.Bill = ans.Fit.Bill
	}
	n := ans.Result.Numbers
	if ans.Worked() {
		if ans.Session, err = dose.Plan(n[predict.MeterLux], n[predict.DER]); err != nil {
			return Answer{}, err
		}
	}
	n[search.PriceFirst], n[search.PriceNext] = ans.Bill.First.Amount(), ans.Bill.Next.Amount()
	if ans.Values != nil {
		ans.Values[search.PriceFirst] = quantity.Exact(n[search.PriceFirst])
		ans.Values[search.PriceNext] = quantity.Exact(n[search.PriceNext])
	}
	if b != nil {
		ans.Brief = b
		ans.Checks = search.Judge(search.Targets(*b), n)
	}
	return ans, nil
}

// fit plans the cutting of a lamp and its bill.
func (a *App) fit(l lamp.Lamp) (*stock.Outfit, error) {
	var s stock.Stock
	if a.Stock != nil {
		s = *a.Stock
	}
	return s.Fit(l, a.Parts)
}

func (a *App) amounts() price.Stock {
	if a.Stock == nil {
		return nil
	}
	return a.Stock.Amounts()
}

// FromPick turns a search's pick into an answer.
func (a *App) FromPick(p search.Pick, b brief.Brief, spread bool) (Answer, error) {
	ans := Answer{Lamp: p.Lamp, Result: p.Result}
	if spread {
		u, err := predict.Spread(p.Lamp)
		if err != nil {
			return Answer{}, err
		}
		ans.Result, ans.Values = u.Result, u.Values
	}
	return a.finish(ans, &b, a.fit)
}

// Find searches the catalogue for a brief.
func (a *App) Find(ctx context.Context, b brief.Brief, top int, progress func(done, total int)) (search.Found, error) {
	return search.Find(ctx, b, a.Parts, search.Options{Stock: a.amounts(), Top: top, Workers: a.Workers, Progress: progress})
}

// Value is a number of the answer with what uncertainty is known.
func (ans *Answer) Value(key string) quantity.Value {
	if v, ok := ans.Values[key]; ok {
		return v
	}
	return quantity.Exact(ans.Result.Numbers[key])
}

// Worked reports whether the lamp could be worked out; one whose supply and
// strip do not belong together has findings only.
func (ans *Answer) Worked() bool { return ans.Has(predict.MeterLux) }

// Has reports whether the answer has the number.
func (ans *Answer) Has(key string) bool {
	_, ok := ans.Result.Numbers[key]
	return ok
}

// Metrics declares every number of an answer.
func Metrics() []metric.Metric {
	return slices.Concat(predict.Metrics(), dose.Metrics(), []metric.Metric{
		{Key: search.PriceFirst, Name: "first lamp, without tools", Better: metric.Down, Line: "parts in whole packs", Source: "sum of the shopping list"},
		{Key: search.PriceNext, Name: "next lamp", Better: metric.Down, Line: "what a second one costs more, after packs", Source: "sum of the shopping list"},
	})
}
