package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/lamp"
	"dawnsmith/lamp/stock"
	"dawnsmith/quantity"
)

// cutVerb plans the cutting and confirms it against what was measured.
type cutVerb struct {
	Lamp   string `arg:"" help:"The lamp (*.lamp.toml)."`
	Lamps  int    `short:"n" default:"1" help:"How many like lamps to cut at once, 1 to 8."`
	Length string `placeholder:"LENGTH" help:"The tray's floor as measured, its longer side, such as \"379 mm\"."`
	Width  string `placeholder:"LENGTH" help:"The tray's floor as measured, its shorter side."`
}

// cutJSON is a cutting plan as JSON; lengths in m, places in cut units.
type cutJSON struct {
	Lamps      int            `json:"lamps"`
	Proven     bool           `json:"proven"`
	Cost       float64        `json:"cost"`
	Bound      float64        `json:"bound"`
	LeastReels int            `json:"least_reels"`
	NewReels   int            `json:"new_reels"`
	Opened     int            `json:"opened"`
	Splices    int            `json:"splices"`
	Joints     int            `json:"joints_in_rows"`
	Kept       int            `json:"kept_units"`
	Scrap      int            `json:"scrap_units"`
	Proof      string         `json:"proof"`
	Unsure     string         `json:"unsure,omitempty"`
	Reels      []reelJSON     `json:"reels"`
	Confirmed  *app.Confirmed `json:"confirmed,omitempty"`
}

type reelJSON struct {
	Name   string      `json:"name"`
	Batch  string      `json:"batch,omitempty"`
	New    bool        `json:"new"`
	Units  int         `json:"units"`
	Joints []int       `json:"joints"`
	Known  bool        `json:"joints_known"`
	Pieces []pieceJSON `json:"pieces"`
	Rests  []restJSON  `json:"rests"`
}

type pieceJSON struct {
	Lamp int `json:"lamp"`
	Row  int `json:"row"`
	From int `json:"from"`
	To   int `json:"to"`
}

type restJSON struct {
	From int  `json:"from"`
	To   int  `json:"to"`
	Kept bool `json:"kept"`
}

func (v *cutVerb) Run(e *env) error {
	a, err := e.app()
	if err != nil {
		return err
	}
	s, _, err := file.OpenLamp(v.Lamp)
	if err != nil {
		return err
	}
	l, err := a.Build(s)
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Lamp, err))
	}
	var confirmed *app.Confirmed
	if v.Length != "" || v.Width != "" {
		length, err := maybeLength("--length", v.Length)
		if err != nil {
			return input(err)
		}
		width, err := maybeLength("--width", v.Width)
		if err != nil {
			return input(err)
		}
		c, err := a.Confirm(s, length, width)
		if err != nil {
			return input(err)
		}
		confirmed = &c
	}
	p, err := a.Cuts(l, v.Lamps)
	var none *stock.Impossible
	if errors.As(err, &none) {
		fmt.Fprintf(e.Err, "dawnsmith: %v\n", err)
		return errNo
	}
	if err != nil {
		return input(err)
	}
	if e.json {
		if err := e.writeJSON(cutToJSON(l, p, v.Lamps, confirmed)); err != nil {
			return err
		}
	} else {
		e.showCut(l, p, v.Lamps, confirmed)
	}
	if confirmed != nil && !confirmed.Fits {
		return errNo
	}
	return nil
}

func maybeLength(flag, text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	x, err := quantity.Parse(text, quantity.Length)
	if err != nil {
		return 0, fmt.Errorf("%s: %w", flag, err)
	}
	return x, nil
}

func cutToJSON(l lamp.Lamp, p *stock.Plan, n int, c *app.Confirmed) cutJSON {
	out := cutJSON{Lamps: n, Proven: p.Proven, Cost: p.Cost, Bound: p.Bound, LeastReels: p.LeastReels, NewReels: p.New, Opened: p.Opened, Splices: p.Splices,
		Joints: p.Joints, Kept: p.Kept, Scrap: p.Scrap, Proof: p.Proof(l), Unsure: p.Unsure(l), Confirmed: c}
	for _, r := range p.Reels {
		k := reelJSON{Name: r.Name, Batch: r.Batch, New: r.New, Units: r.Units, Joints: r.Joints, Known: r.Known, Pieces: []pieceJSON{}, Rests: []restJSON{}}
		for _, c := range r.Pieces {
			k.Pieces = append(k.Pieces, pieceJSON{c.Row/l.Spec.Rows + 1, c.Row%l.Spec.Rows + 1, c.From, c.To})
		}
		for _, b := range r.Rests {
			k.Rests = append(k.Rests, restJSON{b.From, b.To, b.Kept})
		}
		out.Reels = append(out.Reels, k)
	}
	return out
}

func (e *env) showCut(l lamp.Lamp, p *stock.Plan, n int, c *app.Confirmed) {
	w := e.Out
	what := "1 lamp"
	if n > 1 {
		what = fmt.Sprintf("%d lamps", n)
	}
	mm := func(units int) string { return quantity.Decimals(float64(units)*l.Strip.Cut*1000, 0) }
	fmt.Fprintf(w, "%s of %d rows of %d units of %s\n\n", what, l.Spec.Rows, l.Spec.Units, stripIDs(l))
	t := newTable(w, []any{"reel", "for", "from, mm", "to, mm", "units", "factory joints inside"}, 3, 4, 5)
	for i, r := range p.Reels {
		if i > 0 {
			t.AppendRow(table.Row{""})
		}
		name := r.Name
		if r.Batch != "" {
			name += ", batch " + r.Batch
		}
		at := 0
		rest := func(to int) {
			for _, b := range r.Rests {
				if b.From == at && b.To == to {
					word := "keep"
					if !b.Kept {
						word = "scrap"
					}
					t.AppendRow(table.Row{name, word, mm(b.From), mm(b.To), b.To - b.From, ""})
					name = ""
				}
			}
		}
		for _, k := range r.Pieces {
			if k.From > at {
				rest(k.From)
			}
			who := fmt.Sprintf("row %d", k.Row%l.Spec.Rows+1)
			if n > 1 {
				who = fmt.Sprintf("lamp %d, row %d", k.Row/l.Spec.Rows+1, k.Row%l.Spec.Rows+1)
			}
			joints := ""
			for _, j := range r.Joints {
				if j > k.From && j < k.To {
					joints += " at " + mm(j)
				}
			}
			t.AppendRow(table.Row{name, who, mm(k.From), mm(k.To), k.To - k.From, joints})
			name, at = "", k.To
		}
		if at < r.Units {
			rest(r.Units)
		}
	}
	t.Render()
	fmt.Fprintf(w, "\n%s\n", p.Proof(l))
	if s := p.Unsure(l); s != "" {
		fmt.Fprintln(w, s)
	}
	if c != nil {
		fmt.Fprintf(w, "\n%s\n", c.Says)
	} else {
		fmt.Fprintln(w, "\nBefore you cut, measure the tray's floor and every reel; --length and --width hold the plan against the tray, the stock file holds the reels.")
	}
}

// stripIDs names the strips that the rows are cut from.
func stripIDs(l lamp.Lamp) string {
	var ids []string
	for _, s := range l.Strips() {
		ids = append(ids, s.ID)
	}
	return strings.Join(ids, " and ")
}
