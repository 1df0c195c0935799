package file

import (
	"bytes"
	"errors"
	"reflect"
	"strings"
	"testing"

	"dawnsmith/lamp"
	"dawnsmith/lamp/stock"
	"dawnsmith/lamp/unit"
)

const sampleStock = `schema = 1
counted = "2026-11-20"
note = "shelf by the window"

[cutting]
pieces_per_row = 2
keep = "200 mm"

[[reel]]
name = "rest of March"
strip = "white-24v-120"
batch = "K7"
length = "1.85 m"
first_joint_mm = 150
begun = true

[[reel]]
name = "reel 2"
strip = "white-24v-120"
length = "16 ft"

[[have]]
part = "wire/awg-20"
length = "3.2 m"

[[have]]
part = "consumable/solder"
count = 31.5
`

const sampleUnit = `schema = 1
serial = "A-3"
built = "2026-12-04"

[[change]]
date = "2026-12-02"
field = "rows"
value = "8"
why = "one row died"
as_built = true

[[repair]]
date = "2027-01-09"
what = "new fuse holder"

[[reading]]
date = "2026-12-04"
id = "R6"
name = "current, full power"
metric = "supply_current_a"
value = 1.21
unit = "A"
expected = 1.24
tolerance = 0.19
bound = "near"

[design]
schema = 1
name = "Bench"
tray = "t"
strip = "s"
rows = 9
supply = "p"
bus_wire = "w"
lead_wire = "w"
connector = "c"
`

func TestReadStock(t *testing.T) {
	s, err := ParseStock([]byte(sampleStock), "mine.stock.toml")
	if err != nil {
		t.Fatal(err)
	}
	want := stock.Stock{Schema: 1, Counted: "2026-11-20", Note: "shelf by the window", Cutting: stock.Rules{Pieces: 2, Keep: 0.2},
		Reels: []stock.Reel{{Name: "rest of March", Strip: "white-24v-120", Batch: "K7", Length: 1.85, FirstJoint: 0.15, Begun: true}, {Name: "reel 2", Strip: "white-24v-120", Length: 16 * 0.3048}},
		Have:  []stock.Have{{Part: "wire/awg-20", Length: 3.2}, {Part: "consumable/solder", Count: 31.5}}}
	if !reflect.DeepEqual(s, want) {
		t.Errorf("got %+v\nwant %+v", s, want)
	}
	var b bytes.Buffer
	if err := WriteStock(&b, s, "head"); err != nil {
		t.Fatal(err)
	}
	if again, err := ParseStock(b.Bytes(), "again"); err != nil || !reflect.DeepEqual(again, s) {
		t.Errorf("written and read again: %+v, %v", again, err)
	}
	if k, err := KindOf([]byte(sampleStock), ""); k != StockKind || err != nil {
		t.Errorf("kind %q, %v", k, err)
	}
	var wrong *WrongKind
	if _, err := ParseLamp([]byte(sampleStock), "x"); !errors.As(err, &wrong) || wrong.Found != StockKind {
		t.Errorf("a stock file given as a lamp: %v", err)
	}
}

func TestReadUnit(t *testing.T) {
	u, err := ParseUnit([]byte(sampleUnit), "a3.unit.toml")
	if err != nil {
		t.Fatal(err)
	}
	if u.Serial != "A-3" || len(u.Changes) != 1 || !u.Changes[0].AsBuilt || u.Readings[0].Value != 1.21 || u.Design.Rows != 9 || u.Repairs[0].What != "new fuse holder" {
		t.Errorf("%+v", u)
	}
	if ok, judged := u.Readings[0].Within(); !ok || !judged {
		t.Error("1.21 A lies within 1.24 ± 0.19 A")
	}
	var b bytes.Buffer
	if err := WriteUnit(&b, u, ""); err != nil {
		t.Fatal(err)
	}
	if again, err := ParseUnit(b.Bytes(), "again"); err != nil || !reflect.DeepEqual(again, u) {
		t.Errorf("written and read again: %+v, %v\n%s", again, err, b.String())
	}
	if k, err := KindOf([]byte(sampleUnit), ""); k != UnitKind || err != nil {
		t.Errorf("kind %q, %v", k, err)
	}
	if err := WriteUnit(&b, unit.Unit{Serial: "a/b", Design: lamp.Spec{Name: "x", Rows: 1}}, ""); err == nil {
		t.Error("a serial with a slash was written")
	}
}

// Each fault names its line, what was found and what is allowed.
func TestStockFaults(t *testing.T) {
	for _, c := range []struct{ old, put, line, says string }{
		{`length = "1.85 m"`, `lenght = "1.85 m"`, `:13:`, `length`},
		{`length = "1.85 m"`, `length = "1.85 kg"`, `:13:`, `a length`},
		{`length = "1.85 m"`, `length = 1.85`, `:13:`, `unit`},
		{`length = "1.85 m"`, `length = "0 m"`, `:13:`, `above 0`},
		{`name = "reel 2"`, `name = "rest of March"`, `:18:`, `a second time`},
		{`part = "wire/awg-20"`, `part = "wires/awg-20"`, `:23:`, `the nearest is "wire"`},
		{`length = "3.2 m"`, `area = "3.2 m²"`, `:23:`, `length, in which a wire is sold`},
		{`pieces_per_row = 2`, `pieces_per_row = 12`, `:6:`, `1 (no splices) to 4`},
		{`first_joint_mm = 150`, "first_joint_mm = 150\nno_joints = true", `:14:`, `leave one of the two out`},
	} {
		text := strings.Replace(sampleStock, c.old, c.put, 1)
		if text == sampleStock {
			t.Fatalf("%q does not stand in the sample", c.old)
		}
		_, err := ParseStock([]byte(text), "s.toml")
		if err == nil || !strings.Contains(err.Error(), "s.toml"+c.line) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got\n%v\nwant line %s and %q", c.put, err, c.line, c.says)
		}
	}
	for _, c := range []struct{ old, put, says string }{
		{`serial = "A-3"`, `serial = "A/3"`, "without slashes"},
		{`date = "2026-12-02"`, `date = "2026-02-30"`, "a date such as"},
		{`bound = "near"`, `bound = "about"`, `"near"`},
		{`rows = 9`, `rows = 0`, "1 or more"},
		{`field = "rows"`, `field = ""`, "a key of the lamp document"},
	} {
		_, err := ParseUnit([]byte(strings.Replace(sampleUnit, c.old, c.put, 1)), "u.toml")
		if err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: got %v, want %q", c.put, err, c.says)
		}
	}
}

func FuzzStock(f *testing.F) {
	seed(f)
	f.Add([]byte(sampleStock))
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, data, ParseStock) })
}

func FuzzUnit(f *testing.F) {
	seed(f)
	f.Add([]byte(sampleUnit))
	f.Fuzz(func(t *testing.T, data []byte) { hold(t, data, ParseUnit) })
}
