package app

import (
	"cmp"
	"fmt"
	"math"
	"reflect"
	"slices"
	"strings"

	"dawnsmith/finding"
	"dawnsmith/lamp"
	"dawnsmith/lamp/optics"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/predict"
	"dawnsmith/lamp/search"
	"dawnsmith/quantity"
)

// Swapped is a lamp before and after one part was changed.
type Swapped struct {
	Kind, From, To string
	Before, After  Answer
	// Fields are the datasheet entries that differ between the two parts.
	Fields []FieldChange
	// Differences are the numbers that changed, those that matter most first.
	Differences []Difference
	// Raised and Cleared are findings that came and went.
	Raised, Cleared []finding.Finding
	// Notes say what else had to change with the part.
	Notes []string
}

// FieldChange is one differing datasheet entry.
type FieldChange struct {
	Field, From, To string
}

// Difference is one number before and after, with the reason for the change.
type Difference struct {
	Key, Name, Unit string
	Before, After   float64
	// Change is After − Before with the uncertainty of what the two do not
	// share.
	Change quantity.Value
	// Relative is the change over the number before; NaN-free: 0 when that is 0.
	Relative float64
	// Certain says that the change exceeds twice its standard uncertainty.
	Certain bool
	Reason  string
}

// Kinds lists the kinds of part that Swap changes.
func Kinds() []string {
	return []string{"tray", "strip", "second-strip", "sheet", "second-sheet", "lining", "paint", "supply", "bus-wire", "lead-wire", "connector", "fuse", "dimmer", "mount"}
}

// Swap changes one part of a lamp and tells every difference with its reason.
// id "none" takes an optional part away. Lining takes "id" for the walls or
// "id+floor" for walls and floor.
func (a *App) Swap(s lamp.Spec, kind, id string) (Swapped, error) {
	sw := Swapped{Kind: kind, To: id}
	before, err := a.Predict(s, nil, true)
	if err != nil {
		return sw, fmt.Errorf("before the swap: %w", err)
	}
	t := s
	if err := setPart(&t, kind, id, &sw); err != nil {
		return sw, err
	}
	if kind == "tray" || kind == "strip" || kind == "second-strip" {
		sw.Notes = append(sw.Notes, a.Fit(&t, s)...)
	}
	after, err := a.Predict(t, nil, true)
	if err != nil {
		return sw, fmt.Errorf("after the swap: %w", err)
	}
	sw.Before, sw.After = before, after
	sw.Fields = fieldChanges(partOf(before.Lamp, kind), partOf(after.Lamp, kind))
	sw.Differences = differences(&before, &after)
	sw.Raised, sw.Cleared = without(after.Result.Findings, before.Result.Findings), without(before.Result.Findings, after.Result.Findings)
	return sw, nil
}

func setPart(s *lamp.Spec, kind, id string, sw *Swapped) error {
	fields := map[string]*string{"tray": &s.Tray, "strip": &s.Strip, "second-strip": &s.Second, "sheet": &s.Sheet, "second-sheet": &s.SecondSheet, "lining": &s.Lining, "paint": &s.Paint, "supply": &s.Supply,
		"bus-wire": &s.Bus, "lead-wire": &s.Lead, "connector": &s.Connector, "fuse": &s.Fuse, "dimmer": &s.Dimmer, "mount": &s.Mount}
	f, ok := fields[kind]
	if !ok {
		return fmt.Errorf("%q is no kind of part; the nearest is %q; allowed are %s", kind, part.Nearest(kind, Kinds()), strings.Join(Kinds(), ", "))
	}
	sw.From = *f
	if kind == "lining" {
		if s.LineFloor && sw.From != "" {
			sw.From += "+floor"
		}
		id, s.LineFloor = strings.CutSuffix(id, "+floor")
	}
	if id == "none" {
		if slices.Contains([]string{"tray", "strip", "supply", "bus-wire", "lead-wire", "connector"}, kind) {
			return fmt.Errorf("a lamp needs its %s; name another one", kind)
		}
		id = ""
	}
	*f = id
	return nil
}

// refit makes rows fit after a change of tray or strip: rows that no longer
// fit are shortened, and told.
func (a *App) refit(t *lamp.Spec, from lamp.Spec, sw *Swapped) {
	units, rows := t.Units, t.Rows
	t.Units = 0
	try := *t
	try.Rows, try.Pitch, try.Lines = 1, 0, nil
	l, err := lamp.Build(try, a.Parts)
	if err != nil {
		t.Units = units
		return // Predict says what is wrong
	}
	if fit := l.UnitsThatFit(); units > 0 && units <= fit {
		t.Units = units
	} else if units > fit {
		sw.Notes = append(sw.Notes, fmt.Sprintf("rows of %d units no longer fit: filled with %d", units, fit))
	}
	if most := l.RowsThatFit(); rows > most {
		t.Rows = most
		sw.Notes = append(sw.Notes, fmt.Sprintf("%d rows no longer fit: %d instead", rows, most))
	}
	if t.Pitch > 0 && (float64(t.Rows-1)*t.Pitch+l.Strip.Width > l.Across() || t.Pitch < l.Strip.Width+0.001) {
		t.Pitch = 0
		sw.Notes = append(sw.Notes, "the row pitch no longer fits: rows spread evenly")
	}
	if t.Lines != nil {
		if _, err := lamp.Build(*t, a.Parts); err != nil {
			t.Lines = nil
			sw.Notes = append(sw.Notes, "the rows no longer lie where they were placed one by one: spread evenly")
		}
	}
}

func partOf(l lamp.Lamp, kind string) any {
	switch kind {
	case "tray":
		return l.Tray
	case "strip":
		return l.Strips()[0]
	case "second-strip":
		if l.Interleaved() {
			return l.Strips()[1]
		}
		return nil
	case "sheet", "second-sheet":
		s, k := l.Sheets(), 0
		if kind == "second-sheet" {
			k = 1
		}
		if k < len(s) {
			return s[k]
		}
		return nil
	case "lining":
		return l.Lining
	case "paint":
		return l.Paint
	case "supply":
		return l.Supply
	case "bus-wire":
		return l.Bus
	case "lead-wire":
		return l.Lead
	case "connector":
		return l.Connector
	case "fuse":
		return l.Fuse
	case "dimmer":
		return l.Dimmer
	}
	return l.Mount
}

// fieldChanges compares the document fields of two parts of one kind.
func fieldChanges(a, b any) []FieldChange {
	va, vb := reflect.Indirect(reflect.ValueOf(a)), reflect.Indirect(reflect.ValueOf(b))
	if !va.IsValid() || !vb.IsValid() {
		return nil
	}
	return compareFields(va, vb, "")
}

func compareFields(a, b reflect.Value, prefix string) []FieldChange {
	var out []FieldChange
	for i := range a.NumField() {
		f := a.Type().Field(i)
		key, _, _ := strings.Cut(f.Tag.Get("doc"), ",")
		switch {
		case f.Anonymous:
			continue // id, name, note and price are told elsewhere
		case key == "":
			continue
		case f.Type.Kind() == reflect.Slice && f.Type.Elem().Kind() == reflect.Struct:
			for j := range min(a.Field(i).Len(), b.Field(i).Len()) {
				name := fmt.Sprint(a.Field(i).Index(j).Field(0))
				out = append(out, compareFields(a.Field(i).Index(j), b.Field(i).Index(j), prefix+name+" ")...)
			}
			if a.Field(i).Len() != b.Field(i).Len() {
				out = append(out, FieldChange{prefix + "number of " + key + "s", fmt.Sprint(a.Field(i).Len()), fmt.Sprint(b.Field(i).Len())})
			}
			continue
		}
		x, y := fieldText(a.Field(i), f.Tag.Get("dim")), fieldText(b.Field(i), f.Tag.Get("dim"))
		if x != y {
			out = append(out, FieldChange{prefix + strings.ReplaceAll(key, "_", " "), x, y})
		}
	}
	return out
}

func fieldText(v reflect.Value, dim string) string {
	d := quantity.Number
	for i := quantity.Dimension(0); i.String() != "unknown dimension"; i++ {
		if dimWord(i) == dim {
			d = i
		}
	}
	switch x := v.Interface().(type) {
	case quantity.Value:
		return quantity.Format(x.X, d, 4)
	case float64:
		return quantity.Format(x, d, 4)
	}
	return fmt.Sprint(v.Interface())
}

// dimWord is the word by which field tags name a dimension.
func dimWord(d quantity.Dimension) string {
	words := map[quantity.Dimension]string{quantity.Length: "length", quantity.Area: "area", quantity.Temperature: "temperature",
		quantity.FluxPerLength: "flux-per-length", quantity.Power: "power", quantity.PowerPerLength: "power-per-length", quantity.Voltage: "voltage",
		quantity.Current: "current", quantity.Resistance: "resistance", quantity.CountPerLength: "per-length", quantity.CrossSection: "cross-section",
		quantity.Frequency: "frequency", quantity.Mass: "mass", quantity.LinearDensity: "linear-density", quantity.Density: "density",
		quantity.ThermalResistance: "thermal-resistance", quantity.Angle: "angle", quantity.ColourTemperature: "colour-temperature",
		quantity.Ratio: "ratio", quantity.Torque: "torque", quantity.PerKelvin: "per-kelvin"}
	return words[d]
}

// differences lists the numbers that moved by more than rounding.
func differences(a, b *Answer) []Difference {
	var out []Difference
	for _, g := range groups {
		for _, k := range g.keys {
			x, okA := a.Result.Numbers[k]
			y, okB := b.Result.Numbers[k]
			if !okA || !okB {
				continue
			}
			ra, _ := a.Row(k)
			d := Difference{Key: k, Name: ra.Name, Unit: ra.Unit, Before: x, After: y, Change: b.Value(k).Sub(a.Value(k))}
			if x != 0 {
				d.Relative = y/x - 1
			}
			if math.Abs(d.Change.X) < 1e-9+2e-4*math.Abs(x) {
				continue
			}
			d.Certain = math.Abs(d.Change.X) > 2*d.Change.U()
			d.Reason = reason(k, a.Result, b.Result)
			out = append(out, d)
		}
	}
	return out
}

// factor is one of the things that a number is the product of.
type factor struct {
	name string
	of   func(r predict.Result) float64
}

func number(key string) func(predict.Result) float64 {
	return func(r predict.Result) float64 { return r.Numbers[key] }
}

func ratioOf(a, b string) func(predict.Result) float64 {
	return func(r predict.Result) float64 {
		if r.Numbers[b] == 0 {
			return 0
		}
		return r.Numbers[a] / r.Numbers[b]
	}
}

var (
	leds    = factor{"flux of the LEDs", number(predict.FluxLED)}
	leaves  = factor{"share that leaves the box", number(predict.BoxShare)}
	area    = factor{"area of the face", func(r predict.Result) float64 { return 1 / r.Lamp.FaceArea() }}
	toMeter = factor{"how much of the face the meter sees", func(r predict.Result) float64 { return r.Numbers[predict.MeterLux] / r.Numbers[predict.FluxOut] }}
	toEye   = factor{"how much of the face the eye sees", func(r predict.Result) float64 { return r.Numbers[predict.EyeLux] / r.Numbers[predict.FluxOut] }}
	mel     = factor{"melanopic part of the light", number(predict.DER)}
	watts   = factor{"watts in the strips", number(predict.StripPower)}
	effic   = factor{"lumens per strip watt", ratioOf(predict.FluxLED, predict.StripPower)}
	supply  = factor{"losses in lead and supply", ratioOf(predict.MainsPower, predict.StripPower)}
	kbv     = factor{"blue part of the light", number(predict.BlueEfficacy)}
)

var factorsOf = map[string][]factor{
	predict.MeterLux:      {leds, leaves, toMeter},
	predict.EyeLux:        {leds, leaves, toEye},
	predict.EyeMelanopic:  {leds, leaves, toEye, mel},
	predict.FaceMean:      {leds, leaves, area},
	predict.FacePeak:      {leds, leaves, area},
	predict.FaceExitance:  {leds, leaves, area},
	optics.KeyCentre:      {leds, leaves, area},
	optics.KeyCorner:      {leds, leaves, area},
	predict.FaceContrast:  {leds, leaves, area},
	predict.FluxOut:       {leds, leaves},
	predict.FluxLED:       {watts, effic},
	predict.MainsPower:    {watts, supply},
	predict.MainsEfficacy: {effic, leaves, {"losses in lead and supply", ratioOf(predict.StripPower, predict.MainsPower)}},
	predict.BlueFace:      {leds, leaves, area, kbv},
	predict.BlueClose:     {leds, leaves, area, kbv},
}

// reason says in words why a number changed.
func reason(key string, a, b predict.Result) string {
	if fs, ok := factorsOf[key]; ok {
		type part struct {
			name string
			log  float64
		}
		var ps []part
		for _, f := range fs {
			x, y := f.of(a), f.of(b)
			if x > 0 && y > 0 {
				ps = append(ps, part{f.name, math.Log(y / x)})
			}
		}
		slices.SortStableFunc(ps, func(p, q part) int { return cmp.Compare(math.Abs(q.log), math.Abs(p.log)) })
		var words []string
		for _, p := range ps {
			if math.Abs(p.log) > 0.002 {
				words = append(words, fmt.Sprintf("%s %+.1f %%", p.name, 100*(math.Exp(p.log)-1)))
			}
		}
		if len(words) > 0 {
			return strings.Join(words, ", ")
		}
		if len(ps) > 0 {
			return fmt.Sprintf("%s %+.2f %%", ps[0].name, 100*(math.Exp(ps[0].log)-1))
		}
	}
	d := func(k string) float64 { return b.Numbers[k] - a.Numbers[k] }
	switch key {
	case predict.StripTemp, predict.JunctionTemp, predict.BackTemp, predict.FloorTemp, predict.SheetTemp, predict.FluxShare:
		rise := func(r predict.Result) float64 {
			return (r.Heat.FloorMean - r.HeatInput.Ambient) / r.Numbers[predict.LampHeat]
		}
		return fmt.Sprintf("heat in the lamp %+.1f W; the tray warms %.2f instead of %.2f K per watt", d(predict.LampHeat), rise(b), rise(a))
	case predict.LampHeat:
		return fmt.Sprintf("watts in the strips %+.1f W, light that leaves takes %+.1f W with it", d(predict.StripPower), d(predict.StripPower)-d(predict.LampHeat))
	case predict.BoxShare, predict.LostFloor, predict.LostWalls, predict.LostSheet:
		return fmt.Sprintf("lost on the floor %+.1f, on the walls %+.1f, in the sheet %+.1f points", 100*d(predict.LostFloor), 100*d(predict.LostWalls), 100*d(predict.LostSheet))
	case optics.KeyEvenness:
		return fmt.Sprintf("light spread in the box: %.0f instead of %.0f %% of the centre's light comes straight from the LEDs", 100*b.Numbers[optics.KeyDirect], 100*a.Numbers[optics.KeyDirect])
	case predict.DotRatio:
		return "how much of the light the sheet lets through unscattered"
	case optics.KeyDayLight, optics.KeySessionLight:
		return fmt.Sprintf("luminance of the face %+.0f cd/m², melanopic ratio %+.3f, the face's size", d(predict.FaceMean), d(predict.DER))
	case optics.KeyPerArea:
		return fmt.Sprintf("light at the meter %+.0f lx, the face's area", d(predict.MeterLux))
	case optics.KeyUGR, optics.KeyDGP:
		return fmt.Sprintf("luminance of the face %+.0f cd/m², light at the eye %+.0f lx, solid angle %+.3f sr", d(predict.FaceMean), d(predict.EyeLux), d(optics.KeySolidAngle))
	case predict.EyeElevation, optics.KeySolidAngle, optics.KeyFarField, predict.FaceLength, predict.FaceWidth, predict.TrayDepth, predict.StripMetres:
		return "geometry of the tray and its place"
	case predict.Ripple, optics.KeyRimRipple:
		return fmt.Sprintf("rows %.1f mm apart, sheet %.0f mm above the LEDs, and how the sheet scatters", b.Lamp.RowPitch()*1000, (b.Lamp.Height()-b.Lamp.Strip.Height)*1000)
	case predict.CCT, predict.Duv, predict.Ra, "r9", "rf", "rg", predict.DER, predict.BlueEfficacy, "ler_lm_w":
		if a.Lamp.Strip.ID == b.Lamp.Strip.ID {
			return "lining and sheet pass the wavelengths unequally"
		}
		return "another spectrum leaves the LEDs"
	case predict.SupplyCurrent, predict.SupplyLoad, predict.StripPower, predict.SupplyNeeded:
		return fmt.Sprintf("strip in the lamp %.2f instead of %.2f m, at %.1f instead of %.1f W/m", b.Lamp.StripLength(), a.Lamp.StripLength(),
			b.Numbers[predict.StripPower]/b.Lamp.StripLength(), a.Numbers[predict.StripPower]/a.Lamp.StripLength())
	case predict.CopperLoss, predict.Evenness, predict.LeadDrop:
		return fmt.Sprintf("current %+.2f A through lead, bus and rails", d(predict.SupplyCurrent))
	case search.PriceFirst, search.PriceNext:
		return "other parts and packs on the shopping list"
	case predict.LampMass:
		return "the parts weigh otherwise"
	}
	return ""
}

func without(a, b []finding.Finding) []finding.Finding {
	var out []finding.Finding
	for _, f := range a {
		if !finding.Has(b, f.Key) {
			out = append(out, f)
		}
	}
	return out
}
