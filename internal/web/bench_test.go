package web

import (
	"fmt"
	"net/http"
	"net/http/httptest"
	"testing"

	"dawnsmith/internal/app"
	"dawnsmith/internal/catalogue"
	"dawnsmith/internal/shelf"
)

// testServer is a server over an empty folder, answering to test.local:80.
func testServer(tb testing.TB) (*Server, string) {
	tb.Helper()
	dir := tb.TempDir()
	sh, err := shelf.Open(dir)
	if err != nil {
		tb.Fatal(err)
	}
	s, err := New(Options{App: &app.App{Parts: catalogue.Starter(), Workers: 2}, Shelf: sh, Hosts: []string{"127.0.0.1:8465", "localhost:8465"}})
	if err != nil {
		tb.Fatal(err)
	}
	tb.Cleanup(s.Close)
	return s, dir
}

// A change of the lamp: the first phase, never from the cache.
func BenchmarkChange(b *testing.B) {
	s, _ := testServer(b)
	h := s.Handler()
	i := 0
	for b.Loop() {
		i++
		r := httptest.NewRequest(http.MethodGet, fmt.Sprintf("http://127.0.0.1:8465/lamp/oulu-first?brief=oulu-bench&lead_length=%d+mm", 1000+i), nil)
		r.Header.Set("X-Fragment", "now")
		w := httptest.NewRecorder()
		h.ServeHTTP(w, r)
		if w.Code != http.StatusOK {
			b.Fatal(w.Code, w.Body.String())
		}
	}
}

// The page of a lamp when it was worked out before.
func BenchmarkPage(b *testing.B) {
	s, _ := testServer(b)
	h := s.Handler()
	for b.Loop() {
		w := httptest.NewRecorder()
		h.ServeHTTP(w, httptest.NewRequest(http.MethodGet, "http://127.0.0.1:8465/lamp/oulu-first", nil))
		if w.Code != http.StatusOK {
			b.Fatal(w.Code)
		}
	}
}
