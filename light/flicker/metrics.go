package flicker

import "dawnsmith/metric"

type measure struct {
	metric.Metric
	of func(*Result) (float64, bool)
}

var measures = []measure{
	{metric.Metric{Key: "percent_flicker", Name: "percent flicker", Symbol: "", Unit: "%", Better: metric.Down,
		Line: "how far the light swings: (max - min)/(max + min)", Source: "IES Lighting Handbook, 10th ed., ch. 2"},
		func(r *Result) (float64, bool) { return r.PercentFlicker, true }},
	{metric.Metric{Key: "flicker_index", Name: "flicker index", Better: metric.Down,
		Line: "share of the light above its mean, 0 to 1", Source: "IES Lighting Handbook, 10th ed., ch. 2"},
		func(r *Result) (float64, bool) { return r.Index, true }},
	{metric.Metric{Key: "flicker_hz", Name: "flicker frequency", Symbol: "f", Unit: "Hz",
		Line: "how often the pattern of the light repeats", Source: "spectrum of the record"},
		func(r *Result) (float64, bool) { return r.Fundamental, r.Fundamental > 0 }},
	{metric.Metric{Key: "svm", Name: "stroboscopic visibility measure", Symbol: "SVM", Better: metric.Down,
		Line: "1 is just visible on moving things; the target is at most 0.4", Source: "IEC TR 63158:2018"},
		func(r *Result) (float64, bool) { return r.SVM, r.HasSVM }},
	{metric.Metric{Key: "ieee1789_low_risk_pct", Name: "IEEE 1789 low-risk level", Unit: "%",
		Line: "largest percent flicker of low risk at this frequency", Source: "IEEE 1789-2015, recommended practice 1"},
		func(r *Result) (float64, bool) { return r.IEEE.LowRisk, r.IEEE.LimitedLowRisk }},
	{metric.Metric{Key: "ieee1789_no_effect_pct", Name: "IEEE 1789 no-effect level", Unit: "%",
		Line: "largest percent flicker without observable effect at this frequency", Source: "IEEE 1789-2015, recommended practice 2"},
		func(r *Result) (float64, bool) { return r.IEEE.NoEffect, r.IEEE.LimitedEffect }},
}

// Metrics declares every measure of this package.
func Metrics() []metric.Metric {
	r := make([]metric.Metric, len(measures))
	for i, m := range measures {
		r[i] = m.Metric
	}
	return r
}

// Each calls put with the key and value of every measure the record carries,
// in the order of Metrics.
func (r *Result) Each(put func(key string, value float64)) {
	for i := range measures {
		if v, ok := measures[i].of(r); ok {
			put(measures[i].Key, v)
		}
	}
}
