package pair_test

import (
	"bytes"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/pair"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// No combination is ruled out beforehand that passes when it is judged: not one that lies on its limit to
// rounding, not one whose gauge is known to read short, not a size that the gauge keeps off zero.
//
// Source: every combination judged by study.Origin.Judge.
func TestTry_rulesNoneOutThatPasses(t *testing.T) {
	varying := func(rec *record.Record, at, law string) *record.Record {
		var text bytes.Buffer
		if err := rec.Encode(&text); err != nil {
			t.Fatal(err)
		}
		v := `"vary": [{"name": "gauge", "at": "` + at + `", "law": ` + law + `, "because": "gauge"}], "parts"`
		with, err := record.Decode(strings.NewReader(strings.Replace(text.String(), `"parts"`, v, 1)))
		if err != nil {
			t.Fatal(err)
		}
		return with
	}
	rec := bench(t, 3, lot{plates: 1, tails: 1, spread: 0.001})
	bush := align.Output{What: align.OffsetSize, Of: "crank carrier/pilot bush", From: "box line"}
	for _, c := range []struct {
		say string
		rec *record.Record
		out align.Output
		by  float64
	}{
		{"on the limit", rec, align.Output{What: align.ChainLength, Of: "main bearing end play"}, 5e-10},
		{"a gauge that reads short", varying(rec, "/shafts/0/supports/0/clearance", `{"normal": 0.001, "shift": 0.02}`), align.Output{What: align.Margin}, 0.006},
		{"a gauge that mostly reads short", varying(rec, "/shafts/0/supports/0/clearance", `{"mixture": [{"normal": 0.0001, "shift": 0.02}, {"normal": 0.0001, "shift": -0.98}], "weights": [98, 2]}`), align.Output{What: align.Margin}, 0.003},
		{"kept off zero", varying(rec, "/parts/0/bores/0/centre/0", `{"normal": 0.5}`), bush, 0.001},
	} {
		b := boxOf(t, c.rec)
		calm(&b.Stack)
		ranges, _, err := b.Stack.Ranges([]align.Output{c.out})
		if err != nil {
			t.Fatal(err)
		}
		limit := record.Limit{Output: c.out, Limits: tolerance.Limits{Least: tolerance.Given(ranges[0].Low.Or(ranges[0].Rest.Value) + c.by)}}
		b.Limits = []record.Limit{limit}
		table, err := pair.Try(t.Context(), pair.Box{Box: b})
		if err != nil {
			t.Fatal(err)
		}
		p, err := table.Choose(t.Context())
		if err != nil {
			t.Fatal(err)
		}
		all := judgeAll(t, pair.Box{Box: b}, table.Bins())
		if most, _ := ways(all.left, 0, map[int]bool{}, 0, 1e9); len(p.Boxes) != most || most == 0 {
			t.Errorf("%s: %d boxes; every way tried: %d", c.say, len(p.Boxes), most)
		}
	}
}

// calm takes the uncertainty of all readings away.
func calm(s *align.Stack) { uncertain(s, tolerance.Optional[tolerance.Length]{}) }

// uncertain makes all readings uncertain by as much, and by no more.
func uncertain(s *align.Stack, by tolerance.Optional[tolerance.Length]) {
	for _, parts := range append([]align.Candidates{{Parts: s.Parts}}, s.Candidates...) {
		study.EachReadings(&align.Stack{Parts: parts.Parts}, func(_ int, _ string, r *align.Readings, _ func(*align.Stack) *align.Readings) {
			r.Uncertainty, r.SharedUncertainty, r.Closing = by, tolerance.Optional[tolerance.Length]{}, tolerance.Optional[tolerance.Length]{}
		})
	}
}
