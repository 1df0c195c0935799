package part

import (
	"cmp"
	"fmt"
	"slices"
)

// Set is a catalogue: parts of every kind, each id once within its kind.
type Set struct {
	Schema      int          `doc:"schema"`
	Strips      []Strip      `doc:"strip"`
	Trays       []Tray       `doc:"tray"`
	Linings     []Lining     `doc:"lining"`
	Sheets      []Sheet      `doc:"sheet"`
	Supplies    []Supply     `doc:"supply"`
	Wires       []Wire       `doc:"wire"`
	Connectors  []Connector  `doc:"connector"`
	Fuses       []Fuse       `doc:"fuse"`
	Dimmers     []Dimmer     `doc:"dimmer"`
	Mounts      []Mount      `doc:"mount"`
	Tools       []Tool       `doc:"tool"`
	Consumables []Consumable `doc:"consumable"`
}

// Part is what all kinds share.
type Part interface {
	Ident() Item
	Check() error
}

// Check checks every part and that no id stands twice within a kind.
func (s Set) Check() error {
	return first(
		checkAll(s.Strips), checkAll(s.Trays), checkAll(s.Linings), checkAll(s.Sheets), checkAll(s.Supplies),
		checkAll(s.Wires), checkAll(s.Connectors), checkAll(s.Fuses), checkAll(s.Dimmers), checkAll(s.Mounts),
		checkAll(s.Tools), checkAll(s.Consumables))
}

func checkAll[P Part](ps []P) error {
	seen := map[string]bool{}
	for _, p := range ps {
		if err := p.Check(); err != nil {
			return err
		}
		if id := p.Ident().ID; seen[id] {
			return fault(fmt.Sprintf("%T", p)[len("part."):], id, "id", "given twice", "an id for each part; change one of the two")
		} else {
			seen[id] = true
		}
	}
	return nil
}

// Layer lays upper over s: parts of the same kind and id are replaced whole,
// new ones are added. Neither set is changed.
func (s Set) Layer(upper Set) Set {
	return Set{
		Schema:      max(s.Schema, upper.Schema),
		Strips:      layer(s.Strips, upper.Strips),
		Trays:       layer(s.Trays, upper.Trays),
		Linings:     layer(s.Linings, upper.Linings),
		Sheets:      layer(s.Sheets, upper.Sheets),
		Supplies:    layer(s.Supplies, upper.Supplies),
		Wires:       layer(s.Wires, upper.Wires),
		Connectors:  layer(s.Connectors, upper.Connectors),
		Fuses:       layer(s.Fuses, upper.Fuses),
		Dimmers:     layer(s.Dimmers, upper.Dimmers),
		Mounts:      layer(s.Mounts, upper.Mounts),
		Tools:       layer(s.Tools, upper.Tools),
		Consumables: layer(s.Consumables, upper.Consumables),
	}
}

func layer[P Part](lower, upper []P) []P {
	out := slices.Clone(lower)
	for _, p := range upper {
		if i := slices.IndexFunc(out, func(q P) bool { return q.Ident().ID == p.Ident().ID }); i >= 0 {
			out[i] = p
			continue
		}
		out = append(out, p)
	}
	return out
}

// Find returns the part with the given id among ps; the error names the
// nearest id there is.
func Find[P Part](ps []P, kind, id string) (P, error) {
	for _, p := range ps {
		if p.Ident().ID == id {
			return p, nil
		}
	}
	var zero P
	ids := make([]string, len(ps))
	for i, p := range ps {
		ids[i] = p.Ident().ID
	}
	if len(ids) == 0 {
		return zero, fmt.Errorf("%s %q is not in the catalogue, which holds no %s; add one in a parts file", kind, id, kind)
	}
	return zero, fmt.Errorf("%s %q is not in the catalogue; the nearest is %q", kind, id, Nearest(id, ids))
}

// Nearest returns the candidate with the least edit distance to word.
func Nearest(word string, candidates []string) string {
	return slices.MinFunc(candidates, func(a, b string) int {
		return cmp.Or(cmp.Compare(distance(word, a), distance(word, b)), cmp.Compare(a, b))
	})
}

// distance is the Levenshtein distance in runes.
func distance(a, b string) int {
	s, t := []rune(a), []rune(b)
	row := make([]int, len(t)+1)
	for j := range row {
		row[j] = j
	}
	for i := range s {
		diag := row[0]
		row[0] = i + 1
		for j := range t {
			d := diag
			if s[i] != t[j] {
				d++
			}
			diag = row[j+1]
			row[j+1] = min(d, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(t)]
}
