package app

import (
	"encoding/json"
	"strings"

	"dawnsmith/internal/file"
	"dawnsmith/lamp/part"
)

// encodeSet writes parts as JSON, which keeps the names of their error sources.
func encodeSet(s part.Set) (string, error) {
	b, err := json.Marshal(s)
	return string(b), err
}

// decodeSet reads parts as JSON or as a parts document.
func decodeSet(text, name string) (part.Set, error) {
	if !strings.HasPrefix(strings.TrimSpace(text), "{") {
		return file.ParseParts([]byte(text), name)
	}
	var s part.Set
	if err := json.Unmarshal([]byte(text), &s); err != nil {
		return s, err
	}
	return s, s.Check()
}
