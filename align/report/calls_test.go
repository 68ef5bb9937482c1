package report_test

import (
	"go/ast"
	"go/parser"
	"go/token"
	"testing"
)

// From a record to a report in three calls of the library.
func TestExample_calls(t *testing.T) {
	file, err := parser.ParseFile(token.NewFileSet(), "example_test.go", nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	library := map[string]bool{"record": true, "study": true, "report": true}
	for _, d := range file.Decls {
		f, ok := d.(*ast.FuncDecl)
		if !ok || f.Name.Name != "Example" {
			continue
		}
		calls := 0
		ast.Inspect(f.Body, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				if of, ok := s.X.(*ast.Ident); ok && library[of.Name] {
					calls++
				}
			}
			return true
		})
		if calls != 3 {
			t.Errorf("%d calls, want 3", calls)
		}
		return
	}
	t.Error("there is no Example")
}
