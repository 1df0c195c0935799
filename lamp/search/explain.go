package search

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnsmith/lamp/brief"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
)

// Impossible explains why no lamp of the catalogue meets a brief.
type Impossible struct {
	// Proof, if not empty, shows by geometry alone that no lamp of these trays
	// can meet the brief, whatever strip or sheet it has.
	Proof string
	// Relax lists, for each target, how far it alone would have to give way for
	// a lamp to exist; a target whose giving way does not help is not listed.
	Relax []Relax
	// Nearest is the lamp that misses the brief by least, and its checks.
	Nearest *Point
	// Heat says that lamps which meet every target are too hot.
	Heat bool
}

// Relax is one way out.
type Relax struct {
	Target Target
	// To is the value that the limit would have to take.
	To float64
	// By is the change relative to the limit.
	By float64
	// Lamp is the lamp that this admits.
	Lamp Point
}

// Sentence says the way out in words.
func (r Relax) Sentence() string {
	way := "lower"
	if r.Target.Bound == AtMost {
		way = "raise"
	}
	return fmt.Sprintf("%s the limit on the %s from %s to %s (%.0f %%)", way, r.Target.Name, r.Target.LimitText(), r.Target.Text(r.To), 100*r.By)
}

func explain(b brief.Brief, set part.Set, ts []Target, points []Point) *Impossible {
	im := &Impossible{Proof: proof(b, set)}
	cool := points
	if slices.ContainsFunc(points, func(p Point) bool { return p.worst == 0 && p.hot }) {
		im.Heat = true
	}
	cool = slices.DeleteFunc(slices.Clone(points), func(p Point) bool { return p.hot })
	if len(cool) > 0 {
		near := slices.MinFunc(cool, func(a, b Point) int {
			return cmp.Or(cmp.Compare(a.worst, b.worst), cmp.Compare(sum(a), sum(b)))
		})
		im.Nearest = &near
	}
	for i, t := range ts {
		best := math.Inf(1)
		var at Point
		for _, p := range cool {
			others := slices.ContainsFunc(p.Checks, func(c Check) bool { return c.Metric != t.Metric && !c.Met() })
			if !others && p.Checks[i].Short > 0 && p.Checks[i].Short < best {
				best, at = p.Checks[i].Short, p
			}
		}
		if !math.IsInf(best, 1) {
			im.Relax = append(im.Relax, Relax{Target: t, To: at.Checks[i].Got, By: best, Lamp: at})
		}
	}
	slices.SortStableFunc(im.Relax, func(a, b Relax) int { return cmp.Compare(a.By, b.By) })
	return im
}

func sum(p Point) float64 {
	s := 0.0
	for _, c := range p.Checks {
		s += c.Short
	}
	return s
}

// proof tries the bound that holds for every lamp: a face no brighter than
// allowed, as large as the largest tray, evenly bright.
func proof(b brief.Brief, set part.Set) string {
	w := b.Wanted
	if w.MeterIlluminance == 0 || w.FaceLuminance == 0 {
		return ""
	}
	var most float64
	var at part.Tray
	for _, t := range set.Trays {
		if w.Length > 0 && t.Length > w.Length || w.Depth > 0 && t.Depth > w.Depth {
			continue
		}
		if e := optics.OnAxis(w.FaceLuminance, t.Length, t.Width, b.Place.MeterDistance); e > most {
			most, at = e, t
		}
	}
	// A real face is brighter in the middle, which lifts the axis by up to a
	// tenth over an even face of the same mean.
	if most == 0 || most*1.1 >= w.MeterIlluminance {
		return ""
	}
	lum, lux := Target{Metric: predict.FaceMean}, Target{Metric: predict.MeterLux}
	need := w.FaceLuminance * w.MeterIlluminance / most
	d, err := optics.DistanceFor(w.MeterIlluminance, w.FaceLuminance, at.Length, at.Width)
	ways := []string{"a luminance of " + lum.Text(need)}
	if err == nil {
		ways = append(ways, fmt.Sprintf("the meter as near as %.2f m", d))
	}
	if w.MeterIlluminance < math.Pi*w.FaceLuminance {
		ways = append(ways, fmt.Sprintf("a face %.1f times as large", largerBy(w, at, b.Place.MeterDistance)))
	}
	return fmt.Sprintf("An evenly bright face of %.0f × %.0f mm, the largest tray allowed, gives %s at %.2f m when its luminance is %s, whatever strip and sheet it has; the brief asks for %s. It would take %s.",
		at.Length*1000, at.Width*1000, lux.Text(most), b.Place.MeterDistance, lum.Text(w.FaceLuminance), lux.Text(w.MeterIlluminance), strings.Join(ways, ", or "))
}

// largerBy is how many times the area of the tray a face of the same shape
// needs to reach the illuminance at the luminance allowed.
func largerBy(w brief.Wanted, t part.Tray, d float64) float64 {
	lo, hi := 1.0, 1000.0
	for range 60 {
		mid := math.Sqrt(lo * hi)
		k := math.Sqrt(mid)
		if optics.OnAxis(w.FaceLuminance, t.Length*k, t.Width*k, d) < w.MeterIlluminance {
			lo = mid
		} else {
			hi = mid
		}
	}
	return hi
}
