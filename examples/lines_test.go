package examples_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strings"
	"testing"
)

// The tasks' examples stay as short as they are promised: a plain chain of three parts to a yield in ten lines of Go,
// a box to a yield with its error in 20, a record to a report in 15 with its errors handled, a chain in several ways
// side by side in 120.
func TestExamples_lines(t *testing.T) {
	whole := func(file string) int {
		text, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		return strings.Count(string(text), "\n")
	}
	body := func(file, name string) int {
		set := token.NewFileSet()
		f, err := parser.ParseFile(set, file, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range f.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok || fn.Name.Name != name {
				continue
			}
			last := 0
			for _, s := range fn.Body.List {
				last = set.Position(s.End()).Line
			}
			return last - set.Position(fn.Body.Lbrace).Line
		}
		t.Fatalf("%s: no %s", file, name)
		return 0
	}
	for what, c := range map[string]struct{ lines, most int }{
		"three parts to a yield": {body("../stackup/samples_test.go", "ExampleStudy_Run"), 10},
		"a box to a yield":       {body("../align/study/example_test.go", "ExampleOf"), 20},
		"a record to a report":   {body("../align/report/example_test.go", "Example"), 15},
		"chain, side by side":    {whole("chain/main.go"), 120},
	} {
		if c.lines > c.most {
			t.Errorf("%s: %d lines, at most %d", what, c.lines, c.most)
		}
		t.Logf("%s: %d lines", what, c.lines)
	}
}
