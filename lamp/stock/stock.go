// Package stock holds what an owner has on hand and plans lamps from it: reels
// and leftovers of strip with their factory joints and batches, wire, parts and
// tools. It joins the exact cutting of package cut to the wiring and to the
// shopping list, so that all three speak of the same reels, and says what will
// be left when the lamp is built.
package stock

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"dawnsmith/lamp/part"
	"dawnsmith/lamp/price"
	"dawnsmith/quantity"
)

// Stock is a stock document: what the owner has.
type Stock struct {
	Schema int    `doc:"schema,required"`
	Note   string `doc:"note"`
	// Counted is the date on which it was counted, as text.
	Counted string `doc:"counted"`
	Cutting Rules  `doc:"cutting"`
	Reels   []Reel `doc:"reel"`
	Have    []Have `doc:"have"`
}

// Rules say how strip may be cut.
type Rules struct {
	// Pieces is the most pieces a row may be joined from; 0: 1, no splices.
	Pieces int `doc:"pieces_per_row"`
	// Least is the shortest piece in a spliced row, in cut units; 0: 3, which
	// can still be held and sticks (common practice, no source).
	Least int `doc:"least_units"`
	// Keep is the shortest leftover worth keeping, m; 0: a row of the lamp.
	Keep float64 `doc:"keep" dim:"length"`
	// NoJoints forbids factory joints inside rows.
	NoJoints bool `doc:"no_joints_in_rows"`
	// MixBatches lets one lamp be cut from reels of different colour batches.
	MixBatches bool `doc:"mix_batches"`
}

// Reel is a reel of strip, or a leftover of one.
type Reel struct {
	Name  string `doc:"name,required"`  // as written on it
	Strip string `doc:"strip,required"` // id of the strip
	Batch string `doc:"batch"`          // colour batch; "": not known, so it matches no other reel
	// Length is what is on it, m; what is short of a whole cut unit is lost.
	Length float64 `doc:"length,required" dim:"length"`
	// FirstJoint is from its start to the first factory joint, m; 0: not
	// measured.
	FirstJoint float64 `doc:"first_joint" dim:"length"`
	// JointEvery is between its factory joints, m; 0: as the strip's.
	JointEvery float64 `doc:"joint_every" dim:"length"`
	// NoJoints says that it has no factory joint.
	NoJoints bool `doc:"no_joints"`
	// Begun marks a leftover: it is taken before a whole reel is opened.
	Begun bool `doc:"begun"`
}

// Have is an amount of anything else: of one of length, area and count, the
// one in which the part is sold.
type Have struct {
	Part   string  `doc:"part,required"`       // "kind/id", such as "wire/awg-20" or "tool/iron"
	Length float64 `doc:"length" dim:"length"` // m
	Area   float64 `doc:"area" dim:"area"`     // m²
	// Count is pieces, or the unit in which a consumable's pack is counted.
	Count float64 `doc:"count"`
}

// Amount is whichever of length, area and count is given, SI.
func (h Have) Amount() float64 { return h.Length + h.Area + h.Count }

// Fault is one wrong entry of a stock document.
type Fault struct {
	Key     string // "reel[1].length"
	Found   string
	Allowed string
}

// Error gives one line for a person.
func (f *Fault) Error() string {
	return fmt.Sprintf("%s is %s; allowed is %s", f.Key, f.Found, f.Allowed)
}

// Limits of a stock: what package cut plans at a time, and a reel's length, m.
const (
	mostReels  = 150
	longest    = 200.0
	mostPieces = 4
)

// Check returns a *Fault for the first entry that makes no sense by itself.
func (s Stock) Check() error {
	bad := func(key, found, allowed string, args ...any) error {
		return &Fault{key, found, fmt.Sprintf(allowed, args...)}
	}
	mm := func(x float64) string { return quantity.Format(x, quantity.Length, 4) }
	r := s.Cutting
	switch {
	case r.Pieces < 0 || r.Pieces > mostPieces:
		return bad("cutting.pieces_per_row", fmt.Sprint(r.Pieces), "1 (no splices) to %d", mostPieces)
	case r.Least < 0 || r.Least > 100:
		return bad("cutting.least_units", fmt.Sprint(r.Least), "1 to 100 cut units")
	case !(r.Keep >= 0 && r.Keep <= longest):
		return bad("cutting.keep", mm(r.Keep), "0 to %s", mm(longest))
	case len(s.Reels) > mostReels:
		return bad("reel", fmt.Sprintf("a list of %d", len(s.Reels)), "up to %d reels and leftovers", mostReels)
	}
	names := map[string]bool{}
	for i, k := range s.Reels {
		at := func(key string) string { return fmt.Sprintf("reel[%d].%s", i+1, key) }
		switch {
		case strings.TrimSpace(k.Name) == "":
			return bad(at("name"), "empty", "what is written on the reel")
		case names[k.Name]:
			return bad(at("name"), fmt.Sprintf("%q a second time", k.Name), "a name of its own for every reel and leftover")
		case k.Strip == "":
			return bad(at("strip"), "empty", "the id of a strip")
		case !(k.Length > 0 && k.Length <= longest):
			return bad(at("length"), mm(k.Length), "above 0, up to %s", mm(longest))
		case !(k.FirstJoint >= 0 && k.FirstJoint <= longest):
			return bad(at("first_joint"), mm(k.FirstJoint), "0 (not measured) to %s", mm(longest))
		case !(k.JointEvery >= 0 && k.JointEvery <= longest):
			return bad(at("joint_every"), mm(k.JointEvery), "0 (as the strip's) to %s", mm(longest))
		case k.NoJoints && k.FirstJoint > 0:
			return bad(at("first_joint"), mm(k.FirstJoint), "nothing where no_joints is true; leave one of the two out")
		}
		names[k.Name] = true
	}
	seen := map[string]bool{}
	for i, h := range s.Have {
		at := func(key string) string { return fmt.Sprintf("have[%d].%s", i+1, key) }
		kind, id, ok := strings.Cut(h.Part, "/")
		given := 0
		for _, x := range []float64{h.Length, h.Area, h.Count} {
			if !(x >= 0 && x < 1e9) {
				return bad(at("part"), fmt.Sprintf("%q with an amount of %v", h.Part, x), "an amount of 0 or more")
			}
			if x > 0 {
				given++
			}
		}
		switch {
		case !ok || kind == "" || id == "":
			return bad(at("part"), fmt.Sprintf("%q", h.Part), `a kind and an id, such as "wire/awg-20"`)
		case kind == "strip":
			return bad(at("part"), fmt.Sprintf("%q", h.Part), "anything but strip, which stands under [[reel]]")
		case !slices.Contains(kinds, kind):
			return bad(at("part"), fmt.Sprintf("of the kind %q", kind), "one of %s; the nearest is %q", strings.Join(kinds, ", "), part.Nearest(kind, kinds))
		case seen[h.Part]:
			return bad(at("part"), fmt.Sprintf("%q a second time", h.Part), "each part once")
		case given > 1:
			return bad(at("part"), fmt.Sprintf("%q with several amounts", h.Part), "one of length, area and count")
		case given == 0:
			return bad(at("part"), fmt.Sprintf("%q without an amount", h.Part), `one of length = "3 m", area = "0.2 m²", count = 1`)
		}
		if want := unitOf(kind); want != "" {
			if got := h.unit(); got != want {
				return bad(at("part"), fmt.Sprintf("%q with %s", h.Part, got), "%s, in which a %s is sold", want, kind)
			}
		}
		seen[h.Part] = true
	}
	return nil
}

// kinds are those of the shopping list, strip apart.
var kinds = []string{"tray", "lining", "sheet", "supply", "wire", "connector", "fuse", "dimmer", "mount", "consumable", "tool"}

func unitOf(kind string) string {
	switch kind {
	case "wire":
		return "length"
	case "lining", "sheet":
		return "area"
	}
	return "count"
}

func (h Have) unit() string {
	switch {
	case h.Length > 0:
		return "length"
	case h.Area > 0:
		return "area"
	}
	return "count"
}

// Known returns a *Fault for the first part that the set does not hold.
func (s Stock) Known(set part.Set) error {
	ids := shelf(set)
	for i, r := range s.Reels {
		if !slices.Contains(ids["strip"], r.Strip) {
			return unknown(fmt.Sprintf("reel[%d].strip", i+1), "strip", r.Strip, ids["strip"])
		}
	}
	for i, h := range s.Have {
		kind, id, _ := strings.Cut(h.Part, "/")
		if !slices.Contains(ids[kind], id) {
			return unknown(fmt.Sprintf("have[%d].part", i+1), kind, id, ids[kind])
		}
	}
	return nil
}

func unknown(key, kind, id string, ids []string) error {
	if len(ids) == 0 {
		return &Fault{key, fmt.Sprintf("%q", id), "a " + kind + " of the catalogue, which holds none; add it in a parts file"}
	}
	return &Fault{key, fmt.Sprintf("%q", id), fmt.Sprintf("a %s of the catalogue; the nearest is %q", kind, part.Nearest(id, ids))}
}

// shelf lists the ids of a set by kind.
func shelf(set part.Set) map[string][]string {
	return map[string][]string{
		"strip": idsOf(set.Strips), "tray": idsOf(set.Trays), "lining": idsOf(set.Linings), "sheet": idsOf(set.Sheets),
		"supply": idsOf(set.Supplies), "wire": idsOf(set.Wires), "connector": idsOf(set.Connectors), "fuse": idsOf(set.Fuses),
		"dimmer": idsOf(set.Dimmers), "mount": idsOf(set.Mounts), "tool": idsOf(set.Tools), "consumable": idsOf(set.Consumables),
	}
}

func idsOf[P part.Part](ps []P) []string {
	var out []string
	for _, p := range ps {
		out = append(out, p.Ident().ID)
	}
	return out
}

// Amounts are what the shopping list takes off; strip is counted as the metres
// of all its reels together.
func (s Stock) Amounts() price.Stock {
	out := price.Stock{}
	for _, h := range s.Have {
		out[h.Part] = h.Amount()
	}
	for _, r := range s.Reels {
		out["strip/"+r.Strip] += r.Length
	}
	return out
}

// units is how many whole cut units a length holds.
func units(length, cut float64) int { return int(math.Floor(length/cut + 1e-6)) }
