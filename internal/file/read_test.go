package file

import (
	"errors"
	"io"
	"math"
	"strings"
	"testing"

	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// What a parts file says arrives in SI, with named uncertainty.
func TestPartsValues(t *testing.T) {
	s, err := ParseParts([]byte(sampleParts), "p")
	if err != nil {
		t.Fatal(err)
	}
	sheet, strip := s.Sheets[0], s.Strips[0]
	near := func(name string, got, want float64) {
		t.Helper()
		if math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("%s is %v, want %v", name, got, want)
		}
	}
	near("thickness", sheet.Thickness, 0.003)
	near("limit", sheet.Limit, 348.15)
	near("beam", strip.Beam, 2*math.Pi/3)
	near("leds", strip.LEDs, 120)
	near("emitter_area", strip.Emitter, 5e-6)
	if want := (part.Money{Cents: 1190, Currency: "EUR"}); sheet.Price != want {
		t.Errorf("price is %v, want %v", sheet.Price, want)
	}
	if len(sheet.Curve) != 2 || sheet.Curve[1] != [2]float64{555, 0.5} {
		t.Errorf("curve is %v", sheet.Curve)
	}
	for _, c := range []struct {
		name   string
		v      quantity.Value
		x, u   float64
		source string
	}{
		{"stated", sheet.Transmittance, 0.5, 0.01, "sheet opal transmittance"},
		{"absolute default", sheet.Reflectance, 0.46, 0.02, "sheet opal reflectance (assumed)"},
		{"stated in percent", strip.Channels[0].Flux, 930, 37.2, "strip x warm flux"},
		{"relative default", strip.Channels[1].Flux, 1060, 74.2, "strip x cool flux (assumed)"},
		{"unit in the key", strip.Channels[1].MeasuredPower, 9.1, 0.182, "strip x cool measured power (assumed)"},
		{"unit after the uncertainty", strip.Channels[1].CCT, 6500, 100, "strip x cool cct"},
		{"of the strip itself", strip.Reflectance, 0.82, 0.04, "strip x board reflectance (assumed)"},
	} {
		near(c.name, c.v.X, c.x)
		if len(c.v.Terms) != 1 {
			t.Errorf("%s: terms are %v", c.name, c.v.Terms)
			continue
		}
		near(c.name+": u", c.v.Terms[0].U, c.u)
		if c.v.Terms[0].Source != c.source {
			t.Errorf("%s: source is %q, want %q", c.name, c.v.Terms[0].Source, c.source)
		}
	}
	if v := sheet.LobeWidth; v.X != 0 || v.Terms != nil {
		t.Errorf("a field left out is %v, want nothing", v)
	}
}

func TestBriefAndLampValues(t *testing.T) {
	b, err := ParseBrief([]byte(sampleBrief), "b")
	if err != nil {
		t.Fatal(err)
	}
	if math.Abs(b.Place.MeterDistance-0.4064) > 1e-12 || b.Place.LampAboveEye != 0.3 || b.For != 3600 || b.Wanted.MeterIlluminance != 5000 || b.Wanted.Price.Cents != 16000 {
		t.Errorf("the brief reads %+v", b)
	}
	l, err := ParseLamp([]byte(sampleLamp), "l")
	if err != nil {
		t.Fatal(err)
	}
	if l.Drive["warm"] != 0.5 || l.Drive["cool"] != 0.8 || l.Rows != 4 || l.Parts.Fuses[0].Rating != 2 || len(l.Overrides) != 1 || l.Place.EyeDistance != 0.7 {
		t.Errorf("the lamp reads %+v", l)
	}
}

// A document saved by other programs: byte order mark, CRLF, no last newline.
func TestForeignLineEnds(t *testing.T) {
	text := "\xef\xbb\xbf" + strings.ReplaceAll(strings.TrimRight(sampleLamp, "\n"), "\n", "\r\n")
	if _, err := ParseLamp([]byte(text), "l"); err != nil {
		t.Error(err)
	}
}

func TestKindOf(t *testing.T) {
	for text, want := range map[string]Kind{sampleParts: PartsKind, sampleBrief: BriefKind, sampleLamp: LampKind, "rows = 3\n": LampKind, "[[tray]]\n": PartsKind, "[wanted]\n": BriefKind} {
		if got, err := KindOf([]byte(text), "x"); got != want || err != nil {
			t.Errorf("%q… is a %q (%v), want %q", text[:8], got, err, want)
		}
	}
	if _, err := KindOf([]byte("colour = \"red\"\n"), "x.toml"); err == nil || !strings.Contains(err.Error(), "none of Dawnsmith's documents") {
		t.Errorf("a strange document gives %v", err)
	}
}

func TestWrongKind(t *testing.T) {
	_, err := ParseLamp([]byte(sampleBrief), "oulu.toml")
	var wrong *WrongKind
	if !errors.As(err, &wrong) || wrong.Found != BriefKind || wrong.Want != LampKind {
		t.Fatalf("a brief read as a lamp gives %v", err)
	}
	if want := "oulu.toml: this is a brief, and a lamp is wanted here; a lamp has tray, strip, rows and supply"; err.Error() != want {
		t.Errorf("got  %s\nwant %s", err, want)
	}
	if _, err := ParseParts([]byte(sampleLamp), "x"); !errors.As(err, &wrong) || wrong.Found != LampKind {
		t.Errorf("a lamp read as parts gives %v", err)
	}
	if _, err := ParseBrief([]byte(sampleParts), "x"); !errors.As(err, &wrong) || wrong.Found != PartsKind {
		t.Errorf("parts read as a brief give %v", err)
	}
}

func TestNewerSchema(t *testing.T) {
	text := strings.Replace(sampleBrief, "schema = 1", "schema = 7\nmoon = true", 1)
	_, err := ParseBrief([]byte(text), "b.toml")
	if !errors.Is(err, ErrNewer) {
		t.Fatalf("schema 7 gives %v", err)
	}
	if !strings.HasPrefix(err.Error(), "b.toml:1: schema 7: made by a newer Dawnsmith") {
		t.Errorf("it says %q", err)
	}
}

func TestTooLarge(t *testing.T) {
	text := sampleBrief + "#" + strings.Repeat("x", MaxSize)
	if _, err := ParseBrief([]byte(text), "b"); !errors.Is(err, ErrTooLarge) {
		t.Errorf("parsed: %v", err)
	}
	if _, err := ReadBrief(strings.NewReader(text), "b"); !errors.Is(err, ErrTooLarge) {
		t.Errorf("read: %v", err)
	}
}

type failing struct{}

func (failing) Read([]byte) (int, error) { return 0, io.ErrUnexpectedEOF }

func TestReadError(t *testing.T) {
	if _, err := ReadLamp(failing{}, "stdin"); !errors.Is(err, io.ErrUnexpectedEOF) || !strings.HasPrefix(err.Error(), "stdin:") {
		t.Errorf("a failing reader gives %v", err)
	}
	for name, text := range map[string]string{"empty": " \n", "utf16": "\xff\xfes\x00"} {
		if _, err := ReadParts(strings.NewReader(text), name); err == nil || !strings.HasPrefix(err.Error(), name+":") {
			t.Errorf("%s gives %v", name, err)
		}
	}
}
