package web

import (
	"bytes"
	"fmt"
	"net/http"
	"strings"

	"dawnsmith/internal/album"
	"dawnsmith/paper/draw"
)

// picture serves one picture of a lamp as SVG or PNG, or its data as CSV.
func (s *Server) picture(w http.ResponseWriter, r *http.Request) {
	key, kind, _ := strings.Cut(r.PathValue("file"), ".")
	p, ok := album.Of(key)
	if !ok || kind != "svg" && kind != "png" && kind != "csv" {
		s.fail(w, r, http.StatusNotFound, "There is no such picture.", "A lamp's pictures end in .svg, .png or .csv.")
		return
	}
	page, ok := s.openLamp(w, r)
	if !ok {
		return
	}
	grade := full
	if p.Doubt {
		grade = sure
	}
	ans, err := s.answer(r.Context(), page, grade)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This picture cannot be drawn: "+err.Error()+".", "")
		return
	}
	if kind == "csv" {
		t, err := p.Data(&ans)
		if err != nil {
			s.fail(w, r, http.StatusUnprocessableEntity, "There are no numbers: "+err.Error()+".", "")
			return
		}
		s.send(w, page.name+"-"+key+".csv", "text/csv; charset=utf-8", t.CSV())
		return
	}
	scene, err := p.Draw(&ans)
	if err != nil {
		s.fail(w, r, http.StatusUnprocessableEntity, "This picture cannot be drawn: "+err.Error()+".", "")
		return
	}
	s.sendScene(w, r, page.name+"-"+key, kind, scene)
}

// sendScene sends a scene as an SVG or PNG file that stands alone.
func (s *Server) sendScene(w http.ResponseWriter, r *http.Request, name, kind string, scene draw.Scene) {
	var b bytes.Buffer
	var err error
	media := "image/svg+xml"
	if kind == "svg" {
		err = draw.SVG(&b, scene, draw.SVGOptions{Ground: true})
	} else {
		media = "image/png"
		err = draw.PNG(&b, scene, draw.PNGOptions{})
	}
	if err != nil {
		s.log.Printf("%s: %v", r.URL.Path, err)
		s.fail(w, r, http.StatusInternalServerError, "The picture could not be drawn.", "")
		return
	}
	s.send(w, name+"."+kind, media, b.Bytes())
}

// send sends a file; pictures show in place, the rest is kept by the browser.
func (s *Server) send(w http.ResponseWriter, name, media string, data []byte) {
	h := w.Header()
	h.Set("Content-Type", media)
	how := "attachment"
	if strings.HasPrefix(media, "image/") || strings.HasPrefix(media, "text/html") || media == "application/pdf" {
		how = "inline"
	}
	h.Set("Content-Disposition", fmt.Sprintf("%s; filename=%q; filename*=UTF-8''%s", how, ascii(name), escapePath(name)))
	_, _ = w.Write(data)
}
