package meterfile

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"time"

	"dawnsmith/finding"
	"dawnsmith/light/spectrum"
)

// tm27Root is the root element of ANSI/IES TM-27-14.
const tm27Root = "IESTM2714"

// tm27Quantities are the words of SpectralQuantity and what they are in SI.
var tm27Quantities = map[string]unitOf{
	"flux": {quantity: spectrum.Flux, scale: 1, written: "W/nm"}, "absorptance": {quantity: spectrum.Absorptance, scale: 1}, "transmittance": {quantity: spectrum.Transmittance, scale: 1},
	"reflectance": {quantity: spectrum.Reflectance, scale: 1}, "intensity": {quantity: spectrum.Intensity, scale: 1, written: "W/(sr·nm)"}, "irradiance": {quantity: spectrum.Irradiance, scale: 1, written: "W/(m²·nm)"},
	"radiance": {quantity: spectrum.Radiance, scale: 1, written: "W/(m²·sr·nm)"}, "exitance": {quantity: spectrum.Exitance, scale: 1, written: "W/(m²·nm)"},
	"relative": {scale: 1}, "other": {scale: 1}, "r-factor": {scale: 1}, "t-factor": {scale: 1},
}

// readSPDX reads an IES TM-27 document.
//
// Source: ANSI/IES TM-27-14; namespaces differ in the wild and are not looked
// at, and a word for a bandwidth that is not known is taken as unknown.
func readSPDX(text string) (*File, error) {
	f := &File{Format: "IES TM-27"}
	// The declaration says nothing more: the text is decoded already.
	text = strings.TrimLeft(text, " \t\r\n\ufeff")
	skipped := 0
	if strings.HasPrefix(text, "<?xml") {
		if i := strings.Index(text, "?>"); i >= 0 {
			skipped = strings.Count(text[:i+2], "\n")
			text = text[i+2:]
		}
	}
	d := xml.NewDecoder(strings.NewReader(text))
	d.CharsetReader = func(_ string, r io.Reader) (io.Reader, error) { return r, nil }
	line := func() int { l, _ := d.InputPos(); return l + skipped }
	var r Reading
	unit, found := unitOf{scale: 1}, false
	var path []string
	var words strings.Builder
	nm := math.NaN()
	rows := 0
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			return nil, atLine(line(), "the XML is broken: %v", plainXML(err))
		}
		switch t := tok.(type) {
		case xml.Directive:
			return nil, atLine(line(), "the document declares types or entities; a spectrum needs none, so it is refused")
		case xml.StartElement:
			if len(path) == 0 {
				if t.Name.Local != tm27Root {
					return nil, atLine(line(), "this is XML with the root %q; a spectrum of IES TM-27-14 has the root %s", t.Name.Local, tm27Root)
				}
				found = true
			}
			if len(path) > 32 {
				return nil, atLine(line(), "elements are nested more than 32 deep")
			}
			path = append(path, t.Name.Local)
			words.Reset()
			if t.Name.Local == "SpectralData" {
				nm = math.NaN()
				for _, a := range t.Attr {
					if a.Name.Local != "wavelength" {
						continue
					}
					if nm, err = strconv.ParseFloat(strings.TrimSpace(a.Value), 64); err != nil || !(nm > 0 && nm < 1e5) {
						return nil, atLine(line(), "wavelength is %q; allowed is a number of nm above 0", short(a.Value))
					}
				}
				if math.IsNaN(nm) {
					return nil, atLine(line(), "SpectralData has no wavelength")
				}
			}
		case xml.CharData:
			if words.Len()+len(t) > 1<<20 {
				return nil, atLine(line(), "an element holds more than a megabyte of text")
			}
			words.Write(t)
		case xml.EndElement:
			if len(path) == 0 {
				break
			}
			value := strings.TrimSpace(words.String())
			words.Reset()
			switch path[len(path)-1] {
			case "SpectralData":
				if rows++; rows > maxRows {
					return nil, atLine(line(), "more than %d readings, more than a meter writes", maxRows)
				}
				v, k := number(value, false)
				switch k {
				case isNumber:
					r.Raw.Values, r.Raw.Gaps = append(r.Raw.Values, v), append(r.Raw.Gaps, false)
				case isGap, isEmpty:
					r.Raw.Values, r.Raw.Gaps = append(r.Raw.Values, 0), append(r.Raw.Gaps, true)
				default:
					return nil, atLine(line(), "the reading at %g nm is %q; a finite number is needed", nm, short(value))
				}
				r.Raw.Wavelengths = append(r.Raw.Wavelengths, nm)
			case "SpectralQuantity":
				u, ok := tm27Quantities[strings.ToLower(value)]
				if !ok {
					return nil, atLine(line(), "SpectralQuantity is %q; allowed are flux, absorptance, transmittance, reflectance, intensity, irradiance, radiance, exitance, R-Factor, T-Factor, relative, other", short(value))
				}
				unit = u
			case "BandwidthFWHM":
				if v, k := number(value, false); k == isNumber && v > 0 && v < 100 {
					r.Raw.Bandwidth = v
				} else if value != "" {
					r.Findings = append(r.Findings, note(finding.Note, "bandwidth", fmt.Sprintf("the bandwidth of the instrument is given as %q: unknown", short(value)), "", "state the full width at half maximum in nm"))
				}
			case "Description":
				if value != "" {
					r.Name = short(value)
				}
			case "ReportDate": // DocumentCreationDate is when the file was written
				if t, _, ok := stamp(value); ok && t.Year() > 0 {
					r.At = t
				}
			}
			path = path[:len(path)-1]
		}
	}
	if !found {
		return nil, &Error{0, errors.New("this is XML without an element")}
	}
	if len(r.Raw.Values) < 2 {
		return nil, &Error{0, errors.New("the document holds no SpectralData")}
	}
	any := false
	for _, g := range r.Raw.Gaps {
		any = any || g
	}
	if !any {
		r.Raw.Gaps = nil
	}
	r.take(unit)
	f.Spectra = append(f.Spectra, r)
	return f, nil
}

// plainXML takes the decoder's own words off an error.
func plainXML(err error) string {
	s := err.Error()
	if _, after, ok := strings.Cut(s, ": "); ok && strings.HasPrefix(s, "XML syntax error") {
		return after
	}
	return s
}

// WriteSPDX writes one spectrum as an IES TM-27-14 document, every digit kept.
// Gaps are left out. maker names the program, now is written as the date.
func WriteSPDX(w io.Writer, r Reading, maker string, now time.Time) error {
	if err := writable(r); err != nil {
		return err
	}
	word := r.Raw.Quantity.String()
	var b strings.Builder
	b.WriteString(xml.Header)
	fmt.Fprintf(&b, "<%s xmlns=\"http://www.ies.org/iestm2714\" version=\"1.0\">\n  <Header>\n", tm27Root)
	el := func(in, name, value string) {
		var e strings.Builder
		_ = xml.EscapeText(&e, []byte(value))
		fmt.Fprintf(&b, "%s<%s>%s</%s>\n", in, name, e.String(), name)
	}
	el("    ", "Description", firstOf(r.Name, "spectrum"))
	el("    ", "DocumentCreator", maker)
	if !r.At.IsZero() {
		el("    ", "ReportDate", r.At.Format(time.RFC3339Nano))
	}
	el("    ", "DocumentCreationDate", now.Format(time.RFC3339))
	b.WriteString("  </Header>\n  <SpectralDistribution>\n")
	el("    ", "SpectralQuantity", word)
	if r.Raw.Bandwidth > 0 {
		el("    ", "BandwidthFWHM", digits(r.Raw.Bandwidth))
		el("    ", "BandwidthCorrected", "false")
	}
	for i, nm := range r.Raw.Wavelengths {
		if r.Raw.Gaps != nil && r.Raw.Gaps[i] {
			continue
		}
		fmt.Fprintf(&b, "    <SpectralData wavelength=\"%s\">%s</SpectralData>\n", digits(nm), digits(r.Raw.Values[i]))
	}
	fmt.Fprintf(&b, "  </SpectralDistribution>\n</%s>\n", tm27Root)
	_, err := io.WriteString(w, b.String())
	return err
}

// digits writes every digit of a number.
func digits(x float64) string { return strconv.FormatFloat(x, 'g', -1, 64) }

func firstOf(a, b string) string {
	if strings.TrimSpace(a) != "" {
		return a
	}
	return b
}

// writable refuses what no format can hold.
func writable(r Reading) error {
	if len(r.Raw.Wavelengths) != len(r.Raw.Values) || r.Raw.Gaps != nil && len(r.Raw.Gaps) != len(r.Raw.Values) {
		return fmt.Errorf("spectrum %q has %d wavelengths and %d readings", r.Name, len(r.Raw.Wavelengths), len(r.Raw.Values))
	}
	for i, v := range r.Raw.Values {
		if nm := r.Raw.Wavelengths[i]; math.IsNaN(v) || math.IsInf(v, 0) || !(nm > 0 && nm < 1e5) {
			return fmt.Errorf("spectrum %q has %v at %v nm; allowed are finite readings at wavelengths above 0 and below 100 000 nm, usually 380 to 780 nm", r.Name, v, nm)
		}
	}
	return nil
}
