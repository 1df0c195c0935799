package photo

import (
	"encoding/binary"
	"errors"
	"fmt"
)

func blank(b byte) bool {
	return b == ' ' || b == '\t' || b == '\n' || b == '\r' || b == '\v' || b == '\f'
}

// scanner takes numbers from a portable map's header or plain pixels.
type scanner struct {
	data []byte
	at   int
}

var errCut = errors.New("the picture breaks off")

// number reads the next number; blanks and comments before it are passed over.
func (s *scanner) number() (int, error) {
	for s.at < len(s.data) {
		switch b := s.data[s.at]; {
		case blank(b):
			s.at++
		case b == '#':
			for s.at < len(s.data) && s.data[s.at] != '\n' {
				s.at++
			}
		case b >= '0' && b <= '9':
			n := 0
			for s.at < len(s.data) && s.data[s.at] >= '0' && s.data[s.at] <= '9' {
				if n = n*10 + int(s.data[s.at]-'0'); n > 1<<30 {
					return 0, errors.New("the picture holds a number of more than a billion")
				}
				s.at++
			}
			return n, nil
		default:
			return 0, fmt.Errorf("the picture holds %q where a number belongs", rune(b))
		}
	}
	return 0, errCut
}

// readMap reads a portable grey or pixel map: P2 and P3 in plain text, P5 and P6
// in binary, two bytes a sample, the high one first, where the greatest value is
// above 255. Of several pictures in a file the first is taken.
//
// Source: netpbm, pgm(5) and ppm(5).
func readMap(data []byte, most int) (*codes, error) {
	c := &codes{}
	plain := false
	switch data[1] {
	case '2':
		c.channels, plain = 1, true
	case '3':
		c.channels, plain = 3, true
	case '5':
		c.channels = 1
	case '6':
		c.channels = 3
	default:
		return nil, fmt.Errorf("this is a portable map of kind P%c; P2, P3, P5 and P6 are read", data[1])
	}
	s := &scanner{data, 2}
	for _, to := range []*int{&c.w, &c.h, &c.full} {
		n, err := s.number()
		if err != nil {
			return nil, err
		}
		*to = n
	}
	if err := small(c.w, c.h, most); err != nil {
		return nil, err
	}
	if c.full < 1 || c.full > 65535 {
		return nil, fmt.Errorf("the greatest value is %d; allowed is 1 to 65535", c.full)
	}
	if s.at >= len(data) || !blank(data[s.at]) {
		return nil, errCut
	}
	s.at++
	n, width := c.w*c.h*c.channels, c.w*c.channels
	rest := len(data) - s.at
	if plain {
		if rest < 2*n-1 {
			return nil, errCut
		}
		all := make([]uint16, n)
		for i := range all {
			v, err := s.number()
			if err != nil {
				return nil, err
			}
			if v > c.full {
				return nil, fmt.Errorf("a sample is %d, above the greatest value %d", v, c.full)
			}
			all[i] = uint16(v)
		}
		c.at = func(x, y int, out *[3]uint16) { copy(out[:c.channels], all[y*width+x*c.channels:]) }
		return c, nil
	}
	pix := data[s.at:]
	if c.full < 256 {
		if rest < n {
			return nil, errCut
		}
		c.at = func(x, y int, out *[3]uint16) {
			for k, b := range pix[y*width+x*c.channels:][:c.channels] {
				out[k] = uint16(b)
			}
		}
		return c, nil
	}
	if rest < 2*n {
		return nil, errCut
	}
	c.at = func(x, y int, out *[3]uint16) {
		p := pix[2*(y*width+x*c.channels):]
		for k := range c.channels {
			out[k] = binary.BigEndian.Uint16(p[2*k:])
		}
	}
	return c, nil
}
