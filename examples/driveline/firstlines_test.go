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

// The first screen holds 24 lines of 100 columns at the most, whatever the record; with -full it stands above the rest, and
// nothing that it says is missing there.
func TestFirstScreen_fits(t *testing.T) {
	files, err := filepath.Glob("../../testdata/records/firstlines/*.json")
	more, err2 := filepath.Glob("../../testdata/records/*.json")
	if err != nil || err2 != nil || len(files)+len(more) < 14 {
		t.Fatalf("%d records: %v, %v", len(files)+len(more), err, err2)
	}
	for _, file := range append(files, more...) {
		short, errs, status := driveline("", "-samples", "200", file)
		full, _, _ := driveline("", "-samples", "200", "-full", file)
		if status > notAllPass {
			t.Fatalf("%s: exit status %d: %s", file, status, errs)
		}
		lines := strings.Split(strings.TrimSuffix(short, "\n"), "\n")
		if len(lines) > 24 {
			t.Errorf("%s: %d lines\n%s", file, len(lines), short)
		}
		for _, l := range lines {
			if n := utf8.RuneCountInString(l); n > 100 {
				t.Errorf("%s: %d columns: %s", file, n, l)
			}
		}
		if above := strings.Join(lines[:len(lines)-1], "\n") + "\n"; !strings.HasPrefix(full, above) {
			t.Errorf("%s: the full report does not begin with the first screen", file)
		}
		if todo := strings.Count(short, "\n    1. ") + strings.Count(short, "\n    2. ") + strings.Count(short, "\n    3. "); todo < 1 || strings.Contains(short, "\n    4. ") {
			t.Errorf("%s: %d things to do\n%s", file, todo, short)
		}
		if strings.Contains(short, "Misalignment") && !strings.Contains(short, "|") {
			t.Errorf("%s: no picture\n%s", file, short)
		}
		if rest := strings.TrimPrefix(full, strings.Join(lines[:len(lines)-1], "\n")); strings.Contains(short, "...\n") && !strings.Contains(rest, "The first lines in full") {
			t.Errorf("%s: what was left out of the first screen is nowhere", file)
		}
	}
}
