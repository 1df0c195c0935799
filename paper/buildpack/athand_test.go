package buildpack

import (
	"fmt"
	"strings"
	"testing"

	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/stock"
	"dawnsmith/paper/internal/script"
)

// needs are words of the steps and what must stand on the lists for them.
var needs = map[string][]string{
	"alcohol": {"alcohol"}, "grommet": {"grommet"}, "clip outside": {"clip"}, "sleeve": {"sleeve"}, "insulating tape": {"polyimide"},
	"bench supply": {"bench supply"}, "filament bulb": {"filament bulb"}, "lens": {"lens"}, "eye protection": {"eye protection"}, "clear film": {"clear film"},
	"foam tape": {"foam tape"}, "safety cord": {"safety cord"}, "wick": {"wick"}, "iron": {"soldering iron"}, "solder": {"solder with flux"},
	"wire probe": {"thermometer with wire probe"}, "Brush": {"brush"}, "vacuum": {"vacuum"}, "white paper": {"white paper"}, "drill": {"drill"}, "Deburr": {"deburr"},
	"Dark clothes": {"dark cloth"}, "Multimeter": {"multimeter"}, "insulation without": {"stripper"}, "washers": {"washers"}, "mask": {"masking tape"}, "wipe": {"wipes"},
}

// examples are the packs that are followed by their text alone: the demo's
// lamp, twelve rows fed from opposite ends, two channels in one
// strip, and in two by turns; and one cut with splices from what is on a shelf.
func examples() ([]*Pack, error) {
	set := catalogue.Starter()
	specs := []lamp.Spec{catalogue.FirstLamp(), catalogue.FirstLamp()}
	for _, name := range []string{"twelve-rows", "two-channels", "by-turns"} {
		s, _, err := file.OpenLamp("../../docs/examples/" + name + ".lamp.toml")
		if err != nil {
			return nil, err
		}
		specs = append(specs, s)
	}
	var out []*Pack
	for i, s := range specs {
		var shelf stock.Stock
		if i == 1 {
			shelf = stock.Stock{Cutting: stock.Rules{Pieces: 2, MixBatches: true}}
			for k, long := range []float64{0.55, 0.5, 0.95, 0.4, 0.6, 0.55} {
				shelf.Reels = append(shelf.Reels, stock.Reel{Name: fmt.Sprint("rest ", k+1), Strip: s.Strip, Length: long, NoJoints: true, Begun: true})
			}
		}
		l, err := lamp.Build(s, set)
		if err != nil {
			return nil, err
		}
		r, err := predict.Lamp(l)
		if err != nil {
			return nil, err
		}
		fit, err := shelf.Fit(l, set)
		if err != nil {
			return nil, err
		}
		if i == 1 && (fit.Plan.Splices == 0 || fit.Plan.New > 0) {
			return nil, fmt.Errorf("the shelf was to be used up with splices: %d splices, %d new reels", fit.Plan.Splices, fit.Plan.New)
		}
		p, err := Make(Input{Prediction: predict.Uncertain{Result: r}, Bill: fit.Bill, Cut: fit.Plan, Date: date})
		if err != nil {
			return nil, err
		}
		out = append(out, p)
	}
	return out, nil
}

// Whatever a step or a reading takes in hand stands on one of the lists before
// the steps.
func TestEverythingIsOnTheLists(t *testing.T) {
	ps, err := examples()
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range ps {
		onLists(t, p)
	}
}

func onLists(t *testing.T, p *Pack) {
	var lists, steps strings.Builder
	begun := false
	for _, b := range p.text {
		if b.Kind == script.Heading && b.Level == 1 {
			begun = b.Text == "Shopping list"
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
