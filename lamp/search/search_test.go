package search

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// A small invented catalogue: two trays, two strips, one lining, two sheets.

func item(id, price string) part.Item {
	it := part.Item{ID: id, Name: id, Invented: true}
	if err := it.Price.UnmarshalText([]byte(price)); err != nil {
		panic(err)
	}
	return it
}

func exact(x float64) quantity.Value { return quantity.Exact(x) }

func small() part.Set {
	strip := part.Strip{Item: item("plain", "19 EUR"), Drive: part.Resistor, Voltage: 24, LEDs: 120, Series: 6, Cut: 0.05, Reel: 5, Width: 0.01, Height: 0.0015,
		Copper: 2, Rail: 0.004, Beam: 2 * math.Pi / 3, Emitter: 5e-6, TapeLimit: 353.15, Reflectance: exact(0.85), JunctionR: exact(20), JunctionLimit: 378.15,
		Channels: []part.Channel{{Name: "white", Power: exact(14.4), Flux: exact(1500), CCT: exact(5000), Ra: 90, Pump: part.BluePump, FluxPerKelvin: exact(-0.0015)}}}
	warm := strip
	warm.Item = item("warm", "15 EUR")
	warm.Channels = []part.Channel{{Name: "white", Power: exact(9.6), Flux: exact(900), CCT: exact(3000), Ra: 82, Pump: part.BluePump, FluxPerKelvin: exact(-0.0015)}}
	tray := part.Tray{Item: item("medium", "15 EUR"), Material: "aluminium-3003", Length: 0.38, Width: 0.28, Depth: 0.05, Thickness: 0.001,
		Reflectance: exact(0.65), Specular: exact(0.2), EmissivityBack: exact(0.1), EmissivityInside: exact(0.1)}
	large := tray
	large.Item, large.Length, large.Width = item("large", "32 EUR"), 0.6, 0.4
	sheet := func(id string, t, r float64, price string) part.Sheet {
		return part.Sheet{Item: item(id, price), Thickness: 0.002, Density: 1190, Transmittance: exact(t), Reflectance: exact(r), Limit: 343.15, Emissivity: 0.9}
	}
	metres := func(it part.Item) part.Item { it.Pack = 10; return it }
	reel := func(s part.Strip) part.Strip { s.Pack = 5; return s }
	return part.Set{
		Strips: []part.Strip{reel(strip), reel(warm)}, Trays: []part.Tray{tray, large},
		Linings:     []part.Lining{{Item: item("white", "10 EUR"), Reflectance: exact(0.95), Specular: exact(0.05), Emissivity: 0.85}},
		Sheets:      []part.Sheet{sheet("opal", 0.5, 0.45, "12 EUR"), sheet("plate", 0.7, 0.26, "14 EUR")},
		Supplies:    []part.Supply{{Item: item("s60", "17 EUR"), Voltage: exact(24), Rating: 60, Efficiency: exact(0.88), Insulated: true}, {Item: item("s150", "30 EUR"), Voltage: exact(24), Rating: 150, Efficiency: exact(0.89), Insulated: true}},
		Wires:       []part.Wire{{Item: metres(item("awg20", "5 EUR")), Area: 0.518e-6, Limit: 5}, {Item: metres(item("awg16", "8 EUR")), Area: 1.309e-6, Limit: 10}},
		Connectors:  []part.Connector{{Item: item("barrel", "2 EUR"), Limit: 5, Contact: 0.01, Poles: 2}, {Item: item("block", "3 EUR"), Limit: 10, Contact: 0.005, Poles: 2}},
		Fuses:       []part.Fuse{{Item: item("f2", "1 EUR"), Rating: 2, Voltage: 32}, {Item: item("f4", "1 EUR"), Rating: 4, Voltage: 32}, {Item: item("f8", "1 EUR"), Rating: 8, Voltage: 32}},
		Mounts:      []part.Mount{{Item: item("arm", "20 EUR"), Reach: 0.5, Load: 4}},
		Consumables: []part.Consumable{{Item: item("solder", "6 EUR"), PerJoint: 0.002}, {Item: item("paint", "7 EUR"), ForBack: true, PerBack: 0.5, Emissivity: 0.9}},
	}
}

func wish(w brief.Wanted) brief.Brief {
	return brief.Brief{Schema: 1, Name: "test", Place: brief.Place{MeterDistance: 0.4, EyeDistance: 0.7, LampAboveEye: 0.25}, Wanted: w}
}

func find(t *testing.T, b brief.Brief, set part.Set) Found {
	t.Helper()
	f, err := Find(context.Background(), b, set, Options{Workers: 2})
	if err != nil {
		t.Fatal(err)
	}
	return f
}

func TestPicksMeetTheBrief(t *testing.T) {
	b := wish(brief.Wanted{MeterIlluminance: 4000, EyeMelanopic: 250, FaceLuminance: 12000, Ra: 85, Price: part.Money{Cents: 16000, Currency: "EUR"}})
	f := find(t, b, small())
	if len(f.Picks) == 0 {
		t.Fatalf("nothing found: %+v", f.Impossible)
	}
	seen := map[string]bool{}
	for _, p := range f.Picks {
		for _, c := range p.Checks {
			if !c.Met() {
				t.Errorf("%s misses %s: %v against %v", p.Title, c.Name, c.Got, c.Limit)
			}
		}
		if w, _ := finding.Worst(p.Result.Findings); w == finding.Stop {
			t.Errorf("%s carries a stop", p.Title)
		}
		if p.Lamp.Supply.Rating < p.Result.Numbers[predict.SupplyNeeded]*0.97 {
			t.Errorf("%s: supply of %v W for %v W", p.Title, p.Lamp.Supply.Rating, p.Result.Numbers[predict.SupplyNeeded])
		}
		id := fmt.Sprint(p.Lamp.Spec.Tray, p.Lamp.Spec.Strip, p.Lamp.Spec.Sheet, p.Lamp.Spec.Lining, p.Lamp.Spec.LineFloor, p.Lamp.Spec.Along, p.Lamp.Spec.Rows)
		if seen[id] {
			t.Errorf("%s was picked before", id)
		}
		seen[id] = true
	}
	// No front point beats another in everything.
	for i, p := range f.Front {
		for j, q := range f.Front {
			if i != j && q.Numbers[PriceFirst] < p.Numbers[PriceFirst] && q.Numbers[predict.FaceMean] < p.Numbers[predict.FaceMean] && q.Numbers[predict.MainsPower] < p.Numbers[predict.MainsPower] {
				t.Errorf("front point %d is beaten by %d", i, j)
			}
		}
	}
}

// The same brief gives the same answer, however many work at it.
func TestSameAnswerEachTime(t *testing.T) {
	b := wish(brief.Wanted{MeterIlluminance: 4000, FaceLuminance: 12000})
	var first []string
	for _, workers := range []int{1, 2, 3} {
		f, err := Find(context.Background(), b, small(), Options{Workers: workers})
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, p := range f.Picks {
			got = append(got, fmt.Sprintf("%s %+v %v", p.Title, p.Lamp.Spec, p.Result.Numbers[predict.MeterLux]))
		}
		if first == nil {
			first = got
		} else if !slices.Equal(first, got) {
			t.Errorf("%d workers found otherwise", workers)
		}
	}
}

// The ladder of rows misses nothing: every number of rows, screened one by
// one, gives no cheaper and no dimmer feasible lamp.
func TestLadderMissesNothing(t *testing.T) {
	b := wish(brief.Wanted{MeterIlluminance: 4000, FaceLuminance: 12000, Price: part.Money{Cents: 17000, Currency: "EUR"}})
	set := small()
	f := find(t, b, set)
	s := newShelf(set)
	ts := Targets(b)
	best := map[string]float64{PriceFirst: math.Inf(1), predict.FaceMean: math.Inf(1), predict.MainsPower: math.Inf(1)}
	count := 0
	b.Place = b.Place.WithDefaults()
	for _, fam := range families(b, set, false) {
		cache := predict.NewCache()
		all, _, err := screenFamilyEvery(b, s, fam, ts, cache)
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range all {
			if p.worst == 0 && !p.hot {
				count++
				for k := range best {
					best[k] = math.Min(best[k], p.Numbers[k])
				}
			}
		}
	}
	if count == 0 {
		t.Fatal("nothing feasible to compare with")
	}
	got := map[string]float64{PriceFirst: math.Inf(1), predict.FaceMean: math.Inf(1), predict.MainsPower: math.Inf(1)}
	for _, p := range f.Front {
		for k := range got {
			got[k] = math.Min(got[k], p.Numbers[k])
		}
	}
	for k := range best {
		if got[k] > best[k]*(1+1e-9) {
			t.Errorf("%s: the ladder's best is %v, every row gives %v", k, got[k], best[k])
		}
	}
	if f.Feasible != count {
		t.Errorf("the ladder counts %d feasible lamps, every row gives %d", f.Feasible, count)
	}
}

// screenFamilyEvery screens each number of rows, without the ladder.
func screenFamilyEvery(b brief.Brief, s *shelf, fam family, ts []Target, cache *predict.Cache) ([]Point, map[string]int, error) {
	every := *s
	every.wide = true
	every.every = true
	return screenFamily(b, &every, fam, ts, cache)
}

func TestImpossibleByGeometry(t *testing.T) {
	b := wish(brief.Wanted{MeterIlluminance: 10000, FaceLuminance: 6000})
	f := find(t, b, small())
	if f.Impossible == nil || !strings.Contains(f.Impossible.Proof, "whatever strip and sheet") {
		t.Fatalf("no proof: %+v", f.Impossible)
	}
	if f.Impossible.Nearest == nil {
		t.Error("no nearest lamp")
	}
	// Each way out, taken, admits a lamp.
	for _, r := range f.Impossible.Relax {
		c := b
		switch r.Target.Metric {
		case predict.MeterLux:
			c.Wanted.MeterIlluminance = r.To * 0.97
		case predict.FaceMean:
			c.Wanted.FaceLuminance = r.To * 1.03
		}
		if g := find(t, c, small()); len(g.Picks) == 0 {
			t.Errorf("%s: still nothing", r.Sentence())
		}
	}
	if len(f.Impossible.Relax) == 0 {
		t.Error("no way out named")
	}
}

func TestCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := Find(ctx, wish(brief.Wanted{MeterIlluminance: 4000}), small(), Options{}); err == nil {
		t.Error("a cancelled search answers")
	}
}

func TestEmptyCatalogue(t *testing.T) {
	if _, err := Find(context.Background(), wish(brief.Wanted{MeterIlluminance: 4000}), part.Set{}, Options{}); err == nil || !strings.Contains(err.Error(), "add some in a parts file") {
		t.Errorf("empty catalogue: %v", err)
	}
	set := small()
	set.Supplies = nil
	f := find(t, wish(brief.Wanted{MeterIlluminance: 4000}), set)
	if len(f.Picks) != 0 || len(f.Missing) == 0 {
		t.Errorf("without supplies: %d picks, missing %v", len(f.Picks), f.Missing)
	}
}
