package main

import (
	"bytes"
	"os"
	"strings"
	"testing"
)

func TestRun_demonstration(t *testing.T) {
	var out bytes.Buffer
	if err := run(demonstration, false, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"leave alone", "another part of plate", "no least thickness stated", "Work sheet", "if it moves the other way, stop", "Before and after", "on the bench: clock positions are by the own marks of the plate", "a strip of 0.03 mm under the datum face", "push it both ways"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	if err := run([]byte("{}"), false, &out); err == nil {
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
	if err := run(text, false, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"leave alone", "The record names no shop", "state how thin the plate may become"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	out.Reset()
	named := bytes.Replace(text, []byte(`"accept"`), []byte(`"shop": {"skims": [{"face": "plate/rear", "stock": 1, "least": 1, "wedge": true}]}, "accept"`), 1)
	if err := run(named, false, &out); err != nil {
		t.Fatal(err)
	}
	if got := out.String(); strings.Contains(got, "names no shop") || !strings.Contains(got, "skim by a wedge of plate/rear") || !strings.Contains(got, "Work sheet") {
		t.Error(got)
	}
}
