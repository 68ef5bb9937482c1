package main

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The page stands beside the normal output and exit status, and changes neither.
func TestRun_html(t *testing.T) {
	file := filepath.Join(t.TempDir(), "page.html")
	for _, args := range [][]string{nil, {"-json"}} {
		want, _, wantStatus := driveline("", args...)
		out, errs, status := driveline("", append(args, "-html", file)...)
		if out != want || errs != "" || status != wantStatus {
			t.Errorf("%v: exit status %d, want %d; standard error %q; the output differs: %v", args, status, wantStatus, errs, out != want)
		}
		page, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		if !bytes.HasPrefix(page, []byte("<!DOCTYPE html>")) || !bytes.HasSuffix(page, []byte("</html>\n")) || bytes.Count(page, []byte("<svg")) < 5 {
			t.Errorf("%v: %d bytes are not a page with pictures", args, len(page))
		}
		if err := os.Remove(file); err != nil {
			t.Fatal(err)
		}
	}
}

func TestRun_htmlExitStatus(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "page.html")
	for name, c := range map[string]struct {
		args   []string
		stdin  string
		status int
		wrong  string
		made   bool
	}{
		"fails":          {[]string{"-html", file, "-"}, box(`,"accept":[{"output":{"kind":"offset","of":"tail/bush"},"greatest":0}]`), notAllPass, "", true},
		"wrong record":   {[]string{"-html", file, "-"}, box(`,"limits":[]`), wrongInput, "/limits", false},
		"cannot write":   {[]string{"-html", filepath.Join(dir, "none", "page.html"), "-"}, box(``), otherwise, "page.html", false},
		"with -check":    {[]string{"-check", "-html", file, "-"}, box(``), wrongInput, "usage", false},
		"with -blocks":   {[]string{"-blocks", "0-1", "-html", file, "-"}, box(``), wrongInput, "usage", false},
		"without a name": {[]string{"-html"}, ``, wrongInput, "html", false},
	} {
		_, errs, status := driveline(c.stdin, c.args...)
		_, err := os.Stat(file)
		if status != c.status || !strings.Contains(errs, c.wrong) || (err == nil) != c.made {
			t.Errorf("%s: exit status %d, want %d; standard error %q; page made: %v", name, status, c.status, errs, err == nil)
		}
		os.Remove(file)
	}
}
