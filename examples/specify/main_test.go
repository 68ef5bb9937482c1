package main

import (
	"encoding/json"
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
	for _, want := range []string{"Callouts", "parallelism", "Worst box, margin", "boxes drawn", "(ISO 2768-H)", "(SIM)"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	peg := "position of plate, dowel hole peg, front to plate, front face | plate, front pilot\n"
	var quick map[string]any // without the limits that take seconds
	if err := json.Unmarshal(demonstration, &quick); err != nil {
		t.Fatal(err)
	}
	delete(quick, "accept")
	text, err := json.Marshal(quick)
	if err != nil {
		t.Fatal(err)
	}
	if err := run(text, []byte(strings.Replace(sizes.String(), "0.01 "+peg, "0.01 m=0.018 weight=2 "+peg, 1)), specify.Ask{Samples: 200}, false, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(out.String(), "Ø 0.01 mm at maximum material") || !strings.Contains(out.String(), "(ISO 2692)") {
		t.Errorf("nothing is at maximum material in\n%s", out.String())
	}
	for _, bad := range []string{"0.01 nothing of this box", "x " + names.String()} {
		if err := run(demonstration, []byte(bad), specify.Ask{}, false, answer.Form{}, &out); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}
