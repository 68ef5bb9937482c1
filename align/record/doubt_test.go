package record_test

import (
	"encoding/json"
	"fmt"
	"strconv"
	"strings"
	"testing"

	"example.com/borestack/align/record"
)

// plain is an invented box without doubts that every rule on places and fits looks at; numbers are such that each threshold is a round one.
const plain = `{
 "format": "borestack-record/1", "units": {"length": "mm"},
 "parts": [
  {"name": "case", "front": {"diameter": 200}, "rear": {"z": 160, "diameter": 180,
    "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 100}, "dowels": [{"name": "p", "centre": [0, 70], "diameter": 10}]},
   "bores": [{"name": "a", "centre": [0, 0, 20]}]},
  {"name": "plate", "front": {"diameter": 200,
    "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 100}, "dowels": [{"name": "p", "centre": [0, 70], "diameter": 10}]},
   "rear": {"thickness": {"radius": 90, "readings": [14, 14, 14, 14]}, "diameter": 200,
    "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 80}},
   "bores": [{"name": "b", "centre": [0, 0, 7]}]},
  {"name": "tail", "front": {"diameter": 200, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 80}},
   "bores": [{"name": "c", "centre": [0, 0, 200], "diameter": 30.1}]}
 ],
 "joints": [
  {"pins": [{"dowel": "p", "diameter": 10, "pressed": "front"}]},
  {"register_ring": {"diameter": 80}, "gasket": {"thickness": 1}}
 ],
 "shafts": [{"name": "main", "supports": [{"bore": "case/a", "clearance": 0.1}, {"bore": "plate/b", "clearance": 0.1},
   {"bore": "tail/c", "clearance": 0.1, "kind": "bush", "width": 30, "journal": 30}]}]
}`

// doubtsOf decodes, checks that every doubt points at what is there, and returns the doubts.
func doubtsOf(t *testing.T, text string) []record.Doubt {
	t.Helper()
	r := decode(t, text)
	list := r.Doubts()
	if err := pointAtSomething(text, list); err != nil {
		t.Error(err)
	}
	return list
}

// pointAtSomething checks that places exist and that numbers are numbers, by another reading of the JSON.
func pointAtSomething(text string, list []record.Doubt) error {
	var tree any
	if err := json.Unmarshal([]byte(text), &tree); err != nil {
		return err
	}
	for _, d := range list {
		if _, ok := follow(tree, d.Path); !ok || d.Why == "" || d.Path == "" {
			return fmt.Errorf("a doubt that points at nothing: %+v", d)
		}
		for _, n := range d.Numbers {
			if v, ok := follow(tree, n); !ok {
				return fmt.Errorf("%v: nothing at %s", d, n)
			} else if _, ok := v.(float64); !ok {
				return fmt.Errorf("%v: no number at %s", d, n)
			}
		}
	}
	return nil
}

func follow(v any, pointer string) (any, bool) {
	for _, s := range strings.Split(strings.TrimPrefix(pointer, "/"), "/") {
		s = strings.ReplaceAll(strings.ReplaceAll(s, "~1", "/"), "~0", "~")
		switch x := v.(type) {
		case map[string]any:
			next, ok := x[s]
			if !ok {
				return nil, false
			}
			v = next
		case []any:
			i, err := strconv.Atoi(s)
			if err != nil || i < 0 || i >= len(x) {
				return nil, false
			}
			v = x[i]
		default:
			return nil, false
		}
	}
	return v, true
}

// change replaces pairs of texts, each of which must be there.
func change(t *testing.T, text string, pairs ...string) string {
	t.Helper()
	for i := 0; i < len(pairs); i += 2 {
		next := strings.Replace(text, pairs[i], pairs[i+1], 1)
		if next == text {
			t.Fatalf("nothing to replace: %q", pairs[i])
		}
		text = next
	}
	return text
}

// Every rule on places and fits at its threshold: the first change is just inside, the second just outside.
func TestRecord_Doubts_places(t *testing.T) {
	if d := doubtsOf(t, plain); len(d) > 0 {
		t.Fatal(d)
	}
	const (
		spigot = `"kind": "spigot", "centre": [0, 0], "diameter": 100`
		ring   = `"register_ring": {"diameter": 80`
		pin    = `{"dowel": "p", "diameter": 10, "pressed": "front"`
		bush   = `"centre": [0, 0, 200], "diameter": 30.1`
		a      = `"centre": [0, 0, 20]`
		b      = `"centre": [0, 0, 7]`
		c      = `"centre": [0, 0, 200]`
		radius = `"radius": 90`
	)
	for _, q := range []struct {
		name          string
		from, in, out string
		path          string // of the first doubt
		why, number   string
		more          []string // changes made beside both
		doubts        int
	}{
		// Source: record.md, "What may not pass"; hand calculation: 0.25 % of a spigot of 100.25 is 0.250625.
		{name: "register", from: spigot, in: spigot + `.2506`, out: spigot + `.2507`, path: "/joints/0", why: "0.2507 mm larger", number: "/parts/1/front/pilot/diameter"},
		// Source: hand calculation: 0.25 % of a ring of 80.2005 is 0.20050; both bores are of 80.
		{name: "ring", from: ring, in: ring + `.2005`, out: ring + `.2006`, path: "/joints/1/register_ring/diameter", why: "0.2006 mm tight", number: "/parts/2/front/pilot/diameter", doubts: 2},
		// Source: hand calculation: 1 % of a pin of 10.101 is 0.10101.
		{name: "pin", from: pin, in: `{"dowel": "p", "diameter": 10.101, "pressed": "front"`, out: `{"dowel": "p", "diameter": 10.1011, "pressed": "front"`, path: "/joints/0/pins/0", why: "hole of 10 mm in plate", number: "/parts/1/front/dowels/0/diameter"},
		{name: "pin from the rear", from: pin, in: `{"dowel": "p", "diameter": 10.101, "pressed": "rear"`, out: `{"dowel": "p", "diameter": 10.1011, "pressed": "rear"`, path: "/joints/0/pins/0", why: "hole of 10 mm in case", number: "/parts/0/rear/dowels/0/diameter"},
		{name: "free pin", from: pin, in: `{"dowel": "p", "diameter": 10.101, "pressed": "neither"`, out: `{"dowel": "p", "diameter": 10.1011, "pressed": "neither"`, path: "/joints/0/pins/0", why: "hole of 10 mm in case", number: "/joints/0/pins/0/diameter", doubts: 2},
		// Source: hand calculation: 5² = 3² + 4²; the case's greatest face diameter is 200, its pilot is at (0, 0).
		{name: "bore across", from: a, in: `"centre": [120, 160, 20]`, out: `"centre": [120, 160.001, 20]`, path: "/parts/0/bores/0", why: "outside a part of diameter 200 mm", number: "/parts/0/bores/0/centre/0"},
		{name: "bore across from its pilot", from: c, in: `"centre": [-193, 0, 200]`, out: `"centre": [-193.001, 0, 200]`, more: []string{`"kind": "bore", "centre": [0, 0], "diameter": 80}},
   "bores": [{"name": "c"`, `"kind": "bore", "centre": [7, 0], "diameter": 80}},
   "bores": [{"name": "c"`}, path: "/parts/2/bores/0", why: "from the part's pilot", number: "/parts/2/bores/0/centre/1"},
		// Source: hand calculation: half of 200 ahead of 0 and behind 160, or 14.
		{name: "bore ahead", from: a, in: `"centre": [0, 0, -100]`, out: `"centre": [0, 0, -100.001]`, path: "/parts/0/bores/0", why: "ahead of its front face", number: "/parts/0/bores/0/centre/2"},
		{name: "bore behind", from: b, in: `"centre": [0, 0, 114]`, out: `"centre": [0, 0, 114.001]`, path: "/parts/1/bores/0", why: "behind its rear face", number: "/parts/1/bores/0/centre/2"},
		// Source: hand calculation: the tail begins at 160 + 14 + 1 = 175, plate/b is at 167.
		{name: "support ahead", from: c, in: `"centre": [0, 0, -8]`, out: `"centre": [0, 0, -8.001]`, path: "/shafts/0/supports/2", why: "tail/c lies 0.001 mm ahead of plate/b", number: "/parts/1/rear/thickness/readings/3"},
		{name: "support ahead by the gasket", from: `"gasket": {"thickness": 1}`, in: `"gasket": {"thickness": 1.00}`, out: `"gasket": {"thickness": 0.99}`, more: []string{c, `"centre": [0, 0, -8]`}, path: "/shafts/0/supports/2", why: "0.01 mm ahead", number: "/joints/1/gasket/thickness"},
		// Source: hand calculation: bore less journal 0.1; a quarter of the larger of 0.1 and c: c = 0.075 and 0.1 / 0.75.
		{name: "bush too wide", from: `"clearance": 0.1, "kind"`, in: `"clearance": 0.075, "kind"`, out: `"clearance": 0.0749, "kind"`, path: "/shafts/0/supports/2", why: "which leaves 0.1 mm", number: "/shafts/0/supports/2/journal"},
		{name: "bush too tight", from: `"clearance": 0.1, "kind"`, in: `"clearance": 0.1333, "kind"`, out: `"clearance": 0.1334, "kind"`, path: "/shafts/0/supports/2", why: "said to be 0.1334 mm", number: "/shafts/0/supports/2/clearance"},
		{name: "journal larger than its bush", from: bush, in: bush + "0", out: `"centre": [0, 0, 200], "diameter": 29.9`, path: "/shafts/0/supports/2", why: "leaves -0.1 mm", number: "/parts/2/bores/0/diameter"},
		// Source: hand calculation: three quarters of 200.
		{name: "radius", from: radius, in: `"radius": 150`, out: `"radius": 150.01`, path: "/parts/1/rear/thickness/radius", why: "is it the diameter?", number: "/parts/1/rear/diameter"},
	} {
		if d := doubtsOf(t, change(t, plain, append(q.more, q.from, q.in)...)); len(d) > 0 {
			t.Errorf("%s: doubted inside: %v", q.name, d)
		}
		d := doubtsOf(t, change(t, plain, append(q.more, q.from, q.out)...))
		if len(d) != max(q.doubts, 1) || d[0].Path != q.path || !strings.Contains(d[0].Why, q.why) {
			t.Errorf("%s: want %s: %s: got %v", q.name, q.path, q.why, d)
			continue
		}
		if !strings.Contains(strings.Join(append(d[0].Numbers, d[len(d)-1].Numbers...), " ")+" ", q.number+" ") {
			t.Errorf("%s: %s is not among the numbers %v", q.name, q.number, d[0].Numbers)
		}
	}
}

// What is not judged, and what only looks odd.
func TestRecord_Doubts_notJudged(t *testing.T) {
	for name, text := range map[string]string{
		"no diameter":          change(t, plain, `"front": {"diameter": 200}, "rear": {"z": 160, "diameter": 180,`, `"front": {}, "rear": {"z": 160,`, `"centre": [0, 0, 20]`, `"centre": [500, 0, 20]`),
		"one face, far behind": change(t, plain, `"centre": [0, 0, 200]`, `"centre": [0, 0, 900]`),
		"same part, any order": change(t, plain, `{"name": "a", "centre": [0, 0, 20]}`, `{"name": "a", "centre": [0, 0, 20]}, {"name": "a2", "centre": [0, 0, 10]}`, `"supports": [`, `"supports": [{"bore": "case/a2", "clearance": 0.1}, `),
		"bearing, not a bush":  change(t, plain, `"kind": "bush", "width": 30, "journal": 30`, `"journal": 20`),
		"bush without bore":    change(t, plain, `, "diameter": 30.1`, ``, `"journal": 30`, `"journal": 20`),
		"bush without journal": change(t, plain, `, "journal": 30`, ``, `"diameter": 30.1`, `"diameter": 300`),
		"loose pilot":          change(t, plain, `"kind": "spigot", "centre": [0, 0], "diameter": 100`, `"kind": "spigot", "centre": [0, 0], "diameter": 90`),
		"loose pin":            change(t, plain, `{"dowel": "p", "diameter": 10,`, `{"dowel": "p", "diameter": 8,`),
		"pressed into its hole": change(t, plain, `"dowels": [{"name": "p", "centre": [0, 70], "diameter": 10}]},
   "bores": [{"name": "a"`, `"dowels": [{"name": "p", "centre": [0, 70], "diameter": 9}]},
   "bores": [{"name": "a"`),
		"both shrunk by the cold": change(t, plain, `"name": "plate", `, `"name": "plate", "material": "aluminium", "measured_at": 60, `, `"kind": "spigot", "centre": [0, 0], "diameter": 100`, `"kind": "spigot", "centre": [0, 0], "diameter": 100.3`),
	} {
		if d := doubtsOf(t, text); len(d) > 0 {
			t.Errorf("%s: %v", name, d)
		}
	}
}

// A candidate is judged in its place, and what is wrong about the rest of the box is not laid at its door.
func TestRecord_Doubts_candidates(t *testing.T) {
	from := strings.Index(plain, `{"name": "plate"`)
	to := strings.Index(plain, `,
  {"name": "tail"`)
	with := func(spare string) string {
		return plain[:len(plain)-1] + `, "candidates": {"plate": [` + strings.Replace(plain[from:to], "plate", "good", 1) + ", " + strings.Replace(spare, "plate", "spare", 1) + `]}}`
	}
	plate := plain[from:to]
	if d := doubtsOf(t, with(plate)); len(d) > 0 {
		t.Fatal(d)
	}
	const at = "/candidates/plate/1"
	for _, c := range []struct{ name, from, to, path, number string }{
		{"register", `"diameter": 100`, `"diameter": 101`, at + "/front/pilot/diameter", "/parts/0/rear/pilot/diameter"},
		{"ring", `"kind": "bore", "centre": [0, 0], "diameter": 80`, `"kind": "bore", "centre": [0, 0], "diameter": 79`, at + "/rear/pilot/diameter", "/joints/1/register_ring/diameter"},
		{"pin", `"centre": [0, 70], "diameter": 10`, `"centre": [0, 70], "diameter": 9`, at + "/front/dowels/0", "/joints/0/pins/0/diameter"},
		{"bore across", `"centre": [0, 0, 7]`, `"centre": [7, 300, 0]`, at + "/bores/0", at + "/bores/0/centre/1"},
		{"support order", `"centre": [0, 0, 7]`, `"sweep": {"readings": [0, 0, 0]}, "z": -150`, "", ""},
		{"support order ", `"centre": [0, 0, 7]`, `"sweep": {"readings": [0, 0, 0]}, "z": 300`, "", ""},
		{"round", `"readings": [14, 14, 14, 14]`, `"readings": [14, 14.1, 14, 14], "closing": 14.3`, at + "/rear/thickness", at + "/rear/thickness/readings/0"},
		{"radius", `"radius": 90`, `"radius": 180`, at + "/rear/thickness/radius", at + "/rear/thickness/radius"},
	} {
		d := doubtsOf(t, with(change(t, plate, c.from, c.to)))
		if c.path == "" { // two rules see it
			if len(d) == 0 || !strings.HasPrefix(d[0].Path, at) {
				t.Errorf("%s: %v", c.name, d)
			}
			continue
		}
		if len(d) != 1 || d[0].Path != c.path || !strings.Contains(strings.Join(d[0].Numbers, " ")+" ", c.number+" ") {
			t.Errorf("%s: want %s with %s: %v %v", c.name, c.path, c.number, d, d)
		}
	}
	// a tail that the base and the candidate both meet is doubted once of each; a bush that neither moves once
	if d := doubtsOf(t, change(t, with(plate), `"journal": 30`, `"journal": 20`)); len(d) != 1 || d[0].Path != "/shafts/0/supports/2" {
		t.Error(d)
	}
	if d := doubtsOf(t, change(t, with(plate), `"front": {"diameter": 200, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 80}`, `"front": {"diameter": 200, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 79}`)); len(d) != 1 || d[0].Path != "/joints/1/register_ring/diameter" {
		t.Error("the tail's bore is not the candidate's:", d)
	}
	tail := plain[to+4 : strings.Index(plain, "\n ],\n \"joints\"")]
	both := change(t, plain, `"centre": [0, 0, 7]`, `"centre": [0, 0, -85]`, `"centre": [0, 0, 20]`, `"centre": [0, 0, 100]`)
	both = both[:len(both)-1] + `, "candidates": {"tail": [` + strings.Replace(tail, `"tail"`, `"other"`, 1) + `]}}`
	if d := doubtsOf(t, both); len(d) != 1 || d[0].Path != "/shafts/0/supports/1" {
		t.Error("the order of case and plate is not the candidate's:", d)
	}
}

// Order along the line follows parts that are turned end for end.
func TestRecord_Doubts_turned(t *testing.T) {
	// The tail measured on its rear face at z 5: mounted, that face looks forward, and a bore at z 5 - 200 lies 200 behind it.
	turned := change(t, plain,
		`{"name": "tail", "front": {"diameter": 200`, `{"name": "tail", "turned": true, "rear": {"z": 5, "diameter": 200`,
		`"centre": [0, 0, 200]`, `"centre": [0, 0, -195]`)
	if d := doubtsOf(t, turned); len(d) > 0 {
		t.Error(d)
	}
	// Source: hand calculation: the tail begins at 175, plate/b is at 167: 8 ahead of the face is z 5 + 8.
	if d := doubtsOf(t, change(t, turned, `"centre": [0, 0, -195]`, `"centre": [0, 0, 13]`)); len(d) > 0 {
		t.Error(d)
	}
	if d := doubtsOf(t, change(t, turned, `"centre": [0, 0, -195]`, `"centre": [0, 0, 13.01]`)); len(d) != 1 || d[0].Path != "/shafts/0/supports/2" {
		t.Error(d)
	}
}
