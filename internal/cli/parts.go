package cli

import (
	"fmt"
	"reflect"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/internal/file"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

// partsVerb lists the catalogue.
type partsVerb struct {
	Kind string `arg:"" optional:"" help:"Only this kind: strip, tray, lining, sheet, supply, wire, connector, fuse, dimmer, mount, tool, consumable."`
	ID   string `arg:"" optional:"" help:"Show this part in full, as a parts file would hold it."`
}

// shelfRow is one part as JSON.
type shelfRow struct {
	Kind     string `json:"kind"`
	ID       string `json:"id"`
	Name     string `json:"name"`
	Key      string `json:"key_figures"`
	Price    string `json:"price"`
	Invented bool   `json:"invented"`
}

func (v *partsVerb) Run(e *env) error {
	a, err := e.app()
	if err != nil {
		return err
	}
	rows := shelf(a.Parts)
	kinds := partKinds(rows)
	if v.Kind != "" {
		v.Kind = strings.TrimSuffix(v.Kind, "s")
		if v.Kind == "supplie" {
			v.Kind = "supply"
		}
		if !contains(kinds, v.Kind) {
			return input(fmt.Errorf("%q is no kind of part; the nearest is %q; allowed are %s", v.Kind, part.Nearest(v.Kind, kinds), strings.Join(kinds, ", ")))
		}
		kept := rows[:0]
		for _, r := range rows {
			if r.Kind == v.Kind {
				kept = append(kept, r)
			}
		}
		rows = kept
	}
	if v.ID != "" {
		one, err := only(a.Parts, v.Kind, v.ID)
		if err != nil {
			return input(err)
		}
		return file.WriteParts(e.Out, one, "")
	}
	if e.json {
		return e.writeJSON(rows)
	}
	t := newTable(e.Out, []any{"kind", "id", "what it is", "key figures", "price"}, 5)
	last := ""
	for _, r := range rows {
		if last != "" && r.Kind != last {
			t.AppendRow(table.Row{""})
		}
		last = r.Kind
		t.AppendRow(table.Row{r.Kind, r.ID, r.Name, r.Key, r.Price})
	}
	t.Render()
	fmt.Fprintln(e.Out, "\nThe starter parts are invented. Lay your own over them with --parts FILE; \"dawnsmith parts KIND ID\" shows how a part is written.")
	return nil
}

func contains(ss []string, s string) bool {
	for _, x := range ss {
		if x == s {
			return true
		}
	}
	return false
}

func partKinds(rows []shelfRow) []string {
	var out []string
	for _, r := range rows {
		if len(out) == 0 || out[len(out)-1] != r.Kind {
			out = append(out, r.Kind)
		}
	}
	return out
}

// only returns a set that holds the one part.
func only(set part.Set, kind, id string) (part.Set, error) {
	out := reflect.New(reflect.TypeOf(set)).Elem()
	in := reflect.ValueOf(set)
	for i := range in.NumField() {
		key, _, _ := strings.Cut(in.Type().Field(i).Tag.Get("doc"), ",")
		if key != kind || in.Field(i).Kind() != reflect.Slice {
			continue
		}
		var ids []string
		for j := range in.Field(i).Len() {
			p := in.Field(i).Index(j)
			it := p.Interface().(part.Part).Ident()
			if it.ID == id {
				out.Field(i).Set(reflect.Append(out.Field(i), p))
				out.FieldByName("Schema").SetInt(1)
				return out.Interface().(part.Set), nil
			}
			ids = append(ids, it.ID)
		}
		if len(ids) > 0 {
			return part.Set{}, fmt.Errorf("no %s is called %q; the nearest is %q", kind, id, part.Nearest(id, ids))
		}
	}
	return part.Set{}, fmt.Errorf("the catalogue holds no %s", kind)
}

// shelf lists every part with the figures by which one chooses.
func shelf(s part.Set) []shelfRow {
	var out []shelfRow
	add := func(kind string, it part.Item, key string) {
		price := ""
		if it.Price != (part.Money{}) {
			price = it.Price.String()
		}
		out = append(out, shelfRow{kind, it.ID, it.Name, key, price, it.Invented})
	}
	mm := func(x float64) string { return quantity.Digits(x*1000, 3) }
	for _, p := range s.Strips {
		var ch []string
		for _, c := range p.Channels {
			ch = append(ch, fmt.Sprintf("%.0f K Ra %.0f %.3g W/m %.0f lm/m", c.CCT.X, c.Ra, c.Power.X, c.Flux.X))
		}
		add("strip", p.Item, fmt.Sprintf("%g V, %g LEDs/m, cut %s mm; %s", p.Voltage, p.LEDs, mm(p.Cut), strings.Join(ch, " + ")))
	}
	for _, p := range s.Trays {
		add("tray", p.Item, fmt.Sprintf("%s × %s × %s mm, %s %s mm, reflects %.2f", mm(p.Length), mm(p.Width), mm(p.Depth), p.Material, mm(p.Thickness), p.Reflectance.X))
	}
	for _, p := range s.Linings {
		add("lining", p.Item, fmt.Sprintf("reflects %.2f, mirror share %.2f", p.Reflectance.X, p.Specular.X))
	}
	for _, p := range s.Sheets {
		key := fmt.Sprintf("passes %.2f, reflects %.2f", p.Transmittance.X, p.Reflectance.X)
		if p.Lobe > 0 {
			key += fmt.Sprintf(", lobe %.0f°", p.LobeWidth.X*180/3.141592653589793)
		}
		if p.Clear.X > 0 {
			key += fmt.Sprintf(", clear share %.2f", p.Clear.X)
		}
		add("sheet", p.Item, key)
	}
	for _, p := range s.Supplies {
		key := fmt.Sprintf("%g V, %g W", p.Voltage.X, p.Rating)
		if p.PowerLimited {
			key += ", power-limited"
		}
		add("supply", p.Item, key)
	}
	for _, p := range s.Wires {
		add("wire", p.Item, fmt.Sprintf("%.3g mm², up to %g A", p.Area*1e6, p.Limit))
	}
	for _, p := range s.Connectors {
		add("connector", p.Item, fmt.Sprintf("%d poles, up to %g A", p.Poles, p.Limit))
	}
	for _, p := range s.Fuses {
		add("fuse", p.Item, fmt.Sprintf("%g A, %g V", p.Rating, p.Voltage))
	}
	for _, p := range s.Dimmers {
		channels := "1 channel"
		if p.Channels != 1 {
			channels = fmt.Sprintf("%d channels", p.Channels)
		}
		add("dimmer", p.Item, fmt.Sprintf("%s, %g A each, %s", channels, p.Limit, quantity.FormatIn(p.Frequency, quantity.Frequency, "Hz", 3)))
	}
	for _, p := range s.Mounts {
		add("mount", p.Item, fmt.Sprintf("reach %s mm, up to %g kg", mm(p.Reach), p.Load))
	}
	for _, p := range s.Tools {
		add("tool", p.Item, "")
	}
	for _, p := range s.Consumables {
		add("consumable", p.Item, "")
	}
	return out
}
