package study_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/borestack/tolerance"
)

// inStates is a bed of three bores with a settling tail: part two's bores alone are moved by states.
func inStates(states, accept, candidates string) string {
	return `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [
{"name": "case", "rear": {"z": 150, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 100}}, "bores": [{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0, 0, 100]}]},
{"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 100}}, "bores": [{"name": "c", "centre": [0, 0, 50]}]}],
"joints": [{"lies": "rest"}],
"shafts": [{"name": "m", "supports": [{"bore": "case/a", "clearance": 0.04}, {"bore": "case/b", "clearance": 0.04}, {"bore": "tail/c", "clearance": 0.04}]}],
"states": [` + states + `], "accept": [` + accept + `]` + candidates + `}`
}

func bolted(name string, x float64) string {
	return fmt.Sprintf(`{"name": %q, "temperatures": {}, "moves": {"tail": [%g, 0, 0]}}`, name, x)
}

// A limit on margin or use that names no state holds in every state: the worst governs and is named,
// the value stays as measured.
//
// Source: record.md; hand calculation: three rooms of 0.02 at 0, 100 and 200, the last off by x, leave
// 0.02 − x/4.
func TestRun_everyState(t *testing.T) {
	margin := `{"output": {"kind": "margin"}, "least": 0}`
	for _, c := range []struct {
		states, in string
		want       tolerance.Decision
		room       float64
	}{
		{bolted("bolted", 0.04), "bolted", tolerance.Pass, 0.01},
		{bolted("bolted", 0.1), "bolted", tolerance.Fail, -0.005},
		{bolted("bolted", 0.04) + "," + bolted("hot", 0.06), "hot", tolerance.Pass, 0.005},
		{bolted("hot", 0.06) + "," + bolted("bolted", 0.04), "hot", tolerance.Pass, 0.005},
		{bolted("bolted", 0), "", tolerance.Pass, 0.02},
	} {
		for _, limit := range []string{margin, `{"output": {"kind": "use"}, "greatest": 1}`} {
			res := run(t, inStates(c.states, limit, ""))
			v := res.Verdicts[0]
			if v.Word != c.want || res.Word != c.want || v.InState != c.in {
				t.Errorf("%s: %v in %q, want %v in %q", c.states, v.Word, v.InState, c.want, c.in)
			}
			if limit == margin && (math.Abs(v.Room.Value-c.room) > 1e-9 || math.Abs(v.Value.Value-0.02) > 1e-9) {
				t.Errorf("%s: room %v and value %v, want %v and 0.02", c.states, v.Room.Value, v.Value.Value, c.room)
			}
		}
		// Other limits, and margins that name a state, hold where they say.
		v := run(t, inStates(c.states, `{"output": {"kind": "offset", "of": "tail/c"}, "greatest": 0.01}`, "")).Verdicts[0]
		if v.Word != tolerance.Pass || v.InState != "" {
			t.Errorf("an offset as measured: %v in %q", v.Word, v.InState)
		}
	}
	two := bolted("bolted", 0.04) + "," + bolted("hot", 0.5)
	v := run(t, inStates(two, `{"output": {"kind": "margin", "state": "bolted"}, "least": 0}`, "")).Verdicts[0]
	if v.Word != tolerance.Pass || v.InState != "" || math.Abs(v.Value.Value-0.01) > 1e-9 {
		t.Errorf("a margin in one state: %+v", v)
	}
	if w := run(t, inStates(two, `{"output": {"kind": "margin"}}`, "")).Word; w != tolerance.NoLimit {
		t.Errorf("no limit: %v", w)
	}
}

// It holds for candidates as for the part in place.
func TestRun_everyStateOfCandidates(t *testing.T) {
	other := `, "candidates": {"tail": [{"name": "other", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 100}}, "bores": [{"name": "c", "centre": [-0.04, 0, 50]}]}]}`
	res := run(t, inStates(bolted("bolted", 0.1), `{"output": {"kind": "margin"}, "least": 0}`, other))
	c := res.Candidates[0]
	if v := c.Verdicts[0]; c.Word != tolerance.Pass || v.InState != "bolted" || math.Abs(v.Room.Value-0.005) > 1e-9 || res.Word != tolerance.Fail {
		t.Errorf("candidate %v %+v, in place %v", c.Word, c.Verdicts[0], res.Word)
	}
}

// A box that does not assemble fails every limit, and nothing is inside by anything.
func TestRun_noRoomWithoutAssembly(t *testing.T) {
	text := pinned(0.4, gaugeOfHole(0), `{"output": {"kind": "margin"}, "least": -5}, {"output": {"kind": "offset", "of": "tail/bush"}, "greatest": 5}, {"output": {"kind": "assembles"}, "least": 1}, {"output": {"kind": "gap", "of": "case|tail"}, "greatest": 5}`)
	text = strings.Replace(text, `"references"`, `"shafts": [{"name": "m", "supports": [{"bore": "case/a", "clearance": 0.04}, {"bore": "case/b", "clearance": 0.04}, {"bore": "tail/bush", "clearance": 0.04}]}], "references"`, 1)
	res := run(t, text)
	for _, v := range res.Verdicts {
		if v.Word != tolerance.Fail || v.Room.Given {
			t.Errorf("%s: %v with room %v", v.Limit.Path, v.Word, v.Room)
		}
	}
	if res.Word != tolerance.Fail {
		t.Error(res.Word)
	}
}

// What varies because of the gauge on the part in place says nothing of a candidate of another shape,
// and what varies on a candidate is felt there.
func TestRun_gaugeOfCandidates(t *testing.T) {
	other := `, "candidates": {"tail": [{"name": "other", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 100}}, "bores": [{"name": "c", "centre": [0.01, 0, 50]}]}]}`
	text := inStates(bolted("bolted", 0), `{"output": {"kind": "offset", "of": "tail/c"}, "greatest": 0.2}`, other)
	text = strings.Replace(text, `{"name": "c", "centre": [0, 0, 50]}`, `{"name": "c", "z": 50, "sweep": {"readings": [0.1, 0, -0.1, 0]}}`, 1)
	gauge := `"references": [{"name": "l", "through": ["case/a", "case/b"]}], "vary": [{"name": "r", "at": "/parts/1/bores/0/sweep/readings/0", "law": {"normal": 0.01}, "because": "gauge"}, {"name": "s", "at": "/candidates/tail/0/bores/0/centre/0", "law": {"normal": 0.002}, "because": "gauge"}], "accept"`
	res := run(t, strings.Replace(text, `"accept"`, gauge, 1))
	if u := res.Verdicts[0].U; math.Abs(u-0.005) > 1e-6 {
		t.Errorf("in place: u %v, want 0.005", u)
	}
	if u := res.Candidates[0].Verdicts[0].U; math.Abs(u-0.002) > 1e-6 {
		t.Errorf("candidate: u %v, want 0.002", u)
	}
	if len(res.Warnings) > 0 {
		t.Error(res.Warnings)
	}
	res = run(t, strings.Replace(strings.Replace(text, `"accept"`, gauge, 1), `{"normal": 0.01}`, `{"normal": 0.01, "shift": 0.001}`, 1))
	if !res.Verdicts[0].Corrected || res.Candidates[0].Verdicts[0].Corrected {
		t.Error("a shift is corrected for where it is felt", res.Verdicts[0].Corrected, res.Candidates[0].Verdicts[0].Corrected)
	}
}

// Where a state governs, a shift that is felt there alone is corrected for.
func TestRun_shiftOfAState(t *testing.T) {
	res := run(t, `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [
 {"name": "case", "rear": {}, "bores": [{"name": "a", "centre": [0, 0, -200]}, {"name": "b", "centre": [0, 0, -100]}]},
 {"name": "tail", "front": {}, "bores": [{"name": "bush", "centre": [0, 0, 100]}]}],
 "joints": [{"float": {"x": 0}, "bolts": [[90, 0], [-90, 0]], "bolt_clearance": 1}], "shafts": [{"name": "main", "supports": [{"bore": "case/a", "clearance": 0.1}, {"bore": "case/b", "clearance": 0.1}, {"bore": "tail/bush", "clearance": 0.1}]}],
 "states": [{"name": "warm", "temperatures": {}, "moves": {"tail": [0.02, 0, 0]}}],
 "vary": [{"name": "m", "at": "/states/0/moves/tail/0", "law": {"normal": 0.001, "shift": 0.005}, "because": "gauge"}],
 "accept": [{"output": {"kind": "margin"}, "least": 0}]}`)
	if v := res.Verdicts[0]; v.InState != "warm" || !v.Corrected {
		t.Errorf("%+v", v)
	}
}
