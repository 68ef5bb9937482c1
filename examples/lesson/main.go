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
	"embed"
	"io/fs"
	"os"
	"os/signal"

	"example.com/borestack/examples/internal/wasmpage"
)

//go:embed web
var own embed.FS

// page is the lesson, to be built.
func page() wasmpage.Page {
	web, err := fs.Sub(own, "web")
	if err != nil {
		panic(err) // the name is a valid path
	}
	return wasmpage.Page{Name: "lesson", Program: "example.com/borestack/examples/lesson/page", Own: web}
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(wasmpage.Run(ctx, page(), os.Args[1:], os.Stdout, os.Stderr))
}
