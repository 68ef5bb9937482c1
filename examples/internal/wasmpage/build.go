package wasmpage

import (
	"bytes"
	"compress/gzip"
	"context"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
)

// Page is a page to build.
type Page struct {
	Name    string // of the command, as it names itself in messages
	Program string // import path of the program for the browser
	Own     fs.FS  // the hand-written files, index.html among them, all in its root
	Packed  bool   // the program is compressed by pack and not by gzip: that takes half a minute, and a fifth off
}

// Files are a built page, by name.
type Files map[string][]byte

// Script is the file that carries the program: its function programModule compiles it. Support is the one that runs it, which a second thread finds in the constant programSupport.
const (
	Script  = "program_wasm.js"
	Support = "wasm_exec.js"
)

// The page's side of the program's compression, and of its loading.
var (
	//go:embed unpack.js
	unpackScript string
	//go:embed inflate.js
	inflateScript string
	//go:embed load.js
	loadScript string
)

// Build compiles the program for the browser and returns the page's files. Only the solvers are inlined: that keeps most of the speed and takes a twentieth off the size.
func Build(ctx context.Context, p Page) (Files, error) {
	wasm, err := compile(ctx, p)
	if err != nil {
		return nil, err
	}
	small, undo := pack, unpackScript
	if !p.Packed {
		small, undo = zip, inflateScript
	}
	run, err := support(ctx)
	if err != nil {
		return nil, err
	}
	quoted, err := json.Marshal(string(run))
	if err != nil {
		return nil, err
	}
	page := Files{Support: run, Script: fmt.Appendf(nil, "const programWasm = '%s';\nconst programSupport = %s;\n%s%s",
		base64.StdEncoding.EncodeToString(small(wasm)), quoted, undo, loadScript)}
	entries, err := fs.ReadDir(p.Own, ".")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		if page[e.Name()], err = fs.ReadFile(p.Own, e.Name()); err != nil {
			return nil, err
		}
	}
	return page, nil
}

// compile builds the program.
func compile(ctx context.Context, p Page) ([]byte, error) {
	dir, err := os.MkdirTemp("", p.Name)
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(dir)
	binary := filepath.Join(dir, "program.wasm")
	cmd := exec.CommandContext(ctx, "go", "build", "-trimpath", "-ldflags=-s -w",
		"-gcflags=all=-l", "-gcflags=example.com/borestack/align/internal/...=", "-o", binary, p.Program)
	cmd.Env = append(os.Environ(), "GOOS=js", "GOARCH=wasm", "CGO_ENABLED=0")
	if said, err := cmd.CombinedOutput(); err != nil {
		return nil, fmt.Errorf("go build for the browser: %w\n%s", err, said)
	}
	return os.ReadFile(binary)
}

// zip compresses as browsers undo.
func zip(data []byte) []byte {
	var out bytes.Buffer
	w, err := gzip.NewWriterLevel(&out, gzip.BestCompression)
	if err == nil {
		_, err = w.Write(data)
	}
	if err := errors.Join(err, w.Close()); err != nil {
		panic(err) // a buffer takes everything
	}
	return out.Bytes()
}

// Compressed is how many bytes of a built page are the compressed program, before base64.
func (f Files) Compressed() int {
	text, _, _ := strings.Cut(strings.TrimPrefix(string(f[Script]), "const programWasm = '"), "'")
	return base64.StdEncoding.DecodedLen(len(text))
}

// support is the script that the Go distribution brings for its WebAssembly programs.
func support(ctx context.Context) ([]byte, error) {
	root, err := exec.CommandContext(ctx, "go", "env", "GOROOT").Output()
	if err != nil {
		return nil, fmt.Errorf("go env GOROOT: %w", err)
	}
	var faults []error
	for _, folder := range []string{"lib", "misc"} { // where it is, and where it was before Go 1.24
		data, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(root)), folder, "wasm", Support))
		if err == nil {
			return data, nil
		}
		faults = append(faults, err)
	}
	return nil, errors.Join(faults...)
}
