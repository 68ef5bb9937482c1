package study_test

import (
	"context"
	"encoding/json"
	"fmt"
	"math"
	"reflect"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

func decode(t *testing.T, text string) *record.Record {
	t.Helper()
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

func vary(t *testing.T, text string, samples int) []*study.Variation {
	t.Helper()
	v, err := study.Vary(context.Background(), decode(t, text), stackup.Settings{Samples: samples, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// bed is one part with bores at 0, 100 and 250 and what varies in it.
func bed(unit, vary, accept string) string {
	return fmt.Sprintf(`{"format": "borestack-record/1", "units": {"length": %q}, "parts": [{"name": "bed", "bores": [
{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0, 0, 100]}, {"name": "c", "centre": [0.02, -0.01, 250]}]}], "joints": [],
"references": [{"name": "line", "through": ["bed/a", "bed/b"]}], "vary": [%s], "accept": [%s]}`, unit, vary, accept)
}

const offset = `{"output": {"kind": "offset", "of": "bed/c"}, "greatest": 0.05}`

// Source: Rayleigh law, closed form: sizes of two equal independent normal parts; no worst case, since a normal law has no limits and nothing invents them.
func TestVary_rayleigh(t *testing.T) {
	text := strings.Replace(bed("mm", `{"name": "c", "at": ["/parts/0/bores/2/centre/0", "/parts/0/bores/2/centre/1"], "law": {"normal": 0.02}}`, offset), "0.02, -0.01, 250", "0, 0, 250", 1)
	v := vary(t, text, 40000)[0].Outputs[0]
	if v.Worst != nil || v.Unbounded != "c" {
		t.Errorf("worst %v, unbounded %q", v.Worst, v.Unbounded)
	}
	for i, want := range []float64{1.1774100225, 2.145966026289347, 2.4477468307, 3.0348542588, 3.4393323497} {
		if got := v.RSS.Quantiles[i] / 0.02; math.Abs(got-want) > 1e-8 {
			t.Errorf("quantile %d: %v, want %v", i, got, want)
		}
		q, e := v.Sampled.Quantile(study.Quantiles()[i])
		if math.Abs(q-0.02*want) > 4.5*e {
			t.Errorf("sampled quantile %d: %v ± %v, want %v", i, q, e, 0.02*want)
		}
	}
	if math.Abs(v.RSS.Mean-0.02*1.2533141373) > 1e-11 {
		t.Errorf("mean %v", v.RSS.Mean)
	}
	if y := 1 - math.Exp(-0.05*0.05/(2*0.02*0.02)); math.Abs(v.Sampled.Yield-y) > 4.5*v.Sampled.YieldError {
		t.Errorf("yield %v, want %v", v.Sampled.Yield, y)
	}
}

// One shared datum is one input: what moves together adds up before it is squared. Source: hand calculation.
func TestVary_shared(t *testing.T) {
	apart := bed("mm", `{"name": "b", "at": "/parts/0/bores/1/centre/0", "law": {"uniform": 0.01}}, {"name": "c", "at": "/parts/0/bores/2/centre/0", "law": {"uniform": 0.01}}`, offset)
	together := bed("mm", `{"name": "b", "at": "/parts/0/bores/1/centre/0", "law": {"uniform": 0.01}, "also": [{"at": "/parts/0/bores/2/centre/0", "gain": 2.5}]}`, offset)
	// Offset of c in x is x_c − 2.5 x_b: apart it ranges by 0.035; together, with a gain of 2.5, it does not move.
	a, b := vary(t, apart, 2000)[0].Outputs[0], vary(t, together, 2000)[0].Outputs[0]
	if want := math.Hypot(0.055, 0.01); math.Abs(a.Worst.Greatest.Value-want) > 1e-9 {
		t.Errorf("apart: worst %v, want %v", a.Worst.Greatest.Value, want)
	}
	if nominal := math.Hypot(0.02, 0.01); math.Abs(b.Worst.Greatest.Value-nominal) > 1e-9 || b.Sampled.SD > 1e-9 {
		t.Errorf("together: worst %v, sd %v, want %v and none", b.Worst.Greatest.Value, b.Sampled.SD, nominal)
	}
}

// A record in inches says the same as the record in millimetres.
func TestVary_units(t *testing.T) {
	law := `{"name": "c", "at": "/parts/0/bores/2/centre/0", "law": {"triangular": 0.01, "shift": 0.004}, "limits": [-0.002, 0.009]}`
	mm, in := vary(t, bed("mm", law, offset), 5000)[0].Outputs[0], vary(t, bed("in", law, offset), 5000)[0].Outputs[0]
	for _, c := range [][2]float64{
		{mm.Sampled.Mean, in.Sampled.Mean}, {mm.Sampled.SD, in.Sampled.SD}, {mm.RSS.Mean, in.RSS.Mean}, {mm.Worst.Least.Value, in.Worst.Least.Value}, {mm.Worst.Greatest.Value, in.Worst.Greatest.Value}, {mm.Nominal.Value, in.Nominal.Value},
	} {
		if math.Abs(c[1]-25.4*c[0]) > 1e-9*math.Abs(c[1]) {
			t.Errorf("%v mm, and %v mm from inches", c[0], c[1])
		}
	}
	if want := math.Hypot(0.029, 0.01); math.Abs(mm.Worst.Greatest.Value-want) > 1e-9 {
		t.Errorf("worst %v, want %v: the limits bound the deviation, shift and all", mm.Worst.Greatest.Value, want)
	}
}

// Gauge and process are never mixed: the gauge's share goes to the verdict's guard band and to a probability of its own.
func TestVary_gaugeApart(t *testing.T) {
	text := bed("mm", `{"name": "made", "at": "/parts/0/bores/2/centre/0", "law": {"normal": 0.001}}, {"name": "read", "at": "/parts/0/bores/2/centre/0", "law": {"normal": 0.0002}, "because": "gauge"}`, offset)
	v := vary(t, text, 20000)
	if len(v) != 2 || v[0].Because != "process" || v[1].Because != "gauge" {
		t.Fatalf("%d studies", len(v))
	}
	slope := 0.02 / math.Hypot(0.02, 0.01)
	if got := v[0].Outputs[0].Sampled.SD; math.Abs(got-0.001*slope) > 3e-5 {
		t.Errorf("process: sd %v", got)
	}
	if got := v[1].Outputs[0].Sampled.SD; math.Abs(got-0.0002*slope) > 6e-6 {
		t.Errorf("gauge: sd %v", got)
	}
	res := run(t, text)
	if u := res.Verdicts[0].U; math.Abs(u-0.0002*slope) > 2e-7 {
		t.Errorf("the verdict's standard uncertainty %v, want %v", u, 0.0002*slope)
	}
}

// floating is a tail on a pilot with 0.06 of clearance and no dowel.
func floating(law, accept string) string {
	return `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [
{"name": "case", "rear": {"pilot": {"kind": "bore", "centre": [0, 0], "diameter": 100.06}}, "bores": [{"name": "a", "centre": [0, 0, -100]}, {"name": "b", "centre": [0, 0, -20]}]},
{"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 100}}, "bores": [{"name": "c", "centre": [0, 0, 50]}]}],
"joints": [{"name": "joint"}], "references": [{"name": "line", "through": ["case/a", "case/b"]}],
"vary": [` + law + `], "accept": [` + accept + `]}`
}

// The float's laws. Source: physics of a disc of radius r = 0.03: uniform: r²/4 an axis, P(size ≤ s) = (s/r)²; rim: r²/2 an axis, size r always; any: the worst, r; rest: 0; worst case r for all that float.
func TestVary_floatLaws(t *testing.T) {
	const r = 0.03
	accept := `{"output": {"kind": "offset", "of": "tail/c"}, "greatest": 0.02}`
	for _, c := range []struct {
		law            string
		yield, mean    float64
		variance, most float64 // RSS of an axis; worst case
	}{
		{"uniform", 4.0 / 9, 2 * r / 3, r * r / 4, r}, {"rim", 0, r, r * r / 2, r}, {"any", 0, r, 0, r}, {"rest", 1, 0, 0, 0}, {"hang", 0, r, 0, r},
	} {
		v := vary(t, floating(`{"float": "joint", "law": "`+c.law+`"}`, accept), 20000)[0].Outputs[0]
		if math.Abs(v.Sampled.Yield-c.yield) > 4.5*v.Sampled.YieldError || math.Abs(v.Sampled.Mean-c.mean) > 4.5*v.Sampled.MeanError+1e-9 {
			t.Errorf("%s: yield %v, mean %v, want %v, %v", c.law, v.Sampled.Yield, v.Sampled.Mean, c.yield, c.mean)
		}
		if v.Worst == nil || math.Abs(v.Worst.Greatest.Value-c.most) > 1e-9 {
			t.Errorf("%s: worst %+v, want %v", c.law, v.Worst, c.most)
		}
		square := v.RSS.Mean*v.RSS.Mean + v.RSS.SD*v.RSS.SD
		if want := 2*c.variance + math.Pow(v.Nominal.Value, 2); math.Abs(square-want) > 1e-6*r*r {
			t.Errorf("%s: mean square %v, want %v", c.law, square, want)
		}
	}
}

// The margin is convex: its worst is at a corner, which the linear value does not bound, and its best is in between. Source: hand calculation, three supports: room − |offset of the middle|/2.
func TestVary_margin(t *testing.T) {
	text := `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "bed", "bores": [
{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0.004, 0, 100]}, {"name": "c", "centre": [0, 0, 200]}]}], "joints": [],
"shafts": [{"name": "main", "supports": [{"bore": "bed/a", "clearance": 0.1}, {"bore": "bed/b", "clearance": 0.1}, {"bore": "bed/c", "clearance": 0.1}]}],
"vary": [{"name": "b", "at": "/parts/0/bores/1/centre/0", "law": {"uniform": 0.02}}, {"name": "y", "at": ["/parts/0/bores/1/centre/0", "/parts/0/bores/1/centre/1"], "law": {"disc": 0.01}}],
"accept": [{"output": {"kind": "margin"}, "least": 0}, {"output": {"kind": "use"}, "greatest": 1}]}`
	v := vary(t, text, 3000)[0].Outputs
	m, u := v[0], v[1]
	if math.Abs(m.Worst.Least.Value-(0.05-0.034/2)) > 1e-8 || math.Abs(m.Worst.Greatest.Value-0.05) > 1e-8 {
		t.Errorf("margin %v to %v", m.Worst.Least.Value, m.Worst.Greatest.Value)
	}
	if math.Abs(u.Worst.Greatest.Value-0.034/0.1) > 1e-7 || math.Abs(u.Worst.Least.Value) > 1e-7 {
		t.Errorf("use %v to %v", u.Worst.Least.Value, u.Worst.Greatest.Value)
	}
	if m.Sampled.Least < m.Worst.Least.Value-1e-9 || u.Sampled.Most > u.Worst.Greatest.Value+1e-9 {
		t.Error("a sample beyond the worst case")
	}
}

// Outputs of a state see what varies in that state.
func TestVary_states(t *testing.T) {
	text := bed("mm", `{"name": "c", "at": "/parts/0/bores/2/centre/0", "law": {"uniform": 0.01}}, {"name": "settling", "at": "/states/0/moves/bed/0", "law": {"uniform": 0.5}}`,
		`{"output": {"kind": "offset", "of": "bed/c", "state": "bolted"}, "greatest": 1}, `+offset)
	text = strings.Replace(text, `"vary"`, `"states": [{"name": "bolted", "temperatures": {}, "moves": {"bed": [0.1, 0, 0]}}], "vary"`, 1)
	v := vary(t, text, 2000)[0].Outputs
	for i := range v { // all bores move together: the offset sees c alone
		if want := math.Hypot(0.03, 0.01); math.Abs(v[i].Worst.Greatest.Value-want) > 1e-9 {
			t.Errorf("output %d: worst %v, want %v", i, v[i].Worst.Greatest.Value, want)
		}
	}
}

func TestVary_faults(t *testing.T) {
	for _, c := range []struct{ name, law, path string }{
		{"nothing follows", `{"name": "x", "at": "/accept/0/greatest", "law": {"normal": 1}}`, "/vary/0/at"},
		{"limits leave nothing", `{"name": "x", "at": "/parts/0/bores/2/centre/0", "law": {"uniform": 0.01}, "limits": [0.5, 0.6]}`, "/vary/0/law"},
	} {
		_, err := study.Vary(context.Background(), decode(t, bed("mm", c.law, offset)), stackup.Settings{Samples: 10})
		var f *fault.FieldError
		if err == nil || !strings.Contains(err.Error(), c.path) {
			t.Errorf("%s: %v (%v)", c.name, err, f)
		}
	}
}

// Shards merged in any order are the whole study.
func TestMerge(t *testing.T) {
	rec := decode(t, bed("mm", `{"name": "c", "at": ["/parts/0/bores/2/centre/0", "/parts/0/bores/2/centre/1"], "law": {"disc": 0.02}}`, offset))
	set := stackup.Settings{Samples: 5000, Seed: 3}
	whole, err := study.Vary(context.Background(), rec, set)
	if err != nil {
		t.Fatal(err)
	}
	var shards [][]byte
	for _, r := range [][2]int{{3, 5}, {0, 1}, {1, 3}} {
		set.From, set.To = r[0], r[1]
		b, err := study.Shard(context.Background(), rec, set)
		if err != nil {
			t.Fatal(err)
		}
		shards = append(shards, b)
	}
	merged, err := study.Merge(context.Background(), rec, shards)
	if err != nil {
		t.Fatal(err)
	}
	show := func(v []*study.Variation) string {
		q := v[0].Outputs[0].Sampled
		p, e := q.Quantile(0.99)
		return fmt.Sprint(q.Samples, q.Mean, q.SD, q.Yield, p, e)
	}
	if a, b := show(whole), show(merged); a != b {
		t.Errorf("whole %s\nmerged %s", a, b)
	}
	if _, err := study.Merge(context.Background(), rec, shards[:2]); err == nil {
		t.Error("a missing shard was not missed")
	}
	if _, err := study.Merge(context.Background(), rec, append(shards, shards[0])); err == nil {
		t.Error("a shard twice was taken")
	}
}

// The record is left as it was.
func TestVary_leavesTheRecord(t *testing.T) {
	rec := decode(t, bed("mm", `{"name": "c", "at": "/parts/0/bores/2/centre/0", "law": {"uniform": 0.01}}`, offset))
	before, _ := json.Marshal(rec)
	if _, err := study.Vary(context.Background(), rec, stackup.Settings{Samples: 10}); err != nil {
		t.Fatal(err)
	}
	if after, _ := json.Marshal(rec); !reflect.DeepEqual(before, after) {
		t.Error("the record has changed")
	}
}

// A pointer may lead to any number: one repeat of a reading included. Source: hand calculation: one of two repeats of one of eight stations moves the centre by an eighth.
func TestVary_repeat(t *testing.T) {
	text := strings.Replace(bed("mm", `{"name": "r", "at": "/parts/0/bores/2/sweep/readings/0/1", "law": {"uniform": 0.08}}`, offset), `"centre": [0.02, -0.01, 250]`,
		`"z": 250, "sweep": {"readings": [[0, 0], 0, 0, 0, 0, 0, 0, 0]}`, 1)
	v := vary(t, text, 100)[0].Outputs[0]
	if want := 0.08 / 2 * 2 / 8; math.Abs(v.Worst.Greatest.Value-want) > 1e-9 {
		t.Errorf("worst %v, want %v", v.Worst.Greatest.Value, want)
	}
}

// A TIR is twice the offset in every figure.
func TestVary_tir(t *testing.T) {
	tir := strings.Replace(strings.Replace(offset, "offset", "tir", 1), "0.05", "0.1", 1)
	v := vary(t, bed("mm", `{"name": "c", "at": ["/parts/0/bores/2/centre/0", "/parts/0/bores/2/centre/1"], "law": {"disc": 0.01}}`, offset+", "+tir), 2000)[0].Outputs
	for _, c := range [][2]float64{
		{v[0].Nominal.Value, v[1].Nominal.Value},
		{v[0].Worst.Least.Value, v[1].Worst.Least.Value},
		{v[0].Worst.Greatest.Value, v[1].Worst.Greatest.Value},
		{v[0].RSS.Mean, v[1].RSS.Mean},
		{v[0].RSS.SD, v[1].RSS.SD},
		{v[0].RSS.Quantiles[4], v[1].RSS.Quantiles[4]},
		{v[0].Sampled.Mean, v[1].Sampled.Mean},
	} {
		if math.Abs(c[1]-2*c[0]) > 1e-9 || c[0] == 0 {
			t.Errorf("offset %v, TIR %v", c[0], c[1])
		}
	}
}

// How parts come to lie in making a batch says nothing of this very box: a drawn float is no part of the gauge's study.
func TestVary_gaugeWithoutFloats(t *testing.T) {
	text := floating(`{"float": "joint", "law": "uniform"}, {"name": "read", "at": "/parts/1/bores/0/centre/0", "law": {"normal": 0.001}, "because": "gauge"}`, `{"output": {"kind": "offset", "of": "tail/c"}, "greatest": 0.02}`)
	text = strings.Replace(text, `{"name": "joint"}`, `{"name": "joint", "lies": "hang"}`, 1)
	v := vary(t, text, 4000)
	if len(v) != 2 || v[0].Because != "process" || v[1].Because != "gauge" {
		t.Fatalf("%d studies", len(v))
	}
	if sd := v[0].Outputs[0].Sampled.SD; sd < 0.005 {
		t.Errorf("the float is not in the batch: sd %v", sd)
	}
	if sd := v[1].Outputs[0].Sampled.SD; sd > 1e-4 { // it hangs: what is read sideways hardly changes the offset
		t.Errorf("the float is in this box: sd %v", sd)
	}
}

// A box that does not assemble is a failure in the yield, whatever its outputs: pilots size for size and two dowels, one hole off by more than half its clearance half of the time. Source: hand calculation.
func TestVary_doesNotAssemble(t *testing.T) {
	hole := func(name, at string, d float64) string {
		return fmt.Sprintf(`{"name": %q, "centre": %s, "diameter": %g}`, name, at, d)
	}
	text := floating(`{"name": "hole", "at": "/parts/1/front/dowels/1/centre/0", "law": {"uniform": 0.02}}`, `{"output": {"kind": "offset", "of": "tail/c"}, "greatest": 1}`)
	text = strings.Replace(text, `"diameter": 100.06}}`, `"diameter": 100}, "dowels": [`+hole("a", "[0, 40]", 8)+`, `+hole("b", "[0, -40]", 8)+`]}`, 1)
	text = strings.Replace(text, `"diameter": 100}}, "bores": [{"name": "c"`, `"diameter": 100}, "dowels": [`+hole("a", "[0, 40]", 8)+`, `+hole("b", "[0, -40]", 8.02)+`]}, "bores": [{"name": "c"`, 1)
	text = strings.Replace(text, `{"name": "joint"}`, `{"name": "joint", "pins": [{"dowel": "a", "diameter": 8, "pressed": "front"}, {"dowel": "b", "diameter": 8, "pressed": "front"}]}`, 1)
	v := vary(t, text, 4000)[0].Outputs[0].Sampled
	if math.Abs(v.Yield-0.5) > 4.5*v.YieldError {
		t.Errorf("yield %v, want a half", v.Yield)
	}
}

// Joints of which samples take the worst of the float are named whichever limit comes first.
func TestVary_floatsOfEveryLimit(t *testing.T) {
	text := strings.Replace(loose("0", ""), `"accept": [`, `"vary": [{"name": "hole", "at": "/parts/0/rear/pilot/centre/0", "law": {"normal": 0.001}}],
 "accept": [{"output": {"kind": "offset", "of": "tail/bush"}, "greatest": 0.05, "over": "rest"}, `, 1)
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	out, err := study.Vary(t.Context(), rec, stackup.Settings{Samples: 1024, Seed: 1})
	if err != nil || len(out) != 1 || len(out[0].Floats) != 1 || out[0].Floats[0] != "case|tail" {
		t.Errorf("%+v, %v", out, err)
	}
}
