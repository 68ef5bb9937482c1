package examples_test

import (
	"os/exec"
	"slices"
	"strings"
	"testing"
)

const module = "example.com/borestack"

// mayKnow lists, for every room, the rooms that it may depend on, directly or not. A room's own internal packages go with it. A package that is not listed fails the test, so that every new room says where it stands; a program below examples may know them all.
var mayKnow = map[string][]string{
	"fault":                 {},
	"":                      {},
	"tolerance":             {"fault"},
	"tolerance/fits":        {"fault", "tolerance"},
	"stackup/law":           {"fault", "tolerance"},
	"stackup":               {"fault", "tolerance", "stackup/law"},
	"stackup/quasi":         {"fault", "tolerance", "stackup/law", "stackup"},
	"stackup/rare":          {"fault", "tolerance", "stackup/law", "stackup"},
	"stackup/learn":         {"fault", "tolerance", "stackup/law", "stackup"},
	"stackup/estimate":      {"fault", "tolerance", "stackup/law", "stackup", "stackup/quasi", "stackup/rare"},
	"stackup/allocate":      {"fault", "tolerance", "stackup/law", "stackup"},
	"align/form":            {"fault", "tolerance"},
	"align":                 {"fault", "tolerance", "align/form"},
	"align/sheet":           {"fault", "tolerance", "align/form", "align"},
	"align/record":          {"fault", "tolerance", "tolerance/fits", "align/form", "align", "stackup/law"},
	"align/study":           {"fault", "tolerance", "tolerance/fits", "align/form", "align", "align/record", "stackup", "stackup/law"},
	"align/advise":          {"fault", "tolerance", "tolerance/fits", "align/sheet", "align/form", "align", "align/record", "align/study", "stackup", "stackup/law"},
	"align/advise/batch":    {"fault", "tolerance", "align/sheet", "align/form", "align", "align/draw", "stackup", "stackup/law"},
	"align/advise/bores":    {"fault", "tolerance", "align/sheet", "align/form", "align", "align/draw", "stackup", "stackup/law"},
	"align/advise/diagnose": {"fault", "tolerance", "align/sheet", "align/form", "align", "align/draw", "stackup", "stackup/law"},
	"align/advise/pair":     {"fault", "tolerance", "tolerance/fits", "align/sheet", "align/form", "align", "align/record", "align/study", "align/advise", "align/draw", "stackup", "stackup/law"},
	"align/advise/specify":  {"fault", "tolerance", "align/sheet", "tolerance/fits", "align/form", "align", "align/record", "align/draw", "stackup", "stackup/law"},
	"align/draw":            {"fault", "tolerance", "tolerance/fits", "align/sheet", "align/form", "align", "align/record", "align/study", "align/advise", "stackup", "stackup/law"},
	"align/report":          {"fault", "tolerance", "tolerance/fits", "align/sheet", "align/form", "align", "align/record", "align/study", "align/advise", "align/draw", "stackup", "stackup/law"},
	"internal/check":        {},
	"internal/gauss":        {},
	"internal/ieee":         {},
	"internal/rules":        {"fault"},
	"examples":              {},
}

// modules are those that the library may depend on, itself included.
var modules = []string{module, "gonum.org/v1/gonum"}

// room is the listed room that a package belongs to: itself, or the owner of the internal package.
func room(pkg string) string {
	if owner, _, internal := strings.Cut(pkg, "/internal/"); internal {
		return owner
	}
	return pkg
}

func goList(t *testing.T, args ...string) []string {
	t.Helper()
	tool, err := exec.LookPath("go")
	if err != nil {
		t.Skip("no go command: ", err)
	}
	out, err := exec.Command(tool, append([]string{"list"}, args...)...).Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	return strings.Split(strings.TrimSpace(string(out)), "\n")
}

// ours is the path of a package below the module, and whether it is below it.
func ours(pkg string) (string, bool) {
	if pkg == module {
		return "", true
	}
	return strings.CutPrefix(pkg, module+"/")
}

func TestImports_runOneWay(t *testing.T) {
	for _, line := range goList(t, "-f", `{{.ImportPath}}{{range .Deps}} {{.}}{{end}}`, module+"/...") {
		deps := strings.Fields(line)
		pkg, _ := ours(deps[0])
		if strings.HasPrefix(pkg, "examples/") {
			continue
		}
		allowed, listed := mayKnow[room(pkg)]
		if !listed {
			t.Errorf("%s is not listed in mayKnow: say where it stands", deps[0])
			continue
		}
		known := map[string]bool{room(pkg): true, "internal/gauss": true, "internal/ieee": true, "internal/rules": true} // numbers and faults alone: open to all
		for _, a := range allowed {
			known[a] = true
		}
		for _, d := range deps[1:] {
			if in, own := ours(d); own && !known[room(in)] {
				t.Errorf("%s depends on %s, which it may not know", deps[0], d)
			}
		}
	}
}

// The library depends on the standard library and gonum alone, and so do its programs; no file is opened
// below examples. What tests share may know more.
func TestImports_fewDependencies(t *testing.T) {
	args := []string{"-deps", "-f", "{{with .Module}}{{.Path}}{{end}}"}
	for _, pkg := range goList(t, module+"/...") {
		if pkg != module+"/stackup/internal/stacktest" && pkg != module+"/internal/check" {
			args = append(args, pkg)
		}
	}
	for _, line := range goList(t, args...) {
		if line != "" && !slices.Contains(modules, line) {
			t.Errorf("module %s is used: the library stays light", line)
		}
	}
	for _, line := range goList(t, "-f", `{{.ImportPath}}{{range .Imports}} {{.}}{{end}}`, module+"/...") {
		deps := strings.Fields(line)
		if pkg, _ := ours(deps[0]); strings.HasPrefix(pkg, "examples/") {
			continue
		}
		for _, d := range deps[1:] {
			switch d {
			case "os", "net", "net/http", "os/exec", "math/rand", "log", "unsafe", "C":
				t.Errorf("%s imports %s: readers and writers are passed in, and nothing is global", deps[0], d)
			}
		}
	}
}
