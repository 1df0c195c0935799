package quantity

import (
	"math"
	"strings"
)

// Dimension is a kind of quantity with the units in which people write it.
// The zero Dimension is Number: a plain number without unit.
type Dimension int

// The dimensions that documents and pages use. The comment gives the SI unit
// in which Parse answers.
const (
	Number              Dimension = iota // 1
	Length                               // m
	Area                                 // m²
	Temperature                          // K, from °C, °F or K
	TemperatureRise                      // K
	Illuminance                          // lx
	Luminance                            // cd/m²
	LuminousFlux                         // lm
	FluxPerLength                        // lm/m
	Efficacy                             // lm/W
	Power                                // W
	PowerPerLength                       // W/m
	Voltage                              // V
	Current                              // A
	Resistance                           // Ω
	ResistancePerLength                  // Ω/m
	CountPerLength                       // 1/m
	CrossSection                         // m², from mm² or AWG
	Frequency                            // Hz
	Time                                 // s
	Mass                                 // kg
	LinearDensity                        // kg/m
	Density                              // kg/m³
	Conductivity                         // W/(m K), heat
	HeatCapacity                         // J/(kg K)
	ThermalResistance                    // K/W
	Angle                                // rad
	ColourTemperature                    // K
	Wavelength                           // m
	Ratio                                // 1, from a number or %
	Torque                               // N m
	VoltagePerKelvin                     // V/K
	PerKelvin                            // 1/K
	Irradiance                           // W/m²
	Radiance                             // W/(m² sr)
	endOfDimensions
)

// unit is one way of writing a quantity: SI = number*factor + offset.
type unit struct {
	name   string // as shown
	factor float64
	offset float64
	also   []string // other spellings accepted
	key    string   // suffix of a document key, "" when not usable there
}

type dimension struct {
	name  string
	units []unit // first is the one shown
}

func one(name string, key string, also ...string) unit {
	return unit{name: name, factor: 1, also: also, key: key}
}

func scaled(name string, factor float64, key string, also ...string) unit {
	return unit{name: name, factor: factor, also: also, key: key}
}

var dimensions = [endOfDimensions]dimension{
	Number: {"number", []unit{one("", "")}},
	Length: {"length", []unit{scaled("mm", 1e-3, "mm"), scaled("cm", 1e-2, "cm"), one("m", "m"),
		scaled("in", 0.0254, "in", "\"", "inch", "inches", "″"), scaled("ft", 0.3048, "ft", "'", "foot", "feet", "′"), scaled("µm", 1e-6, "um", "um", "μm")}},
	Area: {"area", []unit{scaled("mm²", 1e-6, "mm2", "mm2"), scaled("cm²", 1e-4, "cm2", "cm2"), one("m²", "m2", "m2"), scaled("in²", 0.0254*0.0254, "in2", "in2")}},
	Temperature: {"temperature", []unit{{name: "°C", factor: 1, offset: 273.15, also: []string{"C", "degC"}, key: "c"},
		{name: "°F", factor: 5.0 / 9, offset: 273.15 - 32*5.0/9, also: []string{"F", "degF"}, key: "f"}, one("K", "k")}},
	TemperatureRise: {"temperature difference", []unit{one("K", "k", "°C", "C"), scaled("°F", 5.0/9, "f", "F")}},
	Illuminance:     {"illuminance", []unit{one("lx", "lx", "lux"), scaled("klx", 1e3, "klx"), scaled("fc", 10.76391041671, "fc")}},
	Luminance:       {"luminance", []unit{one("cd/m²", "cd_m2", "cd/m2", "nit", "nits"), scaled("kcd/m²", 1e3, "kcd_m2", "kcd/m2")}},
	LuminousFlux:    {"luminous flux", []unit{one("lm", "lm"), scaled("klm", 1e3, "klm")}},
	FluxPerLength:   {"luminous flux per length", []unit{one("lm/m", "lm_m"), scaled("lm/ft", 1/0.3048, "lm_ft")}},
	Efficacy:        {"luminous efficacy", []unit{one("lm/W", "lm_w")}},
	Power:           {"power", []unit{one("W", "w"), scaled("mW", 1e-3, "mw"), scaled("kW", 1e3, "kw")}},
	PowerPerLength:  {"power per length", []unit{one("W/m", "w_m"), scaled("W/ft", 1/0.3048, "w_ft")}},
	Voltage:         {"voltage", []unit{one("V", "v"), scaled("mV", 1e-3, "mv")}},
	Current:         {"current", []unit{one("A", "a"), scaled("mA", 1e-3, "ma")}},
	Resistance:      {"resistance", []unit{one("Ω", "ohm", "ohm", "Ohm", "ohms"), scaled("mΩ", 1e-3, "mohm", "mohm")}},
	ResistancePerLength: {"resistance per length", []unit{one("Ω/m", "ohm_m", "ohm/m"), scaled("mΩ/m", 1e-3, "mohm_m", "mohm/m"),
		scaled("Ω/km", 1e-3, "ohm_km", "ohm/km")}},
	CountPerLength:    {"count per length", []unit{one("/m", "per_m", "1/m", "LEDs/m"), scaled("/ft", 1/0.3048, "per_ft")}},
	CrossSection:      {"wire cross-section", []unit{scaled("mm²", 1e-6, "mm2", "mm2")}}, // AWG is read in Parse
	Frequency:         {"frequency", []unit{one("Hz", "hz"), scaled("kHz", 1e3, "khz")}},
	Time:              {"time", []unit{scaled("min", 60, "min", "minutes"), one("s", "s"), scaled("h", 3600, "h", "hours")}},
	Mass:              {"mass", []unit{one("kg", "kg"), scaled("g", 1e-3, "g"), scaled("lb", 0.45359237, "lb"), scaled("oz", 0.028349523125, "oz")}},
	LinearDensity:     {"mass per length", []unit{scaled("g/m", 1e-3, "g_m"), one("kg/m", "kg_m")}},
	Density:           {"density", []unit{one("kg/m³", "kg_m3", "kg/m3"), scaled("g/cm³", 1e3, "g_cm3", "g/cm3")}},
	Conductivity:      {"thermal conductivity", []unit{one("W/(m K)", "w_mk", "W/mK", "W/m/K", "W/(m·K)")}},
	HeatCapacity:      {"specific heat", []unit{one("J/(kg K)", "j_kgk", "J/kgK", "J/kg/K", "J/(kg·K)")}},
	ThermalResistance: {"thermal resistance", []unit{one("K/W", "k_w", "°C/W")}},
	Angle:             {"angle", []unit{scaled("°", math.Pi/180, "deg", "deg", "degrees"), one("rad", "rad")}},
	ColourTemperature: {"colour temperature", []unit{one("K", "k")}},
	Wavelength:        {"wavelength", []unit{scaled("nm", 1e-9, "nm"), scaled("µm", 1e-6, "um", "um", "μm")}},
	Ratio:             {"ratio", []unit{one("", ""), scaled("%", 1e-2, "percent", "percent")}},
	Torque:            {"torque", []unit{one("N m", "nm_torque", "Nm", "N·m")}},
	VoltagePerKelvin:  {"voltage per kelvin", []unit{scaled("mV/K", 1e-3, "mv_k"), one("V/K", "v_k")}},
	PerKelvin:         {"share per kelvin", []unit{scaled("%/K", 1e-2, "percent_k"), one("/K", "per_k", "1/K")}},
	Irradiance:        {"irradiance", []unit{one("W/m²", "w_m2", "W/m2"), scaled("mW/m²", 1e-3, "mw_m2", "mW/m2")}},
	Radiance:          {"radiance", []unit{one("W/(m² sr)", "w_m2sr", "W/m2/sr", "W/m²/sr")}},
}

// String names the dimension in words.
func (d Dimension) String() string {
	if d < 0 || d >= endOfDimensions {
		return "unknown dimension"
	}
	return dimensions[d].name
}

// Unit is the unit in which the dimension is shown when nothing else is asked.
func (d Dimension) Unit() string { return dimensions[d].units[0].name }

// Units lists the accepted units, the one shown first.
func (d Dimension) Units() []string {
	var names []string
	for _, u := range dimensions[d].units {
		if u.name != "" {
			names = append(names, u.name)
		}
	}
	if d == CrossSection {
		names = append(names, "AWG")
	}
	return names
}

// KeySuffixes lists the endings by which a document key may carry the unit
// ("mm" in depth_mm), in the order of Units.
func (d Dimension) KeySuffixes() []string {
	var s []string
	for _, u := range dimensions[d].units {
		if u.key != "" {
			s = append(s, u.key)
		}
	}
	return s
}

// FromKeySuffix converts a plain number whose key carried the unit suffix;
// false when the dimension knows no such suffix.
func (d Dimension) FromKeySuffix(x float64, suffix string) (float64, bool) {
	for _, u := range dimensions[d].units {
		if u.key != "" && u.key == suffix {
			return x*u.factor + u.offset, true
		}
	}
	return 0, false
}

func (d Dimension) find(name string) (unit, bool) {
	for _, u := range dimensions[d].units {
		if u.name == name {
			return u, true
		}
		for _, a := range u.also {
			if a == name {
				return u, true
			}
		}
	}
	// Case slips such as "MM" or "Lx" are forgiven where no unit of the same
	// dimension differs only by case.
	var hit unit
	n := 0
	for _, u := range dimensions[d].units {
		if strings.EqualFold(u.name, name) {
			hit = u
			n++
		}
	}
	return hit, n == 1
}

// In converts an SI number to the named unit of the dimension; false when
// the dimension has no such unit.
func (d Dimension) In(si float64, name string) (float64, bool) {
	u, ok := d.find(name)
	if !ok {
		return 0, false
	}
	return (si - u.offset) / u.factor, true
}
