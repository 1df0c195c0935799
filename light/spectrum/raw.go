package spectrum

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"

	"dawnsmith/finding"
)

// Raw are readings as a meter or a table gave them: at any wavelengths, in
// any order, with holes. Values are in the SI unit of the quantity.
type Raw struct {
	Wavelengths []float64 // nm
	Values      []float64 // SI unit of Quantity, one a wavelength
	Gaps        []bool    // true where there is no reading; nil for none
	Quantity    Quantity
	Bandwidth   float64 // full width at half maximum of the instrument, nm; 0 unknown
}

// Method is a way of bringing readings onto the 1 nm grid.
type Method int

const (
	// Automatic takes Exact, Average, Sprague or Linear, whichever suits.
	Automatic Method = iota
	// Exact: the readings lie on the grid already.
	Exact
	// Linear joins neighbouring readings by straight lines.
	Linear
	// Sprague runs a fifth-order curve through six readings; for smooth
	// spectra at equal steps.
	Sprague
	// Average takes the mean over each 1 nm; for steps finer than that.
	Average
)

// String gives automatic, exact, linear, sprague or average.
func (m Method) String() string {
	return [...]string{"automatic", "exact", "linear", "sprague", "average"}[m]
}

// Limits on the readings.
const (
	wideStep    = 20.0  // nm: beyond, results are rough
	widestStep  = 30.0  // nm: beyond, nothing of a light's shape is left
	endSlack    = 1.0   // nm by which an end may be missed without a word
	coarseStep  = 5.0   // nm: what CIE 224:2017 allows for fidelity
	mustBegin   = 400.0 // nm
	mustEnd     = 700.0 // nm
	lineFrom    = 0.25  // roughness from which a spectrum counts as made of lines
	refusedFrom = 0.5   // roughness from which a coarse spectrum is refused
)

// Resampled is a spectrum on the grid and how it got there.
type Resampled struct {
	Spectrum    Spectrum
	Quantity    Quantity
	Method      Method
	First, Last float64 // nm, of the readings used
	Step        float64 // widest distance between neighbours, nm
	Findings    []finding.Finding
}

// Resample brings readings onto the grid of 380–780 nm at 1 nm.
//
// Rules: readings on the grid are taken as they are; steps under 1 nm are
// averaged over each nanometre; equal steps of a smooth spectrum are
// interpolated by Sprague's formula, all others linearly. Negative results
// become 0, after averaging. A light that is not covered to 380 or 780 nm is 0
// beyond its last reading; a material keeps its last value there. Refused
// are readings that do not cover 400–700 nm, equal steps above 30 nm, and equal
// steps above 5 nm for a light of narrow lines or bands. Readings at uneven steps
// with some closer than 5 nm are the corners of a drawn curve: wide stretches
// between them are straight lines, and it is said how rough that may be. The bandwidth of the
// instrument is not corrected here; see Spectrum.Narrow.
//
// Source: CIE 167:2005 (Sprague), CIE 224:2017 clause 4 (zeros beyond the
// ends, 5 nm), CIE 015:2018 clause 7.2 (materials). The border between smooth
// and narrow is ours: the sum of |second difference| at the reading's step over
// the sum of the spectrum, 0.25 and 0.5; fluorescent lamps lie above, white
// LEDs below.
func (r *Raw) Resample(method Method) (Resampled, error) {
	out := Resampled{Quantity: r.Quantity, Method: method}
	c, fs, err := r.clean()
	if err != nil {
		return out, err
	}
	out.Findings = fs
	out.First, out.Last, out.Step = c.nm[0], c.nm[len(c.nm)-1], c.widest()
	if out.First > mustBegin+endSlack || out.Last < mustEnd-endSlack {
		return out, fmt.Errorf("readings run from %g to %g nm: at least 400 to 700 nm is needed; measure again over a wider range", out.First, out.Last)
	}
	corners := c.corners()
	if out.Step > widestStep && !corners {
		return out, fmt.Errorf("neighbouring readings are up to %g nm apart: %g nm is the most that can be used; measure at 5 nm or finer", tidy(out.Step), widestStep)
	}
	linear := c.linear(r.Quantity)
	rough := roughness(&linear, max(1, int(math.Round(min(out.Step, widestStep)))))
	switch {
	case r.Quantity.IsMaterial() || out.Step <= coarseStep:
	case corners:
		out.Findings = append(out.Findings, c.cornerFinding())
	case out.Step > wideStep:
		out.Findings = append(out.Findings, finding.Finding{
			Severity: finding.Warn, Key: "spectrum.very_coarse",
			What:   fmt.Sprintf("readings are %g nm apart, so wide that colour temperature and rendition are rough", tidy(out.Step)),
			Cause:  "the shape between the readings is guessed",
			Mend:   "measure at 5 nm or finer",
			Source: "common practice, no source",
		})
		fallthrough
	default:
		if rough > refusedFrom {
			return out, fmt.Errorf("readings are %g nm apart and the light has lines or bands narrower than that: 5 nm is the most for such a light; measure at 1 nm, or at 5 nm at the coarsest", tidy(out.Step))
		}
		out.Findings = append(out.Findings, finding.Finding{
			Severity: finding.Warn, Key: "spectrum.coarse",
			What:   fmt.Sprintf("readings are %g nm apart; fidelity and gamut are defined for 5 nm or finer", tidy(out.Step)),
			Cause:  "the shape between the readings is guessed",
			Mend:   "measure at 5 nm or finer",
			Source: "CIE 224:2017 clause 4",
		})
	}
	if method == Automatic {
		out.Method = c.choose(rough)
	}
	switch out.Method {
	case Exact, Linear:
		out.Spectrum = linear
	case Sprague:
		if !c.even() || len(c.nm) < 6 {
			return out, errors.New("the Sprague formula needs six readings or more at equal steps; use the linear method")
		}
		out.Spectrum = c.sprague(r.Quantity)
	case Average:
		out.Spectrum = c.average(r.Quantity)
	}
	out.Findings = append(out.Findings, c.ends(r.Quantity)...)
	out.Findings = append(out.Findings, cut(&out.Spectrum)...)
	if err := out.Spectrum.Check(); err != nil {
		return out, err
	}
	if _, top := out.Spectrum.Peak(); r.Quantity.IsMaterial() && top > 1.2 {
		return out, fmt.Errorf("%s reaches %.3g: 0 to 1 is allowed; divide by 100 if the readings are in percent", r.Quantity, top)
	}
	return out, nil
}

// curvePoints are cleaned readings: rising wavelengths, finite values, no
// gaps.
type curvePoints struct{ nm, v []float64 }

// clean checks the readings, drops the gaps, sorts and joins duplicates.
func (r *Raw) clean() (curvePoints, []finding.Finding, error) {
	var c curvePoints
	if len(r.Wavelengths) != len(r.Values) || (r.Gaps != nil && len(r.Gaps) != len(r.Values)) {
		return c, nil, fmt.Errorf("%d wavelengths, %d values, %d gap marks: one of each is needed", len(r.Wavelengths), len(r.Values), len(r.Gaps))
	}
	type point struct{ nm, v float64 }
	var points []point
	gaps := 0
	for i, nm := range r.Wavelengths {
		if !(nm > 0 && nm < 1e5) {
			return c, nil, fmt.Errorf("wavelength %d is %g nm: more than 0 and less than 100000 nm is allowed; check the unit (1 µm is 1000 nm)", i+1, nm)
		}
		if r.Gaps != nil && r.Gaps[i] {
			gaps++
			continue
		}
		if math.IsNaN(r.Values[i]) || math.IsInf(r.Values[i], 0) {
			return c, nil, fmt.Errorf("reading at %g nm is %v: a finite number is needed; mark it as a gap", nm, r.Values[i])
		}
		points = append(points, point{nm, r.Values[i]})
	}
	if len(points) < 2 {
		return c, nil, fmt.Errorf("%d readings: two or more are needed", len(points))
	}
	slices.SortStableFunc(points, func(a, b point) int { return cmp.Compare(a.nm, b.nm) })
	doubles := 0
	for i := 0; i < len(points); {
		j, sum := i, 0.0
		for ; j < len(points) && points[j].nm == points[i].nm; j++ {
			sum += points[j].v
		}
		c.nm = append(c.nm, points[i].nm)
		c.v = append(c.v, sum/float64(j-i))
		doubles += j - i - 1
		i = j
	}
	if len(c.nm) < 2 {
		return c, nil, fmt.Errorf("all readings are at %g nm: two wavelengths or more are needed", c.nm[0])
	}
	var fs []finding.Finding
	if gaps > 0 {
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "spectrum.gaps",
			What:  fmt.Sprintf("%d of %d readings are missing and were bridged from their neighbours", gaps, len(r.Values)),
			Cause: "empty cells or readings marked as invalid",
		})
	}
	if doubles > 0 {
		fs = append(fs, finding.Finding{
			Severity: finding.Note, Key: "spectrum.doubles",
			What:  fmt.Sprintf("%d wavelengths occur more than once; their mean is used", doubles),
			Cause: "several scans in one file, or a repeated line",
		})
	}
	return c, fs, nil
}

// ends says what was not measured.
func (c *curvePoints) ends(q Quantity) []finding.Finding {
	first, last := c.nm[0], c.nm[len(c.nm)-1]
	if first <= First+endSlack && last >= Last-endSlack {
		return nil
	}
	filled, mend := "counts as 0 beyond, so lm/W come out too high and violet or deep red is missed", "measure from 380 to 780 nm"
	source := "CIE 224:2017 clause 4"
	if q.IsMaterial() {
		filled, source = "keeps its last value beyond", "CIE 015:2018 clause 7.2.3 (from memory)"
	}
	return []finding.Finding{{
		Severity: finding.Warn, Key: "spectrum.range",
		What:   fmt.Sprintf("readings run from %g to %g nm, short of 380 to 780 nm", first, last),
		Cause:  q.String() + " " + filled,
		Mend:   mend,
		Source: source,
	}}
}

// cut sets what is below 0 to 0 and says so where it is more than noise.
func cut(s *Spectrum) []finding.Finding {
	var below, above float64
	for i, v := range s {
		if v < 0 {
			below -= v
			s[i] = 0
		} else {
			above += v
		}
	}
	if below <= 0.002*above {
		return nil
	}
	return []finding.Finding{{
		Severity: finding.Warn, Key: "spectrum.negative",
		What:  fmt.Sprintf("readings below 0 make up %.1f %% of the sum and were set to 0; up to 0.2 %% passes as noise", 100*below/above),
		Cause: "the dark reading was too high or taken at another temperature",
		Mend:  "take the dark reading again and subtract it", Source: "common practice, no source",
	}}
}
