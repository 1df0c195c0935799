package web

import (
	"fmt"
	"net/http"
	"net/url"
	"slices"
	"strings"

	"dawnsmith/internal/meterfile"
)

// policy lets a page load from its own server only, run no script but the
// modules under /ui, and send forms nowhere else. data: is for the maps inside
// pictures.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data:; font-src 'self'; " +
	"connect-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"

// The largest request bodies, in bytes: of a form, and of a document or a
// reading that is brought along.
const (
	maxForm = 256 << 10
	maxFile = 5 << 20
)

// bodyLimit is what a path takes.
func bodyLimit(path string) int64 {
	switch path {
	case "/open":
		return maxFile
	case "/read", "/logbook":
		return meterfile.MaxBytes + maxForm
	}
	return maxForm
}

// guard refuses what does not come from the page itself: another host name
// (a site that resolves to this machine), another origin that writes, another
// site that embeds or fetches.
func (s *Server) guard(next http.Handler) http.Handler {
	cross := http.NewCrossOriginProtection()
	cross.SetDenyHandler(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		s.fail(w, r, http.StatusForbidden, "This was sent by another site and is refused.", "Nothing was changed. Use the page itself.")
	}))
	inner := cross.Handler(next)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		h := w.Header()
		h.Set("Content-Security-Policy", policy)
		h.Set("X-Content-Type-Options", "nosniff")
		h.Set("Referrer-Policy", "same-origin")
		h.Set("Cross-Origin-Resource-Policy", "same-origin")
		h.Set("Cross-Origin-Opener-Policy", "same-origin")
		h.Set("Cache-Control", "no-store")
		defer func() {
			if p := recover(); p != nil {
				if p == http.ErrAbortHandler {
					panic(p)
				}
				s.log.Printf("%s %s: panic: %v", r.Method, r.URL.Path, p)
				s.fail(w, r, http.StatusInternalServerError, "Something went wrong inside Dawnsmith; the fault is ours.", "What was saved is safe. Go back and try another value.")
			}
		}()
		if !slices.Contains(s.hosts, strings.ToLower(r.Host)) {
			http.Error(w, fmt.Sprintf("This page answers only to %s.", strings.Join(s.hosts, " and ")), http.StatusMisdirectedRequest)
			return
		}
		if site := r.Header.Get("Sec-Fetch-Site"); site == "cross-site" || site == "same-site" {
			// Following a link from elsewhere is fine, anything else is not.
			if !(r.Method == http.MethodGet && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document") {
				s.fail(w, r, http.StatusForbidden, "This was sent by another site and is refused.", "Nothing was changed.")
				return
			}
		}
		if r.Method == http.MethodPost && !s.fromHere(r) {
			s.fail(w, r, http.StatusForbidden, "This was sent by another site and is refused.", "Nothing was changed. Use the page itself.")
			return
		}
		if len(r.URL.RawQuery) > 32<<10 {
			s.fail(w, r, http.StatusRequestURITooLong, "The address is too long.", "")
			return
		}
		r.Body = http.MaxBytesReader(w, r.Body, bodyLimit(r.URL.Path))
		inner.ServeHTTP(w, r)
	})
}

// fromHere tells that an Origin, where one is sent, is one of ours.
func (s *Server) fromHere(r *http.Request) bool {
	o := r.Header.Get("Origin")
	if o == "" {
		return true // not a browser, or one that says it by Sec-Fetch-Site
	}
	u, err := url.Parse(o)
	return err == nil && u.Scheme == "http" && slices.Contains(s.hosts, strings.ToLower(u.Host))
}

// failView is an error page.
type failView struct {
	frame
	What, Next string
	Details    []string
}

// fail answers with an error in words; asked for a block it answers plainly.
func (s *Server) fail(w http.ResponseWriter, r *http.Request, status int, what, next string, details ...string) {
	if r.Header.Get("X-Fragment") != "" {
		w.Header().Set("Content-Type", "text/plain; charset=utf-8")
		w.WriteHeader(status)
		fmt.Fprint(w, strings.TrimSpace(what+" "+next))
		return
	}
	s.render(w, r, status, "fail", failView{s.frame(r, what), what, next, details})
}
