// Package assay takes every measure of a light at once: colour, the eye
// beyond vision, photobiological hazard and efficacy, with one list of
// declarations for tables, pages and files.
package assay

import (
	"fmt"

	"dawnsmith/light/colour"
	"dawnsmith/light/eye"
	"dawnsmith/light/hazard"
	"dawnsmith/light/spectrum"
	"dawnsmith/metric"
)

// Assay is every measure of one light. It holds no pointers: it copies by
// assignment and can be kept in long slices.
type Assay struct {
	Colour colour.Colour
	Eye    eye.Eye
	Hazard hazard.Hazard
	LER    float64 // luminous efficacy of radiation over 380–780 nm, lm/W
}

// Of takes every measure of a light of any scale at an illuminance at the eye
// of lux (lx), for an hour of a lamp in the centre of the field of view. With
// lux 0 the measures that need a level are left out of Each.
func Of(s *spectrum.Spectrum, lux float64) (Assay, error) {
	var a Assay
	err := Into(&a, s, lux, eye.DeskLamp)
	return a, err
}

// Into is Of into dst for any view, without allocation: the form for many
// spectra. dst is undefined on error.
func Into(dst *Assay, s *spectrum.Spectrum, lux float64, view eye.View) error {
	if err := colour.Of(&dst.Colour, s); err != nil {
		return err
	}
	if err := eye.Of(&dst.Eye, s, lux, view); err != nil {
		return err
	}
	if err := hazard.Of(&dst.Hazard, s); err != nil {
		return err
	}
	dst.LER = s.LER()
	return nil
}

// All takes every measure of each light in src into dst, which must be as
// long, at the same level and view, without allocation. It stops at the first
// light that cannot be measured and says which.
func All(dst []Assay, src []spectrum.Spectrum, lux float64, view eye.View) error {
	if len(dst) != len(src) {
		return fmt.Errorf("%d spectra for %d results: as many are needed", len(src), len(dst))
	}
	for i := range src {
		if err := Into(&dst[i], &src[i], lux, view); err != nil {
			return fmt.Errorf("spectrum %d: %w", i, err)
		}
	}
	return nil
}

var efficacy = metric.Metric{
	Key: "ler_lm_w", Name: "luminous efficacy of radiation", Symbol: "K", Unit: "lm/W", Better: metric.Up,
	Line: "lumens per watt of light in 380–780 nm; what the LED loses as heat is not in it", Source: "ISO 23539:2023; CIE e-ILV 17-21-090",
}

// Metrics declares every measure of an Assay, in the order of Each.
func Metrics() []metric.Metric {
	r := colour.Metrics()
	r = append(r, eye.Metrics()...)
	r = append(r, hazard.Metrics()...)
	return append(r, efficacy)
}

// Each calls put with the key and value of every measure the light has.
func (a *Assay) Each(put func(key string, value float64)) {
	a.Colour.Each(put)
	a.Eye.Each(put)
	a.Hazard.Each(put)
	put(efficacy.Key, a.LER)
}

// Values gives the measures by key; a measure the light does not have is not
// in the map.
func (a *Assay) Values() map[string]float64 {
	m := make(map[string]float64, 110)
	a.Each(func(key string, v float64) { m[key] = v })
	return m
}
