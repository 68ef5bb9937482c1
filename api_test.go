package borestack_test

import (
	"bytes"
	"flag"
	"go/ast"
	"go/doc"
	"go/parser"
	"go/printer"
	"go/token"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var update = flag.Bool("update", false, "write testdata/api anew")

// Every exported identifier stands in testdata/api, one file a package, so that a change of the
// interface is seen. go test -run TestAPI -update . writes the files anew.
func TestAPI(t *testing.T) {
	const folder = "testdata/api"
	seen := map[string]bool{}
	for _, dir := range publicFolders(t) {
		name := strings.ReplaceAll(filepath.ToSlash(dir), "/", "-") + ".txt"
		if dir == "." {
			continue // documentation alone
		}
		seen[name] = true
		got := strings.Join(exported(t, dir), "\n") + "\n"
		path := filepath.Join(folder, name)
		if *update {
			if err := os.MkdirAll(folder, 0o755); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		want, err := os.ReadFile(path)
		if err != nil {
			t.Errorf("%v: write it with -update", err)
			continue
		}
		differ(t, path, strings.Split(string(want), "\n"), strings.Split(got, "\n"))
	}
	files, err := os.ReadDir(folder)
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if !seen[f.Name()] {
			t.Errorf("%s/%s: there is no such package", folder, f.Name())
		}
	}
}

// differ names the lines that came and went.
func differ(t *testing.T, path string, want, got []string) {
	t.Helper()
	for _, line := range want {
		if !slices.Contains(got, line) {
			t.Errorf("%s: gone: %s", path, line)
		}
	}
	for _, line := range got {
		if !slices.Contains(want, line) {
			t.Errorf("%s: new: %s", path, line)
		}
	}
}

// publicFolders are the folders of packages that a program outside may import.
func publicFolders(t *testing.T) []string {
	t.Helper()
	var out []string
	err := filepath.WalkDir(".", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (slices.Contains([]string{"internal", "examples", "testdata"}, d.Name()) || path != "." && strings.HasPrefix(d.Name(), ".")):
			return fs.SkipDir
		case strings.HasSuffix(path, ".go") && !strings.HasSuffix(path, "_test.go") && !slices.Contains(out, filepath.Dir(path)):
			out = append(out, filepath.Dir(path))
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}

// blanks are what formatting may change.
var blanks = regexp.MustCompile(`\s+`)

// exported lists a package's exported identifiers with what they are, sorted.
func exported(t *testing.T, dir string) []string {
	t.Helper()
	set := token.NewFileSet()
	names, err := filepath.Glob(filepath.Join(dir, "*.go"))
	if err != nil {
		t.Fatal(err)
	}
	var files []*ast.File
	for _, name := range names {
		if strings.HasSuffix(name, "_test.go") {
			continue
		}
		f, err := parser.ParseFile(set, name, nil, parser.SkipObjectResolution)
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, f)
	}
	p, err := doc.NewFromFiles(set, files, dir)
	if err != nil {
		t.Fatal(err)
	}
	say := func(node any) string {
		var b bytes.Buffer
		if err := printer.Fprint(&b, set, node); err != nil {
			t.Fatal(err)
		}
		return blanks.ReplaceAllString(b.String(), " ")
	}
	var out []string
	values := func(word string, list []*doc.Value) {
		for _, v := range list {
			for _, name := range v.Names {
				if ast.IsExported(name) {
					out = append(out, word+" "+name)
				}
			}
		}
	}
	funcs := func(list []*doc.Func) {
		for _, f := range list {
			f.Decl.Body, f.Decl.Doc = nil, nil
			out = append(out, say(f.Decl))
		}
	}
	values("const", p.Consts)
	values("var", p.Vars)
	funcs(p.Funcs)
	for _, q := range p.Types {
		values("const", q.Consts)
		values("var", q.Vars)
		funcs(q.Funcs)
		funcs(q.Methods)
		for _, s := range q.Decl.Specs {
			out = append(out, members(s.(*ast.TypeSpec), say)...)
		}
	}
	slices.Sort(out)
	return out
}

// members are a type, and the fields or methods that it shows.
func members(s *ast.TypeSpec, say func(any) string) []string {
	name := s.Name.Name
	var list *ast.FieldList
	kind := ""
	switch q := s.Type.(type) {
	case *ast.StructType:
		list, kind = q.Fields, "struct"
	case *ast.InterfaceType:
		list, kind = q.Methods, "interface"
	default:
		kind = say(s.Type)
	}
	if s.Assign.IsValid() {
		kind = "= " + kind
	}
	out := []string{"type " + name + " " + kind}
	if list == nil {
		return out
	}
	for _, f := range list.List {
		if len(f.Names) == 0 {
			out = append(out, "type "+name+": embeds "+say(f.Type))
		}
		for _, n := range f.Names {
			if n.IsExported() {
				out = append(out, "type "+name+": "+n.Name+" "+say(f.Type))
			}
		}
	}
	return out
}
