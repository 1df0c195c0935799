package meterfile

import (
	"archive/zip"
	"bytes"
	"encoding/binary"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/xuri/excelize/v2"
	"pgregory.net/rapid"

	"dawnsmith/light/spectrum"
)

func mustRead(t *testing.T, data string) *File {
	t.Helper()
	f, err := Read(strings.NewReader(data))
	if err != nil {
		t.Fatalf("%v\n%s", err, data[:min(len(data), 300)])
	}
	return f
}

// table writes nm and values with a separator and a decimal mark.
func table(sep, mark, head string) string {
	var b strings.Builder
	b.WriteString(head)
	for nm := 380; nm <= 780; nm += 100 {
		line := fmt.Sprintf("%d.5%s0.0%d%s%d.25", nm, sep, nm, sep, nm/10)
		if mark != "." {
			line = strings.ReplaceAll(line, ".", mark)
		}
		b.WriteString(line + "\r\n")
	}
	return b.String()
}

// Every dialect gives the same numbers.
func TestDialects(t *testing.T) {
	utf16LE := func(s string) string {
		out := []byte{0xff, 0xfe}
		for _, u := range utf16.Encode([]rune(s)) {
			out = binary.LittleEndian.AppendUint16(out, u)
		}
		return string(out)
	}
	head := "wavelength\tA\tB\r\n"
	for name, text := range map[string]string{
		"comma": table(",", ".", "nm,A,B\r\n"), "semicolon": table(";", ".", ""), "semicolon, comma": table(";", ",", "nm;A;B\r\n"), "tab": table("\t", ".", head), "tab, comma": table("\t", ",", head),
		"blanks": table("   ", ".", "some words\r\n"), "blanks, comma": table(" ", ",", ""), "UTF-8 mark": "\ufeff" + table(",", ".", ""), "UTF-16": utf16LE(table(";", ",", "Wellenlänge;A;B\r\n")),
		"UTF-16 without a mark": utf16LE(table("\t", ",", head))[2:], "quoted": table(`,`, ".", "\"wavelength (nm)\",\"A\",\"B\"\n"), "trailing junk": table(",", ".", "") + "end of data\n1,2\n",
		"Latin letters": "Messger\xe4t \xb5W\r\n" + table(";", ",", ""), "old line ends": strings.ReplaceAll(table("\t", ".", ""), "\r\n", "\r"),
		"a count of rows":            "#,nm,A\n1,380.5,0.0380\n2,480.5,0.0480\n3,580.5,0.0580\n4,680.5,0.0680\n5,780.5,0.0780\n",
		"micrometres":                "wavelength (µm)\tA\n0.3805\t0.0380\n0.4805\t0.0480\n0.5805\t0.0580\n0.6805\t0.0680\n0.7805\t0.0780\n",
		"rows and columns exchanged": "nm\t380.5\t480.5\t580.5\t680.5\t780.5\nA\t0.0380\t0.0480\t0.0580\t0.0680\t0.0780\n",
	} {
		f, err := Read(strings.NewReader(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if len(f.Spectra) == 0 {
			t.Errorf("%s: %d logs, %d waves and no spectrum", name, len(f.Logs), len(f.Waves))
			continue
		}
		r := f.Spectra[0].Raw
		ok := len(r.Values) == 5
		for i := range r.Values {
			ok = ok && math.Abs(r.Wavelengths[i]-(380.5+100*float64(i))) < 1e-9 && math.Abs(r.Values[i]-(0.038+0.01*float64(i))) < 1e-12
		}
		if !ok {
			t.Errorf("%s: %v %v", name, r.Wavelengths, r.Values)
		}
	}
}

// Units as headers write them, and what is not to be mistaken for one.
func TestUnits(t *testing.T) {
	for head, want := range map[string]struct {
		q     spectrum.Quantity
		scale float64
	}{
		"Irradiance (W/m²/nm)": {spectrum.Irradiance, 1}, "Spectrum W/m2/nm": {spectrum.Irradiance, 1}, "mW m-2 nm-1": {spectrum.Irradiance, 1e-3}, "Y: uW/cm^2/nm": {spectrum.Irradiance, 1e-2},
		"µW·cm⁻²·nm⁻¹": {spectrum.Irradiance, 1e-2}, "radiance [W/(m²·sr·nm)]": {spectrum.Radiance, 1}, "W/sr/m^2/nm": {spectrum.Radiance, 1}, "mW/nm": {spectrum.Flux, 1e-3}, "W/(sr nm)": {spectrum.Intensity, 1},
		"exitance W/(m²·nm)": {spectrum.Exitance, 1}, "transmittance (%)": {spectrum.Transmittance, 0.01}, "Reflectance": {spectrum.Reflectance, 1}, "relative": {spectrum.Relative, 1}, "wavelength,signal": {spectrum.Relative, 1},
	} {
		u, _ := unitIn(head)
		if u.quantity != want.q || math.Abs(u.scale/want.scale-1) > 1e-12 {
			t.Errorf("%q is %v times %g, want %v times %g", head, u.quantity, u.scale, want.q, want.scale)
		}
	}
	// A mole of photons of 555 nm carries 0.11962656/555e-9 = 215.54 kJ.
	f := mustRead(t, "nm,umol/m2/s/nm\n555,1\n556,1\n557,1\n")
	if got := f.Spectra[0].Raw.Values[0]; math.Abs(got/0.21554335-1) > 1e-6 || f.Spectra[0].Raw.Quantity != spectrum.Irradiance {
		t.Errorf("1 µmol/(m² s nm) at 555 nm is %g W/(m² nm)", got)
	}
	// Counts with dark and a scale for each wavelength are absolute.
	f = mustRead(t, "nm\tcounts\tdark\tW/m2/nm per count\n400\t1100\t100\t1e-5\n401\t2100\t100\t1e-5\n402\t3100\t100\t1e-5\n")
	if r := f.Spectra[0]; r.Counts || r.Raw.Quantity != spectrum.Irradiance || math.Abs(r.Raw.Values[1]-0.02) > 1e-12 {
		t.Errorf("scaled counts: %+v", r)
	}
}

// Logs and waveforms, with their times.
func TestOverTime(t *testing.T) {
	f := mustRead(t, "Time,Illuminance (lux),Temp (°C)\n2026-01-12 07:00:00,512,20.1\n2026-01-12 07:01:00,510.5,20.3\n2026-01-12 07:02:00,,20.4\n")
	if len(f.Logs) != 2 || f.Logs[0].Unit != "lx" || f.Logs[0].Name != "Illuminance" || f.Logs[1].Unit != "°C" || !slices.Equal(f.Logs[0].Seconds, []float64{0, 60, 120}) ||
		!f.Logs[0].Gaps[2] || !f.Logs[0].Start.Equal(time.Date(2026, 1, 12, 7, 0, 0, 0, time.UTC)) {
		t.Errorf("%+v", f.Logs)
	}
	f = mustRead(t, "Datum;Uhrzeit;lux\n12.01.2026;23:59:30;0,5\n12.01.2026;23:59:50;0,6\n13.01.2026;00:00:10;0,7\n")
	if len(f.Logs) != 1 || !slices.Equal(f.Logs[0].Seconds, []float64{0, 20, 40}) || f.Logs[0].Values[2] != 0.7 {
		t.Errorf("%+v", f.Logs)
	}
	f = mustRead(t, "clock\tklx\n23:59:30\t5.1\n00:00:30\t5.2\n00:01:30\t5.3\n")
	if !slices.Equal(f.Logs[0].Seconds, []float64{0, 60, 120}) || f.Logs[0].Values[0] != 5100 || f.Logs[0].Unit != "lx" {
		t.Errorf("over midnight: %+v", f.Logs)
	}
	f = mustRead(t, "time (min),lx\n0,100\n1,99\n2,98\n")
	if !slices.Equal(f.Logs[0].Seconds, []float64{0, 60, 120}) {
		t.Errorf("minutes: %+v", f.Logs)
	}
	var b strings.Builder
	b.WriteString("time (ms),CH1 (V)\n")
	for i := range 100 {
		fmt.Fprintf(&b, "%g,%g\n", 0.05*float64(i), 1+0.5*math.Sin(float64(i)))
	}
	if f = mustRead(t, b.String()); len(f.Waves) != 1 || math.Abs(f.Waves[0].Interval-50e-6) > 1e-12 || f.Waves[0].Unit != "V" {
		t.Errorf("%+v", f)
	}
	// Numbers that run from 380 to 780 are times when the header says so.
	if f = mustRead(t, "time (s),lx\n380,1\n480,2\n780,3\n"); len(f.Logs) != 1 {
		t.Errorf("%+v", f)
	}
}

// What can be read in two ways, or not at all, is refused with its line.
func TestRefused(t *testing.T) {
	rows := func(n int, line string) string { return strings.Repeat(line+"\n", n) }
	for name, c := range map[string]struct{ text, want string }{
		"commas for both":          {"380,0,0123\n381,0,0125\n382,0,0130\n", "line 1: \"380,0,0123\" can be read in two ways"},
		"whole numbers, no header": {"380,12,3\n381,13,4\n", "can be read in two ways"},
		"empty":                    {" \n\n", "the file is empty"},
		"words":                    {"nothing here\nbut words\n", "no rows of numbers"},
		"a picture":                {"\x89PNG\r\n\x1a\n....", "a picture (PNG)"},
		"infinity":                 {"nm,W/m2/nm\n400,0.1\n401,inf\n402,0.1\n", "line 3: the reading is \"inf\""},
		"too large a number":       {"nm,W/m2/nm\n400,0.1\n401,1e999\n402,0.1\n", "line 3"},
		"all gaps":                 {"nm,A\n400,NaN\n401,NaN\n402,NaN\n", "no readings beside them"},
		"neither":                  {"x,y\n5000,1\n6000,2\n7000,3\n", "neither wavelengths"},
		"a hole in a wave":         {"time (ms),V\n" + rows(1, "0,1") + "0.1,1\n0.2,NaN\n0.3,1\n0.4,1\n0.5,1\n0.6,1\n0.7,1\n0.8,1\n", "the waveform has a hole"},
		"zero bytes":               {"380\x00,1\n", "zero bytes"},
		"other XML":                {"<?xml version='1.0'?>\n<spectrum/>", "with the root \"spectrum\""},
		"XML bomb":                 {"<?xml version=\"1.0\"?>\n<!DOCTYPE l [<!ENTITY a \"b\"><!ENTITY c \"&a;&a;&a;\">]>\n<IESTM2714>&c;</IESTM2714>", "declares types or entities"},
		"broken XML":               {"<IESTM2714><SpectralDistribution>\n<SpectralData wavelength=\"400\">1</Spectral", "line 2: the XML is broken"},
		"a word for a reading":     {"<IESTM2714>\n<SpectralData wavelength=\"400\">much</SpectralData></IESTM2714>", "line 2: the reading at 400 nm is \"much\""},
		"no wavelength":            {"<IESTM2714>\n<SpectralData>1</SpectralData></IESTM2714>", "line 2: SpectralData has no wavelength"},
		"an unknown quantity":      {"<IESTM2714>\n<SpectralQuantity>lux</SpectralQuantity></IESTM2714>", "SpectralQuantity is \"lux\""},
		"a colour chart":           {"CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID RGB_R RGB_G RGB_B\nEND_DATA_FORMAT\nBEGIN_DATA\nA 1 2 3\nEND_DATA\n", "none of the 4 fields is a wavelength"},
		"a set cut short":          {"CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID SPEC_400 SPEC_500\nEND_DATA_FORMAT\nBEGIN_DATA\nA 1\nEND_DATA\n", "has 2 of 3 fields"},
		"CGATS breaks off":         {"CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID SPEC_400 SPEC_500\nEND_DATA_FORMAT\nBEGIN_DATA\nA 1 2\n", "breaks off"},
		"a short sound":            {"RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00\x01\x00\x01\x00\x80\xbb\x00\x00\x00\x77\x01\x00\x02\x00\x10\x00data\x04\x00\x00\x00\x00\x00\x00\x00", "2 samples"},
	} {
		_, err := Read(strings.NewReader(c.text))
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want %q", name, err, c.want)
		}
	}
}

// endless gives the same text without end and counts what was taken.
type endless struct {
	text  string
	taken int
}

func (e *endless) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = e.text[(e.taken+i)%len(e.text)]
	}
	e.taken += len(p)
	return len(p), nil
}

// However large a file is, no more than the limit is taken of it.
func TestBounded(t *testing.T) {
	e := &endless{text: "400.123456,0.123456789\n"}
	if _, err := Read(e); !errors.Is(err, ErrTooLarge) {
		t.Errorf("without end: %v", err)
	}
	if e.taken > MaxBytes+64<<10 {
		t.Errorf("%d bytes were taken", e.taken)
	}
	if _, err := Read(io.LimitReader(&endless{text: "400,1\n"}, 6*10_000_000)); err == nil || !strings.Contains(err.Error(), "more than a meter writes") {
		t.Errorf("ten million rows: %v", err)
	}
	// A zip that is no spreadsheet, and one that unpacks to far more.
	pack := func(name string, n int64) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		w, err := z.Create(name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.CopyN(w, &endless{text: "<row/>"}, n); err != nil {
			t.Fatal(err)
		}
		if err := z.Close(); err != nil {
			t.Fatal(err)
		}
		return b.Bytes()
	}
	if _, err := Read(bytes.NewReader(pack("notes.txt", 100))); err == nil || !strings.Contains(err.Error(), "not a spreadsheet") {
		t.Errorf("a zip: %v", err)
	}
	if _, err := Read(bytes.NewReader(pack("xl/workbook.xml", 5*MaxBytes))); err == nil || !strings.Contains(err.Error(), "larger than") {
		t.Errorf("a zip bomb: %v", err)
	}
	if _, err := Read(strings.NewReader("PK\x03\x04 and nothing more")); err == nil || !strings.Contains(err.Error(), "broken spreadsheet") {
		t.Errorf("a broken zip: %v", err)
	}
}

// A spreadsheet reads like the text it would be saved as.
func TestSpreadsheet(t *testing.T) {
	x := excelize.NewFile()
	put := func(sheet, cell string, v any) {
		if err := x.SetCellValue(sheet, cell, v); err != nil {
			t.Fatal(err)
		}
	}
	put("Sheet1", "A1", "only words")
	if _, err := x.NewSheet("Data"); err != nil {
		t.Fatal(err)
	}
	put("Data", "A1", "wavelength (nm)")
	put("Data", "B1", "irradiance (W/m²/nm)")
	for i := range 81 {
		put("Data", fmt.Sprintf("A%d", i+2), 380+5*i)
		put("Data", fmt.Sprintf("B%d", i+2), 0.001*float64(i)+0.0005)
	}
	var b bytes.Buffer
	if err := x.Write(&b); err != nil {
		t.Fatal(err)
	}
	f, err := Read(&b)
	if err != nil {
		t.Fatal(err)
	}
	r := f.Spectra[0]
	if f.Format != "spreadsheet" || r.Raw.Quantity != spectrum.Irradiance || len(r.Raw.Values) != 81 || r.Raw.Values[80] != 0.0805 || r.Raw.Wavelengths[80] != 780 {
		t.Errorf("%s: %+v", f.Format, r)
	}
	if len(f.Findings) != 1 || f.Findings[0].Key != "meterfile.sheet" {
		t.Errorf("findings: %v", f.Findings)
	}
}

// Samples of every width come out as they went in.
func TestWAV(t *testing.T) {
	for _, c := range []struct {
		form, bits uint16
		put        func([]byte, float64) []byte
		tol        float64
	}{
		{1, 8, func(b []byte, v float64) []byte { return append(b, byte(math.Round(v*128)+128)) }, 1.0 / 256},
		{1, 16, func(b []byte, v float64) []byte {
			return binary.LittleEndian.AppendUint16(b, uint16(int16(math.Round(v*(1<<15)))))
		}, 1.0 / (1 << 16)},
		{1, 24, func(b []byte, v float64) []byte {
			n := int32(math.Round(v * (1 << 23)))
			return append(b, byte(n), byte(n>>8), byte(n>>16))
		}, 1.0 / (1 << 24)},
		{1, 32, func(b []byte, v float64) []byte {
			return binary.LittleEndian.AppendUint32(b, uint32(int32(math.Round(v*(1<<31)))))
		}, 1e-9},
		{3, 32, func(b []byte, v float64) []byte {
			return binary.LittleEndian.AppendUint32(b, math.Float32bits(float32(v)))
		}, 1e-7},
		{3, 64, func(b []byte, v float64) []byte { return binary.LittleEndian.AppendUint64(b, math.Float64bits(v)) }, 0},
	} {
		var samples []byte
		want := make([]float64, 100)
		for i := range want {
			want[i] = 0.9 * math.Sin(float64(i)/3)
			samples = c.put(samples, want[i])
			samples = c.put(samples, -want[i]/2)
		}
		f, err := Read(bytes.NewReader(wavOf(c.form, 2, c.bits, 48000, samples)))
		if err != nil {
			t.Errorf("%d bits: %v", c.bits, err)
			continue
		}
		if len(f.Waves) != 2 || f.Waves[0].Interval != 1.0/48000 || !f.Waves[0].Coupled {
			t.Errorf("%d bits: %d channels", c.bits, len(f.Waves))
			continue
		}
		for i, v := range f.Waves[0].Values {
			if math.Abs(v-want[i]) > c.tol || math.Abs(f.Waves[1].Values[i]+want[i]/2) > c.tol {
				t.Errorf("%d bits: sample %d is %g, want %g", c.bits, i, v, want[i])
				break
			}
		}
	}
}

func wavOf(form, channels, bits uint16, rate uint32, samples []byte) []byte {
	le := binary.LittleEndian
	b := []byte("RIFF\x00\x00\x00\x00WAVEfmt \x10\x00\x00\x00")
	b = le.AppendUint16(b, form)
	b = le.AppendUint16(b, channels)
	b = le.AppendUint32(b, rate)
	b = le.AppendUint32(b, rate*uint32(channels)*uint32(bits/8))
	b = le.AppendUint16(b, channels*bits/8)
	b = le.AppendUint16(b, bits)
	b = append(b, "data"...)
	b = le.AppendUint32(b, uint32(len(samples)))
	return append(b, samples...)
}

// What is written is read again to the last digit, in every format.
func TestRoundTrip(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 60).Draw(t, "n")
		nm := make([]float64, n)
		at := rapid.Float64Range(300, 420).Draw(t, "from")
		for i := range nm {
			nm[i] = at
			at += rapid.Float64Range(0.1, 10).Draw(t, "step")
		}
		// Wide enough to be told from times.
		nm[n-1] = max(nm[n-1], nm[0]+60)
		q := rapid.SampledFrom([]spectrum.Quantity{spectrum.Relative, spectrum.Flux, spectrum.Irradiance, spectrum.Radiance, spectrum.Intensity, spectrum.Exitance, spectrum.Reflectance, spectrum.Transmittance, spectrum.Absorptance}).Draw(t, "q")
		one := func(name string) Reading {
			r := Reading{Name: name, Raw: spectrum.Raw{Wavelengths: nm, Quantity: q}}
			for range n {
				r.Raw.Values = append(r.Raw.Values, rapid.Float64Range(-1e3, 1e6).Draw(t, "v"))
			}
			return r
		}
		same := func(what string, a, b Reading) {
			if !slices.Equal(a.Raw.Wavelengths, b.Raw.Wavelengths) || !slices.Equal(a.Raw.Values, b.Raw.Values) || a.Raw.Quantity != b.Raw.Quantity {
				t.Fatalf("%s: %v %v %v came back as %v %v %v", what, a.Raw.Quantity, a.Raw.Wavelengths, a.Raw.Values, b.Raw.Quantity, b.Raw.Wavelengths, b.Raw.Values)
			}
		}
		a, b := one("lamp A"), one("lamp; \"B\"")
		for what, write := range map[string]func(io.Writer) error{
			"CSV": func(w io.Writer) error { return WriteCSV(w, []Reading{a, b}) }, "CGATS": func(w io.Writer) error { return WriteCGATS(w, []Reading{a, b}, "test") },
			"JSON": func(w io.Writer) error { return WriteJSON(w, []Reading{a, b}) }, "TM-27": func(w io.Writer) error { return WriteSPDX(w, a, "test", time.Unix(0, 0)) },
		} {
			var out bytes.Buffer
			if err := write(&out); err != nil {
				t.Fatalf("%s: %v", what, err)
			}
			text := out.String()
			f, err := Read(&out)
			if err != nil {
				t.Fatalf("%s: %v\n%s", what, err, text)
			}
			if len(f.Spectra) == 0 {
				t.Fatalf("%s: no spectra in\n%s", what, text)
			}
			same(what, a, f.Spectra[0])
			if what != "TM-27" {
				if len(f.Spectra) != 2 {
					t.Fatalf("%s: %d spectra in\n%s", what, len(f.Spectra), text)
				}
				same(what, b, f.Spectra[1])
			}
		}
	})
}

// Nonsense is refused by the writers.
func TestWriteRefuses(t *testing.T) {
	bad := Reading{Name: "bad", Raw: spectrum.Raw{Wavelengths: []float64{400, 500}, Values: []float64{1, math.NaN()}}}
	if err := WriteJSON(io.Discard, []Reading{bad}); err == nil || !strings.Contains(err.Error(), "finite") {
		t.Errorf("NaN: %v", err)
	}
	if err := WriteCSV(io.Discard, nil); err == nil {
		t.Error("nothing was written without a word")
	}
}

// Files of others may write wavelengths in thousandths of a nanometre, a norm
// that divides the readings, the kind of sample in MEAS_TYPE, and words of a
// descriptor that name a light and a reflector in one breath.
func TestCGATSOfOthers(t *testing.T) {
	for _, c := range []struct {
		what, keys, fields, data string
		quantity                 spectrum.Quantity
		name                     string
		nm, v                    []float64
		unsaid                   bool
	}{
		{"picometres", "DISPLAY\t\"Lamp A\"\nDESCRIPTOR\t\"Spectral Power\"\n", "SPEC_380000\tSPEC_380500\tSPEC_381000", "1 2 3", spectrum.Relative, "Lamp A", []float64{380, 380.5, 381}, []float64{1, 2, 3}, false},
		{"norm", "DESCRIPTOR \"bench light, power\"\nKEYWORD \"SPECTRAL_NORM\"\nSPECTRAL_NORM \"50.0\"\n", "SPEC_380 SPEC_390", "25 50", spectrum.Relative, "bench light, power", []float64{380, 390}, []float64{0.5, 1}, false},
		{"filter", "DESCRIPTOR \"filter\"\nMEAS_TYPE \"TRANSMISSIVE\"\nSPECTRAL_NORM \"100\"\n", "SPEC_380 SPEC_390", "90 80", spectrum.Transmittance, "filter", []float64{380, 390}, []float64{0.9, 0.8}, false},
		{"paper", "MEAS_TYPE \"REFLECTIVE\"\n", "SPEC_380 SPEC_390", "0.9 0.8", spectrum.Reflectance, "set 1", []float64{380, 390}, []float64{0.9, 0.8}, false},
		{"light with reflector", "DESCRIPTOR \"spectral power of a booth with a reflective foam\"\n", "SPEC_380 SPEC_390", "9 8", spectrum.Relative, "spectral power of a booth with a reflective foam", []float64{380, 390}, []float64{9, 8}, false},
		{"unsaid", "", "SPEC_380 SPEC_390", "0.9 0.8", spectrum.Relative, "set 1", []float64{380, 390}, []float64{0.9, 0.8}, true},
	} {
		f, err := Read(strings.NewReader("SPECT\n" + c.keys + "BEGIN_DATA_FORMAT\n" + c.fields + "\nEND_DATA_FORMAT\nBEGIN_DATA\n" + c.data + "\nEND_DATA\n"))
		if err != nil {
			t.Errorf("%s: %v", c.what, err)
			continue
		}
		r := f.Spectra[0]
		if r.Raw.Quantity != c.quantity || r.Name != c.name || !slices.Equal(r.Raw.Wavelengths, c.nm) || !slices.Equal(r.Raw.Values, c.v) {
			t.Errorf("%s: %v %q %v %v", c.what, r.Raw.Quantity, r.Name, r.Raw.Wavelengths, r.Raw.Values)
		}
		if said := len(f.Findings) > 0; said != c.unsaid {
			t.Errorf("%s: findings %v", c.what, f.Findings)
		}
	}
}

// The day of a reading is that of the report; when the file was made says
// nothing of it.
func TestSPDXDate(t *testing.T) {
	doc := func(header string) string {
		return `<IESTM2714 xmlns="iestm2714" version="1.0"><Header>` + header + `<DocumentCreationDate>2011-11-21</DocumentCreationDate></Header><SpectralDistribution><SpectralQuantity>relative</SpectralQuantity><SpectralData wavelength="400">1</SpectralData><SpectralData wavelength="500">2</SpectralData></SpectralDistribution></IESTM2714>`
	}
	for header, want := range map[string]time.Time{"<ReportDate>2009-11-01</ReportDate>": time.Date(2009, 11, 1, 0, 0, 0, 0, time.UTC), "<ReportDate>N/A</ReportDate>": {}, "": {}} {
		f, err := Read(strings.NewReader(doc(header)))
		if err != nil {
			t.Fatal(err)
		}
		if !f.Spectra[0].At.Equal(want) {
			t.Errorf("%q: read %v, want %v", header, f.Spectra[0].At, want)
		}
	}
}
