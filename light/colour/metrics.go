package colour

import (
	"fmt"

	"dawnsmith/metric"
)

// measure ties a declaration to the number it declares; ok is false where
// the light has no such number.
type measure struct {
	metric.Metric
	of func(*Colour) (value float64, ok bool)
}

const (
	sourceXY   = "CIE 015:2018 clause 7; ISO/CIE 11664-3:2019"
	sourceUV   = "ISO/CIE 11664-5:2016"
	sourceCCT  = "CIE 015:2018 clause 9.5"
	sourceCRI  = "CIE 13.3-1995"
	sourceTM30 = "ANSI/IES TM-30-20; CIE 224:2017"
)

var measures = declare()

func declare() []measure {
	plain := func(f func(*Colour) float64) func(*Colour) (float64, bool) {
		return func(c *Colour) (float64, bool) { return f(c), true }
	}
	warm := func(f func(*Colour) float64) func(*Colour) (float64, bool) {
		return func(c *Colour) (float64, bool) { return f(c), c.Temperature.Valid }
	}
	m := []measure{
		{metric.Metric{Key: "chroma_x", Name: "chromaticity x", Symbol: "x", Line: "colour of the light, 1931 2° observer", Source: sourceXY},
			plain(func(c *Colour) float64 { x, _ := c.XYZ2.XY(); return x })},
		{metric.Metric{Key: "chroma_y", Name: "chromaticity y", Symbol: "y", Line: "colour of the light, 1931 2° observer", Source: sourceXY},
			plain(func(c *Colour) float64 { _, y := c.XYZ2.XY(); return y })},
		{metric.Metric{Key: "chroma_u_prime", Name: "chromaticity u'", Symbol: "u'", Line: "colour of the light on the even 1976 diagram", Source: sourceUV},
			plain(func(c *Colour) float64 { u, _ := c.XYZ2.UVPrime(); return u })},
		{metric.Metric{Key: "chroma_v_prime", Name: "chromaticity v'", Symbol: "v'", Line: "colour of the light on the even 1976 diagram", Source: sourceUV},
			plain(func(c *Colour) float64 { _, v := c.XYZ2.UVPrime(); return v })},
		{metric.Metric{Key: "chroma_x10", Name: "chromaticity x, 10°", Symbol: "x₁₀", Line: "colour of the light, 1964 10° observer", Source: sourceXY},
			plain(func(c *Colour) float64 { x, _ := c.XYZ10.XY(); return x })},
		{metric.Metric{Key: "chroma_y10", Name: "chromaticity y, 10°", Symbol: "y₁₀", Line: "colour of the light, 1964 10° observer", Source: sourceXY},
			plain(func(c *Colour) float64 { _, y := c.XYZ10.XY(); return y })},
		{metric.Metric{Key: "cct_k", Name: "correlated colour temperature", Symbol: "Tcp", Unit: "K", Line: "temperature of the black body nearest in colour; low is warm", Source: sourceCCT},
			warm(func(c *Colour) float64 { return c.Temperature.Kelvin })},
		{metric.Metric{Key: "duv", Name: "distance from the black-body line", Symbol: "Duv", Line: "above 0 greenish, below 0 pinkish; within 0.003 hardly seen", Source: "Ohno 2014, LEUKOS 10:47; ANSI C78.377"},
			warm(func(c *Colour) float64 { return c.Temperature.Duv })},
		{metric.Metric{Key: "ra", Name: "general colour rendering index", Symbol: "Ra", Better: metric.Up, Line: "how true eight pale colours look beside the reference; 100 is no difference", Source: sourceCRI},
			warm(func(c *Colour) float64 { return c.Rendering.Ra })},
	}
	for i := range testSamples {
		what := "colour sample " + fmt.Sprint(i+1)
		switch i {
		case 8:
			what = "strong red"
		case 14:
			what = "skin, JIS Z 8726"
		}
		m = append(m, measure{metric.Metric{
			Key: fmt.Sprintf("r%d", i+1), Name: "special rendering index, " + what, Symbol: fmt.Sprintf("R%d", i+1), Better: metric.Up,
			Line: "how true this sample looks beside the reference; may be below 0", Source: sourceCRI,
		}, warm(func(c *Colour) float64 { return c.Rendering.R[i] })})
	}
	m = append(m,
		measure{metric.Metric{Key: "rf", Name: "colour fidelity index", Symbol: "Rf", Better: metric.Up, Line: "how true 99 colours look beside the reference, 0 to 100", Source: sourceTM30},
			warm(func(c *Colour) float64 { return c.Fidelity.Rf })},
		measure{metric.Metric{Key: "rg", Name: "gamut index", Symbol: "Rg", Line: "above 100 colours look stronger on average, below 100 paler", Source: sourceTM30},
			warm(func(c *Colour) float64 { return c.Fidelity.Rg })})
	for b := range Bins {
		filled := func(f func(*Colour) float64) func(*Colour) (float64, bool) {
			return func(c *Colour) (float64, bool) { return f(c), c.Fidelity.Valid && c.Fidelity.Count[b] > 0 }
		}
		m = append(m,
			measure{metric.Metric{Key: fmt.Sprintf("rf_h%d", b+1), Name: fmt.Sprintf("fidelity, hue bin %d", b+1), Symbol: fmt.Sprintf("Rf,h%d", b+1), Better: metric.Up,
				Line: "how true the colours of this hue look, 0 to 100", Source: sourceTM30}, filled(func(c *Colour) float64 { return c.Fidelity.RfBin[b] })},
			measure{metric.Metric{Key: fmt.Sprintf("rcs_h%d", b+1), Name: fmt.Sprintf("chroma shift, hue bin %d", b+1), Symbol: fmt.Sprintf("Rcs,h%d", b+1),
				Line: "share by which colours of this hue gain (+) or lose (−) strength", Source: sourceTM30}, filled(func(c *Colour) float64 { return c.Fidelity.RcsBin[b] })},
			measure{metric.Metric{Key: fmt.Sprintf("rhs_h%d", b+1), Name: fmt.Sprintf("hue shift, hue bin %d", b+1), Symbol: fmt.Sprintf("Rhs,h%d", b+1),
				Line: "turn of this hue as a share of its chroma, + towards the next bin", Source: sourceTM30}, filled(func(c *Colour) float64 { return c.Fidelity.RhsBin[b] })})
	}
	return m
}

// Metrics declares every measure of this package.
func Metrics() []metric.Metric {
	r := make([]metric.Metric, len(measures))
	for i, m := range measures {
		r[i] = m.Metric
	}
	return r
}

// Each calls put with the key and value of every measure the light has, in
// the order of Metrics. A light without a colour temperature has no
// rendering; an empty hue bin has no figures.
func (c *Colour) Each(put func(key string, value float64)) {
	for i := range measures {
		if v, ok := measures[i].of(c); ok {
			put(measures[i].Key, v)
		}
	}
}
