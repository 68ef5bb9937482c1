package main

import (
	"flag"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"
)

var update = flag.Bool("update", false, "rewrite the first lines kept beside the records")

// headLines is how many lines of the text are kept: what somebody reads who reads nothing else.
const headLines = 10

// The first lines of the text, read by eye as a builder would, stay as they were read: nothing in them may be misread. What
// they come to is tested elsewhere; with -update they are written anew, to be read again.
func TestFirstLines(t *testing.T) {
	files, err := filepath.Glob("../../testdata/records/firstlines/*.json")
	if err != nil || len(files) != 12 {
		t.Fatalf("%d records: %v", len(files), err)
	}
	for _, file := range files {
		name := strings.TrimSuffix(filepath.Base(file), ".json")
		t.Run(name, func(t *testing.T) {
			out, errs, status := driveline("", "-samples", "4000", file)
			if status > notAllPass {
				t.Fatalf("exit status %d: %s", status, errs)
			}
			lines := strings.Split(out, "\n")
			got := strings.Join(lines[:min(headLines, len(lines))], "\n") + "\n"
			for _, l := range lines[:headLines] {
				if utf8.RuneCountInString(l) > 100 {
					t.Errorf("a line of %d columns: %s", utf8.RuneCountInString(l), l)
				}
			}
			if !strings.Contains(got, "Invented: ") {
				t.Error("the first lines do not say that the box is invented")
			}
			kept := strings.TrimSuffix(file, ".json") + ".txt"
			if *update {
				if err := os.WriteFile(kept, []byte(got), 0o644); err != nil {
					t.Fatal(err)
				}
				return
			}
			want, err := os.ReadFile(kept)
			if err != nil {
				t.Fatal(err)
			}
			if got != string(want) {
				t.Errorf("the first lines changed; read them, and write them anew with -update:\n%s\nwant\n%s", got, want)
			}
		})
	}
}
