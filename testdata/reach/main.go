// Command reach lists the functions of the library that nothing reaches: no program under examples
// or testdata, and no Example function of a package's documentation. It exits with status 1 if there
// are any that kept.txt does not name.
//
//	cd testdata/reach && go run .
//
// What only a test calls is dead weight: it is to be wired to a program, documented with an example,
// or deleted. Method sets are followed as by rapid type analysis, so a method that an interface may
// call counts as reached.
package main

import (
	"bufio"
	"errors"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"golang.org/x/tools/go/callgraph/rta"
	"golang.org/x/tools/go/packages"
	"golang.org/x/tools/go/ssa"
	"golang.org/x/tools/go/ssa/ssautil"
)

const module = "example.com/borestack"

func main() {
	if err := run(); err != nil {
		fmt.Fprintln(os.Stderr, "reach:", err)
		os.Exit(1)
	}
}

func run() error {
	root, err := filepath.Abs("../..")
	if err != nil {
		return err
	}
	kept, err := keptNames("kept.txt")
	if err != nil {
		return err
	}
	declared, reached := map[string]string{}, map[string]bool{}
	// A page of the lesson exists for the browser alone, most programs everywhere else.
	for _, target := range [][]string{{"GOOS=linux", "GOARCH=amd64"}, {"GOOS=js", "GOARCH=wasm"}} {
		if err := walk(root, target, declared, reached); err != nil {
			return err
		}
	}
	dead := 0
	for _, name := range slices.Sorted(maps.Keys(declared)) {
		switch {
		case !reached[name] && !kept[name]:
			fmt.Printf("%s: %s\n", declared[name], name)
			dead++
		case reached[name] && kept[name]:
			return fmt.Errorf("%s is reached: take it out of kept.txt", name)
		}
		delete(kept, name)
	}
	for name := range kept {
		return fmt.Errorf("kept.txt names %s, which is not there", name)
	}
	if dead > 0 {
		return fmt.Errorf("%d functions that no program and no documented example reaches", dead)
	}
	return nil
}

// walk adds the module's functions as built for one target: all that are declared, with their places,
// and those that programs and examples reach.
func walk(root string, target []string, declared map[string]string, reached map[string]bool) error {
	pkgs, err := packages.Load(&packages.Config{
		Mode:  packages.LoadAllSyntax | packages.NeedForTest,
		Dir:   root,
		Env:   append(os.Environ(), target...),
		Tests: true,
	}, "./...")
	if err != nil {
		return err
	}
	if packages.PrintErrors(pkgs) > 0 {
		return errors.New("the packages do not load")
	}
	prog, ssaPkgs := ssautil.AllPackages(pkgs, ssa.InstantiateGenerics)
	prog.Build()
	var roots []*ssa.Function
	for i, p := range ssaPkgs {
		if p == nil {
			continue
		}
		program := p.Pkg.Name() == "main" && !strings.HasSuffix(pkgs[i].ID, ".test")
		for _, member := range p.Members {
			f, ok := member.(*ssa.Function)
			if ok && (strings.HasPrefix(f.Name(), "Example") || program && (f.Name() == "main" || f.Name() == "init")) {
				roots = append(roots, f)
			}
		}
	}
	graph := rta.Analyze(roots, false)
	for f := range graph.Reachable {
		if name, _ := place(prog, root, f); name != "" {
			reached[name] = true
		}
	}
	for f := range ssautil.AllFunctions(prog) {
		if name, at := place(prog, root, f); name != "" && declared[name] == "" {
			declared[name] = at
		}
	}
	return nil
}

// place is the name and the source line of a declared function of the library, or nothing for any
// other: tests, programs, closures, what the compiler makes.
func place(prog *ssa.Program, root string, f *ssa.Function) (name, at string) {
	if origin := f.Origin(); origin != nil {
		f = origin
	}
	if f.Pkg == nil || f.Parent() != nil || f.Synthetic != "" || !f.Pos().IsValid() {
		return "", ""
	}
	path := f.Pkg.Pkg.Path()
	position := prog.Fset.Position(f.Pos())
	rel, err := filepath.Rel(root, position.Filename)
	if err != nil || !strings.HasPrefix(path, module) || strings.HasSuffix(rel, "_test.go") || f.Name() == "init" {
		return "", ""
	}
	// Outside the library: programs, test mains that the build makes, helpers that tests share.
	for _, folder := range []string{"..", "examples", "testdata", "internal/check", "stackup/internal/stacktest"} {
		if strings.HasPrefix(rel, folder) {
			return "", ""
		}
	}
	return strings.TrimPrefix(f.String(), module+"/"), fmt.Sprintf("%s:%d", rel, position.Line)
}

// keptNames reads the functions that stay though nothing reaches them, one a line, with the reason
// after a #.
func keptNames(file string) (map[string]bool, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	kept := map[string]bool{}
	for lines := bufio.NewScanner(f); lines.Scan(); {
		name, _, _ := strings.Cut(lines.Text(), "#")
		if name = strings.TrimSpace(name); name != "" {
			kept[name] = true
		}
	}
	return kept, nil
}
