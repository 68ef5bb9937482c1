package record_test

import (
	"errors"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// refused is a box of two parts in which every place that must be located is, in one way.
const refused = `{
 "format": "borestack-record/1", "units": {"length": "mm"},
 "parts": [
  {"name": "case", "front": {}, "rear": {"z": 100, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 80.01}},
   "bores": [{"name": "a", "centre": [0, 0, 10]}, {"name": "b", "sweep": {"readings": [0, 1, 0, -1], "unit": "um"}, "z": 90}]},
  {"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 80}}}
 ],
 "joints": [{}]
}`

// candidate puts the first part among the candidates as well, behind a candidate without fault.
func candidate(text string) string {
	from := strings.Index(text, `{"name": "case"`)
	to := strings.Index(text, `,
  {"name": "tail"`)
	spare := strings.Replace(text[from:to], `"case"`, `"spare"`, 1)
	good := strings.Replace(refused[strings.Index(refused, `{"name": "case"`):strings.Index(refused, `,
  {"name": "tail"`)], `"case"`, `"good"`, 1)
	head := strings.Index(refused, `{"name": "case"`)
	return refused[:head] + refused[head:len(refused)-1] + `, "candidates": {"case": [` + good + ", " + spare + "]}}"
}

// Nothing that says where something is, or two things that do: refused with place, value and what would be right, in parts and candidates alike.
func TestDecode_sources(t *testing.T) {
	const sweep = `"sweep": {"readings": [0, 1, 0, -1], "unit": "um"}`
	for _, c := range []struct {
		name, from, to, at string
		class              error
		want               []string
	}{
		{"bore without centre", `{"name": "a", "centre": [0, 0, 10]}`, `{"name": "a"}`, "/bores/0", fault.ErrMissing, []string{"centre", "sweep"}},
		{"bore with z alone", `{"name": "a", "centre": [0, 0, 10]}`, `{"name": "a", "z": 10}`, "/bores/0", fault.ErrMissing, []string{"centre"}},
		{"bore with both", `"centre": [0, 0, 10]`, `"centre": [0, 0, 10], ` + sweep, "/bores/0/sweep", fault.ErrConflict, []string{"not both"}},
		{"bore with z beside centre", `"centre": [0, 0, 10]`, `"centre": [0, 0, 10], "z": 10`, "/bores/0/z", fault.ErrConflict, []string{": 10:", "beside centre"}},
		{"pilot without centre", `"centre": [0, 0], "diameter": 80.01`, `"diameter": 80.01`, "/rear/pilot", fault.ErrMissing, []string{"centre", "sweep"}},
		{"pilot with both", `"centre": [0, 0], "diameter": 80.01`, `"centre": [0, 0], "diameter": 80.01, ` + sweep, "/rear/pilot/sweep", fault.ErrConflict, []string{"not both"}},
		{"rear without z", `"z": 100, `, ``, "/rear", fault.ErrMissing, []string{"z, thickness or points"}},
		{"rear with a sweep alone", `"z": 100`, `"sweep": {"readings": [0, 1, 0, -1], "radius": 60}`, "/rear", fault.ErrMissing, []string{"z, thickness or points"}},
		{"rear at its front", `"z": 100`, `"z": 0`, "/rear/z", fault.ErrConflict, []string{": 0:", "behind the front face"}},
		{"rear ahead of its front", `"z": 100`, `"z": -100`, "/rear/z", fault.ErrConflict, []string{": -100:", "behind the front face"}},
		{"front behind its rear", `"front": {}`, `"front": {"z": 100.5}`, "/rear/z", fault.ErrConflict, []string{": 100:", "100.5"}},
		{"thinner by the micrometer", `"z": 100`, `"thickness": {"radius": 60, "readings": [-9, -9, -9, -9]}`, "/rear/thickness/readings", fault.ErrConflict, []string{"behind the front face", "-9"}},
		{"thinner by points", `"z": 100`, `"points": [[60, 0, -1], [-60, 60, -1], [-60, -60, -1]]`, "/rear/points", fault.ErrConflict, []string{"behind the front face", "-1"}},
		{"points and a slope of zero", `"z": 100`, `"slope": [0, 0], "points": [[60, 0, 9], [-60, 60, 9], [-60, -60, 9]]`, "/rear/slope", fault.ErrConflict, []string{"[0, 0]", "points"}},
		{"thickness and a slope of zero", `"z": 100`, `"slope": [0, 0], "thickness": {"radius": 60, "readings": [9, 9, 9, 9]}`, "/rear/slope", fault.ErrConflict, []string{"[0, 0]", "thickness"}},
		{"a sweep and a slope", `"z": 100`, `"z": 100, "slope": [1e-4, 0], "sweep": {"readings": [0, 1, 0, -1], "radius": 60}`, "/rear/slope", fault.ErrConflict, []string{"[1e-4, 0]", "sweep"}},
		{"points and thickness", `"z": 100`, `"thickness": {"radius": 60, "readings": [9, 9, 9, 9]}, "points": [[60, 0, 9], [-60, 60, 9], [-60, -60, 9]]`, "/rear/points", fault.ErrConflict, []string{"a list of 3", "thickness"}},
	} {
		text := strings.Replace(refused, c.from, c.to, 1)
		if text == refused {
			t.Fatalf("%s: nothing replaced", c.name)
		}
		for at, text := range map[string]string{"/parts/0": text, "/candidates/case/1": candidate(text)} {
			_, err := record.Decode(strings.NewReader(text))
			var f *fault.FieldError
			if !errors.As(err, &f) {
				t.Errorf("%s: accepted at %s", c.name, at)
				continue
			}
			if f.Path != at+c.at || !errors.Is(f, c.class) || len(strings.Split(err.Error(), "\n")) > 1 {
				t.Errorf("%s: want one fault at %s: %v", c.name, at+c.at, err)
			}
			for _, w := range c.want {
				if !strings.Contains(err.Error(), w) {
					t.Errorf("%s: %q does not mention %q", c.name, err, w)
				}
			}
		}
	}
	decode(t, refused)
	decode(t, candidate(refused))
}

// What is missing is not said again of a place where a key is misspelt, and does not hide faults elsewhere.
func TestDecode_sources_besideOthers(t *testing.T) {
	text := strings.Replace(refused, `"centre": [0, 0, 10]`, `"center": [0, 0, 10]`, 1)
	_, err := record.Decode(strings.NewReader(text))
	if err == nil || strings.Contains(err.Error(), "\n") || !strings.Contains(err.Error(), "/parts/0/bores/0/center") {
		t.Errorf("want the misspelt key alone: %v", err)
	}
	text = strings.Replace(refused, `{"name": "a", "centre": [0, 0, 10]}`, `{"name": "a"}`, 1)
	text = strings.Replace(text, `"joints"`, `"references": [{"name": "r", "through": ["case/a", "case/c"]}], "joints"`, 1)
	_, err = record.Decode(strings.NewReader(text))
	if err == nil || !strings.Contains(err.Error(), "/parts/0/bores/0") || !strings.Contains(err.Error(), "/references/0/through/1") {
		t.Errorf("want both faults: %v", err)
	}
}

// A stack built in Go has no presence to judge, only meaning.
func TestStack_Validate_sources(t *testing.T) {
	part := func(front, rear *align.Face) align.Stack {
		return align.Stack{Parts: []align.Part{{Name: "a", Front: front, Rear: rear}}}
	}
	for name, c := range map[string]struct {
		s    align.Stack
		want bool
	}{
		"no front face":        {part(nil, &align.Face{}), true},
		"a foil":               {part(&align.Face{}, &align.Face{Z: 1e-9}), true},
		"nothing":              {part(&align.Face{}, &align.Face{}), false},
		"turned inside out":    {part(&align.Face{Z: 1}, &align.Face{Z: 0.5}), false},
		"turned and all right": {align.Stack{Parts: []align.Part{{Name: "a", Turned: true, Front: &align.Face{Z: 1}, Rear: &align.Face{Z: 1.5}}}}, true},
	} {
		if err := c.s.Validate(); (err == nil) != c.want {
			t.Errorf("%s: %v", name, err)
		}
	}
	swept := align.Stack{Parts: []align.Part{{Name: "a", Bores: []align.Bore{{
		Name: "b", Centre: align.Vec3{X: 1}, Sweep: &align.Sweep{Readings: align.Readings{Values: [][]tolerance.Length{{0}, {1}, {2}}}},
	}}}}}
	if err := swept.Validate(); !errors.Is(err, fault.ErrConflict) {
		t.Errorf("a bore with a centre and a sweep: %v", err)
	}
}

// What the repository hands out decodes.
func TestDecode_ownRecords(t *testing.T) {
	for _, glob := range []string{"../../examples/*/*.json", "../../testdata/records/*.json"} {
		paths, _ := filepath.Glob(glob)
		if len(paths) == 0 {
			t.Error("no records in", glob)
		}
		for _, p := range paths {
			f, err := os.Open(p)
			if err != nil {
				t.Fatal(err)
			}
			r, err := record.Decode(f)
			f.Close()
			if err != nil {
				t.Error(p, err)
				continue
			}
			if d := r.Doubts(); len(d) > 0 {
				t.Error(p, d)
			}
		}
	}
}
