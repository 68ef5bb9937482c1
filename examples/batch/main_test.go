package main

import (
	"strings"
	"testing"

	"example.com/borestack/align/advise/batch"
	"example.com/borestack/examples/internal/answer"
	"example.com/borestack/tolerance"
)

// The invented plates lean by what their fixture does, and the invented study is worked out both ways.
func TestRun_demonstration(t *testing.T) {
	var out strings.Builder
	if err := parts(plates, batch.Batch{Of: "wedges", Greatest: tolerance.Given(0.05 * tolerance.Millimetre)}, "mm", answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	if err := people(gauge, 0.05, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	if err := written(batch.SamplingPlan{Sample: 80, Accept: 2}.Page, answer.Form{}, &out); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"the fixture can explain it", "Of a million such parts", "both together", "by variance", "of what is allowed", "still slips through"} {
		if !strings.Contains(strings.Join(strings.Fields(out.String()), " "), want) {
			t.Errorf("%q is missing from\n%s", want, out.String())
		}
	}
	if err := parts([]byte("part,x\n"), batch.Batch{}, "mm", answer.Form{}, &out); err == nil {
		t.Error("a table without vectors was taken")
	}
}
