package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"fmt"

	"dawnsmith/bench/measure"
)

// Document is a brief or a plan: text kept under a name.
type Document struct {
	Slug     string `json:"slug"`
	Name     string `json:"name"`
	Document string `json:"document"`
	Created  string `json:"created"`
	Changed  string `json:"changed"`
}

func (d Document) check(kind string) error {
	if d.Slug == "" {
		return fmt.Errorf("%s: the slug is empty; give it a short name", kind)
	}
	return nil
}

func scanDocument(r *sql.Rows) (d Document, err error) {
	return d, r.Scan(&d.Slug, &d.Name, &d.Document, &d.Created, &d.Changed)
}

// PutBrief keeps a brief, in place of an earlier one of the same slug.
func (b *Book) PutBrief(ctx context.Context, d Document) error {
	if err := d.check("brief"); err != nil {
		return err
	}
	return b.within(ctx, "keep brief "+d.Slug, func(tx *sql.Tx) error {
		now := b.stamp()
		_, err := tx.ExecContext(ctx, `INSERT INTO brief (slug, name, document, created, changed) VALUES (?, ?, ?, ?, ?)
			ON CONFLICT (slug) DO UPDATE SET name = excluded.name, document = excluded.document, changed = excluded.changed`, d.Slug, d.Name, d.Document, now, now)
		return err
	})
}

// Briefs lists all briefs.
func (b *Book) Briefs(ctx context.Context) ([]Document, error) {
	return all(ctx, b, "list briefs", scanDocument, "SELECT slug, name, document, created, changed FROM brief ORDER BY slug")
}

// Brief gives one brief.
func (b *Book) Brief(ctx context.Context, slug string) (Document, error) {
	return one(ctx, b, "brief "+slug, "SELECT slug, name, document, created, changed FROM brief WHERE slug = ?", slug)
}

func one(ctx context.Context, b *Book, what, query string, args ...any) (d Document, err error) {
	err = b.read.QueryRowContext(ctx, query, args...).Scan(&d.Slug, &d.Name, &d.Document, &d.Created, &d.Changed)
	return d, b.explain(what, err)
}

// PutPlan keeps a day plan, in place of an earlier one of the same slug.
func (b *Book) PutPlan(ctx context.Context, d Document) error {
	if err := d.check("plan"); err != nil {
		return err
	}
	return b.within(ctx, "keep plan "+d.Slug, func(tx *sql.Tx) error {
		now := b.stamp()
		_, err := tx.ExecContext(ctx, `INSERT INTO plan (slug, name, document, program, created, changed) VALUES (?, ?, ?, ?, ?, ?)
			ON CONFLICT (slug) DO UPDATE SET name = excluded.name, document = excluded.document, program = excluded.program, changed = excluded.changed`, d.Slug, d.Name, d.Document, b.program, now, now)
		return err
	})
}

// Plans lists all plans.
func (b *Book) Plans(ctx context.Context) ([]Document, error) {
	return all(ctx, b, "list plans", scanDocument, "SELECT slug, name, document, created, changed FROM plan ORDER BY slug")
}

// Plan gives one plan.
func (b *Book) Plan(ctx context.Context, slug string) (Document, error) {
	return one(ctx, b, "plan "+slug, "SELECT slug, name, document, created, changed FROM plan WHERE slug = ?", slug)
}

// Layer is a set of parts laid over the catalogue.
type Layer struct {
	Document
	Position int    `json:"position"` // lowest first
	Origin   string `json:"origin"`   // "file", "bench", "reconciled"
}

// PutLayer keeps a layer of parts. Position 0 puts a new layer on top and
// leaves an old one where it is.
func (b *Book) PutLayer(ctx context.Context, l Layer) error {
	if err := l.check("parts layer"); err != nil {
		return err
	}
	return b.within(ctx, "keep parts layer "+l.Slug, func(tx *sql.Tx) error {
		now := b.stamp()
		if l.Position == 0 {
			err := tx.QueryRowContext(ctx, "SELECT coalesce((SELECT position FROM layer WHERE slug = ?), (SELECT max(position) + 1 FROM layer), 1)", l.Slug).Scan(&l.Position)
			if err != nil {
				return err
			}
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO layer (slug, name, position, document, origin, created, changed) VALUES (?, ?, ?, ?, ?, ?, ?)
			ON CONFLICT (slug) DO UPDATE SET name = excluded.name, position = excluded.position, document = excluded.document, origin = excluded.origin, changed = excluded.changed`,
			l.Slug, l.Name, l.Position, l.Document.Document, l.Origin, now, now)
		return err
	})
}

// Layers lists the layers in the order in which they are laid.
func (b *Book) Layers(ctx context.Context) ([]Layer, error) {
	return all(ctx, b, "list parts layers", func(r *sql.Rows) (l Layer, err error) {
		return l, r.Scan(&l.Slug, &l.Name, &l.Document.Document, &l.Created, &l.Changed, &l.Position, &l.Origin)
	}, "SELECT slug, name, document, created, changed, position, origin FROM layer ORDER BY position, id")
}

// RemoveLayer takes a layer out of the catalogue. Lamps carry the parts they
// were built of, and are not touched.
func (b *Book) RemoveLayer(ctx context.Context, slug string) error {
	return b.within(ctx, "remove parts layer "+slug, func(tx *sql.Tx) error {
		return mustHit(tx.ExecContext(ctx, "DELETE FROM layer WHERE slug = ?", slug))
	})
}

// PutInstrument keeps an instrument. One that differs from the newest of its
// id becomes a new revision, so that older runs keep the calibration they were
// made with; the revision is returned.
func (b *Book) PutInstrument(ctx context.Context, i measure.Instrument) (revision int, err error) {
	if err := i.Check(); err != nil {
		return 0, err
	}
	text, err := json.Marshal(i)
	if err != nil {
		return 0, fmt.Errorf("instrument %s: %w", i.ID, err)
	}
	err = b.within(ctx, "keep instrument "+i.ID, func(tx *sql.Tx) error {
		_, revision, err = b.instrument(ctx, tx, i, text)
		return err
	})
	return revision, err
}

func (b *Book) instrument(ctx context.Context, tx *sql.Tx, i measure.Instrument, text []byte) (id int64, revision int, err error) {
	var newest string
	err = tx.QueryRowContext(ctx, "SELECT id, revision, document FROM instrument WHERE slug = ? ORDER BY revision DESC LIMIT 1", i.ID).Scan(&id, &revision, &newest)
	if err != nil && err != sql.ErrNoRows {
		return 0, 0, err
	}
	if err == nil && newest == string(text) {
		return id, revision, nil
	}
	revision++
	err = tx.QueryRowContext(ctx, "INSERT INTO instrument (slug, revision, kind, document, created) VALUES (?, ?, ?, ?, ?) RETURNING id", i.ID, revision, i.Kind, string(text), b.stamp()).Scan(&id)
	return id, revision, err
}

func scanInstrument(s interface{ Scan(...any) error }) (i measure.Instrument, err error) {
	var text []byte
	if err := s.Scan(&text); err != nil {
		return i, err
	}
	return i, json.Unmarshal(text, &i)
}

// Instrument gives the newest revision of an instrument.
func (b *Book) Instrument(ctx context.Context, id string) (measure.Instrument, error) {
	i, err := scanInstrument(b.read.QueryRowContext(ctx, "SELECT document FROM instrument WHERE slug = ? ORDER BY revision DESC LIMIT 1", id))
	return i, b.explain("instrument "+id, err)
}

// Instruments lists the newest revision of each.
func (b *Book) Instruments(ctx context.Context) ([]measure.Instrument, error) {
	return all(ctx, b, "list instruments", func(r *sql.Rows) (measure.Instrument, error) { return scanInstrument(r) },
		"SELECT document FROM instrument i WHERE revision = (SELECT max(revision) FROM instrument WHERE slug = i.slug) ORDER BY slug")
}
