package hazard

import (
	"dawnsmith/light/spectrum"
	"dawnsmith/metric"
)

// Hazard is the photobiological figures that follow from the shape of a
// spectrum alone.
type Hazard struct {
	BlueEfficacy float64 // K_B,v, W/lm
	BlueShare    float64 // Σ S·B / Σ S over 380–780 nm
}

// Of fills dst for a light of any scale, allocating nothing. dst is untouched
// on error.
func Of(dst *Hazard, s *spectrum.Spectrum) error {
	k, err := BlueEfficacy(s)
	if err != nil {
		return err
	}
	*dst = Hazard{BlueEfficacy: k, BlueShare: k * s.Luminous() / s.Power()}
	return nil
}

// BorderLuminance is the luminance in cd/m² at which a large source of this
// spectrum reaches the blue-light limit of 100 W/(m²·sr).
func (h *Hazard) BorderLuminance() float64 { return RadianceLimit / h.BlueEfficacy }

// BorderIlluminance is the illuminance in lx at which a small source of this
// spectrum reaches 1 W/m².
func (h *Hazard) BorderIlluminance() float64 { return SmallLimit / h.BlueEfficacy }

const sourceBlue = "IEC 62471:2006 clause 4.3.3; IEC TR 62778:2014"

var measures = []struct {
	metric.Metric
	of func(*Hazard) float64
}{
	{metric.Metric{Key: "kbv_mw_lm", Name: "blue-light hazard efficacy", Symbol: "K_B,v", Unit: "mW/lm", Better: metric.Down,
		Line: "blue-light weighted power per lumen; times luminance it gives the hazard radiance", Source: sourceBlue},
		func(h *Hazard) float64 { return 1e3 * h.BlueEfficacy }},
	{metric.Metric{Key: "blue_share", Name: "blue-light share of power", Symbol: "η_B", Better: metric.Down,
		Line: "blue-light weighted part of the power in 380–780 nm", Source: sourceBlue},
		func(h *Hazard) float64 { return h.BlueShare }},
}

// Metrics declares the measures of Hazard.
func Metrics() []metric.Metric {
	r := make([]metric.Metric, len(measures))
	for i, m := range measures {
		r[i] = m.Metric
	}
	return r
}

// Each calls put with the key and value of every measure, in the order of
// Metrics.
func (h *Hazard) Each(put func(key string, value float64)) {
	for i := range measures {
		put(measures[i].Key, measures[i].of(h))
	}
}
