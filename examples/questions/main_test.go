package main

import (
	"bytes"
	"strings"
	"testing"
)

func TestAnswers_all(t *testing.T) {
	var out bytes.Buffer
	if err := answers(&out); err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(out.String()), "\n")
	if len(lines) != 13 || strings.Contains(out.String(), "NaN") {
		t.Errorf("%d lines\n%s", len(lines), out.String())
	}
	for _, want := range []string{"lines through the design points", "bore and ring leaves", "tilt × 1.0"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
}
