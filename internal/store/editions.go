package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"fmt"
)

// Edition is a report as it was published.
type Edition struct {
	Slug      string   `json:"slug"`
	Number    int      `json:"number"`
	Title     string   `json:"title"`
	Media     string   `json:"media"` // "application/pdf"
	Bytes     []byte   `json:"-"`     // nil in lists
	SHA256    [32]byte `json:"sha256"`
	Program   string   `json:"program"`
	Published string   `json:"published"`
}

// AddEdition publishes the next number of a report and returns it. What was
// published stays as it was.
func (b *Book) AddEdition(ctx context.Context, e Edition) (number int, err error) {
	if e.Slug == "" || len(e.Bytes) == 0 {
		return 0, fmt.Errorf("edition %q has no slug or no content; give both", e.Slug)
	}
	err = b.within(ctx, "keep edition "+e.Slug, func(tx *sql.Tx) error {
		return tx.QueryRowContext(ctx, `INSERT INTO edition (slug, number, title, media, sha256, bytes, program, published)
			VALUES (?1, (SELECT coalesce(max(number), 0) + 1 FROM edition WHERE slug = ?1), ?2, ?3, ?4, ?5, ?6, ?7) RETURNING number`,
			e.Slug, e.Title, e.Media, sumOf(e.Bytes), e.Bytes, b.program, b.stamp()).Scan(&number)
	})
	return number, err
}

// Editions lists all editions without their bytes.
func (b *Book) Editions(ctx context.Context) ([]Edition, error) {
	return all(ctx, b, "list editions", func(r *sql.Rows) (e Edition, err error) {
		var sum []byte
		err = r.Scan(&e.Slug, &e.Number, &e.Title, &e.Media, &sum, &e.Program, &e.Published)
		copy(e.SHA256[:], sum)
		return e, err
	}, "SELECT slug, number, title, media, sha256, program, published FROM edition ORDER BY slug, number")
}

// Edition gives one edition with its bytes; number 0 is the newest.
func (b *Book) Edition(ctx context.Context, slug string, number int) (Edition, error) {
	var e Edition
	var sum []byte
	err := b.read.QueryRowContext(ctx, `SELECT slug, number, title, media, sha256, bytes, program, published FROM edition
		WHERE slug = ?1 AND ?2 IN (0, number) ORDER BY number DESC LIMIT 1`, slug, number).
		Scan(&e.Slug, &e.Number, &e.Title, &e.Media, &sum, &e.Bytes, &e.Program, &e.Published)
	copy(e.SHA256[:], sum)
	if err == nil && sha256.Sum256(e.Bytes) != e.SHA256 {
		err = &Damaged{b.path, fmt.Sprintf("edition %s %d does not match its sum", e.Slug, e.Number)}
	}
	return e, b.explain("edition "+slug, err)
}

// About names what a note or picture belongs to.
type About struct {
	Kind string `json:"kind"` // "lamp", "unit", "run", "brief", "instrument", "edition", "plan"
	Ref  string `json:"ref"`  // its slug or name; a unit is "lamp/serial"
}

// Note is a remark with its time.
type Note struct {
	At   string `json:"at"`
	Text string `json:"text"`
}

// AddNote keeps a remark.
func (b *Book) AddNote(ctx context.Context, on About, text string) error {
	return b.within(ctx, "keep a note on "+on.Kind+" "+on.Ref, func(tx *sql.Tx) error {
		_, err := tx.ExecContext(ctx, "INSERT INTO note (about, ref, at, text) VALUES (?, ?, ?, ?)", on.Kind, on.Ref, b.stamp(), text)
		return err
	})
}

// Notes lists the remarks on something, oldest first.
func (b *Book) Notes(ctx context.Context, on About) ([]Note, error) {
	return all(ctx, b, "notes on "+on.Kind+" "+on.Ref, func(r *sql.Rows) (n Note, err error) { return n, r.Scan(&n.At, &n.Text) },
		"SELECT at, text FROM note WHERE about = ? AND ref = ? ORDER BY id", on.Kind, on.Ref)
}

// Picture is an image with what it belongs to.
type Picture struct {
	ID      int64    `json:"id"`
	Name    string   `json:"name"`
	Media   string   `json:"media"` // "image/jpeg"
	Caption string   `json:"caption,omitempty"`
	Bytes   []byte   `json:"-"` // nil in lists
	SHA256  [32]byte `json:"sha256"`
	Added   string   `json:"added"`
}

// AddPicture keeps an image and returns its number.
func (b *Book) AddPicture(ctx context.Context, on About, p Picture) (id int64, err error) {
	if len(p.Bytes) == 0 {
		return 0, fmt.Errorf("picture %q is empty", p.Name)
	}
	err = b.within(ctx, "keep picture "+p.Name, func(tx *sql.Tx) error {
		return tx.QueryRowContext(ctx, "INSERT INTO picture (about, ref, name, media, caption, sha256, bytes, added) VALUES (?, ?, ?, ?, ?, ?, ?, ?) RETURNING id",
			on.Kind, on.Ref, p.Name, p.Media, p.Caption, sumOf(p.Bytes), p.Bytes, b.stamp()).Scan(&id)
	})
	return id, err
}

// Pictures lists the images of something without their bytes.
func (b *Book) Pictures(ctx context.Context, on About) ([]Picture, error) {
	return all(ctx, b, "pictures of "+on.Kind+" "+on.Ref, func(r *sql.Rows) (p Picture, err error) {
		var sum []byte
		err = r.Scan(&p.ID, &p.Name, &p.Media, &p.Caption, &sum, &p.Added)
		copy(p.SHA256[:], sum)
		return p, err
	}, "SELECT id, name, media, caption, sha256, added FROM picture WHERE about = ? AND ref = ? ORDER BY id", on.Kind, on.Ref)
}

// Picture gives one image with its bytes.
func (b *Book) Picture(ctx context.Context, id int64) (Picture, error) {
	p := Picture{ID: id}
	var sum []byte
	err := b.read.QueryRowContext(ctx, "SELECT name, media, caption, sha256, bytes, added FROM picture WHERE id = ?", id).Scan(&p.Name, &p.Media, &p.Caption, &sum, &p.Bytes, &p.Added)
	copy(p.SHA256[:], sum)
	return p, b.explain(fmt.Sprintf("picture %d", id), err)
}
