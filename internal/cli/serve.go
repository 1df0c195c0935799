package cli

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"log"
	"net"
	"os"
	"strings"
	"sync"

	"dawnsmith/internal/app"
	folder "dawnsmith/internal/shelf"
	"dawnsmith/internal/store"
	"dawnsmith/internal/web"
)

// serveVerb opens the page.
type serveVerb struct {
	Addr   string `default:"127.0.0.1:8465" placeholder:"HOST:PORT" help:"Where to listen; only this machine's own addresses. Port 0 takes a free one."`
	Folder string `default:"." placeholder:"FOLDER" help:"The folder of lamps and briefs."`
}

// Help is the long help.
func (serveVerb) Help() string {
	return "The page works in any browser on this machine, with or without script, and without a network. " +
		"It answers to nobody else. Stop it with Ctrl-C; nothing that was saved is lost."
}

func (v *serveVerb) Run(e *env) error {
	a, err := e.app()
	if err != nil {
		return err
	}
	sh, err := folder.Open(v.Folder)
	if err != nil {
		return input(err)
	}
	host, _, err := net.SplitHostPort(v.Addr)
	if err != nil {
		return input(fmt.Errorf("--addr is %q; write a host and a port, such as 127.0.0.1:8465", v.Addr))
	}
	if ip := net.ParseIP(host); host != "localhost" && (ip == nil || !ip.IsLoopback()) {
		return input(fmt.Errorf("--addr is %q; the page is for this machine only: take 127.0.0.1, [::1] or localhost", v.Addr))
	}
	l, err := net.Listen("tcp", v.Addr)
	if err != nil {
		return input(fmt.Errorf("%w; is it running already? --addr 127.0.0.1:0 takes a free port", err))
	}
	lb := &servedBook{e: e}
	defer lb.close()
	s, err := web.New(web.Options{App: a, Shelf: sh, Logbook: lb.open, Log: log.New(e.Err, "dawnsmith: ", 0)})
	if err != nil {
		return errors.Join(err, l.Close())
	}
	url := "http://" + l.Addr().String() + "/"
	if e.json {
		if err := e.writeJSON(map[string]string{"url": url, "folder": sh.Dir()}); err != nil {
			return err
		}
	} else {
		fmt.Fprintf(e.Out, "Open %s in a browser. The folder is %s; Ctrl-C stops it.\n", strings.TrimSuffix(url, "/"), sh.Dir())
	}
	return s.Serve(e.ctx, l)
}

// servedBook is the logbook of the page: opened when it is first needed, and
// only made when something is kept.
type servedBook struct {
	e    *env
	mu   sync.Mutex
	got  *app.Bench
	done func()
}

func (b *servedBook) open(ctx context.Context, make_ bool) (*app.Bench, error) {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.got != nil {
		return b.got, nil
	}
	path, err := b.e.bookPath()
	if err != nil {
		return nil, err
	}
	if _, err := os.Stat(path); errors.Is(err, fs.ErrNotExist) && !make_ {
		return nil, store.ErrNotFound
	}
	b.got, b.done, err = b.e.openBook(false)
	return b.got, err
}

func (b *servedBook) close() {
	b.mu.Lock()
	defer b.mu.Unlock()
	if b.done != nil {
		b.done()
	}
}
