package app

import (
	"fmt"
	"strings"

	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
)

// SideRow is one line of a table that sets lamps side by side.
type SideRow struct {
	Name  string
	Cells []string
}

// SideBySide compares answers: what they are made of, then their main numbers.
func SideBySide(answers []Answer) []SideRow {
	if len(answers) == 0 {
		return nil
	}
	var out []SideRow
	for _, k := range []string{"tray", "strip", "lining", "sheet", "supply"} {
		r := SideRow{Name: k}
		for i := range answers {
			r.Cells = append(r.Cells, partText(&answers[i], k))
		}
		out = append(out, r)
	}
	for _, k := range []string{predict.MeterLux, "minutes_photopic", predict.EyeMelanopic, predict.FaceMean, predict.Ripple, predict.CCT, predict.Ra,
		predict.MainsPower, predict.StripTemp, predict.LampMass, search.PriceFirst, search.PriceNext} {
		var r SideRow
		for i := range answers {
			row, ok := answers[i].Row(k)
			if !ok {
				r.Cells = append(r.Cells, "–")
				continue
			}
			r.Name = strings.TrimSuffix(row.Name+", "+row.Unit, ", ")
			r.Cells = append(r.Cells, row.Value)
		}
		out = append(out, r)
	}
	return out
}

func partText(ans *Answer, kind string) string {
	l := ans.Lamp
	switch kind {
	case "tray":
		return l.Tray.Name
	case "strip":
		return fmt.Sprintf("%s of %s: %s", several(l.Spec.Rows, "row"), several(l.Spec.Units, "unit"), l.Strip.Name)
	case "lining":
		switch {
		case l.Lining == nil:
			return "none"
		case l.LineFloor:
			return l.Lining.Name + ", walls and floor"
		}
		return l.Lining.Name + ", walls"
	case "sheet":
		if l.Sheet == nil {
			return "none"
		}
		return l.Sheet.Name
	}
	return l.Supply.Name
}

// several is "1 row", "3 rows".
func several(n int, one string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %ss", n, one)
}
