package meterfile

import (
	"encoding/binary"
	"errors"
	"fmt"
	"math"

	"dawnsmith/finding"
)

// readWAV reads the samples of a sound file: PCM of 8, 16, 24 or 32 bits or
// IEEE floats of 32 or 64 bits, every channel a waveform.
//
// Source: Microsoft/IBM, Multimedia Programming Interface and Data
// Specifications 1.0 (1991), RIFF WAVE; extensible format of 2001.
func readWAV(data []byte) (*File, error) {
	bad := func(format string, args ...any) (*File, error) {
		return nil, &Error{0, fmt.Errorf(format, args...)}
	}
	var form, channels, bits uint16
	var rate uint32
	var samples []byte
	for at := 12; at+8 <= len(data); {
		id, size := string(data[at:at+4]), int(binary.LittleEndian.Uint32(data[at+4:]))
		body := data[at+8:]
		cut := size > len(body)
		if cut {
			size = len(body)
		}
		body = body[:size]
		switch id {
		case "fmt ":
			if size < 16 {
				return bad("the sound file's format is cut off")
			}
			form, channels, rate, bits = binary.LittleEndian.Uint16(body), binary.LittleEndian.Uint16(body[2:]), binary.LittleEndian.Uint32(body[4:]), binary.LittleEndian.Uint16(body[14:])
			if form == 0xfffe && size >= 26 {
				form = binary.LittleEndian.Uint16(body[24:])
			}
		case "data":
			samples = body
		}
		at += 8 + size + size&1
		if cut {
			break
		}
	}
	switch {
	case channels == 0 || rate == 0:
		return bad("the sound file states no format")
	case channels > 16:
		return bad("the sound file has %d channels; up to 16 are read", channels)
	case rate < 100 || rate > 10_000_000:
		return bad("the sound file has %d samples a second; allowed are 100 to 10 million", rate)
	case form == 1 && (bits == 8 || bits == 16 || bits == 24 || bits == 32), form == 3 && (bits == 32 || bits == 64):
	default:
		return bad("the sound file is of kind %d with %d bits; save it as plain (PCM) WAV of 16 or 24 bits", form, bits)
	}
	width := int(bits / 8)
	frame := width * int(channels)
	n := len(samples) / frame
	if n < 8 {
		return bad("the sound file holds %d samples; eight or more are needed", n)
	}
	f := &File{Format: "WAV"}
	clipped := false
	for c := range int(channels) {
		w := Wave{Name: fmt.Sprintf("channel %d", c+1), Unit: "of full scale", Interval: 1 / float64(rate), Values: make([]float64, n), Coupled: true}
		for i := range n {
			b := samples[i*frame+c*width:]
			v := 0.0
			switch {
			case form == 3 && bits == 32:
				v = float64(math.Float32frombits(binary.LittleEndian.Uint32(b)))
			case form == 3:
				v = math.Float64frombits(binary.LittleEndian.Uint64(b))
			case bits == 8:
				v = (float64(b[0]) - 128) / 128
			case bits == 16:
				v = float64(int16(binary.LittleEndian.Uint16(b))) / (1 << 15)
			case bits == 24:
				v = float64(int32(uint32(b[0])<<8|uint32(b[1])<<16|uint32(b[2])<<24)>>8) / (1 << 23)
			default:
				v = float64(int32(binary.LittleEndian.Uint32(b))) / (1 << 31)
			}
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return nil, &Error{0, errors.New("the sound file holds samples that are no numbers")}
			}
			clipped = clipped || math.Abs(v) > 0.999
			w.Values[i] = v
		}
		f.Waves = append(f.Waves, w)
	}
	f.Findings = append(f.Findings, note(finding.Warn, "coupled", "a sound card blocks what does not change: the mean of the light is not in the samples, and percent flicker cannot be told from them",
		"sound inputs are coupled by a capacitor", "give the mean in the same unit, or record with an oscilloscope; frequencies are right"))
	if clipped {
		f.Findings = append(f.Findings, note(finding.Warn, "clipped", "samples reach full scale: the waveform is probably cut off", "the input was too strong", "turn the level down and record again"))
	}
	return f, nil
}
