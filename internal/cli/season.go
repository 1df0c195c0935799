package cli

import (
	"fmt"
	"path/filepath"
	"time"

	"github.com/jedib0t/go-pretty/v6/table"

	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/store"
	"dawnsmith/quantity"
)

// seasonVerb is the tester's season.
type seasonVerb struct {
	Show  seasonShowVerb  `cmd:"" default:"1" help:"What waits, what the check lamps say of the meters, what is due."`
	Wait  seasonWaitVerb  `cmd:"" help:"Put a lamp at the end of the queue."`
	Leave seasonLeaveVerb `cmd:"" help:"Take a lamp out of the queue."`
	Hour  seasonHourVerb  `cmd:"" help:"Make a guided hour for a lamp: the steps, a set-up and a table to fill in."`
}

type seasonShowVerb struct{}

func (seasonShowVerb) Run(e *env) error {
	b, done, err := e.openBook(true)
	if err != nil {
		return err
	}
	defer done()
	s, err := b.Season(e.ctx, time.Now())
	if err != nil {
		return err
	}
	if e.json {
		return e.writeJSON(s)
	}
	w := e.Out
	fmt.Fprintln(w, "Waiting to be read:")
	for i, x := range s.Waiting {
		fmt.Fprintf(w, "  %d. %s (%s), since %s", i+1, x.Name, x.Lamp, x.Added)
		if x.Note != "" {
			fmt.Fprintf(w, ": %s", x.Note)
		}
		fmt.Fprintln(w)
	}
	if len(s.Waiting) == 0 {
		fmt.Fprintln(w, "  none; \"dawnsmith season wait LAMP\" puts one there")
	}
	fmt.Fprintln(w, "\nMeters, by the check lamp:")
	for _, m := range s.Meters {
		if m.Watch == nil {
			fmt.Fprintf(w, "  %s: one reading of %s; the next one tells whether it holds\n", m.Meter, m.Lamp)
			continue
		}
		says := "holds"
		if m.Watch.Drifted {
			says = "HAS CHANGED, or the check lamp has"
		}
		fmt.Fprintf(w, "  %s %s: %d readings of %s, the last %+.1f ± %.1f %% off the mean of those before\n", m.Meter, says, m.Watch.N, m.Lamp, 100*m.Watch.Change, 200*m.Watch.ChangeU)
		for _, f := range m.Watch.Findings {
			fmt.Fprintf(w, "    %s\n    mend: %s\n", f.What, f.Mend)
		}
	}
	if len(s.Meters) == 0 {
		fmt.Fprintln(w, "  no check lamp was read; give a steady lamp the origin \"check\" and read it with every lamp")
	}
	for _, x := range s.Bridges {
		fmt.Fprintf(w, "  readings of %s × %.4f ± %.4f are as those of %s (%d days in common, by %s)\n", x.Second, x.By.Factor, 2*x.By.U, x.First, x.By.Pairs, x.Lamp)
	}
	fmt.Fprintln(w, "\nTo be read again after 1000 h of burning (common practice, no source):")
	t := newTable(w, []any{"lamp", "last read", "burnt since, h", "due", ""}, 3)
	for _, d := range s.Due {
		late := ""
		if d.Over {
			late = "overdue"
		}
		t.AppendRow(table.Row{"  " + d.Name, d.Last, quantity.Digits(d.Hours, 2), d.On, late})
	}
	if len(s.Due) > 0 {
		t.Render()
	}
	for _, n := range s.Unsaid {
		fmt.Fprintf(w, "  %s: nobody said how long it burns a day (daily = \"2 h\" under [lamp])\n", n)
	}
	if len(s.Due)+len(s.Unsaid) == 0 {
		fmt.Fprintln(w, "  none")
	}
	return nil
}

type seasonWaitVerb struct {
	Lamp string `arg:"" help:"The lamp."`
	Note string `placeholder:"TEXT" help:"What to look for."`
}

func (v *seasonWaitVerb) Run(e *env) error {
	b, done, err := e.openBook(false)
	if err != nil {
		return err
	}
	defer done()
	if err := b.Wait(e.ctx, v.Lamp, v.Note, time.Now().Format(time.DateOnly)); err != nil {
		return bookError(err)
	}
	ws, err := b.Queue(e.ctx)
	if err != nil {
		return err
	}
	fmt.Fprintf(e.Out, "%s waits; %d in the queue.\n", v.Lamp, len(ws))
	return nil
}

type seasonLeaveVerb struct {
	Lamp string `arg:"" help:"The lamp."`
}

func (v *seasonLeaveVerb) Run(e *env) error {
	b, done, err := e.openBook(false)
	if err != nil {
		return err
	}
	defer done()
	if err := b.Leave(e.ctx, v.Lamp); err != nil {
		return bookError(err)
	}
	fmt.Fprintf(e.Out, "%s waits no more.\n", v.Lamp)
	return nil
}

type seasonHourVerb struct {
	Lamp  string `arg:"" optional:"" help:"The lamp; left out: the next in the queue."`
	Meter string `default:"lux-meter" help:"The meter's id."`
	Start string `placeholder:"HH:MM" help:"When the hour begins; left out: now."`
	Out   string `short:"o" placeholder:"FOLDER" help:"Where to put set-up and table; left out: a folder with the lamp's id and the date."`
}

func (v *seasonHourVerb) Run(e *env) error {
	b, done, err := e.openBook(true)
	if err != nil {
		return err
	}
	defer done()
	if v.Lamp == "" {
		ws, err := b.Queue(e.ctx)
		if err != nil {
			return err
		}
		if len(ws) == 0 {
			return input(fmt.Errorf("no lamp waits; name one, or put one in the queue with \"dawnsmith season wait LAMP\""))
		}
		v.Lamp = ws[0].Lamp
	}
	l, err := b.Book.Lamp(e.ctx, v.Lamp, 0)
	if err != nil {
		return bookError(err)
	}
	start := time.Now()
	if v.Start != "" {
		t, err := time.Parse("15:04", v.Start)
		if err != nil {
			return input(fmt.Errorf("--start is %q; allowed is a time of day such as 09:30", v.Start))
		}
		start = time.Date(start.Year(), start.Month(), start.Day(), t.Hour(), t.Minute(), 0, 0, time.Local)
	}
	date := start.Format(time.DateOnly)
	if v.Out == "" {
		v.Out = l.Slug + "-" + date
	}
	if err := mkdir(v.Out); err != nil {
		return err
	}
	setup, tab := app.HourSheet(l, v.Meter, date)
	for name, text := range map[string]string{setupName: setup, "hour.csv": tab} {
		if _, err := file.SaveBytes(filepath.Join(v.Out, name), []byte(text), file.Stamp{}); err != nil {
			return input(fmt.Errorf("%s: %w", filepath.Join(v.Out, name), err))
		}
	}
	steps := app.HourSteps()
	if e.json {
		return e.writeJSON(map[string]any{"lamp": l.Slug, "folder": v.Out, "start": start, "steps": steps})
	}
	fmt.Fprintf(e.Out, "A guided hour for %s\n\n", l.Name)
	t := newTable(e.Out, []any{"at", "do", "write down"})
	for _, s := range steps {
		t.AppendRow(table.Row{start.Add(s.At).Format("15:04"), s.Do, s.Note})
	}
	t.Render()
	fmt.Fprintf(e.Out, "\nFill in %s and %s (lines without a reading are taken out), then: dawnsmith add %s\n", filepath.Join(v.Out, setupName), filepath.Join(v.Out, "hour.csv"), v.Out)
	fmt.Fprintln(e.Out, "Do not look into a lamp without its sheet; let hot parts cool before you touch them; nobody leaves a lamp on test alone.")
	return nil
}

// backupVerb copies the logbook.
type backupVerb struct {
	To string `arg:"" help:"The copy; there must be no such file yet."`
}

func (v *backupVerb) Run(e *env) error {
	b, done, err := e.openBook(true)
	if err != nil {
		return err
	}
	defer done()
	if err := b.Book.Backup(e.ctx, v.To); err != nil {
		return bookError(err)
	}
	c, err := store.Open(e.ctx, v.To, store.Options{Program: program(), ReadOnly: true})
	if err != nil {
		return err
	}
	defer c.Close()
	h, err := c.Verify(e.ctx)
	if err != nil {
		return err
	}
	if e.json {
		return e.writeJSON(map[string]any{"to": v.To, "health": h})
	}
	fmt.Fprintf(e.Out, "%s is a complete copy: %s\n", v.To, h)
	if !h.Sound() {
		return errNo
	}
	return nil
}

// restoreVerb puts a backup in the logbook's place.
type restoreVerb struct {
	From string `arg:"" help:"The backup."`
}

func (v *restoreVerb) Run(e *env) error {
	to, err := e.bookPath()
	if err != nil {
		return err
	}
	kept, err := store.Restore(e.ctx, v.From, to, store.Options{Program: program()})
	if err != nil {
		return bookError(err)
	}
	if e.json {
		return e.writeJSON(map[string]any{"logbook": to, "kept": kept})
	}
	fmt.Fprintf(e.Out, "%s is now as in %s.\n", to, v.From)
	if kept != "" {
		fmt.Fprintf(e.Out, "What stood there before is kept as %s.\n", kept)
	}
	return nil
}
