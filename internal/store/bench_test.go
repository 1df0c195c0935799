package store

import (
	"fmt"
	"path/filepath"
	"testing"

	"dawnsmith/bench/measure"
	"dawnsmith/lamp/predict"
	"dawnsmith/quantity"
)

// An hour's log, 3 600 spectra of 401 points, into the logbook and out.
func BenchmarkHourOfSpectra(b *testing.B) {
	n := spectraRun("r", "oulu", 3600)
	b.Run("keep", func(b *testing.B) {
		book := open(b, filepath.Join(b.TempDir(), "l"), options())
		putLamp(b, book, "oulu")
		n.Again = true
		for i := 0; b.Loop(); i++ {
			n.ID = fmt.Sprint("r-", i)
			must(b, book.AddRun(b.Context(), n))
		}
	})
	b.Run("read", func(b *testing.B) {
		book := open(b, filepath.Join(b.TempDir(), "l"), options())
		putLamp(b, book, "oulu")
		n.ID = "r"
		must(b, book.AddRun(b.Context(), n))
		for b.Loop() {
			_, err := book.Run(b.Context(), "r")
			must(b, err)
		}
	})
}

// 500 lamps with 100 000 readings: list, filter, sort.
func BenchmarkManyLamps(b *testing.B) {
	book := open(b, filepath.Join(b.TempDir(), "l"), options())
	ctx := b.Context()
	keys := []string{predict.MeterLux, predict.MainsPower, predict.CCT, predict.Ra, predict.DER, predict.FaceMean, predict.FluxOut, measure.MeterEDI, measure.WarmDrop, measure.SettleTime}
	for i := range 500 {
		slug := fmt.Sprintf("lamp-%03d", i)
		putLamp(b, book, slug)
		for j := range 20 {
			n := luxRun(fmt.Sprintf("%s-%d", slug, j), slug, float64(1000+i))
			must(b, book.AddRun(ctx, n))
			rec := measure.Record{Run: n.ID, Subject: n.Subject}
			for k, key := range keys {
				rec.Values = append(rec.Values, measure.Measured{Key: key, Value: quantity.Measured(float64(100*i+10*j+k), 1, "x")})
			}
			must(b, book.PutRecord(ctx, rec))
		}
	}
	low := 20000.0
	for name, f := range map[string]LampFilter{
		"plain":  {},
		"text":   {Text: "lamp-12"},
		"filter": {Limits: []Limit{{Key: predict.MeterLux, Min: &low}}, Keys: []string{predict.MeterLux, predict.CCT, predict.FaceMean, predict.MainsPower}, Sort: predict.FaceMean, Descending: true},
	} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				_, err := book.Lamps(ctx, f)
				must(b, err)
			}
		})
	}
	b.Run("runs of a lamp", func(b *testing.B) {
		for b.Loop() {
			_, err := book.Runs(ctx, RunFilter{Lamp: "lamp-250"})
			must(b, err)
		}
	})
	b.Run("all runs", func(b *testing.B) {
		for b.Loop() {
			_, err := book.Runs(ctx, RunFilter{})
			must(b, err)
		}
	})
}
