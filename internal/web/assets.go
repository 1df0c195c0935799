package web

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"net/http"
	"path"
	"time"

	"dawnsmith/paper/draw"
)

// asset is a file that pages use: style, script, fonts, the icon.
type asset struct {
	data  []byte
	media string
	tag   string
}

// icon is a lamp's face over a desk, in the accent.
const icon = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 16 16"><path d="M3 3h10l1.5 5h-13z" fill="#a8401a"/><path d="M1 13.5h14" stroke="#6a6055" stroke-width="1.5"/></svg>`

// makeAssets gathers the files: those under ui/, the tokens of package draw
// in front of the style sheet, and the fonts.
func makeAssets() (map[string]asset, error) {
	media := map[string]string{".css": "text/css; charset=utf-8", ".js": "text/javascript; charset=utf-8", ".ttf": "font/ttf", ".svg": "image/svg+xml"}
	out := map[string]asset{}
	put := func(name string, data []byte) {
		sum := sha256.Sum256(data)
		out[name] = asset{data, media[path.Ext(name)], fmt.Sprintf(`"%x"`, sum[:8])}
	}
	files, err := ui.ReadDir("ui")
	if err != nil {
		return nil, err
	}
	for _, f := range files {
		data, err := ui.ReadFile("ui/" + f.Name())
		if err != nil {
			return nil, err
		}
		if f.Name() == "page.css" {
			var b bytes.Buffer
			if err := draw.CSS(&b); err != nil {
				return nil, err
			}
			data = append(b.Bytes(), data...)
		}
		put(f.Name(), data)
	}
	regular, bold := draw.FontFiles()
	for name, ttf := range map[string][]byte{"regular.ttf": regular, "bold.ttf": bold} {
		small, err := subset(ttf)
		if err != nil {
			return nil, fmt.Errorf("font %s: %w", name, err)
		}
		put(name, small)
	}
	put("icon.svg", []byte(icon))
	return out, nil
}

func (s *Server) asset(w http.ResponseWriter, r *http.Request) {
	a, ok := s.assets[r.PathValue("file")]
	if !ok {
		s.fail(w, r, http.StatusNotFound, "There is no such file.", "")
		return
	}
	h := w.Header()
	h.Set("Content-Type", a.media)
	h.Set("Etag", a.tag)
	h.Set("Cache-Control", "no-cache") // kept, and asked for again by its tag
	http.ServeContent(w, r, "", time.Time{}, bytes.NewReader(a.data))
}
