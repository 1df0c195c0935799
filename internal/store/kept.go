package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
)

// Kept says what a document kept beside the readings is about.
type Kept string

// The kinds of kept documents.
const (
	Facts  Kept = "facts"  // of a lamp: what no meter tells
	View   Kept = "view"   // a comparison to look at again
	Season Kept = "season" // lamps waiting to be read
)

// PutKept keeps v as JSON, in place of what stood there.
func (b *Book) PutKept(ctx context.Context, kind Kept, slug, name string, v any) error {
	d := Document{Slug: slug}
	if err := d.check(string(kind)); err != nil {
		return err
	}
	text, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("%s %s: %w", kind, slug, err)
	}
	return b.within(ctx, fmt.Sprintf("keep %s %s", kind, slug), func(tx *sql.Tx) error {
		now := b.stamp()
		_, err := tx.ExecContext(ctx, `INSERT INTO kept (kind, slug, name, document, created, changed) VALUES (?, ?, ?, ?, ?, ?)
			ON CONFLICT (kind, slug) DO UPDATE SET name = excluded.name, document = excluded.document, changed = excluded.changed`, kind, slug, name, string(text), now, now)
		return err
	})
}

// Kept reads a kept document into v; what is not there leaves v alone, and
// found is false.
func (b *Book) Kept(ctx context.Context, kind Kept, slug string, v any) (found bool, err error) {
	d, err := one(ctx, b, fmt.Sprintf("%s %s", kind, slug), "SELECT slug, name, document, created, changed FROM kept WHERE kind = ? AND slug = ?", kind, slug)
	if errors.Is(err, ErrNotFound) {
		return false, nil
	}
	if err != nil {
		return false, err
	}
	if err := json.Unmarshal([]byte(d.Document), v); err != nil {
		return false, fmt.Errorf("%s %s: %w", kind, slug, err)
	}
	return true, nil
}

// AllKept lists the documents of a kind.
func (b *Book) AllKept(ctx context.Context, kind Kept) ([]Document, error) {
	return all(ctx, b, "list "+string(kind), scanDocument, "SELECT slug, name, document, created, changed FROM kept WHERE kind = ? ORDER BY slug", kind)
}

// Unkeep takes a kept document away; ErrNotFound when there is none.
func (b *Book) Unkeep(ctx context.Context, kind Kept, slug string) error {
	return b.within(ctx, fmt.Sprintf("take away %s %s", kind, slug), func(tx *sql.Tx) error {
		r, err := tx.ExecContext(ctx, "DELETE FROM kept WHERE kind = ? AND slug = ?", kind, slug)
		if err != nil {
			return err
		}
		if n, err := r.RowsAffected(); err != nil || n > 0 {
			return err
		}
		return fmt.Errorf("%s %s is %w", kind, slug, ErrNotFound)
	})
}
