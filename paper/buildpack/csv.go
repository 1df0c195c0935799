package buildpack

import (
	"encoding/csv"
	"fmt"
	"io"
	"strconv"
	"strings"
)

// Amounts in the CSV files are plain numbers, their unit in the head, a point
// for the decimals, so that any spreadsheet reads them.
func plain(x float64, decimals int) string { return strconv.FormatFloat(x, 'f', decimals, 64) }

func writeCSV(w io.Writer, rows [][]string) error {
	c := csv.NewWriter(w)
	for _, r := range rows {
		for i, cell := range r {
			r[i] = strings.ReplaceAll(cell, "\u202f", " ")
		}
	}
	if err := c.WriteAll(rows); err != nil {
		return fmt.Errorf("build pack list: %w", err)
	}
	return nil
}

// ShoppingCSV writes the shopping list: a head, then one line for each part.
// Prices are in the currency of their column.
func (p *Pack) ShoppingCSV(w io.Writer) error {
	rows := [][]string{{"class", "kind", "id", "name", "need", "unit", "stock", "pack", "pack_price", "currency", "first_packs", "first_cost", "next_packs", "next_cost", "optional"}}
	for _, n := range p.in.Bill.Lines {
		price, first, next := plain(n.Each.Amount(), 2), plain(n.First.Amount(), 2), plain(n.Next.Amount(), 2)
		if n.Unpriced {
			price, first, next = "", "", ""
		}
		rows = append(rows, []string{string(n.Class), n.Kind, n.ID, n.Name, plain(n.Need, 3), n.Unit, plain(n.Stock, 3), plain(n.Pack, 3), price, n.Each.Currency,
			fmt.Sprint(n.FirstPacks), first, fmt.Sprint(n.NextPacks), next, fmt.Sprint(n.Optional)})
	}
	return writeCSV(w, rows)
}

// CutCSV writes the cut list of strip, sheet and lining, lengths in mm, with
// what stays of the reels (count 0).
func (p *Pack) CutCSV(w io.Writer) error {
	l := p.lamp()
	rows := [][]string{{"what", "part", "reel", "reel_name", "batch", "from_mm", "to_mm", "length_mm", "width_mm", "count", "units", "joints_at_mm"}}
	at := func(units int) string { return plain(float64(units)*l.Strip.Cut*1000, 1) }
	for _, c := range p.pieces() {
		var joints []string
		for _, j := range c.Joints {
			joints = append(joints, at(j))
		}
		r := p.plan.Reels[c.Reel]
		rows = append(rows, []string{fmt.Sprintf("row %d", c.Row+1), l.RowStrip(c.Row).ID, fmt.Sprint(c.Reel + 1), r.Name, r.Batch, at(c.From), at(c.To), at(c.To - c.From),
			plain(l.Strip.Width*1000, 1), "1", fmt.Sprint(c.To - c.From), strings.Join(joints, " ")})
	}
	for i, r := range p.plan.Reels {
		id := l.Strip.ID
		if len(r.Pieces) > 0 {
			id = l.RowStrip(r.Pieces[0].Row).ID
		}
		for _, k := range r.Rests {
			what := "rest to keep"
			if !k.Kept {
				what = "scrap"
			}
			rows = append(rows, []string{what, id, fmt.Sprint(i + 1), r.Name, r.Batch, at(k.From), at(k.To), at(k.To - k.From), plain(l.Strip.Width*1000, 1), "0", "", ""})
		}
	}
	for _, c := range p.flatCuts() {
		rows = append(rows, []string{c.name, c.part, "", "", "", "", "", plain(c.length*1000, 1), plain(c.width*1000, 1), fmt.Sprint(c.count), "", ""})
	}
	return writeCSV(w, rows)
}

// WireCSV writes the wire list, lengths and the middles of bared windows in mm
// from the wire's start.
func (p *Pack) WireCSV(w io.Writer) error {
	rows := [][]string{{"code", "what", "conductor", "wire", "length_mm", "count", "bared", "windows_mm", "window_length_mm"}}
	for _, x := range p.plan.Wires {
		var at []string
		long := ""
		for _, b := range p.plan.Buses {
			if b.Code != x.Code {
				continue
			}
			for _, win := range b.Windows {
				at = append(at, plain(win.Centre*1000, 1))
				long = plain(win.Length*1000, 1)
			}
		}
		rows = append(rows, []string{x.Code, x.Name, p.plan.Conductors[x.Conductor].Key, x.Part.ID, plain(x.Length*1000, 1), fmt.Sprint(x.Count), x.Strip, strings.Join(at, " "), long})
	}
	return writeCSV(w, rows)
}
