package cli

import (
	"fmt"
	"strconv"
	"strings"

	"dawnsmith/bench/fault"
	"dawnsmith/quantity"
)

// faultVerb finds what is wrong with a built lamp.
type faultVerb struct {
	Lamp      string   `arg:"" help:"The lamp (*.lamp.toml)."`
	AllDark   bool     `help:"Nothing lights."`
	Blinking  bool     `help:"The whole lamp blinks about once a second."`
	Dark      []string `placeholder:"ROW[:UNIT]" help:"A dark row, or a row dark from a unit on; rows count from the entry, units from the wired end."`
	DarkUnit  []string `placeholder:"ROW:UNIT" help:"A single dark unit."`
	OthersLit bool     `help:"Every row not named shines as it should."`
	Along     bool     `help:"Rows fade along their length."`
	Across    bool     `help:"Rows differ from one another."`
	Current   string   `placeholder:"A" help:"The supply's current, such as \"1.8 A\"."`
	Volts     string   `placeholder:"V" help:"The voltage at the lamp's entry under load."`
	Near      []string `placeholder:"ROW=V" help:"Volts between plus and minus at a row's wired end."`
	Far       []string `placeholder:"ROW=V" help:"Volts between plus and minus at a row's free end."`
}

// suspectJSON is one fault as JSON.
type suspectJSON struct {
	Key    string  `json:"key"`
	What   string  `json:"what"`
	Weight float64 `json:"weight"`
	Fits   bool    `json:"fits"`
	Next   string  `json:"next"`
	Mend   string  `json:"mend"`
}

func (v *faultVerb) Run(e *env) error {
	s, _, a, err := e.lampAndBrief(v.Lamp, "")
	if err != nil {
		return err
	}
	ans, err := a.Predict(s, nil, false)
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Lamp, err))
	}
	if !ans.Worked() {
		return input(fmt.Errorf("%s: %s", v.Lamp, ans.Sentence()))
	}
	seen, err := v.seen()
	if err != nil {
		return input(err)
	}
	list, err := fault.Find(ans.Result.Layout(), seen)
	if err != nil {
		return input(err)
	}
	if e.json {
		var out []suspectJSON
		for _, f := range list {
			out = append(out, suspectJSON(f))
		}
		return e.writeJSON(out)
	}
	w := e.Out
	fmt.Fprintf(w, "%s: what fits, likeliest first.\n\n", ans.Lamp.Name)
	shown := 0
	for _, f := range list {
		if shown >= 6 || shown >= 2 && f.Weight < 0.02 {
			break
		}
		shown++
		fmt.Fprintf(w, "%3.0f %%  %s\n       next: %s\n       mend: %s\n", 100*f.Weight, f.What, f.Next, f.Mend)
	}
	if !list[0].Fits {
		fmt.Fprintln(w, "\nNothing on the list fits well: look again, or there are two faults at once.")
	}
	fmt.Fprintln(w, "\nSwitch off and unplug before touching or soldering; measure under load with one hand and insulated tips; never open the supply.")
	return nil
}

// seen reads the flags.
func (v *faultVerb) seen() (fault.Seen, error) {
	s := fault.Seen{AllDark: v.AllDark, Blinking: v.Blinking, OthersLit: v.OthersLit, Along: v.Along, Across: v.Across}
	at := map[int]int{}
	row := func(text string) (*fault.RowSeen, error) {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			return nil, fmt.Errorf("%q is not a row; rows are numbered from 1 at the entry", text)
		}
		i, ok := at[n]
		if !ok {
			i = len(s.Rows)
			at[n] = i
			s.Rows = append(s.Rows, fault.RowSeen{Row: n})
		}
		return &s.Rows[i], nil
	}
	unit := func(text string) (int, error) {
		n, err := strconv.Atoi(text)
		if err != nil || n < 1 {
			return 0, fmt.Errorf("%q is not a unit; units are numbered from 1 at the wired end", text)
		}
		return n, nil
	}
	for _, d := range v.Dark {
		r, u, from := strings.Cut(d, ":")
		rs, err := row(r)
		if err != nil {
			return s, fmt.Errorf("--dark: %w", err)
		}
		rs.DarkFrom = 1
		if from {
			if rs.DarkFrom, err = unit(u); err != nil {
				return s, fmt.Errorf("--dark: %w", err)
			}
		}
	}
	for _, d := range v.DarkUnit {
		r, u, _ := strings.Cut(d, ":")
		rs, err := row(r)
		if err == nil {
			rs.DarkOnly, err = unit(u)
		}
		if err != nil {
			return s, fmt.Errorf("--dark-unit: %w; write for example 3:5", err)
		}
	}
	volts := func(flag, text string, put func(*float64)) error {
		x, err := quantity.Parse(text, quantity.Voltage)
		if err != nil {
			return fmt.Errorf("%s: %w", flag, err)
		}
		put(&x)
		return nil
	}
	for _, f := range []struct {
		flag  string
		texts []string
		put   func(*fault.RowSeen, *float64)
	}{{"--near", v.Near, func(r *fault.RowSeen, x *float64) { r.Near = x }}, {"--far", v.Far, func(r *fault.RowSeen, x *float64) { r.Far = x }}} {
		for _, t := range f.texts {
			r, x, ok := strings.Cut(t, "=")
			if !ok {
				return s, fmt.Errorf("%s is %q; write the row, = and the volts, such as 3=\"21.5 V\"", f.flag, t)
			}
			rs, err := row(r)
			if err != nil {
				return s, fmt.Errorf("%s: %w", f.flag, err)
			}
			n := rs.Row
			if err := volts(f.flag, x, func(p *float64) { f.put(&s.Rows[at[n]], p) }); err != nil {
				return s, err
			}
		}
	}
	if v.Volts != "" {
		if err := volts("--volts", v.Volts, func(p *float64) { s.SupplyVolts = p }); err != nil {
			return s, err
		}
	}
	if v.Current != "" {
		x, err := quantity.Parse(v.Current, quantity.Current)
		if err != nil {
			return s, fmt.Errorf("--current: %w", err)
		}
		s.SupplyCurrent = &x
	}
	return s, nil
}
