package stock

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/wiring"
)

// After is the stock when everything on the bill was bought and the lamp is
// built: leftovers long enough to keep become reels of their own, marked begun,
// with their batch and the place of their first joint.
//
// A leftover of a reel whose joints were only supposed has no first joint: it
// is not known.
func (s Stock) After(l lamp.Lamp, p *Plan, b price.Bill) Stock {
	out := Stock{Schema: 1, Note: s.Note, Cutting: s.Cutting}
	out.Reels = s.afterCut(l, p)
	names := func(name string) bool { return taken(out.Reels, name) }
	// Reels that came in a pack and were not opened stay whole.
	for _, n := range b.Lines {
		if n.Kind != "strip" {
			continue
		}
		at := slices.IndexFunc(l.Strips(), func(s part.Strip) bool { return s.ID == n.ID })
		strip := l.Strips()[at]
		bought := int(math.Floor(float64(n.FirstPacks)*n.Pack/strip.Reel + 1e-9))
		for k := p.part(at).New; k < bought; k++ {
			out.Reels = append(out.Reels, Reel{Name: free(fmt.Sprintf("reel %d", k+1), names), Strip: strip.ID, Length: strip.Reel})
		}
	}
	out.Have = s.afterUse(b)
	return out
}

func (s Stock) afterCut(l lamp.Lamp, p *Plan) []Reel {
	var out []Reel
	for _, r := range s.Reels {
		opened := slices.ContainsFunc(p.Reels, func(k wiring.Reel) bool { return !k.New && k.Name == r.Name && k.Strip == r.Strip })
		if !opened {
			out = append(out, r)
		}
	}
	for _, r := range p.Reels {
		old := Reel{Strip: r.Strip, Batch: r.Batch}
		stem := r.Name
		if r.New {
			stem = strings.TrimPrefix(r.Name, "new ")
		} else if i := slices.IndexFunc(s.Reels, func(k Reel) bool { return k.Name == r.Name && k.Strip == r.Strip }); i >= 0 {
			old = s.Reels[i]
		}
		// What is left of one reel is of one batch, known or not.
		batch := r.Batch
		if batch == "" && len(r.Rests) > 1 {
			batch = free("of "+strings.TrimPrefix(stem, "rest of "), func(name string) bool {
				return slices.ContainsFunc(s.Reels, func(k Reel) bool { return k.Batch == name })
			})
		}
		for _, rest := range r.Rests {
			if !rest.Kept {
				continue
			}
			k := Reel{Strip: r.Strip, Batch: batch, Begun: true, JointEvery: old.JointEvery,
				Length: math.Round(float64(rest.To-rest.From)*l.Strip.Cut*1e4) / 1e4}
			if r.Known {
				k.NoJoints = true
				for _, j := range r.Joints {
					if j > rest.From && j < rest.To {
						k.NoJoints, k.FirstJoint = false, math.Round(float64(j-rest.From)*l.Strip.Cut*1e4)/1e4
						break
					}
				}
			}
			k.Name = free("rest of "+strings.TrimPrefix(stem, "rest of "), func(name string) bool { return taken(out, name) })
			out = append(out, k)
		}
	}
	return out
}

func taken(rs []Reel, name string) bool {
	return slices.ContainsFunc(rs, func(r Reel) bool { return r.Name == name })
}

// free is the name, or the name with the first number that nobody has.
func free(name string, taken func(string) bool) string {
	out := name
	for i := 2; taken(out); i++ {
		out = fmt.Sprintf("%s, %d", name, i)
	}
	return out
}

// afterUse is what is left of everything but strip.
func (s Stock) afterUse(b price.Bill) []Have {
	out := slices.Clone(s.Have)
	for _, n := range b.Lines {
		if n.Kind == "strip" || n.Class == price.ToolClass && n.Optional {
			continue
		}
		left := n.Stock + float64(n.FirstPacks)*n.Pack
		if n.Class != price.ToolClass {
			left -= n.Need
		}
		left = math.Floor(left*1000+1e-6) / 1000
		name := n.Kind + "/" + n.ID
		i := slices.IndexFunc(out, func(h Have) bool { return h.Part == name })
		if left <= 0 {
			if i >= 0 {
				out = slices.Delete(out, i, i+1)
			}
			continue
		}
		h := Have{Part: name}
		switch unitOf(n.Kind) {
		case "length":
			h.Length = left
		case "area":
			h.Area = left
		default:
			h.Count = left
		}
		if i >= 0 {
			out[i] = h
		} else {
			out = append(out, h)
		}
	}
	return out
}

// Outfit is all that one lamp takes from stock and shop, worked out together.
type Outfit struct {
	Stock Stock
	Plan  *Plan
	// Next cuts the lamp after this one from what is left; nil when that is
	// not possible.
	Next  *Plan
	Bill  price.Bill
	After Stock
}

// Fit plans the cutting of a lamp and of the next one after it, and makes the
// bill that agrees with both.
func (s Stock) Fit(l lamp.Lamp, set part.Set) (*Outfit, error) {
	o := &Outfit{Stock: s}
	var err error
	if o.Plan, err = s.Cut(l, 1); err != nil {
		return nil, err
	}
	left := Stock{Cutting: s.Cutting, Reels: s.afterCut(l, o.Plan)}
	if o.Next, err = left.cut(l, 1, false); err != nil {
		return nil, err
	}
	return o, o.settle(l, set)
}

// settle makes the bill and what is left.
func (o *Outfit) settle(l lamp.Lamp, set part.Set) (err error) {
	if o.Bill, err = price.ListCut(l, set, o.Stock.Amounts(), o.Stock.Bill(l, o.Plan, o.Next)); err != nil {
		return err
	}
	o.After = o.Stock.After(l, o.Plan, o.Bill)
	return nil
}

// For is the outfit of a lamp that is cut alike: of the same strip, as many
// rows and as many units in each. The plans are kept, the bill is made anew.
func (o *Outfit) For(l lamp.Lamp, set part.Set) (*Outfit, error) {
	next := *o
	return &next, next.settle(l, set)
}
