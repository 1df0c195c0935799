// Command reference makes seeded random spectra and takes all their measures,
// for tools/reference/reference.py to compare with two general-purpose colour
// libraries. It writes one JSON document to standard output.
package main

import (
	"encoding/json"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"time"

	"dawnsmith/light/assay"
	"dawnsmith/light/eye"
	"dawnsmith/light/phosphor"
	"dawnsmith/light/spectrum"
)

// lux is the level at which circadian light is compared, lx.
const lux = 700

type record struct {
	Kind     string             `json:"kind"`
	Values   []float64          `json:"values"`
	Measures map[string]float64 `json:"measures"`
	Samples  []float64          `json:"rf_samples"`
	Count    []int              `json:"bin_count"`
	By       float64            `json:"by"`
}

func main() {
	n := flag.Int("n", 40, "number of spectra")
	seed := flag.Uint64("seed", 1, "seed; the same seed gives the same spectra")
	rate := flag.Bool("rate", false, "measure speed instead of writing measures")
	flag.Parse()
	if err := run(*n, *seed, *rate); err != nil {
		fmt.Fprintln(os.Stderr, "reference:", err)
		os.Exit(1)
	}
}

func run(n int, seed uint64, rate bool) error {
	rng := rand.New(rand.NewPCG(seed, 0))
	records := make([]record, n)
	spectra := make([]spectrum.Spectrum, n)
	for i := range records {
		kind := kinds[i%len(kinds)]
		s, err := draw(rng, kind.make)
		if err != nil {
			return fmt.Errorf("%s: %w", kind.name, err)
		}
		spectra[i] = s
		records[i].Kind, records[i].Values = kind.name, s[:]
		if rate {
			continue
		}
		a, err := assay.Of(&s, lux)
		if err != nil {
			return fmt.Errorf("%s: %w", kind.name, err)
		}
		records[i].Measures = a.Values()
		records[i].Samples = a.Colour.Fidelity.RfSample[:]
		records[i].Count = a.Colour.Fidelity.Count[:]
		records[i].By = a.Eye.Stimulus.BlueYellow
	}
	out := map[string]any{"lux": lux, "spectra": records}
	if rate {
		perSecond, err := speed(spectra)
		if err != nil {
			return err
		}
		out["spectra_per_s"] = perSecond
	}
	return json.NewEncoder(os.Stdout).Encode(out)
}

// draw tries until a spectrum has a colour temperature within the range that
// all three programs cover.
func draw(rng *rand.Rand, make func(*rand.Rand) (spectrum.Spectrum, error)) (spectrum.Spectrum, error) {
	for range 1000 {
		s, err := make(rng)
		if err != nil {
			return s, err
		}
		a, err := assay.Of(&s, lux)
		if err != nil {
			continue
		}
		t := a.Colour.Temperature
		if t.Valid && t.Kelvin > 1500 && t.Kelvin < 20_000 && math.Abs(t.Duv) < 0.03 {
			return s, nil
		}
	}
	return spectrum.Spectrum{}, fmt.Errorf("no white spectrum in 1000 tries")
}

// kinds are the families of lights, drawn in turn.
var kinds = []struct {
	name string
	make func(*rand.Rand) (spectrum.Spectrum, error)
}{
	{"blue-pump LED", func(r *rand.Rand) (spectrum.Spectrum, error) { return led(r, phosphor.Blue) }},
	{"violet-pump LED", func(r *rand.Rand) (spectrum.Spectrum, error) { return led(r, phosphor.Violet) }},
	{"line-like", lines},
	{"coloured dies", dies},
	{"daylight", daylight},
	{"black body", func(r *rand.Rand) (spectrum.Spectrum, error) { return spectrum.Planck(between(r, 1800, 15_000)) }},
	{"mixture", mixture},
	{"rough", rough},
}

func between(r *rand.Rand, lo, hi float64) float64 { return lo + (hi-lo)*r.Float64() }

func led(r *rand.Rand, p phosphor.Pump) (spectrum.Spectrum, error) {
	m, err := phosphor.White(phosphor.Recipe{CCT: between(r, 2500, 7500), Duv: between(r, -0.005, 0.005), Ra: between(r, 65, 98), Pump: p})
	return m.Spectrum.Scale(1000), err
}

// lines is a weak continuum under five to nine lines, as in fluorescent tubes.
func lines(r *rand.Rand) (spectrum.Spectrum, error) {
	base, err := spectrum.Planck(between(r, 2500, 8000))
	if err != nil {
		return base, err
	}
	s := base.Scale(between(r, 0.02, 0.2))
	for range 5 + r.IntN(5) {
		e, err := phosphor.Emitter(between(r, 400, 700), between(r, 1.5, 10))
		if err != nil {
			return s, err
		}
		s = spectrum.Mix(spectrum.Share{Of: &s, Weight: 1}, spectrum.Share{Of: &e, Weight: between(r, 1, 20)})
	}
	return s, nil
}

// dies is white from three or four narrow coloured LEDs.
func dies(r *rand.Rand) (spectrum.Spectrum, error) {
	var s spectrum.Spectrum
	for _, d := range [][3]float64{{440, 475, 1}, {505, 545, 1.3}, {585, 605, 0.6}, {615, 650, 1.5}} {
		e, err := phosphor.Emitter(between(r, d[0], d[1]), between(r, 14, 35))
		if err != nil {
			return s, err
		}
		s = spectrum.Mix(spectrum.Share{Of: &s, Weight: 1}, spectrum.Share{Of: &e, Weight: d[2] * between(r, 0.3, 1.5)})
	}
	return s, nil
}

func daylight(r *rand.Rand) (spectrum.Spectrum, error) {
	return spectrum.Daylight(between(r, 4000, 15_000))
}

func mixture(r *rand.Rand) (spectrum.Spectrum, error) {
	a, err := led(r, phosphor.Blue)
	if err != nil {
		return a, err
	}
	b, err := lines(r)
	if err != nil {
		return a, err
	}
	b, err = b.ScaleTo(1000)
	return spectrum.Blend(&a, &b, r.Float64()), err
}

// rough is an LED with the noise and dark floor of a cheap meter.
func rough(r *rand.Rand) (spectrum.Spectrum, error) {
	s, err := led(r, phosphor.Blue)
	_, top := s.Peak()
	for i := range s {
		s[i] = max(s[i]+top*(0.004+0.01*r.NormFloat64()), 0)
	}
	return s, err
}

// speed measures how many full sets of measures one core takes in a second.
func speed(src []spectrum.Spectrum) (float64, error) {
	dst := make([]assay.Assay, len(src))
	if err := assay.All(dst, src, lux, eye.DeskLamp); err != nil { // tables are made on first use
		return 0, err
	}
	start, n := time.Now(), 0
	for time.Since(start) < 2*time.Second {
		if err := assay.All(dst, src, lux, eye.DeskLamp); err != nil {
			return 0, err
		}
		n += len(src)
	}
	return float64(n) / time.Since(start).Seconds(), nil
}
