package form

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"dawnsmith/internal/app"
	"dawnsmith/lamp"
	"dawnsmith/lamp/part"
	"dawnsmith/lamp/unit"
)

// AsBuilt is the lamp that a unit really is: its design, with its parts as
// measured and its changes made one after the other. The error names the change
// that makes no sense, or what the changed lamp cannot be.
func AsBuilt(a *app.App, u unit.Unit) (lamp.Spec, error) {
	s := u.Design
	s.Parts = s.Parts.Layer(u.Parts)
	s.Drive = maps.Clone(s.Drive)
	for i, c := range u.Changes {
		if err := SetByKey(a, &s, c.Field, c.Value); err != nil {
			return lamp.Spec{}, fmt.Errorf("change %d of unit %s: %w", i+1, u.Serial, err)
		}
	}
	if _, err := a.Build(s); err != nil {
		return lamp.Spec{}, fmt.Errorf("unit %s as built: %w", u.Serial, err)
	}
	return s, nil
}

// SetByKey changes one field of a lamp by its key in the document; the value
// "none" takes an optional part away.
func SetByKey(a *app.App, s *lamp.Spec, key, value string) error {
	fs := lampFields(*s, a.Parts)
	i := slices.IndexFunc(fs, func(f Field) bool { return f.Key == key })
	if i < 0 {
		var keys []string
		for _, f := range fs {
			keys = append(keys, f.Key)
		}
		return fmt.Errorf("a lamp has no field %q that can be changed; the nearest is %q", key, part.Nearest(key, keys))
	}
	f := fs[i]
	if strings.TrimSpace(value) == "none" {
		if f.Kind != Pick || !f.Optional {
			return fmt.Errorf("%s cannot be none; a lamp needs it", key)
		}
		value = ""
	}
	if err := Set(s, f, value); err != nil {
		return fmt.Errorf("%s: %w", key, err)
	}
	return nil
}
