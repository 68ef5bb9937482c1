// Command bench is the page for whoever stands at a bench with a micrometer and a dial: a form in the order in which one measures, and the verdict on the box always in view. The library, compiled to WebAssembly, works it out in the page itself; nothing leaves it.
//
// Usage:
//
//	bench [-addr HOST:PORT]
//	bench -out DIR
//
// It builds the page with the go command, which must be on the path, run from within the module, and serves it on this machine alone; it opens nothing. With -out it writes the page as static files instead, which open from disk or from any web server.
//
// # The page
//
// Parts are entered from front to rear, with their faces, pilots, dowel holes and bores; then joints, shafts with their supports, limits with where they come from, and candidates. Every field is a place of the record and shows what it was understood as, what is missing or wrong there, and what is in doubt. Lengths may be typed with a decimal point or comma, with a unit behind them, and in inches as fractions. Every round has the unit of its own gauge.
//
// The verdict follows every key: first as the parts rest, at once; then in full, over all that the parts may be pushed and with the uncertainty of the readings, as the command driveline says it. What varies in a batch is left to that command.
//
// The page saves and opens records, fills one from a CSV file dropped on it (RECORD.md says which columns), keeps the last record in the browser, prints one page, and starts from skeletons whose numbers are all invented.
//
// # Map
//
//   - internal/draft: a record while it is being written
//   - internal/form: the form, what is said of every entry, the verdict, the sketches
//   - page: the program for the browser; web: the page itself
//   - browsertest: a module of its own that tries the page in a real browser
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

// page is the bench page, to be built.
func page() wasmpage.Page {
	web, err := fs.Sub(own, "web")
	if err != nil {
		panic(err) // the name is a valid path
	}
	return wasmpage.Page{Name: "bench", Program: "example.com/borestack/examples/bench/page", Own: web, Packed: true}
}

func main() {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	os.Exit(wasmpage.Run(ctx, page(), os.Args[1:], os.Stdout, os.Stderr))
}
