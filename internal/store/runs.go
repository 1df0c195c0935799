package store

import (
	"context"
	"crypto/sha256"
	"database/sql"
	"encoding/binary"
	"encoding/json"
	"fmt"
	"math"
	"strings"

	"dawnsmith/bench/measure"
	"dawnsmith/light/spectrum"
)

// RawFile is a file as it came from the meter.
type RawFile struct {
	Name   string   `json:"name"`
	Bytes  []byte   `json:"-"`
	SHA256 [32]byte `json:"sha256"` // filled by the logbook
}

// NewRun is a run to be kept.
type NewRun struct {
	measure.Run
	// Raw are the files it was read from, byte for byte; none for readings
	// typed in.
	Raw  []RawFile
	Note string
	// Again keeps the run though a raw file of the same bytes is in the
	// logbook; else AddRun answers with a *Duplicate.
	Again bool
}

// KeptRun is a run in a list, without spectra and raw files.
type KeptRun struct {
	Name      string       `json:"name"`
	Lamp      string       `json:"lamp"`
	Serial    string       `json:"serial,omitempty"`
	Kind      measure.Kind `json:"kind"`
	Taken     string       `json:"taken,omitempty"`
	Distance  float64      `json:"distance_m,omitempty"`
	Note      string       `json:"note,omitempty"`
	Imported  string       `json:"imported"`
	Program   string       `json:"program"`
	Withdrawn string       `json:"withdrawn,omitempty"` // why it does not count
	Spectra   int          `json:"spectra"`
	RawFiles  int          `json:"raw_files"`
}

func sumOf(data []byte) []byte {
	s := sha256.Sum256(data)
	return s[:]
}

// AddRun keeps a run with its raw files and spectra in one step; when it
// returns without error all of it is on the disk. The lamp, and the unit where
// a serial is given, must be in the logbook; the instrument is kept with it.
// ErrExists: a run of that id is there already.
func (b *Book) AddRun(ctx context.Context, n NewRun) error {
	if n.ID == "" {
		return fmt.Errorf("run: the id is empty; give it a name")
	}
	text, err := documentOf(n.Run)
	if err != nil {
		return fmt.Errorf("run %s: %w", n.ID, err)
	}
	return b.within(ctx, "keep run "+n.ID, func(tx *sql.Tx) error {
		lamp, _, err := lampID(ctx, tx, n.Subject.Lamp)
		if err != nil {
			return err
		}
		var unit, instrument sql.NullInt64
		if n.Subject.Serial != "" {
			unit.Valid = true
			if unit.Int64, err = unitID(ctx, tx, n.Subject.Lamp, n.Subject.Serial); err != nil {
				return err
			}
		}
		if n.Instrument.ID != "" {
			doc, err := json.Marshal(n.Instrument)
			if err != nil {
				return err
			}
			instrument.Valid = true
			if instrument.Int64, _, err = b.instrument(ctx, tx, n.Instrument, doc); err != nil {
				return err
			}
		}
		if !n.Again {
			for _, f := range n.Raw {
				var run string
				err := tx.QueryRowContext(ctx, "SELECT r.name FROM raw x JOIN run r ON r.id = x.run_id WHERE x.sha256 = ? AND r.withdrawn IS NULL LIMIT 1", sumOf(f.Bytes)).Scan(&run)
				if err == nil {
					return &Duplicate{f.Name, run}
				} else if err != sql.ErrNoRows {
					return err
				}
			}
		}
		distance := sql.NullFloat64{Float64: n.Conditions.Distance, Valid: n.Conditions.Distance > 0}
		var id int64
		err = tx.QueryRowContext(ctx, `INSERT INTO run (name, lamp_id, unit_id, instrument_id, kind, taken, distance_m, document, note, imported, program)
			VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?) RETURNING id`,
			n.ID, lamp, unit, instrument, n.Kind, n.Conditions.Date, distance, string(text), n.Note, b.stamp(), b.program).Scan(&id)
		if err != nil {
			return err
		}
		for _, f := range n.Raw {
			bytes := f.Bytes
			if bytes == nil {
				bytes = []byte{}
			}
			if _, err := tx.ExecContext(ctx, "INSERT INTO raw (run_id, name, sha256, bytes) VALUES (?, ?, ?, ?)", id, f.Name, sumOf(bytes), bytes); err != nil {
				return err
			}
		}
		return addSpectra(ctx, tx, id, n.Run)
	})
}

// documentOf is the run as JSON, its spectra left out: they stand in a table of
// their own.
func documentOf(r measure.Run) ([]byte, error) {
	if r.Spectra != nil {
		s := *r.Spectra
		s.Spectra, s.Times, s.Before, s.After = []spectrum.Spectrum{}, nil, nil, nil
		r.Spectra = &s
	}
	r.Conditions.Spectrum = nil
	return json.Marshal(r)
}

func addSpectra(ctx context.Context, tx *sql.Tx, run int64, r measure.Run) error {
	type line struct {
		role string
		n    int
		t    sql.NullFloat64
		s    *spectrum.Spectrum
	}
	var lines []line
	if r.Conditions.Spectrum != nil {
		lines = append(lines, line{role: "lamp", s: r.Conditions.Spectrum})
	}
	if l := r.Spectra; l != nil {
		if l.Before != nil {
			lines = append(lines, line{role: "before", s: l.Before})
		}
		if l.After != nil {
			lines = append(lines, line{role: "after", s: l.After})
		}
		if l.Times != nil && len(l.Times) != len(l.Spectra) {
			return fmt.Errorf("%d times for %d spectra; give one for each", len(l.Times), len(l.Spectra))
		}
		for i := range l.Spectra {
			x := line{role: "light", n: i, s: &l.Spectra[i]}
			if l.Times != nil {
				x.t = sql.NullFloat64{Float64: l.Times[i], Valid: true}
			}
			lines = append(lines, x)
		}
	}
	if len(lines) == 0 {
		return nil
	}
	stmt, err := tx.PrepareContext(ctx, "INSERT INTO spectrum (run_id, role, n, t_s, samples) VALUES (?, ?, ?, ?, ?)")
	if err != nil {
		return err
	}
	defer stmt.Close()
	buf := make([]byte, 8*spectrum.N)
	for _, x := range lines {
		for j, v := range x.s {
			binary.LittleEndian.PutUint64(buf[8*j:], math.Float64bits(v))
		}
		if _, err := stmt.ExecContext(ctx, run, x.role, x.n, x.t, buf); err != nil {
			return err
		}
	}
	return nil
}

// Run gives a run whole, as it was kept: measure.Run.Evaluate makes its
// numbers again.
func (b *Book) Run(ctx context.Context, name string) (measure.Run, error) {
	var r measure.Run
	var id int64
	var text []byte
	if err := b.read.QueryRowContext(ctx, "SELECT id, document FROM run WHERE name = ?", name).Scan(&id, &text); err != nil {
		return r, b.explain("run "+name, err)
	}
	if err := json.Unmarshal(text, &r); err != nil {
		return r, &Damaged{b.path, fmt.Sprintf("the document of run %s cannot be read: %v", name, err)}
	}
	rows, err := b.read.QueryContext(ctx, "SELECT role, t_s, samples FROM spectrum WHERE run_id = ? ORDER BY role, n", id)
	if err != nil {
		return r, b.explain("run "+name, err)
	}
	defer rows.Close()
	for rows.Next() {
		var role string
		var t sql.NullFloat64
		var samples sql.RawBytes
		if err := rows.Scan(&role, &t, &samples); err != nil {
			return r, b.explain("run "+name, err)
		}
		var s spectrum.Spectrum
		for j := range s {
			s[j] = math.Float64frombits(binary.LittleEndian.Uint64(samples[8*j:]))
		}
		if role == "lamp" {
			r.Conditions.Spectrum = &s
			continue
		}
		if r.Spectra == nil {
			return r, &Damaged{b.path, fmt.Sprintf("run %s has spectra that its document knows nothing of", name)}
		}
		switch role {
		case "before":
			r.Spectra.Before = &s
		case "after":
			r.Spectra.After = &s
		default:
			r.Spectra.Spectra = append(r.Spectra.Spectra, s)
			if t.Valid {
				r.Spectra.Times = append(r.Spectra.Times, t.Float64)
			}
		}
	}
	return r, b.explain("run "+name, rows.Err())
}

// Raw gives the raw files of a run, and refuses with *Damaged when their bytes
// no longer match their sums.
func (b *Book) Raw(ctx context.Context, name string) ([]RawFile, error) {
	fs, err := all(ctx, b, "raw files of run "+name, func(r *sql.Rows) (f RawFile, err error) {
		var sum []byte
		if err = r.Scan(&f.Name, &sum, &f.Bytes); err == nil {
			copy(f.SHA256[:], sum)
			if sha256.Sum256(f.Bytes) != f.SHA256 {
				err = &Damaged{b.path, fmt.Sprintf("raw file %s of run %s does not match its sum", f.Name, name)}
			}
		}
		return f, err
	}, "SELECT x.name, x.sha256, x.bytes FROM raw x JOIN run r ON r.id = x.run_id WHERE r.name = ? ORDER BY x.id", name)
	return fs, err
}

// RunFilter narrows a list of runs; the zero value lists all that count.
type RunFilter struct {
	Lamp      string // slug; "": any
	Serial    string
	Kind      measure.Kind
	From, To  string // of Taken, dates; "": open
	Withdrawn bool   // those that do not count, too
	Limit     int    // newest so many; 0: all
}

// Runs lists runs, oldest first.
func (b *Book) Runs(ctx context.Context, f RunFilter) ([]KeptRun, error) {
	where, args := []string{"1"}, []any{}
	add := func(cond string, arg any) { where, args = append(where, cond), append(args, arg) }
	if f.Lamp != "" {
		add("l.slug = ?", f.Lamp)
	}
	if f.Serial != "" {
		add("u.serial = ?", f.Serial)
	}
	if f.Kind != "" {
		add("r.kind = ?", f.Kind)
	}
	if f.From != "" {
		add("r.taken >= ?", f.From)
	}
	if f.To != "" {
		add("substr(r.taken, 1, length(?)) <= ?", f.To)
		args = append(args, f.To)
	}
	if !f.Withdrawn {
		where = append(where, "r.withdrawn IS NULL")
	}
	limit := -1
	if f.Limit > 0 {
		limit = f.Limit
	}
	args = append(args, limit)
	return all(ctx, b, "list runs", func(r *sql.Rows) (k KeptRun, err error) {
		var d sql.NullFloat64
		err = r.Scan(&k.Name, &k.Lamp, &k.Serial, &k.Kind, &k.Taken, &d, &k.Note, &k.Imported, &k.Program, &k.Withdrawn, &k.Spectra, &k.RawFiles)
		k.Distance = d.Float64
		return k, err
	}, `SELECT name, lamp, serial, kind, taken, distance_m, note, imported, program, withdrawn,
			(SELECT count(*) FROM spectrum s WHERE s.run_id = q.id AND s.role = 'light'), (SELECT count(*) FROM raw x WHERE x.run_id = q.id)
		FROM (SELECT r.id, r.name, l.slug AS lamp, coalesce(u.serial, '') AS serial, r.kind, r.taken, r.distance_m, r.note, r.imported, r.program, coalesce(r.withdrawn, '') AS withdrawn
			FROM run r JOIN lamp l ON l.id = r.lamp_id LEFT JOIN unit u ON u.id = r.unit_id
			WHERE `+strings.Join(where, " AND ")+" ORDER BY r.taken DESC, r.id DESC LIMIT ?) q ORDER BY taken, id", args...)
}

// WithdrawRun says why a run does not count; "" makes it count again. Its
// readings stay.
func (b *Book) WithdrawRun(ctx context.Context, name, why string) error {
	return b.within(ctx, "withdraw run "+name, func(tx *sql.Tx) error {
		return mustHit(tx.ExecContext(ctx, "UPDATE run SET withdrawn = ? WHERE name = ?", sql.NullString{String: why, Valid: why != ""}, name))
	})
}
