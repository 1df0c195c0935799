package app

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

// ParseReading reads a measured temperature as "tray = 42 °C @ 30 min in 24 °C";
// without a time the lamp had settled, without "in" the air is that of the
// place.
func ParseReading(text string) (lamp.Reading, error) {
	var r lamp.Reading
	at, rest, ok := strings.Cut(text, "=")
	if !ok {
		return r, fmt.Errorf("measured temperature is %q; write place = temperature @ time, such as \"tray=42 °C@30 min\"", text)
	}
	r.At = strings.TrimSpace(at)
	var err error
	rest, air, told := strings.Cut(rest, " in ")
	if told {
		if r.Air, err = quantity.Parse(strings.TrimSpace(air), quantity.Temperature); err != nil {
			return r, fmt.Errorf("measured temperature %q: air: %w", text, err)
		}
	}
	temperature, after, timed := strings.Cut(rest, "@")
	if r.Temperature, err = quantity.Parse(strings.TrimSpace(temperature), quantity.Temperature); err != nil {
		return r, fmt.Errorf("measured temperature %q: %w", text, err)
	}
	if timed {
		if r.After, err = quantity.Parse(strings.TrimSpace(after), quantity.Time); err != nil {
			return r, fmt.Errorf("measured temperature %q: %w", text, err)
		}
	}
	return r, nil
}

// FormatReading writes a measured temperature as ParseReading reads it.
func FormatReading(r lamp.Reading) string {
	plain := func(x float64, unit string) string {
		return strconv.FormatFloat(math.Round(100*x)/100, 'f', -1, 64) + unit
	}
	s := r.At + "=" + plain(r.Temperature-273.15, " °C")
	if r.After > 0 {
		s += "@" + plain(r.After/60, " min")
	}
	if r.Air > 0 {
		s += " in " + plain(r.Air-273.15, " °C")
	}
	return s
}
