package form

import (
	"strings"

	"dawnsmith/internal/app"
	"dawnsmith/lamp"
	"dawnsmith/lamp/circuit"
	"dawnsmith/lamp/part"
	"dawnsmith/quantity"
)

func length(key, name, hint string) Field {
	return Field{Key: key, Name: name, Hint: hint, Kind: Amount, Dim: quantity.Length}
}

func pick(key, name, kind string, optional bool) Field {
	return Field{Key: key, Name: name, Kind: Pick, Part: kind, Optional: optional}
}

// slide gives a field a slider in a unit.
func (f Field) slide(low, high, step float64, unit string) Field {
	f.Low, f.High, f.Step, f.Unit = low, high, step, unit
	return f
}

// opt lets a field be empty.
func (f Field) opt() Field { f.Optional = true; return f }

// placeFields are where lamp, meter and eye are; a lamp and a brief have them
// alike.
func placeFields() []Field {
	angle := func(key, name, hint string) Field {
		return Field{Key: "place." + key, Name: name, Hint: hint, Kind: Amount, Dim: quantity.Angle, Optional: true}
	}
	return []Field{
		length("place.meter_distance", "meter from the face", "on the face's axis, looking at it").slide(100, 1500, 10, "mm"),
		length("place.eye_distance", "eye to the face's middle", "straight, not along the desk").slide(200, 2000, 10, "mm"),
		length("place.lamp_above_eye", "lamp above the eye", "its middle; below is negative").opt().slide(-500, 1200, 10, "mm"),
		length("place.lamp_aside", "lamp to the side", "of straight ahead").opt(),
		{Key: "place.tilt_fixed", Name: "tilt fixed by hand", Hint: "else the face is turned to the eye", Kind: Tick},
		angle("tilt", "tilt of the face", "down from upright; counts when fixed"),
		angle("gaze", "gaze", "up from level"),
		angle("brow_limit", "brow cuts off above", "50° where nothing is known"),
		angle("cheek_limit", "cheek cuts off below", "70° where nothing is known"),
		length("place.monitor_distance", "monitor before the lamp", "level distance from the eye; empty: none stands there").opt(),
		length("place.monitor_edge_above_eye", "monitor's upper edge above the eye", "below is negative; hides the face's lower part").opt(),
		{Key: "place.air_at_lamp", Name: "air at the lamp", Hint: "warmer than the room", Kind: Amount, Dim: quantity.Temperature},
		{Key: "place.surround_luminance", Name: "luminance around the lamp", Hint: "50 cd/m² in a lit room", Kind: Amount, Dim: quantity.Luminance},
	}
}

// Along are the ways the rows can lie.
func along() []Option {
	return []Option{{string(lamp.AlongLength), "along the longer side"}, {string(lamp.AlongWidth), "along the shorter side"}}
}

func feeds() []Option {
	var out []Option
	for _, s := range circuit.Schemes() {
		key, _ := s.MarshalText()
		out = append(out, Option{string(key), s.String()})
	}
	return out
}

// lampFields are the fields of a lamp; the channels are those of its strip.
func lampFields(s lamp.Spec, set part.Set) []Field {
	fs := []Field{
		{Key: "name", Name: "name", Kind: Text},
		{Key: "note", Name: "note", Kind: Text, Optional: true},
	}
	fs = append(fs, placeFields()...)
	fs = append(fs,
		pick("tray", "tray", "tray", false),
		pick("strip", "strip", "strip", false),
		pick("second_strip", "every second row of", "strip", true),
		Field{Key: "rows", Name: "rows of strip", Kind: Whole}.slide(1, 1, 1, ""),
		Field{Key: "along", Name: "rows lie", Kind: Pick, Options: along()},
		Field{Key: "units_per_row", Name: "cut units in a row", Hint: "0 fills the row", Kind: Whole}.slide(1, 1, 1, ""),
		length("row_pitch", "pitch of the rows", "empty spreads them evenly").opt(),
		Field{Key: "row_lines", Name: "rows one by one", Hint: "middle of each from the wall beside row 1, such as 12, 40, 70 mm; empty: evenly", Kind: Amounts, Dim: quantity.Length, Optional: true},
		Field{Key: "reading", Name: "temperatures read on the lamp", Hint: "such as tray=42 °C@30 min; strip=55 °C in 24 °C: place, temperature, time since switching on, air", Kind: Readings, Optional: true},
		Field{Key: "staggered", Name: "every second row shifted by half an LED's spacing", Kind: Tick},
		length("wired_margin", "kept clear at the wired end", ""),
		length("free_margin", "kept clear at the free end", ""),
		pick("sheet", "diffuser sheet", "sheet", true),
		pick("second_sheet", "a second sheet on it", "sheet", true),
		pick("lining", "lining of the walls", "lining", true),
		Field{Key: "line_floor", Name: "line the floor too", Kind: Tick},
		pick("paint_back", "paint on the back", "paint", true),
		pick("supply", "supply", "supply", false),
		Field{Key: "feed", Name: "rows are fed", Kind: Pick, Options: feeds()},
		pick("bus_wire", "bus wire", "wire", false),
		pick("lead_wire", "lead wire", "wire", false),
		length("lead_length", "lead, one way", ""),
		pick("connector", "connector", "connector", false),
		pick("fuse", "fuse", "fuse", true),
		pick("dimmer", "dimmer", "dimmer", true),
		pick("mount", "mount", "mount", true),
	)
	for _, name := range lamp.ChannelsOf(s, set) {
		fs = append(fs, Field{Key: "drive." + name, Name: "drive of " + name, Kind: Amount, Dim: quantity.Ratio}.slide(0, 100, 1, "%"))
	}
	for _, o := range s.Overrides {
		fs = append(fs, Override(o.Finding))
	}
	return fs
}

// Override is the field that holds an owner's reason for building in spite of
// a finding.
func Override(key string) Field {
	return Field{Key: "override." + key, Name: "built in spite of " + key, Kind: Text, Optional: true}
}

// PartOptions lists the parts of a kind for a Pick, with their prices.
func PartOptions(set part.Set, kind string) []Option {
	switch kind {
	case "tray":
		return list(set.Trays, nil)
	case "strip":
		return list(set.Strips, nil)
	case "sheet":
		return list(set.Sheets, nil)
	case "lining":
		return list(set.Linings, nil)
	case "paint":
		return list(set.Consumables, func(c part.Consumable) bool { return c.ForBack })
	case "supply":
		return list(set.Supplies, nil)
	case "wire":
		return list(set.Wires, nil)
	case "connector":
		return list(set.Connectors, nil)
	case "fuse":
		return list(set.Fuses, nil)
	case "dimmer":
		return list(set.Dimmers, nil)
	case "mount":
		return list(set.Mounts, nil)
	}
	return nil
}

func list[P part.Part](ps []P, keep func(P) bool) []Option {
	var out []Option
	for _, p := range ps {
		if keep != nil && !keep(p) {
			continue
		}
		it := p.Ident()
		label := it.Name
		if it.Price != (part.Money{}) {
			label += ", " + it.Price.String()
		}
		out = append(out, Option{it.ID, label})
	}
	return out
}

// Lamp is the desk for lamps of the app's catalogue.
func Lamp(a *app.App) *Desk[lamp.Spec] {
	return &Desk[lamp.Spec]{
		Fields: func(s lamp.Spec) []Field { return lampFields(s, a.Parts) },
		Extra: func(key string) (Field, bool) {
			finding, ok := strings.CutPrefix(key, "override.")
			return Override(finding), ok && finding != "" && len(finding) < 60
		},
		Check: func(s lamp.Spec) error {
			if strings.TrimSpace(s.Feed) != "" {
				var f circuit.Scheme
				if err := f.UnmarshalText([]byte(s.Feed)); err != nil {
					return err
				}
			}
			_, err := a.Build(s)
			return err
		},
		Fit: func(key string, s *lamp.Spec, from lamp.Spec) []string {
			if key != "tray" && key != "strip" && key != "second_strip" && key != "along" {
				return nil
			}
			return a.Fit(s, from)
		},
	}
}
