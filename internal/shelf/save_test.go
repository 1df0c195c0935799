package shelf

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"

	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/file"
)

// Each save keeps what was there, byte for byte, under the next number.
func TestRevisions(t *testing.T) {
	s := folder(t)
	l := catalogue.FirstLamp()
	l.Revision = 0
	var texts []string // by revision, from 1
	since := ""
	for i := 1; i <= 4; i++ {
		l.Rows = i
		got, err := s.SaveLamp("mine", l, since, false)
		if err != nil || got.Revision != i {
			t.Fatalf("save %d: revision %d, %v", i, got.Revision, err)
		}
		o, err := s.Lamp("mine")
		if err != nil || o.Doc.Rows != i || o.Doc.Revision != i {
			t.Fatalf("after save %d: %+v, %v", i, o, err)
		}
		since = o.Token
		texts = append(texts, bytesOf(t, s, "mine.lamp.toml"))
	}
	rs := s.Revisions("mine")
	if len(rs) != 3 {
		t.Fatalf("revisions %+v", rs)
	}
	for i, r := range rs { // newest first
		if r.Number != 3-i || r.Saved.IsZero() {
			t.Errorf("revision %+v at place %d", r, i)
		}
		if got := bytesOf(t, s, fmt.Sprintf("revisions/mine.r%d.lamp.toml", r.Number)); got != texts[r.Number-1] {
			t.Errorf("revision %d is not what was saved", r.Number)
		}
		if old, err := s.LampRevision("mine", r.Number); err != nil || old.Rows != r.Number {
			t.Errorf("revision %d: %+v, %v", r.Number, old, err)
		}
	}
	if _, err := s.LampRevision("mine", 9); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a revision there is none of: %v", err)
	}
	if _, err := s.LampRevision("../mine", 1); !errors.As(err, new(*BadName)) {
		t.Errorf("a path: %v", err)
	}
	if rs := s.Revisions("min"); len(rs) != 0 {
		t.Errorf("another lamp has %+v", rs)
	}
}

// What stands beside the revisions and is none is passed over.
func TestStrangeRevisions(t *testing.T) {
	s := folder(t)
	if err := os.Mkdir(filepath.Join(s.Dir(), "revisions"), 0o755); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"a.r2.lamp.toml", "a.r10.lamp.toml", "a.r1.r1.lamp.toml", "a.rx.lamp.toml", "a.r0.lamp.toml", "a.r-3.lamp.toml", "a.r4.brief.toml", "b.r5.lamp.toml", "a.r99999999999999999999.lamp.toml"} {
		put(t, s, "revisions/"+name, "x")
	}
	var got []int
	for _, r := range s.Revisions("a") {
		got = append(got, r.Number)
	}
	if !slices.Equal(got, []int{10, 2}) {
		t.Errorf("revisions %v", got)
	}
}

// The old document stays as it was to the last byte, and its comment at the
// top goes along to the new one.
func TestHeadIsKept(t *testing.T) {
	s := folder(t)
	body := string(catalogue.Text(catalogue.FirstName))
	for strings.HasPrefix(body, "#") {
		_, body, _ = strings.Cut(body, "\n")
	}
	const head = "# Bench by the window.\n#\n#   glaze shelf: 3 tiles\n# ± 2 mm\n"
	for name, text := range map[string]string{
		"plain":   head + body + "\n# a thought at the end\n",
		"mark":    "\xef\xbb\xbf" + head + body,
		"windows": strings.ReplaceAll(head+body, "\n", "\r\n"),
	} {
		put(t, s, name+lampEnd, text)
		o, err := s.Lamp(name)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		o.Doc.Note = "changed on the page"
		if _, err := s.SaveLamp(name, o.Doc, o.Token, false); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if got := bytesOf(t, s, name+lampEnd); !strings.HasPrefix(got, head) || !strings.Contains(got, "changed on the page") {
			t.Errorf("%s: the new file begins\n%.200s", name, got)
		}
		rs := s.Revisions(name)
		if len(rs) != 1 {
			t.Fatalf("%s: revisions %+v", name, rs)
		}
		if got := bytesOf(t, s, fmt.Sprintf("revisions/%s.r%d.lamp.toml", name, rs[0].Number)); got != text {
			t.Errorf("%s: the revision differs from the file that was there", name)
		}
	}
	b, err := s.Brief("oulu-bench")
	if err != nil {
		t.Fatal(err)
	}
	put(t, s, "wish.brief.toml", head+string(catalogue.Text(catalogue.BenchName)))
	w, err := s.Brief("wish")
	if err != nil {
		t.Fatal(err)
	}
	if err := s.SaveBrief("wish", b.Doc, w.Token, false); err != nil {
		t.Fatal(err)
	}
	if got := bytesOf(t, s, "wish.brief.toml"); !strings.HasPrefix(got, head) {
		t.Errorf("the brief begins\n%.200s", got)
	}
	if got := bytesOf(t, s, "revisions/wish.r1.brief.toml"); got != head+string(catalogue.Text(catalogue.BenchName)) {
		t.Error("the brief's revision differs from the file that was there")
	}
}

func TestConflicts(t *testing.T) {
	l := catalogue.FirstLamp()
	text := string(catalogue.Text(catalogue.FirstName))
	for _, c := range []struct {
		name    string
		meddle  func(t *testing.T, s *Shelf)
		fresh   bool // saved as new
		want    Conflict
		message string
	}{
		{"changed", func(t *testing.T, s *Shelf) { put(t, s, "mine.lamp.toml", text+"\n# by hand\n") }, false, Conflict{Name: "mine"}, "changed by someone else"},
		{"broken", func(t *testing.T, s *Shelf) { put(t, s, "mine.lamp.toml", "rows = ") }, false, Conflict{Name: "mine"}, "changed by someone else"},
		{"removed", func(t *testing.T, s *Shelf) { os.Remove(filepath.Join(s.Dir(), "mine.lamp.toml")) }, false, Conflict{Name: "mine", Removed: true}, "removed"},
		{"exists", func(*testing.T, *Shelf) {}, true, Conflict{Name: "mine", Exists: true}, "already"},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := folder(t)
			put(t, s, "mine.lamp.toml", text)
			o, err := s.Lamp("mine")
			if err != nil {
				t.Fatal(err)
			}
			c.meddle(t, s)
			since := o.Token
			if c.fresh {
				since = ""
			}
			before, _ := os.ReadFile(filepath.Join(s.Dir(), "mine.lamp.toml"))
			_, err = s.SaveLamp("mine", l, since, false)
			var got *Conflict
			if !errors.As(err, &got) || *got != c.want || !strings.Contains(err.Error(), c.message) {
				t.Fatalf("%v, want %+v", err, c.want)
			}
			if after, _ := os.ReadFile(filepath.Join(s.Dir(), "mine.lamp.toml")); string(after) != string(before) {
				t.Error("the file was written all the same")
			}
			if rs := s.Revisions("mine"); len(rs) != 0 {
				t.Errorf("revisions %+v", rs)
			}
			// Asked for anyway: it is saved, and what was there is kept.
			if _, err := s.SaveLamp("mine", l, since, true); err != nil {
				t.Fatalf("anyway: %v", err)
			}
			if o, err := s.Lamp("mine"); err != nil || o.Doc.Rows != l.Rows {
				t.Errorf("anyway: %+v, %v", o, err)
			}
			rs := s.Revisions("mine")
			if c.want.Removed {
				if len(rs) != 0 {
					t.Errorf("there was nothing to keep: %+v", rs)
				}
				return
			}
			if len(rs) != 1 {
				t.Fatalf("revisions %+v", rs)
			}
			if kept := bytesOf(t, s, fmt.Sprintf("revisions/mine.r%d.lamp.toml", rs[0].Number)); kept != string(before) {
				t.Error("what was there is not what was kept")
			}
		})
	}
}

// A refused save leaves nothing behind, whatever the reason.
func TestRefused(t *testing.T) {
	s := folder(t)
	l := catalogue.FirstLamp()
	if _, err := s.SaveLamp("../mine", l, "", true); !errors.As(err, new(*BadName)) {
		t.Errorf("a path: %v", err)
	}
	if err := s.SaveBrief("", catalogue.BenchBrief(), "", true); !errors.As(err, new(*BadName)) {
		t.Errorf("no name: %v", err)
	}
	l.LeadLength = math.NaN()
	if _, err := s.SaveLamp("mine", l, "", false); err == nil {
		t.Error("a lamp that could not be read again was written")
	}
	if got := everything(t, s); len(got) != 0 {
		t.Errorf("files %v", got)
	}
}

// A save that fails again and again keeps what is there once.
func TestRefusedAgain(t *testing.T) {
	s := folder(t)
	text := string(catalogue.Text(catalogue.FirstName))
	put(t, s, "mine.lamp.toml", text)
	o, err := s.Lamp("mine")
	if err != nil {
		t.Fatal(err)
	}
	o.Doc.LeadLength = math.NaN()
	for range 3 {
		if _, err := s.SaveLamp("mine", o.Doc, o.Token, false); err == nil {
			t.Fatal("a lamp that could not be read again was written")
		}
	}
	if rs := s.Revisions("mine"); len(rs) > 1 || bytesOf(t, s, "mine.lamp.toml") != text {
		t.Errorf("revisions %+v", rs)
	}
}

// Without a place for revisions nothing is overwritten.
func TestNoPlaceForRevisions(t *testing.T) {
	s := folder(t)
	text := string(catalogue.Text(catalogue.FirstName))
	put(t, s, "mine.lamp.toml", text)
	put(t, s, "revisions", "a file where the folder should be")
	o, err := s.Lamp("mine")
	if err != nil {
		t.Fatal(err)
	}
	o.Doc.Rows = 2
	for _, anyway := range []bool{false, true} {
		if _, err := s.SaveLamp("mine", o.Doc, o.Token, anyway); err == nil || !strings.Contains(err.Error(), "nothing was written") {
			t.Errorf("anyway %v: %v", anyway, err)
		}
	}
	if bytesOf(t, s, "mine.lamp.toml") != text {
		t.Error("the file was written all the same")
	}
}

// In a folder that cannot be written the old content stays and the error says
// why.
func TestReadOnlyFolder(t *testing.T) {
	s := folder(t)
	text := string(catalogue.Text(catalogue.FirstName))
	put(t, s, "mine.lamp.toml", text)
	o, err := s.Lamp("mine")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(s.Dir(), 0o555); err != nil {
		t.Fatal(err)
	}
	t.Cleanup(func() { os.Chmod(s.Dir(), 0o755) })
	if f, err := os.Create(filepath.Join(s.Dir(), "probe")); err == nil {
		f.Close()
		t.Skip("this user may write everywhere")
	}
	o.Doc.Rows = 2
	if _, err := s.SaveLamp("mine", o.Doc, o.Token, false); !errors.Is(err, fs.ErrPermission) || !strings.Contains(err.Error(), "nothing was written") {
		t.Errorf("over: %v", err)
	}
	if _, err := s.SaveLamp("other", o.Doc, "", false); !errors.Is(err, fs.ErrPermission) {
		t.Errorf("new: %v", err)
	}
	if _, _, err := s.Put("third.lamp.toml", []byte(text)); !errors.Is(err, fs.ErrPermission) {
		t.Errorf("put: %v", err)
	}
	if bytesOf(t, s, "mine.lamp.toml") != text || len(everything(t, s)) != 1 {
		t.Errorf("files %v", everything(t, s))
	}
}

// Of two who save from the same state one wins, the other is told; what was
// there before is kept once and no state is lost.
func TestTwoSavers(t *testing.T) {
	for round := range 40 {
		s := folder(t)
		text := string(catalogue.Text(catalogue.FirstName)) + fmt.Sprintf("\n# round %d\n", round)
		put(t, s, "mine.lamp.toml", text)
		o, err := s.Lamp("mine")
		if err != nil {
			t.Fatal(err)
		}
		const savers = 4
		errs := make([]error, savers)
		start := make(chan struct{})
		var all sync.WaitGroup
		for i := range savers {
			all.Go(func() {
				l := o.Doc
				l.Rows = i + 1
				<-start
				_, errs[i] = s.SaveLamp("mine", l, o.Token, false)
			})
		}
		close(start)
		all.Wait()
		won := 0
		for i, err := range errs {
			switch {
			case err == nil:
				won = won*10 + i + 1
			case !errors.As(err, new(*Conflict)):
				t.Fatalf("round %d: %v", round, err)
			}
		}
		now, err := s.Lamp("mine")
		if err != nil || won < 1 || won > savers || now.Doc.Rows != won {
			t.Fatalf("round %d: %d won, the file has %d rows, %v; %v", round, won, now.Doc.Rows, err, errs)
		}
		rs := s.Revisions("mine")
		if len(rs) != 1 || bytesOf(t, s, fmt.Sprintf("revisions/mine.r%d.lamp.toml", rs[0].Number)) != text {
			t.Fatalf("round %d: revisions %+v", round, rs)
		}
	}
}

// Of several who make a new document of one name one wins.
func TestTwoNew(t *testing.T) {
	s := folder(t)
	l := catalogue.FirstLamp()
	var all sync.WaitGroup
	var mu sync.Mutex
	won := 0
	for range 8 {
		all.Go(func() {
			if _, err := s.SaveLamp("mine", l, "", false); err == nil {
				mu.Lock()
				won++
				mu.Unlock()
			} else if c := (*Conflict)(nil); !errors.As(err, &c) || !c.Exists {
				t.Errorf("%v", err)
			}
		})
	}
	all.Wait()
	if won != 1 || len(s.Revisions("mine")) != 0 {
		t.Errorf("%d won, revisions %+v", won, s.Revisions("mine"))
	}
}

// All who save anyway are served, and each state is kept.
func TestSaversAnyway(t *testing.T) {
	s := folder(t)
	put(t, s, "mine.lamp.toml", string(catalogue.Text(catalogue.FirstName)))
	const savers = 6
	var all sync.WaitGroup
	for i := range savers {
		all.Go(func() {
			l := catalogue.FirstLamp()
			l.Note = fmt.Sprintf("saver %d", i)
			if _, err := s.SaveLamp("mine", l, "", true); err != nil {
				t.Errorf("%v", err)
			}
		})
	}
	all.Wait()
	last, err := s.Lamp("mine")
	if err != nil {
		t.Fatal(err)
	}
	notes := []string{last.Doc.Note}
	for _, r := range s.Revisions("mine") {
		l, err := s.LampRevision("mine", r.Number)
		if err != nil {
			t.Fatal(err)
		}
		notes = append(notes, l.Note)
	}
	for i := range savers {
		if !slices.Contains(notes, fmt.Sprintf("saver %d", i)) {
			t.Errorf("what saver %d wrote is lost: %q", i, notes)
		}
	}
}

func TestPut(t *testing.T) {
	s := folder(t)
	lamp, brief := string(catalogue.Text(catalogue.FirstName)), string(catalogue.Text(catalogue.BenchName))
	for _, c := range []struct {
		given, data string
		kind        file.Kind
		name, file  string
	}{
		{"mine.lamp.toml", lamp, file.LampKind, "mine", "mine.lamp.toml"},
		{"mine.lamp.toml", lamp + "\n", file.LampKind, "mine-2", "mine-2.lamp.toml"},
		{"mine.toml", lamp, file.LampKind, "mine-3", "mine-3.lamp.toml"},
		{"mine", brief, file.BriefKind, "mine", "mine.brief.toml"}, // by what it is, not by its name
		{"/home/potter/shelf lamp.lamp.toml", lamp, file.LampKind, "shelf lamp", "shelf lamp.lamp.toml"},
		{"../../etc/..", lamp, file.LampKind, "lamp", "lamp.lamp.toml"},
		{"a:b.toml", brief, file.BriefKind, "brief", "brief.brief.toml"},
		{"", lamp, file.LampKind, "lamp-2", "lamp-2.lamp.toml"},
	} {
		kind, name, err := s.Put(c.given, []byte(c.data))
		if err != nil || kind != c.kind || name != c.name {
			t.Errorf("%q: %s %q %v, want %s %q", c.given, kind, name, err, c.kind, c.name)
			continue
		}
		if bytesOf(t, s, c.file) != c.data {
			t.Errorf("%q is not on the shelf as it was brought", c.given)
		}
	}
	before := everything(t, s)
	for given, c := range map[string]struct{ data, want string }{
		"parts.toml":     {string(catalogue.Text(catalogue.StarterName)), "--parts"},
		"empty.toml":     {"", ""},
		"picture.png":    {"\x89PNG\r\n\x1a\n\x00\x00", ""},
		"bad.lamp.toml":  {strings.Replace(lamp, "\nrows", "\nrwos", 1), "rwos"},
		"bad.brief.toml": {brief + "\nsurprise = 1\n", "surprise"},
	} {
		if _, _, err := s.Put(given, []byte(c.data)); err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("%s: %v, want one that says %q", given, err, c.want)
		}
	}
	if after := everything(t, s); !slices.Equal(before, after) {
		t.Errorf("refused, and yet the folder has %v, not %v", after, before)
	}
}
