package advise_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

// Source: JCGM 106:2012, 9.3.2 and 9.3.3; hand calculation with the normal law: 1.645 u inside is accepted at a risk of 5 %, and so on.
func TestAssess_words(t *testing.T) {
	l := advise.Limit{Limits: Limits{Greatest: Given(0.1)}, Origin: "drawing", Convention: "TIR from the crank axis, cold"}
	for _, c := range []struct {
		value, u           float64
		rule               advise.Rule
		want               Decision
		consumer, producer float64
	}{
		{0.08, 0.01, advise.Guard95, Pass, 0.0227501, 0},
		{0.09, 0.01, advise.Guard95, Undecided, 0.1586553, 0.8413447},
		{0.11, 0.01, advise.Guard95, Undecided, 0.8413447, 0.1586553},
		{0.118, 0.01, advise.GuardK2, Undecided, 0.9640697, 0.0359303},
		{0.118, 0.01, advise.Guard95, Fail, 0, 0.0359303},
		{0.1, 0.01, advise.Simple, Pass, 0.5, 0},
		{0.101, 0.01, advise.Simple, Fail, 0, 0.4601722},
		{0.1, 0, advise.Guard95, Pass, 0, 0},
	} {
		f, err := advise.Assess(l, c.value, c.u, c.rule)
		if err != nil || f.Decision != c.want || math.Abs(f.Consumer-c.consumer) > 1e-6 || math.Abs(f.Producer-c.producer) > 1e-6 {
			t.Errorf("%+v: %+v, %v", c, f, err)
		}
	}
}

func limits(least, greatest float64) Limits {
	return Limits{Least: Given(least), Greatest: Given(greatest)}
}

// Source: JCGM 106:2012, table 1 (one-sided conformance probabilities) and the examples of oil, diode and container (from memory, digits recomputed).
func TestAssess_conforms(t *testing.T) {
	for _, c := range []struct {
		l          Limits
		y, u, want float64
	}{
		{Limits{Greatest: Given(0.0)}, -0.841621, 1, 0.80},
		{Limits{Greatest: Given(0.0)}, -1.281552, 1, 0.90},
		{Limits{Greatest: Given(0.0)}, -1.644854, 1, 0.95},
		{Limits{Greatest: Given(0.0)}, -2.326348, 1, 0.99},
		{Limits{Greatest: Given(0.0)}, -3.090232, 1, 0.999},
		{limits(12.5, 16.3), 13.6, 1.8, 0.66263},
		{Limits{Greatest: Given(-5.40)}, -5.47, 0.05, 0.91924},
		{Limits{Least: Given(490.0)}, 507, 8.6, 0.97596},
		{limits(0, 1), 1, 0, 1},
		{limits(0, 1), 1.01, 0, 0},
	} {
		if got, err := advise.Assess(advise.Limit{Limits: c.l}, c.y, c.u, advise.Simple); err != nil || math.Abs(got.Conforms-c.want) > 1e-5 {
			t.Errorf("%+v: %v, want %v, %v", c, got.Conforms, c.want, err)
		}
	}
}

// What would settle an undecided piece does, and nothing coarser.
func TestAssess_settles(t *testing.T) {
	l := advise.Limit{Limits: Limits{Least: Given(0.0), Greatest: Given(0.1)}}
	f, err := advise.Assess(l, 0.09, 0.012, advise.Guard95)
	if err != nil || !f.Settles.Given || !f.Repeats.Given || f.Repeats.Value != 4 { // (0.012·1.65/0.01)² = 3.92
		t.Fatalf("%+v, %v", f, err)
	}
	for scale, want := range map[float64]Decision{0.999: Pass, 1.001: Undecided} {
		if g, err := advise.Assess(l, 0.09, f.Settles.Value*scale, advise.Guard95); err != nil || g.Decision != want {
			t.Errorf("at %v of it: %v, %v", scale, g.Decision, err)
		}
	}
	text := strings.Join(f.Warnings, "; ")
	for _, word := range []string{"origin", "convention", "72 % of the tolerance"} {
		if !strings.Contains(text, word) {
			t.Errorf("%q is missing from %q", word, text)
		}
	}
	if _, err := advise.Assess(advise.Limit{}, 1, 1, advise.Guard95); !errors.Is(err, fault.ErrMissing) {
		t.Error(err)
	}
	if _, err := advise.Assess(l, math.Inf(1), 1, advise.Guard95); !errors.Is(err, fault.ErrNotFinite) {
		t.Error(err)
	}
}

// An audit names every limit of the record with its origin, adds shares up to one, and gives the same hash for the same record.
func TestAuditRecord_launch(t *testing.T) {
	rec, _ := launch(t)
	a, err := advise.AuditRecord(context.Background(), rec)
	if err != nil {
		t.Fatal(err)
	}
	if len(a.Findings) != 4 || len(a.Record) != 64 || !strings.HasPrefix(a.Software, "example.com/borestack") || len(a.Assumed) == 0 {
		t.Errorf("%d findings, hash %q, software %q", len(a.Findings), a.Record, a.Software)
	}
	lack := 0.0
	for _, f := range a.Findings {
		lack += 1 - f.Conforms
	}
	if math.Abs(a.All-(1-lack)) > 1e-12 || a.All < 0.99 {
		t.Errorf("all limits: %v", a.All)
	}
	for _, f := range a.Findings {
		var sum float64
		for i, s := range f.Shares {
			sum += s.Share
			if i > 0 && s.Share > f.Shares[i-1].Share {
				t.Errorf("%s: shares %v are not in order", f.Path, f.Shares)
			}
		}
		if math.Abs(sum-1) > 1e-9 || f.Limit.Origin == "" || f.Limit.Convention == "" {
			t.Errorf("%s: shares sum to %v, %+v", f.Path, sum, f.Limit)
		}
	}
	// the end play hangs on the micrometer round the plate alone
	if s := a.Findings[3].Shares; s[0].Name != "plate: thickness" || s[0].Share < 0.999 {
		t.Errorf("end play: %v", s)
	}
	again, err := advise.AuditRecord(context.Background(), rec)
	if err != nil || again.Record != a.Record {
		t.Error("another hash for the same record", err)
	}
}

// audited is the audit of a record kept with the report's first lines, and its text.
func audited(t *testing.T, name string) (*advise.Audit, string) {
	t.Helper()
	f, err := os.Open("../../testdata/records/firstlines/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rec, err := record.Decode(f)
	if err != nil {
		t.Fatal(err)
	}
	a, err := advise.AuditRecord(context.Background(), rec)
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := a.Page(Millimetres).Text(&b); err != nil {
		t.Fatal(err)
	}
	return a, strings.Join(strings.Fields(b.String()), " ")
}

// An audit never says that no uncertainty is stated of readings that state one, though the margin is capped by something that
// they do not move.
func TestAuditRecord_uncertaintyThatReachesNoLimit(t *testing.T) {
	a, text := audited(t, "tight")
	if u := a.Findings[0].U; u != 0 {
		t.Fatalf("the margin's uncertainty is %v: the bearing alone should cap it", u)
	}
	if strings.Contains(text, "no uncertainty is stated") {
		t.Errorf("says that none is stated:\n%s", text)
	}
	if !strings.Contains(text, "none of the uncertainties that are stated moves it") {
		t.Errorf("does not say why no guard band is kept:\n%s", text)
	}
	if _, text = audited(t, "push"); !strings.Contains(text, "no uncertainty is stated") {
		t.Errorf("does not say that none is stated:\n%s", text)
	}
}

// A box that does not assemble conforms to nothing, whatever its numbers.
func TestAuditRecord_doesNotAssemble(t *testing.T) {
	a, text := audited(t, "assemble")
	if a.All != 0 || len(a.Findings) != 0 || !strings.Contains(text, "the box does not assemble, so no limit holds") || strings.Contains(text, "99.99") {
		t.Errorf("all %v, %d findings:\n%s", a.All, len(a.Findings), text)
	}
}

// Where draws decided, the audit says their share; a two-sided limit is judged at the value of the state that governs.
func TestAuditRecord_drawsAndStates(t *testing.T) {
	run := func(more string) *advise.Audit {
		t.Helper()
		rec, err := record.Decode(strings.NewReader(`{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed","rear":{},"bores":[{"name":"a","centre":[0,0,-100]},{"name":"c","centre":[0,0,100]}]},
 {"name":"pad","front":{},"bores":[{"name":"b","z":0,"sweep":{"readings":[0,0,0,0],"uncertainty":0.02}}]}],"joints":[{"bolts":[[50,0],[-50,0]],"bolt_clearance":0,"lies":"rest"}],
 "shafts":[{"name":"m","supports":[{"bore":"bed/a","clearance":0.06},{"bore":"pad/b","clearance":0.06},{"bore":"bed/c","clearance":0.06}]}],` + more + `}`))
		if err != nil {
			t.Fatal(err)
		}
		a, err := advise.AuditRecord(context.Background(), rec)
		if err != nil {
			t.Fatal(err)
		}
		if len(a.Findings) != 1 {
			t.Fatalf("%d findings", len(a.Findings))
		}
		return a
	}
	// Source: hand calculation: offsets have sd 0.02·√(2/4) an axis, the margin is 0.03 − o/2: o is at most 0.006 in
	// 1 − exp(−0.006²/(2·0.0002)) = 8.6 % of cases; ±0.2 of the 32 draws or more that decide.
	f := run(`"accept":[{"output":{"kind":"margin"},"least":0.027}]`).Findings[0]
	if f.Decision != Undecided || math.Abs(f.Conforms-0.086) > 0.2 || math.Abs(f.Consumer-(1-f.Conforms)) > 1e-12 || f.Settles.Given || f.Repeats.Given {
		t.Errorf("%+v", f.Finding)
	}
	// Source: hand calculation: moved by 0.16 the margin is 0.03 − 0.16/2 = −0.05, below the band from −0.02 to 0.2, and by
	// nothing 0.03; the use is 0.16/2/0.03 = 8/3, above the band from 0 to 2.5.
	for limits, want := range map[string]float64{
		`{"kind":"margin"},"least":-0.02,"greatest":0.2`: -0.05, `{"kind":"margin"},"least":-0.02`: -0.05, `{"kind":"margin"},"least":-0.3,"greatest":0.0299`: 0.03,
		`{"kind":"use"},"least":0,"greatest":2.5`: 8.0 / 3,
	} {
		f := run(`"states":[{"name":"bolted","temperatures":{},"moves":{"pad":[0.16,0,0]}}],"accept":[{"output":` + limits + `}]`).Findings[0]
		if math.Abs(f.Value-want) > 1e-6 {
			t.Errorf("%s: judged at %v in state %q, want %v", limits, f.Value, f.State, want)
		}
	}
}

// A stated shift of the gauge is taken out of the value that an audit holds against the limit, as it is out of the
// verdict: the two say the same.
//
// Source: hand calculation: 0.5 as read and a shift of ±0.02 are 0.52 and 0.48; record.md, "Deviations are drawn with
// shift included".
func TestAuditRecord_shift(t *testing.T) {
	for shift, want := range map[float64]Decision{0.02: Fail, 0: Pass, -0.02: Pass} {
		rec, err := record.Decode(strings.NewReader(fmt.Sprintf(`{"format":"borestack-record/1","units":{"length":"mm"},
 "parts":[{"name":"bed","bores":[{"name":"a","centre":[0,0,-100]},{"name":"b","centre":[0.5,0,0]},{"name":"c","centre":[0,0,100]}]}],
 "joints":[],"references":[{"name":"line","through":["bed/a","bed/c"]}],
 "vary":[{"name":"x","at":"/parts/0/bores/1/centre/0","law":{"normal":0.001,"shift":%g},"because":"gauge"}],
 "accept":[{"output":{"kind":"offset","of":"bed/b"},"greatest":0.51}]}`, shift)))
		if err != nil {
			t.Fatal(err)
		}
		a, err := advise.AuditRecord(t.Context(), rec)
		if err != nil {
			t.Fatal(err)
		}
		f := a.Findings[0]
		if f.Word != want || f.Decision != want || math.Abs(f.Value-0.5-shift) > 1e-9 || (f.Conforms > 0.5) != (want == Pass) {
			t.Errorf("shift %v: verdict %v, by itself %v at %v, conforms %v; want %v at %v", shift, f.Word, f.Decision, f.Value, f.Conforms, want, 0.5+shift)
		}
	}
}
