package meterfile

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
	"time"

	"dawnsmith/light/spectrum"
)

// WriteCSV writes spectra as columns beside their wavelengths, parted by commas,
// every digit kept; the header states the unit. Wavelengths that a spectrum
// lacks, and gaps, are empty.
func WriteCSV(w io.Writer, rs []Reading) error {
	if len(rs) == 0 {
		return errors.New("there is no spectrum to write")
	}
	var all []float64
	for _, r := range rs {
		if err := writable(r); err != nil {
			return err
		}
		all = append(all, r.Raw.Wavelengths...)
	}
	slices.Sort(all)
	all = slices.Compact(all)
	var b strings.Builder
	b.WriteString("wavelength (nm)")
	type columnAt struct {
		r  *Reading
		at map[float64]int
	}
	var cols []columnAt
	for i := range rs {
		r := &rs[i]
		c := columnAt{r, map[float64]int{}}
		for k, nm := range r.Raw.Wavelengths {
			if _, twice := c.at[nm]; twice {
				return fmt.Errorf("spectrum %q has two readings at %g nm; a column holds one", r.Name, nm)
			}
			c.at[nm] = k
		}
		cols = append(cols, c)
		unit := r.Raw.Quantity.Unit()
		switch {
		case r.Counts:
			unit = "counts"
		case r.Raw.Quantity.IsMaterial() || unit == "":
			unit = r.Raw.Quantity.String()
		case r.Raw.Quantity == spectrum.Exitance:
			unit = "exitance " + unit
		}
		b.WriteString("," + quoteCSV(fmt.Sprintf("%s (%s)", firstOf(r.Name, fmt.Sprintf("spectrum %d", i+1)), unit)))
	}
	b.WriteByte('\n')
	for _, nm := range all {
		b.WriteString(digits(nm))
		for _, c := range cols {
			b.WriteByte(',')
			if k, ok := c.at[nm]; ok && (c.r.Raw.Gaps == nil || !c.r.Raw.Gaps[k]) {
				b.WriteString(digits(c.r.Raw.Values[k]))
			}
		}
		b.WriteByte('\n')
	}
	_, err := io.WriteString(w, b.String())
	return err
}

func quoteCSV(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		return r
	}, s)
	if strings.ContainsAny(s, `",;`) {
		return `"` + strings.ReplaceAll(s, `"`, `""`) + `"`
	}
	return s
}

// jsonFormat marks our own JSON of spectra.
const jsonFormat = "dawnsmith-spectra/1"

type jsonFile struct {
	Format  string        `json:"format"`
	Spectra []jsonReading `json:"spectra"`
}

type jsonReading struct {
	Name        string            `json:"name,omitempty"`
	At          *time.Time        `json:"at,omitempty"`
	Quantity    spectrum.Quantity `json:"quantity"`
	Unit        string            `json:"unit,omitempty"` // SI, of the values
	Counts      bool              `json:"counts,omitempty"`
	Bandwidth   float64           `json:"bandwidth_nm,omitempty"`
	Wavelengths []float64         `json:"wavelength_nm"`
	Values      []*float64        `json:"value"` // null: a gap
}

// WriteJSON writes spectra with stable keys, every digit kept; a gap is null.
func WriteJSON(w io.Writer, rs []Reading) error {
	out := jsonFile{Format: jsonFormat, Spectra: []jsonReading{}}
	for _, r := range rs {
		if err := writable(r); err != nil {
			return err
		}
		j := jsonReading{Name: r.Name, Quantity: r.Raw.Quantity, Unit: r.Raw.Quantity.Unit(), Counts: r.Counts, Bandwidth: r.Raw.Bandwidth, Wavelengths: r.Raw.Wavelengths}
		if !r.At.IsZero() {
			j.At = &r.At
		}
		for i := range r.Raw.Values {
			if r.Raw.Gaps != nil && r.Raw.Gaps[i] {
				j.Values = append(j.Values, nil)
			} else {
				j.Values = append(j.Values, &r.Raw.Values[i])
			}
		}
		out.Spectra = append(out.Spectra, j)
	}
	e := json.NewEncoder(w)
	e.SetIndent("", " ")
	return e.Encode(out)
}

func isOurs(head string) bool {
	return strings.HasPrefix(head, "{") && strings.Contains(head, jsonFormat)
}

// readJSON reads what WriteJSON wrote.
func readJSON(text string) (*File, error) {
	var in jsonFile
	if err := json.Unmarshal([]byte(text), &in); err != nil {
		return nil, &Error{0, fmt.Errorf("the JSON cannot be read: %w", err)}
	}
	f := &File{Format: "JSON"}
	for i, j := range in.Spectra {
		if len(j.Wavelengths) != len(j.Values) || len(j.Values) < 2 {
			return nil, &Error{0, fmt.Errorf("spectrum %d has %d wavelengths and %d values; two or more of each are needed", i+1, len(j.Wavelengths), len(j.Values))}
		}
		r := Reading{Name: j.Name, Unit: j.Unit, Counts: j.Counts, Raw: spectrum.Raw{Wavelengths: j.Wavelengths, Quantity: j.Quantity, Bandwidth: j.Bandwidth}}
		if j.At != nil {
			r.At = *j.At
		}
		for k, v := range j.Values {
			if v == nil {
				if r.Raw.Gaps == nil {
					r.Raw.Gaps = make([]bool, len(j.Values))
				}
				r.Raw.Gaps[k] = true
				r.Raw.Values = append(r.Raw.Values, 0)
				continue
			}
			r.Raw.Values = append(r.Raw.Values, *v)
		}
		if err := writable(r); err != nil {
			return nil, &Error{0, err}
		}
		r.remark()
		f.Spectra = append(f.Spectra, r)
	}
	return f, nil
}
