package buildpack

import (
	"bytes"
	"encoding/csv"
	"math"
	"strings"
	"testing"
)

// A sheet as written, filled in by a spreadsheet, is read back: every line with
// a reading, and no other.
func TestSheetComesBack(t *testing.T) {
	p := pack(t, input(t, nil))
	var b bytes.Buffer
	if err := p.ReadingsCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(bytes.NewReader(b.Bytes())).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i := range rows {
		if i%2 == 1 {
			rows[i][8], rows[i][9] = "12,5", "2026-12-04"
		}
		for k, c := range rows[i] {
			if k == 4 || k == 5 || k == 7 {
				rows[i][k] = strings.Replace(c, ".", ",", 1)
			}
		}
	}
	var filled bytes.Buffer
	w := csv.NewWriter(&filled)
	w.Comma = ';'
	if err := w.WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	got, err := ReadSheet(strings.NewReader("\ufeff"+filled.String()), "filled.csv")
	if err != nil {
		t.Fatal(err)
	}
	want := p.Readings()
	if len(got) != (len(want)+1)/2 {
		t.Fatalf("%d readings came back of %d filled in", len(got), (len(want)+1)/2)
	}
	for i, f := range got {
		r := want[2*i]
		if f.ID != r.ID || f.Unit != r.Unit || f.Value != 12.5 || f.Date != "2026-12-04" || f.Metric != r.Metric || f.Bound != r.Bound || math.Abs(f.Expected-r.Expected) > 1e-3*math.Abs(r.Expected) || math.Abs(f.Distance-r.Distance) > 1e-9 {
			t.Errorf("%+v came back as %+v", r, f)
		}
	}
	for _, c := range []struct{ text, says string }{
		{"", "no head"},
		{"id,name,reading\n", `"unit" is missing`},
		{"name,unit,reading\na,A,abc\n", `:2: reading is "abc"`},
		{"name,unit,reading\na,A,NaN\n", `:2: reading is "NaN"`},
		{"name,unit,reading\na,,1\n", `:2: "a" has no unit`},
		{"name,unit,reading,date\na,A,1,4.12.2026\n", "write it as 2026-12-01"},
		{"name,unit,reading,bound\na,A,1,about\n", `bound is "about"`},
	} {
		if _, err := ReadSheet(strings.NewReader(c.text), "s.csv"); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: got %v, want %q", c.text, err, c.says)
		}
	}
}

// Whatever bytes are read, readings are numbers and have a unit.
func FuzzReadSheet(f *testing.F) {
	f.Add("id,name,unit,reading\nR1,a,A,1.5\n")
	f.Add("name;unit;reading;date\n\"a;b\";lx;1 234,5;2026-12-04\n")
	f.Fuzz(func(t *testing.T, text string) {
		got, err := ReadSheet(strings.NewReader(text), "fuzz")
		if err != nil {
			return
		}
		for _, r := range got {
			if r.Unit == "" || math.IsNaN(r.Value) || math.IsInf(r.Value, 0) || math.IsNaN(r.Expected+r.Tolerance+r.Distance) {
				t.Fatalf("%+v", r)
			}
		}
	})
}
