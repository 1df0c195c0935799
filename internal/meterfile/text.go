package meterfile

import (
	"bytes"
	"errors"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// plainText turns the bytes of a text file into a string: UTF-8 with or without
// a byte order mark, UTF-16, or else the Latin letters of Windows.
func plainText(data []byte) (string, error) {
	utf16 := func(end unicode.Endianness) (string, error) {
		out, err := unicode.UTF16(end, unicode.UseBOM).NewDecoder().Bytes(data)
		if err != nil {
			return "", &Error{0, errors.New("this is no text that can be read: its UTF-16 is broken")}
		}
		return string(out), nil
	}
	switch {
	case bytes.HasPrefix(data, []byte("\xff\xfe")):
		return utf16(unicode.LittleEndian)
	case bytes.HasPrefix(data, []byte("\xfe\xff")):
		return utf16(unicode.BigEndian)
	}
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	head := data[:min(len(data), 4096)]
	if zeros := bytes.Count(head, []byte{0}); zeros > 0 {
		// UTF-16 without a mark: every second byte of plain letters is 0.
		odd, even := 0, 0
		for i, b := range head {
			if b == 0 && i%2 == 1 {
				odd++
			} else if b == 0 {
				even++
			}
		}
		switch {
		case odd > len(head)*3/8 && even == 0:
			return utf16(unicode.LittleEndian)
		case even > len(head)*3/8 && odd == 0:
			return utf16(unicode.BigEndian)
		}
		return "", &Error{0, errors.New("this is no text, spreadsheet, .spdx or WAV file: it holds zero bytes")}
	}
	if bytes.IndexByte(data, 0) >= 0 {
		return "", &Error{0, errors.New("this is no text file: it holds zero bytes")}
	}
	if !utf8.Valid(data) {
		out, err := charmap.Windows1252.NewDecoder().Bytes(data)
		if err != nil {
			return "", &Error{0, errors.New("this is no text that can be read")}
		}
		data = out
	}
	return string(data), nil
}

// firstWords are the first letters, without blanks before them.
func firstWords(text string) string {
	text = strings.TrimLeft(text, " \t\r\n\ufeff")
	return text[:min(len(text), 200)]
}

func isXML(head string) bool { return strings.HasPrefix(head, "<") }

// lines splits text at line ends of any system. It fails on more rows than any
// meter writes.
func lines(text string) ([]string, error) {
	n := strings.Count(text, "\n")
	sep := "\n"
	if n == 0 {
		if cr := strings.Count(text, "\r"); cr > 0 {
			n, sep = cr, "\r"
		}
	}
	if n >= maxRows {
		return nil, atLine(maxRows, "the file goes on beyond %d lines, more than a meter writes; cut it into parts", maxRows)
	}
	out := strings.Split(text, sep)
	for i, l := range out {
		out[i] = strings.TrimSuffix(l, "\r")
	}
	return out, nil
}
