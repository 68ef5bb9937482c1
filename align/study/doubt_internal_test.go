package study

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// twoShafts is a case, a plate and a tail with loose pilots, a main shaft of three supports, the plate
// measured round, and a candidate for the plate.
func twoShafts(accept string) string {
	plate := func(name string) string {
		return `{"name": "` + name + `", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 100}},
 "rear": {"thickness": {"radius": 60, "readings": [14, 14.01, 14, 13.99]}, "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 80}}, "bores": [{"name": "p", "centre": [0, 0, 7], "diameter": 40}]}`
	}
	return `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [
{"name": "case", "front": {}, "rear": {"z": 150, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 100.02}}, "bores": [{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0, 0, 100]}]},
` + plate("plate") + `,
{"name": "tail", "front": {"pilot": {"kind": "bore", "centre": [0, 0], "diameter": 80.02}}, "bores": [{"name": "c", "centre": [0, 0, 100]}, {"name": "d", "centre": [0, 0, 50]}]}],
"joints": [{}, {}],
"shafts": [{"name": "m", "supports": [{"bore": "case/a", "clearance": 0.004}, {"bore": "plate/p", "clearance": 0.5}, {"bore": "tail/c", "clearance": 0.5}]}],
"references": [{"name": "l", "through": ["case/a", "case/b"]}],
"chains": [{"name": "e", "links": [{"name": "k", "length": 0.1}], "least": 0.05, "greatest": 0.2}],
"candidates": {"plate": [` + plate("other") + `]}, "accept": [` + accept + `]}`
}

const doubtedLimits = `{"output": {"kind": "margin"}, "least": -1}, {"output": {"kind": "offset", "of": "plate/p"}, "greatest": 1},
{"output": {"kind": "offset", "of": "tail/d"}, "greatest": 1}, {"output": {"kind": "thickness_variation", "of": "plate"}, "greatest": 1},
{"output": {"kind": "assembles"}}, {"output": {"kind": "offset", "of": "tail/c"}, "greatest": -1}`

// A verdict that rests on a number in doubt is undecided, its value given; the others stand; a fail
// stays a fail and shows the doubt; the record is undecided whatever it rests on.
func TestRun_doubts(t *testing.T) {
	const margin, plateOffset, tailOffset, variation, assembles, failing, chain = 0, 1, 2, 3, 4, 5, 6
	for _, c := range []struct {
		name    string
		numbers []string
		touched []int
	}{
		{"a bore's centre, hidden by a tight bearing", []string{"/parts/1/bores/0/centre/0"}, []int{margin, plateOffset}},
		{"a bore that no shaft and no limit knows", []string{"/parts/1/bores/0/diameter"}, nil},
		{"a clearance", []string{"/shafts/0/supports/1/clearance"}, []int{margin}},
		{"a bore along z", []string{"/parts/2/bores/0/centre/2"}, []int{margin, failing}},
		{"a pilot's size: the float", []string{"/parts/1/front/pilot/diameter", "/parts/0/rear/pilot/diameter"}, []int{margin, plateOffset, tailOffset, assembles, failing}},
		{"a pilot behind", []string{"/parts/2/front/pilot/diameter"}, []int{margin, tailOffset, assembles, failing}},
		{"a round", []string{"/parts/1/rear/thickness/readings/0", "/parts/1/rear/thickness/readings/1", "/parts/1/rear/thickness/readings/2", "/parts/1/rear/thickness/readings/3"}, []int{margin, tailOffset, variation, failing}},
		{"one reading that no maximum shows", []string{"/parts/1/rear/thickness/readings/2"}, []int{margin, tailOffset, variation, failing}},
		{"a chain's link", []string{"/chains/0/links/0/length"}, []int{chain}},
		{"no number named", nil, []int{0, 1, 2, 3, 4, 5, 6}},
		{"no number at all", []string{"/parts/1/rear/thickness"}, []int{0, 1, 2, 3, 4, 5, 6}},
		{"of a candidate alone", []string{"/candidates/plate/0/bores/0/centre/0"}, nil},
	} {
		rec, err := record.Decode(strings.NewReader(twoShafts(doubtedLimits)))
		if err != nil {
			t.Fatal(err)
		}
		doubts := []record.Doubt{{Path: "/parts/1", Why: "a slip", Numbers: c.numbers}}
		res, err := run(t.Context(), rec, doubts)
		if err != nil {
			t.Fatal(c.name, err)
		}
		plain, err := run(t.Context(), rec, nil)
		if err != nil {
			t.Fatal(err)
		}
		touched := map[int]bool{}
		for _, i := range c.touched {
			touched[i] = true
		}
		for i, v := range res.Verdicts {
			want := plain.Verdicts[i].Word
			if touched[i] && want != tolerance.Fail {
				want = tolerance.Undecided
			}
			if v.Doubted != touched[i] || v.Word != want || v.Value != plain.Verdicts[i].Value {
				t.Errorf("%s: limit %d is %v, doubted %v; want %v, %v", c.name, i, v.Word, v.Doubted, want, touched[i])
			}
		}
		if res.Word != tolerance.Fail || len(res.Doubts) != 1 {
			t.Errorf("%s: %v", c.name, res.Word)
		}
	}
}

// What would pass or depend is undecided while a doubt stands; no limit stays, and so does a fail.
func TestRun_doubtedRecord(t *testing.T) {
	for accept, want := range map[string]tolerance.Decision{
		`{"output": {"kind": "margin"}, "least": -1}`:    tolerance.Undecided,
		`{"output": {"kind": "margin"}, "least": 0.001}`: tolerance.Undecided, // 0.002 caps it
		`{"output": {"kind": "margin"}, "least": 1}`:     tolerance.Fail,
		``: tolerance.Undecided, // the chain has limits
	} {
		rec, err := record.Decode(strings.NewReader(twoShafts(accept)))
		if err != nil {
			t.Fatal(err)
		}
		res, err := run(t.Context(), rec, []record.Doubt{{Path: "/parts/0", Why: "a slip", Numbers: []string{"/parts/1/bores/0/diameter"}}})
		if err != nil {
			t.Fatal(err)
		}
		if res.Word != want {
			t.Errorf("%s: %v, want %v", accept, res.Word, want)
		}
	}
	text := strings.Replace(twoShafts(""), `, "least": 0.05, "greatest": 0.2`, "", 1)
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	res, err := run(t.Context(), rec, []record.Doubt{{Path: "/parts/0", Why: "a slip"}})
	if err != nil || res.Word != tolerance.NoLimit {
		t.Errorf("%v, %v", res.Word, err)
	}
}

// A doubt about the part in place is none about a candidate for its place, and the other way round.
func TestRun_doubtsOfCandidates(t *testing.T) {
	rec, err := record.Decode(strings.NewReader(twoShafts(`{"output": {"kind": "margin"}, "least": -1}`)))
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		path            string
		numbers         []string
		place, fit      tolerance.Decision
		ofPlace, ofOnes int
	}{
		{"/parts/1/bores/0", []string{"/parts/1/bores/0/centre/0"}, tolerance.Undecided, tolerance.Pass, 1, 0},
		{"/candidates/plate/0/bores/0", []string{"/candidates/plate/0/bores/0/centre/0"}, tolerance.Undecided, tolerance.Undecided, 1, 1},
		{"/parts/2/bores/0", []string{"/parts/2/bores/0/centre/0"}, tolerance.Undecided, tolerance.Undecided, 1, 1},
		{"/parts/10", []string{"/parts/2/bores/0/centre/0"}, tolerance.Undecided, tolerance.Undecided, 1, 1}, // not below /parts/1
	} {
		res, err := run(t.Context(), rec, []record.Doubt{{Path: c.path, Why: "a slip", Numbers: c.numbers}})
		if err != nil {
			t.Fatal(err)
		}
		fit := res.Candidates[0]
		if res.Word != c.place || fit.Word != c.fit || len(res.Doubts) != c.ofPlace || len(fit.Doubts) != c.ofOnes {
			t.Errorf("%s: %v and %v (%d doubts), want %v and %v", c.path, res.Word, fit.Word, len(fit.Doubts), c.place, c.fit)
		}
		if fit.Verdicts[0].Doubted != (c.fit == tolerance.Undecided) {
			t.Errorf("%s: the candidate's verdict doubted: %v", c.path, fit.Verdicts[0].Doubted)
		}
	}
}

// An input that moves no output asked for is warned of; one whose effect is hidden today is not.
func TestRun_idleInputs(t *testing.T) {
	input := func(name, at string) string {
		return fmt.Sprintf(`{"name": %q, "at": %q, "law": {"uniform": 0.001}}`, name, at)
	}
	for _, c := range []struct {
		name, vary, accept string
		warned             []string
	}{
		{"a margin that a tight bearing caps", input("x", "/parts/1/bores/0/centre/0"), `{"output": {"kind": "margin"}, "least": -1}`, nil},
		{"nothing asked of that bore", input("x", "/parts/2/bores/1/centre/0"), `{"output": {"kind": "margin"}, "least": -1}`, []string{"/vary/0"}},
		{"no number of the box", input("x", "/accept/0/least"), `{"output": {"kind": "margin"}, "least": -1}`, []string{"/vary/0"}},
		{"one of two", input("x", "/parts/2/bores/1/centre/0") + "," + input("y", "/parts/2/bores/0/centre/0"), `{"output": {"kind": "margin"}, "least": -1}`, []string{"/vary/0"}},
		{"of the gauge", strings.Replace(input("x", "/parts/2/bores/1/centre/0"), `0.001}`, `0.001}, "because": "gauge"`, 1), `{"output": {"kind": "margin"}, "least": -1}`, []string{"/vary/0"}},
		{"a float judged at rest", `{"float": "case|plate", "law": "uniform"}`, `{"output": {"kind": "offset", "of": "plate/p"}, "greatest": 1, "over": "rest"}`, []string{"/vary/0"}},
		{"a float judged over it", `{"float": "case|plate", "law": "uniform"}`, `{"output": {"kind": "offset", "of": "plate/p"}, "greatest": 1}`, nil},
		{"a float of a joint behind", `{"float": "plate|tail", "law": "rim"}`, `{"output": {"kind": "offset", "of": "plate/p"}, "greatest": 1}`, []string{"/vary/0"}},
		{"hanging at rest", `{"float": "case|plate", "law": "hang"}`, `{"output": {"kind": "offset", "of": "plate/p"}, "greatest": 1, "over": "rest"}`, nil},
		{"asked to rest", `{"float": "case|plate", "law": "rest"}`, `{"output": {"kind": "offset", "of": "plate/p"}, "greatest": 1, "over": "rest"}`, nil},
		{"a diameter that only the float feels", input("d", "/parts/1/front/pilot/diameter"), `{"output": {"kind": "offset", "of": "plate/p"}, "greatest": 1}`, nil},
		{"the same at rest", input("d", "/parts/1/front/pilot/diameter"), `{"output": {"kind": "offset", "of": "plate/p"}, "greatest": 1, "over": "rest"}`, []string{"/vary/0"}},
	} {
		text := strings.Replace(twoShafts(c.accept), `"candidates"`, `"vary": [`+c.vary+`], "candidates"`, 1)
		rec, err := record.Decode(strings.NewReader(strings.Replace(text, `, "least": 0.05, "greatest": 0.2`, "", 1)))
		if err != nil {
			t.Fatal(c.name, err)
		}
		res, err := run(t.Context(), rec, nil)
		if err != nil {
			t.Fatal(c.name, err)
		}
		var at []string
		for _, w := range res.Warnings {
			at = append(at, w.Path)
		}
		if fmt.Sprint(at) != fmt.Sprint(c.warned) {
			t.Errorf("%s: warned of %v, want %v", c.name, res.Warnings, c.warned)
		}
	}
}

// The demonstration record, with inputs of its own, gains no warning.
func TestRun_noIdleInputInTheDemonstration(t *testing.T) {
	text, err := os.ReadFile("../../examples/driveline/harbour-launch.json")
	if err != nil {
		t.Fatal(err)
	}
	rec, err := record.Decode(strings.NewReader(string(text)))
	if err != nil {
		t.Fatal(err)
	}
	if res, err := Run(t.Context(), rec); err != nil || len(res.Warnings) > 0 {
		t.Errorf("%v, %v", res.Warnings, err)
	}
}

// A doubt of a register that a candidate replaces is none of the box with the candidate, whose own is looked at.
func TestRun_doubtOfWhatIsReplaced(t *testing.T) {
	const spigot = `"front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": %v}}, "bores": [{"name": "c", "centre": [0, 0, 5]}]`
	text := fmt.Sprintf(`{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [
 {"name": "case", "rear": {"pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "a", "centre": [0, 0, -95]}, {"name": "b", "centre": [0, 0, -10]}]},
 {"name": "plate", `+spigot+`}], "joints": [{}], "references": [{"name": "l", "through": ["case/a", "case/b"]}],
 "candidates": {"plate": [{"name": "fits", `+spigot+`}, {"name": "tight", `+spigot+`}]},
 "accept": [{"output": {"kind": "offset", "of": "plate/c"}, "greatest": 0.1}]}`, 151, 149.98, 152)
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	r, err := Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	if r.Word != tolerance.Undecided || len(r.Doubts) != 2 {
		t.Error(r.Word, r.Doubts)
	}
	if c := r.Candidates[0]; c.Word != tolerance.Pass || len(c.Doubts) != 0 {
		t.Error(c.Name, c.Word, c.Doubts)
	}
	if c := r.Candidates[1]; c.Word != tolerance.Undecided || len(c.Doubts) != 1 {
		t.Error(c.Name, c.Word, c.Doubts)
	}
}

// A nudge as large as a slip takes a small clearance below nothing, of which nothing can be said: what does not
// depend on the clearance is not in doubt for that.
func TestRun_doubtOfASmallClearance(t *testing.T) {
	for _, clearance := range []string{"0.04", "0.09", "0.3"} {
		rec, err := record.Decode(strings.NewReader(`{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "bed", "bores": [{"name": "a", "centre": [0, 0, 5]}, {"name": "b", "centre": [0, 0, 90]}, {"name": "c", "centre": [0, 0, 190], "diameter": 30}]}],
 "joints": [], "references": [{"name": "l", "through": ["bed/a", "bed/b"]}],
 "shafts": [{"name": "main", "supports": [{"bore": "bed/a", "clearance": 0.1}, {"bore": "bed/b", "clearance": 0.1}, {"bore": "bed/c", "kind": "bush", "width": 20, "journal": 20, "clearance": ` + clearance + `}]}],
 "accept": [{"output": {"kind": "margin"}, "least": 0}, {"output": {"kind": "tir", "of": "bed/c"}, "greatest": 0.1}]}`))
		if err != nil {
			t.Fatal(err)
		}
		r, err := Run(t.Context(), rec)
		if err != nil || len(r.Doubts) != 1 {
			t.Fatal(r.Doubts, err)
		}
		if v := r.Verdicts; !v[0].Doubted || v[1].Doubted || v[1].Word != tolerance.Pass || r.Word != tolerance.Undecided {
			t.Errorf("%s: %v, %v", clearance, v[0].Word, v[1].Word)
		}
	}
}

// Offsets without a reference are from the first shaft that bores carry: what its line and the bore have
// between them touches a limit on them, a pilot's size by the float alone.
func TestRun_doubtsFromTheFirstCarriedShaft(t *testing.T) {
	carried := strings.NewReplacer(
		`"shafts": [`, `"shafts": [{"name": "inner", "supports": []}, `,
		`"references": [{"name": "l", "through": ["case/a", "case/b"]}]`,
		`"pockets": [{"name": "front", "between": ["inner", "m"], "z": 10, "clearance": 0.1}, {"name": "rear", "between": ["inner", "m"], "z": 90, "clearance": 0.1}]`,
	).Replace(twoShafts(`{"output": {"kind": "offset", "of": "tail/d"}, "greatest": 1}`))
	rec, err := record.Decode(strings.NewReader(carried))
	if err != nil {
		t.Fatal(err)
	}
	res, err := run(t.Context(), rec, []record.Doubt{{Path: "/parts/1", Why: "a slip", Numbers: []string{"/parts/1/front/pilot/diameter"}}})
	if err != nil {
		t.Fatal(err)
	}
	if v := res.Verdicts[0]; !v.Doubted || v.Word != tolerance.Undecided {
		t.Errorf("%+v", v)
	}
}
