// Package pagetest holds what every page of the examples promises: it builds, weighs little, goes to disk and over the wire as it was built, points to nothing outside, and its command ends well.
package pagetest

import (
	"bytes"
	"compress/gzip"
	"context"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.com/borestack/examples/internal/wasmpage"
)

// MostCompressed is what a page may weigh with its program, compressed; another compiler may miss it, and the page still runs.
const MostCompressed = 2_000_000

// Check tries a page and its command.
func Check(t *testing.T, p wasmpage.Page) {
	t.Run("offline", func(t *testing.T) { offline(t, p) })
	t.Run("faults", func(t *testing.T) { faults(t, p) })
	if testing.Short() {
		t.Skip("compiles the library")
	}
	page, err := wasmpage.Build(context.Background(), p)
	if err != nil {
		t.Fatal(err)
	}
	weight := page.Compressed()
	for name, data := range page {
		if name != wasmpage.Script {
			var packed bytes.Buffer
			z, _ := gzip.NewWriterLevel(&packed, gzip.BestCompression) // a level that there is
			z.Write(data)
			z.Close() // to memory: both never fail
			weight += packed.Len()
		}
	}
	if t.Logf("%d bytes compressed", weight); weight > MostCompressed {
		t.Errorf("%d bytes compressed, want at most %d", weight, MostCompressed)
	}
	t.Run("as built", func(t *testing.T) { asBuilt(t, page) })
	t.Run("serves", func(t *testing.T) { serves(t, page) })
}

// asBuilt holds the page on disk and over the wire against what was built.
func asBuilt(t *testing.T, page wasmpage.Files) {
	dir := filepath.Join(t.TempDir(), "new", "folder")
	if err := page.Write(dir); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(page.Handler())
	defer server.Close()
	for name, data := range page {
		if onDisk, err := os.ReadFile(filepath.Join(dir, name)); err != nil || !bytes.Equal(onDisk, data) {
			t.Errorf("%s on disk: %v", name, err)
		}
		if served, status := get(t, server.URL+"/"+name); status != http.StatusOK || !bytes.Equal(served, data) {
			t.Errorf("%s served: status %d", name, status)
		}
	}
	if first, _ := get(t, server.URL+"/"); !bytes.Equal(first, page["index.html"]) {
		t.Error("the folder is not served as its page")
	}
	if _, status := get(t, server.URL+"/../main.go"); status != http.StatusNotFound {
		t.Errorf("what is not of the page has status %d", status)
	}
}

func get(t *testing.T, url string) ([]byte, int) {
	t.Helper()
	r, err := http.Get(url)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Body.Close()
	data, err := io.ReadAll(r.Body)
	if err != nil {
		t.Fatal(err)
	}
	return data, r.StatusCode
}

// offline finds nothing in the hand-written files that points outside.
func offline(t *testing.T, p wasmpage.Page) {
	address := regexp.MustCompile(`https?://[^\s"'<)]*`)
	err := fs.WalkDir(p.Own, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(p.Own, name)
		for _, a := range address.FindAllString(string(data), -1) {
			if a != "http://www.w3.org/2000/svg" { // the name of a format, fetched by nobody
				t.Errorf("%s points to %s", name, a)
			}
		}
		return err
	})
	if err != nil {
		t.Error(err)
	}
}

// faults tries arguments that are wrong, and a build that is stopped.
func faults(t *testing.T, p wasmpage.Page) {
	for _, args := range [][]string{{"-nonsense"}, {"file"}} {
		var out, errs strings.Builder
		if status := wasmpage.Run(context.Background(), p, args, &out, &errs); status != wasmpage.WrongInput || errs.Len() == 0 {
			t.Errorf("%v: status %d, said %q", args, status, errs.String())
		}
	}
	var out, errs strings.Builder
	if status := wasmpage.Run(context.Background(), p, []string{"-h"}, &out, &errs); status != wasmpage.Fine {
		t.Errorf("-h: status %d", status)
	}
	ended, stop := context.WithCancel(context.Background())
	stop()
	if status := wasmpage.Run(ended, p, []string{"-out", t.TempDir()}, &out, &errs); status != wasmpage.Otherwise {
		t.Errorf("a build that is stopped: status %d", status)
	}
}

// serves serves the page until it is told to stop; then it ends well.
func serves(t *testing.T, page wasmpage.Files) {
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	r, w := io.Pipe()
	done := make(chan error)
	go func() {
		err := page.Serve(ctx, "127.0.0.1:0", w)
		w.Close()
		done <- err
	}()
	line := make([]byte, 100)
	n, err := r.Read(line)
	if err != nil {
		t.Fatal(err)
	}
	if page, status := get(t, strings.TrimSpace(string(line[:n]))); status != http.StatusOK || !bytes.Contains(page, []byte("<h1>")) {
		t.Errorf("status %d", status)
	}
	stop()
	select {
	case err := <-done:
		if err != nil {
			t.Error(err)
		}
	case <-time.After(time.Minute):
		t.Error("it does not stop")
	}
}
