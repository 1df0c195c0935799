package buildpack

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/price"
	"dawnsmith/lamp/wiring"
	"dawnsmith/paper/draw"
	"dawnsmith/paper/internal/sample"
	"dawnsmith/paper/internal/script"
	"dawnsmith/paper/portrait"

	"pgregory.net/rapid"
)

// read parses a list of the pack into one map for each line.
func read(t *testing.T, write func(*bytes.Buffer) error) []map[string]string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, r := range rows[1:] {
		m := map[string]string{}
		for i, c := range r {
			m[rows[0][i]] = c
		}
		out = append(out, m)
	}
	return out
}

func number(t *testing.T, s string) float64 {
	t.Helper()
	x, err := strconv.ParseFloat(s, 64)
	if err != nil {
		t.Fatal(err)
	}
	return x
}

// lamps are one for every feed, plain and with two channels, of several sizes.
func lamps() []func(*lamp.Spec) {
	var out []func(*lamp.Spec)
	for i, feed := range sample.Feeds {
		out = append(out,
			func(s *lamp.Spec) { s.Feed, s.Rows, s.Units = feed, 3+i, 7-i%3 },
			func(s *lamp.Spec) { sample.Twin(s); s.Feed, s.Rows = feed, 8-i })
	}
	return append(out,
		func(s *lamp.Spec) { s.Rows, s.Units = 1, 1 },
		func(s *lamp.Spec) { s.Along, s.Rows, s.Units = lamp.AlongWidth, 15, 4 },
		func(s *lamp.Spec) { s.Sheet, s.Lining, s.Fuse, s.Mount, s.Paint = "plate", "", "", "", "" })
}

// worked are the packs of lamps, made once for all tests; nil where a stop
// stands.
var worked = sync.OnceValues(func() ([]*Pack, error) {
	var out []*Pack
	for _, change := range lamps() {
		in, err := work(change)
		if err != nil {
			return nil, err
		}
		p, err := Make(in)
		var refused *Refused
		if err != nil && !errors.As(err, &refused) {
			return nil, err
		}
		out = append(out, p)
	}
	more, err := examples()
	return append(out, more...), err
})

// made gives the packs of lamps, as worked.
func made(t *testing.T) []*Pack {
	t.Helper()
	ps, err := worked()
	if err != nil {
		t.Fatal(err)
	}
	return ps
}

// What is bought, what is cut and what is drawn are the same amounts.
func TestQuantitiesAgree(t *testing.T) {
	n := 0
	for i, p := range made(t) {
		if p == nil {
			continue
		}
		n++
		l := p.lamp()
		shop := read(t, func(b *bytes.Buffer) error { return p.ShoppingCSV(b) })
		need := func(kind, id string) float64 {
			for _, r := range shop {
				if r["kind"] == kind && r["id"] == id {
					return number(t, r["need"])
				}
			}
			t.Fatalf("lamp %d: no %s %q on the shopping list", i, kind, id)
			return 0
		}
		var strip, units, sheet, lining float64
		for _, r := range read(t, func(b *bytes.Buffer) error { return p.CutCSV(b) }) {
			area := number(t, r["length_mm"]) * number(t, r["width_mm"]) * number(t, r["count"]) / 1e6
			switch {
			case r["units"] != "":
				strip += number(t, r["length_mm"]) / 1000
				units += number(t, r["units"])
			case strings.HasPrefix(r["what"], "sheet"):
				sheet += area
			default:
				lining += area
			}
		}
		bought := 0.0
		for _, s := range l.Strips() {
			bought += need("strip", s.ID)
		}
		if math.Abs(strip-bought) > 0.0006 || int(units) != l.Spec.Rows*l.Spec.Units {
			t.Errorf("lamp %d: %.3f m and %.0f units of strip cut, %.3f m bought, %d units drawn", i, strip, units, need("strip", l.Strip.ID), l.Spec.Rows*l.Spec.Units)
		}
		if l.Sheet != nil && (sheet > need("sheet", l.Sheet.ID) || sheet < 0.97*need("sheet", l.Sheet.ID)) {
			t.Errorf("lamp %d: %.4f m² of sheet cut, %.4f m² bought", i, sheet, need("sheet", l.Sheet.ID))
		}
		if l.Lining != nil && lining > need("lining", l.Lining.ID) {
			t.Errorf("lamp %d: %.4f m² of lining cut, only %.4f m² bought", i, lining, need("lining", l.Lining.ID))
		}
		wire := map[string]float64{}
		for _, r := range read(t, func(b *bytes.Buffer) error { return p.WireCSV(b) }) {
			wire[r["wire"]] += number(t, r["length_mm"]) / 1000 * number(t, r["count"])
		}
		for id, m := range wire {
			if math.Abs(m-need("wire", id)) > 0.002 {
				t.Errorf("lamp %d (%s): %.3f m of wire %q cut, %.3f m bought", i, l.Feed, m, id, need("wire", id))
			}
		}
		// Joints: parts list, wiring, table.
		sum := 0
		for _, g := range p.jointGroups() {
			sum += g.count
		}
		splices := p.plan.Splices() * wiring.SpliceJoints(l)
		if sum != l.Joints()+splices || len(p.Plan().Joints) != l.Joints()+splices {
			t.Errorf("lamp %d (%s): %d joints in the table, %d in the plan, %d and %d of splices by the lamp", i, l.Feed, sum, len(p.Plan().Joints), l.Joints(), splices)
		}
		if solder := need("consumable", "solder"); math.Abs(solder-0.2*float64(sum)) > 0.001 {
			t.Errorf("lamp %d: solder for %.0f joints bought, %d joints", i, solder/0.2, sum)
		}
		for _, r := range shop {
			if bought := number(t, r["first_packs"]) * number(t, r["pack"]); r["id"] == "tape" && p.plan.TapeLength() > bought {
				t.Errorf("lamp %d (%s): %.2f m of tape laid, %.2f m bought", i, l.Feed, p.plan.TapeLength(), bought)
			}
		}
		// The drawing: dimensions and a name for every row.
		w := p.Plan()
		said := map[string]int{}
		for _, k := range portrait.TrayPlan(l, &w).Labels() {
			said[k.Text]++
		}
		for _, want := range []string{bareMM(l.RunLength()), bareMM(l.RowLength()), fmt.Sprint(l.Spec.Rows)} {
			if said[want] == 0 {
				t.Errorf("lamp %d: %q does not stand on the plan", i, want)
			}
		}
	}
	if n < 12 {
		t.Fatalf("only %d lamps got a pack", n)
	}
}

// blockText is all the words of a block.
func blockText(b script.Block) string {
	s := b.Lead + " " + b.Text
	for _, c := range b.Table.Columns {
		s += " " + c.Head
	}
	for _, r := range b.Table.Rows {
		s += " " + strings.Join(r.Cells, " ")
	}
	return s
}

// defines gives the words by which a block introduces a thing that steps may
// refer to.
func defines(b script.Block, ref string) bool {
	switch {
	case strings.HasPrefix(ref, "drawing "), strings.HasPrefix(ref, "ruler "):
		return (b.Kind == script.Figure || b.Kind == script.Fit) && (strings.HasPrefix(strings.ToLower(b.Text), strings.ToLower(ref)+":") || strings.HasPrefix(strings.ToLower(b.Text), strings.ToLower(ref)+"."))
	case ref == templateDrawing:
		return b.Kind == script.Sheets && strings.HasPrefix(b.Text, "Template")
	case strings.HasSuffix(ref, "list"), ref == "nameplate":
		return b.Kind == script.Heading && strings.EqualFold(b.Text, ref)
	}
	for _, r := range b.Table.Rows { // a reading or a fault
		if len(r.Cells) > 1 && r.Cells[0] == ref {
			return true
		}
	}
	return false
}

// Every part of the list that a step takes exists, everything it refers to
// stands on an earlier page, and nothing in the text points forward.
func TestStepsReferBackwards(t *testing.T) {
	for i, p := range made(t) {
		if p == nil {
			continue
		}
		start := slices.IndexFunc(p.text, func(b script.Block) bool { return b.Kind == script.Heading && strings.HasPrefix(b.Text, "Building it") })
		if start < 0 {
			t.Fatal("no section of steps")
		}
		ids := map[string]bool{}
		for _, part := range p.Parts() {
			for _, s := range part.Steps {
				if ids[s.ID] {
					t.Errorf("step %s stands twice", s.ID)
				}
				ids[s.ID] = true
				for _, id := range s.Parts {
					if !slices.ContainsFunc(p.in.Bill.Lines, func(n price.Line) bool { return n.Kind+"/"+n.ID == id }) {
						t.Errorf("lamp %d: step %s takes %q, which is not on the shopping list", i, s.ID, id)
					}
				}
				for _, ref := range s.Refs {
					at := slices.IndexFunc(p.text, func(b script.Block) bool { return defines(b, ref) })
					if at < 0 || at >= start {
						t.Errorf("lamp %d: step %s refers to %q, which does not stand before the steps (%d)", i, s.ID, ref, at)
					}
					if !strings.Contains(strings.ToLower(s.Do+" "+s.IfNot), strings.ToLower(ref)) {
						t.Errorf("lamp %d: step %s does not name %q in its text", i, s.ID, ref)
					}
				}
				if s.Hold != (s.IfNot != "") {
					t.Errorf("step %s: a hold says what to do when it fails, and only a hold", s.ID)
				}
				// Numbers of readings and faults in the text are declared.
				for _, w := range strings.FieldsFunc(s.Do+" "+s.IfNot, func(r rune) bool { return !(r >= 'A' && r <= 'Z' || r >= '0' && r <= '9') }) {
					if len(w) >= 2 && (w[0] == 'R' || w[0] == 'T') && w[1] >= '0' && w[1] <= '9' && !slices.Contains(s.Refs, w) {
						t.Errorf("lamp %d: step %s names %s without declaring it", i, s.ID, w)
					}
				}
			}
		}
		for k, b := range p.text {
			for _, word := range []string{"below on page", "see page", "on the next page", "later page", "last page"} {
				if strings.Contains(blockText(b), word) {
					t.Errorf("block %d points forward: %q", k, blockText(b))
				}
			}
		}
	}
}

// Holds: polarity, swarf, insulation, short, first power, soak.
func TestHolds(t *testing.T) {
	p := pack(t, input(t, nil))
	var holds string
	for _, part := range p.Parts() {
		for _, s := range part.Steps {
			if s.Hold {
				holds += s.Do + "\n"
			}
		}
	}
	for _, want := range []string{"Polarity.", "Swarf.", "Insulation.", "Short test.", "Insulation test.", "Limited power-up.", "Soak."} {
		if !strings.Contains(holds, want) {
			t.Errorf("no hold for %q", want)
		}
	}
	for _, want := range []string{"current limited", "rated for 24\u202fV or more", "shielded"} {
		if !strings.Contains(holds, want) {
			t.Errorf("the first power-up does not say %q", want)
		}
	}
}

func stop(key string, never bool) finding.Finding {
	return finding.Finding{Severity: finding.Stop, Key: key, What: "something is 3 and may be 2", Mend: "make it 2", NoOverride: never}
}

func TestRefusal(t *testing.T) {
	const reason = "I hang it from two chains of my own"
	over := func(key string) func(*lamp.Spec) {
		return func(s *lamp.Spec) { s.Overrides = []lamp.Override{{Finding: key, Reason: reason}} }
	}
	for _, c := range []struct {
		name   string
		f      finding.Finding
		change func(*lamp.Spec)
		others bool
		refuse bool
	}{
		{"a stop", stop("mount.load", false), nil, false, true},
		{"overridden", stop("mount.load", false), over("mount.load"), false, false},
		{"another one overridden", stop("mount.load", false), over("mount.torque"), false, true},
		{"overridden, but for others", stop("mount.load", false), over("mount.load"), true, true},
		{"never to be overridden", stop("mount.load", true), over("mount.load"), false, true},
		{"eyes", stop("eyes.blue_light", false), over("eyes.blue_light"), false, true},
		{"bare LEDs", stop("lamp.no_sheet", false), over("lamp.no_sheet"), false, true},
		{"over-voltage", stop("circuit.over_voltage", false), over("circuit.over_voltage"), false, true},
		{"wire", stop("circuit.wire_current", false), over("circuit.wire_current"), false, true},
		{"fuse", stop("circuit.fuse_missing", false), over("circuit.fuse_missing"), false, true},
		{"a warning", finding.Finding{Severity: finding.Warn, Key: "mount.load", What: "w"}, nil, true, false},
	} {
		in := input(t, c.change)
		in.Findings, in.ForOthers = []finding.Finding{c.f}, c.others
		p, err := Make(in)
		var r *Refused
		if errors.As(err, &r) != c.refuse {
			t.Errorf("%s: error %v, refusal wanted %v", c.name, err, c.refuse)
			continue
		}
		if c.refuse {
			if !strings.Contains(err.Error(), c.f.Key) || !strings.Contains(err.Error(), "make it 2") {
				t.Errorf("%s: the refusal names neither stop nor mend: %v", c.name, err)
			}
			continue
		}
		if c.f.Severity != finding.Stop {
			continue
		}
		for _, size := range []draw.PageSize{draw.A4, draw.Letter} {
			in.Size = size
			q := pack(t, in)
			pages, err := q.Pages()
			if err != nil {
				t.Fatal(err)
			}
			first := words(pages[0])
			for _, want := range []string{reason, "mount.load", "Mains", "Eyes", "Health"} {
				if !strings.Contains(first, want) {
					t.Errorf("page 1 of a lamp with an overridden stop does not say %q", want)
				}
			}
		}
		_ = p
	}
	// The lamp's own stop: no sheet over the LEDs.
	in := input(t, func(s *lamp.Spec) { s.Sheet = "" })
	var r *Refused
	if _, err := Make(in); !errors.As(err, &r) || !finding.Has(r.Stops, "lamp.no_sheet") {
		t.Errorf("a lamp without a sheet got %v", err)
	}
	if _, err := Make(Input{}); !errors.Is(err, ErrIncomplete) {
		t.Errorf("an empty input got %v", err)
	}
}

// words joins all labels of a page.
func words(s draw.Scene) string {
	var b strings.Builder
	for _, l := range s.Labels() {
		b.WriteString(l.Text + " ")
	}
	return b.String()
}

func TestReadingsAreWithinReach(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		r := Reading{Expected: rapid.Float64Range(0.1, 1e5).Draw(t, "expected"), Bound: Near}
		r.Tolerance = rapid.Float64Range(0, 0.5).Draw(t, "share") * r.Expected
		if !r.Within(r.Expected) || r.Within(r.Expected+1.01*r.Tolerance+1e-9) || r.Within(r.Expected-1.01*r.Tolerance-1e-9) {
			t.Fatalf("%+v", r)
		}
		r.Bound = Above
		if !r.Within(r.Expected*1.01) || r.Within(r.Expected*0.99) {
			t.Fatalf("%+v", r)
		}
	})
	if s := (Reading{Expected: 1.83, Tolerance: 0.27, Unit: "A", Bound: Near}).Text(); s != "1.83 ± 0.27\u202fA" {
		t.Errorf("got %q", s)
	}
}
