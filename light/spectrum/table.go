package spectrum

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strconv"
	"strings"
	"sync"
)

//go:embed data
var files embed.FS

// Table is a published table as printed: equally spaced wavelengths and one
// column per named curve.
type Table struct {
	Start, Step float64     // nm
	Names       []string    // of the columns
	Columns     [][]float64 // Columns[c][i] belongs to Start + i·Step
}

// Column gives the curve with that name and whether there is one.
func (t *Table) Column(name string) ([]float64, bool) {
	for i, n := range t.Names {
		if n == name {
			return t.Columns[i], true
		}
	}
	return nil, false
}

// grid interpolates a curve of the table linearly onto the internal grid,
// 0 where the table says nothing. CIE 13.3 and CIE 015 ask for linear
// interpolation of test samples and daylight components.
func (t *Table) grid(column int) Spectrum {
	values := t.Columns[column]
	return Func(func(nm float64) float64 { return interpolate(t.Start, t.Step, values, nm) })
}

// interpolate reads a curve sampled from start in equal steps (nm) at nm,
// linear between samples, 0 outside.
func interpolate(start, step float64, values []float64, nm float64) float64 {
	x := (nm - start) / step
	last := len(values) - 1
	if x < 0 || x > float64(last) {
		return 0
	}
	i := min(int(x), last-1)
	f := x - float64(i)
	if f == 0 {
		return values[i]
	}
	return values[i] + f*(values[i+1]-values[i])
}

// load parses one embedded table. The tables are part of the program and
// checked by a test, so a fault in one is a programmer's mistake.
func load(name string) *Table {
	text, err := files.ReadFile("data/" + name)
	if err != nil {
		panic(fmt.Sprintf("embedded table %s: %v", name, err))
	}
	t, err := parse(string(text))
	if err != nil {
		panic(fmt.Sprintf("embedded table %s: %v", name, err))
	}
	return t
}

// parse reads a table in our CSV form: a header "nm,name,…" and rows of
// equally spaced, rising wavelengths.
func parse(text string) (*Table, error) {
	rows, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	if err != nil {
		return nil, err
	}
	if len(rows) < 3 || len(rows[0]) < 2 || rows[0][0] != "nm" {
		return nil, fmt.Errorf("want a header that begins with nm, and two rows or more")
	}
	t := &Table{Names: rows[0][1:], Columns: make([][]float64, len(rows[0])-1)}
	for c := range t.Columns {
		t.Columns[c] = make([]float64, len(rows)-1)
	}
	var nm float64
	for i, row := range rows[1:] {
		at, err := strconv.ParseFloat(row[0], 64)
		if err != nil {
			return nil, fmt.Errorf("row %d: wavelength: %w", i+2, err)
		}
		switch i {
		case 0:
			t.Start = at
		case 1:
			t.Step = at - t.Start
		}
		if i > 0 && (t.Step <= 0 || at-nm != t.Step) {
			return nil, fmt.Errorf("row %d: wavelengths are not equally spaced", i+2)
		}
		nm = at
		for c, cell := range row[1:] {
			if t.Columns[c][i], err = strconv.ParseFloat(cell, 64); err != nil {
				return nil, fmt.Errorf("row %d, %s: %w", i+2, t.Names[c], err)
			}
		}
	}
	return t, nil
}

var (
	wideTable      = sync.OnceValue(func() *Table { return load("cie/illuminants_300_780_5nm.csv") })
	narrowTable    = sync.OnceValue(func() *Table { return load("cie/illuminants_380_780_5nm.csv") })
	ledTable       = sync.OnceValue(func() *Table { return load("cie/led_1nm.csv") })
	fineTable      = sync.OnceValue(func() *Table { return load("cie/a_d65_1nm.csv") })
	matching2      = sync.OnceValue(func() *Table { return load("cie/cmf_1931_2deg.csv") })
	matching10     = sync.OnceValue(func() *Table { return load("cie/cmf_1964_10deg.csv") })
	daylightTable  = sync.OnceValue(func() *Table { return load("cie/daylight_components.csv") })
	samplesTable   = sync.OnceValue(func() *Table { return load("cie/tcs_1995_5nm.csv") })
	skinTable      = sync.OnceValue(func() *Table { return load("rendition/tcs15_jis_5nm.csv") })
	evaluation     = sync.OnceValue(func() *Table { return load("rendition/ces_1nm.csv") })
	alphaTable     = sync.OnceValue(func() *Table { return load("cie/alpha_opic_1nm.csv") })
	circadianTable = sync.OnceValue(func() *Table { return load("circadian/cla2_1nm.csv") })
	scotopicTable  = sync.OnceValue(func() *Table { return load("cie/scotopic_1951.csv") })
)

// common is what nearly every measure needs, on the grid.
type common struct {
	cmf2, cmf10, daylight [3]Spectrum
	photopic              Spectrum
}

var grids = sync.OnceValue(func() *common {
	c := new(common)
	for k := range 3 {
		c.cmf2[k] = matching2().grid(k)
		c.cmf10[k] = matching10().grid(k)
		c.daylight[k] = daylightTable().grid(k)
	}
	c.photopic = c.cmf2[1]
	return c
})

// Photopic is V(λ), the luminous efficiency of day vision: y of the 1931 2°
// observer (ISO 23539:2023; not the 10° nor the CIE 2015 curve).
func Photopic() Spectrum { return grids().photopic }

// Scotopic is V'(λ), the luminous efficiency of night vision (CIE 1951,
// ISO 23539:2023).
func Scotopic() Spectrum { return scotopicTable().grid(0) }

// Matching2 gives the CIE 1931 2° colour-matching functions x, y, z on the
// grid (ISO/CIE 11664-1:2019).
func Matching2() [3]Spectrum { return grids().cmf2 }

// Matching10 gives the CIE 1964 10° colour-matching functions on the grid
// (ISO/CIE 11664-1:2019).
func Matching10() [3]Spectrum { return grids().cmf10 }

// Matching2Table is the 1931 2° table as published, 360–830 nm at 1 nm; its
// columns are x, y, z.
func Matching2Table() Table { return matching2().copy() }

// Matching10Table is the 1964 10° table as published, 360–830 nm at 1 nm.
func Matching10Table() Table { return matching10().copy() }

// DaylightComponents gives S0, S1, S2 on the grid (CIE 015:2018 table 6),
// interpolated linearly from 5 nm as the CIE does.
func DaylightComponents() [3]Spectrum { return grids().daylight }

// TestSamples gives the reflectance of the fourteen test colour samples of
// CIE 13.3-1995 and, as the fifteenth, the skin of JIS Z 8726, interpolated
// linearly from 5 nm.
func TestSamples() [15]Spectrum {
	var r [15]Spectrum
	for k := range 14 {
		r[k] = samplesTable().grid(k)
	}
	r[14] = skinTable().grid(0)
	return r
}

// EvaluationSamples gives the reflectance of the 99 colour evaluation samples
// of ANSI/IES TM-30-18 and -20, which are also those of CIE 224:2017.
func EvaluationSamples() [99]Spectrum {
	var r [99]Spectrum
	for k := range r {
		r[k] = evaluation().grid(k)
	}
	return r
}

// AlphaOpic gives the action spectra of CIE S 026/E:2018 in the order S cone,
// M cone, L cone, rod, melanopsin; peak near 1.
func AlphaOpic() [5]Spectrum {
	var r [5]Spectrum
	for k := range r {
		r[k] = alphaTable().grid(k)
	}
	return r
}

// CircadianLight gives the spectral functions of CLA 2.0 by the names in the
// header of the table: V, V', V/mp, S/mp, Mc, S, y; 0 beyond 730 nm. Source:
// Rea, Nagare, Figueiro 2021, DOI 10.3389/fnins.2021.615322.
func CircadianLight() map[string]Spectrum {
	t := circadianTable()
	r := make(map[string]Spectrum, len(t.Names))
	for i, name := range t.Names {
		r[name] = t.grid(i)
	}
	return r
}

func (t *Table) copy() Table {
	c := Table{Start: t.Start, Step: t.Step, Names: append([]string(nil), t.Names...)}
	for _, v := range t.Columns {
		c.Columns = append(c.Columns, append([]float64(nil), v...))
	}
	return c
}
