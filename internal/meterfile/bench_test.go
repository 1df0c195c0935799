package meterfile

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"
)

// An hour of spectra, one a second: 3600 rows of 401 readings.
func hourOfSpectra() string {
	var b strings.Builder
	b.WriteString("Time,Tag")
	for nm := 380; nm <= 780; nm++ {
		fmt.Fprintf(&b, ",%d", nm)
	}
	b.WriteString("\n")
	at := time.Date(2026, 1, 12, 7, 0, 0, 0, time.UTC)
	for s := range 3600 {
		fmt.Fprintf(&b, "%s,W/m2/nm", at.Add(time.Duration(s)*time.Second).Format("2006-01-02 15:04:05"))
		for nm := 380; nm <= 780; nm++ {
			fmt.Fprintf(&b, ",%.6f", 0.01*(1+math.Sin(float64(nm)/30))*(1-1e-5*float64(s)))
		}
		b.WriteByte('\n')
	}
	return b.String()
}

func BenchmarkHourOfSpectra(b *testing.B) {
	text := hourOfSpectra()
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		f, err := Read(strings.NewReader(text))
		if err != nil || len(f.Spectra) != 3600 {
			b.Fatal(err)
		}
	}
}
