package shelf

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
)

// folder is a shelf over an empty folder.
func folder(t *testing.T) *Shelf {
	t.Helper()
	s, err := Open(t.TempDir())
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// put writes a file into the shelf's folder, as its owner might by hand.
func put(t *testing.T, s *Shelf, name, text string) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(s.Dir(), name), []byte(text), 0o644); err != nil {
		t.Fatal(err)
	}
}

// bytesOf reads a file under the shelf's folder.
func bytesOf(t *testing.T, s *Shelf, name string) string {
	t.Helper()
	data, err := os.ReadFile(filepath.Join(s.Dir(), name))
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// everything lists the files under the shelf's folder.
func everything(t *testing.T, s *Shelf) []string {
	t.Helper()
	var out []string
	err := fs.WalkDir(os.DirFS(s.Dir()), ".", func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			out = append(out, path)
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

func TestOpenFolder(t *testing.T) {
	dir := t.TempDir()
	plain := filepath.Join(dir, "plain")
	if err := os.WriteFile(plain, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := Open(filepath.Join(dir, "none")); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), "none") {
		t.Errorf("no folder: %v", err)
	}
	if _, err := Open(plain); err == nil || !strings.Contains(err.Error(), "is a file") {
		t.Errorf("a file: %v", err)
	}
	s, err := Open(dir)
	if err != nil {
		t.Fatal(err)
	}
	if !filepath.IsAbs(s.Dir()) {
		t.Errorf("folder %q", s.Dir())
	}
}

func TestCheckName(t *testing.T) {
	good := []string{"a", "oulu-first", "Uuni 2", "lamp_3", "1.5 m", "a.r1", "a+b, c", "pöytä", "лампа", "灯", "e\u0301t\u0301e", "console", "com0", "com10", "new",
		strings.Repeat("x", 100), strings.Repeat("ж", 100)}
	for _, name := range good {
		if err := CheckName(name); err != nil {
			t.Errorf("%q is refused: %v", name, err)
		}
	}
	bad := map[string]string{
		"": "empty", strings.Repeat("x", 101): "too long", strings.Repeat("灯", 100): "too long",
		"a/b": "other signs", `a\b`: "other signs", "a:b": "other signs", "a\x00b": "other signs", "a\nb": "other signs", "a*": "other signs", "a?": "other signs",
		`a"b`: "other signs", "<a>": "other signs", "a|b": "other signs", "~a~": "other signs", "a%2fb": "other signs", "\xff": "other signs", "a\u202eb": "other signs", "a\u2044b": "other signs",
		".": "ends", "..": "ends", "...": "ends", ".a": "ends", "a.": "ends", " a": "ends", "a ": "ends", "a..b": "together", "../a": "other signs",
		"con": "devices", "CON": "devices", "Con.x": "devices", "nul": "devices", "aux.lamp": "devices", "prn": "devices", "com1": "devices", "COM9": "devices", "lpt4": "devices", "lpt9.x": "devices", "con .x": "devices",
	}
	for name, why := range bad {
		err := CheckName(name)
		var b *BadName
		if !errors.As(err, &b) || !strings.Contains(b.Why, why) || !strings.Contains(err.Error(), "letters, digits") {
			t.Errorf("%q: %v, want one that says %q", name, err, why)
		}
	}
}

// anyName draws texts around what a name may be: those that someone types,
// those that try to get out of the folder, and any at all.
func anyName() *rapid.Generator[string] {
	piece := rapid.SampledFrom([]string{"..", ".", "/", `\`, "a", "Z", "lamp", "ä", "e\u0301", "灯", " ", "-", "_", ",", "+", "7", ":", "%2e", "con", "\x00", "\u2215", ".toml", ".lamp.toml", ".r1", "~", "$HOME", "\n", "\u202e"})
	return rapid.OneOf(
		rapid.String(),
		rapid.Custom(func(t *rapid.T) string { return strings.Join(rapid.SliceOfN(piece, 1, 6).Draw(t, "pieces"), "") }),
		rapid.StringMatching(`[a-z0-9][a-zA-Z0-9 ._+-]{0,20}`),
	)
}

// Whatever is typed: a name that is taken is one file of the folder itself.
func TestNamesStayInFolder(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := anyName().Draw(t, "name")
		if CheckName(name) != nil {
			return
		}
		if strings.ContainsAny(name, "/\\:\x00") || strings.Contains(name, "..") || name == "." || !filepath.IsLocal(name) {
			t.Fatalf("%q is accepted", name)
		}
		for _, end := range []string{lampEnd, briefEnd} {
			if got, err := filepath.Rel("/shelf", filepath.Join("/shelf", name+end)); err != nil || got != name+end || filepath.Base(got) != got {
				t.Fatalf("%q leads to %q (%v)", name, got, err)
			}
		}
	})
}

// A name that is taken can be saved under, is listed, and opens what was saved.
func TestNamesRoundTrip(t *testing.T) {
	l := catalogue.FirstLamp()
	l.Revision = 0
	rapid.Check(t, func(rt *rapid.T) {
		name := anyName().Filter(func(s string) bool { return CheckName(s) == nil }).Draw(rt, "name")
		dir, err := os.MkdirTemp(t.TempDir(), "")
		if err != nil {
			rt.Fatal(err)
		}
		s, err := Open(dir)
		if err != nil {
			rt.Fatal(err)
		}
		if _, err := s.SaveLamp(name, l, "", false); err != nil {
			rt.Fatalf("%q: %v", name, err)
		}
		all, err := s.Lamps()
		if err != nil || len(all) == 0 || all[0].Name != name || all[0].Sample || all[0].Err != nil {
			rt.Fatalf("%q is not listed: %+v, %v", name, all, err)
		}
		o, err := s.Lamp(name)
		if err != nil || o.Doc.Tray != l.Tray || o.Doc.Rows != l.Rows || o.Token == "" {
			rt.Fatalf("%q: %+v, %v", name, o, err)
		}
		if _, err := s.SaveLamp(name, l, o.Token, false); err != nil {
			rt.Fatalf("%q again: %v", name, err)
		}
		if rs := s.Revisions(name); len(rs) != 1 || rs[0].Number != 1 {
			rt.Fatalf("%q: revisions %+v", name, rs)
		}
	})
}

func TestSamples(t *testing.T) {
	s := folder(t)
	o, err := s.Lamp("oulu-first")
	if err != nil || !o.Sample || o.Token != "" || !o.Saved.IsZero() || o.Doc.Name != catalogue.FirstLamp().Name {
		t.Fatalf("%+v, %v", o, err)
	}
	if b, err := s.Brief("oulu-bright"); err != nil || !b.Sample || b.Doc.Name != catalogue.BrightBrief().Name {
		t.Errorf("%+v, %v", b, err)
	}
	if _, err := s.Lamp("oulu-bench"); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a brief's name opens a lamp: %v", err)
	}
	if _, err := s.Lamp("../oulu-first"); !errors.As(err, new(*BadName)) {
		t.Errorf("a path: %v", err)
	}
	if got := everything(t, s); len(got) != 0 {
		t.Errorf("reading has written %v", got)
	}
	// A sample that is saved is a file of the folder from then on.
	if _, err := s.SaveLamp("oulu-first", o.Doc, o.Token, false); err != nil {
		t.Fatal(err)
	}
	if o, err = s.Lamp("oulu-first"); err != nil || o.Sample || o.Token == "" {
		t.Errorf("%+v, %v", o, err)
	}
}

func TestLists(t *testing.T) {
	s := folder(t)
	text := string(catalogue.Text(catalogue.FirstName))
	put(t, s, "older.lamp.toml", text)
	put(t, s, "newer.lamp.toml", text)
	put(t, s, "broken.lamp.toml", "schema = 1\nkind = \"lamp\"\nrows = many\n")
	put(t, s, "oulu-bench.brief.toml", string(catalogue.Text(catalogue.BenchName)))
	put(t, s, "notes.txt", "bring flux")
	put(t, s, "starter.parts.toml", string(catalogue.Text(catalogue.StarterName)))
	put(t, s, ".hidden.lamp.toml", text)
	put(t, s, ".newer.lamp.toml.7-0.tmp", "half a fi")
	if err := os.Mkdir(filepath.Join(s.Dir(), "folder.lamp.toml"), 0o755); err != nil {
		t.Fatal(err)
	}
	now := time.Now()
	for name, age := range map[string]time.Duration{"older": 2 * time.Hour, "newer": time.Minute, "broken": time.Hour} {
		at := now.Add(-age)
		if err := os.Chtimes(filepath.Join(s.Dir(), name+lampEnd), at, at); err != nil {
			t.Fatal(err)
		}
	}
	lamps, err := s.Lamps()
	if err != nil {
		t.Fatal(err)
	}
	var names []string
	for _, o := range lamps {
		names = append(names, o.Name)
		if broken := o.Name == "broken"; (o.Err != nil) != broken {
			t.Errorf("%s: %v", o.Name, o.Err)
		}
		if o.Sample != (o.Name == "oulu-first") {
			t.Errorf("%s: sample %v", o.Name, o.Sample)
		}
	}
	if want := []string{"newer", "broken", "older", "oulu-first"}; !slices.Equal(names, want) {
		t.Errorf("lamps %v, want %v", names, want)
	}
	var faults *file.Errors
	if !errors.As(lamps[1].Err, &faults) || !strings.Contains(faults.Error(), "broken.lamp.toml:3:8") {
		t.Errorf("the broken lamp: %v", lamps[1].Err)
	}
	briefs, err := s.Briefs()
	if err != nil || len(briefs) != 2 || briefs[0].Name != "oulu-bench" || briefs[0].Sample || briefs[1].Name != "oulu-bright" || !briefs[1].Sample {
		t.Errorf("briefs %+v, %v", briefs, err)
	}
	if err := os.RemoveAll(s.Dir()); err != nil {
		t.Fatal(err)
	}
	if _, err := s.Lamps(); !errors.Is(err, fs.ErrNotExist) || !strings.Contains(err.Error(), "folder cannot be read") {
		t.Errorf("the folder is gone: %v", err)
	}
}

// What is larger than a document is not read at all.
func TestTooLarge(t *testing.T) {
	s := folder(t)
	put(t, s, "big.lamp.toml", strings.Repeat("#", file.MaxSize+1))
	if _, err := s.Lamp("big"); !errors.Is(err, file.ErrTooLarge) {
		t.Errorf("open: %v", err)
	}
	if _, err := s.SaveLamp("big", catalogue.FirstLamp(), "", true); !errors.Is(err, file.ErrTooLarge) {
		t.Errorf("save over: %v", err)
	}
	if _, _, err := s.Put("other.lamp.toml", []byte(strings.Repeat("#", file.MaxSize+1))); !errors.Is(err, file.ErrTooLarge) {
		t.Errorf("put: %v", err)
	}
	if got := everything(t, s); len(got) != 1 {
		t.Errorf("files %v", got)
	}
}
