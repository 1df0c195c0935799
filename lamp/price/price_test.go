package price

import (
	"math"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

func item(id, price string, pack float64) part.Item {
	it := part.Item{ID: id, Name: id, Pack: pack}
	if err := it.Price.UnmarshalText([]byte(price)); err != nil {
		panic(err)
	}
	return it
}

func testLamp(t *testing.T) (lamp.Lamp, part.Set) {
	t.Helper()
	x := quantity.Exact
	set := part.Set{
		Strips: []part.Strip{{Item: item("strip", "20 EUR", 5), Drive: part.Resistor, Voltage: 24, LEDs: 120, Series: 6, Cut: 0.05, Reel: 5, Width: 0.01, Height: 0.0015,
			Copper: 2, Rail: 0.004, Beam: 2, Emitter: 5e-6, TapeLimit: 353, Reflectance: x(0.85), JunctionLimit: 378,
			Channels: []part.Channel{{Name: "white", Power: x(14.4), Flux: x(1500), CCT: x(5000), Ra: 90, Pump: part.BluePump}}}},
		Trays: []part.Tray{{Item: item("tray", "15 EUR", 0), Material: "aluminium-3003", Length: 0.38, Width: 0.28, Depth: 0.05, Thickness: 0.001,
			Reflectance: x(0.65), EmissivityBack: x(0.1), EmissivityInside: x(0.1)}},
		Sheets:      []part.Sheet{{Item: item("sheet", "14 EUR", 0.24), Thickness: 0.002, Density: 1190, Transmittance: x(0.6), Reflectance: x(0.35), Limit: 343, Emissivity: 0.9}},
		Supplies:    []part.Supply{{Item: item("supply", "17 EUR", 0), Voltage: x(24), Rating: 60}},
		Wires:       []part.Wire{{Item: item("wire", "5 EUR", 10), Area: 0.5e-6, Limit: 5}},
		Connectors:  []part.Connector{{Item: item("plug", "2 EUR", 0), Limit: 5, Poles: 2}},
		Consumables: []part.Consumable{{Item: item("solder", "6 EUR", 100), PerJoint: 0.2}, {Item: item("paint", "7 EUR", 1), ForBack: true, PerBack: 0.6, Emissivity: 0.9}},
		Tools:       []part.Tool{{Item: item("iron", "30 EUR", 0)}, {Item: item("saw", "12 EUR", 0), Optional: true}},
	}
	l, err := lamp.Build(lamp.Spec{Schema: 1, Name: "test", Tray: "tray", Strip: "strip", Sheet: "sheet", Rows: 8, Supply: "supply", Bus: "wire", Lead: "wire", Connector: "plug"}, set)
	if err != nil {
		t.Fatal(err)
	}
	return l, set
}

func line(t *testing.T, b Bill, kind string) Line {
	t.Helper()
	for _, n := range b.Lines {
		if n.Kind == kind {
			return n
		}
	}
	t.Fatalf("no line for %s", kind)
	return Line{}
}

// Hand count: 8 rows of 7 units are 2.8 m from a 5 m reel of 100 units, which
// gives 14 rows; the second lamp needs a second reel, so does the third none.
func TestFirstAndNext(t *testing.T) {
	l, set := testLamp(t)
	b, err := List(l, set, nil)
	if err != nil {
		t.Fatal(err)
	}
	s := line(t, b, "strip")
	if math.Abs(s.Need-2.8) > 1e-9 || s.FirstPacks != 1 || s.NextPacks != 1 {
		t.Errorf("strip: %v m, %d and %d packs; want 2.8, 1, 1", s.Need, s.FirstPacks, s.NextPacks)
	}
	// A sheet of 0.24 m² covers two faces of 0.1064 m².
	if sh := line(t, b, "sheet"); sh.FirstPacks != 1 || sh.NextPacks != 0 {
		t.Errorf("sheet: %d and %d packs, want 1 and 0", sh.FirstPacks, sh.NextPacks)
	}
	// 15 + 20 + 14 + 17 + 5 + 2 + 6 = 79; next: tray, reel, supply, plug = 54.
	if b.First.Cents != 7900 || b.Next.Cents != 5400 || b.Tools.Cents != 3000 {
		t.Errorf("first %v, next %v, tools %v; want 79, 54, 30 EUR", b.First, b.Next, b.Tools)
	}
	// Nothing painted, no paint bought.
	for _, n := range b.Lines {
		if n.ID == "paint" {
			t.Error("paint on the list of an unpainted lamp")
		}
	}
}

func TestStockIsUsedFirst(t *testing.T) {
	l, set := testLamp(t)
	b, err := List(l, set, Stock{"strip/strip": 3, "supply/supply": 1})
	if err != nil {
		t.Fatal(err)
	}
	if n := line(t, b, "strip"); n.FirstPacks != 0 {
		t.Errorf("3 m of strip in stock, yet %d reels bought", n.FirstPacks)
	}
	if n := line(t, b, "supply"); n.FirstPacks != 0 || n.NextPacks != 1 {
		t.Errorf("supply in stock: %d, then %d packs; want 0, then 1", n.FirstPacks, n.NextPacks)
	}
}

func TestCurrenciesAreNeverMixed(t *testing.T) {
	l, set := testLamp(t)
	l.Tray.Price = part.Money{Cents: 100, Currency: "SEK"}
	if _, err := List(l, set, nil); err == nil {
		t.Error("EUR and SEK were added")
	}
}

func TestUnpricedIsSaid(t *testing.T) {
	l, set := testLamp(t)
	l.Tray.Price = part.Money{}
	b, err := List(l, set, nil)
	if err != nil || len(b.Unpriced) != 1 || b.First.Cents != 6400 {
		t.Errorf("unpriced tray: %v, first %v, %v", b.Unpriced, b.First, err)
	}
}
