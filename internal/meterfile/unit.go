package meterfile

import (
	"strings"

	"dawnsmith/light/spectrum"
)

// unitOf is what a header says the readings are.
type unitOf struct {
	quantity spectrum.Quantity
	scale    float64 // to SI
	photons  bool    // mol instead of J
	counts   bool
	written  string
}

// perNanometre lists units by their letters alone: no blanks, dots, carets,
// brackets or slashes, "²" as 2, µ as u. Longer ones stand first.
var perNanometre = []struct {
	letters  string
	quantity spectrum.Quantity
	scale    float64
	photons  bool
	written  string
}{
	{"umolm2snm", spectrum.Irradiance, 1e-6, true, "µmol/(m²·s·nm)"}, {"umolm-2s-1nm-1", spectrum.Irradiance, 1e-6, true, "µmol/(m²·s·nm)"}, {"umolsm2nm", spectrum.Irradiance, 1e-6, true, "µmol/(m²·s·nm)"},
	{"mwsrm2nm", spectrum.Radiance, 1e-3, false, "mW/(sr·m²·nm)"}, {"mwm2srnm", spectrum.Radiance, 1e-3, false, "mW/(m²·sr·nm)"}, {"mwm-2sr-1nm-1", spectrum.Radiance, 1e-3, false, "mW/(m²·sr·nm)"},
	{"uwcm2srnm", spectrum.Radiance, 1e-2, false, "µW/(cm²·sr·nm)"}, {"uwsrcm2nm", spectrum.Radiance, 1e-2, false, "µW/(cm²·sr·nm)"},
	{"wsrm2nm", spectrum.Radiance, 1, false, "W/(sr·m²·nm)"}, {"wm2srnm", spectrum.Radiance, 1, false, "W/(m²·sr·nm)"}, {"wm-2sr-1nm-1", spectrum.Radiance, 1, false, "W/(m²·sr·nm)"}, {"wsr-1m-2nm-1", spectrum.Radiance, 1, false, "W/(sr·m²·nm)"},
	{"uwcm2nm", spectrum.Irradiance, 1e-2, false, "µW/(cm²·nm)"}, {"uwcm-2nm-1", spectrum.Irradiance, 1e-2, false, "µW/(cm²·nm)"},
	{"mwcm2nm", spectrum.Irradiance, 10, false, "mW/(cm²·nm)"}, {"wcm2nm", spectrum.Irradiance, 1e4, false, "W/(cm²·nm)"},
	{"uwm2nm", spectrum.Irradiance, 1e-6, false, "µW/(m²·nm)"}, {"mwm2nm", spectrum.Irradiance, 1e-3, false, "mW/(m²·nm)"}, {"mwm-2nm-1", spectrum.Irradiance, 1e-3, false, "mW/(m²·nm)"},
	{"wm2nm", spectrum.Irradiance, 1, false, "W/(m²·nm)"}, {"wm-2nm-1", spectrum.Irradiance, 1, false, "W/(m²·nm)"}, {"wm2um", spectrum.Irradiance, 1e-3, false, "W/(m²·µm)"},
	{"mwsrnm", spectrum.Intensity, 1e-3, false, "mW/(sr·nm)"}, {"wsrnm", spectrum.Intensity, 1, false, "W/(sr·nm)"},
	{"uwnm", spectrum.Flux, 1e-6, false, "µW/nm"}, {"mwnm", spectrum.Flux, 1e-3, false, "mW/nm"}, {"wnm", spectrum.Flux, 1, false, "W/nm"}, {"wnm-1", spectrum.Flux, 1, false, "W/nm"},
}

// letters brings a unit to the form that perNanometre has; begins tells which of
// its bytes begin a word.
func letters(s string) (l string, begins []bool) {
	var b strings.Builder
	word := false
	put := func(r rune) {
		n := b.Len()
		b.WriteRune(r)
		for range b.Len() - n {
			begins = append(begins, !word)
			word = true
		}
	}
	for _, r := range strings.ToLower(s) {
		switch r {
		case '²':
			put('2')
		case '⁻', '−':
			put('-')
		case '¹':
			put('1')
		case 'µ', 'μ':
			put('u')
		case ' ', '.', '·', '*', '^', '/', '(', ')', '[', ']', '{', '}', '_', '\u00a0', '"', '×', '⋅', ',', ':', '=':
			word = false
		default:
			put(r)
		}
	}
	return b.String(), begins
}

// unitIn looks for a unit, or a word that stands for one, in a header text.
func unitIn(text string) (unitOf, bool) {
	low := strings.ToLower(text)
	for _, line := range strings.FieldsFunc(text, func(r rune) bool { return r == '\n' || r == ';' || r == '\t' }) {
		l, begins := letters(line)
		for _, u := range perNanometre {
			if stands(l, begins, u.letters) {
				q := u.quantity
				if q == spectrum.Irradiance && (strings.Contains(low, "exitance") || strings.Contains(low, "emittance")) {
					q = spectrum.Exitance
				}
				return unitOf{quantity: q, scale: u.scale, photons: u.photons, written: u.written}, true
			}
		}
	}
	percent := 1.0
	if strings.Contains(text, "%") {
		percent = 0.01
	}
	for _, m := range []struct {
		word     string
		quantity spectrum.Quantity
	}{{"transmittance", spectrum.Transmittance}, {"transmission", spectrum.Transmittance}, {"reflectance", spectrum.Reflectance}, {"reflectivity", spectrum.Reflectance}, {"absorptance", spectrum.Absorptance}} {
		if strings.Contains(low, m.word) {
			w := ""
			if percent < 1 {
				w = "%"
			}
			return unitOf{quantity: m.quantity, scale: percent, written: w}, true
		}
	}
	if strings.Contains(low, "relative") || strings.Contains(low, "normali") {
		return unitOf{scale: 1}, true
	}
	if strings.Contains(low, "counts") {
		return unitOf{scale: 1, counts: true}, true
	}
	return unitOf{scale: 1}, false
}

// stands tells that a unit stands in letters, from the beginning of a word and
// not as a part of a longer unit.
func stands(l string, begins []bool, unit string) bool {
	for at := 0; ; at++ {
		i := strings.Index(l[at:], unit)
		if i < 0 {
			return false
		}
		at += i
		end := at + len(unit)
		if begins[at] && (end == len(l) || begins[end] || l[end] == '-' || l[end] < '0' || l[end] > '9' && l[end] < 'a') {
			return true
		}
	}
}
