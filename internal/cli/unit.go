package cli

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"time"

	"dawnsmith/internal/app"
	"dawnsmith/internal/file"
	"dawnsmith/internal/form"
	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/unit"
	"dawnsmith/paper/buildpack"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/portrait"
)

// unitVerb keeps the lamps that were really built.
type unitVerb struct {
	New    unitNewVerb    `cmd:"" help:"Begin a unit of a lamp: its own file with the design as it is now."`
	Change unitChangeVerb `cmd:"" help:"Write down what is built otherwise than designed, or changed since."`
	Repair unitRepairVerb `cmd:"" help:"Write down what was mended."`
	Sheet  unitSheetVerb  `cmd:"" help:"Write the sheet of readings expected of this unit as built, for filling in."`
	Read   unitReadVerb   `cmd:"" help:"Take a filled sheet of readings into the unit."`
	Show   unitShowVerb   `cmd:"" help:"Work the unit out as built, and hold its readings against that."`
	Label  unitLabelVerb  `cmd:"" help:"Write the unit's nameplate as SVG and PDF at true scale."`
}

type unitNewVerb struct {
	Lamp   string `arg:"" help:"The lamp (*.lamp.toml)."`
	Serial string `required:"" help:"The unit's own number or name, as it will stand on its label."`
	Built  string `placeholder:"YYYY-MM-DD" help:"When it was built; left out: not yet."`
	Supply string `name:"supply-serial" help:"What stands on the supply that belongs to it."`
	Out    string `short:"o" placeholder:"FILE" help:"Where to write it; left out: beside the lamp, SERIAL.unit.toml."`
}

func (v *unitNewVerb) Run(e *env) error {
	a, err := e.app()
	if err != nil {
		return err
	}
	s, _, err := file.OpenLamp(v.Lamp)
	if err != nil {
		return err
	}
	l, err := a.Build(s)
	if err != nil {
		return input(fmt.Errorf("%s: %w", v.Lamp, err))
	}
	u := unit.Unit{Schema: 1, Serial: v.Serial, Built: v.Built, SupplySerial: v.Supply, Design: app.Standalone(l)}
	if err := u.Check(); err != nil {
		return input(err)
	}
	if v.Out == "" {
		v.Out = filepath.Join(filepath.Dir(v.Lamp), strings.ToLower(strings.ReplaceAll(v.Serial, " ", "-"))+".unit.toml")
	}
	if err := e.saveUnit(v.Out, u, file.Stamp{}); err != nil {
		return err
	}
	fmt.Fprintf(e.Out, "Unit %s of %s, revision %d, written to %s.\nWrite down what you build otherwise with \"dawnsmith unit change %s FIELD VALUE --as-built\".\n", u.Serial, l.Name, l.Revision, v.Out, v.Out)
	return nil
}

const unitHead = "A lamp that was built: its design, what differs from it, repairs, readings."

func (e *env) saveUnit(path string, u unit.Unit, since file.Stamp) error {
	_, err := file.SaveUnit(path, u, unitHead, since)
	return err
}

// onDate gives the date as written or today's.
func onDate(text string) (string, error) {
	if text == "" {
		return time.Now().Format("2006-01-02"), nil
	}
	if _, err := time.Parse("2006-01-02", text); err != nil {
		return "", fmt.Errorf("--date is %q; write year, month and day, such as 2026-12-01", text)
	}
	return text, nil
}

type unitChangeVerb struct {
	Unit    string `arg:"" help:"The unit (*.unit.toml)."`
	Field   string `arg:"" help:"A key of the lamp document: rows, sheet, lead_length …"`
	Value   string `arg:"" help:"What it is now; none takes an optional part away."`
	Why     string `help:"Why, in some words."`
	AsBuilt bool   `name:"as-built" help:"It was built so from the start."`
	Date    string `placeholder:"YYYY-MM-DD" help:"Left out: today."`
}

func (v *unitChangeVerb) Run(e *env) error {
	a, u, since, err := e.openUnit(v.Unit)
	if err != nil {
		return err
	}
	date, err := onDate(v.Date)
	if err != nil {
		return input(err)
	}
	before, err := form.AsBuilt(a, u)
	if err != nil {
		return input(err)
	}
	u.Changes = append(u.Changes, unit.Change{Date: date, Field: v.Field, Value: v.Value, Why: v.Why, AsBuilt: v.AsBuilt})
	after, err := form.AsBuilt(a, u)
	if err != nil {
		return input(err)
	}
	if err := e.saveUnit(v.Unit, u, since); err != nil {
		return err
	}
	x, err := a.Predict(before, nil, false)
	if err != nil {
		return err
	}
	y, err := a.Predict(after, nil, false)
	if err != nil {
		return err
	}
	fmt.Fprintf(e.Out, "Unit %s: %s is now %s.\nBefore: %s\nNow:    %s\n", u.Serial, v.Field, v.Value, x.Sentence(), y.Sentence())
	return nil
}

type unitRepairVerb struct {
	Unit string `arg:"" help:"The unit (*.unit.toml)."`
	What string `arg:"" help:"What was mended, in some words."`
	Date string `placeholder:"YYYY-MM-DD" help:"Left out: today."`
}

func (v *unitRepairVerb) Run(e *env) error {
	_, u, since, err := e.openUnit(v.Unit)
	if err != nil {
		return err
	}
	date, err := onDate(v.Date)
	if err != nil {
		return input(err)
	}
	u.Repairs = append(u.Repairs, unit.Repair{Date: date, What: v.What})
	if err := u.Check(); err != nil {
		return input(err)
	}
	return e.saveUnit(v.Unit, u, since)
}

func (e *env) openUnit(path string) (*app.App, unit.Unit, file.Stamp, error) {
	a, err := e.app()
	if err != nil {
		return nil, unit.Unit{}, file.Stamp{}, err
	}
	u, since, err := file.OpenUnit(path)
	return a, u, since, err
}

// asBuilt works a unit out with its uncertainty and makes its pack, which holds
// the readings expected of it.
func (e *env) asBuilt(path string) (unit.Unit, file.Stamp, app.Answer, *buildpack.Pack, error) {
	a, u, since, err := e.openUnit(path)
	if err != nil {
		return u, since, app.Answer{}, nil, err
	}
	s, err := form.AsBuilt(a, u)
	if err != nil {
		return u, since, app.Answer{}, nil, input(err)
	}
	ans, err := a.Predict(s, nil, true)
	if err != nil {
		return u, since, ans, nil, input(err)
	}
	p, err := ans.Pack(app.PackOptions{Date: unitDate(u), Serial: u.Serial})
	if err != nil {
		return u, since, ans, nil, input(err)
	}
	return u, since, ans, p, nil
}

// unitDate is the day of building, or one that is no day.
func unitDate(u unit.Unit) time.Time {
	d, _ := time.Parse("2006-01-02", u.Built)
	return d
}

type unitSheetVerb struct {
	Unit string `arg:"" help:"The unit (*.unit.toml)."`
	Out  string `short:"o" placeholder:"FILE" help:"Where to write it; left out: standard output."`
}

func (v *unitSheetVerb) Run(e *env) error {
	_, _, _, p, err := e.asBuilt(v.Unit)
	if err != nil {
		return err
	}
	if v.Out == "" {
		return p.ReadingsCSV(e.Out)
	}
	var b bytes.Buffer
	if err := p.ReadingsCSV(&b); err != nil {
		return err
	}
	_, err = file.SaveBytes(v.Out, b.Bytes(), file.Stamp{})
	return err
}

type unitReadVerb struct {
	Unit  string `arg:"" help:"The unit (*.unit.toml)."`
	Sheet string `arg:"" help:"The filled sheet: readings.csv of the pack, or of unit sheet."`
	Date  string `placeholder:"YYYY-MM-DD" help:"For readings without a date of their own; left out: today."`
}

func (v *unitReadVerb) Run(e *env) error {
	u, since, _, p, err := e.asBuilt(v.Unit)
	if err != nil {
		return err
	}
	date, err := onDate(v.Date)
	if err != nil {
		return input(err)
	}
	f, err := os.Open(v.Sheet)
	if err != nil {
		return err
	}
	defer f.Close()
	filled, err := buildpack.ReadSheet(f, v.Sheet)
	if err != nil {
		return input(err)
	}
	expected := map[string]buildpack.Reading{}
	for _, r := range p.Readings() {
		expected[plainSpaces(r.Name)] = r
	}
	outside := 0
	for _, x := range filled {
		if x.Date == "" {
			x.Date = date
		}
		r := unit.Reading{Date: x.Date, ID: x.ID, Name: x.Name, Metric: x.Metric, Value: x.Value, Unit: x.Unit, Distance: x.Distance}
		if k, ok := expected[plainSpaces(x.Name)]; ok && k.Unit == x.Unit {
			r.Expected, r.Tolerance, r.Bound = k.Expected, k.Tolerance, string(k.Bound)
		}
		if pass, judged := r.Within(); judged && !pass {
			outside++
		}
		u.Readings = append(u.Readings, r)
	}
	if err := u.Check(); err != nil {
		return input(fmt.Errorf("%s: %w", v.Sheet, err))
	}
	if err := e.saveUnit(v.Unit, u, since); err != nil {
		return err
	}
	fmt.Fprintf(e.Out, "%d readings taken into unit %s; %d outside what is expected of it as built.\n", len(filled), u.Serial, outside)
	e.showReadings(u.Readings[len(u.Readings)-len(filled):])
	if outside > 0 {
		fmt.Fprintln(e.Out, "Look them up in the pack's table of faults, or ask \"dawnsmith fault\".")
		return errNo
	}
	return nil
}

// plainSpaces makes a name out of a spreadsheet the same as ours.
func plainSpaces(s string) string { return strings.ReplaceAll(s, "\u202f", " ") }

type unitShowVerb struct {
	Unit string `arg:"" help:"The unit (*.unit.toml)."`
}

func (v *unitShowVerb) Run(e *env) error {
	u, _, ans, p, err := e.asBuilt(v.Unit)
	if err != nil {
		return err
	}
	if e.json {
		return e.writeJSON(map[string]any{"serial": u.Serial, "built": u.Built, "design": u.Design.Name, "revision": u.Design.Revision, "numbers": ans.Result.Numbers,
			"changes": changesJSON(u), "repairs": repairsJSON(u), "readings": readingsJSON(u), "expected": p.Readings()})
	}
	w := e.Out
	built := "not finished"
	if u.Built != "" {
		built = "built " + u.Built
	}
	fmt.Fprintf(w, "Unit %s of %s, revision %d, %s.\n%s\n", u.Serial, u.Design.Name, u.Design.Revision, built, ans.Sentence())
	for _, c := range u.Changes {
		when := "changed " + c.Date
		if c.AsBuilt {
			when = "as built"
		}
		why := ""
		if c.Why != "" {
			why = ": " + c.Why
		}
		fmt.Fprintf(w, "  %s, %s %s%s\n", when, c.Field, c.Value, why)
	}
	for _, r := range u.Repairs {
		fmt.Fprintf(w, "  repaired %s: %s\n", r.Date, r.What)
	}
	if len(u.Readings) > 0 {
		fmt.Fprintln(w)
		e.showReadings(u.Readings)
	}
	return nil
}

type unitLabelVerb struct {
	Unit  string `arg:"" help:"The unit (*.unit.toml)."`
	Out   string `short:"o" placeholder:"FOLDER" help:"Where to write it; left out: beside the unit."`
	Paper string `default:"A4" help:"A4 or Letter."`
}

func (v *unitLabelVerb) Run(e *env) error {
	size, err := paperSize(v.Paper)
	if err != nil {
		return input(err)
	}
	u, _, ans, _, err := e.asBuilt(v.Unit)
	if err != nil {
		return err
	}
	if v.Out == "" {
		v.Out = filepath.Dir(v.Unit)
	}
	if err := mkdir(v.Out); err != nil {
		return err
	}
	plate := unitPlate(u, ans.Lamp, ans.Result.Numbers[predict.SupplyCurrent])
	s := portrait.Nameplate(plate)
	var svg, pdf bytes.Buffer
	if err := draw.SVG(&svg, s, draw.SVGOptions{Palette: draw.Print(), Ground: true}); err != nil {
		return err
	}
	pages, err := draw.Tile(s, size, 0)
	if err != nil {
		return err
	}
	if err := draw.PDF(&pdf, pages, draw.PDFOptions{Title: "Nameplate of unit " + u.Serial, Author: "Dawnsmith", Date: unitDate(u)}); err != nil {
		return err
	}
	base := strings.TrimSuffix(strings.TrimSuffix(filepath.Base(v.Unit), ".toml"), ".unit") + ".nameplate"
	for ext, data := range map[string][]byte{".svg": svg.Bytes(), ".pdf": pdf.Bytes()} {
		if _, err := file.SaveBytes(filepath.Join(v.Out, base+ext), data, file.Overwrite()); err != nil {
			return err
		}
	}
	fmt.Fprintf(e.Out, "Written: %s and .pdf. Print the PDF without scaling; its rule must measure 100.0 mm.\n", filepath.Join(v.Out, base+".svg"))
	return nil
}

func unitPlate(u unit.Unit, l lamp.Lamp, amps float64) portrait.Plate {
	c := portrait.PlateOf(l, amps)
	c.Serial, c.Built, c.SupplySerial = u.Serial, u.Built, u.SupplySerial
	return c
}
