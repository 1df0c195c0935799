package check

import (
	"encoding/json"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"time"
)

// rule says how far off a result may be.
type rule struct {
	path []string // keys from the results down; * stands for any key or index
	// tolerance is the largest deviation allowed, in the result's own unit.
	tolerance func(want float64) float64
	kind      ruleKind
}

type ruleKind uint8

const (
	number ruleKind = iota
	same            // text, yes or no, or null: equal or not
	moment          // a time of day with date; seconds
	angle           // degrees, 359 next to 0
)

func at(path string) []string { return strings.Split(path, "/") }

// within allows a fixed deviation.
func within(path string, tol float64) rule {
	return rule{path: at(path), tolerance: func(float64) float64 { return tol }}
}

// share allows a deviation relative to the stored value.
func share(path string, tol float64) rule {
	return rule{path: at(path), tolerance: func(want float64) float64 { return tol * math.Abs(want) }}
}

// rounded is share for values stored with few decimals: half of the last one
// comes on top.
func rounded(path string, rel float64, decimals int) rule {
	half := 0.5 * math.Pow10(-decimals)
	return rule{path: at(path), tolerance: func(want float64) float64 { return rel*math.Abs(want) + half }}
}

// either allows the larger of a fixed and a relative deviation.
func either(path string, abs, rel float64) rule {
	return rule{path: at(path), tolerance: func(want float64) float64 { return max(abs, rel*math.Abs(want)) }}
}

// equal wants the very same text, truth value or null.
func equal(path string) rule {
	return rule{path: at(path), kind: same, tolerance: func(float64) float64 { return 0 }}
}

// seconds allows a time to be off by that much.
func seconds(path string, tol float64) rule {
	r := within(path, tol)
	r.kind = moment
	return r
}

// degrees allows an angle to be off by that much, around the circle.
func degrees(path string, tol float64) rule {
	r := within(path, tol)
	r.kind = angle
	return r
}

func (r *rule) matches(path []string) bool {
	if len(path) != len(r.path) {
		return false
	}
	for i, p := range r.path {
		if p != "*" && p != path[i] {
			return false
		}
	}
	return true
}

// comparison walks stored and computed results side by side.
type comparison struct {
	rules  []rule
	judged int
	worst  float64 // deviation over tolerance
	at     Worst
	why    string
}

func (c *comparison) all(stored, computed json.RawMessage) {
	var want, got any
	if json.Unmarshal(stored, &want) != nil || json.Unmarshal(computed, &got) != nil {
		c.fail(nil, "stored results cannot be read")
		return
	}
	c.walk(nil, want, got)
}

// walk goes through everything that is stored. Keys that were computed but are
// not stored do not count, but an entry too many in a list does.
func (c *comparison) walk(path []string, want, got any) {
	path = slices.Clip(path)
	if r := c.find(path); r != nil {
		c.judge(r, path, want, got)
		return
	}
	switch w := want.(type) {
	case map[string]any:
		g, _ := got.(map[string]any)
		for _, k := range slices.Sorted(maps.Keys(w)) {
			c.walk(append(path, k), w[k], g[k])
		}
	case []any:
		g, _ := got.([]any)
		for i := range max(len(w), len(g)) {
			var a, b any
			if i < len(w) {
				a = w[i]
			}
			if i < len(g) {
				b = g[i]
			}
			here := append(path, fmt.Sprint(i))
			if i >= len(w) {
				c.surplus(here, b)
				continue
			}
			c.walk(here, a, b)
		}
	default:
		// Nonsense where a nest of results should be.
		if want != nil {
			c.surplus(path, got)
		}
	}
}

// surplus is computed where nothing of the kind is stored.
func (c *comparison) surplus(path []string, got any) {
	path = slices.Clip(path)
	if r := c.find(path); r != nil {
		c.judged++
		c.fail(path, "a value was computed for which none is stored")
		return
	}
	switch g := got.(type) {
	case map[string]any:
		for _, k := range slices.Sorted(maps.Keys(g)) {
			c.surplus(append(path, k), g[k])
		}
	case []any:
		for i := range g {
			c.surplus(append(path, fmt.Sprint(i)), g[i])
		}
	}
}

func (c *comparison) find(path []string) *rule {
	for i := range c.rules {
		if c.rules[i].matches(path) {
			return &c.rules[i]
		}
	}
	return nil
}

func (c *comparison) judge(r *rule, path []string, want, got any) {
	c.judged++
	dev, tol, why := r.deviation(want, got)
	if why != "" {
		c.fail(path, why)
		return
	}
	filled := dev / tol
	if tol == 0 {
		filled = 2 * dev
	}
	if c.at.Key == "" || filled > c.worst {
		c.worst, c.at = filled, Worst{Key: keyText(path), Deviation: &dev, Tolerance: tol}
	}
}

// fail notes a deviation that cannot be told; the first one stays.
func (c *comparison) fail(path []string, why string) {
	if math.IsInf(c.worst, 1) {
		return
	}
	c.judged = max(c.judged, 1)
	c.worst, c.at, c.why = math.Inf(1), Worst{Key: keyText(path)}, keyText(path)+": "+why
}

func (r *rule) deviation(want, got any) (dev, tol float64, why string) {
	if got == nil {
		if want == nil {
			return 0, r.tolerance(0), ""
		}
		if r.kind != same {
			return 0, 0, "stored but not computed"
		}
	}
	switch r.kind {
	case same:
		if _, isMap := want.(map[string]any); isMap {
			return 0, 0, "stored answer is not of the right kind"
		}
		if _, isList := want.([]any); isList {
			return 0, 0, "stored answer is not of the right kind"
		}
		if want != got {
			return 1, 0, ""
		}
		return 0, 0, ""
	case moment:
		a, ok := timeOf(want)
		b, ok2 := timeOf(got)
		if !ok || !ok2 {
			return 0, 0, "stored answer is no time such as 2026-12-21T07:14:54.4Z"
		}
		return math.Abs(a.Sub(b).Seconds()), r.tolerance(0), ""
	}
	a, ok := want.(float64)
	b, ok2 := got.(float64)
	if !ok {
		a, ok = sexagesimal(want)
	}
	if !ok || !ok2 {
		return 0, 0, "stored answer is no number"
	}
	dev = math.Abs(a - b)
	if r.kind == angle {
		dev = math.Abs(math.Remainder(a-b, 360))
	}
	return dev, r.tolerance(a), ""
}

func timeOf(v any) (time.Time, bool) {
	s, ok := v.(string)
	if !ok {
		return time.Time{}, false
	}
	t, err := time.Parse(time.RFC3339Nano, s)
	return t, err == nil
}

// sexagesimal reads degrees as almanacs write them, 199d54m23.56s, and hours
// as 13h13m30.7s, into degrees.
func sexagesimal(v any) (float64, bool) {
	s, ok := v.(string)
	if !ok {
		return 0, false
	}
	scale, sign := 1.0, 1.0
	switch {
	case strings.HasPrefix(s, "-"):
		sign, s = -1, s[1:]
	case strings.HasPrefix(s, "+"):
		s = s[1:]
	}
	if strings.Contains(s, "h") {
		scale, s = 15, strings.Replace(s, "h", "d", 1)
	}
	var d, m, sec float64
	if n, _ := fmt.Sscanf(s, "%fd%fm%fs", &d, &m, &sec); n != 3 {
		return 0, false
	}
	return sign * scale * (d + m/60 + sec/3600), true
}

// keyText writes a path as in tm30.Rf_hj[3].
func keyText(path []string) string {
	var b strings.Builder
	for _, p := range path {
		switch {
		case p != "" && strings.Trim(p, "0123456789") == "" && b.Len() > 0:
			b.WriteString("[" + p + "]")
		case b.Len() > 0:
			b.WriteString("." + p)
		default:
			b.WriteString(p)
		}
	}
	return b.String()
}
