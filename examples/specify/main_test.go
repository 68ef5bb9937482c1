package main

import (
	"strings"
	"testing"

	"example.com/borestack/align/advise/specify"
	"example.com/borestack/examples/internal/answer"
)

// Callouts are listed, and a file of sizes is checked.
func TestRun_demonstration(t *testing.T) {
	var names strings.Builder
	if err := run(demonstration, nil, specify.Ask{}, true, answer.Form{}, &names); err != nil {
		t.Fatal(err)
	}
	var sizes, out strings.Builder
	for _, name := range strings.Split(strings.TrimSpace(names.String()), "\n") {
		sizes.WriteString("0.01 " + name + "\n")
	}
	if err := run(demonstration, []byte(sizes.String()), specify.Ask{Samples: 200}, false, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"Callouts", "parallelism", "Worst box, margin", "boxes drawn", "general tolerances"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	for _, bad := range []string{"0.01 nothing of this box", "x " + names.String()} {
		if err := run(demonstration, []byte(bad), specify.Ask{}, false, answer.Form{}, &out); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}
