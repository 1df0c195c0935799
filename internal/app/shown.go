package app

import (
	"math"
	"sync"

	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
	"dawnsmith/metric"
	"dawnsmith/quantity"
)

// Row is one number as it is shown: the same in page, terminal and paper.
type Row struct {
	Key    string
	Name   string
	Symbol string
	Value  string // "12 300" or "12 300 ± 700"
	Unit   string
	Line   string
	Source string
	Better metric.Better
	// Range says why the number stands outside the range of its formula, or is
	// left out for it; then it is the Line too.
	Range string
	// From lists the three largest contributors to the uncertainty.
	From []quantity.Share
}

// Group is a headed list of rows.
type Group struct {
	Title string
	Rows  []Row
}

// groups is the order in which the numbers of a lamp are read, under the
// questions that people ask in that order.
var groups = []struct {
	title string
	keys  []string
}{
	{"Light where it counts", []string{predict.MeterLux, predict.EyeLux, predict.EyeMelanopic, "minutes_photopic", "minutes_melanopic", optics.KeyDayLight, optics.KeySessionLight, optics.KeyFarField}},
	{"The face", []string{predict.FaceMean, predict.FacePeak, predict.FaceContrast, optics.KeyCentre, optics.KeyCorner, optics.KeyEvenness, predict.Ripple, optics.KeyRimRipple, predict.ColourStripe, predict.DotRatio, predict.FaceExitance, optics.KeyPerArea}},
	{"The light itself", []string{predict.CCT, predict.Duv, predict.Ra, "r9", "rf", "rg", predict.DER, "ler_lm_w"}},
	{"Eyes", []string{predict.BlueFace, predict.BlueClose, predict.BlueEfficacy, predict.EyeElevation, "percent_flicker", "flicker_hz", "svm", optics.KeySolidAngle, optics.KeyUGR, optics.KeyDGP}},
	{"Light in the box", []string{predict.FluxLED, predict.FluxOut, predict.BoxShare, predict.LostFloor, predict.LostWalls, predict.LostSheet}},
	{"Current and power", []string{predict.StripPower, predict.SupplyCurrent, predict.SupplyLoad, predict.SupplyNeeded, predict.MainsPower, predict.MainsEfficacy, predict.CopperLoss, predict.Evenness, predict.LeadDrop}},
	{"Heat", []string{predict.LampHeat, predict.HeatFactor, predict.StripTemp, predict.JunctionTemp, predict.BackTemp, predict.FloorTemp, predict.SheetTemp, predict.FluxShare}},
	{"Size, mass and money", []string{predict.FaceLength, predict.FaceWidth, predict.TrayDepth, predict.StripMetres, predict.LampMass, search.PriceFirst, search.PriceNext}},
}

// Shown lists the numbers of the answer as people read them.
func (ans *Answer) Shown() []Group {
	declared := declared()
	var out []Group
	for _, g := range groups {
		sh := Group{Title: g.title}
		for _, k := range g.keys {
			if r, ok := ans.row(declared[k]); ok {
				sh.Rows = append(sh.Rows, r)
			}
		}
		if len(sh.Rows) > 0 {
			out = append(out, sh)
		}
	}
	return out
}

// Row gives one number as it is shown; false when the answer lacks it.
func (ans *Answer) Row(key string) (Row, bool) {
	m, ok := declared()[key]
	if !ok {
		return Row{}, false
	}
	return ans.row(m)
}

// declared finds every metric by its key; it is made once and only read.
var declared = sync.OnceValue(func() map[string]metric.Metric {
	out := map[string]metric.Metric{}
	for _, m := range Metrics() {
		out[m.Key] = m
	}
	return out
})

func (ans *Answer) row(m metric.Metric) (Row, bool) {
	r := Row{Key: m.Key, Name: m.Name, Symbol: m.Symbol, Unit: m.Unit, Line: m.Line, Source: m.Source, Better: m.Better}
	switch m.Key {
	case "minutes_photopic", "minutes_melanopic":
		if !ans.Worked() {
			return Row{}, false
		}
	}
	switch m.Key {
	case "minutes_photopic":
		if ans.Session.Photopic.Minutes == 0 {
			r.Value, r.Unit, r.Line = "–", "", ans.Session.Photopic.Why
			return r, true
		}
		r.Value = quantity.Decimals(math.Round(ans.Session.Photopic.Minutes), 0)
		return r, true
	case "minutes_melanopic":
		if ans.Session.Melanopic.Minutes == 0 {
			r.Value, r.Unit, r.Line = "–", "", ans.Session.Melanopic.Why
			return r, true
		}
		r.Value = quantity.Decimals(math.Round(ans.Session.Melanopic.Minutes), 0)
		return r, true
	case search.PriceFirst:
		r.Value = ans.Bill.First.String()
		return r, ans.Bill.First != part.Money{}
	case search.PriceNext:
		r.Value = ans.Bill.Next.String()
		return r, ans.Bill.Next != part.Money{}
	}
	if why, ok := ans.Result.Ranges()[m.Key]; ok {
		r.Range, r.Line = why, why
	}
	if !ans.Has(m.Key) {
		r.Value, r.Unit = "–", ""
		return r, r.Range != ""
	}
	v := ans.Value(m.Key)
	x, u := v.X, 2*v.U()
	// Ratios that people read as shares are shown in per cent.
	if percentKeys[m.Key] {
		x, u, r.Unit = x*100, u*100, "%"
	}
	if ans.Values == nil || u == 0 {
		r.Value = quantity.Digits(x, digits(m.Key))
	} else {
		r.Value = quantity.FormatUncertain(x, u)
	}
	r.From = v.Contributors(3)
	return r, true
}

var percentKeys = map[string]bool{predict.BoxShare: true, predict.LostFloor: true, predict.LostWalls: true, predict.LostSheet: true,
	predict.Ripple: true, predict.Evenness: true, predict.FluxShare: true, predict.HeatFactor: true, optics.KeyEvenness: true, optics.KeyRimRipple: true}

// digits is how many significant digits a number deserves when its
// uncertainty is not asked for.
func digits(key string) int {
	switch key {
	case predict.Ripple, predict.ColourStripe, predict.DotRatio, predict.Duv, predict.FaceContrast, predict.CopperLoss, predict.LeadDrop:
		return 2
	case predict.CCT, predict.FaceLength, predict.FaceWidth:
		return 4
	}
	return 3
}
