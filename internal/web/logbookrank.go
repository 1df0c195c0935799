package web

import (
	"context"
	"errors"
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/internal/app"
	"dawnsmith/internal/report"
	"dawnsmith/internal/store"
	"dawnsmith/quantity"
)

// rankView is a comparison.
type rankView struct {
	frame
	Keys     []string
	Key      string
	Terms    string // of the select
	Value    string
	Per      string
	With     string
	Where    string
	Text     string
	Origin   string
	Foretold bool
	Err      string
	None     bool
	R        *app.Ranked
	Head     []string
	Rows     []rankRow
	Notes    []string
	Pictures []readPicture
	Query    string
}

type rankRow struct {
	Place, Slug, Name, Ties string
	Cells                   []string
}

// rank makes a comparison; its address holds what is asked.
func (s *Server) rank(w http.ResponseWriter, r *http.Request) {
	v, _, ok := s.rankView(w, r)
	if ok {
		s.render(w, r, http.StatusOK, "rank", v)
	}
}

// viewOf reads what is asked of a comparison.
func viewOf(q url.Values) (app.View, error) {
	v := app.View{Key: q.Get("by"), Text: q.Get("text"), Origin: q.Get("whose"), Predicted: q.Has("predicted")}
	v.Terms.Where = compare.Where(q.Get("terms"))
	if v.Terms.Where == "" {
		v.Terms.Where = compare.AsRead
	}
	v.Terms.Per = compare.Per(q.Get("per"))
	for w := range strings.FieldsFuncSeq(q.Get("with"), func(r rune) bool { return r == ',' || r == ' ' }) {
		v.More = append(v.More, w)
	}
	for c := range strings.SplitSeq(q.Get("where"), ",") {
		if c = strings.TrimSpace(c); c != "" {
			v.Where = append(v.Where, c)
		}
	}
	text := strings.TrimSpace(q.Get("value"))
	var err error
	read := func(d quantity.Dimension, to *float64) {
		if text == "" {
			err = fmt.Errorf("the terms want a number with its unit, such as %q", map[quantity.Dimension]string{quantity.Length: "500 mm", quantity.Illuminance: "5000 lx", quantity.Luminance: "8000 cd/m²"}[d])
			return
		}
		*to, err = quantity.Parse(text, d)
	}
	switch v.Terms.Where {
	case compare.SameDistance:
		read(quantity.Length, &v.Terms.Distance)
	case compare.SameLux:
		read(quantity.Illuminance, &v.Terms.Lux)
	case compare.SameLuminance:
		read(quantity.Luminance, &v.Terms.Luminance)
	}
	return v, err
}

func (s *Server) rankView(w http.ResponseWriter, r *http.Request) (rankView, []report.NamedScene, bool) {
	q := r.URL.Query()
	v := rankView{frame: s.frame(r, "which is better?"), Keys: app.ShortKeys(), Key: q.Get("by"), Terms: q.Get("terms"), Value: q.Get("value"), Per: q.Get("per"), With: q.Get("with"),
		Where: q.Get("where"), Text: q.Get("text"), Origin: q.Get("whose"), Foretold: q.Has("predicted"), Query: r.URL.RawQuery}
	b, ok := s.openBook(w, r, false)
	if !ok {
		return v, nil, false
	}
	if b == nil {
		v.None = true
		return v, nil, true
	}
	var view app.View
	if name := q.Get("view"); name != "" {
		found, err := b.Book.Kept(r.Context(), store.View, name, &view)
		if err == nil && !found {
			err = fmt.Errorf("view %s: %w", name, store.ErrNotFound)
		}
		if err != nil {
			s.failBook(w, r, err)
			return v, nil, false
		}
		v.Key, v.Terms, v.Value, v.Per, v.With = view.Key, string(view.Terms.Where), termsText(view.Terms), string(view.Terms.Per), strings.Join(view.More, ", ")
		v.Where, v.Text, v.Origin, v.Foretold = strings.Join(view.Where, ", "), view.Text, view.Origin, view.Predicted
	} else if v.Key == "" {
		v.Key, v.Terms, v.Value = "lux", string(compare.SameDistance), "500 mm"
		return v, nil, true
	} else {
		var err error
		if view, err = viewOf(q); err != nil {
			v.Err = capital(err.Error()) + "."
			return v, nil, true
		}
	}
	done, ok := s.begin(r.Context(), full)
	if !ok {
		return v, nil, false
	}
	defer done()
	ranked, err := b.Rank(r.Context(), view)
	var damaged *store.Damaged
	switch {
	case errors.Is(err, context.Canceled), errors.As(err, &damaged), errors.Is(err, store.ErrBusy):
		s.failBook(w, r, err)
		return v, nil, false
	case err != nil:
		v.Err = capital(err.Error()) + "."
		return v, nil, true
	}
	v.R = &ranked
	v.fill()
	var scenes []report.NamedScene
	if len(ranked.Lamps) > 0 {
		scenes = report.RankPictures(ranked)
	}
	for i, sc := range scenes {
		svg, err := report.SVG(sc.Scene, fmt.Sprintf("k%d", i))
		if err != nil {
			s.log.Printf("%s: %v", r.URL.Path, err)
			continue
		}
		v.Pictures = append(v.Pictures, readPicture{svg, sc.Scene.Title, "/logbook/rank/picture/" + sc.Name + "?" + v.Query})
	}
	return v, scenes, true
}

// termsText is the number of terms as it is typed.
func termsText(t compare.Terms) string {
	switch t.Where {
	case compare.SameDistance:
		return quantity.Exactly(t.Distance, quantity.Length)
	case compare.SameLux:
		return quantity.Exactly(t.Lux, quantity.Illuminance)
	case compare.SameLuminance:
		return quantity.Exactly(t.Luminance, quantity.Luminance)
	}
	return ""
}

// fill lays a ranking out.
func (v *rankView) fill() {
	k := v.R.Ranking
	for _, c := range v.R.Table {
		v.Head = append(v.Head, heading(c.Metric.Name, c.Unit))
	}
	cells := func(id string) (out []string) {
		for _, c := range v.R.Table {
			for _, x := range c.Cells {
				if x.ID == id {
					out = append(out, cellText(x))
				}
			}
		}
		return out
	}
	for _, x := range k.Rows {
		row := rankRow{Place: fmt.Sprint(x.Place), Slug: x.ID, Name: x.Name, Cells: cells(x.ID)}
		if x.Low != x.High {
			row.Place = fmt.Sprintf("%d (%d–%d)", x.Place, x.Low, x.High)
		}
		var ties []string
		for _, j := range x.Ties {
			ties = append(ties, k.Rows[j].Name)
		}
		row.Ties = strings.Join(ties, ", ")
		v.Rows = append(v.Rows, row)
	}
	for _, x := range k.Unranked {
		v.Rows = append(v.Rows, rankRow{Place: "–", Slug: x.ID, Name: x.Name, Cells: cells(x.ID)})
	}
	v.Notes = append(v.Notes, v.R.Carried()...)
	for _, l := range v.R.Left {
		v.Notes = append(v.Notes, "Left out: "+l+".")
	}
	if k.LogAxis {
		v.Notes = append(v.Notes, capital(k.LogWhy)+".")
	}
}

func cellText(c compare.Cell) string {
	if c.Missing != "" {
		return compare.Missing + ": " + c.Missing
	}
	t := c.Value.String()
	if c.Bound != measure.Estimate {
		t = c.Bound.String() + " " + t
	}
	return t
}

// rankPicture sends a picture of a comparison.
func (s *Server) rankPicture(w http.ResponseWriter, r *http.Request) {
	_, scenes, ok := s.rankView(w, r)
	if !ok {
		return
	}
	name, kind, _ := strings.Cut(r.PathValue("file"), ".")
	i := slices.IndexFunc(scenes, func(sc report.NamedScene) bool { return sc.Name == name })
	if i < 0 || kind != "svg" && kind != "png" {
		s.fail(w, r, http.StatusNotFound, "There is no such picture.", "")
		return
	}
	s.sendScene(w, r, name, kind, scenes[i].Scene)
}

// keepView keeps a comparison under a name.
func (s *Server) keepView(w http.ResponseWriter, r *http.Request) {
	if err := r.ParseForm(); err != nil {
		s.fail(w, r, http.StatusBadRequest, "The form could not be read.", "Go back and send it again.")
		return
	}
	name := strings.TrimSpace(r.PostForm.Get("name"))
	q, err := url.ParseQuery(r.PostForm.Get("query"))
	if name == "" || len(name) > 60 || err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "A kept comparison needs a name.", "Go back and give it one of at most 60 letters.")
		return
	}
	view, err := viewOf(q)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "That comparison cannot be kept.", "", err.Error())
		return
	}
	b, ok := s.openBook(w, r, false)
	if !ok {
		return
	}
	if b == nil {
		s.failBook(w, r, store.ErrNotFound)
		return
	}
	if err := b.Book.PutKept(r.Context(), store.View, name, name, view); err != nil {
		s.failBook(w, r, err)
		return
	}
	http.Redirect(w, r, "/logbook/rank?"+url.Values{"view": {name}}.Encode(), http.StatusSeeOther)
}
