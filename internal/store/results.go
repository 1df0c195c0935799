package store

import (
	"context"
	"database/sql"
	"encoding/json"
	"errors"
	"fmt"
	"math"

	"dawnsmith/bench/measure"
	"dawnsmith/quantity"
)

// PutRecord keeps what was worked out of a run, in place of what stood there.
func (b *Book) PutRecord(ctx context.Context, r measure.Record) error {
	text, err := json.Marshal(r)
	if err != nil {
		return fmt.Errorf("record of run %s: %w", r.Run, err)
	}
	return b.within(ctx, "keep the record of run "+r.Run, func(tx *sql.Tx) error {
		var id int64
		if err := tx.QueryRowContext(ctx, "SELECT id FROM run WHERE name = ?", r.Run).Scan(&id); err != nil {
			return err
		}
		_, err := tx.ExecContext(ctx, `INSERT INTO record (run_id, document, program, computed) VALUES (?, ?, ?, ?)
			ON CONFLICT (run_id) DO UPDATE SET document = excluded.document, program = excluded.program, computed = excluded.computed`, id, string(text), b.program, b.stamp())
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM result WHERE run_id = ?", id); err != nil {
			return err
		}
		stmt, err := tx.PrepareContext(ctx, "INSERT INTO result (run_id, key, value, u, bound, distance_m) VALUES (?, ?, ?, ?, ?, ?)")
		if err != nil {
			return err
		}
		defer stmt.Close()
		for _, m := range r.Values {
			d := sql.NullFloat64{Float64: m.Distance, Valid: m.Distance > 0}
			if _, err := stmt.ExecContext(ctx, id, m.Key, m.Value.X, m.Value.U(), m.Bound.String(), d); err != nil {
				return err
			}
		}
		return nil
	})
}

// Record gives what was worked out of a run, and the version of the program
// that did it.
func (b *Book) Record(ctx context.Context, run string) (r measure.Record, program string, err error) {
	var text []byte
	err = b.read.QueryRowContext(ctx, "SELECT d.document, d.program FROM record d JOIN run r ON r.id = d.run_id WHERE r.name = ?", run).Scan(&text, &program)
	if err != nil {
		return r, "", b.explain("record of run "+run, err)
	}
	return r, program, json.Unmarshal(text, &r)
}

// Records gives the records of a unit's runs that count, oldest first; serial
// "" takes those of all units of the lamp.
func (b *Book) Records(ctx context.Context, lamp, serial string) ([]measure.Record, error) {
	return all(ctx, b, "records of lamp "+lamp, func(r *sql.Rows) (rec measure.Record, err error) {
		var text []byte
		if err = r.Scan(&text); err == nil {
			err = json.Unmarshal(text, &rec)
		}
		return rec, err
	}, `SELECT d.document FROM record d JOIN run r ON r.id = d.run_id JOIN lamp l ON l.id = r.lamp_id LEFT JOIN unit u ON u.id = r.unit_id
		WHERE l.slug = ? AND r.withdrawn IS NULL AND (? = '' OR u.serial = ?) ORDER BY r.taken, r.id`, lamp, serial, serial)
}

// Recompute makes the records of runs again from what was kept of them, all
// of them or those of one lamp. Of runs that fail it tells which and why in the
// error, and goes on. done, if not nil, is told after each.
func (b *Book) Recompute(ctx context.Context, lamp string, done func(i, n int)) (made int, err error) {
	runs, err := b.Runs(ctx, RunFilter{Lamp: lamp, Withdrawn: true})
	if err != nil {
		return 0, err
	}
	var errs []error
	for i, k := range runs {
		if err := ctx.Err(); err != nil {
			return made, errors.Join(append(errs, err)...)
		}
		r, err := b.Run(ctx, k.Name)
		if err == nil {
			var rec measure.Record
			if rec, err = r.Evaluate(); err == nil {
				err = b.PutRecord(ctx, rec)
			}
		}
		if err != nil {
			errs = append(errs, fmt.Errorf("run %s: %w", k.Name, err))
		} else {
			made++
		}
		if done != nil {
			done(i+1, len(runs))
		}
	}
	return made, errors.Join(errs...)
}

// Stale lists the runs that have no record, or one of another program's
// version.
func (b *Book) Stale(ctx context.Context) ([]string, error) {
	return all(ctx, b, "list stale runs", func(r *sql.Rows) (s string, err error) { return s, r.Scan(&s) },
		"SELECT r.name FROM run r LEFT JOIN record d ON d.run_id = r.id WHERE d.program IS NOT ? ORDER BY r.taken, r.id", b.program)
}

// PutPrediction keeps what was worked out of a lamp's revision (0: the
// newest): a document of JSON, and its numbers for lists.
func (b *Book) PutPrediction(ctx context.Context, lamp string, revision int, document json.RawMessage, numbers map[string]quantity.Value) error {
	return b.within(ctx, "keep the prediction of lamp "+lamp, func(tx *sql.Tx) error {
		_, newest, err := lampID(ctx, tx, lamp)
		if err != nil {
			return err
		}
		if revision == 0 {
			revision = newest
		}
		var id int64
		err = tx.QueryRowContext(ctx, "SELECT v.id FROM lamp_revision v JOIN lamp l ON l.id = v.lamp_id WHERE l.slug = ? AND v.revision = ?", lamp, revision).Scan(&id)
		if err != nil {
			return err
		}
		_, err = tx.ExecContext(ctx, `INSERT INTO prediction (revision_id, document, program, computed) VALUES (?, ?, ?, ?)
			ON CONFLICT (revision_id) DO UPDATE SET document = excluded.document, program = excluded.program, computed = excluded.computed`, id, string(document), b.program, b.stamp())
		if err != nil {
			return err
		}
		if _, err := tx.ExecContext(ctx, "DELETE FROM result WHERE revision_id = ?", id); err != nil {
			return err
		}
		for key, v := range numbers {
			if math.IsNaN(v.X) || math.IsInf(v.X, 0) {
				continue // the document says why there is no number
			}
			if _, err := tx.ExecContext(ctx, "INSERT INTO result (revision_id, key, value, u) VALUES (?, ?, ?, ?)", id, key, v.X, v.U()); err != nil {
				return err
			}
		}
		return nil
	})
}

// Prediction gives what was worked out of a lamp's revision (0: the newest)
// and the version of the program that did it.
func (b *Book) Prediction(ctx context.Context, lamp string, revision int) (document json.RawMessage, program string, err error) {
	query := "SELECT p.document, p.program FROM prediction p JOIN lamp_revision v ON v.id = p.revision_id JOIN lamp l ON l.id = v.lamp_id WHERE l.slug = ?1 AND v.revision = CASE ?2 WHEN 0 THEN (SELECT max(revision) FROM lamp_revision WHERE lamp_id = l.id) ELSE ?2 END"
	var text []byte
	err = b.read.QueryRowContext(ctx, query, lamp, revision).Scan(&text, &program)
	return text, program, b.explain("prediction of lamp "+lamp, err)
}
