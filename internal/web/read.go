package web

import (
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"html/template"
	"io"
	"net/http"
	"net/url"
	"path/filepath"
	"strconv"
	"strings"
	"sync"

	"dawnsmith/finding"
	"dawnsmith/internal/app"
	"dawnsmith/internal/meterfile"
	"dawnsmith/internal/report"
	"dawnsmith/quantity"
)

// brought are the meter files that were brought to the page, the last ones, by
// the sum of their bytes; they live as long as the server does.
type brought struct {
	mu   sync.Mutex
	all  map[string]broughtFile
	use  []string // oldest first
	size int
}

type broughtFile struct {
	name string
	data []byte
}

// keptBytes bounds what is kept.
const keptBytes = 2 * meterfile.MaxBytes

func (b *brought) put(name string, data []byte) string {
	sum := sha256.Sum256(data)
	id := fmt.Sprintf("%x", sum[:8])
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.all == nil {
		b.all = map[string]broughtFile{}
	}
	if _, ok := b.all[id]; !ok {
		b.use = append(b.use, id)
		b.size += len(data)
	}
	b.all[id] = broughtFile{name, data}
	for b.size > keptBytes && len(b.use) > 1 {
		b.size -= len(b.all[b.use[0]].data)
		delete(b.all, b.use[0])
		b.use = b.use[1:]
	}
	return id
}

func (b *brought) get(id string) (broughtFile, bool) {
	b.mu.Lock()
	defer b.mu.Unlock()
	f, ok := b.all[id]
	return f, ok
}

// readView shows what meter files hold.
type readView struct {
	frame
	IDs   string
	Lux   string
	Errs  []string
	Files []readFileView
	// Beside sets the first lights of two files side by side.
	Beside       []app.Beside
	NameA, NameB string
	Shift        string
	Pictures     []readPicture
}

type readFileView struct {
	*app.MeterRead
	Why   string // why it could not be read
	Shown []readLightView
	More  int // spectra between the first and the last that are not shown
	All   []finding.Finding
}

type readLightView struct {
	*app.Light
	When string
}

type readPicture struct {
	SVG        template.HTML
	Name, Path string
}

// readPage asks for files.
func (s *Server) readPage(w http.ResponseWriter, r *http.Request) {
	s.render(w, r, http.StatusOK, "read", readView{frame: s.frame(r, "read a meter's files")})
}

// bring takes files and leads to what they hold.
func (s *Server) bring(w http.ResponseWriter, r *http.Request) {
	m, err := r.MultipartReader()
	if err != nil {
		s.fail(w, r, http.StatusBadRequest, "No file was sent.", "Choose one or more files that a meter wrote.")
		return
	}
	var ids []string
	for {
		p, err := m.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		var big *http.MaxBytesError
		if errors.As(err, &big) {
			s.fail(w, r, http.StatusRequestEntityTooLarge, "The files are too large.", fmt.Sprintf("Up to %d MB are read at a time.", meterfile.MaxBytes>>20))
			return
		}
		if err != nil {
			s.fail(w, r, http.StatusBadRequest, "The files could not be received.", "Try again.", err.Error())
			return
		}
		if p.FileName() == "" {
			continue
		}
		data, err := io.ReadAll(p)
		if err != nil {
			s.fail(w, r, http.StatusRequestEntityTooLarge, "The files are too large.", fmt.Sprintf("Up to %d MB are read at a time.", meterfile.MaxBytes>>20))
			return
		}
		if len(ids) < 40 {
			ids = append(ids, s.brought.put(filepath.Base(p.FileName()), data))
		}
	}
	if len(ids) == 0 {
		s.fail(w, r, http.StatusBadRequest, "No file was chosen.", "Choose one or more files that a meter wrote.")
		return
	}
	http.Redirect(w, r, "/read/"+strings.Join(ids, ","), http.StatusSeeOther)
}

// readFiles works out the files of an address.
func (s *Server) readFiles(w http.ResponseWriter, r *http.Request) (readView, []*app.MeterRead, bool) {
	v := readView{frame: s.frame(r, "what the meter says"), IDs: r.PathValue("ids"), Lux: strings.TrimSpace(r.URL.Query().Get("lux"))}
	var o app.ReadOptions
	if v.Lux != "" {
		x, err := quantity.Parse(v.Lux, quantity.Illuminance)
		switch {
		case err != nil:
			v.Errs = append(v.Errs, "The level: "+err.Error()+".")
		case !(x > 0 && x <= 2e5):
			v.Errs = append(v.Errs, "The level: allowed is above 0 to 200 000 lx.")
		default:
			o.Lux = x
		}
	}
	var reads []*app.MeterRead
	for id := range strings.SplitSeq(v.IDs, ",") {
		f, ok := s.brought.get(id)
		if !ok {
			s.fail(w, r, http.StatusNotFound, "The file is no longer here.", "Files are kept while the page runs, the last ones only. Bring it again.")
			return v, nil, false
		}
		done, ok := s.begin(r.Context(), full)
		if !ok {
			return v, nil, false
		}
		m, err := app.Read(f.name, bytes.NewReader(f.data), o)
		done()
		if err != nil {
			v.Files = append(v.Files, readFileView{MeterRead: &app.MeterRead{Name: f.name}, Why: capital(strings.TrimPrefix(err.Error(), f.name+": ")) + "."})
			continue
		}
		reads = append(reads, m)
		fv := readFileView{MeterRead: m, All: append([]finding.Finding(nil), m.Findings...)}
		for i := range m.Lights {
			l := &m.Lights[i]
			if len(m.Lights) > 6 && i > 0 && i < len(m.Lights)-1 {
				fv.More++
				continue
			}
			lv := readLightView{Light: l}
			if !l.Reading.At.IsZero() {
				lv.When = l.Reading.At.Format("2 January 2006, 15:04:05")
			}
			fv.Shown = append(fv.Shown, lv)
			for _, x := range l.Findings {
				if !finding.Has(fv.All, x.Key) {
					fv.All = append(fv.All, x)
				}
			}
		}
		for _, x := range m.Waves {
			if x.Result != nil {
				fv.All = append(fv.All, x.Result.Findings...)
			}
		}
		finding.Sort(fv.All)
		v.Files = append(v.Files, fv)
	}
	return v, reads, true
}

// scenes are the pictures of some files, in their order.
func readScenes(reads []*app.MeterRead) ([]report.NamedScene, error) {
	var lights []*app.Light
	for _, m := range reads {
		for i := range m.Lights {
			lights = append(lights, &m.Lights[i])
		}
	}
	out, err := report.LightPictures(lights)
	if err != nil {
		return nil, err
	}
	for _, m := range reads {
		for _, l := range m.Logs {
			out = append(out, report.LogPicture(l))
		}
		for _, x := range m.Waves {
			out = append(out, report.WavePictures(x)...)
		}
	}
	return out[:min(len(out), 24)], nil
}

// readFilesPage shows what files hold.
func (s *Server) readFilesPage(w http.ResponseWriter, r *http.Request) {
	v, reads, ok := s.readFiles(w, r)
	if !ok {
		return
	}
	scenes, err := readScenes(reads)
	if err != nil {
		v.Errs = append(v.Errs, capital(err.Error())+".")
	}
	for i, sc := range scenes {
		svg, err := report.SVG(sc.Scene, fmt.Sprintf("r%d", i))
		if err != nil {
			v.Errs = append(v.Errs, capital(err.Error())+".")
			continue
		}
		path := fmt.Sprintf("/read/%s/picture/%d", v.IDs, i)
		if v.Lux != "" {
			path += "?" + url.Values{"lux": {v.Lux}}.Encode()
		}
		v.Pictures = append(v.Pictures, readPicture{svg, sc.Title, path})
	}
	if len(reads) == 2 && len(reads[0].Lights) > 0 && len(reads[1].Lights) > 0 {
		a, b := &reads[0].Lights[0], &reads[1].Lights[0]
		if a.Why == "" && b.Why == "" {
			v.Beside, v.NameA, v.NameB = app.CompareLights(a, b), a.Name, b.Name
			v.Shift = quantity.Decimals(app.LightShift(a, b), 4)
		}
	}
	s.render(w, r, http.StatusOK, "read", v)
}

// readPictureFile sends one picture as SVG or, with .png, as PNG.
func (s *Server) readPictureFile(w http.ResponseWriter, r *http.Request) {
	_, reads, ok := s.readFiles(w, r)
	if !ok {
		return
	}
	number, kind, _ := strings.Cut(r.PathValue("file"), ".")
	scenes, err := readScenes(reads)
	n, bad := strconv.Atoi(number)
	if err != nil || bad != nil || n < 0 || n >= len(scenes) || kind != "svg" && kind != "png" {
		s.fail(w, r, http.StatusNotFound, "There is no such picture.", "")
		return
	}
	s.sendScene(w, r, scenes[n].Name, kind, scenes[n].Scene)
}
