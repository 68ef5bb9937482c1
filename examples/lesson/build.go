package main

import (
	"bytes"
	"compress/gzip"
	"context"
	"embed"
	"encoding/base64"
	"errors"
	"fmt"
	"net/http"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"time"
)

// files are the page, by name.
type files map[string][]byte

// own are the page's hand-written files.
//
//go:embed web
var own embed.FS

// pagePackage is the Go side of the page.
const pagePackage = "example.com/borestack/examples/lesson/page"

// build compiles the library for the browser and returns the page's files. Only the solvers are inlined: that keeps most of the speed and takes a twentieth off the size.
func build(ctx context.Context) (files, error) {
	dir, err := os.MkdirTemp("", "lesson")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	binary := filepath.Join(dir, "lesson.wasm")
	cmd := exec.CommandContext(ctx, "go", "build", "-trimpath", "-ldflags=-s -w",
		"-gcflags=all=-l", "-gcflags=example.com/borestack/align/internal/...=", "-o", binary, pagePackage)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if said, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("go build for the browser: %w\n%s", err, said)
	}
	wasm, err := os.ReadFile(binary)
	if err != nil {
		return nil, err
	}
	small, err := compress(wasm)
	if err != nil {
		return nil, err
	}
	support, err := support(ctx)
	if err != nil {
		return nil, err
	}
	page := files{
		"wasm_exec.js":   support,
		"lesson_wasm.js": []byte("const lessonWasm = '" + base64.StdEncoding.EncodeToString(small) + "';\n"),
	}
	for _, name := range []string{"index.html", "lesson.css", "lesson.js"} {
		data, err := own.ReadFile("web/" + name)
		if err != nil {
			return nil, err
		}
		page[name] = data
	}
	return page, nil
}

func compress(data []byte) ([]byte, error) {
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return out.Bytes(), nil
}

// support is the script that the Go distribution brings for its WebAssembly programs.
func support(ctx context.Context) ([]byte, error) {
	root, err := exec.CommandContext(ctx, "go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env GOROOT: %w", err)
	}
	var faults []error
	for _, folder := range []string{"lib", "misc"} { // where it is, and where it was before Go 1.24
		data, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), folder, "wasm", "wasm_exec.js"))
		if err == nil {
			return data, nil
		}
		faults = append(faults, err)
	}
	return nil, errors.Join(faults...)
}

// write puts the page into a folder, which it makes if need be.
func write(page files, dir string) error {
	if err := os.MkdirAll(dir, 0o755); err != nil {
		return err
	}
	for name, data := range page {
		if err := os.WriteFile(filepath.Join(dir, name), data, 0o644); err != nil {
			return err
		}
	}
	return nil
}

// serve serves the page.
func serve(page files) http.Handler {
	built := time.Now()
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		name := strings.TrimPrefix(r.URL.Path, "/")
		if name == "" {
			name = "index.html"
		}
		data, ok := page[name]
		if !ok {
			http.NotFound(w, r)
			return
		}
		http.ServeContent(w, r, name, built, bytes.NewReader(data))
	})
}
