package report

import (
	"math"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
)

// Bars hold every sample once, those inside the limits as many as the yield says.
func TestBins_holdEverySample(t *testing.T) {
	rec, err := record.Decode(strings.NewReader(`{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed","bores":[
 {"name":"a","centre":[0,0,0]},{"name":"b","centre":[0,0,100]},{"name":"c","centre":[0.02,-0.01,250]}]}],"joints":[],"references":[{"name":"line","through":["bed/a","bed/b"]}],
 "vary":[{"name":"c","at":"/parts/0/bores/2/centre/0","law":{"normal":0.01}}],
 "accept":[{"output":{"kind":"offset","of":"bed/c"},"least":0.015,"greatest":0.03},{"output":{"kind":"tir","of":"bed/c"},"greatest":0.05},{"output":{"kind":"tilt","of":"bed/c"},"greatest":0.1}]}`))
	if err != nil {
		t.Fatal(err)
	}
	res, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	if res.Variations, err = study.Vary(t.Context(), rec, stackup.Settings{Samples: 3000, Seed: 3}); err != nil {
		t.Fatal(err)
	}
	v := tell(rec, res)
	for i := range 2 {
		o := &res.Variations[0].Outputs[i]
		b, ok := v.bins(o)
		if !ok {
			t.Fatalf("output %d has no bins", i)
		}
		all, good := b.Under+b.Over, 0
		for k, n := range b.Counts {
			all += n
			if b.Edges[k] >= b.Limits.Least.Or(math.Inf(-1)) && b.Edges[k+1] <= b.Limits.Greatest.Or(math.Inf(1)) {
				good += n
			}
		}
		if all != 3000 || good != o.Sampled.Good || good == 0 || good == all {
			t.Errorf("output %d: %d samples, %d within limits, want 3000 and %d", i, all, good, o.Sampled.Good)
		}
	}
	// nothing moves the tilt of a bore whose centre alone varies
	if _, ok := v.bins(&res.Variations[0].Outputs[2]); ok {
		t.Error("bins of what does not vary")
	}
}

// Source: RFC 6901, section 3: "~" is "~0" and "/" is "~1".
func TestListing_anchors(t *testing.T) {
	source := "{\n \"a~b\": {\n  \"c/d\": [\n   1,\n   {\n    \"e\": 2\n   }\n  ]\n }\n}\n"
	lines, anchors := listing([]byte(source), map[string]bool{"/a~0b/c~1d": true, "/a~0b/c~1d/1/e": true, "/not/there": true})
	if len(anchors) != 2 || anchors["/a~0b/c~1d"] == anchors["/a~0b/c~1d/1/e"] {
		t.Fatalf("anchors %v", anchors)
	}
	for pointer, want := range map[string]string{"/a~0b/c~1d": `"c/d": [`, "/a~0b/c~1d/1/e": `"e": 2`} {
		for _, l := range lines {
			if l.ID == anchors[pointer] && strings.TrimSpace(l.Text) != want {
				t.Errorf("%s leads to %q", pointer, l.Text)
			}
		}
	}
	if lines, anchors := listing(make([]byte, mostRecord+1), map[string]bool{"": true}); lines != nil || len(anchors) > 0 {
		t.Error("a record that is too long is listed")
	}
}

// Every output of a record leads somewhere in it.
func TestPointers_output(t *testing.T) {
	rec, err := record.Decode(strings.NewReader(`{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"case","rear":{"z":30,"pilot":{"kind":"bore","centre":[0,0],"diameter":50}},"bores":[{"name":"a","centre":[0,0,0]},{"name":"b","centre":[0,0,20]}]},{"name":"tail","front":{"pilot":{"kind":"spigot","centre":[0,0],"diameter":50}},"bores":[{"name":"c","centre":[0,0,50]}]}],"joints":[{}],
 "references":[{"name":"line","through":["case/a","case/b"]},{"name":"other","axis":"tail/c"}],"candidates":{"tail":[{"name":"tail 2","front":{"pilot":{"kind":"spigot","centre":[0,0],"diameter":50}},"bores":[{"name":"c","centre":[0,0,50]}]}]}}`))
	if err != nil {
		t.Fatal(err)
	}
	p := pointersOf(rec)
	for _, c := range []struct {
		o    align.Output
		want string
	}{
		{align.Output{What: align.OffsetSize, Of: "tail/c"}, "/parts/1/bores/0 /references/0"},
		{align.Output{What: align.TiltSize, Of: "case/b", From: "other"}, "/parts/0/bores/1 /references/1"},
		{align.Output{What: align.GapSize, Of: "case|tail"}, "/joints/0"},
		{align.Output{What: align.ThicknessVariation, Of: "tail"}, "/parts/1/rear/thickness"},
		{align.Output{What: align.Margin}, ""},
		{align.Output{What: align.RunningClearance, Of: "tail/c"}, "/parts/1/bores/0"},
	} {
		if got := strings.Join(p.output(c.o), " "); got != c.want {
			t.Errorf("%v leads to %q, want %q", c.o, got, c.want)
		}
	}
	if got := p.candidate("tail", "tail 2"); len(got) != 1 || got[0] != "/candidates/tail/0" {
		t.Errorf("the candidate stands at %v", got)
	}
	if got := p.limit(record.Limit{Path: "/chains/0", Output: align.Output{What: align.ChainLength, Of: "none"}}); len(got) != 1 {
		t.Errorf("a limit of what is not named leads to %v", got)
	}
}
