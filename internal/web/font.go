package web

import (
	"encoding/binary"
	"errors"
	"sort"
)

// keep lists the letters that pages are set in: Latin as people's names need
// it, Greek, and the signs of units and drawings.
var keep = [][2]rune{{0x20, 0x7e}, {0xa0, 0x17f}, {0x2b0, 0x2df}, {0x300, 0x36f}, {0x370, 0x3ff}, {0x400, 0x45f},
	{0x2010, 0x2044}, {0x2070, 0x209f}, {0x20ac, 0x20ac}, {0x2100, 0x214f}, {0x2190, 0x21ff}, {0x2200, 0x22ff}, {0x2500, 0x25ff}, {0x2610, 0x2613}, {0x2713, 0x2717}}

var errFont = errors.New("not a TrueType font with outlines")

// subset leaves out of a TrueType font the outlines of letters that are not
// kept, and the tables that a page does not need. Glyph numbers stay, so that
// the tables that are kept need no change.
//
// Source: the OpenType specification, tables loca, glyf, cmap and head.
func subset(ttf []byte) (out []byte, err error) {
	defer func() {
		if recover() != nil { // a table that ends too early
			out, err = nil, errFont
		}
	}()
	be := binary.BigEndian
	tables := map[string][]byte{}
	for i := range int(be.Uint16(ttf[4:])) {
		rec := ttf[12+16*i:]
		at, n := be.Uint32(rec[8:]), be.Uint32(rec[12:])
		tables[string(rec[:4])] = ttf[at : at+n]
	}
	glyf, loca, head, cmap := tables["glyf"], tables["loca"], tables["head"], tables["cmap"]
	if glyf == nil || loca == nil || len(head) < 54 || cmap == nil {
		return nil, errFont
	}
	glyphs := int(be.Uint16(tables["maxp"][4:]))
	offset := func(g int) int {
		if be.Uint16(head[50:]) == 0 {
			return 2 * int(be.Uint16(loca[2*g:]))
		}
		return int(be.Uint32(loca[4*g:]))
	}
	wanted := map[int]bool{0: true}
	var add func(g int)
	add = func(g int) {
		if g >= glyphs || wanted[g] {
			return
		}
		wanted[g] = true
		data := glyf[offset(g):offset(g+1)]
		if len(data) < 10 || int16(be.Uint16(data)) >= 0 {
			return
		}
		for at := 10; ; { // a glyph made of others
			flags := be.Uint16(data[at:])
			add(int(be.Uint16(data[at+2:])))
			at += 6
			if flags&1 != 0 {
				at += 2
			}
			switch {
			case flags&8 != 0:
				at += 2
			case flags&0x40 != 0:
				at += 4
			case flags&0x80 != 0:
				at += 8
			}
			if flags&0x20 == 0 {
				return
			}
		}
	}
	for _, span := range keep {
		for r := span[0]; r <= span[1]; r++ {
			if g := glyphOf(cmap, r); g > 0 {
				add(g)
			}
		}
	}
	var small []byte
	place := make([]byte, 4*(glyphs+1))
	for g := range glyphs {
		be.PutUint32(place[4*g:], uint32(len(small)))
		if wanted[g] {
			small = append(small, glyf[offset(g):offset(g+1)]...)
			for len(small)%4 != 0 {
				small = append(small, 0)
			}
		}
	}
	be.PutUint32(place[4*glyphs:], uint32(len(small)))
	newHead := append([]byte(nil), head...)
	be.PutUint16(newHead[50:], 1)
	be.PutUint32(newHead[8:], 0)
	tables["glyf"], tables["loca"], tables["head"] = small, place, newHead
	// Without outlines of most glyphs their names are of no use either.
	tables["post"] = append([]byte{0, 3, 0, 0}, tables["post"][4:32]...)
	return assemble(tables, []string{"OS/2", "cmap", "cvt ", "fpgm", "glyf", "head", "hhea", "hmtx", "loca", "maxp", "name", "post", "prep"}), nil
}

// glyphOf looks a letter up in the Unicode part (format 4) of a cmap.
func glyphOf(cmap []byte, r rune) int {
	be := binary.BigEndian
	for i := range int(be.Uint16(cmap[2:])) {
		rec := cmap[4+8*i:]
		if p, e := be.Uint16(rec), be.Uint16(rec[2:]); !(p == 3 && e == 1 || p == 0) {
			continue
		}
		t := cmap[be.Uint32(rec[4:]):]
		if be.Uint16(t) != 4 {
			continue
		}
		n := int(be.Uint16(t[6:])) / 2
		k := sort.Search(n, func(k int) bool { return rune(be.Uint16(t[14+2*k:])) >= r })
		if k == n {
			return 0
		}
		starts, deltas, ranges := t[16+2*n:], t[16+4*n:], t[16+6*n:]
		start := rune(be.Uint16(starts[2*k:]))
		if r < start {
			return 0
		}
		delta, off := be.Uint16(deltas[2*k:]), int(be.Uint16(ranges[2*k:]))
		if off == 0 {
			return int(uint16(r) + delta)
		}
		g := be.Uint16(ranges[2*k+off+2*int(r-start):])
		if g == 0 {
			return 0
		}
		return int(g + delta)
	}
	return 0
}

// assemble writes a font of the tables named, in order.
func assemble(tables map[string][]byte, names []string) []byte {
	be := binary.BigEndian
	var have []string
	for _, n := range names {
		if tables[n] != nil {
			have = append(have, n)
		}
	}
	pow, log := 1, 0
	for pow*2 <= len(have) {
		pow, log = pow*2, log+1
	}
	out := make([]byte, 12+16*len(have))
	be.PutUint32(out, 0x00010000)
	be.PutUint16(out[4:], uint16(len(have)))
	be.PutUint16(out[6:], uint16(16*pow))
	be.PutUint16(out[8:], uint16(log))
	be.PutUint16(out[10:], uint16(16*(len(have)-pow)))
	headAt := 0
	for i, n := range have {
		rec := out[12+16*i:]
		copy(rec, n)
		be.PutUint32(rec[4:], sumOf(tables[n]))
		be.PutUint32(rec[8:], uint32(len(out)))
		be.PutUint32(rec[12:], uint32(len(tables[n])))
		if n == "head" {
			headAt = len(out)
		}
		out = append(out, tables[n]...)
		for len(out)%4 != 0 {
			out = append(out, 0)
		}
	}
	be.PutUint32(out[headAt+8:], 0xb1b0afba-sumOf(out))
	return out
}

func sumOf(b []byte) uint32 {
	var s uint32
	for i := 0; i < len(b); i += 4 {
		var w [4]byte
		copy(w[:], b[i:])
		s += binary.BigEndian.Uint32(w[:])
	}
	return s
}
