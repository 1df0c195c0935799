package app

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"dawnsmith/internal/catalogue"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
)

func starter() *App { return &App{Parts: catalogue.Starter(), Workers: 1} }

func TestPredictJoinsLightPriceAndMinutes(t *testing.T) {
	a := starter()
	b := catalogue.BenchBrief()
	ans, err := a.Predict(catalogue.FirstLamp(), &b, true)
	if err != nil {
		t.Fatal(err)
	}
	if len(ans.Checks) != 5 {
		t.Errorf("%d checks, the brief has 5 targets", len(ans.Checks))
	}
	// The linear rule between tested protocols: 30 min · 10 000 lx / E.
	e := ans.Result.Numbers[predict.MeterLux]
	if want := 30 * 10000 / e; math.Abs(ans.Session.Photopic.Minutes-want) > 1e-9 {
		t.Errorf("%v min at %v lx, want %v", ans.Session.Photopic.Minutes, e, want)
	}
	declared := map[string]bool{}
	for _, m := range Metrics() {
		if declared[m.Key] {
			t.Errorf("metric %s is declared twice", m.Key)
		}
		declared[m.Key] = true
		if m.Name == "" || m.Line == "" || m.Source == "" {
			t.Errorf("metric %s lacks name, line or source", m.Key)
		}
	}
	for k := range ans.Result.Numbers {
		if !declared[k] {
			t.Errorf("number %s is not declared as a metric", k)
		}
	}
	for k, v := range ans.Values {
		if !v.Finite() {
			t.Errorf("%s is %v", k, v)
		}
	}
	j := ans.JSON()
	if j.Uncertainty[predict.MeterLux].Standard <= 0 || len(j.Uncertainty[predict.MeterLux].From) == 0 {
		t.Error("JSON has no uncertainty for the meter")
	}
}

func TestImperial(t *testing.T) {
	ans, err := starter().Predict(catalogue.FirstLamp(), nil, false)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct{ key, value, unit string }{
		{predict.FaceLength, "15.0", "in"}, // 380 mm / 25.4
		{predict.TrayDepth, "1.97", "in"},  // 50 mm / 25.4
		{predict.MeterLux, "", "lx"},
	} {
		r, ok := ans.Row(c.key)
		if !ok {
			t.Fatalf("no row %s", c.key)
		}
		r = r.Imperial(&ans)
		if r.Unit != c.unit || c.value != "" && r.Value != c.value {
			t.Errorf("%s: %s %s, want %s %s", c.key, r.Value, r.Unit, c.value, c.unit)
		}
	}
	r, _ := ans.Row(predict.StripTemp)
	c := ans.Result.Numbers[predict.StripTemp]
	if got := r.Imperial(&ans); got.Unit != "°F" || !strings.HasPrefix(got.Value, strings.Split(trim(c*1.8+32), ".")[0][:2]) {
		t.Errorf("%v °C shows as %s %s", c, got.Value, got.Unit)
	}
}

func trim(x float64) string { return fmt.Sprintf("%.1f", x) }

// A swap there and back changes nothing, and its reasons name the factors.
func TestSwap(t *testing.T) {
	a := starter()
	sw, err := a.Swap(catalogue.FirstLamp(), "sheet", "opal-acrylic")
	if err != nil {
		t.Fatal(err)
	}
	found := false
	for _, d := range sw.Differences {
		if d.Key == predict.MeterLux {
			found = true
			if d.Change.X >= 0 || !strings.Contains(d.Reason, "share that leaves the box") {
				t.Errorf("opal acrylic changes the light by %v: %q", d.Change.X, d.Reason)
			}
			// The two lamps share strip, supply and distance: the change is known
			// better than either value.
			if u := d.Change.U(); u >= sw.Before.Value(d.Key).U() {
				t.Errorf("u of the change %v is no smaller than that of the value %v", u, sw.Before.Value(d.Key).U())
			}
		}
		if d.Reason == "" {
			t.Errorf("%s changes without a reason", d.Key)
		}
	}
	if !found || len(sw.Fields) == 0 {
		t.Errorf("light unchanged or no field named: %v", sw.Fields)
	}
	back, err := a.Swap(sw.After.Lamp.Spec, "sheet", sw.From)
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range back.Differences {
		if math.Abs(d.After-sw.Before.Result.Numbers[d.Key]) > 1e-6*math.Abs(d.After)+1e-9 {
			t.Errorf("%s: there and back gives %v for %v", d.Key, d.After, sw.Before.Result.Numbers[d.Key])
		}
	}
	same, err := a.Swap(catalogue.FirstLamp(), "sheet", catalogue.FirstLamp().Sheet)
	if err != nil || len(same.Differences) != 0 {
		t.Errorf("the same part again changes %d numbers, %v", len(same.Differences), err)
	}
}

func TestSwapRefits(t *testing.T) {
	sw, err := starter().Swap(catalogue.FirstLamp(), "tray", smallest(catalogue.Starter().Trays))
	if err != nil {
		t.Fatal(err)
	}
	if len(sw.Notes) == 0 {
		t.Error("a smaller tray changes rows without saying so")
	}
}

func smallest(ts []part.Tray) string {
	best := ts[0]
	for _, x := range ts {
		if x.Length*x.Width < best.Length*best.Width {
			best = x
		}
	}
	return best.ID
}

// A lamp taken out with its parts is worked out alike without the catalogue.
func TestStandalone(t *testing.T) {
	a := starter()
	ans, err := a.Predict(catalogue.FirstLamp(), nil, false)
	if err != nil {
		t.Fatal(err)
	}
	bare := &App{}
	alone, err := bare.Predict(Standalone(ans.Lamp), nil, false)
	if err != nil {
		t.Fatal(err)
	}
	for k, x := range ans.Result.Numbers {
		if strings.HasPrefix(k, "price") {
			continue // tools and consumables stay in the catalogue
		}
		if y := alone.Result.Numbers[k]; math.Abs(x-y) > 1e-9*math.Abs(x) {
			t.Errorf("%s: %v with the catalogue, %v alone", k, x, y)
		}
	}
}

// Every reason names numbers that are declared, and no number explains itself.
func TestWhy(t *testing.T) {
	declared := map[string]bool{}
	for _, m := range Metrics() {
		declared[m.Key] = true
	}
	for key, r := range reasons {
		if !declared[key] || r.Formula == "" || len(r.Inputs) == 0 {
			t.Errorf("%s: declared %v, %+v", key, declared[key], r)
		}
		for _, in := range r.Inputs {
			if !declared[in] || in == key {
				t.Errorf("%s: %s is no number that could go in", key, in)
			}
		}
	}
}
