package dawnsmith

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// The table of builders' problems speaks of findings, numbers and packages that
// exist: every key stands in the code that raises it and in a test, every
// package has tests, and all forty-two rows are there.
func TestProblemsTable(t *testing.T) {
	doc, err := os.ReadFile("docs/problems.md")
	if err != nil {
		t.Fatal(err)
	}
	var code, tests strings.Builder
	err = filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, ".txtar") {
			return err
		}
		b, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if strings.HasSuffix(path, "_test.go") || strings.HasSuffix(path, ".txtar") {
			tests.Write(b)
		} else {
			code.Write(b)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	row := regexp.MustCompile(`^\| (\d+) \| .* \| (predicted|prevented|diagnosed|not yet) \| (.*) \| (.*) \|$`)
	mark := regexp.MustCompile("`([^`]+)`")
	findingKey := regexp.MustCompile(`^[a-z]+\.[a-z_0-9]+$`)
	rows := 0
	for _, line := range strings.Split(string(doc), "\n") {
		m := row.FindStringSubmatch(line)
		if m == nil {
			continue
		}
		rows++
		for _, k := range mark.FindAllStringSubmatch(m[3], -1) {
			key := k[1]
			if pkg, name, ok := strings.Cut(key, "."); ok && strings.ToUpper(name[:1]) == name[:1] {
				if !strings.Contains(code.String(), "func "+name+"(") {
					t.Errorf("row %s: package %s has no %s", m[1], pkg, name)
				}
				continue
			}
			if !strings.Contains(code.String(), `"`+key+`"`) {
				t.Errorf("row %s: %q stands nowhere in the code", m[1], key)
			}
			if findingKey.MatchString(key) && !strings.Contains(tests.String(), key) {
				t.Errorf("row %s: no test speaks of %q", m[1], key)
			}
		}
		for _, dir := range strings.Split(m[4], ", ") {
			if found, _ := filepath.Glob(filepath.Join(strings.TrimSpace(dir), "*_test.go")); len(found) == 0 {
				t.Errorf("row %s: %q has no tests", m[1], dir)
			}
		}
	}
	if rows != 42 {
		t.Errorf("%d rows, want 42", rows)
	}
}
