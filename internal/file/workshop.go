package file

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"

	"dawnsmith/lamp/stock"
	"dawnsmith/lamp/unit"
)

// ParseStock reads a stock file; see ParseBrief. Whether its parts are in the
// catalogue is told by Stock.Known.
func ParseStock(data []byte, name string) (stock.Stock, error) {
	return parse(data, name, StockKind, func(d *decoder, root *table, s *stock.Stock) {
		var f *stock.Fault
		if err := s.Check(); d.total == 0 && errors.As(err, &f) {
			d.entry(root, f.Key, f.Found, f.Allowed)
		}
	})
}

// ParseUnit reads a unit; see ParseBrief. The parts it carries are checked.
func ParseUnit(data []byte, name string) (unit.Unit, error) {
	return parse(data, name, UnitKind, func(d *decoder, root *table, u *unit.Unit) {
		if e := root.find("as_measured"); e != nil && e.val.table != nil {
			d.parts(e.val.table, u.Parts)
		}
		if e := root.find("design"); e != nil && e.val.table != nil {
			if e := e.val.table.find("parts"); e != nil && e.val.table != nil {
				d.parts(e.val.table, u.Design.Parts)
			}
		}
		var f *unit.Fault
		if err := u.Check(); d.total == 0 && errors.As(err, &f) {
			d.entry(root, f.Key, f.Found, f.Allowed)
		}
		if d.total == 0 {
			d.locate(root, u.Design.Place.WithDefaults().Check())
		}
		if d.total == 0 && u.Design.Rows < 1 {
			d.entry(root, "design.rows", fmt.Sprint(u.Design.Rows), "1 or more")
		}
	})
}

// entry places a fault at a path such as "reel[2].length", or at the nearest
// table above it.
func (d *decoder) entry(root *table, path, found, allowed string) {
	t, at := root, root.span
	for _, step := range strings.Split(path, ".") {
		key, index, listed := strings.Cut(strings.TrimSuffix(step, "]"), "[")
		e := t.find(key)
		if e == nil {
			for _, other := range t.entries { // the key with a unit behind it
				if strings.HasPrefix(other.key, key+"_") {
					e = other
				}
			}
		}
		if e == nil {
			break
		}
		at = e.val.span
		if listed {
			n, _ := strconv.Atoi(index)
			if n < 1 || n > len(e.val.items) || e.val.items[n-1].table == nil {
				break
			}
			t = e.val.items[n-1].table
			at = t.span
			continue
		}
		if e.val.table == nil {
			break
		}
		t = e.val.table
	}
	d.fault(at, path, path+" is "+found, "allowed is "+allowed)
}

// ReadStock reads a stock file from r; see ParseBrief.
func ReadStock(r io.Reader, name string) (stock.Stock, error) { return read(r, name, ParseStock) }

// ReadUnit reads a unit from r; see ParseBrief.
func ReadUnit(r io.Reader, name string) (unit.Unit, error) { return read(r, name, ParseUnit) }

// WriteStock writes a stock file; see WriteBrief.
func WriteStock(w io.Writer, s stock.Stock, head string) error {
	s.Schema = newest(s.Schema)
	return write(w, s, head, ParseStock)
}

// WriteUnit writes a unit; see WriteBrief.
func WriteUnit(w io.Writer, u unit.Unit, head string) error {
	u.Schema = newest(u.Schema)
	u.Design.Schema = newest(u.Design.Schema)
	return write(w, u, head, ParseUnit)
}

// OpenStock opens a stock file; see OpenBrief.
func OpenStock(path string) (stock.Stock, Stamp, error) { return load(path, ParseStock) }

// OpenUnit opens a unit; see OpenBrief.
func OpenUnit(path string) (unit.Unit, Stamp, error) { return load(path, ParseUnit) }

// SaveStock writes a stock file to path; see SaveBrief.
func SaveStock(path string, s stock.Stock, head string, since Stamp) (Stamp, error) {
	return save(path, since, func(w io.Writer) error { return WriteStock(w, s, head) })
}

// SaveUnit writes a unit to path; see SaveBrief.
func SaveUnit(path string, u unit.Unit, head string, since Stamp) (Stamp, error) {
	return save(path, since, func(w io.Writer) error { return WriteUnit(w, u, head) })
}
