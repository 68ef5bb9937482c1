package record_test

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"
	"time"

	"example.com/borestack/align/record"
	"example.com/borestack/fault"
)

// small is a valid record that uses most keys.
const small = `{
 "format": "borestack-record/1", "title": "invented", "units": {"length": "in"},
 "parts": [
  {"name": "case", "material": "cast iron", "temperature": 20,
   "rear": {"z": 2.50, "diameter": 8, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 5.001}, "dowels": [{"name": "d", "centre": [0, 3.5], "diameter": 0.375}]},
   "bores": [{"name": "front", "centre": [0, 0, -6]}, {"name": "rear", "z": 1.5, "sweep": {"readings": [0, 2, null, [4, 6], 0, -2, -4, -2], "unit": "thou", "droop": 0.5, "about": "case/front"}}]},
  {"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 5, "slope": [0, 1e-4]}, "dowels": [{"name": "d", "centre": [0, 3.5], "diameter": 0.376}]},
   "bores": [{"name": "bush", "centre": [0.001, 0, 10], "diameter": 1.5}]}
 ],
 "joints": [{"pins": [{"dowel": "d", "diameter": 0.375, "pressed": "front"}], "engagement": 0.25}],
 "shafts": [{"name": "main", "supports": [{"bore": "case/front", "clearance": 0.002}, {"bore": "case/rear", "clearance": 0.002}, {"bore": "tail/bush", "clearance": 0.005, "kind": "bush", "width": 2}]}],
 "references": [{"name": "line", "through": ["case/front", "case/rear"]}],
 "chains": [{"name": "play", "links": [{"name": "a", "from": "case/rear", "to": "tail/front"}, {"name": "b", "length": 0.01, "gain": -2}], "least": -1}],
 "accept": [{"output": {"kind": "margin"}, "least": 0, "because": "rule"}]
}`

func decode(t *testing.T, text string) *record.Record {
	t.Helper()
	r, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestDecode_roundTrip(t *testing.T) {
	r := decode(t, small)
	var b bytes.Buffer
	if err := r.Encode(&b); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "2.50") {
		t.Error("a number is not written as it was")
	}
	again := decode(t, b.String())
	var c bytes.Buffer
	if err := again.Encode(&c); err != nil || !bytes.Equal(b.Bytes(), c.Bytes()) {
		t.Error("encoding twice differs", err)
	}
	s1, _ := r.Stack()
	s2, _ := again.Stack()
	if !reflect.DeepEqual(s1, s2) {
		t.Error("the stacks differ")
	}
}

func TestRecord_Stack_units(t *testing.T) {
	s, err := decode(t, small).Stack()
	if err != nil {
		t.Fatal(err)
	}
	near := func(what string, got, want float64) {
		if math.Abs(got-want) > 1e-12*math.Abs(want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	// Source: international yard and pound agreement, 1959: an inch is 25.4 mm.
	near("z", float64(s.Parts[0].Rear.Z), 63.5)
	near("a reading in thou", float64(s.Parts[0].Bores[1].Sweep.Values[1][0]), 0.0508)
	near("a repeat", float64(s.Parts[0].Bores[1].Sweep.Values[3][1]), 0.1524)
	near("droop in thou", float64(s.Parts[0].Bores[1].Sweep.Droop), 0.0127)
	if len(s.Parts[0].Bores[1].Sweep.Values[2]) != 0 {
		t.Error("null is not a station that could not be reached")
	}
	l := decode(t, small).Limits()
	if len(l) != 2 || !l[0].Least.Given || l[0].Least.Value != 0 || l[0].Greatest.Given {
		t.Errorf("a limit of 0 is a limit: %+v", l)
	}
	near("a chain's limit", l[1].Least.Value, -25.4)
}

// A reading's size is judged in its block's own unit, whatever the record's.
func TestDecode_sizesInTheBlocksUnit(t *testing.T) {
	const text = `{"format": "borestack-record/1", "units": {"length": %q}, "joints": [], "parts": [{"name": "plate", "front": {},
 "rear": {"thickness": {"radius": 1, "unit": %q, "readings": [%s, %s, %s], "uncertainty": %s}}}]}`
	for _, c := range []struct {
		unit, block, reading string
		want                 bool
	}{
		// Source: hand calculation: 14 mm are 14,000 µm and 551.2 thou, which in inches or metres would be hundreds of metres.
		{"in", "um", "14000", true},
		{"m", "thou", "551.2", true},
		{"m", "um", "14000", true},
		// Source: hand calculation: 101 m, which would be 0.101 mm in the record's unit.
		{"um", "m", "101", false},
		{"mm", "in", "4000", false},
	} {
		_, err := record.Decode(strings.NewReader(fmt.Sprintf(text, c.unit, c.block, c.reading, c.reading, c.reading, "0.001")))
		if got := err == nil; got != c.want {
			t.Errorf("%s %s in a record in %s: %v", c.reading, c.block, c.unit, err)
		}
		if err != nil && !strings.Contains(err.Error(), "/parts/0/rear/thickness/readings/0: "+c.reading) {
			t.Errorf("%s %s: %v", c.reading, c.block, err)
		}
	}
}

// Each fault gives its place, the value and what would be right; independent faults come together.
func TestDecode_faults(t *testing.T) {
	for _, c := range []struct {
		name, from, to string
		want           []string
	}{
		{"unknown key", `"diameter": 8,`, `"diametre": 8,`, []string{"/parts/0/rear/diametre", `"diameter"`}},
		{"repeated key", `"title": "invented"`, `"title": "a", "title": "b"`, []string{"/title", "repeated"}},
		{"text for a number", `"z": 2.50`, `"z": "2,50"`, []string{"/parts/0/rear/z", `"2,50"`, "a number without quotes, with a decimal point"}},
		{"null", `"diameter": 5.001`, `"diameter": null`, []string{"/parts/0/rear/pilot/diameter", "null"}},
		{"not finite", `"z": 2.50`, `"z": 1e999`, []string{"/parts/0/rear/z", "1e999", "finite"}},
		{"absurd", `"z": 2.50`, `"z": 1e6`, []string{"/parts/0/rear/z", "100 m"}},
		{"zero diameter", `"diameter": 5.001`, `"diameter": 0`, []string{"/parts/0/rear/pilot/diameter", "more than 0"}},
		{"unit", `"length": "in"`, `"length": "inch"`, []string{"/units/length", `"inch"`, `"in"`}},
		{"word", `"pressed": "front"`, `"pressed": "frnt"`, []string{"/joints/0/pins/0/pressed", `"front"`}},
		{"bore", `"bore": "tail/bush"`, `"bore": "tail/bsuh"`, []string{"/shafts/0/supports/2/bore", `"tail/bush"`}},
		{"twice", `"name": "tail"`, `"name": "case"`, []string{"/parts/1/name", "repeated"}},
		{"dowel", `"dowel": "d"`, `"dowel": "e"`, []string{"/joints/0/pins/0/dowel"}},
		{"output", `"kind": "margin"`, `"kind": "margn"`, []string{"/accept/0/output/kind", `"margin"`}},
		{"negative clearance", `"clearance": 0.005`, `"clearance": -0.005`, []string{"/shafts/0/supports/2/clearance", "0 or more"}},
		{"bush without width", `, "width": 2`, ``, []string{"/shafts/0/supports/2/width", "mouths"}},
		{"escaped", `"title"`, `"a/b~c"`, []string{"/a~1b~0c"}},
		{"few stations", `[0, 2, null, [4, 6], 0, -2, -4, -2]`, `[0, null, 1]`, []string{"/parts/0/bores/1/sweep/readings", "three"}},
		{"swept about itself", `"about": "case/front"`, `"about": "case/rear"`, []string{"/parts/0/bores/1/sweep/about"}},
		{"hot without material", `"material": "cast iron", "temperature": 20`, `"temperature": 60`, []string{"/parts/0/temperature", "material"}},
		{"comma", `"z": 2.50`, `"z": 2,50`, []string{"line 5", "column"}},
		{"material", `"cast iron"`, `"cast irn"`, []string{"/parts/0/material", "iron"}},
	} {
		text := strings.Replace(small, c.from, c.to, 1)
		if text == small {
			t.Fatalf("%s: nothing replaced", c.name)
		}
		_, err := record.Decode(strings.NewReader(text))
		if err == nil {
			t.Errorf("%s: accepted", c.name)
			continue
		}
		for _, w := range c.want {
			if !strings.Contains(err.Error(), w) {
				t.Errorf("%s: %q does not mention %q", c.name, err, w)
			}
		}
	}
	both := strings.Replace(strings.Replace(small, `"z": 2.50`, `"z": null`, 1), `"width": 2`, `"width": -2`, 1)
	_, err := record.Decode(strings.NewReader(both))
	if err == nil || !strings.Contains(err.Error(), "/parts/0/rear/z") || !strings.Contains(err.Error(), "/supports/2/width") {
		t.Errorf("independent faults do not come together: %v", err)
	}
	var f *fault.FieldError
	if !errors.As(err, &f) || f.Path == "" || f.Want == "" {
		t.Error("not a typed error")
	}
}

func TestDecode_nothingLocates(t *testing.T) {
	text := strings.Replace(small, `"kind": "spigot"`, `"kind": "bore"`, 1)
	_, err := record.Decode(strings.NewReader(text))
	if !errors.Is(err, fault.ErrNotLocated) || !strings.Contains(err.Error(), "/joints/0") {
		t.Error(err)
	}
}

// Hostile megabytes answer at once and with few words.
func TestDecode_hostile(t *testing.T) {
	head := `{"format": "borestack-record/1", "units": {"length": "mm"}, "joints": [], "parts": [`
	for name, text := range map[string]string{
		"deep":      strings.Repeat("[", 1<<20),
		"keys":      `{` + strings.Repeat(`"x":1,`, 1<<17) + `"y":2}`,
		"parts":     head + strings.Repeat(`{"name":"a"},`, 1<<16) + `{"name":"a"}]}`,
		"bores":     head + `{"name":"a","bores":[` + strings.Repeat(`{"name":"b","centre":[0,0,0]},`, 1<<15) + `{"name":"b","centre":[0,0,0]}]}]}`,
		"numbers":   head + strings.Repeat(`1e999,`, 1<<17) + `1]}`,
		"zeros":     head + strings.Repeat("0", 1<<20) + `]}`,
		"not UTF-8": "\xff" + strings.Repeat("a", 1<<20),
	} {
		start := time.Now()
		_, err := record.Decode(strings.NewReader(text))
		if err == nil {
			t.Errorf("%s: accepted", name)
		} else if len(err.Error()) > 100_000 {
			t.Errorf("%s: a message of %d bytes", name, len(err.Error()))
		}
		t.Logf("%s: %v", name, time.Since(start))
	}
}

func FuzzDecode(f *testing.F) {
	f.Add(small)
	f.Add(plain)
	f.Add(swept("in", `"readings": [1, null, [2, 3], 1, 1, 1, 1, 1, 1], "unit": "um", "closing": 9`))
	f.Add(newCleanBox(1, true))
	f.Add(`{}`)
	paths, _ := filepath.Glob("../../examples/*/*.json")
	for _, p := range paths {
		if b, err := os.ReadFile(p); err == nil {
			f.Add(string(b))
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		r, err := record.Decode(strings.NewReader(text))
		if err != nil {
			return
		}
		var b bytes.Buffer
		if err := r.Encode(&b); err != nil {
			t.Fatal(err)
		}
		written := b.String()
		again, err := record.Decode(&b)
		if err != nil {
			t.Fatal(err)
		}
		s1, _ := r.Stack()
		s2, _ := again.Stack()
		if !reflect.DeepEqual(s1, s2) {
			t.Fatal("the round trip changes the stack")
		}
		if err := pointAtSomething(written, r.Doubts()); err != nil {
			t.Fatal(err)
		}
		var places []record.Doubt
		for _, u := range r.Understood() {
			places = append(places, record.Doubt{Path: u.Path, Why: u.Text})
		}
		for _, w := range r.Warnings() {
			places = append(places, record.Doubt{Path: w.Path, Why: w.Text})
		}
		if err := pointAtSomething(written, places); err != nil {
			t.Fatal(err)
		}
	})
}

// FuzzSolve: any record that decodes is evaluated to finite numbers, or to an error with words.
func FuzzSolve(f *testing.F) {
	f.Add(small)
	f.Add(strings.Replace(small, `"pins": [{"dowel": "d", "diameter": 0.375, "pressed": "front"}]`, `"lies": "hang"`, 1))
	f.Add(strings.Replace(small, `"diameter": 5.001`, `"diameter": 5`, 1))
	f.Fuzz(func(t *testing.T, text string) {
		r, err := record.Decode(strings.NewReader(text))
		if err != nil || len(r.Parts) > 4 || len(r.Shafts) > 2 {
			return // larger ones only take time
		}
		s, _ := r.Stack()
		s.Candidates, s.States = nil, nil
		if _, err := s.Solve(); err != nil && err.Error() == "" {
			t.Fatal("an error without words")
		}
	})
}
