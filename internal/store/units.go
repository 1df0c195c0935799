package store

import (
	"context"
	"database/sql"
	"fmt"
)

// Unit is a lamp that exists.
type Unit struct {
	Lamp     string `json:"lamp"`
	Serial   string `json:"serial"`
	Revision int    `json:"revision"` // of the lamp's document it was built from
	Built    string `json:"built,omitempty"`
	Note     string `json:"note,omitempty"`
	Created  string `json:"created"`
}

// Event is something done to a unit after its document: built otherwise,
// repaired, changed, retired.
type Event struct {
	At    string `json:"at"`   // date; "": now
	Kind  string `json:"kind"` // "as-built", "repair", "changed", "retired"
	Path  string `json:"path,omitempty"`
	Value string `json:"value,omitempty"`
	Note  string `json:"note,omitempty"`
}

// AddUnit adds a unit; revision 0 is the lamp's newest. ErrExists when the
// lamp has that serial already.
func (b *Book) AddUnit(ctx context.Context, u Unit) error {
	if u.Serial == "" {
		return fmt.Errorf("unit of lamp %s: the serial is empty; give one, 1 will do", u.Lamp)
	}
	return b.within(ctx, "keep unit "+u.Serial+" of lamp "+u.Lamp, func(tx *sql.Tx) error {
		id, newest, err := lampID(ctx, tx, u.Lamp)
		if err != nil {
			return err
		}
		if u.Revision == 0 {
			u.Revision = newest
		}
		_, err = tx.ExecContext(ctx, "INSERT INTO unit (lamp_id, revision, serial, built, note, created) VALUES (?, ?, ?, ?, ?, ?)", id, u.Revision, u.Serial, u.Built, u.Note, b.stamp())
		return err
	})
}

func lampID(ctx context.Context, tx *sql.Tx, slug string) (id int64, newest int, err error) {
	err = tx.QueryRowContext(ctx, "SELECT l.id, max(v.revision) FROM lamp l JOIN lamp_revision v ON v.lamp_id = l.id WHERE l.slug = ? GROUP BY l.id", slug).Scan(&id, &newest)
	if err == sql.ErrNoRows {
		err = fmt.Errorf("lamp %s: %w", slug, ErrNotFound)
	}
	return id, newest, err
}

func unitID(ctx context.Context, tx *sql.Tx, lamp, serial string) (id int64, err error) {
	err = tx.QueryRowContext(ctx, "SELECT u.id FROM unit u JOIN lamp l ON l.id = u.lamp_id WHERE l.slug = ? AND u.serial = ?", lamp, serial).Scan(&id)
	if err == sql.ErrNoRows {
		err = fmt.Errorf("unit %s of lamp %s: %w", serial, lamp, ErrNotFound)
	}
	return id, err
}

// Units lists the units of a lamp; "" lists all.
func (b *Book) Units(ctx context.Context, lamp string) ([]Unit, error) {
	return all(ctx, b, "list units", func(r *sql.Rows) (u Unit, err error) {
		return u, r.Scan(&u.Lamp, &u.Serial, &u.Revision, &u.Built, &u.Note, &u.Created)
	}, `SELECT l.slug, u.serial, u.revision, u.built, u.note, u.created FROM unit u JOIN lamp l ON l.id = u.lamp_id
		WHERE ? IN ('', l.slug) ORDER BY l.slug, u.id`, lamp)
}

// AddEvent notes something done to a unit.
func (b *Book) AddEvent(ctx context.Context, lamp, serial string, e Event) error {
	return b.within(ctx, "note on unit "+serial+" of lamp "+lamp, func(tx *sql.Tx) error {
		id, err := unitID(ctx, tx, lamp, serial)
		if err != nil {
			return err
		}
		if e.At == "" {
			e.At = b.stamp()
		}
		_, err = tx.ExecContext(ctx, "INSERT INTO unit_event (unit_id, at, kind, path, value, note) VALUES (?, ?, ?, ?, ?, ?)", id, e.At, e.Kind, e.Path, e.Value, e.Note)
		return err
	})
}

// Events lists what was done to a unit, in order.
func (b *Book) Events(ctx context.Context, lamp, serial string) ([]Event, error) {
	return all(ctx, b, "events of unit "+serial, func(r *sql.Rows) (e Event, err error) {
		return e, r.Scan(&e.At, &e.Kind, &e.Path, &e.Value, &e.Note)
	}, `SELECT e.at, e.kind, e.path, e.value, e.note FROM unit_event e JOIN unit u ON u.id = e.unit_id JOIN lamp l ON l.id = u.lamp_id
		WHERE l.slug = ? AND u.serial = ? ORDER BY e.at, e.id`, lamp, serial)
}
