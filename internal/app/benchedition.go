package app

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"time"

	"dawnsmith/internal/store"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/edition"
)

// Compared is the lamp as a comparison takes it.
func (k Kept) Compared() edition.Lamp {
	l := edition.Lamp{Entry: k.Entry, Record: k.Record, Whose: string(k.Lamp.Origin), Maker: k.Lamp.Maker, Claim: k.Claim}
	if k.Facts.Claim != nil {
		l.Claimed = edition.Claimed(*k.Facts.Claim)
	}
	return l
}

// Comparison is what was compared, for pictures and editions.
func (r Ranked) Comparison() edition.Comparison {
	c := edition.Comparison{Ranking: r.Ranking, Table: r.Table, Left: r.Left}
	for _, k := range r.Lamps {
		c.Lamps = append(c.Lamps, k.Compared())
	}
	return c
}

// EditionRequest is what is to be published.
type EditionRequest struct {
	Slug, Title, Intro, Publisher, Interest string
	View                                    View
	Target                                  float64 // lx; 0: 5000
	// Correction says what the last number had wrong; "": nothing.
	Correction string
	Raw        bool // attach the meters' files
	Letter     bool // paper
}

// corrections are kept as remarks on the edition.
func (b *Bench) corrections(ctx context.Context, slug string) ([]edition.Correction, error) {
	var kept []edition.Correction
	notes, err := b.Book.Notes(ctx, store.About{Kind: "edition", Ref: slug})
	for _, n := range notes {
		var c edition.Correction
		if _, err := fmt.Sscanf(n.Text, "no. %d:", &c.Number); err == nil {
			_, c.Text, _ = strings.Cut(n.Text, ":")
			c.Date = n.At[:min(10, len(n.At))]
			kept = append(kept, c)
		}
	}
	return kept, err
}

// Publish makes the next number of an edition and keeps its page in the
// logbook. What was published before stays as it was; a correction goes into
// this number and all later ones.
func (b *Bench) Publish(ctx context.Context, q EditionRequest, now time.Time) (*edition.Edition, store.Edition, error) {
	var kept store.Edition
	r, err := b.Rank(ctx, q.View)
	if err != nil {
		return nil, kept, err
	}
	all, err := b.Book.Editions(ctx)
	if err != nil {
		return nil, kept, err
	}
	number := 1
	for _, e := range all {
		if e.Slug == q.Slug && e.Number >= number {
			number = e.Number + 1
		}
	}
	if q.Correction != "" && number == 1 {
		return nil, kept, fmt.Errorf("edition %s: there is no earlier number to correct", q.Slug)
	}
	in := edition.Input{Slug: q.Slug, Title: q.Title, Number: number, Date: now, Intro: q.Intro, Publisher: q.Publisher, Interest: q.Interest,
		Comparison: r.Comparison(), Target: q.Target, Program: b.Program}
	if in.Corrections, err = b.corrections(ctx, q.Slug); err != nil {
		return nil, kept, err
	}
	if q.Correction != "" {
		in.Corrections = append(in.Corrections, edition.Correction{Number: number - 1, Date: now.Format(time.DateOnly), Text: q.Correction})
	}
	if q.Raw {
		for _, k := range r.Lamps {
			runs, err := b.Book.Runs(ctx, store.RunFilter{Lamp: k.Lamp.Slug})
			if err != nil {
				return nil, kept, err
			}
			seen := map[[32]byte]bool{}
			for _, run := range runs {
				files, err := b.Book.Raw(ctx, run.Name)
				if err != nil {
					return nil, kept, err
				}
				for _, f := range files {
					if !seen[f.SHA256] {
						seen[f.SHA256] = true
						in.Raw = append(in.Raw, edition.File{Lamp: k.Lamp.Slug, Name: f.Name, Bytes: f.Bytes})
					}
				}
			}
		}
	}
	e, err := edition.New(in)
	if err != nil {
		return nil, kept, err
	}
	var page bytes.Buffer
	if err := e.HTML(&page); err != nil {
		return nil, kept, err
	}
	kept = store.Edition{Slug: q.Slug, Title: in.Title, Media: "text/html", Bytes: page.Bytes(), Program: b.Program}
	if kept.Number, err = b.Book.AddEdition(ctx, kept); err != nil {
		return nil, kept, err
	}
	if q.Correction != "" {
		err = b.Book.AddNote(ctx, store.About{Kind: "edition", Ref: q.Slug}, fmt.Sprintf("no. %d:%s", number-1, q.Correction))
	}
	return e, kept, err
}

// EditionFiles are the files of an edition: page, paper, table, data, and the
// pictures as SVG and in the sizes of a video and an article.
func EditionFiles(e *edition.Edition, letter bool) ([]NewFile, error) {
	size := draw.A4
	if letter {
		size = draw.Letter
	}
	var out []NewFile
	var b bytes.Buffer
	put := func(name string, err error) error {
		if err != nil {
			return fmt.Errorf("%s: %w", name, err)
		}
		out = append(out, NewFile{Name: name, Bytes: bytes.Clone(b.Bytes())})
		b.Reset()
		return nil
	}
	for _, f := range []struct {
		name string
		err  func() error
	}{
		{"edition.html", func() error { return e.HTML(&b) }},
		{"edition.pdf", func() error { return e.PDF(&b, size) }},
		{"edition.csv", func() error { return e.CSV(&b) }},
		{"edition.json", func() error { return e.JSON(&b) }},
	} {
		if err := put(f.name, f.err()); err != nil {
			return nil, err
		}
	}
	for _, p := range e.Pictures() {
		if err := put("pictures/"+p.Name+".svg", draw.SVG(&b, p.Scene, draw.SVGOptions{Ground: true})); err != nil {
			return nil, err
		}
		s, per := edition.Framed(p.Scene, edition.Video)
		if err := put("pictures/"+p.Name+"-video.png", draw.PNG(&b, s, draw.PNGOptions{PerMM: per})); err != nil {
			return nil, err
		}
		s, per = edition.Framed(p.Scene, edition.Article)
		if err := put("pictures/"+p.Name+"-article.png", draw.PNG(&b, s, draw.PNGOptions{PerMM: per})); err != nil {
			return nil, err
		}
	}
	return out, nil
}
