package app

import (
	"bytes"
	"context"
	"crypto/sha256"
	"errors"
	"fmt"
	"path/filepath"
	"reflect"
	"strings"

	"dawnsmith/bench/compare"
	"dawnsmith/bench/measure"
	"dawnsmith/finding"
	"dawnsmith/internal/meterfile"
	"dawnsmith/internal/store"
	"dawnsmith/lamp/predict"
)

// Added is one run that went into the logbook, or was there already.
type Added struct {
	File     string            `json:"file,omitempty"`
	Run      string            `json:"run"`
	Kind     measure.Kind      `json:"kind"`
	Already  bool              `json:"already,omitempty"`
	Values   int               `json:"values"`
	Main     string            `json:"main,omitempty"`
	Findings []finding.Finding `json:"findings,omitempty"`
}

// NewFile is a file to be kept, byte for byte. Load gives the bytes where they
// are not there yet.
type NewFile struct {
	Name  string
	Bytes []byte
	Load  func() ([]byte, error)
}

// Batch is a set-up with the files that belong to it.
type Batch struct {
	Setup Setup
	// Document is the lamp's *.lamp.toml, checked; "" where it has none.
	Document string
	Files    []NewFile
	Note     string // a remark on the lamp; "": none
	Again    bool   // keep files whose bytes the logbook holds already
}

// NotAdded is a file that could not be kept.
type NotAdded struct {
	File string `json:"file"`
	Why  string `json:"why"`
}

// AddedLamp is what was kept of one lamp.
type AddedLamp struct {
	Lamp     string            `json:"lamp"`
	Added    []Added           `json:"added"`
	Failed   []NotAdded        `json:"failed,omitempty"`
	Pictures []string          `json:"pictures,omitempty"`
	Claim    []finding.Finding `json:"claim,omitempty"`
}

// SetupError is something in a set-up that cannot be.
type SetupError struct{ Err error }

// Error says what.
func (e *SetupError) Error() string { return e.Err.Error() }

// Unwrap gives the cause.
func (e *SetupError) Unwrap() error { return e.Err }

// Add keeps a batch. A file that cannot be read is told in Failed, and the
// others go on. The error is a *SetupError, or tells that the logbook cannot be
// written; what was kept until then stays.
func (b *Bench) Add(ctx context.Context, x Batch) (AddedLamp, error) {
	out := AddedLamp{Lamp: x.Setup.Lamp.ID, Added: []Added{}}
	base, err := b.OpenLamp(ctx, x.Setup, x.Document)
	if err != nil {
		return out, &SetupError{err}
	}
	for _, f := range x.Files {
		if err := ctx.Err(); err != nil {
			return out, err
		}
		if f.Bytes == nil && f.Load != nil {
			if f.Bytes, err = f.Load(); err != nil {
				out.Failed = append(out.Failed, NotAdded{f.Name, strings.TrimPrefix(err.Error(), f.Name+": ")})
				continue
			}
		}
		if media := imageType(f.Name); media != "" {
			kept, err := b.keepImage(ctx, x.Setup.Lamp.ID, f, media)
			if err != nil {
				return out, err
			}
			if kept {
				out.Pictures = append(out.Pictures, f.Name)
			}
			continue
		}
		added, err := b.AddFile(ctx, base, x.Setup, f, x.Again)
		out.Added = append(out.Added, added...)
		if err != nil {
			if ctx.Err() != nil || errors.Is(err, store.ErrFull) || errors.Is(err, store.ErrReadOnly) || errors.Is(err, store.ErrBusy) {
				return out, err
			}
			out.Failed = append(out.Failed, NotAdded{f.Name, strings.TrimPrefix(err.Error(), f.Name+": ")})
		}
	}
	added, err := b.AddTyped(ctx, base, x.Setup, x.Again)
	if err != nil {
		return out, &SetupError{err}
	}
	out.Added = append(out.Added, added...)
	if x.Note != "" {
		if err := b.Book.AddNote(ctx, store.About{Kind: "lamp", Ref: out.Lamp}, x.Note); err != nil {
			return out, err
		}
	}
	k, err := b.Known(ctx, out.Lamp, false)
	out.Claim = k.Claim
	return out, err
}

// Images are told by their endings; they are kept with the lamp and not read.
var images = map[string]string{".jpg": "image/jpeg", ".jpeg": "image/jpeg", ".png": "image/png", ".webp": "image/webp"}

func imageType(name string) string { return images[strings.ToLower(filepath.Ext(name))] }

// keepImage keeps a picture of a lamp once.
func (b *Bench) keepImage(ctx context.Context, slug string, f NewFile, media string) (bool, error) {
	on := store.About{Kind: "lamp", Ref: slug}
	old, err := b.Book.Pictures(ctx, on)
	if err != nil {
		return false, err
	}
	p := store.Picture{Name: filepath.Base(f.Name), Media: media, Bytes: f.Bytes}
	for _, o := range old {
		if o.Name == p.Name && o.SHA256 == sha256.Sum256(f.Bytes) {
			return false, nil
		}
	}
	_, err = b.Book.AddPicture(ctx, on, p)
	return err == nil, err
}

// Bench keeps readings in a logbook and answers from it.
type Bench struct {
	*App
	Book *store.Book
	// Program names this program and its version, for what it publishes.
	Program string

	known known
}

// OpenLamp puts the lamp of a set-up into the logbook. document is its
// *.lamp.toml, "" where it has none.
func (b *Bench) OpenLamp(ctx context.Context, s Setup, document string) (measure.Run, error) {
	var base measure.Run
	if s.Lamp.ID == "" {
		return base, errors.New("lamp.id is empty: say which lamp was read (--lamp, or id under [lamp] in the set-up)")
	}
	if _, err := parseMoney(s.Lamp.Price); err != nil {
		return base, err
	}
	inst, err := s.Meter.Instrument()
	if err != nil {
		return base, fmt.Errorf("meter: %w", err)
	}
	cond, err := s.Conditions.Conditions()
	if err != nil {
		return base, err
	}
	facts, err := s.facts(cond)
	if err != nil {
		return base, err
	}
	l := store.Lamp{Slug: s.Lamp.ID, Name: s.Lamp.Name, Origin: store.Origin(s.Lamp.Origin), Maker: s.Lamp.Maker, Price: s.Lamp.Price, Document: document}
	old, err := b.Book.Lamp(ctx, s.Lamp.ID, 0)
	switch {
	case err == nil:
		keep := func(to *string, was string) {
			if *to == "" {
				*to = was
			}
		}
		keep(&l.Name, old.Name)
		keep(&l.Maker, old.Maker)
		keep(&l.Price, old.Price)
		keep(&l.Document, old.Document)
		if l.Origin == "" {
			l.Origin = old.Origin
		}
	case !errors.Is(err, store.ErrNotFound):
		return base, err
	}
	if l.Name == "" {
		l.Name = l.Slug
	}
	if l.Origin == "" {
		l.Origin = store.Bought
	}
	if err != nil || l.Name != old.Name || l.Maker != old.Maker || l.Price != old.Price || l.Document != old.Document || l.Origin != old.Origin {
		if _, err := b.Book.PutLamp(ctx, l); err != nil {
			return base, err
		}
	}
	base = measure.Run{Subject: measure.Subject{Lamp: l.Slug, Serial: s.Lamp.Serial, Name: l.Name, Maker: l.Maker}, Instrument: inst, Conditions: cond}
	if s.Lamp.Serial != "" {
		if err := b.Book.AddUnit(ctx, store.Unit{Lamp: l.Slug, Serial: s.Lamp.Serial}); err != nil && !errors.Is(err, store.ErrExists) {
			return base, err
		}
	}
	return base, b.keepFacts(ctx, l.Slug, facts)
}

func (b *Bench) keepFacts(ctx context.Context, slug string, f Facts) error {
	old, err := b.Facts(ctx, slug)
	if err != nil {
		return err
	}
	if f.UseDistance == 0 {
		f.UseDistance = old.UseDistance
	}
	if f.FaceLength == 0 {
		f.FaceLength, f.FaceWidth = old.FaceLength, old.FaceWidth
	}
	if f.PriceBasis == "" {
		f.PriceBasis = old.PriceBasis
	}
	if f.Interest == "" {
		f.Interest = old.Interest
	}
	if f.Claim == nil {
		f.Claim = old.Claim
	}
	if f.HoursPerDay == 0 {
		f.HoursPerDay = old.HoursPerDay
	}
	if reflect.DeepEqual(f, old) {
		return nil
	}
	return b.Book.PutKept(ctx, store.Facts, slug, "", f)
}

// Facts gives what is kept of a lamp beside its readings.
func (b *Bench) Facts(ctx context.Context, slug string) (f Facts, err error) {
	_, err = b.Book.Kept(ctx, store.Facts, slug, &f)
	return f, err
}

// AddFile keeps what a meter wrote: lamp, runs, raw bytes and the numbers made
// of them. What it returns without error is on the disk. A file that is in the
// logbook already changes nothing, and is told; again keeps it a second time
// under another lamp.
func (b *Bench) AddFile(ctx context.Context, base measure.Run, s Setup, file NewFile, again bool) ([]Added, error) {
	f, err := meterfile.Read(bytes.NewReader(file.Bytes))
	if err != nil {
		return nil, fmt.Errorf("%s: %w", file.Name, err)
	}
	runs, err := RunsOf(base, s, file.Name, file.Bytes, f)
	if err != nil {
		return nil, err
	}
	out, err := b.keep(ctx, runs, []store.RawFile{{Name: filepath.Base(file.Name), Bytes: file.Bytes}}, again)
	if len(out) > 0 {
		out[0].Findings = append(out[0].Findings, f.Findings...)
	}
	return out, err
}

// AddTyped keeps the numbers typed into a set-up.
func (b *Bench) AddTyped(ctx context.Context, base measure.Run, s Setup, again bool) ([]Added, error) {
	runs, err := s.typed(base)
	if err != nil {
		return nil, err
	}
	return b.keep(ctx, runs, nil, again)
}

func (b *Bench) keep(ctx context.Context, runs []measure.Run, raw []store.RawFile, again bool) ([]Added, error) {
	// All are worked out before any is kept: a file that makes no sense leaves
	// no trace.
	recs := make([]measure.Record, len(runs))
	for i, r := range runs {
		var err error
		if recs[i], err = r.Evaluate(); err != nil {
			return nil, fmt.Errorf("%s: %w", r.ID, err)
		}
	}
	var out []Added
	for i, r := range runs {
		a := Added{Run: r.ID, Kind: r.Kind, Values: len(recs[i].Values), Main: mainWords(recs[i]), Findings: recs[i].Findings}
		if len(raw) > 0 {
			a.File = raw[0].Name
		}
		err := b.Book.AddRun(ctx, store.NewRun{Run: r, Raw: raw, Again: again})
		var dup *store.Duplicate
		if errors.As(err, &dup) && ofSameFile(runs, dup.Run) && dup.Run != r.ID {
			err = b.Book.AddRun(ctx, store.NewRun{Run: r, Raw: raw, Again: true})
		} else if dup != nil && dup.Run == r.ID {
			err = store.ErrExists
		}
		switch {
		case errors.Is(err, store.ErrExists):
			a.Already = true
			if _, _, err := b.Book.Record(ctx, r.ID); errors.Is(err, store.ErrNotFound) {
				// Killed between run and record: the record is made now.
				if err := b.Book.PutRecord(ctx, recs[i]); err != nil {
					return out, err
				}
			}
		case err != nil:
			return out, err
		default:
			if err := b.Book.PutRecord(ctx, recs[i]); err != nil {
				return out, err
			}
		}
		out = append(out, a)
	}
	return out, nil
}

func ofSameFile(runs []measure.Run, id string) bool {
	for _, r := range runs {
		if r.ID == id {
			return true
		}
	}
	return false
}

// mainWords shows the most telling number of a record.
func mainWords(r measure.Record) string {
	for _, key := range []string{predict.MeterLux, predict.EyeLuxUncut, predict.FaceMean, predict.CCT, predict.MainsPower} {
		if m, ok := r.Value(key); ok {
			d, _ := measure.Declared(key)
			s := d.Name + " " + m.Value.String()
			if m.Bound != measure.Estimate {
				s = d.Name + " " + m.Bound.String() + " " + m.Value.String()
			}
			if d.Unit != "" {
				s += " " + d.Unit
			}
			if m.Distance > 0 {
				s += fmt.Sprintf(" at %.0f mm", 1e3*m.Distance)
			}
			return s
		}
	}
	return ""
}

// checkClaim holds what the seller of a lamp says against its readings; nil
// without a claim.
func (k *Kept) checkClaim() []finding.Finding {
	if k.Facts.Claim == nil {
		return nil
	}
	c := *k.Facts.Claim
	if k.Record != nil {
		c.Spectrum = k.Record.Spectrum
		if m, ok := k.Record.Value(predict.MainsPower); ok && m.Bound == measure.Estimate {
			c.MeasuredWatts = &m.Value
		}
		if c.Distance > 0 {
			// A reading elsewhere is carried over by the law of the face.
			col, err := compare.Put([]compare.Entry{k.Entry}, predict.MeterLux, compare.Terms{Where: compare.SameDistance, Distance: c.Distance})
			if err == nil && col.Cells[0].Missing == "" && col.Cells[0].Bound == measure.Estimate {
				c.MeasuredLux = &col.Cells[0].Value
			}
		}
	}
	return compare.CheckClaim(c)
}
