package cli

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/quantity"
)

// editionVerb publishes.
type editionVerb struct {
	Name string `arg:"" optional:"" help:"The edition's short name, such as winter-lamps; left out: list what was published."`
	By   string `default:"lux" placeholder:"MEASURE" help:"What to rank by."`
	terms
	View string `placeholder:"NAME" help:"Publish a kept comparison instead."`

	Title      string `placeholder:"TEXT" help:"The title."`
	Intro      string `placeholder:"TEXT" help:"A paragraph at the head."`
	Publisher  string `placeholder:"TEXT" help:"Who publishes."`
	Interest   string `placeholder:"TEXT" help:"What the publisher has to do with the lamps: built, bought, lent, paid."`
	Target     string `placeholder:"LUX" default:"5000 lx" help:"The illuminance that readers ask for."`
	Correction string `placeholder:"TEXT" help:"What the last number had wrong; it goes into this number and all later ones."`
	Raw        bool   `help:"Attach the meters' files."`
	Paper      string `enum:"A4,Letter" default:"A4" help:"${enum}."`
	Out        string `short:"o" placeholder:"FOLDER" help:"Where to put the files; left out: a folder with the name and number."`
	Again      int    `placeholder:"NUMBER" help:"Write the page of an earlier number out again, as it was published."`
}

func (v *editionVerb) Run(e *env) error {
	b, done, err := e.openBook(v.Name == "" || v.Again > 0)
	if err != nil {
		return err
	}
	defer done()
	if v.Name == "" {
		return e.showEditions(b)
	}
	if v.Again > 0 {
		return v.again(e, b)
	}
	q := app.EditionRequest{Slug: v.Name, Title: v.Title, Intro: v.Intro, Publisher: v.Publisher, Interest: v.Interest, Correction: v.Correction, Raw: v.Raw, Letter: v.Paper == "Letter"}
	if q.Target, err = quantity.Parse(v.Target, quantity.Illuminance); err != nil {
		return input(fmt.Errorf("--target: %w", err))
	}
	if !(q.Target >= 1 && q.Target <= 1e5) {
		return input(fmt.Errorf("--target is %s; allowed is 1 to 100 000 lx", v.Target))
	}
	if v.View != "" {
		q.View, err = e.keptView(b, v.View)
	} else if q.View, err = v.view(v.By); err != nil {
		err = input(err)
	}
	if err != nil {
		return err
	}
	ed, kept, err := b.Publish(e.ctx, q, time.Now())
	if err != nil {
		return rankError(err)
	}
	files, err := app.EditionFiles(ed, q.Letter)
	if err != nil {
		return err
	}
	if v.Out == "" {
		v.Out = fmt.Sprintf("%s-%d", v.Name, kept.Number)
	}
	var names []string
	for _, f := range files {
		to := filepath.Join(v.Out, filepath.FromSlash(f.Name))
		if err := mkdir(filepath.Dir(to)); err != nil {
			return err
		}
		if _, err := file.SaveBytes(to, f.Bytes, file.Overwrite()); err != nil {
			return err
		}
		names = append(names, f.Name)
	}
	if e.json {
		return e.writeJSON(map[string]any{"slug": v.Name, "number": kept.Number, "folder": v.Out, "files": names, "answers": ed.Answers()})
	}
	fmt.Fprintf(e.Out, "%s, no. %d, is kept in the logbook and written to %s:\n", v.Name, kept.Number, v.Out)
	for _, n := range names {
		fmt.Fprintf(e.Out, "  %s\n", n)
	}
	fmt.Fprintln(e.Out, "\nShort answers:")
	for _, a := range ed.Answers() {
		fmt.Fprintf(e.Out, "  %s\n", a.Text)
	}
	return nil
}

func (e *env) showEditions(b *app.Bench) error {
	all, err := b.Book.Editions(e.ctx)
	if err != nil {
		return err
	}
	if e.json {
		return e.writeJSON(all)
	}
	if len(all) == 0 {
		fmt.Fprintln(e.Out, "Nothing was published yet. \"dawnsmith edition NAME --title TEXT --at '500 mm'\" makes a first number.")
	}
	for _, x := range all {
		fmt.Fprintf(e.Out, "%s no. %d, %s, published %s\n", x.Slug, x.Number, x.Title, x.Published)
	}
	return nil
}

// again writes an earlier number as it was published.
func (v *editionVerb) again(e *env, b *app.Bench) error {
	x, err := b.Book.Edition(e.ctx, v.Name, v.Again)
	if err != nil {
		return bookError(err)
	}
	if v.Out == "" {
		v.Out = fmt.Sprintf("%s-%d", v.Name, x.Number)
	}
	if err := mkdir(v.Out); err != nil {
		return err
	}
	to := filepath.Join(v.Out, "edition.html")
	if _, err := os.Stat(to); err == nil {
		return input(errors.New(to + " is there already; name another folder with --out"))
	}
	if _, err := file.SaveBytes(to, x.Bytes, file.Stamp{}); err != nil {
		return err
	}
	fmt.Fprintf(e.Out, "%s is no. %d of %s as it was published on %s.\n", to, x.Number, x.Slug, x.Published)
	return nil
}
