package phosphor

import (
	"errors"
	"fmt"
	"math"

	"dawnsmith/finding"
	"dawnsmith/light/colour"
	"dawnsmith/light/spectrum"
)

// Recipe is what a white LED is to be.
type Recipe struct {
	CCT  float64 // correlated colour temperature, K, 1800 to 10 000
	Duv  float64 // distance from the black-body line, −0.02 to 0.02; 0 if unknown
	Ra   float64 // general rendering index wanted, 50 to 100; see TypicalRa
	Pump Pump
}

// Made is the spectrum of a recipe and what it came to.
type Made struct {
	// Spectrum is scaled to 1 lm, 1 lx or 1 cd/m².
	Spectrum    spectrum.Spectrum
	Temperature colour.Temperature // that of the recipe
	Ra, R9      float64            // of the spectrum
	Findings    []finding.Finding  // where the recipe could not be met
}

const (
	steps     = 24  // scan of the rendition parameter
	tolerance = 0.5 // in Ra: closer is as wanted
)

// White makes the spectrum of a white LED.
//
// Model: S = a_p·P(λ) + Σ a_k·B_k(λ), pump P and phosphor bands B_k of split
// normal shape; the amounts follow from the wanted X, Y, Z by linear
// equations, so colour temperature and Duv come out exactly (with a violet
// pump the unconverted share of violet is fixed beside). The bands move
// together from a yellow mixture to green and deep red by one number x, which
// is searched so that Ra is met; where several x do, the one nearest to the
// yellow mixture is taken, as it is the most efficacious.
//
// Validity: phosphor-converted white of 1800–10 000 K; not for mixtures of
// coloured LEDs or discharge lamps. Source: band shapes fitted by us to the
// CIE illuminants LED-B1 to LED-B5, LED-V1 and LED-V2 (CIE 015:2018); see
// Spread for how close it comes. Not modelled: narrow-line red phosphors, a
// second blue die, temperature and drive current.
func White(r Recipe) (Made, error) {
	if err := r.check(); err != nil {
		return Made{}, err
	}
	return r.make(&chemistries[r.Pump])
}

func (r Recipe) make(c *chemistry) (Made, error) {
	u, v, err := colour.UVOfCCT(r.CCT, r.Duv)
	if err != nil {
		return Made{}, err
	}
	// Scan, keep the first crossing, else the closest.
	best, prev := trial{miss: math.Inf(1)}, trial{miss: math.Inf(1)}
	for i := range steps + 1 {
		t := c.mixAt(r, u, v, float64(i)/steps)
		if !t.ok {
			prev = t
			continue
		}
		if math.Abs(t.miss) < math.Abs(best.miss) {
			best = t
		}
		if prev.ok && prev.miss*t.miss <= 0 {
			best = c.bisect(r, u, v, prev, t)
			break
		}
		prev = t
	}
	if !best.ok {
		return Made{}, fmt.Errorf("no mixture of a %s pump and phosphors gives %g K at Duv %g; try a Duv nearer 0 or a temperature of 2200 to 6500 K", r.Pump, r.CCT, r.Duv)
	}
	s, err := best.light.ScaleTo(1)
	if err != nil {
		return Made{}, err
	}
	m := Made{Spectrum: s, Temperature: best.temperature, Ra: best.ra, R9: best.r9}
	if math.Abs(best.miss) > tolerance {
		m.Findings = append(m.Findings, finding.Finding{
			Severity: finding.Warn, Key: "phosphor.rendition",
			What:   fmt.Sprintf("the made spectrum has Ra %.1f, %.1f were wanted", best.ra, r.Ra),
			Cause:  fmt.Sprintf("at %g K and Duv %g the %s-pump mixtures of the model do not reach it", r.CCT, r.Duv, r.Pump),
			Mend:   "measure the LED, or take its spectrum from a datasheet",
			Source: "package light/phosphor",
		})
	}
	return m, nil
}

func (r Recipe) check() error {
	switch {
	case !(r.CCT >= 1800 && r.CCT <= 10_000):
		return fmt.Errorf("colour temperature is %g K: 1800 to 10000 K is allowed for a made white spectrum", r.CCT)
	case !(math.Abs(r.Duv) <= 0.02):
		return fmt.Errorf("distance from the black-body line is %g: -0.02 to 0.02 is allowed for a white", r.Duv)
	case !(r.Ra >= 50 && r.Ra <= 100):
		return fmt.Errorf("rendering index is %g: 50 to 100 is allowed", r.Ra)
	case r.Pump != Blue && r.Pump != Violet:
		return errors.New("pump is unknown: blue or violet is allowed")
	}
	return nil
}

// trial is the mixture at one x; miss is its Ra less the one wanted.
type trial struct {
	x, miss     float64
	light       spectrum.Spectrum
	temperature colour.Temperature
	ra, r9      float64
	ok          bool
}

func (c *chemistry) bisect(r Recipe, u, v float64, lo, hi trial) trial {
	best := lo
	if math.Abs(hi.miss) < math.Abs(lo.miss) {
		best = hi
	}
	for range 40 {
		mid := c.mixAt(r, u, v, (lo.x+hi.x)/2)
		if !mid.ok {
			break
		}
		if math.Abs(mid.miss) < math.Abs(best.miss) {
			best = mid
		}
		if math.Abs(mid.miss) < 1e-6 {
			break
		}
		if (lo.miss < 0) == (mid.miss < 0) {
			lo = mid
		} else {
			hi = mid
		}
	}
	return best
}

// mixAt solves the amounts of the bands at rendition parameter x.
func (c *chemistry) mixAt(r Recipe, u, v, x float64) trial {
	m := c.at(x)
	bands := []spectrum.Spectrum{c.pump.spectrum(), m.green.spectrum(), m.red.spectrum()}
	blue := m.blue.spectrum()
	if r.Pump == Violet {
		bands = append(bands, blue)
	} else {
		bands[0] = spectrum.Mix(spectrum.Share{Of: &bands[0], Weight: 1}, spectrum.Share{Of: &blue, Weight: m.fill})
	}
	amounts, ok := amounts(bands, u, v, c.leak)
	if !ok {
		return trial{}
	}
	t := trial{x: x}
	for i := range bands {
		for j, v := range bands[i] {
			t.light[j] += amounts[i] * v
		}
	}
	rendering, err := colour.CRI(&t.light)
	if err != nil || !rendering.Valid {
		return trial{}
	}
	temperature, err := colour.CCT(&t.light)
	if err != nil {
		return trial{}
	}
	t.temperature, t.ra, t.r9, t.miss, t.ok = temperature, rendering.Ra, rendering.R[8], rendering.Ra-r.Ra, true
	return t
}
