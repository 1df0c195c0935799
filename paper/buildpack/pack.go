package buildpack

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/stock"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/script"
)

// Check is one limit of a brief held against the prediction, in words.
type Check struct {
	Name   string // "illuminance at the meter, facing the lamp"
	Wanted string // "at least 5000 lx"
	Found  string // "7500 lx"
	Met    bool
}

// Input is all that a pack is made from.
type Input struct {
	// Prediction is the lamp worked out. Without uncertainty (Values nil) the
	// figures are printed bare.
	Prediction predict.Uncertain
	// Bill is the shopping list of the same lamp.
	Bill price.Bill
	// Plan is the wiring of the same lamp; the zero value: worked out here from
	// Cut.
	Plan wiring.Plan
	// Cut is the cutting plan that Bill and Plan agree with; nil: worked out
	// here, from new reels.
	Cut *stock.Plan
	// Dose says in a sentence or two how long to sit at the lamp and by which
	// rule; "" leaves it out.
	Dose string
	// Checks hold a brief against the lamp; may be empty.
	Checks []Check
	// Findings are further ones, such as those of a search or a dose.
	Findings []finding.Finding
	// Date is printed and stamped into the file.
	Date time.Time
	// Size is the paper.
	Size draw.PageSize
	// ForOthers marks a pack made for somebody else: nothing is overridden.
	ForOthers bool
	// Serial names the unit to be built, if it has a name already.
	Serial string
	// Guide makes it a guide for strangers; Serial and ForOthers follow from it.
	Guide *Guide
	// Files are carried inside PDF and HTML: the lamp's own document.
	Files []draw.Attachment
}

// Refused says that a lamp gets no pack, and why.
type Refused struct {
	Lamp  string
	Stops []finding.Finding // that nobody has overridden, or that nobody may
	// Barred are the keys among them that the owner tried to override.
	Barred []string
	// ForOthers tells that overrides were not looked at.
	ForOthers bool
}

// Error lists the stops with their mends.
func (r *Refused) Error() string {
	var b strings.Builder
	fmt.Fprintf(&b, "no build pack for lamp %q: ", r.Lamp)
	if len(r.Stops) == 1 {
		b.WriteString("1 stop stands")
	} else {
		fmt.Fprintf(&b, "%d stops stand", len(r.Stops))
	}
	for _, f := range r.Stops {
		fmt.Fprintf(&b, "\n  %s: %s", f.Key, f.What)
		if f.Mend != "" {
			fmt.Fprintf(&b, "; to mend it, %s", f.Mend)
		}
		if slices.Contains(r.Barred, f.Key) {
			if r.ForOthers {
				b.WriteString(" (overrides do not count in a pack for others)")
			} else {
				b.WriteString(" (this stop cannot be overridden)")
			}
		}
	}
	return b.String()
}

// overridden is a stop that the owner takes upon himself.
type overridden struct {
	finding.Finding
	Reason string
}

// neverOverridden bars the stops that no reason sets aside, whoever raised
// them: over-voltage, wire, fuse, bare LEDs, hazards to the eye.
func neverOverridden(f finding.Finding) bool {
	if f.NoOverride || f.Key == "lamp.no_sheet" || strings.HasPrefix(f.Key, "eyes.") {
		return true
	}
	for _, word := range []string{"voltage", "wire", "fuse", "lead_current", "bus_current"} {
		if strings.HasPrefix(f.Key, "circuit.") && strings.Contains(f.Key, word) {
			return f.Key != "circuit.under_voltage" // dim, not dangerous
		}
	}
	return false
}

// sift parts findings into stops that the owner has overridden and the rest; it
// refuses when a stop stands.
func sift(l lamp.Lamp, fs []finding.Finding, forOthers bool) ([]overridden, []finding.Finding, error) {
	var over []overridden
	var rest []finding.Finding
	refused := &Refused{Lamp: l.Name, ForOthers: forOthers}
	for _, f := range fs {
		if f.Severity != finding.Stop {
			rest = append(rest, f)
			continue
		}
		i := slices.IndexFunc(l.Overrides, func(o lamp.Override) bool { return o.Finding == f.Key })
		switch {
		case i >= 0 && !forOthers && !neverOverridden(f):
			over = append(over, overridden{f, l.Overrides[i].Reason})
		default:
			refused.Stops = append(refused.Stops, f)
			if i >= 0 {
				refused.Barred = append(refused.Barred, f.Key)
			}
		}
	}
	if len(refused.Stops) > 0 {
		return nil, nil, refused
	}
	return over, rest, nil
}

// Pack is a finished build pack.
type Pack struct {
	in       Input
	plan     wiring.Plan
	cut      *stock.Plan
	over     []overridden
	rest     []finding.Finding
	readings []Reading
	faults   []Fault
	parts    []Part
	text     script.Script
}

// ErrIncomplete means that the input lacks the prediction of a lamp.
var ErrIncomplete = errors.New("a build pack needs a lamp that has been worked out")

// Make writes the pack. It fails with *Refused when a stop stands.
func Make(in Input) (*Pack, error) {
	l := in.Prediction.Lamp
	if len(in.Prediction.Numbers) == 0 || l.Spec.Rows == 0 || in.Prediction.Circuit == nil {
		return nil, ErrIncomplete
	}
	if in.Guide != nil {
		in.Serial, in.ForOthers = "", true
	}
	p := &Pack{in: in, plan: in.Plan, cut: in.Cut}
	if p.cut == nil {
		var err error
		p.cut, err = (stock.Stock{}).Cut(l, 1)
		var none *stock.Impossible
		if errors.As(err, &none) {
			return nil, &Refused{Lamp: l.Name, Stops: []finding.Finding{none.Finding()}}
		}
		if err != nil {
			return nil, fmt.Errorf("build pack of lamp %q: %w", l.Name, err)
		}
	}
	if len(p.plan.Rows) == 0 {
		p.plan = wiring.Of(l, wiring.Options{RowCurrent: in.Prediction.RowCurrent, Reels: p.cut.Reels})
	}
	if len(p.plan.Rows) != l.Spec.Rows {
		return nil, fmt.Errorf("wiring of %d rows given for a lamp of %d; make the plan from the same lamp", len(p.plan.Rows), l.Spec.Rows)
	}
	all := slices.Concat(in.Prediction.Findings, p.plan.Findings, in.Findings)
	finding.Sort(all)
	all = slices.CompactFunc(all, func(a, b finding.Finding) bool { return a.Key == b.Key && a.What == b.What })
	var err error
	if p.over, p.rest, err = sift(l, all, in.ForOthers); err != nil {
		return nil, err
	}
	if p.readings, err = p.takeReadings(); err != nil {
		return nil, err
	}
	p.faults = faults(l)
	p.parts = p.steps()
	p.write()
	if _, err := p.Pages(); err != nil {
		return nil, fmt.Errorf("build pack of lamp %q: %w", l.Name, err)
	}
	return p, nil
}

func (p *Pack) lamp() lamp.Lamp { return p.in.Prediction.Lamp }

func (p *Pack) title() string {
	t := p.lamp().Name
	if p.in.Serial != "" {
		t += ", unit " + p.in.Serial
	}
	return t
}

// document lays the pack out on pages.
func (p *Pack) document() (*draw.Document, error) {
	l := p.lamp()
	d := draw.NewDocument(draw.DocumentOptions{
		Title: p.kind() + ": " + p.title(), Subject: "How to build, check and measure one lamp", Author: "Dawnsmith",
		Size: p.in.Size, Header: fmt.Sprintf("%s, revision %d", p.title(), l.Revision),
		Footer: "Made by Dawnsmith on " + p.date() + ". Local codes, licensed electricians and clinicians come first.",
		Date:   p.in.Date, Palette: draw.Print(), Attachments: p.in.Files,
	})
	if err := p.text.Lay(d, p.in.Size); err != nil {
		return nil, err
	}
	return d, nil
}

func (p *Pack) date() string { return p.in.Date.Format("2 January 2006") }

// Pages gives the pages as scenes.
func (p *Pack) Pages() ([]draw.Scene, error) {
	d, err := p.document()
	if err != nil {
		return nil, err
	}
	return d.Pages()
}

// PDF writes the pack on paper of the size asked for.
func (p *Pack) PDF(w io.Writer) error {
	d, err := p.document()
	if err != nil {
		return err
	}
	return d.PDF(w)
}

// Plan is the wiring the pack was made from.
func (p *Pack) Plan() wiring.Plan { return p.plan }

// Readings are the lines of the commissioning sheet.
func (p *Pack) Readings() []Reading { return slices.Clone(p.readings) }

// Faults are the lines of the fault table.
func (p *Pack) Faults() []Fault { return slices.Clone(p.faults) }

// Parts are the steps in working order.
func (p *Pack) Parts() []Part { return slices.Clone(p.parts) }
