package advise_test

import (
	"math"
	"strings"
	"testing"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// An audit's finding is about the number that the verdict is about: the margin in the state that
// governs, and what the gauge is known to read too much.
//
// Source: hand calculation: three rooms of 0.02 at 0, 100 and 200, the last off by x, leave 0.02 − x/4.
func TestAuditRecord_state(t *testing.T) {
	text := `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "case", "rear": {"z": 150, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 100}}, "bores": [
{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0, 0, 100]}]}, {"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 100}}, "bores": [{"name": "c", "centre": [0.02, 0, 50]}]}],
"joints": [{"lies": "rest"}],
"shafts": [{"name": "m", "supports": [{"bore": "case/a", "clearance": 0.04}, {"bore": "case/b", "clearance": 0.04}, {"bore": "tail/c", "clearance": 0.04}]}],
"states": [{"name": "bolted", "temperatures": {}, "moves": {"tail": [0.1, 0, 0]}}],
"vary": [{"name": "x", "at": "/parts/1/bores/0/centre/0", "law": {"normal": 0.0001, "shift": 0.02}, "because": "gauge"}],
"accept": [{"output": {"kind": "margin"}, "least": -1}]}`
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	a, err := advise.AuditRecord(rec)
	if err != nil {
		t.Fatal(err)
	}
	f := a.Findings[0]
	if math.Abs(f.Value-(0.02-0.14/4)) > 1e-9 || f.State != "bolted" || f.Decision != tolerance.Pass || a.Word != study.Pass {
		t.Errorf("value %v in %q, %v, %v", f.Value, f.State, f.Decision, a.Word)
	}
}
