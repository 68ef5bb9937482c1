// Command lesson is a page that teaches why a bolted-up box does not run true: the library compiled to WebAssembly, in one page that works offline.
//
// Usage:
//
//	lesson [-addr HOST:PORT]
//	lesson -out DIR
//
// It builds the page with the go command, which must be on the path, run from within the module, and serves it on this machine alone. With -out it writes the page as static files instead, which open from disk or from any web server.
//
// The box in it, a harbour launch's two-speed reduction box, is invented.
package main

import (
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"os/signal"
	"time"
)

// Exit statuses.
const (
	fine       = 0
	otherwise  = 1
	wrongInput = 2
)

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(run(ctx, os.Args[1:], os.Stdout, os.Stderr))
}

// run is the command; it returns the exit status.
func run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	flags := flag.NewFlagSet("lesson", flag.ContinueOnError)
	flags.SetOutput(stderr)
	addr := flags.String("addr", "127.0.0.1:8080", "serve here; port 0 takes a free one")
	out := flags.String("out", "", "write the page to this folder instead of serving it")
	switch err := flags.Parse(args); {
	case errors.Is(err, flag.ErrHelp):
		return fine
	case err != nil:
		return wrongInput
	}
	if flags.NArg() > 0 {
		flags.Usage()
		return wrongInput
	}
	tell := func(err error) int {
		fmt.Fprintln(stderr, "lesson:", err)
		return otherwise
	}
	page, err := build(ctx)
	if err != nil {
		return tell(err)
	}
	if *out != "" {
		if err := write(page, *out); err != nil {
			return tell(err)
		}
		fmt.Fprintf(stdout, "written to %s: open index.html there\n", *out)
		return fine
	}
	listener, err := net.Listen("tcp", *addr)
	if err != nil {
		return tell(err)
	}
	fmt.Fprintf(stdout, "http://%s/\n", listener.Addr())
	server := &http.Server{Handler: serve(page), ReadHeaderTimeout: 5 * time.Second}
	defer context.AfterFunc(ctx, func() { server.Close() })()
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return tell(err)
	}
	return fine
}
