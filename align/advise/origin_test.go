package advise_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// twoTails is an invented box of a case and a tail with two candidates, one of them pressed together
// harder than any register is; its bush is typed as said, and what varies is as said.
func twoTails(t *testing.T, bush, vary string) *record.Record {
	t.Helper()
	tail := func(name, pilot, y string) string {
		return fmt.Sprintf(`{"name": %q, "front": {"diameter": 200, "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": %s}},
 "bores": [{"name": "bush", "centre": [0, %s, 200], "diameter": 30.1}]}`, name, pilot, y)
	}
	text := fmt.Sprintf(`{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [
 {"name": "case", "front": {"diameter": 200}, "rear": {"z": 160, "diameter": 200, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 100}},
  "bores": [{"name": "a", "centre": [0, 0, 20]}, {"name": "b", "centre": [0, 0, 140]}]}, %s],
 "joints": [{"lies": "rest"}], "candidates": {"tail": [%s, %s]},
 "shafts": [{"name": "main", "supports": [{"bore": "case/a", "clearance": 0.1}, {"bore": "case/b", "clearance": 0.1},
  {"bore": "tail/bush", "kind": "bush", "width": 20, "clearance": %s, "journal": 30}]}],
 "vary": [%s], "accept": [{"output": {"kind": "margin"}, "least": 0.01}]}`,
		tail("tail", "99.99", "0"), tail("good", "99.99", "0.01"), tail("hard", "100.3", "0.01"), bush, vary)
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// No advice says pass where the report of the record does not: comparisons and corrections know what
// is in doubt, and what the record says varies because of the gauge.
//
// Source: record.md, "What may not pass"; the words are those of study.Run, which is another way there.
func TestCompare_knowsTheRecord(t *testing.T) {
	const wild = `{"name": "y", "at": "/candidates/tail/0/bores/0/centre/1", "law": {"normal": 1}, "because": "gauge"}`
	for _, c := range []struct {
		name, bush, vary string
		want             map[string]tolerance.Decision
	}{
		// The box as measured is undecided while any doubt stands, a candidate's too: so says the report.
		{"clean", "0.1", "", map[string]tolerance.Decision{"tail": tolerance.Undecided, "good": tolerance.Pass, "hard": tolerance.Undecided}},
		{"bush", "0.2", "", map[string]tolerance.Decision{"tail": tolerance.Undecided, "good": tolerance.Undecided, "hard": tolerance.Undecided}},
		{"gauge", "0.1", wild, map[string]tolerance.Decision{"tail": tolerance.Undecided, "good": tolerance.Undecided, "hard": tolerance.Undecided}},
	} {
		rec := twoTails(t, c.bush, c.vary)
		b, err := advise.FromRecord(rec)
		if err != nil {
			t.Fatal(err)
		}
		res, err := study.Run(context.Background(), rec)
		if err != nil {
			t.Fatal(err)
		}
		got, err := advise.Compare(context.Background(), b)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range got.Fits {
			if w := c.want[f.Picks[0].Name]; f.Result.Word != w {
				t.Errorf("%s: compared, %s: %v, want %v", c.name, f.Picks[0].Name, f.Result.Word, w)
			}
		}
		if res.Word != c.want["tail"] {
			t.Errorf("%s: the report says %v, want %v", c.name, res.Word, c.want["tail"])
		}
		for _, r := range res.Candidates {
			if r.Word != c.want[r.Name] {
				t.Errorf("%s: the report says of %s: %v, want %v", c.name, r.Name, r.Word, c.want[r.Name])
			}
		}
		a, err := advise.Correct(context.Background(), b, advise.Shop{Swap: true})
		if err != nil {
			t.Fatal(err)
		}
		for _, o := range a.Options {
			name := "tail"
			if len(o.Corrections) > 0 {
				name = []string{"good", "hard"}[o.Corrections[0].Part]
			}
			if o.After.Word != c.want[name] {
				t.Errorf("%s: corrected by %s: %v, want %v", c.name, name, o.After.Word, c.want[name])
			}
		}
	}
}

// What two candidates make of each other is nowhere in the record's own doubts.
func TestCompare_candidatesBesideEachOther(t *testing.T) {
	rec := twoTails(t, "0.1", "")
	pilot := func(f *record.Face, diameter float64) *record.Face {
		face, p := *f, *f.Pilot
		p.Diameter = record.Num(diameter)
		face.Pilot = &p
		return &face
	}
	rec.Parts[1].Front = pilot(rec.Parts[1].Front, 99.5)
	rec.Candidates[0].Value[1].Front = pilot(rec.Candidates[0].Value[1].Front, 99.6)
	narrow := rec.Parts[0]
	narrow.Name, narrow.Rear = "narrow", pilot(narrow.Rear, 99.6)
	rec.Candidates = append(rec.Candidates, record.Named[[]record.Part]{{Name: "case", Value: []record.Part{narrow}}}...)
	b, err := advise.FromRecord(rec)
	if err != nil {
		t.Fatal(err)
	}
	got, err := advise.Compare(context.Background(), b)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Fits) != 6 {
		t.Fatal(got.Fits, got.Refused)
	}
	// Source: hand calculation: 99.99 in 99.6 is 0.39 % tight, more than 0.25 %; no other pair is tight.
	for _, f := range got.Fits {
		want := tolerance.Pass
		if f.Picks[0].Name == "good" && f.Picks[1].Name == "narrow" {
			want = tolerance.Undecided
		}
		if f.Result.Word != want {
			t.Errorf("%v: %v, want %v", f.Picks, f.Result.Word, want)
		}
	}
}
