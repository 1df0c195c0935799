package dawnsmith

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// wing gives a package's height in the building: imports go downwards only.
// Inside lamp/ the order is part, brief, lamp, the four physics packages, then
// what joins them.
func wing(pkg string) (height int, pure bool) {
	switch {
	case pkg == "quantity", pkg == "finding", pkg == "metric":
		return 0, true
	case strings.HasPrefix(pkg, "light/"):
		return 10, true
	case strings.HasPrefix(pkg, "day/"):
		return 20, true
	case pkg == "lamp/part":
		return 20, true
	case pkg == "lamp/brief":
		return 21, true
	case pkg == "lamp":
		return 22, true
	case slices.Contains([]string{"lamp/cut", "lamp/circuit", "lamp/heat", "lamp/optics"}, pkg):
		return 23, true
	case pkg == "lamp/predict", pkg == "lamp/wiring", pkg == "lamp/price":
		return 24, true
	case pkg == "lamp/unit":
		return 23, true
	case pkg == "lamp/stock", pkg == "lamp/search":
		return 25, true
	case strings.HasPrefix(pkg, "bench/"):
		return 30, true
	case strings.HasPrefix(pkg, "paper/"):
		return 40, true
	case strings.HasPrefix(pkg, "internal/"):
		return 50, false
	case strings.HasPrefix(pkg, "cmd/"), strings.HasPrefix(pkg, "tools/"):
		return 60, false
	}
	return -1, false
}

// The ground and the five wings compute; they touch no file, network,
// database or clock, and import nothing that stands above them. The four
// physics packages do not know each other.
func TestLayout(t *testing.T) {
	physics := []string{"lamp/cut", "lamp/circuit", "lamp/heat", "lamp/optics"}
	seen := 0
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (strings.HasPrefix(d.Name(), ".") && path != "." || d.Name() == "testdata") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go") {
			return nil
		}
		pkg := filepath.ToSlash(filepath.Dir(path))
		if pkg == "." {
			return nil
		}
		height, pure := wing(pkg)
		if height < 0 {
			t.Errorf("%s: package %q belongs to no wing", path, pkg)
			return nil
		}
		seen++
		f, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			return err
		}
		clock := ""
		for _, im := range f.Imports {
			name, _ := strconv.Unquote(im.Path.Value)
			if pure && slices.Contains([]string{"os", "net", "net/http", "database/sql", "math/rand"}, name) {
				t.Errorf("%s imports %s: domain packages touch no file, network, database or hidden randomness", path, name)
			}
			if name == "time" {
				clock = "time"
				if im.Name != nil {
					clock = im.Name.Name
				}
			}
			inner, ours := strings.CutPrefix(name, "dawnsmith/")
			if !ours {
				continue
			}
			if h, _ := wing(inner); h > height {
				t.Errorf("%s imports %s, which stands above it", path, inner)
			}
			if inner != pkg && slices.Contains(physics, pkg) && slices.Contains(physics, inner) {
				t.Errorf("%s imports %s: the physics packages do not know each other", path, inner)
			}
		}
		if pure && clock != "" && callsNow(f, clock) {
			t.Errorf("%s calls %s.Now: the clock is passed in", path, clock)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen < 20 {
		t.Fatalf("only %d files seen: the walk went wrong", seen)
	}
}

func callsNow(f *ast.File, clock string) bool {
	found := false
	ast.Inspect(f, func(n ast.Node) bool {
		if s, ok := n.(*ast.SelectorExpr); ok {
			if x, ok := s.X.(*ast.Ident); ok && x.Name == clock && s.Sel.Name == "Now" {
				found = true
			}
		}
		return true
	})
	return found
}
