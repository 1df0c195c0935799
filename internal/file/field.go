package file

import (
	"fmt"
	"reflect"
	"strings"

	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// words maps the dimension names of the dim tags.
var words = map[string]quantity.Dimension{
	"number":                quantity.Number,
	"length":                quantity.Length,
	"area":                  quantity.Area,
	"temperature":           quantity.Temperature,
	"temperature-rise":      quantity.TemperatureRise,
	"illuminance":           quantity.Illuminance,
	"luminance":             quantity.Luminance,
	"flux":                  quantity.LuminousFlux,
	"flux-per-length":       quantity.FluxPerLength,
	"efficacy":              quantity.Efficacy,
	"power":                 quantity.Power,
	"power-per-length":      quantity.PowerPerLength,
	"voltage":               quantity.Voltage,
	"current":               quantity.Current,
	"resistance":            quantity.Resistance,
	"resistance-per-length": quantity.ResistancePerLength,
	"per-length":            quantity.CountPerLength,
	"cross-section":         quantity.CrossSection,
	"frequency":             quantity.Frequency,
	"time":                  quantity.Time,
	"mass":                  quantity.Mass,
	"linear-density":        quantity.LinearDensity,
	"density":               quantity.Density,
	"conductivity":          quantity.Conductivity,
	"heat-capacity":         quantity.HeatCapacity,
	"thermal-resistance":    quantity.ThermalResistance,
	"angle":                 quantity.Angle,
	"colour-temperature":    quantity.ColourTemperature,
	"wavelength":            quantity.Wavelength,
	"ratio":                 quantity.Ratio,
	"torque":                quantity.Torque,
	"voltage-per-kelvin":    quantity.VoltagePerKelvin,
	"per-kelvin":            quantity.PerKelvin,
	"irradiance":            quantity.Irradiance,
	"radiance":              quantity.Radiance,
}

// Types that have a form of their own in a document.
var (
	valueType = reflect.TypeFor[quantity.Value]()
	moneyType = reflect.TypeFor[part.Money]()
	curveType = reflect.TypeFor[part.Curve]()
	driveType = reflect.TypeFor[map[string]float64]()
	listType  = reflect.TypeFor[[]float64]() // of quantities
)

// field is one key that a table may have.
type field struct {
	key      string
	required bool
	dim      quantity.Dimension // Number where no tag says otherwise
	hasDim   bool
	u        string // default uncertainty, "" for none
	index    []int
	typ      reflect.Type
}

// fields reads the tags of a struct, embedded structs inlined. A tag that
// makes no sense is a programmer's mistake and panics.
func fields(t reflect.Type) []field {
	var out []field
	for i := range t.NumField() {
		sf := t.Field(i)
		tag, ok := sf.Tag.Lookup("doc")
		if !ok {
			if sf.Anonymous && sf.Type.Kind() == reflect.Struct {
				for _, f := range fields(sf.Type) {
					f.index = append([]int{i}, f.index...)
					out = append(out, f)
				}
			}
			continue
		}
		f := field{index: []int{i}, typ: sf.Type, u: sf.Tag.Get("u")}
		var opt string
		f.key, opt, _ = strings.Cut(tag, ",")
		f.required = opt == "required"
		if dim, ok := sf.Tag.Lookup("dim"); ok {
			if f.dim, f.hasDim = words[dim]; !f.hasDim {
				panic(fmt.Sprintf("file: %s.%s has the unknown dimension %q", t, sf.Name, dim))
			}
		}
		if f.key == "" || opt != "" && opt != "required" {
			panic(fmt.Sprintf("file: %s.%s has the tag %q", t, sf.Name, tag))
		}
		out = append(out, f)
	}
	return out
}

// match finds the field of a key: the key itself, or the key with a unit
// behind it ("depth_mm"), whose suffix is returned.
func match(fs []field, key string) (f field, suffix string, ok bool) {
	for _, f := range fs {
		if f.key == key {
			return f, "", true
		}
	}
	for _, f := range fs {
		rest, ok := strings.CutPrefix(key, f.key+"_")
		if !ok || !f.hasDim {
			continue
		}
		for _, s := range f.dim.KeySuffixes() {
			if s == rest {
				return f, s, true
			}
		}
	}
	return field{}, "", false
}

// bare reports whether the field's number may stand without a unit.
func (f field) bare() bool { return f.dim == quantity.Number || f.dim == quantity.Ratio }

// plural reports whether the field is a list of tables.
func (f field) plural() bool {
	return f.typ.Kind() == reflect.Slice && f.typ.Elem().Kind() == reflect.Struct
}

// quantityText is an example of a quantity as text.
func quantityText(d quantity.Dimension, number string) string {
	if d == quantity.CrossSection && number == "" {
		return "0.5 mm²"
	}
	if number == "" {
		number = "12"
	}
	if d == quantity.Angle {
		return number + "°"
	}
	return number + " " + d.Unit()
}

// example shows how the field is written.
func (f field) example() string {
	switch {
	case f.typ == moneyType:
		return f.key + ` = "14.90 EUR"`
	case f.typ == curveType:
		return f.key + " = [[450, 0.93], [555, 0.95]]"
	case f.typ == driveType:
		return f.key + " = { white = 0.5 }"
	case f.typ == listType:
		return fmt.Sprintf("%s = [%q, %q]", f.key, quantityText(f.dim, "20"), quantityText(f.dim, "60"))
	case f.plural():
		return "[[" + f.key + "]]"
	case f.typ == valueType && f.bare(), f.typ.Kind() == reflect.Float64 && f.dim == quantity.Ratio:
		return f.key + " = 0.65"
	case f.typ == valueType, f.typ.Kind() == reflect.Float64 && f.hasDim && !f.bare():
		return f.key + ` = "` + quantityText(f.dim, "") + `"`
	case f.typ.Kind() == reflect.Float64, f.typ.Kind() == reflect.Int:
		return f.key + " = 1"
	case f.typ.Kind() == reflect.Bool:
		return f.key + " = true"
	case f.typ.Kind() == reflect.Struct:
		return "[" + f.key + "]"
	}
	return f.key + ` = "…"`
}
