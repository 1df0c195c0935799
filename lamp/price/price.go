// Package price turns a lamp into a shopping list: what to buy for the first
// lamp and for the next one, in whole packs, less what is in stock.
//
// The price of N lamps is
//
//	cost(N) = tools + Σ_j price_j · ⌈max(0, N·q_j − stock_j) / pack_j⌉
//
// with q_j what one lamp takes; strip is counted in reels, from which rows are
// cut whole. First lamp: cost(1). Next lamp: cost(2) − cost(1), a step
// function because of packs. In the long run: Σ price_j·q_j/pack_j.
// Currencies are labels and are never converted.
//
// A cutting plan (Cutting) says exactly how many reels are bought and what its
// splices take; without one, rows are cut whole from new reels.
//
// Not modelled: postage and discounts.
package price

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// Class groups the list.
type Class string

const (
	// ToolClass is bought once.
	ToolClass Class = "tool"
	// DurableClass is built into the lamp or hangs beside it.
	DurableClass Class = "durable"
	// ConsumableClass is used up.
	ConsumableClass Class = "consumable"
)

// Line is one row of the shopping list.
type Line struct {
	Class Class  `json:"class"`
	Kind  string `json:"kind"` // tray, strip, wire …
	ID    string `json:"id"`
	Name  string `json:"name"`
	// Need is what one lamp takes, in Unit.
	Need float64 `json:"need"`
	// Unit is "piece", "m", "m²" or "pack".
	Unit string `json:"unit"`
	// Pack is what one pack holds, in Unit; Each its price.
	Pack float64    `json:"pack"`
	Each part.Money `json:"-"`
	// FirstPacks and NextPacks are bought for the first and for the next lamp.
	FirstPacks int `json:"first_packs"`
	NextPacks  int `json:"next_packs"`
	// Stock is what the owner has, in Unit.
	Stock float64 `json:"stock,omitempty"`
	// Cost of the first and of the next lamp's packs.
	First part.Money `json:"first"`
	Next  part.Money `json:"next"`
	// Unpriced marks a part whose price is not known; it counts as nothing.
	Unpriced bool `json:"unpriced,omitempty"`
	// Optional tools are listed but not counted.
	Optional bool `json:"optional,omitempty"`
}

// Bill is the shopping list with its sums.
type Bill struct {
	Lines []Line `json:"lines"`
	// Tools, First, Next and LongRun as in the package comment; First and
	// Next are without tools.
	Tools   part.Money `json:"tools"`
	First   part.Money `json:"first_lamp"`
	Next    part.Money `json:"next_lamp"`
	LongRun part.Money `json:"long_run"`
	// Unpriced names the parts without a price.
	Unpriced []string `json:"unpriced,omitempty"`
}

// Stock tells what the owner has: "kind/id" to an amount in the line's unit.
type Stock map[string]float64

// Cutting is what a cutting plan says of the shop and of the bench.
type Cutting struct {
	// Strips tells of each strip of the lamp, by its id.
	Strips map[string]Reels
	// Joints are the solder joints of the splices of one lamp, Wire the bus
	// wire that bridges them, m.
	Joints int
	Wire   float64
}

// Reels is what a cutting plan takes of one strip.
type Reels struct {
	// First and Next are new reels opened for the first and for the next lamp.
	First, Next int
	// Held is the strip on hand in reels and leftovers, m.
	Held float64
}

// List makes the bill of a lamp. Tools and consumables are those of the set;
// the lamp brings its own parts. It fails when currencies differ.
func List(l lamp.Lamp, set part.Set, stock Stock) (Bill, error) {
	return ListCut(l, set, stock, nil)
}

// ListCut is List with the reels of a cutting plan; nil is List.
func ListCut(l lamp.Lamp, set part.Set, stock Stock, c *Cutting) (Bill, error) {
	var b Bill
	joints, held := l.Joints(), stock
	if c != nil {
		joints += c.Joints
		held = maps.Clone(stock)
		if held == nil {
			held = Stock{}
		}
		for id, r := range c.Strips {
			held["strip/"+id] = r.Held
		}
	}
	add := func(c Class, kind string, it part.Item, need float64, unit string) {
		if need > 0 {
			b.Lines = append(b.Lines, Line{Class: c, Kind: kind, ID: it.ID, Name: it.Name, Need: need, Unit: unit, Pack: it.PackSize(), Each: it.Price, Stock: held[kind+"/"+it.ID]})
		}
	}
	add(DurableClass, "tray", l.Tray.Item, 1, "piece")
	for k, s := range l.Strips() {
		half := l.Half(k)
		add(DurableClass, "strip", s.Item, half.StripLength(), "m")
	}
	if l.Lining != nil {
		add(DurableClass, "lining", l.Lining.Item, l.LinedArea()*1.1, "m²") // a tenth for offcuts
	}
	switch s := l.Sheets(); {
	case len(s) == 2 && s[0].ID == s[1].ID:
		add(DurableClass, "sheet", s[0].Item, 2*l.FaceArea(), "m²")
	default:
		for _, k := range s {
			add(DurableClass, "sheet", k.Item, l.FaceArea(), "m²")
		}
	}
	add(DurableClass, "supply", l.Supply.Item, 1, "piece")
	bus, lead := l.BusTotal(), l.LeadTotal()
	if c != nil {
		bus += c.Wire
	}
	if l.Bus.ID == l.Lead.ID {
		add(DurableClass, "wire", l.Bus.Item, bus+lead, "m")
	} else {
		add(DurableClass, "wire", l.Bus.Item, bus, "m")
		add(DurableClass, "wire", l.Lead.Item, lead, "m")
	}
	add(DurableClass, "connector", l.Connector.Item, 1, "piece")
	if l.Fuse != nil {
		add(DurableClass, "fuse", l.Fuse.Item, float64(1), "piece")
	}
	if l.Dimmer != nil {
		add(DurableClass, "dimmer", l.Dimmer.Item, 1, "piece")
	}
	if l.Mount != nil {
		add(DurableClass, "mount", l.Mount.Item, 1, "piece")
	}
	for _, k := range set.Consumables {
		if k.ForBack && (l.Paint == nil || l.Paint.ID != k.ID) {
			continue
		}
		need := k.PerLamp + k.PerJoint*float64(joints) + k.PerStrip*l.StripLength() + k.PerRow*float64(l.Spec.Rows) + k.PerBack*l.FaceArea()
		add(ConsumableClass, "consumable", k.Item, need, "pack unit")
	}
	for _, t := range set.Tools {
		add(ToolClass, "tool", t.Item, 1, "piece")
		b.Lines[len(b.Lines)-1].Optional = t.Optional
	}
	return b.sum(l, c)
}

func (b Bill) sum(l lamp.Lamp, c *Cutting) (Bill, error) {
	var longRun float64
	currency := ""
	for i := range b.Lines {
		n := &b.Lines[i]
		of := l
		if n.Kind == "strip" {
			of = l.Half(slices.IndexFunc(l.Strips(), func(s part.Strip) bool { return s.ID == n.ID }))
		}
		first, next := packs(*n, of, 1), packs(*n, of, 2)-packs(*n, of, 1)
		if n.Kind == "strip" && c != nil {
			inReel := of.Strip.Reel / n.Pack // a pack is mostly one reel
			r := c.Strips[n.ID]
			first = int(math.Ceil(float64(r.First)*inReel - 1e-9))
			next = int(math.Ceil(float64(r.First+r.Next)*inReel-1e-9)) - first
		}
		if n.Class == ToolClass {
			next = 0
		}
		n.FirstPacks, n.NextPacks = first, next
		n.First, n.Next = n.Each.Times(first), n.Each.Times(next)
		n.Unpriced = n.Each == part.Money{}
		if n.Unpriced {
			b.Unpriced = append(b.Unpriced, n.Name)
			continue
		}
		var err error
		switch {
		case n.Class == ToolClass && n.Optional:
		case n.Class == ToolClass:
			b.Tools, err = b.Tools.Add(n.First)
		default:
			if b.First, err = b.First.Add(n.First); err == nil {
				b.Next, err = b.Next.Add(n.Next)
			}
			longRun += n.Each.Amount() * n.Need / n.Pack
			currency = n.Each.Currency
		}
		if err != nil {
			return Bill{}, fmt.Errorf("%s %q: %w", n.Kind, n.ID, err)
		}
	}
	b.LongRun = part.Money{Cents: int64(math.Round(longRun * 100)), Currency: currency}
	return b, nil
}

// packs is how many packs N lamps take. Rows are cut whole from reels: a
// reel gives ⌊units per reel / units per row⌋ rows.
func packs(n Line, l lamp.Lamp, lamps int) int {
	need := float64(lamps)*n.Need - n.Stock
	if n.Class == ToolClass {
		need = n.Need - n.Stock
	}
	if n.Kind == "strip" {
		per := l.Strip.UnitsPerReel() / max(1, l.Spec.Units)
		if per > 0 {
			rows := float64(lamps*l.Spec.Rows) - math.Floor(n.Stock/l.RowLength()+1e-9)
			reels := math.Ceil(math.Max(0, rows)/float64(per) - 1e-9)
			return int(math.Ceil(reels*l.Strip.Reel/n.Pack - 1e-9))
		}
	}
	return int(math.Ceil(math.Max(0, need)/n.Pack - 1e-9))
}

// NeedText shows what one lamp takes, such as "2.10 m" or "1 piece".
func (n Line) NeedText() string {
	switch n.Unit {
	case "piece":
		if n.Need == 1 {
			return "1 piece"
		}
		return fmt.Sprintf("%.0f pieces", n.Need)
	case "m", "m²":
		return quantity.Decimals(n.Need, 2) + "\u202f" + n.Unit
	}
	return quantity.Digits(n.Need/n.Pack, 2) + " of a pack"
}
