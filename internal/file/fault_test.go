package file

import (
	"errors"
	"fmt"
	"strings"
	"testing"
)

// swap changes one line of a sample.
func swap(text, old, new string) string {
	if strings.Count(text, old) == 0 {
		panic("no " + old)
	}
	return strings.Replace(text, old, new, 1)
}

// Every kind of fault, with its place and what it must say.
func TestFaults(t *testing.T) {
	parts := func(d []byte, n string) error { _, err := ParseParts(d, n); return err }
	briefs := func(d []byte, n string) error { _, err := ParseBrief(d, n); return err }
	lamps := func(d []byte, n string) error { _, err := ParseLamp(d, n); return err }
	for _, c := range []struct {
		name string
		read func([]byte, string) error
		text string
		at   string // line:col of the first fault
		path string
		says []string
	}{
		{"misspelt key", parts, swap(sampleParts, "transmittance", "transmitance"), "9:1", "sheet[1].transmitance",
			[]string{`unknown key "transmitance" in [[sheet]]`, `the nearest is "transmittance"`}},
		{"strange key", parts, swap(sampleParts, "emissivity = 0.9", "emissivity = 0.9\nzzz = 1"), "13:1", "sheet[1].zzz",
			[]string{`unknown key "zzz"`, "allowed are id, name"}},
		{"key of an inner table", parts, swap(sampleParts, `drive = "resistor"`, "drive = \"resistor\"\nflux = \"1 lm/m\""), "19:1", "strip[1].flux",
			[]string{`"flux" belongs under [[strip.channel]]`}},
		{"key of the outer table", lamps, swap(sampleLamp, `eye_distance = "0.7 m"`, "eye_distance = \"0.7 m\"\nfuse = \"f\""), "14:1", "place.fuse",
			[]string{"belongs to the table around it"}},
		{"wrong unit in the key", parts, swap(sampleParts, "thickness_mm = 3", "thickness_yd = 3"), "7:1", "sheet[1].thickness_yd",
			[]string{`"yd" is not a unit of a length`, "_mm, _cm"}},
		{"bare number", parts, swap(sampleParts, "thickness_mm = 3", "thickness = 0.55"), "7:13", "sheet[1].thickness",
			[]string{`"thickness" is 0.55, but its unit is missing`, `thickness = "0.55 mm"`, "thickness_mm = 0.55"}},
		{"text without unit", parts, swap(sampleParts, "thickness_mm = 3", `thickness = "3"`), "7:13", "", []string{"the unit is missing", "mm, cm, m"}},
		{"unit of another kind", parts, swap(sampleParts, "thickness_mm = 3", `thickness = "3 V"`), "7:13", "", []string{`unit "V" is not known here`}},
		{"unit twice", parts, swap(sampleParts, "thickness_mm = 3", `thickness_mm = "3 mm"`), "7:16", "", []string{"carries its unit in the key"}},
		{"key twice", parts, swap(sampleParts, "thickness_mm = 3", "thickness_mm = 3\nthickness_mm = 4"), "8:1", "", []string{"given twice", "line 7 already"}},
		{"quantity twice", parts, swap(sampleParts, "thickness_mm = 3", "thickness_mm = 3\nthickness = \"3 mm\""), "8:1", "",
			[]string{`"thickness_mm" and "thickness" give the same thing twice`}},
		{"unit without quotes", parts, swap(sampleParts, "thickness_mm = 3", "thickness = 3 mm"), "7:15", "", []string{"not TOML", `write thickness = "3 mm"`}},
		{"no value", parts, swap(sampleParts, "thickness_mm = 3", "thickness_mm = "), "7:16", "", []string{"has no value"}},
		{"missing quote", parts, swap(sampleParts, `id = "opal"`, `id = "opal`), "4:11", "", []string{"quotation mark is missing"}},
		{"infinity", parts, swap(sampleParts, "thickness_mm = 3", "thickness_mm = inf"), "7:16", "", []string{"ordinary number"}},
		{"not a number", parts, swap(sampleParts, "reflectance = 0.46", "reflectance = nan"), "10:15", "", []string{"ordinary number"}},
		{"huge number", parts, swap(sampleParts, "thickness_mm = 3", `thickness = "1e999 m"`), "7:13", "", []string{"not an ordinary number"}},
		{"negative uncertainty", parts, swap(sampleParts, "0.50 ± 0.01", "0.50 ± -0.01"), "9:17", "", []string{"the uncertainty is negative"}},
		{"percent of what", parts, swap(sampleParts, "0.50 ± 0.01", "0.50 ± 2 %"), "9:17", "", []string{"one number or to both"}},
		{"uncertainty where none goes", parts, swap(sampleParts, "thickness_mm = 3", `thickness = "3 mm ± 1 mm"`), "7:13", "", []string{"takes no uncertainty"}},
		{"plain number as text", parts, swap(sampleParts, "ra = 90", `ra = "90"`), "39:6", "strip[1].channel[1].ra", []string{"plain number without unit"}},
		{"fraction for a count", parts, swap(sampleParts, "series = 6", "series = 6.0"), "21:10", "", []string{"it is a whole number"}},
		{"truth as text", lamps, swap(sampleLamp, "rows = 4", "rows = 4\nline_floor = \"yes\""), "6:14", "", []string{"it is true or false", "line_floor = true"}},
		{"number for a text", lamps, swap(sampleLamp, `tray = "t"`, "tray = 380"), "3:8", "", []string{"the number 380; it is a text"}},
		{"date", lamps, swap(sampleLamp, `tray = "t"`, "tray = 2024-01-01"), "3:8", "", []string{"a date or time; it is a text"}},
		{"price without currency", parts, swap(sampleParts, `"11,90 €"`, "11.90"), "6:9", "", []string{"a price is a text with its currency", "14.90 EUR"}},
		{"price in words", parts, swap(sampleParts, `"11,90 €"`, `"cheap"`), "6:9", "", []string{`"cheap" is not a price`}},
		{"curve of one number", parts, swap(sampleParts, "[400, 0.4]", "[400]"), "13:11", "", []string{"pair 1", "not two numbers"}},
		{"curve of texts", parts, swap(sampleParts, "[400, 0.4]", `["400 nm", 0.4]`), "13:11", "", []string{"two plain numbers"}},
		{"curve as a number", parts, swap(sampleParts, "[[400, 0.4], [555, 0.5]]", "0.4"), "13:9", "", []string{"list of pairs"}},
		{"drive as a number", lamps, swap(sampleLamp, `{ warm = 0.5, cool = "80 %" }`, "0.5"), "10:9", "", []string{"a table of names and ratios"}},
		{"single brackets", parts, swap(sampleParts, "[[sheet]]", "[sheet]"), "3:2", "sheet", []string{"it is a list of tables", "[[sheet]] with double brackets"}},
		{"double brackets", lamps, swap(sampleLamp, "[place]", "[[place]]"), "12:3", "place", []string{"it is one table", "[place] with single brackets"}},
		{"table and list", lamps, sampleLamp + "[parts.fuse]\n", "24:8", "", []string{"list of tables", "[[parts.fuse]]"}},
		{"table twice", lamps, sampleLamp + "[place]\n", "24:2", "", []string{"[place] is given twice", "line 12 already"}},
		{"value and table", lamps, sampleLamp + "[rows]\n", "24:2", "", []string{"as a value and as a table", "line 5"}},
		{"list of numbers", parts, "schema = 1\ntray = [1, 2]\n", "2:9", "tray[1]", []string{"it is a list of tables"}},
		{"missing keys", parts, swap(swap(sampleParts, "limit = \"75 °C\"\n", ""), "density = \"1190 kg/m³\"\n", ""), "3:3", "sheet[1].density",
			[]string{`[[sheet]] has no "density", "limit"`, `density = "12 kg/m³"`}},
		{"missing list", parts, sampleParts[:strings.Index(sampleParts, "[[strip.channel]]")], "15:3", "strip[1].channel", []string{`no "channel"`, "[[strip.channel]]"}},
		{"missing table", briefs, sampleBrief[:strings.Index(sampleBrief, "[wanted]")], "1:1", "wanted", []string{`the document has no "wanted"`, "[wanted]"}},
		{"no schema", briefs, swap(sampleBrief, "schema = 1\n", ""), "1:1", "schema", []string{"write schema = 1 as its first line"}},
		{"schema as text", briefs, swap(sampleBrief, "schema = 1", `schema = "1"`), "1:10", "schema", []string{"whole number"}},
		{"old schema", briefs, swap(sampleBrief, "schema = 1", "schema = 0"), "1:10", "schema", []string{"write schema = 1"}},
		{"id twice", parts, sampleParts + strings.TrimPrefix(sampleParts, "schema = 1"), "53:6", "sheet[2].id", []string{`sheet "opal" is given twice`, "line 3 already"}},
		{"out of range", parts, swap(sampleParts, "emissivity = 0.9", "emissivity = 1.4"), "12:14", "sheet[1].emissivity", []string{`sheet "opal": emissivity is 1.4`, "allowed is 0.05 to 1"}},
		{"out of range, unit in the key", parts, swap(sampleParts, "thickness_mm = 3", "thickness_mm = 300"), "7:16", "sheet[1].thickness_mm", []string{"0.02 mm to 20 mm"}},
		{"sum out of range", parts, swap(sampleParts, "reflectance = 0.46", "reflectance = 0.6"), "9:17", "sheet[1].transmittance", []string{"transmittance + reflectance is"}},
		{"in the second channel", parts, swap(sampleParts, `"6500 ± 100 K"`, `"65000 ± 100 K"`), "47:7", "strip[1].channel[2].cct", []string{"1800 K to 10 000 K"}},
		{"in the strip", parts, swap(sampleParts, `cut = "50 mm"`, `cut = "55 mm"`), "22:7", "strip[1].cut", []string{"whole number of strings"}},
		{"enumeration", parts, swap(sampleParts, `drive = "resistor"`, `drive = "magic"`), "18:9", "strip[1].drive", []string{`"resistor" or "constant-current"`}},
		{"place out of range", briefs, swap(sampleBrief, `meter_distance = "16 in"`, `meter_distance = "16 m"`), "6:18", "place.meter_distance", []string{"50 mm to 10 m"}},
		{"wish out of range", briefs, swap(sampleBrief, `"5 klx"`, `"500 klx"`), "10:25", "wanted.meter_illuminance_min", []string{"100 000 lx"}},
		{"lamp's place", lamps, swap(sampleLamp, `"0.7 m"`, `"70 m"`), "13:16", "place.eye_distance", []string{"100 mm to 10 m"}},
		{"lamp's own part", lamps, swap(sampleLamp, `rating = "2 A"`, `rating = "200 A"`), "22:10", "parts.fuse[1].rating", []string{`fuse "own": rating is 200`}},
		{"no rows", lamps, swap(sampleLamp, "rows = 4", "rows = 0"), "5:8", "rows", []string{"write 1 or more"}},
		{"leading zero", lamps, swap(sampleLamp, "rows = 4", "rows = 04"), "5:8", "", []string{"not TOML"}},
	} {
		t.Run(c.name, func(t *testing.T) {
			err := c.read([]byte(c.text), "f.toml")
			var es *Errors
			if !errors.As(err, &es) {
				t.Fatalf("got %v, want *Errors", err)
			}
			f := es.Faults[0]
			if got := fmt.Sprintf("%d:%d", f.Line, f.Col); got != c.at {
				t.Errorf("at %s, want %s", got, c.at)
			}
			if c.path != "" && f.Path != c.path {
				t.Errorf("path is %q, want %q", f.Path, c.path)
			}
			for _, s := range c.says {
				if !strings.Contains(f.Error(), s) {
					t.Errorf("says\n%s\nwant in it %q", f.Error(), s)
				}
			}
			if f.Mend == "" {
				t.Errorf("%q says not how to mend it", f.What)
			}
			if n := len(es.Faults) + es.More; n > 1 && c.name != "id twice" {
				t.Errorf("%d faults, want this one alone:\n%v", n, err)
			}
		})
	}
}

// The whole text of an error, as a person sees it.
func TestErrorText(t *testing.T) {
	text := swap(swap(sampleParts, "transmittance", "transmitance"), "emissivity = 0.9", "\temissivity = \"é\" # dull")
	_, err := ParseParts([]byte(text), "my.parts.toml")
	want := "my.parts.toml:9:1: unknown key \"transmitance\" in [[sheet]]; the nearest is \"transmittance\"\n" +
		"    9 | transmitance = \"0.50 ± 0.01\"\n" +
		"      | ^^^^^^^^^^^^\n" +
		"my.parts.toml:12:15: \"emissivity\" is \"é\", not a ratio: no number at the start; write for example \"0.65 or 65 %\"\n" +
		"   12 | \temissivity = \"é\" # dull\n" +
		"      | \t             ^^^"
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
	var f Fault
	if !errors.As(err, &f) || f.Line != 9 {
		t.Errorf("the first fault is %v", f)
	}
}

// A line too long for a terminal is shown round the spot.
func TestLongLine(t *testing.T) {
	text := swap(sampleBrief, `name = "bench"`, `note = { a = "`+strings.Repeat("y", 400)+`", b = 3 }`)
	_, err := ParseBrief([]byte(text), "b")
	if err == nil {
		t.Fatal("read")
	}
	for line := range strings.SplitSeq(err.Error(), "\n") {
		if strings.Contains(line, "yyy") && len([]rune(line)) > 120 {
			t.Errorf("a line of %d characters", len(line))
		}
	}
}

// Faults are listed together, in order, ten at most.
func TestManyFaults(t *testing.T) {
	var b strings.Builder
	b.WriteString("schema = 1\n")
	for i := range 14 {
		fmt.Fprintf(&b, "[[fuse]]\nid = \"f%d\"\nname = \"x\"\nrating = 2\nvoltage = \"63 V\"\n", i)
	}
	_, err := ParseParts([]byte(b.String()), "p")
	var es *Errors
	if !errors.As(err, &es) || len(es.Faults) != MaxFaults || es.More != 4 {
		t.Fatalf("got %v", err)
	}
	for i, f := range es.Faults {
		if f.Line != 5+5*i {
			t.Errorf("fault %d is in line %d", i, f.Line)
		}
	}
	if !strings.HasSuffix(err.Error(), "p: and 4 more; mend these first") {
		t.Errorf("it ends %q", err.Error()[len(err.Error())-60:])
	}
}

// Two lines that are not TOML are both told, and the keys they hold are not
// called missing.
func TestManySyntaxFaults(t *testing.T) {
	text := swap(swap(sampleLamp, `tray = "t"`, "tray = t"), `strip = "x"`, `strip = "x`)
	_, err := ParseLamp([]byte(swap(text, "rows = 4", "rowz = 4")), "l")
	var es *Errors
	if !errors.As(err, &es) || len(es.Faults) != 3 {
		t.Fatalf("got\n%v", err)
	}
	for i, line := range []int{3, 4, 5} {
		if es.Faults[i].Line != line {
			t.Errorf("fault %d is in line %d, want %d", i, es.Faults[i].Line, line)
		}
	}
}

// Terminal escapes and broken bytes in a document do not reach the terminal.
func TestPlainText(t *testing.T) {
	for _, line := range []string{"colour = \"\x1b[31m\xff\"", "x\x00 = 1", "tray = \x9b"} {
		_, err := ParseBrief([]byte(sampleBrief+line+"\n"), "b")
		if err == nil {
			t.Errorf("%q is read", line)
			continue
		}
		if strings.ContainsAny(err.Error(), "\x1b\x00\u009b") {
			t.Errorf("%q comes out as %q", line, err.Error())
		}
	}
}
