package app

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"

	"dawnsmith/bench/measure"
	"dawnsmith/bench/reconcile"
	"dawnsmith/internal/file"
	"dawnsmith/internal/store"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
)

// Waiting is a lamp in the season's queue.
type Waiting struct {
	Lamp  string `json:"lamp"`
	Name  string `json:"name"`
	Note  string `json:"note,omitempty"`
	Added string `json:"added"` // date
}

// queue is the season as the logbook keeps it.
type queue struct {
	Waiting []Waiting `json:"waiting"`
}

// theSeason is the name under which the one season is kept.
const theSeason = "season"

// Due is a lamp to be read again.
type Due struct {
	Lamp string `json:"lamp"`
	Name string `json:"name"`
	Last string `json:"last"` // date of the last reading
	// On is the date by which it has burnt 1000 h since; Hours those burnt by
	// now, by what was said of its daily use.
	On    string  `json:"on"`
	Hours float64 `json:"hours"`
	Over  bool    `json:"over"`
}

// MeterWatch is what the check lamps say of one meter.
type MeterWatch struct {
	Lamp     string                 `json:"lamp"` // the check lamp
	Readings []measure.CheckReading `json:"readings"`
	Watch    *measure.Watch         `json:"watch,omitempty"` // nil: a reading says nothing alone
	Meter    string                 `json:"meter"`
}

// MeterBridge joins two meters through one check lamp.
type MeterBridge struct {
	Lamp   string           `json:"lamp"`
	First  string           `json:"first"`
	Second string           `json:"second"`
	By     measure.Bridging `json:"by"`
}

// Season is what waits, what the check lamps say, and what is due.
type Season struct {
	Waiting []Waiting     `json:"waiting"`
	Meters  []MeterWatch  `json:"meters"`
	Bridges []MeterBridge `json:"bridges"`
	Due     []Due         `json:"due"`
	// Unsaid lists lamps whose daily hours nobody stated.
	Unsaid []string `json:"hours_not_stated"`
}

// remeasure is how many hours of burning a reading is good for, h (common
// practice, no source: LED life tests are read every 1000 h).
const remeasure = 1000

// Queue gives the season's queue.
func (b *Bench) Queue(ctx context.Context) ([]Waiting, error) {
	var q queue
	_, err := b.Book.Kept(ctx, store.Season, theSeason, &q)
	return q.Waiting, err
}

// Wait puts a lamp at the end of the queue; one that waits already stays where
// it is with the new note.
func (b *Bench) Wait(ctx context.Context, slug, note, today string) error {
	l, err := b.Book.Lamp(ctx, slug, 0)
	if err != nil {
		return err
	}
	ws, err := b.Queue(ctx)
	if err != nil {
		return err
	}
	if i := slices.IndexFunc(ws, func(w Waiting) bool { return w.Lamp == slug }); i >= 0 {
		ws[i].Note = note
	} else {
		ws = append(ws, Waiting{slug, l.Name, note, today})
	}
	return b.Book.PutKept(ctx, store.Season, theSeason, "", queue{ws})
}

// Leave takes a lamp out of the queue.
func (b *Bench) Leave(ctx context.Context, slug string) error {
	ws, err := b.Queue(ctx)
	if err != nil {
		return err
	}
	n := len(ws)
	ws = slices.DeleteFunc(ws, func(w Waiting) bool { return w.Lamp == slug })
	if len(ws) == n {
		return fmt.Errorf("lamp %q does not wait in the season's queue: %w", slug, store.ErrNotFound)
	}
	return b.Book.PutKept(ctx, store.Season, theSeason, "", queue{ws})
}

// Season tells how the season stands on a day.
func (b *Bench) Season(ctx context.Context, today time.Time) (Season, error) {
	var s Season
	var err error
	if s.Waiting, err = b.Queue(ctx); err != nil {
		return s, err
	}
	lamps, err := b.Book.Lamps(ctx, store.LampFilter{})
	if err != nil {
		return s, err
	}
	for _, l := range lamps {
		recs, err := b.Book.Records(ctx, l.Slug, "")
		if err != nil {
			return s, err
		}
		if l.Origin == store.Check {
			s.check(l.Slug, recs)
			continue
		}
		last := ""
		for _, r := range recs {
			last = max(last, r.Conditions.Date)
		}
		if last == "" {
			continue
		}
		f, err := b.Facts(ctx, l.Slug)
		if err != nil {
			return s, err
		}
		from, err := time.Parse(time.DateOnly, last)
		switch {
		case err != nil:
			continue
		case f.HoursPerDay == 0:
			s.Unsaid = append(s.Unsaid, l.Name)
			continue
		}
		on := from.Add(time.Duration(remeasure / f.HoursPerDay * 24 * float64(time.Hour)))
		hours := max(0, today.Sub(from).Hours()/24*f.HoursPerDay)
		s.Due = append(s.Due, Due{l.Slug, l.Name, last, on.Format(time.DateOnly), hours, hours >= remeasure})
	}
	slices.SortStableFunc(s.Due, func(a, b Due) int { return strings.Compare(a.On, b.On) })
	return s, nil
}

// check takes a check lamp's records in: readings at one distance, by meter.
func (s *Season) check(slug string, recs []measure.Record) {
	by := map[string][]measure.CheckReading{}
	var meters []string
	distance := 0.0
	for _, r := range recs {
		m, ok := r.Value(predict.MeterLux)
		if !ok || m.Bound != measure.Estimate || r.Conditions.Date == "" {
			continue
		}
		if distance == 0 {
			distance = m.Distance
		}
		if m.Distance != distance {
			continue // another place is another lamp
		}
		if by[r.Instrument] == nil {
			meters = append(meters, r.Instrument)
		}
		by[r.Instrument] = append(by[r.Instrument], measure.CheckReading{Date: r.Conditions.Date, X: m.Value.X})
	}
	for _, m := range meters {
		w := MeterWatch{Lamp: slug, Meter: m, Readings: by[m]}
		slices.SortStableFunc(w.Readings, func(a, b measure.CheckReading) int { return strings.Compare(a.Date, b.Date) })
		if x, err := measure.WatchMeter(m, w.Readings, 0, 0); err == nil {
			w.Watch = &x
		}
		s.Meters = append(s.Meters, w)
	}
	for i, a := range meters {
		for _, c := range meters[i+1:] {
			if x, err := measure.Bridge(by[a], by[c], 0); err == nil {
				s.Bridges = append(s.Bridges, MeterBridge{slug, a, c, x})
			}
		}
	}
}

// Step is one step of a guided run.
type Step struct {
	At   time.Duration `json:"at"` // from the start, in nanoseconds
	Do   string        `json:"do"`
	Note string        `json:"note,omitempty"` // what is written down
	// Covered says that the lamp is covered for it, or off.
	Covered bool `json:"covered,omitempty"`
}

// HourSteps is the guided run of one hour: background, warm-up, readings,
// background again, and the check lamp before and after.
func HourSteps() []Step {
	s := []Step{
		{0, "Read the check lamp after its half hour of burning, at its marked place.", "lux of the check lamp", false},
		{5 * time.Minute, "Set the lamp up: measure the distance from the face to the meter's reference plane, square to it; darken the room; cover the meter's view of your clothes.", "distance, how the meter faces, air temperature", false},
		{10 * time.Minute, "Lamp off or covered: read the background.", "background before, lx", true},
		{11 * time.Minute, "Switch the lamp on and read at once, within the first minute.", "lux at switching on; a spectrum", false},
	}
	for m := 1; m <= 9; m++ {
		s = append(s, Step{time.Duration(11+5*m) * time.Minute, fmt.Sprintf("Read; %d min after switching on. Touch nothing in between.", 5*m), "lux", false})
	}
	return append(s,
		Step{57 * time.Minute, "Read once a minute for a quarter of an hour (CIE S 025 asks for it), and take three spectra meanwhile.", "lux, spectra, watts at the plug", false},
		Step{73 * time.Minute, "Read the back and the strip's hottest spot on tape or a paint patch, then the face's middle and corners.", "temperatures, luminance or lux close up", false},
		Step{77 * time.Minute, "Cover the lamp, do not switch it off: read the background again.", "background after, lx", true},
		Step{79 * time.Minute, "Read the check lamp again.", "lux of the check lamp", false},
	)
}

// HourSheet is a set-up to fill in for a guided run, and a table of readings
// beside it.
func HourSheet(l store.Lamp, meter, date string) (setup, table string) {
	setup = fmt.Sprintf(`# One guided hour. Fill in what was the case, take out what was not.

[lamp]
id = %q

[meter]
id = %q
# calibrated = "2026-03-02"
# calibration = "4 %%"

[conditions]
date = %q
distance = "400 mm"
distance_error = "2 mm"
from = "face"
facing = "lamp"
room = "dark"
warm_up = "0 min"
air = "21 °C"
# background_before = "0 lx"
# background_after = "0 lx"

[readings]
# watts = "38.2"
# strip = "44"
# back = "39"
`, l.Slug, meter, date)
	var b strings.Builder
	b.WriteString("minutes,lx\n0,\n")
	for m := 5; m <= 45; m += 5 {
		fmt.Fprintf(&b, "%d,\n", m)
	}
	for m := 46; m <= 61; m++ {
		fmt.Fprintf(&b, "%d,\n", m)
	}
	return setup, b.String()
}

// learnedFrom are the measures that parts are corrected by: light, power, heat
// and colour, each once. Hue bins and their like hang together with these and
// would only count the same difference again.
var learnedFrom = []string{predict.MeterLux, predict.EyeLux, predict.EyeLuxUncut, predict.FaceMean, optics.KeyCentre, optics.KeyCorner, predict.MainsPower, predict.StripPower, predict.SupplyCurrent,
	predict.StripTemp, predict.BackTemp, predict.SheetTemp, predict.CCT, predict.DER}

// Learn lays a built lamp's readings beside its prediction.
func (b *Bench) Learn(ctx context.Context, slug string) (reconcile.Report, error) {
	l, err := b.Book.Lamp(ctx, slug, 0)
	if err != nil {
		return reconcile.Report{}, err
	}
	if l.Document == "" {
		return reconcile.Report{}, fmt.Errorf("lamp %q has no document: only a lamp whose parts are known is predicted; give it one (document = \"FILE.lamp.toml\" in its set-up)", slug)
	}
	s, err := file.ParseLamp([]byte(l.Document), slug+".lamp.toml")
	if err != nil {
		return reconcile.Report{}, err
	}
	built, err := b.Build(s)
	if err != nil {
		return reconcile.Report{}, err
	}
	recs, err := b.Book.Records(ctx, slug, "")
	if err != nil {
		return reconcile.Report{}, err
	}
	if len(recs) == 0 {
		return reconcile.Report{}, fmt.Errorf("lamp %q was not read yet: add readings first", slug)
	}
	one, _, err := measure.Merge(recs...)
	if err != nil {
		return reconcile.Report{}, err
	}
	return reconcile.Lamp(built, one, reconcile.Options{Unit: slug, Keys: learnedFrom})
}

// KeepLearned keeps corrected parts as a layer of the logbook.
func (b *Bench) KeepLearned(ctx context.Context, slug string, r reconcile.Report) error {
	if len(r.Corrections) == 0 {
		return errors.New("the readings corrected no part, so there is nothing to keep")
	}
	doc, err := encodeSet(r.Layer)
	if err != nil {
		return err
	}
	return b.Book.PutLayer(ctx, store.Layer{Document: store.Document{Slug: "learned-" + slug, Name: "learned from " + slug, Document: doc}, Origin: "reconciled"})
}

// Learned gives the layers of parts that the logbook holds, lowest first.
func (b *Bench) Learned(ctx context.Context) (sets []part.Set, names []string, err error) {
	ls, err := b.Book.Layers(ctx)
	if err != nil {
		return nil, nil, err
	}
	for _, l := range ls {
		s, err := decodeSet(l.Document.Document, l.Slug)
		if err != nil {
			return nil, nil, fmt.Errorf("parts layer %s of the logbook: %w", l.Slug, err)
		}
		sets, names = append(sets, s), append(names, l.Name)
	}
	return sets, names, nil
}
