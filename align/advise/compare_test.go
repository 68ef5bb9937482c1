package advise_test

import (
	"bytes"
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	. "example.com/borestack/tolerance"
)

// The comparison of one place is the study's list of candidates, ranked.
func TestCompare_agreesWithStudy(t *testing.T) {
	rec, b := launch(t)
	res, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	c, err := advise.Compare(context.Background(), b)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Fits) != len(res.Candidates)+1 {
		t.Fatalf("%d fits", len(c.Fits))
	}
	for _, f := range c.Fits {
		if f.Picks[0].Index < 0 {
			continue
		}
		want := res.Candidates[f.Picks[0].Index]
		if f.Result.Word != want.Word || f.Governs != want.Assembly.Line.Governs[0].Name || f.Picks[0].Name != want.Name {
			t.Errorf("%v: %v governed by %s, study says %v, %s", f.Picks, f.Result.Word, f.Governs, want.Word, want.Assembly.Line.Governs[0].Name)
		}
	}
	for i := 1; i < len(c.Fits); i++ {
		if c.Fits[i].Standing.Compare(c.Fits[i-1].Standing) < 0 {
			t.Errorf("fit %d stands better than the one before it", i)
		}
	}
	for i, r := range res.Ranked("plate") { // one order, in the report's table and here
		if p := c.Fits[i].Picks[0]; (p.Index >= 0 || r.Name != "") && p.Name != r.Name {
			t.Errorf("place %d: %q here, %q in the report", i+1, p.Name, r.Name)
		}
	}
	if c.Fits[0].Picks[0].Name != "plate A" || c.Fits[1].Result.Word != Pass || c.Fits[2].Result.Word == Pass {
		t.Errorf("best %v", c.Fits[0].Picks)
	}
}

// sweptCase is a case with two line bores and one swept bore whose readings are those of an offset x, each good for u; a plate behind it carries the bore that counts.
func sweptPair(u Length, offsets ...Length) advise.Box {
	sweep := func(x Length) *align.Sweep {
		w := &align.Sweep{}
		for k := range 8 {
			w.Values = append(w.Values, []Length{-x * Length(math.Sin(2*math.Pi*float64(k)/8))})
		}
		w.Uncertainty = Given(u)
		return w
	}
	plate := func(name string, x Length) align.Part {
		return align.Part{Name: name, Front: &align.Face{Pilot: &align.Pilot{Diameter: 100}}, Bores: []align.Bore{{Name: "seat", Centre: align.Vec3{Z: 10}, Sweep: sweep(x)}}}
	}
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Z: 100, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 100, Sweep: sweep(0)}}, Bores: []align.Bore{{Name: "a"}, {Name: "b", Centre: align.Vec3{Z: 90}}}},
			plate("plate", offsets[0]),
		},
		Joints:     []align.Joint{{Lies: align.LiesRest}},
		References: []align.Reference{{Name: "line", Through: [2]string{"case/a", "case/b"}}},
	}
	c := align.Candidates{Place: "plate"}
	for i, x := range offsets[1:] {
		c.Parts = append(c.Parts, plate("plate "+string(rune('A'+i)), x))
	}
	s.Candidates = []align.Candidates{c}
	return advise.Box{Stack: s, Limits: []record.Limit{{Output: align.Output{What: align.OffsetSize, Of: "plate/seat", From: "line"}, Limits: AtMost(1)}}}
}

// The uncertainty of a difference is that of the two plates' own readings: the case's cancel.
//
// Source: JCGM 100:2008, 5.2.2; hand calculation: eight readings of u give a component u·√(2/8) = u/2, so that a difference of two plates has u/√2, whatever the case's readings are good for.
func TestCompare_differences(t *testing.T) {
	const u = 0.004
	c, err := advise.Compare(context.Background(), sweptPair(u, 0.1, 0.12, 0.125))
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Fits) != 3 || len(c.Differences) != 2 {
		t.Fatalf("%d fits, %d differences", len(c.Fits), len(c.Differences))
	}
	for i, want := range []float64{0.02, 0.005} {
		d := c.Differences[i]
		if math.Abs(d.By-want) > 1e-9 || math.Abs(d.U-u/math.Sqrt2) > 1e-6 || math.Abs(d.Interval[1]-d.By-1.96*d.U) > 1e-12 {
			t.Errorf("difference %d: %+v, want %v with u %v", i, d, want, u/math.Sqrt2)
		}
		if d.Telling != (math.Abs(want) > 1.96*u/math.Sqrt2) {
			t.Errorf("difference %d of %v: telling %v", i, want, d.Telling)
		}
	}
	var text bytes.Buffer
	if err := c.Page(Millimetres).Text(&text); err != nil || !strings.Contains(strings.Join(strings.Fields(text.String()), " "), "smaller than your gauge can tell") {
		t.Errorf("%v\n%s", err, text.String())
	}
}

// Two places with candidates give all combinations; the same part in both boxes is the same part.
func TestCompare_combinations(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	b := randomBox(rng)
	other := b.Stack.Parts[3]
	other.Name = "tail 2"
	b.Stack.Candidates = append(b.Stack.Candidates, align.Candidates{Place: "tail", Parts: []align.Part{other}})
	c, err := advise.Compare(context.Background(), b)
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Fits) != 4 {
		t.Fatalf("%d fits", len(c.Fits))
	}
	margin := map[string][]Length{}
	for _, f := range c.Fits {
		m, _ := f.Result.WorstMargin()
		margin[f.Picks[0].Name] = append(margin[f.Picks[0].Name], m)
	}
	for plate, m := range margin { // the second tail is a copy of the first
		if len(m) != 2 || math.Abs(float64(m[0]-m[1])) > 1e-9 {
			t.Errorf("%s: margins %v", plate, m)
		}
	}
	if _, err := advise.Compare(context.Background(), b, "lid"); !errors.Is(err, fault.ErrUnknownName) {
		t.Error(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	if _, err := advise.Compare(ctx, b); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// A place takes one part: named twice it is refused, as is one that has no candidates.
func TestCompare_eachPlaceOnce(t *testing.T) {
	_, b := launch(t)
	if _, err := advise.Compare(t.Context(), b, "plate", "plate"); !errors.Is(err, fault.ErrRepeated) {
		t.Errorf("named twice: %v", err)
	}
	if _, err := advise.Compare(t.Context(), b, "case"); !errors.Is(err, fault.ErrUnknownName) {
		t.Errorf("without candidates: %v", err)
	}
}
