package assay

import (
	"dawnsmith/light/colour"
	"dawnsmith/light/spectrum"
	"dawnsmith/metric"
)

// Shape is what can be said of the curve itself.
type Shape struct {
	Peaks, Dips []spectrum.Feature
	Bands       []Band
	// Gap is the light within 470–490 nm per lux as a share of that of
	// daylight (a black body under 5000 K) of the same colour temperature: 1
	// is no gap. Where a blue-pumped LED has its dip, the melanopsin receptor
	// has its peak. 0 where the light has no colour temperature.
	Gap float64
}

// Band is a stretch of the spectrum and its part of the power in 380–780 nm.
type Band struct {
	Name   string
	Lo, Hi float64 // nm
	Share  float64 // 0 to 1
}

// bands are the stretches shown; names of colours as in common use, borders
// ours.
var bands = [...]Band{
	{Name: "violet", Lo: 380, Hi: 430},
	{Name: "blue", Lo: 430, Hi: 480},
	{Name: "cyan", Lo: 480, Hi: 510},
	{Name: "green", Lo: 510, Hi: 560},
	{Name: "yellow", Lo: 560, Hi: 590},
	{Name: "orange", Lo: 590, Hi: 620},
	{Name: "red", Lo: 620, Hi: 700},
	{Name: "far red", Lo: 700, Hi: 780},
}

// prominent is the least prominence of a peak or dip worth naming, as a share of
// the highest point.
const prominent = 0.03

// ShapeOf describes the curve of a light.
func ShapeOf(s *spectrum.Spectrum) (Shape, error) {
	t, err := colour.CCT(s)
	if err != nil {
		return Shape{}, err
	}
	r := Shape{Peaks: s.Peaks(prominent), Dips: s.Dips(prominent)}
	for _, b := range bands {
		b.Share = s.Band(b.Lo, b.Hi)
		r.Bands = append(r.Bands, b)
	}
	if !t.Valid {
		return r, nil
	}
	ref, _, err := colour.RenderingReference(t.Kelvin)
	if err != nil {
		return Shape{}, err
	}
	r.Gap = within(s) / within(&ref)
	return r, nil
}

// within is the power in 470–490 nm per lumen.
func within(s *spectrum.Spectrum) float64 {
	return s.Band(470, 490) * s.Power() / s.Luminous()
}

// GapMetric declares Shape.Gap.
func GapMetric() metric.Metric {
	return metric.Metric{
		Key: "gap_480", Name: "light at 480 nm against daylight of the same colour", Better: metric.Up,
		Line: "1 is as much as daylight or a black body has; blue-pumped LEDs dip here", Source: "package light/assay",
	}
}
