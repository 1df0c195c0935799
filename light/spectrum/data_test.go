package spectrum

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"math"
	"strings"
	"testing"
)

// TestTablesUnchanged compares every embedded table with the list that
// tools/tables wrote from the pinned packages.
func TestTablesUnchanged(t *testing.T) {
	list, err := files.ReadFile("data/SHA256SUMS")
	if err != nil {
		t.Fatal(err)
	}
	want := map[string]string{}
	for sc := bufio.NewScanner(strings.NewReader(string(list))); sc.Scan(); {
		sum, name, ok := strings.Cut(sc.Text(), "  ")
		if !ok {
			t.Fatalf("line %q", sc.Text())
		}
		want["data/"+name] = sum
	}
	seen := 0
	err = fs.WalkDir(files, "data", func(path string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(path, ".csv") {
			return err
		}
		seen++
		b, err := files.ReadFile(path)
		if err != nil {
			return err
		}
		sum := sha256.Sum256(b)
		if got := hex.EncodeToString(sum[:]); got != want[path] {
			t.Errorf("%s: %s, listed as %q", path, got, want[path])
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if seen != len(want) || seen != 13 {
		t.Errorf("%d tables, %d listed, want 13", seen, len(want))
	}
}

// TestEveryFolderHasNotice: source and licence travel with the numbers.
func TestEveryFolderHasNotice(t *testing.T) {
	for _, dir := range []string{"cie", "rendition", "circadian"} {
		b, err := files.ReadFile("data/" + dir + "/NOTICE.md")
		if err != nil {
			t.Fatal(err)
		}
		for _, want := range []string{"Values unchanged", "CC BY"} {
			if !strings.Contains(string(b), want) {
				t.Errorf("%s: no %q", dir, want)
			}
		}
		entries, err := fs.ReadDir(files, "data/"+dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if strings.HasSuffix(e.Name(), ".csv") && !strings.Contains(string(b), e.Name()) {
				t.Errorf("%s: %s is not mentioned", dir, e.Name())
			}
		}
	}
}

// Sums over 360–830 nm of the colour-matching functions: ISO/CIE 11664-1
// prints 106.865469, 106.856917, 106.892251 for 2° and, for 10°, 116.648519
// and 116.661877 (its sum of z is not at hand).
func TestMatchingFunctionSums(t *testing.T) {
	for _, c := range []struct {
		table Table
		want  [3]float64
	}{
		{Matching2Table(), [3]float64{106.865469, 106.856917, 106.892251}},
		{Matching10Table(), [3]float64{116.648519, 116.661877, 0}},
	} {
		for k, want := range c.want {
			if want == 0 {
				continue
			}
			var sum float64
			for _, v := range c.table.Columns[k] {
				sum += v
			}
			if math.Abs(sum-want) > 2e-6 {
				t.Errorf("column %s sums to %.6f, printed %.6f", c.table.Names[k], sum, want)
			}
		}
	}
}

func TestWeightsPeakWherePublished(t *testing.T) {
	circadian := CircadianLight()
	alpha := AlphaOpic()
	for _, c := range []struct {
		name  string
		curve Spectrum
		nm    float64
	}{
		{"V", Photopic(), 555},
		{"V'", Scotopic(), 507},
		// Peaks of the α-opic action spectra, CIE S 026/E:2018 table 2, and of
		// the CLA 2.0 functions, Rea et al. 2021.
		{"sc", alpha[0], 447}, {"mc", alpha[1], 541}, {"lc", alpha[2], 570}, {"rh", alpha[3], 507}, {"mel", alpha[4], 490},
		{"V/mp", circadian["V/mp"], 554}, {"S/mp", circadian["S/mp"], 450}, {"Mc", circadian["Mc"], 483}, {"S", circadian["S"], 440},
	} {
		nm, v := c.curve.Peak()
		if math.Abs(nm-c.nm) > 1 || math.Abs(v-1) > 0.002 {
			t.Errorf("%s peaks at %g nm with %g, want 1 at %g nm", c.name, nm, v, c.nm)
		}
	}
}

func TestParseRefuses(t *testing.T) {
	for _, text := range []string{"", "nm,a\n1,2\n", "x,a\n1,2\n2,3\n", "nm,a\n1,2\n2,3\n4,5\n", "nm,a\n1,2\n2,b\n", "nm,a\n2,1\n1,1\n", "nm,a\nq,1\n2,1\n"} {
		if _, err := parse(text); err == nil {
			t.Errorf("%q was read", text)
		}
	}
}

func FuzzParse(f *testing.F) {
	f.Add("nm,a,b\n380,1,2\n385,3,4\n")
	f.Add("nm,a\n1,2\n2,b\n")
	f.Fuzz(func(t *testing.T, text string) {
		table, err := parse(text)
		if err != nil {
			return
		}
		if len(table.Names) != len(table.Columns) || !(table.Step > 0) {
			t.Errorf("table %+v from %q", table, text)
		}
	})
}
