package main

import (
	"bytes"
	"encoding/json"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.com/borestack/examples/internal/answer"
)

func TestRun_demonstration(t *testing.T) {
	var out bytes.Buffer
	file := filepath.Join(t.TempDir(), "page.html")
	if err := run(demonstration, answer.Form{HTML: file}, &out); err != nil {
		t.Fatal(err)
	}
	web, err := os.ReadFile(file)
	for _, want := range []string{"What can be done", "a strip of 0.03 mm", "its 12 o&#39;clock mark"} { // the last is below a clock
		if !strings.Contains(string(web), want) {
			t.Errorf("%q is missing from the page: %v\n%s", want, err, web)
		}
	}
	for _, want := range []string{"leave alone", "another part of plate", "no least thickness stated", "Work sheet", "if it moves the other way, stop", "Before and after", "on the bench: clock positions are by the own marks of the plate", "a strip of 0.03 mm under the datum face", "push it both ways"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	if err := run([]byte("{}"), answer.Form{}, &out); err == nil {
		t.Error("an empty record was taken")
	}
}

// A record that names no shop gets what any shop can do, and is told so.
func TestRun_anyBox(t *testing.T) {
	text, err := os.ReadFile("../../testdata/records/firstlines/wedge.json")
	if err != nil {
		t.Fatal(err)
	}
	var out bytes.Buffer
	if err := run(text, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"leave alone", "The record names no shop", "state how thin the plate may become"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	out.Reset()
	if err := run(text, answer.Form{JSON: true}, &out); err != nil {
		t.Fatal(err)
	}
	var formats []string
	for d := json.NewDecoder(&out); d.More(); {
		var page struct{ Format string }
		if err := d.Decode(&page); err != nil {
			t.Fatal(err)
		}
		formats = append(formats, page.Format)
	}
	if !slices.Contains(formats, "borestack-correct/1") {
		t.Error(formats)
	}
	out.Reset()
	named := bytes.Replace(text, []byte(`"accept"`), []byte(`"shop": {"skims": [{"face": "plate/rear", "stock": 1, "least": 1, "wedge": true}]}, "accept"`), 1)
	if err := run(named, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	if got := out.String(); strings.Contains(got, "names no shop") || !strings.Contains(got, "skim by a wedge of plate/rear") || !strings.Contains(got, "Work sheet") {
		t.Error(got)
	}
}
