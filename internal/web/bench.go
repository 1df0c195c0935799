package web

import (
	"bytes"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"strconv"
	"strings"

	"dawnsmith/bench/fault"
	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/form"
	"dawnsmith/internal/shelf"
	"dawnsmith/lamp"
	"dawnsmith/quantity"
)

// benchView is the page of what is done at the bench.
type benchView struct {
	frame
	Gauges []app.Gauge
	Lamps  []shelf.Opened[lamp.Spec]
}

func (s *Server) bench(w http.ResponseWriter, r *http.Request) {
	v := benchView{frame: s.frame(r, "at the bench"), Gauges: app.Gauges()}
	if all, err := s.shelf.Lamps(); err == nil {
		for _, l := range all {
			if l.Err == nil {
				v.Lamps = append(v.Lamps, l)
			}
		}
	}
	s.render(w, r, http.StatusOK, "bench", v)
}

// gaugeView is a bench procedure with its form and what the readings gave.
type gaugeView struct {
	frame
	G       app.Gauge
	ID      string
	Parts   []form.Option
	Fields  []gaugeField
	Got     *app.Gauged
	Trouble string
	Query   string
}

type gaugeField struct {
	app.GaugeReading
	Text, Err string
}

// gauge shows a procedure; its address holds the readings.
func (s *Server) gauge(w http.ResponseWriter, r *http.Request) {
	v, ok := s.gaugeView(w, r)
	if ok {
		s.render(w, r, http.StatusOK, "gauge", v)
	}
}

func (s *Server) gaugeView(w http.ResponseWriter, r *http.Request) (gaugeView, bool) {
	g, ok := app.GaugeOf(r.PathValue("kind"))
	if !ok {
		s.fail(w, r, http.StatusNotFound, "There is no such bench procedure.", "Go to the bench and choose one.")
		return gaugeView{}, false
	}
	q := r.URL.Query()
	v := gaugeView{frame: s.frame(r, "measure a "+g.Kind), G: g, ID: q.Get("id"), Parts: form.PartOptions(s.app.Parts, g.Kind)}
	texts, keep := map[string]string{}, url.Values{}
	for _, f := range g.Readings {
		if t := strings.TrimSpace(q.Get(f.Key)); t != "" {
			texts[f.Key] = t
			keep.Set(f.Key, t)
		}
	}
	var bad *app.GaugeError
	if len(texts) > 0 && v.ID != "" {
		keep.Set("id", v.ID)
		got, err := g.Run(s.app.Parts, v.ID, texts)
		switch {
		case errors.As(err, &bad):
		case errors.Is(err, app.ErrNoReading):
			v.Trouble = "These readings alone give nothing; fill in another."
		case err != nil:
			v.Trouble = capital(err.Error()) + "."
		default:
			v.Got = &got
		}
	}
	v.Query = keep.Encode()
	for _, f := range g.Readings {
		gf := gaugeField{GaugeReading: f, Text: texts[f.Key]}
		if bad != nil && bad.Key == f.Key {
			gf.Err = capital(bad.Err.Error()) + "."
		}
		v.Fields = append(v.Fields, gf)
	}
	return v, true
}

// Example shows how a reading is written.
func (f gaugeField) Example() string {
	for d, text := range map[quantity.Dimension]string{quantity.Illuminance: "520 lx ± 1 %", quantity.Length: "300 mm", quantity.Ratio: "92 %",
		quantity.Voltage: "24.1 V", quantity.Current: "0.165 A"} {
		if d == f.Dim {
			return text
		}
	}
	return ""
}

// gaugePart sends the part with its measured values as a parts file.
func (s *Server) gaugePart(w http.ResponseWriter, r *http.Request) {
	v, ok := s.gaugeView(w, r)
	if !ok {
		return
	}
	if v.Got == nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "These readings give no part yet.", "Fill in the form first.")
		return
	}
	var b bytes.Buffer
	v.Got.Set.Schema = 1
	if err := file.WriteParts(&b, v.Got.Set, "Measured at the bench. Lay it over the catalogue with --parts."); err != nil {
		s.log.Printf("%s: %v", r.URL.Path, err)
		s.fail(w, r, http.StatusInternalServerError, "The parts file could not be written.", "")
		return
	}
	s.send(w, v.ID+"-measured.parts.toml", "application/toml", b.Bytes())
}

// feedsView ranks the ways of feeding a lamp's rows.
type feedsView struct {
	frame
	Name, Back2 string
	Rows        []feedView
	Trouble     string
}

type feedView struct {
	app.Feed
	Href, Even, Loss, Wire string
}

func (s *Server) feeds(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openLamp(w, r)
	if !ok {
		return
	}
	v := feedsView{frame: s.frame(r, p.state.Doc.Name+", fed otherwise"), Name: p.state.Doc.Name, Back2: p.at("")}
	ans, err := s.answer(r.Context(), p, glance)
	var all []app.Feed
	if err == nil {
		all, err = ans.Feeds()
	}
	if err != nil {
		v.Trouble = capital(err.Error()) + "."
	}
	lv := &lampView{s: s, p: p, Path: lampPath(p.name)}
	for _, f := range all {
		next := p.state.With(map[string]string{"feed": f.Feed})
		row := feedView{Feed: f, Even: quantity.Decimals(100*f.MinOverMax, 1) + " %", Loss: quantity.Digits(f.CopperLoss, 2) + " W", Wire: quantity.Decimals(f.WireLength, 1) + " m"}
		if len(next.Bad) == len(p.state.Bad) {
			row.Href = lv.to(next.Query())
		}
		v.Rows = append(v.Rows, row)
	}
	s.render(w, r, http.StatusOK, "feeds", v)
}

// wrongView asks what is seen at a built lamp and says what fits.
type wrongView struct {
	frame
	Name, Path, Back2 string
	State             url.Values // the lamp's own
	Rows              []wrongRow
	Units             int
	Ticks             []wrongTick
	Volts, Current    string
	Errs              []string
	List              []fault.Suspect
	Asked, Fits       bool
}

type wrongTick struct {
	Key, Name string
	On        bool
}

type wrongRow struct {
	N               int
	Seen            string // "", "dark", "from" or "one"
	Unit, Near, Far string
	States          []form.Option
}

// wrong is the guided form of the fault finder; its address holds what was
// seen.
func (s *Server) wrong(w http.ResponseWriter, r *http.Request) {
	p, ok := s.openLamp(w, r)
	if !ok {
		return
	}
	ans, err := s.answer(r.Context(), p, glance)
	if err == nil && !ans.Worked() {
		err = errors.New(ans.Sentence())
	}
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This lamp cannot be worked out, so there is nothing to hold it against.", "", err.Error())
		return
	}
	q := r.URL.Query()
	v := wrongView{frame: s.frame(r, p.state.Doc.Name+", what is wrong"), Name: p.state.Doc.Name, Path: lampPath(p.name) + "/wrong", Back2: p.at(""), State: p.query(), Units: ans.Lamp.Spec.Units}
	var seen fault.Seen
	for _, t := range []struct {
		key, name string
		to        *bool
	}{{"w.dark", "nothing lights", &seen.AllDark}, {"w.blinks", "the whole lamp blinks about once a second", &seen.Blinking}, {"w.along", "rows fade along their length", &seen.Along},
		{"w.across", "rows differ from one another", &seen.Across}, {"w.lit", "every row not named below shines as it should", &seen.OthersLit}} {
		*t.to = q.Get(t.key) != ""
		v.Asked = v.Asked || *t.to && t.key != "w.lit"
		v.Ticks = append(v.Ticks, wrongTick{t.key, t.name, *t.to})
	}
	v.Volts, v.Current = q.Get("w.volts"), q.Get("w.current")
	read := func(what, text string, d quantity.Dimension) *float64 {
		if strings.TrimSpace(text) == "" {
			return nil
		}
		v.Asked = true
		x, err := quantity.Parse(text, d)
		if err != nil {
			v.Errs = append(v.Errs, what+": "+err.Error()+".")
			return nil
		}
		return &x
	}
	seen.SupplyVolts = read("Volts at the lamp's entry", v.Volts, quantity.Voltage)
	seen.SupplyCurrent = read("The supply's current", v.Current, quantity.Current)
	for n := 1; n <= ans.Lamp.Spec.Rows; n++ {
		at := func(k string) string { return q.Get(fmt.Sprintf("w.%s%d", k, n)) }
		row := wrongRow{N: n, Seen: at("seen"), Unit: at("unit"), Near: at("near"), Far: at("far")}
		rs := fault.RowSeen{Row: n, Near: read(fmt.Sprintf("Row %d, wired end", n), row.Near, quantity.Voltage), Far: read(fmt.Sprintf("Row %d, free end", n), row.Far, quantity.Voltage)}
		switch unit, err := strconv.Atoi(strings.TrimSpace(row.Unit)); row.Seen {
		case "dark":
			rs.DarkFrom = 1
		case "from", "one":
			if err != nil || unit < 1 || unit > v.Units {
				v.Errs = append(v.Errs, fmt.Sprintf("Row %d: the unit is “%s”; units are numbered 1 to %d from the wired end.", n, row.Unit, v.Units))
			} else if row.Seen == "from" {
				rs.DarkFrom = unit
			} else {
				rs.DarkOnly = unit
			}
		}
		v.Asked = v.Asked || row.Seen == "dark" || row.Seen == "from" || row.Seen == "one"
		if row.Seen != "" || rs.Near != nil || rs.Far != nil {
			seen.Rows = append(seen.Rows, rs)
		}
		row.States = []form.Option{{Value: "", Label: "not looked at"}, {Value: "lit", Label: "lit"}, {Value: "dark", Label: "dark"}, {Value: "from", Label: "dark from unit …"}, {Value: "one", Label: "one dark unit …"}}
		v.Rows = append(v.Rows, row)
	}
	if v.Asked && len(v.Errs) == 0 {
		list, err := fault.Find(ans.Result.Layout(), seen)
		if err != nil {
			v.Errs = append(v.Errs, capital(strings.TrimPrefix(err.Error(), "fault: "))+".")
		}
		for i, f := range list {
			if i < 2 || i < 6 && f.Weight >= 0.02 {
				v.List = append(v.List, f)
			}
		}
		v.Fits = len(list) > 0 && list[0].Fits
	}
	s.render(w, r, http.StatusOK, "wrong", v)
}
