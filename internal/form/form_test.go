package form

import (
	"net/url"
	"strings"
	"testing"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"

	"pgregory.net/rapid"
)

func open(t testing.TB, query string) State[lamp.Spec] {
	t.Helper()
	a := &app.App{Parts: catalogue.Starter()}
	l, err := a.Build(catalogue.FirstLamp())
	if err != nil {
		t.Fatal(err)
	}
	q, err := url.ParseQuery(query)
	if err != nil {
		t.Fatal(err)
	}
	return Lamp(a).Open(l.Spec, q)
}

func field(s State[lamp.Spec], key string) Field {
	for _, f := range s.desk.Fields(s.Doc) {
		if f.Key == key {
			return f
		}
	}
	return Field{Key: key}
}

// What was typed stays as typed, in any unit, and comes back from the address.
func TestTypedIsKept(t *testing.T) {
	s := open(t, "").Submit(url.Values{"place.eye_distance": {" 35 1/2 in "}, "rows": {"8"}})
	if got := s.Doc.Place.EyeDistance; got < 0.90169 || got > 0.90171 {
		t.Errorf("35 1/2 in is %v m; want 0.9017", got)
	}
	if s.Doc.Rows != 8 || len(s.Bad) > 0 {
		t.Errorf("rows %d, bad %v", s.Doc.Rows, s.Bad)
	}
	back := open(t, s.Query().Encode())
	if got := back.Text(field(back, "place.eye_distance")); got != "35 1/2 in" {
		t.Errorf("the address gives back %q", got)
	}
	if back.Query().Encode() != s.Query().Encode() {
		t.Errorf("address %q became %q", s.Query().Encode(), back.Query().Encode())
	}
}

// A text that makes no sense spoils only its own field, keeps the last good
// value, is kept itself, and says what to write.
func TestBadText(t *testing.T) {
	for _, c := range []struct{ key, text, says string }{
		{"place.eye_distance", "90", "unit"},
		{"place.eye_distance", "90 lx", ""},
		{"place.eye_distance", "90 m", "allowed is 100 mm to 10 m"},
		{"place.eye_distance", "", "nothing is given"},
		{"rows", "nine", "not a whole number"},
		{"rows", "99", "allowed is 1 to"},
		{"sheet", "diffuser-plat", "nearest"},
		{"drive.white", "120 %", "0 to 100 %"},
		{"place.air_at_lamp", "80 °C", "allowed is"},
	} {
		s := open(t, "").Submit(url.Values{"rows": {"7"}}).Submit(url.Values{c.key: {c.text}, "lead_length": {"2 m"}})
		b, ok := s.Bad[c.key]
		if !ok || !strings.Contains(b.Why, c.says) || b.Text != c.text {
			t.Errorf("%s = %q: %+v; want a reason with %q", c.key, c.text, b, c.says)
		}
		if s.Doc.Rows != 7 || s.Doc.LeadLength != 2 {
			t.Errorf("%s = %q spoiled others: rows %d, lead %v", c.key, c.text, s.Doc.Rows, s.Doc.LeadLength)
		}
		if c.text == "" {
			continue // an empty text has no place in an address
		}
		back := open(t, s.Query().Encode())
		if back.Text(field(back, c.key)) != c.text || back.Doc.Rows != 7 {
			t.Errorf("the address lost %q", c.text)
		}
	}
}

// Another tray takes the rows that fit it, and says so.
func TestFit(t *testing.T) {
	s := open(t, "").Submit(url.Values{"rows": {"20"}})
	var small part.Tray
	for _, tr := range catalogue.Starter().Trays {
		if small.ID == "" || tr.Width < small.Width {
			small = tr
		}
	}
	s = s.Submit(url.Values{"tray": {small.ID}})
	if len(s.Bad) > 0 || len(s.Notes) == 0 || s.Doc.Tray != small.ID {
		t.Errorf("bad %v, notes %v", s.Bad, s.Notes)
	}
	if s.Doc.Rows >= 20 {
		t.Errorf("%d rows in a tray of %v m", s.Doc.Rows, small.Width)
	}
}

// A tick that the form has and does not send is taken away.
func TestTicks(t *testing.T) {
	s := open(t, "")
	if !s.Doc.LineFloor {
		t.Fatal("the sample's floor is not lined")
	}
	if s = s.Submit(url.Values{"rows": {"9"}}); !s.Doc.LineFloor {
		t.Error("a form without the tick took it away")
	}
	if s = s.Submit(url.Values{"ticks": {"line_floor"}}); s.Doc.LineFloor {
		t.Error("the tick stayed")
	}
	if got := open(t, s.Query().Encode()); got.Doc.LineFloor {
		t.Error("the address lost it")
	}
}

// An override needs a written reason, and comes back from the address.
func TestOverride(t *testing.T) {
	key := "override.heat.touch"
	s := open(t, "").Submit(url.Values{key: {"because"}})
	if len(s.Doc.Overrides) != 0 || s.Bad[key].Why == "" {
		t.Errorf("a short reason gave %v, %v", s.Doc.Overrides, s.Bad)
	}
	why := "it hangs out of reach behind a grille"
	s = s.Submit(url.Values{key: {why}})
	back := open(t, s.Query().Encode())
	if len(back.Doc.Overrides) != 1 || back.Doc.Overrides[0].Reason != why {
		t.Errorf("the address %q gives %v", s.Query().Encode(), back.Doc.Overrides)
	}
	if s = s.Submit(url.Values{key: {""}}); len(s.Doc.Overrides) != 0 {
		t.Errorf("not taken away: %v", s.Doc.Overrides)
	}
}

// Whatever is typed where: the state is sound, its address leads back to it,
// and taking every change back gives the base.
func TestAnyText(t *testing.T) {
	s0 := open(t, "")
	fields := s0.desk.Fields(s0.Doc)
	texts := rapid.SampledFrom([]string{"", "7", "12", "0", "-3", "1e99", "30 cm", "11 1/2 in", "1,5 m", "50 %", "25 °C", "77 °F", "NaN m", "on",
		"opal-acrylic", "alu-600-400-80-painted", "white-12v-60", "width", "middle-row", "160 EUR", "20°", "\"", "<b>", "40 cd/m²", "ünïcode"})
	rapid.Check(t, func(r *rapid.T) {
		s := s0
		for range rapid.IntRange(1, 6).Draw(r, "n") {
			f := rapid.SampledFrom(fields).Draw(r, "field")
			s = s.Submit(url.Values{f.Key: {texts.Draw(r, "text")}})
			if err := s.desk.Check(s.Doc); err != nil {
				r.Fatalf("unsound: %v", err)
			}
		}
		back := open(t, s.Query().Encode())
		for _, f := range s.desk.Fields(s.Doc) {
			if Get(back.Doc, f) != Get(s.Doc, f) {
				r.Fatalf("%s: %q came back as %q from %s", f.Key, Get(s.Doc, f), Get(back.Doc, f), s.Query().Encode())
			}
		}
	})
}

func TestAmount(t *testing.T) {
	for _, c := range []struct {
		x    float64
		d    quantity.Dimension
		want string
	}{{0.9, quantity.Length, "900 mm"}, {0.2794, quantity.Length, "279.4 mm"}, {298.15, quantity.Temperature, "25 °C"}, {0.35, quantity.Ratio, "35 %"},
		{0.4014257, quantity.Angle, "23°"}, {12000, quantity.Luminance, "12000 cd/m²"}, {3600, quantity.Time, "60 min"}} {
		got := amount(c.x, c.d)
		back, err := quantity.Parse(got, c.d)
		if err != nil {
			t.Errorf("%v is written %q, which reads %v", c.x, got, err)
		}
		if d := back - c.x; d > 1e-6*c.x || d < -1e-6*c.x {
			t.Errorf("%q reads %v; want %v", got, back, c.x)
		}
		if got != c.want {
			t.Logf("%v %v is written %q", c.x, c.d, got)
		}
	}
}

// Temperatures read on the lamp are typed in a line, kept as typed when wrong,
// and taken away by an empty one.
func TestReadings(t *testing.T) {
	s := open(t, "reading="+url.QueryEscape("tray=42 °C@30 min; strip=131 °F in 24 °C"))
	if r := s.Doc.Readings; len(r) != 2 || r[0].After != 1800 || r[1].At != "strip" || r[1].Temperature < 328.1 || r[1].Temperature > 328.2 || r[1].Air == 0 {
		t.Errorf("%+v, %+v", r, s.Bad)
	}
	if got := Get(s.Doc, field(s, "reading")); got != "tray=42 °C@30 min; strip=55 °C in 24 °C" {
		t.Errorf("shown as %q", got)
	}
	if s = open(t, "reading="+url.QueryEscape("tray 42")); len(s.Doc.Readings) != 0 || len(s.Bad) == 0 {
		t.Errorf("a wrong line: %+v, %+v", s.Doc.Readings, s.Bad)
	}
	if s = open(t, "reading="); len(s.Doc.Readings) != 0 || len(s.Bad) != 0 {
		t.Errorf("an empty line: %+v, %+v", s.Doc.Readings, s.Bad)
	}
}
