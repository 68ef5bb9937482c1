package main

import (
	"strings"
	"testing"

	"example.com/borestack/align/advise/bores"
	"example.com/borestack/examples/internal/answer"
)

func TestRun_demonstration(t *testing.T) {
	var out strings.Builder
	if err := run(demonstration, bores.Casting{Clean: 0.1, Wall: 1.5}, "mm", answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"second", "sleeve", "sleeve wall", "from where it is to the common axis"} {
		if !strings.Contains(out.String(), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	for _, bad := range []string{"", "bore,x\na,1\n", "bore,x,y,z,diameter\na,1,0,0,62\nb,\"1,5\",0,9,62\n"} {
		if err := run([]byte(bad), bores.Casting{}, "mm", answer.Form{}, &out); err == nil {
			t.Errorf("%q was taken", bad)
		}
	}
}
