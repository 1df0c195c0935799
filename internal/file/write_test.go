package file

import (
	"bytes"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// again reads a document without looking at the ranges of its parts.
func again[T any](data []byte) (T, error) {
	var out T
	r, err := open(data, "again")
	if err != nil {
		return out, err
	}
	d := &decoder{reader: r, sound: map[*table]bool{}}
	d.structure(r.tree(), reflect.ValueOf(&out).Elem(), "", nil)
	return out, d.err()
}

// fill draws a value for every field: any text, any number a document can
// hold, uncertainty stated, assumed or none. subject names the part.
func fill(t *rapid.T, v reflect.Value, subject string) {
	text := rapid.OneOf(rapid.StringMatching(`[a-z ]{0,8}`), rapid.String(), rapid.SampledFrom([]string{"", "two\nlines\n", `"`, `\`, "µ±″", "\r\n\t", "'''", `""""`}))
	for _, f := range fields(v.Type()) {
		fv := v.FieldByIndex(f.index)
		if !f.required && !f.nested() && rapid.IntRange(0, 3).Draw(t, "out") == 0 {
			continue
		}
		switch {
		case f.key == "schema":
			fv.SetInt(Schema)
		case f.key == "id":
		case f.typ == valueType:
			x := si(t, f.dim)
			name := source(subject, f.key)
			u := f.defaultU(x)
			switch rapid.IntRange(0, 3).Draw(t, "u") {
			case 0:
				fv.Set(reflect.ValueOf(quantity.Exact(x)))
			case 1:
				fv.Set(reflect.ValueOf(quantity.Measured(x, math.Abs(si(t, quantity.Number)), name)))
			case 2: // stated, and by chance what would have been assumed
				fv.Set(reflect.ValueOf(quantity.Measured(x, u, name)))
			case 3:
				fv.Set(reflect.ValueOf(quantity.Measured(x, u, name+assumed)))
			}
			if w := fv.Interface().(quantity.Value); w.X == 0 && !f.required && len(w.Terms) == 0 {
				fv.SetZero()
			}
		case f.typ == moneyType:
			cur := rapid.SampledFrom([]string{"EUR", "SEK", "USD"}).Draw(t, "currency")
			fv.Set(reflect.ValueOf(part.Money{Cents: rapid.Int64Range(0, 1e11).Draw(t, "cents"), Currency: cur}))
		case f.typ == curveType:
			var c part.Curve
			for range rapid.IntRange(1, 4).Draw(t, "points") {
				c = append(c, [2]float64{si(t, quantity.Number), si(t, quantity.Number)})
			}
			fv.Set(reflect.ValueOf(c))
		case f.typ == listType:
			var list []float64
			for range rapid.IntRange(1, 5).Draw(t, "items") {
				list = append(list, si(t, f.dim))
			}
			fv.Set(reflect.ValueOf(list))
		case f.typ == driveType:
			fv.Set(reflect.ValueOf(map[string]float64{text.Draw(t, "name"): si(t, quantity.Ratio), "cool": 0}))
		case f.plural():
			list := reflect.MakeSlice(f.typ, 0, 2)
			for i := range rapid.IntRange(btoi(f.required), 2).Draw(t, "n "+f.key) {
				el := reflect.New(f.typ.Elem()).Elem()
				name := subject
				if id := el.FieldByName("ID"); id.IsValid() {
					id.SetString(fmt.Sprintf("p-%d", i))
					name = f.key + " " + id.String()
				} else if n := el.FieldByName("Name"); n.IsValid() {
					n.SetString(fmt.Sprintf("c%d", i))
					name = strings.TrimSpace(subject + " " + n.String())
				}
				fill(t, el, name)
				if n := el.FieldByName("Name"); n.IsValid() && !el.FieldByName("ID").IsValid() {
					n.SetString(fmt.Sprintf("c%d", i))
				}
				list = reflect.Append(list, el)
			}
			if list.Len() > 0 {
				fv.Set(list)
			}
		case f.typ.Kind() == reflect.Struct:
			fill(t, fv, subject)
			if s := fv.FieldByName("Schema"); s.IsValid() {
				s.SetInt(0)
			}
		case f.typ.Kind() == reflect.String:
			fv.SetString(text.Draw(t, f.key))
		case f.typ.Kind() == reflect.Bool:
			fv.SetBool(rapid.Bool().Draw(t, f.key))
		case f.typ.Kind() == reflect.Int:
			fv.SetInt(int64(rapid.IntRange(-1000, 1e6).Draw(t, f.key)))
		case f.typ.Kind() == reflect.Float64:
			fv.SetFloat(si(t, f.dim))
		default:
			t.Fatalf("no value for %s", f.typ)
		}
	}
}

// si draws a number that some text of the dimension gives: of a few digits in
// any of its units, or any double where a unit is SI itself.
func si(t *rapid.T, d quantity.Dimension) float64 {
	if d == quantity.CrossSection && rapid.Bool().Draw(t, "awg") {
		x, err := quantity.Parse(fmt.Sprintf("%d AWG", rapid.IntRange(0, 40).Draw(t, "gauge")), d)
		if err != nil {
			t.Fatal(err)
		}
		return x
	}
	if d != quantity.CrossSection && rapid.IntRange(0, 4).Draw(t, "any") == 0 {
		return rapid.Float64Range(-1e6, 1e6).Draw(t, "x")
	}
	units := append([]string{""}, d.Units()...)
	if len(units) > 1 {
		units = units[1:]
	}
	unit := rapid.SampledFrom(units).Draw(t, "unit")
	if unit == "AWG" {
		unit = "mm²"
	}
	x, err := quantity.Parse(fmt.Sprintf("%v %s", float64(rapid.IntRange(0, 99999).Draw(t, "digits"))/1000, unit), d)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// Whatever stands in the structs comes back the same from its document.
func roundTrip[T any](t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var doc T
		fill(t, reflect.ValueOf(&doc).Elem(), "")
		data, err := encode(doc, rapid.SampledFrom([]string{"", "one line", "two\nlines\x07\n"}).Draw(t, "head"))
		if err != nil {
			t.Fatal(err)
		}
		got, err := again[T](data)
		if err != nil {
			t.Fatalf("%v\nin\n%s", err, data)
		}
		if diff := cmp.Diff(doc, got); diff != "" {
			t.Fatalf("written (-) and read again (+):\n%s\nin\n%s", diff, data)
		}
		twice, err := encode(got, "")
		if once, _ := encode(doc, ""); err != nil || !bytes.Equal(once, twice) {
			t.Fatalf("the second writing differs (%v)", err)
		}
	})
}

func TestRoundTripParts(t *testing.T) { roundTrip[part.Set](t) }
func TestRoundTripBrief(t *testing.T) { roundTrip[brief.Brief](t) }
func TestRoundTripLamp(t *testing.T)  { roundTrip[lamp.Spec](t) }

// A document as it is written.
func ExampleWriteBrief() {
	b := brief.Brief{
		Name:   "bench",
		For:    3600,
		Place:  brief.Place{MeterDistance: 0.4, LampAboveEye: 0.25, Tilt: 0.3490658503988659, Air: 293.15},
		Wanted: brief.Wanted{MeterIlluminance: 5000, Length: 0.2794, Ripple: 0.05, Price: part.Money{Cents: 16000, Currency: "EUR"}},
	}
	var out strings.Builder
	if err := WriteBrief(&out, b, "For the bench\nin the corner"); err != nil {
		fmt.Println(err)
	}
	fmt.Print(out.String())
	// Output:
	// # For the bench
	// # in the corner
	//
	// schema = 1
	// name = "bench"
	// session = "60 min"
	//
	// [place]
	// meter_distance = "400 mm"
	// lamp_above_eye = "250 mm"
	// tilt = "20°"
	// air_at_lamp = "20 °C"
	//
	// [wanted]
	// meter_illuminance_min = "5000 lx"
	// ripple_max = 0.05
	// tray_length_max = "279.4 mm"
	// first_lamp_price_max = "160.00 EUR"
}

// The shortest text that gives the same number, in a usual unit.
func TestExactly(t *testing.T) {
	for _, c := range []struct {
		in   string
		d    quantity.Dimension
		want string
	}{
		{"280 mm", quantity.Length, "280 mm"},
		{"5 m", quantity.Length, "5 m"},
		{"1.5 m", quantity.Length, "1.5 m"},
		{"11 5/8 in", quantity.Length, "295.275 mm"},
		{"0.188 mm", quantity.Length, "0.188 mm"},
		{"42 °C", quantity.Temperature, "42 °C"},
		{"100 °F", quantity.Temperature, "100 °F"},
		{"22 AWG", quantity.CrossSection, "22 AWG"},
		{"0.5 mm²", quantity.CrossSection, "0.5 mm²"},
		{"-0.15 %/K", quantity.PerKelvin, "-0.15 %/K"},
		{"120°", quantity.Angle, "120°"},
		{"1.5 h", quantity.Time, "90 min"},
		{"4 kHz", quantity.Frequency, "4 kHz"},
		{"12000 cd/m²", quantity.Luminance, "12000 cd/m²"},
		{"0 mm", quantity.Length, "0 mm"},
	} {
		x, err := quantity.Parse(c.in, c.d)
		if err != nil {
			t.Fatal(err)
		}
		got, err := exactly(x, c.d)
		if err != nil || got != c.want {
			t.Errorf("%s is written %q (%v), want %q", c.in, got, err, c.want)
		}
	}
}

// What no reader would take is not written, and nothing of it.
func TestNotWritten(t *testing.T) {
	var good part.Set
	mustParse(t, sampleParts, &good)
	for name, spoil := range map[string]func(*part.Set){
		"infinite":          func(s *part.Set) { s.Sheets[0].Thickness = math.Inf(1) },
		"nan":               func(s *part.Set) { s.Sheets[0].Reflectance.X = math.NaN() },
		"nan in a curve":    func(s *part.Set) { s.Sheets[0].Curve[0][1] = math.NaN() },
		"out of range":      func(s *part.Set) { s.Sheets[0].Emissivity = 3 },
		"two of one id":     func(s *part.Set) { s.Sheets = append(s.Sheets, s.Sheets[0]) },
		"broken text":       func(s *part.Set) { s.Sheets[0].Name = "\xff" },
		"price of nothing":  func(s *part.Set) { s.Sheets[0].Price = part.Money{Cents: 5} },
		"schema of 2 years": func(s *part.Set) { s.Schema = 2 },
	} {
		s := part.Set{Schema: 1, Strips: good.Strips, Sheets: append([]part.Sheet(nil), good.Sheets...)}
		s.Sheets[0].Curve = append(part.Curve(nil), s.Sheets[0].Curve...)
		spoil(&s)
		var b bytes.Buffer
		if err := WriteParts(&b, s, ""); err == nil || b.Len() > 0 {
			t.Errorf("%s: error %v, %d bytes written", name, err, b.Len())
		}
	}
	if err := WriteParts(&bytes.Buffer{}, good, ""); err != nil {
		t.Errorf("the good set is refused: %v", err)
	}
}

func mustParse(t *testing.T, text string, s *part.Set) {
	t.Helper()
	got, err := ParseParts([]byte(text), "sample")
	if err != nil {
		t.Fatal(err)
	}
	*s = got
}

// Uncertainty stated is written, uncertainty assumed is not, none is ± 0.
func TestUncertaintyWritten(t *testing.T) {
	var s part.Set
	mustParse(t, sampleParts, &s)
	s.Strips[0].Channels[1].Flux = quantity.Exact(1060)
	var b bytes.Buffer
	if err := WriteParts(&b, s, ""); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		`transmittance = "0.5 ± 0.01"`, "\nreflectance = 0.46\n", `flux = "930 lm/m ± 4 %"`, `flux = "1060 lm/m ± 0"`,
		`cct = "2700 K"`, `cct = "6500 K ± 100 K"`, `measured_power = "9.1 W/m"`,
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("%s is not in\n%s", want, b.String())
		}
	}
}
