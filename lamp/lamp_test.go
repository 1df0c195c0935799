package lamp

import (
	"math"
	"strings"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"

	"pgregory.net/rapid"
)

func item(id string) part.Item { return part.Item{ID: id, Name: id} }

func testSet() part.Set {
	x := quantity.Exact
	return part.Set{
		Strips: []part.Strip{{Item: item("strip"), Drive: part.Resistor, Voltage: 24, LEDs: 120, Series: 6, Cut: 0.05, Reel: 5, Width: 0.01, Height: 0.0015,
			Copper: 2, Rail: 0.004, Beam: 2, Emitter: 5e-6, TapeLimit: 353, Reflectance: x(0.85), JunctionLimit: 378,
			Channels: []part.Channel{{Name: "white", Power: x(14.4), Flux: x(1500), CCT: x(5000), Ra: 90, Pump: part.BluePump}}}},
		Trays: []part.Tray{{Item: item("tray"), Material: "aluminium-3003", Length: 0.38, Width: 0.28, Depth: 0.05, Thickness: 0.001,
			Reflectance: x(0.65), EmissivityBack: x(0.1), EmissivityInside: x(0.1)}},
		Sheets:     []part.Sheet{{Item: item("sheet"), Thickness: 0.003, Density: 1190, Transmittance: x(0.6), Reflectance: x(0.35), Limit: 343, Emissivity: 0.9}},
		Supplies:   []part.Supply{{Item: item("dc24"), Voltage: x(24), Rating: 60}, {Item: item("dc12"), Voltage: x(12), Rating: 60}},
		Wires:      []part.Wire{{Item: item("wire"), Area: 0.5e-6, Limit: 5}},
		Connectors: []part.Connector{{Item: item("plug"), Limit: 5, Poles: 2}},
	}
}

func testSpec() Spec {
	return Spec{Schema: 1, Name: "test", Tray: "tray", Strip: "strip", Sheet: "sheet", Rows: 8, Supply: "dc24", Bus: "wire", Lead: "wire", Connector: "plug"}
}

func TestGeometry(t *testing.T) {
	l, err := Build(testSpec(), testSet())
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"units that fit: (380 − 12 − 4) / 50.4", float64(l.UnitsThatFit()), 7},
		{"rows that fit: (280 + 1) / 11", float64(l.RowsThatFit()), 25},
		{"row pitch: 280 / 8", l.RowPitch(), 0.035},
		{"row length", l.RowLength(), 0.35},
		{"strip length", l.StripLength(), 2.8},
		{"first row", l.RowAt(0), 0.0175},
		{"last row", l.RowAt(7), 0.2625},
		{"row start, centred", l.RowStart(), 0.015},
		{"height under a 3 mm sheet", l.Height(), 0.047},
		{"LEDs in a row", float64(l.LEDsPerRow()), 42},
		// Sheet metal of 0.38 × 0.28 floor and 50 mm walls, 1 mm, 2730 kg/m³.
		{"metal", l.Tray.MetalMass(), (0.1064 + 0.066) * 0.001 * 2730},
	} {
		if math.Abs(c.got-c.want) > 1e-9 {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
}

func TestBuildRefuses(t *testing.T) {
	for _, c := range []struct {
		change func(*Spec)
		says   string
	}{
		{func(s *Spec) { s.Tray = "trey" }, `nearest is "tray"`},
		{func(s *Spec) { s.Rows = 0 }, "rows is 0; allowed is 1 to 25"},
		{func(s *Spec) { s.Rows = 26 }, "allowed is 1 to 25"},
		{func(s *Spec) { s.Units = 9 }, "7 fit a row"},
		{func(s *Spec) { s.Units = -1 }, "units_per_row is -1"},
		{func(s *Spec) { s.Along = "diagonal" }, `"length" or "width"`},
		{func(s *Spec) { s.Pitch = 0.005 }, "need at least"},
		{func(s *Spec) { s.Pitch = 0.05 }, "the tray has"},
		{func(s *Spec) { s.LeadLength = -1 }, "lead_length"},
		{func(s *Spec) { s.Drive = map[string]float64{"blue": 1} }, `names channel "blue"`},
		{func(s *Spec) { s.Drive = map[string]float64{"white": 1.2} }, "allowed is 0 to 1"},
		{func(s *Spec) { s.Drive = map[string]float64{"white": 0} }, "every channel off"},
		{func(s *Spec) { s.Overrides = []Override{{Finding: "heat.touch", Reason: "because"}} }, "gives no reason"},
		{func(s *Spec) {
			s.WiredMargin = 0.09
			s.FreeMargin = 0.1
			s.Tray = "tray"
			s.Along = AlongLength
			s.Units = 8
		}, "fit a row"},
		{func(s *Spec) { s.Place = brief.Place{MeterDistance: -1} }, "meter_distance"},
		{func(s *Spec) { s.Place = brief.Place{EyeDistance: 0.5, LampAboveEye: 0.6} }, "less than eye_distance"},
	} {
		s := testSpec()
		c.change(&s)
		if _, err := Build(s, testSet()); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("want an error with %q, got %v", c.says, err)
		}
	}
}

func TestReview(t *testing.T) {
	l, err := Build(testSpec(), testSet())
	if err != nil {
		t.Fatal(err)
	}
	if fs := l.Review(); len(fs) != 0 {
		t.Errorf("a plain lamp has findings: %v", fs)
	}
	s := testSpec()
	s.Supply, s.Sheet = "dc12", ""
	if l, err = Build(s, testSet()); err != nil {
		t.Fatal(err)
	}
	for _, k := range []string{"circuit.voltage_match", "lamp.no_sheet"} {
		if !finding.Has(l.Review(), k) {
			t.Errorf("%s is not raised", k)
		}
	}
}

// Rows lie inside the tray, symmetric about its middle, and do not overlap.
func TestRowsLieInside(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		set := testSet()
		tr := &set.Trays[0]
		tr.Width = rapid.Float64Range(0.06, 0.5).Draw(t, "width")
		tr.Length = tr.Width + rapid.Float64Range(0, 0.5).Draw(t, "more")
		s := testSpec()
		s.Rows = rapid.IntRange(1, 40).Draw(t, "rows")
		if rapid.Bool().Draw(t, "along width") {
			s.Along = AlongWidth
		}
		l, err := Build(s, set)
		if err != nil {
			return
		}
		for i := range s.Rows {
			y := l.RowAt(i)
			if y < l.Strip.Width/2-1e-9 || y > l.Across()-l.Strip.Width/2+1e-9 {
				t.Fatalf("row %d at %v in %v", i, y, l.Across())
			}
			if d := y + l.RowAt(s.Rows-1-i) - l.Across(); math.Abs(d) > 1e-9 {
				t.Fatalf("rows are not symmetric: %v", d)
			}
		}
		if s.Rows > 1 && l.RowPitch() < l.Strip.Width {
			t.Fatalf("rows overlap at a pitch of %v", l.RowPitch())
		}
		if x := l.RowStart(); x < l.FreeMargin-1e-9 || x+l.RowLength() > l.RunLength()-l.FreeMargin+1e-9 {
			t.Fatalf("row from %v, %v long, in %v", x, l.RowLength(), l.RunLength())
		}
	})
}
