package file

import (
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"dawnsmith/lamp/brief"
)

func sample(t *testing.T) brief.Brief {
	t.Helper()
	b, err := ParseBrief([]byte(sampleBrief), "sample")
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// only fails unless dir holds exactly the named files: no temporary is left.
func only(t *testing.T, dir string, names ...string) {
	t.Helper()
	es, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	var got []string
	for _, e := range es {
		got = append(got, e.Name())
	}
	if strings.Join(got, " ") != strings.Join(names, " ") {
		t.Errorf("the folder holds %v, want %v", got, names)
	}
}

func TestSaveAndOpen(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "b.brief.toml")
	b := sample(t)
	s1, err := SaveBrief(path, b, "head", Stamp{})
	if err != nil {
		t.Fatal(err)
	}
	got, s2, err := OpenBrief(path)
	if err != nil || got != b || s1 != s2 {
		t.Fatalf("read again: %v, %+v", err, got)
	}
	b.Name = "other"
	s3, err := SaveBrief(path, b, "", s2)
	if err != nil || s3 == s2 {
		t.Fatalf("saved again: %v", err)
	}
	if got, _, err = OpenBrief(path); err != nil || got.Name != "other" {
		t.Fatalf("read a third time: %v, %q", err, got.Name)
	}
	if k, err := OpenKind(path); k != BriefKind || err != nil {
		t.Errorf("kind is %q (%v)", k, err)
	}
	only(t, dir, "b.brief.toml")
}

// Nothing is overwritten that was not read as it is.
func TestSaveChanged(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "b.toml")
	b := sample(t)
	stamp, err := SaveBrief(path, b, "", Stamp{})
	if err != nil {
		t.Fatal(err)
	}
	keep := func(what string, since Stamp) {
		t.Helper()
		before, _ := os.ReadFile(path)
		if _, err := SaveBrief(path, b, "new", since); !errors.Is(err, ErrChanged) {
			t.Errorf("%s: %v", what, err)
		}
		if after, _ := os.ReadFile(path); string(after) != string(before) {
			t.Errorf("%s: the file was written all the same", what)
		}
	}
	keep("new file under a taken name", Stamp{})
	if err := os.WriteFile(path, []byte("schema = 1 # mine\n"), 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(path, 0o600); err != nil {
		t.Fatal(err)
	}
	keep("edited meanwhile", stamp)
	if _, err := SaveBrief(path, b, "", Overwrite()); err != nil {
		t.Errorf("told to overwrite: %v", err)
	}
	if st, _ := os.Stat(path); st.Mode().Perm() != 0o600 {
		t.Errorf("the file's mode became %v", st.Mode())
	}
	os.Remove(path)
	keep("removed meanwhile", stamp)
	only(t, dir)
	if _, err := SaveBrief(path, b, "", Overwrite()); err != nil {
		t.Errorf("overwriting nothing: %v", err)
	}
	only(t, dir, "b.toml")
}

// A document that cannot be read again leaves the old one as it was.
func TestSaveBad(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "b.toml")
	b := sample(t)
	stamp, err := SaveBrief(path, b, "", Stamp{})
	if err != nil {
		t.Fatal(err)
	}
	b.Wanted.MeterIlluminance = -1
	if _, err := SaveBrief(path, b, "", stamp); err == nil || !strings.HasPrefix(err.Error(), path) {
		t.Errorf("saving nonsense gives %v", err)
	}
	if _, now, err := OpenBrief(path); now != stamp || err != nil {
		t.Errorf("the file changed (%v)", err)
	}
	only(t, dir, "b.toml")
}

func TestSaveThroughLink(t *testing.T) {
	dir := t.TempDir()
	path, link := filepath.Join(dir, "b.toml"), filepath.Join(dir, "link.toml")
	b := sample(t)
	stamp, err := SaveBrief(path, b, "", Stamp{})
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink(path, link); err != nil {
		t.Skip(err)
	}
	b.Name = "through"
	if _, err := SaveBrief(link, b, "", stamp); err != nil {
		t.Fatal(err)
	}
	if got, _, err := OpenBrief(path); err != nil || got.Name != "through" {
		t.Errorf("the target reads %q (%v)", got.Name, err)
	}
	if st, _ := os.Lstat(link); st.Mode()&fs.ModeSymlink == 0 {
		t.Error("the link was replaced")
	}
}

func TestNotFound(t *testing.T) {
	dir := t.TempDir()
	if _, err := SaveBrief(filepath.Join(dir, "oulu-bench.brief.toml"), sample(t), "", Stamp{}); err != nil {
		t.Fatal(err)
	}
	for path, want := range map[string]string{
		filepath.Join(dir, "oulu-bensh.brief.toml"): "there is no such file; the folder holds " + filepath.Join(dir, "oulu-bench.brief.toml"),
		filepath.Join(dir, "away", "x.toml"):        "there is no folder " + filepath.Join(dir, "away"),
		dir:                                         "is a folder; name a document in it, such as oulu-bench.brief.toml",
	} {
		_, _, err := OpenBrief(path)
		if err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s gives %v, want in it %q", path, err, want)
		}
		if path != dir && !errors.Is(err, fs.ErrNotExist) {
			t.Errorf("%s: %v is not fs.ErrNotExist", path, err)
		}
	}
	if _, err := SaveBrief(filepath.Join(dir, "away", "x.toml"), sample(t), "", Stamp{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("saving into no folder gives %v", err)
	}
	if _, err := SaveBrief(dir, sample(t), "", Overwrite()); err == nil || !strings.Contains(err.Error(), "not a plain file") {
		t.Errorf("saving over a folder gives %v", err)
	}
	big := filepath.Join(dir, "big.toml")
	if err := os.WriteFile(big, make([]byte, MaxSize+1), 0o600); err != nil {
		t.Fatal(err)
	}
	if _, err := OpenKind(big); !errors.Is(err, ErrTooLarge) {
		t.Errorf("a large file gives %v", err)
	}
}
