package store

import (
	"context"
	"database/sql"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strconv"
)

//go:embed migrations/*.sql
var builtIn embed.FS

type migration struct {
	number int
	name   string
	text   string
}

var migrationName = regexp.MustCompile(`^(\d{4})_[a-z0-9_]+\.sql$`)

// migrations lists the steps in order. Their numbers run 1, 2, 3 …; anything
// else is a programmer's mistake.
func migrations(forms fs.FS) ([]migration, error) {
	if forms == nil {
		sub, err := fs.Sub(builtIn, "migrations")
		if err != nil {
			return nil, err
		}
		forms = sub
	}
	names, err := fs.Glob(forms, "*.sql")
	if err != nil {
		return nil, err
	}
	slices.Sort(names)
	var out []migration
	for i, name := range names {
		m := migrationName.FindStringSubmatch(name)
		if m == nil {
			return nil, fmt.Errorf("migration %q is not named NNNN_name.sql", name)
		}
		n, _ := strconv.Atoi(m[1])
		if n != i+1 {
			return nil, fmt.Errorf("migration %q stands where number %d is due", name, i+1)
		}
		text, err := fs.ReadFile(forms, name)
		if err != nil {
			return nil, err
		}
		out = append(out, migration{n, name, string(text)})
	}
	return out, nil
}

func lastForm(forms fs.FS) (int, error) {
	ms, err := migrations(forms)
	return len(ms), err
}

// migrate brings the file to the last form, one transaction a step, and
// returns it. A file that has a form already is copied first.
func (b *Book) migrate(ctx context.Context, o Options) (int, error) {
	ms, err := migrations(o.forms)
	if err != nil {
		return 0, err
	}
	var form int
	if err := b.write.QueryRowContext(ctx, "PRAGMA user_version").Scan(&form); err != nil {
		return 0, b.explain("open the logbook", err)
	}
	if form == len(ms) {
		return form, nil
	}
	if form > 0 {
		if _, err := b.keepCopy(ctx, form); err != nil {
			return 0, err
		}
	}
	for _, m := range ms {
		err := b.within(ctx, "bring the logbook to form "+strconv.Itoa(m.number), func(tx *sql.Tx) error {
			// Another program may have done it while this one waited.
			var now int
			if err := tx.QueryRowContext(ctx, "PRAGMA user_version").Scan(&now); err != nil {
				return err
			}
			if now > len(ms) {
				return &Newer{b.path, now, len(ms)}
			}
			form = max(now, form)
			if now >= m.number {
				return nil
			}
			if _, err := tx.ExecContext(ctx, m.text); err != nil {
				return fmt.Errorf("migration %s: %w", m.name, err)
			}
			if _, err := tx.ExecContext(ctx, fmt.Sprintf("PRAGMA application_id = %d; PRAGMA user_version = %d", applicationID, m.number)); err != nil {
				return err
			}
			form = m.number
			return nil
		})
		if err != nil {
			return form, err
		}
	}
	return form, nil
}

// keepCopy keeps the file as it is beside itself before its form changes.
func (b *Book) keepCopy(ctx context.Context, form int) (string, error) {
	for n := 0; n < 1000; n++ {
		to := fmt.Sprintf("%s.form-%d", b.path, form)
		if n > 0 {
			to = fmt.Sprintf("%s.form-%d-%d", b.path, form, n)
		}
		if _, err := os.Stat(to); err == nil {
			continue
		}
		return to, b.copyTo(ctx, to)
	}
	return "", errors.New("a thousand copies of the logbook lie beside it already; move them elsewhere")
}
