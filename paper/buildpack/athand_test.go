package buildpack

import (
	"strings"
	"testing"

	"dawnsmith/internal/catalogue"
	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/stock"
)

// needs are words of the steps and what must stand on the lists for them.
var needs = map[string][]string{
	"alcohol": {"alcohol"}, "grommet": {"grommet"}, "clip outside": {"clip"}, "sleeve": {"sleeve"}, "insulating tape": {"polyimide"},
	"bench supply": {"bench supply"}, "filament bulb": {"filament bulb"}, "lens": {"lens"}, "eye protection": {"eye protection"}, "clear film": {"clear film"},
	"foam tape": {"foam tape"}, "safety cord": {"safety cord"}, "wick": {"wick"}, "iron": {"soldering iron"}, "solder": {"solder with flux"},
	"wire probe": {"thermometer with wire probe"}, "Brush": {"brush"}, "vacuum": {"vacuum"}, "white paper": {"white paper"}, "drill": {"drill"}, "Deburr": {"deburr"},
	"Dark clothes": {"dark cloth"}, "Multimeter": {"multimeter"}, "insulation without": {"stripper"}, "washers": {"washers"}, "mask": {"masking tape"}, "wipe": {"wipes"},
}

// story makes the pack of an example lamp from the starter catalogue.
func story(t *testing.T, spec lamp.Spec) *Pack {
	t.Helper()
	set := catalogue.Starter()
	l, err := lamp.Build(spec, set)
	if err != nil {
		t.Fatal(err)
	}
	r, err := predict.Lamp(l)
	if err != nil {
		t.Fatal(err)
	}
	fit, err := (stock.Stock{}).Fit(l, set)
	if err != nil {
		t.Fatal(err)
	}
	return pack(t, Input{Prediction: predict.Uncertain{Result: r}, Bill: fit.Bill, Cut: fit.Plan, Date: date})
}

// Whatever a step or a reading takes in hand stands on one of the lists before
// the steps.
func TestEverythingIsOnTheLists(t *testing.T) {
	p := story(t, catalogue.FirstLamp())
	var lists, steps strings.Builder
	begun := false
	for _, b := range p.text {
		if b.kind == headingBlock && b.level == 1 {
			begun = b.text == "Shopping list"
		}
		if begun {
			lists.WriteString(strings.ToLower(blockText(b)) + "\n")
		}
	}
	for _, a := range p.Parts() {
		for _, s := range a.Steps {
			steps.WriteString(s.Do + " " + s.IfNot + "\n")
		}
	}
	for _, r := range p.Readings() {
		steps.WriteString(r.How + "\n")
	}
	used := 0
	for word, wanted := range needs {
		if !strings.Contains(steps.String(), word) {
			continue
		}
		used++
		for _, w := range wanted {
			if !strings.Contains(lists.String(), w) {
				t.Errorf("the steps speak of %q, and no list before them holds %q", word, w)
			}
		}
	}
	if used < 20 {
		t.Errorf("only %d of the words are used: the test looks at nothing", used)
	}
}
