package store

import (
	"cmp"
	"context"
	"database/sql"
	"fmt"
	"slices"
	"strings"
)

// Origin says whose lamp it is.
type Origin string

// The origins. A check lamp is kept for nothing but watching the meter.
const (
	Own    Origin = "own"
	Bought Origin = "bought"
	Lent   Origin = "lent"
	Check  Origin = "check"
)

// Lamp is a lamp with one revision of its document.
type Lamp struct {
	Slug     string `json:"slug"`
	Name     string `json:"name"`
	Origin   Origin `json:"origin"`
	Maker    string `json:"maker,omitempty"`
	Price    string `json:"price,omitempty"` // "149.00 EUR"
	Archived string `json:"archived,omitempty"`
	Created  string `json:"created"`
	// Revision and Document are the newest, or the one asked for.
	Revision int    `json:"revision"`
	Document string `json:"document,omitempty"` // TOML; "" for a lamp without one
	Revised  string `json:"revised"`
	Note     string `json:"note,omitempty"` // of the revision
}

// PutLamp adds a lamp, or changes its name, maker and price; a document that
// differs from the newest becomes a new revision, whose number is returned.
// Older revisions stay.
func (b *Book) PutLamp(ctx context.Context, l Lamp) (revision int, err error) {
	if l.Slug == "" || l.Name == "" {
		return 0, fmt.Errorf("lamp: slug %q and name %q must not be empty; give both", l.Slug, l.Name)
	}
	if l.Origin == "" {
		l.Origin = Own
	}
	if !slices.Contains([]Origin{Own, Bought, Lent, Check}, l.Origin) {
		return 0, fmt.Errorf("lamp %s: origin is %q: allowed is own, bought, lent or check", l.Slug, l.Origin)
	}
	err = b.within(ctx, "keep lamp "+l.Slug, func(tx *sql.Tx) error {
		now := b.stamp()
		var id int64
		err := tx.QueryRowContext(ctx, `INSERT INTO lamp (slug, name, origin, maker, price, created) VALUES (?, ?, ?, ?, ?, ?)
			ON CONFLICT (slug) DO UPDATE SET name = excluded.name, origin = excluded.origin, maker = excluded.maker, price = excluded.price
			RETURNING id`, l.Slug, l.Name, l.Origin, l.Maker, l.Price, now).Scan(&id)
		if err != nil {
			return err
		}
		var newest string
		err = tx.QueryRowContext(ctx, "SELECT revision, document FROM lamp_revision WHERE lamp_id = ? ORDER BY revision DESC LIMIT 1", id).Scan(&revision, &newest)
		if err != nil && err != sql.ErrNoRows {
			return err
		}
		if err == nil && newest == l.Document {
			return nil
		}
		revision++
		_, err = tx.ExecContext(ctx, "INSERT INTO lamp_revision (lamp_id, revision, document, created, note) VALUES (?, ?, ?, ?, ?)", id, revision, l.Document, now, l.Note)
		return err
	})
	return revision, err
}

const lampColumns = `SELECT l.slug, l.name, l.origin, l.maker, l.price, coalesce(l.archived, ''), l.created, v.revision, v.document, v.created, v.note
	FROM lamp l JOIN lamp_revision v ON v.lamp_id = l.id`

func scanLamp(s interface{ Scan(...any) error }) (l Lamp, err error) {
	return l, s.Scan(&l.Slug, &l.Name, &l.Origin, &l.Maker, &l.Price, &l.Archived, &l.Created, &l.Revision, &l.Document, &l.Revised, &l.Note)
}

// Lamp gives a lamp with a revision of its document; 0 is the newest.
func (b *Book) Lamp(ctx context.Context, slug string, revision int) (Lamp, error) {
	query := lampColumns + " WHERE l.slug = ? ORDER BY v.revision DESC LIMIT 1"
	args := []any{slug}
	if revision > 0 {
		query = lampColumns + " WHERE l.slug = ? AND v.revision = ?"
		args = append(args, revision)
	}
	l, err := scanLamp(b.read.QueryRowContext(ctx, query, args...))
	return l, b.explain("lamp "+slug, err)
}

// Revisions lists a lamp's revisions, oldest first.
func (b *Book) Revisions(ctx context.Context, slug string) ([]Lamp, error) {
	return all(ctx, b, "revisions of "+slug, func(r *sql.Rows) (Lamp, error) { return scanLamp(r) }, lampColumns+" WHERE l.slug = ? ORDER BY v.revision", slug)
}

// ArchiveLamp puts a lamp away, or (in false) takes it out again. Nothing is
// deleted.
func (b *Book) ArchiveLamp(ctx context.Context, slug string, away bool) error {
	return b.within(ctx, "put lamp "+slug+" away", func(tx *sql.Tx) error {
		at := sql.NullString{String: b.stamp(), Valid: away}
		return mustHit(tx.ExecContext(ctx, "UPDATE lamp SET archived = ? WHERE slug = ?", at, slug))
	})
}

// mustHit makes an update that met no row an ErrNotFound.
func mustHit(r sql.Result, err error) error {
	if err != nil {
		return err
	}
	if n, err := r.RowsAffected(); err == nil && n == 0 {
		return sql.ErrNoRows
	}
	return nil
}

// Number is one result in a list.
type Number struct {
	Value    float64 `json:"value"` // in the unit of the measure
	U        float64 `json:"u"`
	Bound    string  `json:"bound"` // "estimate", "at least", "at most"
	Distance float64 `json:"distance_m,omitempty"`
	// Run it was measured in; "" for a predicted number.
	Run string `json:"run,omitempty"`
}

// Limit asks for a number within bounds; a nil bound does not count.
type Limit struct {
	Key      string
	Min, Max *float64
}

// LampFilter narrows a list of lamps; the zero value lists all in use.
type LampFilter struct {
	Text     string  // part of slug, name or maker, any case
	Origin   Origin  // "": any
	Archived bool    // those put away instead
	Limits   []Limit // measured numbers the lamp must have, the newest counts
	// Keys are the measures to give with each lamp.
	Keys []string
	// Sort is "slug" (also ""), "name", "newest", or the key of a measure;
	// Descending turns it round. Lamps without the measure come last.
	Sort       string
	Descending bool
}

// LampRow is a lamp in a list: without its document, with numbers.
type LampRow struct {
	Lamp
	Units     int               `json:"units"`
	Runs      int               `json:"runs"`
	Measured  map[string]Number `json:"measured,omitempty"`  // the newest run's
	Predicted map[string]Number `json:"predicted,omitempty"` // of the newest revision
}

// Lamps lists lamps.
func (b *Book) Lamps(ctx context.Context, f LampFilter) ([]LampRow, error) {
	where, args := []string{"l.archived IS NULL"}, []any{}
	if f.Archived {
		where[0] = "l.archived IS NOT NULL"
	}
	if f.Origin != "" {
		where, args = append(where, "l.origin = ?"), append(args, f.Origin)
	}
	if f.Text != "" {
		like := "%" + strings.NewReplacer(`\`, `\\`, "%", `\%`, "_", `\_`).Replace(f.Text) + "%"
		where = append(where, `(l.slug LIKE ? ESCAPE '\' OR l.name LIKE ? ESCAPE '\' OR l.maker LIKE ? ESCAPE '\')`)
		args = append(args, like, like, like)
	}
	type row struct {
		id int64
		LampRow
	}
	rows, err := all(ctx, b, "list lamps", func(r *sql.Rows) (row, error) {
		var x row
		err := r.Scan(&x.id, &x.Slug, &x.Name, &x.Origin, &x.Maker, &x.Price, &x.Archived, &x.Created, &x.Revision, &x.Revised, &x.Note, &x.Units, &x.Runs)
		return x, err
	}, `SELECT l.id, l.slug, l.name, l.origin, l.maker, l.price, coalesce(l.archived, ''), l.created, v.revision, v.created, v.note,
		(SELECT count(*) FROM unit u WHERE u.lamp_id = l.id), (SELECT count(*) FROM run r WHERE r.lamp_id = l.id AND r.withdrawn IS NULL)
		FROM lamp l JOIN lamp_revision v ON v.lamp_id = l.id AND v.revision = (SELECT max(revision) FROM lamp_revision WHERE lamp_id = l.id)
		WHERE `+strings.Join(where, " AND ")+" ORDER BY l.slug", args...)
	if err != nil {
		return nil, err
	}
	keys := slices.Clone(f.Keys)
	for _, l := range f.Limits {
		keys = append(keys, l.Key)
	}
	byKey := f.Sort != "" && f.Sort != "slug" && f.Sort != "name" && f.Sort != "newest"
	if byKey {
		keys = append(keys, f.Sort)
	}
	slices.Sort(keys)
	keys = slices.Compact(keys)
	index := make(map[int64]int, len(rows))
	for i := range rows {
		index[rows[i].id] = i
	}
	for _, key := range keys {
		if err := b.newest(ctx, key, func(lamp int64, n Number) {
			if i, ok := index[lamp]; ok {
				put(&rows[i].Measured, key, n)
			}
		}, func(lamp int64, n Number) {
			if i, ok := index[lamp]; ok {
				put(&rows[i].Predicted, key, n)
			}
		}); err != nil {
			return nil, err
		}
	}
	var out []LampRow
	for _, r := range rows {
		if meets(r.Measured, f.Limits) {
			out = append(out, r.LampRow)
		}
	}
	slices.SortStableFunc(out, func(x, y LampRow) int {
		c := 0
		switch {
		case byKey:
			nx, okx := x.Measured[f.Sort]
			ny, oky := y.Measured[f.Sort]
			if okx != oky {
				return map[bool]int{true: -1, false: 1}[okx]
			}
			c = cmp.Compare(nx.Value, ny.Value)
		case f.Sort == "name":
			c = cmp.Compare(strings.ToLower(x.Name), strings.ToLower(y.Name))
		case f.Sort == "newest":
			c = cmp.Compare(y.Revised, x.Revised)
		default:
			c = cmp.Compare(x.Slug, y.Slug)
		}
		if f.Descending {
			c = -c
		}
		return c
	})
	return out, nil
}

func put(m *map[string]Number, key string, n Number) {
	if *m == nil {
		*m = map[string]Number{}
	}
	(*m)[key] = n
}

func meets(have map[string]Number, limits []Limit) bool {
	for _, l := range limits {
		n, ok := have[l.Key]
		if !ok || l.Min != nil && n.Value < *l.Min || l.Max != nil && n.Value > *l.Max {
			return false
		}
	}
	return true
}

// newest gives the newest number of a key for every lamp that has one:
// measured by the run read last, and predicted of the newest revision.
func (b *Book) newest(ctx context.Context, key string, measured, predicted func(lamp int64, n Number)) error {
	type hit struct {
		lamp int64
		n    Number
	}
	scan := func(r *sql.Rows) (h hit, err error) {
		var d sql.NullFloat64
		err = r.Scan(&h.lamp, &h.n.Value, &h.n.U, &h.n.Bound, &d, &h.n.Run)
		h.n.Distance = d.Float64
		return h, err
	}
	// The latest come last and win.
	hits, err := all(ctx, b, "list lamps", scan, `SELECT r.lamp_id, x.value, x.u, x.bound, x.distance_m, r.name
		FROM result x JOIN run r ON r.id = x.run_id WHERE x.key = ? AND r.withdrawn IS NULL ORDER BY r.taken, r.id`, key)
	if err != nil {
		return err
	}
	for _, h := range hits {
		measured(h.lamp, h.n)
	}
	hits, err = all(ctx, b, "list lamps", scan, `SELECT v.lamp_id, x.value, x.u, x.bound, x.distance_m, ''
		FROM result x JOIN lamp_revision v ON v.id = x.revision_id WHERE x.key = ? AND x.revision_id IS NOT NULL ORDER BY v.revision`, key)
	for _, h := range hits {
		predicted(h.lamp, h.n)
	}
	return err
}
