package study_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
)

// More candidates than can be judged one by one within two seconds are refused, and the error says who takes them.
func TestRun_manyCandidates(t *testing.T) {
	text, err := os.ReadFile("../../examples/pair/bins.json")
	if err != nil {
		t.Fatal(err)
	}
	rec, err := record.Decode(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	for i := range rec.Candidates {
		e := &rec.Candidates[i]
		for n := 0; len(e.Value) <= 100; n++ {
			p := e.Value[0]
			p.Name = fmt.Sprint("spare ", n)
			e.Value = append(e.Value, p)
		}
	}
	if _, err := study.Run(t.Context(), rec); !errors.Is(err, fault.ErrTooMany) || !strings.Contains(err.Error(), "pair") {
		t.Errorf("%d candidates: %v", len(rec.Candidates[0].Value), err)
	}
}
