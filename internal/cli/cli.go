// Package cli is the terminal.
//
// Its rules: results go to standard output, everything else to standard
// error. Errors start with "dawnsmith: ", in lower case without a full stop,
// and say where, what was found, what is allowed and how to mend it. Every verb
// knows --json. Progress shows on a terminal only. An interrupt ends long work
// with nothing lost. Exit codes: 0 done, 1 an answer that is a no (a lamp with
// a stop, a brief that cannot be met, a check out of tolerance), 2 wrong input,
// 3 anything else.
package cli

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"strings"

	"github.com/alecthomas/kong"
	"golang.org/x/term"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
	"dawnsmith/lamp/part"
)

// Streams are the three standard streams.
type Streams struct {
	In       io.Reader
	Out, Err io.Writer
}

// Exit codes.
const (
	codeDone  = 0
	codeNo    = 1
	codeInput = 2
	codeOther = 3
)

// errNo is an answer that is a no: shown already, only the exit code is left.
var errNo = errors.New("no")

// verbs is the command line; kong fills it.
type verbs struct {
	Parts []string `name:"parts" short:"p" placeholder:"FILE" help:"Lay a parts file over the built-in catalogue (may be repeated)."`
	Stock string   `name:"stock" placeholder:"FILE" help:"What you have on hand (*.stock.toml): plans use it first, lists take it off."`
	Book  string   `name:"logbook" placeholder:"FILE" help:"The logbook; left out, the one in your data folder. Named with other verbs, the parts that it learned are laid over the catalogue."`
	JSON  bool     `name:"json" help:"Write the result as JSON with stable keys."`
	Inch  bool     `name:"inches" help:"Show inches, feet, pounds and °F."`

	Demo    demoVerb    `cmd:"" help:"Work both demo briefs from a cold start into one folder."`
	Find    findVerb    `cmd:"" help:"Find the best lamps for a brief, or why there are none."`
	Predict predictVerb `cmd:"" help:"Work out one lamp: light, current, heat, eyes, price."`
	Swap    swapVerb    `cmd:"" help:"Change one part of a lamp and tell every difference with its reason."`
	Feed    feedVerb    `cmd:"" help:"Rank the ways of feeding a lamp's rows by evenness, copper and effort."`
	Pack    packVerb    `cmd:"" help:"Make the build pack of a lamp: pages to follow at the bench, lists, files."`
	Cut     cutVerb     `cmd:"" help:"Plan how one or several lamps are cut from reels and leftovers, proved best."`
	Unit    unitVerb    `cmd:"" help:"Keep the lamps that were built: serial, changes, repairs, readings, label."`
	Fault   faultVerb   `cmd:"" help:"Find what is wrong with a built lamp from what is seen and measured."`
	Read    readVerb    `cmd:"" help:"Read what a meter wrote: spectra, logs, waveforms, and every measure of them."`
	Face    faceVerb    `cmd:"" help:"Turn a photograph of the lit face and one reading into a luminance map."`
	Add     addVerb     `cmd:"" help:"Put readings into the logbook: files of meters, or numbers typed in."`
	Watch   watchVerb   `cmd:"" help:"Add whatever comes into a folder."`
	List    listVerb    `cmd:"" help:"List the lamps of the logbook, or all that is known of one."`
	Rank    rankVerb    `cmd:"" help:"Rank the lamps of the logbook by a measure, on equal terms."`
	Learn   learnVerb   `cmd:"" name:"reconcile" help:"Lay a built lamp's readings beside its prediction, and correct its parts."`
	Edition editionVerb `cmd:"" help:"Publish a comparison: page, PDF, table, data and pictures, dated and numbered."`
	Season  seasonVerb  `cmd:"" help:"Lamps waiting to be read, a guided hour, the check lamp, what is due."`
	Backup  backupVerb  `cmd:"" help:"Write a complete copy of the logbook."`
	Restore restoreVerb `cmd:"" help:"Put a backup in the logbook's place."`
	Serve   serveVerb   `cmd:"" help:"Open the page: lamps and briefs of a folder in a browser on this machine."`
	Gauge   gaugeVerb   `cmd:"" help:"Turn bench readings into part values with their uncertainty."`
	Check   checkVerb   `cmd:"" help:"Recompute reference cases and show how far we are off."`
	Catalog partsVerb   `cmd:"" name:"parts" help:"List the parts of the catalogue, or show one in full."`
}

// env is what the verbs share.
type env struct {
	ctx context.Context
	Streams
	json, inch bool
	layers     []string
	book       string
	stock      string
}

// Run parses the arguments, runs the verb and returns the exit code.
func Run(ctx context.Context, args []string, s Streams) (code int) {
	var v verbs
	exited := -1
	parser, err := kong.New(&v, kong.Name("dawnsmith"),
		kong.Description("Designs, predicts, measures and compares bright lamps built from LED strip.\n\nStart with: dawnsmith demo"),
		kong.Writers(s.Out, s.Err), kong.Exit(func(c int) { exited = c; panic(exited) }),
		kong.ConfigureHelp(kong.HelpOptions{Compact: true}), kong.UsageOnError(),
		kong.Vars{"kinds": strings.Join(app.Kinds(), ", ")})
	if err != nil {
		fmt.Fprintln(s.Err, "dawnsmith:", err)
		return codeOther
	}
	defer func() {
		if exited >= 0 {
			recover()
			code = exited
		}
	}()
	if len(args) == 0 {
		args = []string{"--help"}
	}
	kctx, err := parser.Parse(args)
	if err != nil {
		fmt.Fprintf(s.Err, "dawnsmith: %v\n", err)
		fmt.Fprintln(s.Err, "dawnsmith: run \"dawnsmith --help\" for the verbs, \"dawnsmith VERB --help\" for one of them")
		return codeInput
	}
	e := &env{ctx: ctx, Streams: s, json: v.JSON, inch: v.Inch, layers: v.Parts, book: v.Book, stock: v.Stock}
	return e.report(kctx.Run(e))
}

// report shows an error as one for people and gives its exit code.
func (e *env) report(err error) int {
	var doc *file.Errors
	var wrong *file.WrongKind
	var fault *part.Fault
	switch {
	case err == nil:
		return codeDone
	case errors.Is(err, errNo):
		return codeNo
	case errors.Is(err, context.Canceled):
		fmt.Fprintln(e.Err, "dawnsmith: interrupted; nothing that was written before is lost")
		return codeOther
	case errors.As(err, &doc):
		fmt.Fprintln(e.Err, "dawnsmith: "+strings.TrimRight(doc.Error(), "\n"))
		return codeInput
	}
	fmt.Fprintf(e.Err, "dawnsmith: %v\n", err)
	var input *inputError
	if errors.As(err, &wrong) || errors.As(err, &fault) || errors.As(err, &input) || errors.Is(err, fs.ErrNotExist) {
		return codeInput
	}
	return codeOther
}

// inputError marks an error as one in what the user gave.
type inputError struct{ error }

func (e *inputError) Unwrap() error { return e.error }

func input(err error) error {
	if err == nil {
		return nil
	}
	return &inputError{err}
}

// app opens the catalogue with its layers and what a named logbook learned.
func (e *env) app() (*app.App, error) {
	a, err := e.plainApp()
	if err != nil {
		return nil, err
	}
	return a, e.learned(e.ctx, a)
}

// plainApp opens the catalogue with its layers.
func (e *env) plainApp() (*app.App, error) {
	set := catalogue.Starter()
	for _, path := range e.layers {
		upper, _, err := file.OpenParts(path)
		if err != nil {
			return nil, err
		}
		set = set.Layer(upper)
	}
	if err := set.Check(); err != nil {
		return nil, err
	}
	a := &app.App{Parts: set, Workers: runtime.GOMAXPROCS(0)}
	if e.stock != "" {
		s, _, err := file.OpenStock(e.stock)
		if err != nil {
			return nil, err
		}
		if err := s.Known(set); err != nil {
			return nil, input(fmt.Errorf("%s: %w", e.stock, err))
		}
		a.Stock = &s
	}
	return a, nil
}

// writeJSON writes a result as indented JSON.
func (e *env) writeJSON(v any) error {
	enc := json.NewEncoder(e.Out)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}

// progress returns a function that shows progress on a terminal, and one that
// clears it; elsewhere both are silent.
func (e *env) progress(what string) (show func(done, total int), end func()) {
	f, ok := e.Err.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return func(int, int) {}, func() {}
	}
	last := -1
	return func(done, total int) {
			if p := 100 * done / max(1, total); p != last {
				last = p
				fmt.Fprintf(e.Err, "\r%s %3d %%", what, p)
			}
		}, func() {
			fmt.Fprint(e.Err, "\r\033[K")
		}
}
