package eye

import "dawnsmith/metric"

type measure struct {
	metric.Metric
	of func(*Eye) float64
	// level marks measures that need an illuminance at the eye.
	level bool
}

const (
	sourceAlpha     = "CIE S 026/E:2018"
	sourceCircadian = "Rea, Nagare, Figueiro 2021, DOI 10.3389/fnins.2021.615322"
)

var measures = declare()

func declare() []measure {
	var m []measure
	short := [Channels]string{"s", "m", "l", "rod", "mel"}
	symbol := [Channels]string{"sc", "mc", "lc", "rh", "mel"}
	for c := range Channel(Channels) {
		better := metric.Neither
		if c == Melanopic {
			better = metric.Up
		}
		m = append(m, measure{metric.Metric{
			Key: "der_" + short[c], Name: c.String() + " daylight efficacy ratio", Symbol: "γ" + symbol[c] + ",v D65", Better: better,
			Line: "equivalent daylight lux that one lux of this light gives this receptor", Source: sourceAlpha,
		}, func(e *Eye) float64 { return e.Alpha.DER[c] }, false})
	}
	for c := range Channel(Channels) {
		m = append(m, measure{metric.Metric{
			Key: "elr_" + short[c] + "_mw_lm", Name: c.String() + " efficacy of luminous radiation", Symbol: "K" + symbol[c] + ",v", Unit: "mW/lm",
			Line: "weighted power for this receptor per lumen", Source: sourceAlpha,
		}, func(e *Eye) float64 { return 1e3 * e.Alpha.Efficacy[c] }, false})
	}
	return append(m,
		measure{metric.Metric{Key: "edi_mel_lx", Name: "melanopic equivalent daylight illuminance", Symbol: "Emel D65", Unit: "lx", Better: metric.Up,
			Line: "lux of daylight with the same effect on the melanopsin receptor, at the eye", Source: sourceAlpha},
			func(e *Eye) float64 { return e.Alpha.EDI(Melanopic, e.Lux) }, true},
		measure{metric.Metric{Key: "cla", Name: "circadian light", Symbol: "CLA 2.0",
			Line: "modelled strength of the light for the body clock at this level", Source: sourceCircadian},
			func(e *Eye) float64 { return e.Stimulus.CLA }, true},
		measure{metric.Metric{Key: "cs", Name: "circadian stimulus", Symbol: "CS", Better: metric.Up,
			Line: "modelled share of melatonin suppressed, 0 to 0.7", Source: sourceCircadian},
			func(e *Eye) float64 { return e.Stimulus.CS }, true},
	)
}

// Metrics declares every measure of this package.
func Metrics() []metric.Metric {
	r := make([]metric.Metric, len(measures))
	for i, m := range measures {
		r[i] = m.Metric
	}
	return r
}

// Each calls put with the key and value of every measure, in the order of
// Metrics; those that depend on the level only when Lux is above 0.
func (e *Eye) Each(put func(key string, value float64)) {
	for i := range measures {
		if !measures[i].level || e.Lux > 0 {
			put(measures[i].Key, measures[i].of(e))
		}
	}
}
