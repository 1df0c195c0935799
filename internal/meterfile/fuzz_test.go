package meterfile

import (
	"bytes"
	"math"
	"os"
	"path/filepath"
	"testing"

	"dawnsmith/light/spectrum"
)

// sound checks what no file may bring about.
func sound(t *testing.T, data []byte) {
	f, err := Read(bytes.NewReader(data))
	if err != nil {
		return
	}
	for _, r := range f.Spectra {
		if writable(r) != nil {
			t.Fatalf("a reading that cannot be written: %v", writable(r))
		}
		if s, err := r.Raw.Resample(spectrum.Automatic); err == nil && s.Spectrum.Check() != nil {
			t.Fatal("nonsense on the grid")
		}
	}
	fine := func(v []float64) {
		for _, x := range v {
			if math.IsNaN(x) || math.IsInf(x, 0) {
				t.Fatalf("%v in a result", x)
			}
		}
	}
	for _, l := range f.Logs {
		fine(l.Seconds)
		fine(l.Values)
		if len(l.Seconds) != len(l.Values) || l.Gaps != nil && len(l.Gaps) != len(l.Values) {
			t.Fatalf("%d times, %d values, %d gaps", len(l.Seconds), len(l.Values), len(l.Gaps))
		}
	}
	for _, w := range f.Waves {
		fine(w.Values)
		if !(w.Interval > 0) {
			t.Fatalf("a step of %v s", w.Interval)
		}
	}
}

func seed(f *testing.F, more ...string) {
	names, err := filepath.Glob("testdata/[0-9]*")
	if err != nil {
		f.Fatal(err)
	}
	for _, n := range names {
		data, err := os.ReadFile(n)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data)
	}
	for _, m := range more {
		f.Add([]byte(m))
	}
}

// Any bytes, by whichever reader they come to.
func FuzzRead(f *testing.F) {
	seed(f, "nm,A\n400,1\n", "time (s)\tlx\n0\t1\n1\t2\n", "\xff\xfe4\x000\x00")
	f.Fuzz(sound)
}

func FuzzText(f *testing.F) {
	seed(f, "nm;A;B\n400,5;1;2\n", "1/12/2026 5:19:21 PM,1\n1/12/2026 5:20:21 PM,2\n")
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, append([]byte("x\n"), data...)) })
}

func FuzzSPDX(f *testing.F) {
	seed(f)
	f.Fuzz(func(t *testing.T, data []byte) {
		sound(t, append([]byte("<IESTM2714><SpectralData wavelength=\"400\">1</SpectralData>"), data...))
	})
}

func FuzzCGATS(f *testing.F) {
	seed(f, "A 1 2\nEND_DATA", "\"A\" 1 NaN B 1 2 END_DATA KEYWORD \"X\" X 1")
	f.Fuzz(func(t *testing.T, data []byte) {
		sound(t, append([]byte("CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID SPEC_400 SPEC_500\nEND_DATA_FORMAT\nBEGIN_DATA\n"), data...))
	})
}

func FuzzWAV(f *testing.F) {
	f.Add(wavOf(1, 1, 16, 48000, make([]byte, 64)))
	f.Add(wavOf(3, 2, 32, 44100, make([]byte, 128)))
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, append([]byte("RIFF\x00\x00\x00\x00WAVE"), data...)) })
}

func FuzzSheet(f *testing.F) {
	f.Add([]byte("PK\x03\x04"))
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, append([]byte("PK\x03\x04"), data...)) })
}

func FuzzJSON(f *testing.F) {
	f.Add([]byte(`"spectra":[{"quantity":"relative","wavelength_nm":[400,500],"value":[1,null]}]}`))
	f.Fuzz(func(t *testing.T, data []byte) { sound(t, append([]byte(`{"format":"dawnsmith-spectra/1",`), data...)) })
}
