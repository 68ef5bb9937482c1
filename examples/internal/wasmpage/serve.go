package wasmpage

import (
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// Exit statuses of [Run].
const (
	Fine       = 0
	Otherwise  = 1
	WrongInput = 2
)

// Run is the command that builds the page and serves it, or with -out writes it; it returns the exit status.
func Run(ctx context.Context, p Page, args []string, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet(p.Name, flag.ContinueOnError)
	flags.SetOutput(stderr)
	addr := flags.String("addr", "127.0.0.1:8080", "serve here; port 0 takes a free one")
	out := flags.String("out", "", "write the page to this folder instead of serving it")
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return Fine
	case err != nil:
		return WrongInput
	}
	if flags.NArg() > 0 {
		flags.Usage()
		return WrongInput
	}
	tell := func(err error) int {
		fmt.Fprintf(stderr, "%s: %v\n", p.Name, err)
		return Otherwise
	}
	page, err := Build(ctx, p)
	if err != nil {
		return tell(err)
	}
	if *out != "" {
		if err := page.Write(*out); err != nil {
			return tell(err)
		}
		fmt.Fprintf(stdout, "written to %s: open index.html there\n", *out)
		return Fine
	}
	if err := page.Serve(ctx, *addr, stdout); err != nil {
		return tell(err)
	}
	return Fine
}

// Serve serves the page until ctx is done; it says where.
func (f Files) Serve(ctx context.Context, addr string, stdout io.Writer) error {
	listener, err := net.Listen("tcp", addr)
	if err != nil {
		return err
	}
	fmt.Fprintf(stdout, "http://%s/\n", listener.Addr())
	server := &http.Server{Handler: f.Handler(), ReadHeaderTimeout: 5 * time.Second}
	defer context.AfterFunc(ctx, func() { server.Close() })()
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// Write puts the page into a folder, which it makes if need be.
func (f Files) Write(dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for name, data := range f {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// Handler serves the page.
func (f Files) Handler() http.Handler {
	built := time.Now()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := strings.TrimPrefix(r.URL.Path, "/")
		if name == "" {
			name = "index.html"
		}
		data, ok := f[name]
		if !ok {
			http.NotFound(w, r)
			return
		}
		http.ServeContent(w, r, name, built, bytes.NewReader(data))
	})
}
