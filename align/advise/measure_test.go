package advise_test

import (
	"bytes"
	"context"
	"encoding/json"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	. "example.com/borestack/tolerance"
)

// at finds what a JSON Pointer without escapes leads to.
func at(t *testing.T, doc any, pointer string) map[string]any {
	t.Helper()
	for _, key := range strings.Split(pointer, "/")[1:] {
		switch v := doc.(type) {
		case map[string]any:
			doc = v[key]
		case []any:
			n := 0
			for _, c := range key {
				n = 10*n + int(c-'0')
			}
			doc = v[n]
		}
	}
	m, ok := doc.(map[string]any)
	if !ok {
		t.Fatalf("%s leads to %T", pointer, doc)
	}
	return m
}

// The blank record, filled at the pointers that the sheet names with the readings that were there, is the record again: it decodes, and gives the same margin. Unfilled it is refused with every place to fill.
func TestMeasure_blankFilledRuns(t *testing.T) {
	rec, _ := launch(t)
	p, err := advise.Measure(context.Background(), rec)
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Tasks) != 5 { // case pilot, plate front pilot, plate thickness, plate rear pilot, tail bush
		t.Errorf("%d tasks", len(p.Tasks))
	}
	var old, blank bytes.Buffer
	if err := rec.Encode(&old); err != nil {
		t.Fatal(err)
	}
	if err := p.Blank.Encode(&blank); err != nil {
		t.Fatal(err)
	}
	if _, err := record.Decode(bytes.NewReader(blank.Bytes())); err == nil || strings.Count(err.Error(), "/readings") != len(p.Tasks) {
		t.Errorf("the unfilled blank: %v", err)
	}
	var was, form any
	if err := json.Unmarshal(old.Bytes(), &was); err != nil {
		t.Fatal(err)
	}
	if err := json.Unmarshal(blank.Bytes(), &form); err != nil {
		t.Fatal(err)
	}
	for _, task := range p.Tasks {
		to := at(t, form, task.At)
		for _, v := range to["readings"].([]any) {
			if v != nil {
				t.Errorf("%s is not blank: %v", task.At, v)
			}
		}
		if len(to["readings"].([]any)) != len(task.Stations) {
			t.Errorf("%s: %d blanks, %d stations", task.At, len(to["readings"].([]any)), len(task.Stations))
		}
		to["readings"] = at(t, was, task.At)["readings"]
	}
	filled, err := json.Marshal(form)
	if err != nil {
		t.Fatal(err)
	}
	again, err := record.Decode(bytes.NewReader(filled))
	if err != nil {
		t.Fatal(err)
	}
	a, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	b, err := study.Run(t.Context(), again)
	if err != nil || a.Assembly.Line.Margin != b.Assembly.Line.Margin {
		t.Errorf("filled again: margin %v, was %v, %v", b.Assembly.Line.Margin, a.Assembly.Line.Margin, err)
	}
	var text bytes.Buffer
	if err := p.Page(Millimetres).Text(&text); err != nil {
		t.Fatal(err)
	}
	for _, task := range p.Tasks {
		if !strings.Contains(text.String(), task.At) {
			t.Errorf("%s is missing from the sheet", task.At)
		}
	}
}

// Read as well as the programme wants, the result is as sure as it wants: the budget adds up.
//
// Source: JCGM 100:2008, 5.1.2: the root of the sum of equal shares.
func TestMeasure_budgetAddsUp(t *testing.T) {
	rec, _ := launch(t)
	p, err := advise.Measure(context.Background(), rec)
	if err != nil {
		t.Fatal(err)
	}
	unit := map[string]Length{}
	var shares float64
	for _, task := range p.Tasks {
		shares += task.Share
		if task.Needed.Given {
			unit[task.At] = task.Needed.Value
		}
	}
	if math.Abs(shares-1) > 1e-9 {
		t.Errorf("shares sum to %v", shares)
	}
	set := func(r *record.Readings, at string) {
		n := record.Num(float64(unit[at]))
		r.Uncertainty = &n
		for i, v := range r.Readings {
			if len(v.Repeats) > 1 {
				r.Readings[i] = record.Reading{Repeats: v.Repeats[:1]}
			}
		}
	}
	set(&rec.Parts[1].Rear.Pilot.Sweep.Readings, "/parts/1/rear/pilot/sweep")
	set(&rec.Parts[2].Front.Pilot.Sweep.Readings, "/parts/2/front/pilot/sweep")
	set(&rec.Parts[2].Rear.Pilot.Sweep.Readings, "/parts/2/rear/pilot/sweep")
	set(&rec.Parts[2].Rear.Thickness.Readings, "/parts/2/rear/thickness")
	set(&rec.Parts[3].Bores[0].Sweep.Readings, "/parts/3/bores/0/sweep")
	b, err := advise.FromRecord(rec)
	if err != nil {
		t.Fatal(err)
	}
	j, err := b.Judge(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	if got := j.Verdicts[0].U; math.Abs(got/float64(p.Wanted)-1) > 0.1 { // the margin bends a little over a step of some micrometres
		t.Errorf("margin to %v, wanted %v", got, p.Wanted)
	}
}

// A number that stays is listed once, to be confirmed once.
func TestMeasure_keepsEachNumberOnce(t *testing.T) {
	rec, _ := launch(t)
	p, err := advise.Measure(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]bool{}
	for _, k := range p.Keep {
		if seen[k] {
			t.Errorf("twice: %s", k)
		}
		seen[k] = true
	}
	if len(p.Keep) == 0 || !strings.Contains(strings.Join(p.Keep, "\n"), "dowel hole peg: at (") {
		t.Errorf("no dowel hole among %d numbers", len(p.Keep))
	}
}

// tilted is the launch without its shafts, held to a tilt of the tail's bush of at most that ratio.
func tilted(t *testing.T, greatest float64) *record.Record {
	t.Helper()
	rec, _ := launch(t)
	n := record.Num(greatest)
	bore := rec.Parts[3].Name + "/" + rec.Parts[3].Bores[0].Name
	rec.Shafts, rec.Pockets, rec.Meshes, rec.Chains, rec.Candidates, rec.States, rec.Vary = nil, nil, nil, nil, nil, nil, nil
	rec.References = []record.Reference{{Name: "main", Axis: rec.Parts[0].Name + "/" + rec.Parts[0].Bores[0].Name}}
	rec.Accept = []record.Accept{{Output: record.Output{Kind: "tilt", Of: bore}, Greatest: &n}}
	return rec
}

// The result that decides is a slope where the limit is one: a length would be another thing.
//
// Source: hand calculation: a tenth of 5e-4 over 1.65 is 3.0e-5, 0.03 mm in a metre.
func TestMeasure_wantedInTheUnitOfItsOutput(t *testing.T) {
	p, err := advise.Measure(t.Context(), tilted(t, 5e-4))
	if err != nil {
		t.Fatal(err)
	}
	var b strings.Builder
	if err := p.Page(Millimetres).Text(&b); err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(strings.Fields(b.String()), " "); !strings.Contains(got, "to a standard uncertainty of 0.03 mm/m") {
		t.Errorf("%.900s", got)
	}
}

// What no number of readings reaches is not reached, however far it is away: the number of readings that it
// would take is larger than any whole number there is.
func TestMeasure_beyondAllReadings(t *testing.T) {
	p, err := advise.Measure(t.Context(), tilted(t, 1e-18))
	if err != nil {
		t.Fatal(err)
	}
	for _, task := range p.Tasks {
		if task.Needed.Given && task.Enough {
			t.Errorf("%s of %s: %d readings with %v each are said to reach %v", task.What, task.Part, task.Repeats, task.Gauge.U, task.Needed.Value)
		}
	}
}
