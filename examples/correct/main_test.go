package main

import (
	"bytes"
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
