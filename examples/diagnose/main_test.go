package main

import (
	"strings"
	"testing"

	"example.com/borestack/align/advise/diagnose"
	"example.com/borestack/examples/internal/answer"
)

func TestRun_demonstration(t *testing.T) {
	var out strings.Builder
	if err := run(box, sights, diagnose.Process{}, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"The likeliest first", "plate/main bearing out of place", "The measurement that would tell most", "none is shown to be the cause"} {
		if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	if err := run(box, []byte("seen\n"), diagnose.Process{}, answer.Form{}, &out); err == nil {
		t.Error("a table without columns was taken")
	}
}
