package spectrum

import (
	"fmt"
	"math"

	"dawnsmith/finding"
)

// widest is the largest distance between neighbours, nm, among those that
// touch the grid.
func (c *curvePoints) widest() float64 {
	var w float64
	for i := 1; i < len(c.nm); i++ {
		if c.nm[i] > First && c.nm[i-1] < Last {
			w = max(w, c.nm[i]-c.nm[i-1])
		}
	}
	return w
}

// corners tells readings that look like the corners of a drawn curve: uneven,
// and some closer together than a coarse grid's.
func (c *curvePoints) corners() bool {
	if c.even() {
		return false
	}
	least := math.Inf(1)
	for i := 1; i < len(c.nm); i++ {
		least = min(least, c.nm[i]-c.nm[i-1])
	}
	return least <= coarseStep && least < 0.5*c.widest()
}

// cornerFinding says how rough a drawn curve is, and whether its peaks are told
// by few points.
func (c *curvePoints) cornerFinding() finding.Finding {
	f := finding.Finding{Severity: finding.Warn, Key: "spectrum.corners",
		What:   fmt.Sprintf("readings are unevenly spaced, up to %g nm apart, and were joined by straight lines", tidy(c.widest())),
		Cause:  "a curve taken off a picture, or a table of its corners",
		Mend:   "measure at 1 nm, or at 5 nm at the coarsest",
		Source: "common practice, no source",
	}
	for i := 1; i+1 < len(c.nm); i++ {
		// A peak of one reading, twice as high as its close neighbours.
		if c.v[i] > 2*max(c.v[i-1], c.v[i+1], 0) && c.nm[i+1]-c.nm[i-1] < 2*coarseStep {
			f.What += "; peaks this narrow are under-sampled: colour and rendition may be far off"
			break
		}
	}
	return f
}

// tidy rounds what came out of a subtraction.
func tidy(nm float64) float64 { return math.Round(nm*1e6) / 1e6 }

// even tells whether the steps are equal to within a thousandth.
func (c *curvePoints) even() bool {
	step := (c.nm[len(c.nm)-1] - c.nm[0]) / float64(len(c.nm)-1)
	for i, nm := range c.nm {
		if math.Abs(nm-c.nm[0]-float64(i)*step) > 1e-3*step {
			return false
		}
	}
	return true
}

// onGrid tells whether every grid point within the readings has its own.
func (c *curvePoints) onGrid() bool {
	step := (c.nm[len(c.nm)-1] - c.nm[0]) / float64(len(c.nm)-1)
	return c.even() && math.Abs(step-1) < 1e-6 && math.Abs(c.nm[0]-math.Round(c.nm[0])) < 1e-6
}

func (c *curvePoints) choose(rough float64) Method {
	mean := (c.nm[len(c.nm)-1] - c.nm[0]) / float64(len(c.nm)-1)
	switch {
	case c.onGrid():
		return Exact
	case mean < 0.999:
		return Average
	case c.even() && len(c.nm) >= 6 && rough <= lineFrom:
		return Sprague
	}
	return Linear
}

// beyond gives the value outside the readings, and false inside.
func (c *curvePoints) beyond(nm float64, q Quantity) (float64, bool) {
	const slack = 1e-9 // nm
	first, last := c.nm[0], c.nm[len(c.nm)-1]
	switch {
	case nm < first-slack:
		if q.IsMaterial() {
			return c.v[0], true
		}
		return 0, true
	case nm > last+slack:
		if q.IsMaterial() {
			return c.v[len(c.v)-1], true
		}
		return 0, true
	}
	return 0, false
}

func (c *curvePoints) linear(q Quantity) Spectrum {
	k := 0
	return Func(func(nm float64) float64 {
		if v, out := c.beyond(nm, q); out {
			return v
		}
		for k < len(c.nm)-2 && c.nm[k+1] <= nm {
			k++
		}
		f := min(max((nm-c.nm[k])/(c.nm[k+1]-c.nm[k]), 0), 1)
		return c.v[k]*(1-f) + c.v[k+1]*f
	})
}

// average integrates the straight lines through the readings over each
// nanometre. At the ends of the readings the mean is over the covered part.
func (c *curvePoints) average(q Quantity) Spectrum {
	sum := make([]float64, len(c.nm)) // integral up to each reading
	for i := 1; i < len(c.nm); i++ {
		sum[i] = sum[i-1] + (c.v[i]+c.v[i-1])/2*(c.nm[i]-c.nm[i-1])
	}
	first, last := c.nm[0], c.nm[len(c.nm)-1]
	k := 0
	upTo := func(nm float64) float64 {
		for k > 0 && c.nm[k] > nm {
			k--
		}
		for k < len(c.nm)-2 && c.nm[k+1] <= nm {
			k++
		}
		d := nm - c.nm[k]
		slope := (c.v[k+1] - c.v[k]) / (c.nm[k+1] - c.nm[k])
		return sum[k] + d*(c.v[k]+slope*d/2)
	}
	return Func(func(nm float64) float64 {
		if v, out := c.beyond(nm, q); out {
			return v
		}
		lo, hi := max(nm-0.5, first), min(nm+0.5, last)
		return (upTo(hi) - upTo(lo)) / (hi - lo)
	})
}

// sprague interpolates equal steps by a fifth-order polynomial through the
// six nearest readings, whose first and second derivatives agree at every
// reading. Two readings are added at each end by Sprague's own formula.
//
// Source: CIE 167:2005; Westland, Ripamonti, Cheung, Computational Colour
// Science Using MATLAB, 2nd ed. 2012, chapter 4 (coefficients).
func (c *curvePoints) sprague(q Quantity) Spectrum {
	n := len(c.v)
	step := (c.nm[n-1] - c.nm[0]) / float64(n-1)
	before := func(v func(int) float64) (far, near float64) {
		far = (884*v(0) - 1960*v(1) + 3033*v(2) - 2648*v(3) + 1080*v(4) - 180*v(5)) / 209
		near = (508*v(0) - 540*v(1) + 488*v(2) - 367*v(3) + 144*v(4) - 24*v(5)) / 209
		return far, near
	}
	r := make([]float64, n+4)
	copy(r[2:], c.v)
	r[0], r[1] = before(func(i int) float64 { return c.v[i] })
	r[n+3], r[n+2] = before(func(i int) float64 { return c.v[n-1-i] })
	return Func(func(nm float64) float64 {
		if v, out := c.beyond(nm, q); out {
			return v
		}
		x := min(max((nm-c.nm[0])/step, 0), float64(n-1))
		i := min(int(x), n-2)
		x -= float64(i)
		a, b, d, e, f, g := r[i], r[i+1], r[i+2], r[i+3], r[i+4], r[i+5]
		if x < 1e-9 {
			return d
		}
		c1 := (2*a - 16*b + 16*e - 2*f) / 24
		c2 := (-a + 16*b - 30*d + 16*e - f) / 24
		c3 := (-9*a + 39*b - 70*d + 66*e - 33*f + 7*g) / 24
		c4 := (13*a - 64*b + 126*d - 124*e + 61*f - 12*g) / 24
		c5 := (-5*a + 25*b - 50*d + 50*e - 25*f + 5*g) / 24
		return d + x*(c1+x*(c2+x*(c3+x*(c4+x*c5))))
	})
}

// roughness is Σ|s(λ−h) − 2s(λ) + s(λ+h)| / Σ s(λ) over every h-th sample.
func roughness(s *Spectrum, h int) float64 {
	var bends, sum float64
	for i := h; i+h < N; i += h {
		bends += math.Abs(s[i-h] - 2*s[i] + s[i+h])
		sum += math.Abs(s[i])
	}
	if sum == 0 {
		return 0
	}
	return bends / sum
}
