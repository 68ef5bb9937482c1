package main

import (
	"bytes"
	"strings"
	"testing"

	"example.com/borestack/examples/internal/answer"
)

func TestRun_demonstration(t *testing.T) {
	var out bytes.Buffer
	if err := run(demonstration, answer.Form{}, true, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Ranking, best first", "Who fits whom", "tail 2", "What the gauge can tell", "SHA-256", "probability that this very box conforms"} {
		if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	if err := run([]byte(`{"format": "borestack-record/1"}`), answer.Form{}, false, &out); err == nil {
		t.Error("an empty record was taken")
	}
}
