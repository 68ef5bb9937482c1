// Package wasmpage is what the examples that are pages have in common: a Go program compiled for the browser and a few hand-written files, served on this machine alone or written to a folder, where they open from disk without a network.
//
// The program is carried in a script, compressed and in base64, because a page from disk can fetch nothing: the script's function programModule gives it compiled, and wasm_exec.js, which the Go distribution brings, runs it.
//
//   - build.go: the page's files; serve.go: the command that serves or writes them
//   - pack.go, find.go, way.go, price.go: a tight compression for large programs; unpack.js: its other half
//   - pagetest: what every page promises, as tests
package wasmpage
