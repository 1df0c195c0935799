package web

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"log"
	"net"
	"net/http"
	"runtime"
	"strings"
	"sync"
	"time"

	"dawnsmith/internal/app"
	"dawnsmith/internal/form"
	"dawnsmith/internal/shelf"
	"dawnsmith/lamp"
	"dawnsmith/lamp/brief"
)

//go:embed html/*.html
var pages embed.FS

//go:embed ui/*
var ui embed.FS

// Options are what a server needs.
type Options struct {
	App   *app.App
	Shelf *shelf.Shelf
	// Logbook opens the logbook; nil: there is none.
	Logbook Logbook
	// Hosts are the names it answers to, with their ports: "127.0.0.1:8123".
	// Empty: those of the listener that Serve is given.
	Hosts []string
	// Log, if not nil, gets a line for what went wrong inside.
	Log *log.Logger
	// Now is the clock; nil: time.Now.
	Now func() time.Time
}

// Server is the page.
type Server struct {
	app     *app.App
	glancer *app.Glancer
	shelf   *shelf.Shelf
	book    Logbook
	lamps   *form.Desk[lamp.Spec]
	briefs  *form.Desk[brief.Brief]
	hosts   []string
	log     *log.Logger
	now     func() time.Time

	pages   *template.Template
	assets  map[string]asset
	answers cache
	hunts   hunts
	brought brought
	// quick and long hold a place for each calculation that may run at a time:
	// glances, which wait for nothing else, and what takes longer.
	quick, long chan struct{}
	// ctx ends with the server; long work hangs on it.
	ctx  context.Context
	stop context.CancelFunc
	once sync.Once
	mux  http.Handler
}

// New makes a server; Close it when it was not started with Serve.
func New(o Options) (*Server, error) {
	s := &Server{app: o.App, glancer: o.App.Glancer(), shelf: o.Shelf, book: o.Logbook, lamps: form.Lamp(o.App), briefs: form.Brief(), hosts: o.Hosts, log: o.Log, now: o.Now,
		quick: make(chan struct{}, max(2, runtime.GOMAXPROCS(0))), long: make(chan struct{}, max(1, runtime.GOMAXPROCS(0)-1))}
	if s.log == nil {
		s.log = log.New(io.Discard, "", 0)
	}
	if s.now == nil {
		s.now = time.Now
	}
	s.ctx, s.stop = context.WithCancel(context.Background())
	s.answers.most = 24
	var err error
	if s.assets, err = makeAssets(); err != nil {
		return nil, fmt.Errorf("page: %w", err)
	}
	if s.pages, err = template.New("").Funcs(s.functions()).ParseFS(pages, "html/*.html"); err != nil {
		return nil, fmt.Errorf("page: %w", err)
	}
	return s, nil
}

// Close ends what runs in the background.
func (s *Server) Close() { s.stop() }

// routes is the list of addresses.
func (s *Server) routes() *http.ServeMux {
	m := http.NewServeMux()
	m.HandleFunc("GET /{$}", s.home)
	m.HandleFunc("POST /open", s.open)
	m.HandleFunc("POST /look", s.look)
	m.HandleFunc("GET /lamp/{name}", s.lamp)
	m.HandleFunc("POST /lamp/{name}", s.saveLamp)
	m.HandleFunc("GET /lamp/{name}/picture/{file}", s.picture)
	m.HandleFunc("GET /lamp/{name}/file", s.lampFile)
	m.HandleFunc("GET /lamp/{name}/pack/{file}", s.pack)
	m.HandleFunc("GET /lamp/{name}/compare", s.compare)
	m.HandleFunc("GET /lamp/{name}/try/{key}", s.try)
	m.HandleFunc("GET /brief/{name}", s.brief)
	m.HandleFunc("POST /brief/{name}", s.saveBrief)
	m.HandleFunc("GET /brief/{name}/lamps", s.found)
	m.HandleFunc("GET /brief/{name}/progress", s.progress)
	m.HandleFunc("POST /brief/{name}/stop", s.stopHunt)
	m.HandleFunc("GET /brief/{name}/picture/{file}", s.tradePicture)
	m.HandleFunc("GET /lamp/{name}/feeds", s.feeds)
	m.HandleFunc("GET /lamp/{name}/wrong", s.wrong)
	m.HandleFunc("GET /bench", s.bench)
	m.HandleFunc("GET /logbook", s.logbook)
	m.HandleFunc("POST /logbook", s.addReadings)
	m.HandleFunc("GET /logbook/lamp/{slug}", s.keptLamp)
	m.HandleFunc("POST /logbook/lamp/{slug}", s.changeKept)
	m.HandleFunc("GET /logbook/lamp/{slug}/learned", s.learn)
	m.HandleFunc("POST /logbook/lamp/{slug}/learned", s.learn)
	m.HandleFunc("GET /logbook/image/{id}", s.keptImage)
	m.HandleFunc("GET /logbook/rank", s.rank)
	m.HandleFunc("POST /logbook/rank", s.keepView)
	m.HandleFunc("GET /logbook/rank/picture/{file}", s.rankPicture)
	m.HandleFunc("GET /logbook/season", s.season)
	m.HandleFunc("GET /logbook/backup", s.backup)
	m.HandleFunc("POST /logbook/edition", s.publish)
	m.HandleFunc("GET /logbook/edition/{slug}/{number}", s.published)
	m.HandleFunc("GET /read", s.readPage)
	m.HandleFunc("POST /read", s.bring)
	m.HandleFunc("GET /read/{ids}", s.readFilesPage)
	m.HandleFunc("GET /read/{ids}/picture/{file}", s.readPictureFile)
	m.HandleFunc("GET /gauge/{kind}", s.gauge)
	m.HandleFunc("GET /gauge/{kind}/part", s.gaugePart)
	m.HandleFunc("GET /parts", s.parts)
	m.HandleFunc("GET /cautions", s.cautions)
	m.HandleFunc("GET /ui/{file}", s.asset)
	m.HandleFunc("/", func(w http.ResponseWriter, r *http.Request) {
		if r.Method != http.MethodGet && r.Method != http.MethodHead {
			s.fail(w, r, http.StatusMethodNotAllowed, "That cannot be done here.", "")
			return
		}
		s.fail(w, r, http.StatusNotFound, "There is no such page.", "Go back to the list of lamps.")
	})
	return m
}

// Handler is the whole page behind its guards. Hosts must be known.
func (s *Server) Handler() http.Handler {
	s.once.Do(func() { s.mux = s.guard(s.routes()) })
	return s.mux
}

// Serve answers on a listener of the loopback interface until ctx ends; what
// is being answered then is finished first.
func (s *Server) Serve(ctx context.Context, l net.Listener) error {
	defer s.Close()
	tcp, ok := l.Addr().(*net.TCPAddr)
	if !ok || !tcp.IP.IsLoopback() {
		return fmt.Errorf("%s is not a loopback address; the page is for this machine only: take 127.0.0.1 or [::1]", l.Addr())
	}
	if len(s.hosts) == 0 {
		s.hosts = hostsOf(tcp)
	}
	srv := &http.Server{
		Handler: s.Handler(), ErrorLog: s.log, MaxHeaderBytes: 64 << 10,
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 30 * time.Second, WriteTimeout: 2 * time.Minute, IdleTimeout: 2 * time.Minute,
	}
	ended := make(chan error, 1)
	go func() { ended <- srv.Serve(l) }()
	select {
	case err := <-ended:
		return err
	case <-ctx.Done():
	}
	s.stop() // long work and open event streams end
	grace, cancel := context.WithTimeout(context.Background(), 5*time.Second)
	defer cancel()
	if err := srv.Shutdown(grace); err != nil && !errors.Is(err, context.DeadlineExceeded) {
		return err
	}
	return nil
}

// hostsOf gives the names a browser may use for an address.
func hostsOf(a *net.TCPAddr) []string {
	port := fmt.Sprint(a.Port)
	hosts := []string{net.JoinHostPort(a.IP.String(), port), net.JoinHostPort("localhost", port)}
	if a.Port == 80 {
		hosts = append(hosts, a.IP.String(), "localhost")
	}
	return hosts
}

// begin waits for a place to calculate; false when the request was given up.
func (s *Server) begin(ctx context.Context, g grade) (done func(), ok bool) {
	places := s.long
	if g == glance {
		places = s.quick
	}
	select {
	case places <- struct{}{}:
		return func() { <-places }, true
	case <-ctx.Done():
		return nil, false
	}
}

// render writes a page from a template. Errors before the first byte become an
// error page.
func (s *Server) render(w http.ResponseWriter, r *http.Request, status int, name string, view any) {
	var b strings.Builder
	if err := s.pages.ExecuteTemplate(&b, name, view); err != nil {
		s.log.Printf("%s: %v", r.URL.Path, err)
		http.Error(w, "The page could not be made; the fault is ours. What was saved is safe.", http.StatusInternalServerError)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.WriteHeader(status)
	_, _ = io.WriteString(w, b.String())
}
