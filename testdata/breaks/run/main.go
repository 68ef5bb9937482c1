// Command run breaks formulas on purpose, one at a time, and checks that the tests of the package
// that each belongs to notice.
//
//	go run ./testdata/breaks/run [-n] [-only regexp] [-jobs n] [-list file]
//
// The breaks stand in testdata/breaks/list.txt, whose head says how they are written. The tree is
// never touched: the module is copied once, as it stands, and a broken file is given to the compiler
// in place of the copy's (go build -overlay). A break that does not apply, does not compile or runs
// out of time is an error, not a catch. Exit status 0: all caught; 1: one is not; 2: it could not be
// tried.
package main

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"time"
)

func main() {
	only := flag.String("only", "", "a regular `expression`: only breaks whose line, place or tests it matches")
	dry := flag.Bool("n", false, "check only that every break applies: run no tests")
	jobs := flag.Int("jobs", 2, "how many breaks are tried at once")
	list := flag.String("list", "testdata/breaks/list.txt", "the list of breaks, in the module")
	flag.Parse()
	status, err := run(*list, *only, *dry, *jobs)
	if err != nil {
		fmt.Fprintln(os.Stderr, "breaks:", err)
		os.Exit(2)
	}
	os.Exit(status)
}

// outcome is what came of one break.
type outcome struct {
	result string // one of the words below
	detail string
	took   time.Duration
}

// The results of a break.
const (
	caught    = "caught"
	notCaught = "NOT CAUGHT"
	applies   = "applies"
	failed    = "ERROR"
)

func run(list, only string, dry bool, jobs int) (status int, err error) {
	root, err := moduleRoot()
	if err != nil {
		return 0, err
	}
	text, err := os.ReadFile(filepath.Join(root, list))
	if err != nil {
		return 0, err
	}
	breaks, err := parse(string(text))
	if err != nil {
		return 0, fmt.Errorf("%s: %w", list, err)
	}
	if breaks, err = matching(breaks, only); err != nil {
		return 0, err
	}
	begun := time.Now()
	if !dry {
		copied, err := os.MkdirTemp("", "breaks")
		if err != nil {
			return 0, err
		}
		defer os.RemoveAll(copied)
		if err := copyTree(copied, root); err != nil {
			return 0, err
		}
		root = copied
		if err := unbroken(root, breaks); err != nil {
			return 0, err
		}
	}
	results := each(breaks, jobs, func(b *change) outcome { return b.try(root, dry) })
	return summarise(os.Stdout, breaks, results, time.Since(begun)), nil
}

// moduleRoot is the folder of the module that the working directory is in.
func moduleRoot() (string, error) {
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}").Output()
	if err != nil {
		return "", fmt.Errorf("go list -m: %w: want to be run in the module", err)
	}
	return strings.TrimSpace(string(out)), nil
}

// copyTree copies the files of a folder and of those below it, without what git keeps.
func copyTree(to, from string) error {
	return filepath.WalkDir(from, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		rest, err := filepath.Rel(from, path)
		if err != nil {
			return err
		}
		switch at := filepath.Join(to, rest); {
		case d.Name() == ".git" && d.IsDir():
			return fs.SkipDir
		case d.IsDir():
			return os.MkdirAll(at, 0o700)
		case !d.Type().IsRegular() || d.Name() == ".git":
			return nil
		default:
			text, err := os.ReadFile(path)
			if err != nil {
				return err
			}
			return os.WriteFile(at, text, 0o600)
		}
	})
}

// unbroken runs the tests of all packages once as they are: what fails already catches nothing.
func unbroken(root string, breaks []*change) error {
	var packages []string
	for _, b := range breaks {
		packages = append(packages, b.tests...)
	}
	slices.Sort(packages)
	args := append([]string{"test", "-short", "-vet=off"}, slices.Compact(packages)...)
	fmt.Printf("Unbroken: go %s\n", strings.Join(args, " "))
	cmd := exec.Command("go", args...)
	cmd.Dir = root
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("the tests fail without any break:\n%s", out)
	}
	return nil
}

// each does the breaks, a few at a time, and prints each as it is done.
func each(breaks []*change, jobs int, do func(*change) outcome) []outcome {
	out := make([]outcome, len(breaks))
	next := make(chan int)
	var wait sync.WaitGroup
	var printing sync.Mutex
	for range max(jobs, 1) {
		wait.Add(1)
		go func() {
			defer wait.Done()
			for i := range next {
				out[i] = do(breaks[i])
				printing.Lock()
				fmt.Printf("%-10s %6.1f s  %-24s %s\n", out[i].result, out[i].took.Seconds(), breaks[i].under, breaks[i].what)
				if out[i].detail != "" {
					fmt.Printf("    %s\n", strings.ReplaceAll(strings.TrimSpace(out[i].detail), "\n", "\n    "))
				}
				printing.Unlock()
			}
		}()
	}
	for i := range breaks {
		next <- i
	}
	close(next)
	wait.Wait()
	return out
}

// summarise prints how many were caught in each place, and returns the exit status.
func summarise(w io.Writer, breaks []*change, results []outcome, took time.Duration) (status int) {
	type row struct{ breaks, good int }
	rows := map[string]*row{}
	var order []string
	good := 0
	for i, b := range breaks {
		if rows[b.under] == nil {
			rows[b.under] = &row{}
			order = append(order, b.under)
		}
		rows[b.under].breaks++
		switch results[i].result {
		case caught, applies:
			rows[b.under].good++
			good++
		case notCaught:
			status = max(status, 1)
		default:
			status = 2
		}
	}
	word := caught
	if len(results) > 0 && slices.ContainsFunc(results, func(o outcome) bool { return o.result == applies }) {
		word = applies
	}
	slices.Sort(order)
	fmt.Fprintf(w, "\n%-24s %6s %7s\n", "place", "breaks", word)
	for _, place := range order {
		fmt.Fprintf(w, "%-24s %6d %7d\n", place, rows[place].breaks, rows[place].good)
	}
	fmt.Fprintf(w, "%-24s %6d %7d in %v\n", "all", len(breaks), good, took.Round(time.Second))
	return status
}

// try breaks a copy of the file and runs the tests.
func (b *change) try(root string, dry bool) outcome {
	begun := time.Now()
	o := b.tried(root, dry)
	o.took = time.Since(begun)
	return o
}

func (b *change) tried(root string, dry bool) outcome {
	file, broken, err := b.apply(root)
	if err != nil {
		return outcome{result: failed, detail: err.Error()}
	}
	if dry {
		return outcome{result: applies}
	}
	folder, err := os.MkdirTemp("", "break")
	if err != nil {
		return outcome{result: failed, detail: err.Error()}
	}
	defer os.RemoveAll(folder)
	overlay, err := writeOverlay(folder, file, broken)
	if err != nil {
		return outcome{result: failed, detail: err.Error()}
	}
	if b.first != "" { // the tests that should notice; where they do not, all are asked
		if o := b.test(root, overlay, "-run", b.first); o.result != notCaught {
			return o
		}
	}
	return b.test(root, overlay)
}

// writeOverlay writes the broken file, and what go build -overlay wants to know of it.
func writeOverlay(folder, file, broken string) (string, error) {
	copied := filepath.Join(folder, filepath.Base(file))
	if err := os.WriteFile(copied, []byte(broken), 0o600); err != nil {
		return "", err
	}
	text, err := json.Marshal(map[string]map[string]string{"Replace": {file: copied}})
	if err != nil {
		return "", err
	}
	overlay := filepath.Join(folder, "overlay.json")
	return overlay, os.WriteFile(overlay, text, 0o600)
}

// patience is how long the tests of one break may take: many times what they need.
const patience = 8 * time.Minute

// saysFailed is how go test reports a test that failed, or one that panicked.
var saysFailed = regexp.MustCompile(`(?m)^\s*--- FAIL|^panic: |^fatal error: `)

// test runs the tests of the break's packages. Only a test that fails is a catch.
func (b *change) test(root, overlay string, more ...string) outcome {
	ctx, stop := context.WithTimeout(context.Background(), patience)
	defer stop()
	args := append([]string{"test", "-short", "-count=1", "-failfast", "-vet=off", "-overlay", overlay}, more...)
	cmd := exec.CommandContext(ctx, "go", append(args, b.tests...)...)
	cmd.Dir, cmd.WaitDelay = root, time.Second
	out, err := cmd.CombinedOutput()
	said := string(out)
	var exit *exec.ExitError
	switch {
	case err == nil:
		return outcome{result: notCaught}
	case ctx.Err() != nil || strings.Contains(said, "panic: test timed out"):
		return outcome{result: failed, detail: "the tests ran out of time"}
	case !errors.As(err, &exit):
		return outcome{result: failed, detail: err.Error()}
	case strings.Contains(said, "[build failed]") || strings.Contains(said, "[setup failed]") || !saysFailed.MatchString(said):
		return outcome{result: failed, detail: "no test ran:\n" + said}
	}
	return outcome{result: caught}
}
