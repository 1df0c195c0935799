package app

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"

	"github.com/pelletier/go-toml/v2"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// Setup is what a meter's file does not say: which lamp was read, with what,
// and how it stood. It is a TOML document ("setup.toml" beside the readings);
// its numbers are text with a unit.
type Setup struct {
	Lamp  SetupLamp  `toml:"lamp"`
	Meter SetupMeter `toml:"meter"`
	// Spectrometer read the spectra, where that was another instrument.
	Spectrometer *SetupMeter     `toml:"spectrometer"`
	Conditions   SetupConditions `toml:"conditions"`
	// Claim is what the seller says, checked against the readings.
	Claim *SetupClaim `toml:"claim"`
	// Readings are numbers typed in: keys of measures with their value in the
	// measure's unit, "5200" or "5200 ± 40" (standard uncertainty).
	Readings map[string]string `toml:"readings"`
	// Distances are lux at distances: "300 mm" = "8200".
	Distances map[string]string `toml:"distances"`
}

// SetupLamp says which lamp it is.
type SetupLamp struct {
	ID          string `toml:"id"`
	Name        string `toml:"name"`
	Origin      string `toml:"origin"` // own, bought, lent or check
	Serial      string `toml:"serial"`
	Maker       string `toml:"maker"`
	Price       string `toml:"price"`       // "149.00 EUR"
	PriceBasis  string `toml:"price_basis"` // year, tax, tools
	Interest    string `toml:"interest"`    // who bought, built or lent it
	Document    string `toml:"document"`    // its *.lamp.toml, beside the set-up
	UseDistance string `toml:"use_distance"`
	Daily       string `toml:"daily"` // how long it burns a day, "2 h"
}

// SetupMeter is the instrument; what is left out takes the default of its
// kind, and the record says so.
type SetupMeter struct {
	ID          string `toml:"id"`
	Name        string `toml:"name"`
	Kind        string `toml:"kind"`
	Calibrated  string `toml:"calibrated"` // 2026-03-02
	Certificate string `toml:"certificate"`
	Calibration string `toml:"calibration"` // expanded uncertainty (k = 2), "4 %"
	Mismatch    string `toml:"f1"`
	Cosine      string `toml:"f2"`
	Resolution  string `toml:"resolution"`       // last digit, in the reading's unit
	High        string `toml:"high"`             // end of the range, in the reading's unit
	Wavelength  string `toml:"wavelength_error"` // half width of the wavelength scale's error, "0.5 nm"
	Stray       string `toml:"stray_light"`      // of the greatest reading, "0.1 %"
}

// SetupConditions is how lamp and meter stood.
type SetupConditions struct {
	Distance      string `toml:"distance"`
	DistanceError string `toml:"distance_error"` // half width, "2 mm"
	From          string `toml:"from"`
	Facing        string `toml:"facing"`
	Angle         string `toml:"angle"`
	Room          string `toml:"room"`
	WarmUp        string `toml:"warm_up"`
	// LogsFromStart says that logs begin at switching on, whatever WarmUp says
	// of the other readings.
	LogsFromStart    bool     `toml:"logs_from_start"`
	Air              string   `toml:"air"`
	Supply           string   `toml:"supply"`
	SupplyVoltage    string   `toml:"supply_voltage"`
	Setting          string   `toml:"setting"`
	Date             string   `toml:"date"`
	FaceLength       string   `toml:"face_length"`
	FaceWidth        string   `toml:"face_width"`
	Light            string   `toml:"light"`
	Photos           []string `toml:"photos"`
	BackgroundBefore string   `toml:"background_before"` // "12 lx", lamp covered
	BackgroundAfter  string   `toml:"background_after"`
}

// SetupClaim is what a seller states.
type SetupClaim struct {
	Lux      string `toml:"lux"`
	Distance string `toml:"distance"`
	Lumens   string `toml:"lumens"`
	Watts    string `toml:"watts"`
	LEDWatts bool   `toml:"led_watts"`
	CCT      string `toml:"cct"`
	Ra       string `toml:"ra"`
}

// ParseSetup reads a set-up strictly: an unknown key is an error with its line.
func ParseSetup(data []byte, name string) (Setup, error) {
	var s Setup
	dec := toml.NewDecoder(bytes.NewReader(data))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&s); err != nil {
		var strict *toml.StrictMissingError
		var syntax *toml.DecodeError
		switch {
		case errors.As(err, &strict) && len(strict.Errors) > 0:
			row, _ := strict.Errors[0].Position()
			return s, fmt.Errorf("%s: line %d: unknown key %q; docs/logbook.md lists those of a set-up", name, row, strings.Join(strict.Errors[0].Key(), "."))
		case errors.As(err, &syntax):
			row, _ := syntax.Position()
			return s, fmt.Errorf("%s: line %d: %w", name, row, err)
		}
		return s, fmt.Errorf("%s: %w", name, err)
	}
	return s, nil
}

// Say puts one thing into a set-up: a key with its table, such as
// "conditions.distance", and the text that would stand in the document.
func (s *Setup) Say(key, text string) error {
	section, name, ok := strings.Cut(key, ".")
	if !ok || name == "" {
		return fmt.Errorf("key %q has no table; write it as in a set-up, such as lamp.id or conditions.distance", key)
	}
	val := strconv.Quote(text)
	switch {
	case name == "led_watts" || name == "logs_from_start":
		val = text
	case name == "photos":
		val = "[" + val + "]"
	}
	next := *s
	dec := toml.NewDecoder(strings.NewReader("[" + section + "]\n" + name + " = " + val + "\n"))
	dec.DisallowUnknownFields()
	if err := dec.Decode(&next); err != nil {
		var strict *toml.StrictMissingError
		if errors.As(err, &strict) {
			return fmt.Errorf("%q is no key of a set-up; docs/logbook.md lists them", key)
		}
		return err
	}
	*s = next
	return nil
}

// fields reads numbers one after the other and keeps the first error.
type fields struct{ err error }

func (f *fields) read(field, text string, dim quantity.Dimension) float64 {
	if text == "" || f.err != nil {
		return 0
	}
	x, err := quantity.Parse(text, dim)
	if err != nil {
		f.err = fmt.Errorf("%s: %w", field, err)
	}
	return x
}

func (f *fields) plain(field, text string) float64 {
	if text == "" || f.err != nil {
		return 0
	}
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || x < 0 {
		f.err = fmt.Errorf("%s is %q; allowed is a plain number of 0 or more, in the reading's unit", field, text)
	}
	return x
}

// Instrument is the meter as bench/measure takes it.
func (m SetupMeter) Instrument() (measure.Instrument, error) {
	if m == (SetupMeter{}) {
		return measure.Instrument{ID: "unnamed-lux-meter", Kind: measure.LuxMeter}, nil
	}
	var f fields
	i := measure.Instrument{ID: m.ID, Name: m.Name, Kind: measure.InstrumentKind(m.Kind),
		Calibration: measure.Calibration{Date: m.Calibrated, Certificate: m.Certificate, U: f.read("meter.calibration", m.Calibration, quantity.Ratio)},
		Mismatch:    f.read("meter.f1", m.Mismatch, quantity.Ratio), Cosine: f.read("meter.f2", m.Cosine, quantity.Ratio),
		Resolution: f.plain("meter.resolution", m.Resolution), High: f.plain("meter.high", m.High),
		WavelengthHalf: f.read("meter.wavelength_error", m.Wavelength, quantity.Wavelength) * 1e9, Stray: f.read("meter.stray_light", m.Stray, quantity.Ratio)}
	if f.err != nil {
		return i, f.err
	}
	return i, i.Check()
}

// Conditions are the conditions as bench/measure takes them.
func (c SetupConditions) Conditions() (measure.Conditions, error) {
	var f fields
	out := measure.Conditions{
		Distance: f.read("conditions.distance", c.Distance, quantity.Length), DistanceHalf: f.read("conditions.distance_error", c.DistanceError, quantity.Length),
		From: measure.Plane(c.From), Facing: measure.Facing(c.Facing), Room: measure.Room(c.Room),
		Angle: f.read("conditions.angle", c.Angle, quantity.Angle), WarmUp: f.read("conditions.warm_up", c.WarmUp, quantity.Time),
		Ambient: f.read("conditions.air", c.Air, quantity.Temperature), Supply: c.Supply,
		SupplyVoltage: f.read("conditions.supply_voltage", c.SupplyVoltage, quantity.Voltage), Firmware: c.Setting, Date: c.Date,
		FaceLength: f.read("conditions.face_length", c.FaceLength, quantity.Length), FaceWidth: f.read("conditions.face_width", c.FaceWidth, quantity.Length),
		Light: c.Light, Photos: c.Photos,
	}
	if c.WarmUp == "" {
		out.WarmUp = -1
	}
	if f.err != nil {
		return out, f.err
	}
	return out, out.Check()
}

// background gives the readings with the lamp covered, lx; nil: none.
func (c SetupConditions) background() (before, after *float64, err error) {
	var f fields
	for _, b := range []struct {
		field, text string
		to          **float64
	}{{"conditions.background_before", c.BackgroundBefore, &before}, {"conditions.background_after", c.BackgroundAfter, &after}} {
		if b.text != "" {
			x := f.read(b.field, b.text, quantity.Illuminance)
			*b.to = &x
		}
	}
	return before, after, f.err
}

// Facts are what the logbook keeps of a lamp beside its readings.
type Facts struct {
	UseDistance float64        `json:"use_distance_m,omitempty"`
	FaceLength  float64        `json:"face_length_m,omitempty"`
	FaceWidth   float64        `json:"face_width_m,omitempty"`
	PriceBasis  string         `json:"price_basis,omitempty"`
	Interest    string         `json:"interest,omitempty"`
	Claim       *compare.Claim `json:"claim,omitempty"`
	// HoursPerDay is how long the lamp burns a day, h; 0: not known.
	HoursPerDay float64 `json:"hours_per_day,omitempty"`
}

func (s Setup) facts(c measure.Conditions) (Facts, error) {
	var f fields
	out := Facts{UseDistance: f.read("lamp.use_distance", s.Lamp.UseDistance, quantity.Length), FaceLength: c.FaceLength, FaceWidth: c.FaceWidth, PriceBasis: s.Lamp.PriceBasis, Interest: s.Lamp.Interest,
		HoursPerDay: f.read("lamp.daily", s.Lamp.Daily, quantity.Time) / 3600}
	if k := s.Claim; k != nil {
		out.Claim = &compare.Claim{Lux: f.read("claim.lux", k.Lux, quantity.Illuminance), Distance: f.read("claim.distance", k.Distance, quantity.Length),
			Lumens: f.read("claim.lumens", k.Lumens, quantity.Number), Watts: f.read("claim.watts", k.Watts, quantity.Power), LEDWatts: k.LEDWatts,
			CCT: f.read("claim.cct", k.CCT, quantity.ColourTemperature), Ra: f.plain("claim.ra", k.Ra), FaceLength: c.FaceLength, FaceWidth: c.FaceWidth}
	}
	return out, f.err
}

// parseMoney reads a price such as "149.00 EUR"; "" is none.
func parseMoney(text string) (part.Money, error) {
	var m part.Money
	if text == "" {
		return m, nil
	}
	if err := m.UnmarshalText([]byte(text)); err != nil {
		return m, fmt.Errorf("lamp.price: %w", err)
	}
	return m, nil
}
