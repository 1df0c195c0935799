package app

import (
	"fmt"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

// ParseReading reads a measured temperature as "tray = 42 °C @ 30 min"; without
// a time the lamp had settled.
func ParseReading(text string) (lamp.Reading, error) {
	var r lamp.Reading
	at, rest, ok := strings.Cut(text, "=")
	if !ok {
		return r, fmt.Errorf("measured temperature is %q; write place = temperature @ time, such as \"tray=42 °C@30 min\"", text)
	}
	r.At = strings.TrimSpace(at)
	temperature, after, timed := strings.Cut(rest, "@")
	var err error
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
