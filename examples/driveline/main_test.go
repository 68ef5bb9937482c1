package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// driveline runs the command, with few samples unless it is told, and returns what it printed and its exit status.
func driveline(stdin string, args ...string) (stdout, stderr string, status int) {
	var out, errs bytes.Buffer
	status = run(append([]string{"-samples", "2000"}, args...), strings.NewReader(stdin), &out, &errs)
	return out.String(), errs.String(), status
}

// box is a small record: three supports in a line, one joint that nothing floats in, and whatever else.
func box(more string) string {
	return `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[
	 {"name":"case","rear":{"z":30,"pilot":{"kind":"bore","centre":[0,0],"diameter":150}},"bores":[{"name":"front","centre":[0,0,-120]},{"name":"rear","centre":[0,0,25]}]},
	 {"name":"tail","front":{"pilot":{"kind":"spigot","centre":[0,0],"diameter":150}},"bores":[{"name":"bush","centre":[0.02,0,100]}]}],
	 "joints":[{}],
	 "shafts":[{"name":"main","supports":[{"bore":"case/front","clearance":0.1},{"bore":"case/rear","clearance":0.1},{"bore":"tail/bush","clearance":0.1}]}]` + more + `}`
}

func TestRun_demonstration(t *testing.T) {
	out, errs, status := driveline("")
	if status != allPass || errs != "" {
		t.Errorf("exit status %d, standard error %q", status, errs)
	}
	if !strings.HasPrefix(out, "PASS: straight shafts have room") {
		t.Errorf("the verdict does not come first:\n%s", out)
	}
	if !strings.Contains(out, "Invented for demonstration") {
		t.Error("the demonstration does not say that it is invented")
	}
}

// One reading of the plate misread by half a millimetre flips the verdict of a copied record.
func TestRun_oneReadingFlipsTheVerdict(t *testing.T) {
	const reading, misread = `[14.048, 14.05], 14.048`, `[14.048, 14.05], 14.548`
	copied := strings.Replace(string(demonstration), reading, misread, 1)
	if copied == string(demonstration) {
		t.Fatalf("the demonstration has no readings %s", reading)
	}
	file := filepath.Join(t.TempDir(), "copy.json")
	if err := os.WriteFile(file, []byte(copied), 0o600); err != nil {
		t.Fatal(err)
	}
	out, _, status := driveline("", file)
	if status != notAllPass || !strings.HasPrefix(out, "FAIL: the margin of the shaft line is outside by ") {
		t.Errorf("exit status %d:\n%s", status, out)
	}
}

func TestRun_exitStatus(t *testing.T) {
	for name, c := range map[string]struct {
		args       []string
		stdin      string
		status     int
		out, wrong string // what standard output begins with, what standard error holds
	}{
		"all pass":              {[]string{"-"}, box(`,"accept":[{"output":{"kind":"margin"},"least":0}]`), allPass, "PASS", ""},
		"a chain's limit":       {[]string{"-"}, box(`,"chains":[{"name":"play","links":[{"name":"gap","length":0.1}],"least":0,"greatest":0.2}]`), allPass, "PASS", ""},
		"a chain's limit fails": {[]string{"-"}, box(`,"chains":[{"name":"play","links":[{"name":"gap","length":0.3}],"least":0,"greatest":0.2}]`), notAllPass, "FAIL", ""},
		"a limit of zero":       {[]string{"-"}, box(`,"accept":[{"output":{"kind":"offset","of":"tail/bush"},"greatest":0}]`), notAllPass, "FAIL", ""},
		"no limit":              {[]string{"-"}, box(``), notAllPass, "NO LIMIT", ""},
		"as JSON":               {[]string{"-json", "-"}, box(``), notAllPass, "{", ""},
		"check":                 {[]string{"-check", "-"}, box(``), allPass, "The record in words", ""},
		"check of a wrong one":  {[]string{"-check", "-"}, `{"format":"borestack-record/1"}`, wrongInput, "", "/parts"},
		"not JSON":              {[]string{"-"}, `{"format":`, wrongInput, "", "driveline:"},
		"nothing":               {[]string{"-"}, ``, wrongInput, "", "driveline:"},
		"unknown key":           {[]string{"-"}, box(`,"limits":[]`), wrongInput, "", "/limits"},
		"no such file":          {[]string{"no such file.json"}, ``, wrongInput, "", "no such file.json"},
		"three files":           {[]string{"a.json", "b.csv", "c.csv"}, ``, wrongInput, "", "usage"},
		"full":                  {[]string{"-full", "-"}, box(``), notAllPass, "NO LIMIT", ""},
		"full and JSON":         {[]string{"-full", "-json", "-"}, box(``), wrongInput, "", "usage"},
		"two forms":             {[]string{"-json", "-check", "-"}, box(``), wrongInput, "", "usage"},
		"unknown flag":          {[]string{"-jsno"}, ``, wrongInput, "", "jsno"},
		"a study": {
			[]string{"-samples", "100", "-"}, box(`,"vary":[{"name":"bush","at":"/parts/1/bores/0/centre/0","law":{"normal":0.01}}]`), notAllPass, "NO LIMIT", "",
		},
		"a source that moves nothing": {
			[]string{"-"}, box(`,"accept":[{"output":{"kind":"margin"},"least":0}],"vary":[{"name":"limit","at":"/accept/0/least","law":{"normal":0.01}}]`), wrongInput, "", "/vary/0/at",
		},
		"blocks that are none": {
			[]string{"-blocks", "x", "-"}, box(``), wrongInput, "", "A-B",
		},
		"check of what varies": {
			[]string{"-check", "-"}, box(`,"vary":[{"name":"bush","at":"/parts/1/bores/0/centre/0","law":{"normal":0.01}}]`), allPass, "The record in words", "",
		},
	} {
		t.Run(name, func(t *testing.T) {
			out, errs, status := driveline(c.stdin, c.args...)
			if status != c.status {
				t.Errorf("exit status %d, want %d; standard error: %s", status, c.status, errs)
			}
			if !strings.HasPrefix(out, c.out) || (c.out == "" && out != "") {
				t.Errorf("standard output %q, want it to begin with %q", out, c.out)
			}
			if !strings.Contains(errs, c.wrong) || (c.wrong == "" && errs != "") {
				t.Errorf("standard error %q, want it to hold %q", errs, c.wrong)
			}
		})
	}
}

// Every independent fault has a line of its own, with its pointer.
func TestRun_oneMessageForEachFault(t *testing.T) {
	wrong := strings.NewReplacer(`"z":30`, `"z":"thirty"`, `"clearance":0.1}]`, `"clearance":-0.1}]`).Replace(box(``))
	_, errs, status := driveline(wrong, "-")
	if status != wrongInput {
		t.Errorf("exit status %d, want %d", status, wrongInput)
	}
	lines := strings.Split(strings.TrimSpace(errs), "\n")
	if len(lines) != 2 || !strings.Contains(lines[0], "/parts/0/rear/z") || !strings.Contains(lines[1], "/shafts/0/supports/2/clearance") {
		t.Errorf("want a line each for /parts/0/rear/z and /shafts/0/supports/2/clearance:\n%s", errs)
	}
}

func TestRun_cannotWrite(t *testing.T) {
	for _, args := range [][]string{{"-"}, {"-json", "-"}, {"-check", "-"}} {
		var errs bytes.Buffer
		if status := run(args, strings.NewReader(box(``)), full{}, &errs); status != otherwise || !strings.Contains(errs.String(), errFull.Error()) {
			t.Errorf("%v: exit status %d, standard error %q", args, status, errs.String())
		}
	}
}

var errFull = errors.New("no room on the device")

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errFull }

// FuzzRun: no bytes make the command panic, print half a report, or leave its four exit statuses.
func FuzzRun(f *testing.F) {
	f.Add([]byte(box(``)))
	f.Add([]byte(box(`,"accept":[{"output":{"kind":"margin"},"least":0}]`)))
	f.Add([]byte(box(`,"states":[{"name":"hot","temperatures":{"main":90}}]`)))
	f.Add([]byte(`{"format":"borestack-record/1","units":{"length":"in"},"parts":[{"name":"p","front":{},"rear":{"thickness":{"radius":3,"readings":[1,[1.1,1.2],null,1]}}}],"joints":[]}`))
	f.Add([]byte(`[]`))
	f.Fuzz(func(t *testing.T, data []byte) {
		out, errs, status := driveline(string(data), "-json", "-")
		switch status {
		case allPass, notAllPass:
			if !json.Valid([]byte(out)) || errs != "" {
				t.Errorf("exit status %d, but not a JSON report alone: %q, %q", status, out, errs)
			}
		case wrongInput, otherwise:
			if out != "" || errs == "" {
				t.Errorf("exit status %d, standard output %q, standard error %q", status, out, errs)
			}
		default:
			t.Errorf("exit status %d", status)
		}
		said, _, checked := driveline(string(data), "-check", "-")
		if (checked == wrongInput) != (status == wrongInput) && status != wrongInput {
			t.Errorf("a check says %d where the report says %d", checked, status)
		}
		for _, bad := range []string{"NaN", "+Inf", "-Inf"} {
			if status <= notAllPass && strings.Contains(out, bad) && !strings.Contains(string(data), bad) {
				t.Errorf("the report says %s", bad)
			}
		}
		if checked == allPass && said == "" {
			t.Error("a check says nothing")
		}
	})
}
