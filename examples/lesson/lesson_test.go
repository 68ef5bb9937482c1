package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"encoding/base64"
	"io"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// The page builds for the browser, the library in it is small enough, and it goes to disk and over the wire as it was built.
func TestBuild(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles the library")
	}
	page, err := build(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	script := string(page["lesson_wasm.js"])
	text := strings.TrimSuffix(strings.TrimPrefix(script, "const lessonWasm = '"), "';\n")
	small, err := base64.StdEncoding.DecodeString(text)
	if err != nil {
		t.Fatal(err)
	}
	const mostCompressed = 2_000_000 // what the page promises to weigh; another compiler may miss it, and the page still runs
	if len(small) > mostCompressed {
		t.Errorf("%d bytes compressed, want at most %d", len(small), mostCompressed)
	}
	t.Logf("%d bytes compressed", len(small))
	r, err := gzip.NewReader(bytes.NewReader(small))
	if err != nil {
		t.Fatal(err)
	}
	if wasm, err := io.ReadAll(r); err != nil || !bytes.HasPrefix(wasm, []byte("\x00asm")) {
		t.Errorf("the library is no WebAssembly: %v", err)
	}

	dir := filepath.Join(t.TempDir(), "new", "folder")
	if err := write(page, dir); err != nil {
		t.Fatal(err)
	}
	server := httptest.NewServer(serve(page))
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

// Nothing in the hand-written files points outside: the page works offline.
func TestPage_offline(t *testing.T) {
	address := regexp.MustCompile(`https?://[^\s"'<)]*`)
	for _, name := range []string{"index.html", "lesson.css", "lesson.js"} {
		data, err := own.ReadFile("web/" + name)
		if err != nil {
			t.Fatal(err)
		}
		for _, a := range address.FindAllString(string(data), -1) {
			if a != "http://www.w3.org/2000/svg" { // the name of a format, fetched by nobody
				t.Errorf("%s points to %s", name, a)
			}
		}
	}
}

func TestRun_faults(t *testing.T) {
	for _, args := range [][]string{{"-nonsense"}, {"file"}} {
		var out, errs strings.Builder
		if status := run(context.Background(), args, &out, &errs); status != wrongInput || errs.Len() == 0 {
			t.Errorf("%v: status %d, said %q", args, status, errs.String())
		}
	}
	var out, errs strings.Builder
	if status := run(context.Background(), []string{"-h"}, &out, &errs); status != fine {
		t.Errorf("-h: status %d", status)
	}
	ended, stop := context.WithCancel(context.Background())
	stop()
	if status := run(ended, []string{"-out", t.TempDir()}, &out, &errs); status != otherwise {
		t.Errorf("a build that is stopped: status %d", status)
	}
}

// The command serves until it is told to stop, and then ends well.
func TestRun_serves(t *testing.T) {
	if testing.Short() {
		t.Skip("compiles the library")
	}
	ctx, stop := context.WithCancel(context.Background())
	defer stop()
	r, w := io.Pipe()
	done := make(chan int)
	go func() {
		status := run(ctx, []string{"-addr", "127.0.0.1:0"}, w, io.Discard)
		w.Close()
		done <- status
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
	case status := <-done:
		if status != fine {
			t.Errorf("exit status %d", status)
		}
	case <-time.After(time.Minute):
		t.Error("it does not stop")
	}
}
