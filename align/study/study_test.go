package study_test

import (
	"context"
	"errors"
	"math"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

func run(t *testing.T, text string) *study.Result {
	t.Helper()
	rec, err := record.Decode(strings.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	res, err := study.Run(t.Context(), rec)
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// Source: common practice, no published source; hand calculation: use = (8/18)(10 rise/7)/2 / 0.0025.
func TestRun_shopPlates(t *testing.T) {
	text, err := os.ReadFile("../../testdata/records/shop-plates.json")
	if err != nil {
		t.Fatal(err)
	}
	res := run(t, string(text))
	for i, rise := range []float64{0.0015, 0.0025, 0.003, 0.011} {
		c := res.Candidates[i]
		want := 8.0 / 18 * (10 * rise / 7) / 2 / 0.0025
		if got := c.Assembly.Line.Use.Value; math.Abs(got-want) > 1e-3*want { // readings are rounded to a millionth of an inch
			t.Errorf("rise %v: use %v, want %v", rise, got, want)
		}
		if pass := c.Word == tolerance.Pass; pass != (rise < 0.01) {
			t.Errorf("rise %v: %v", rise, c.Word)
		}
	}
	balls := strings.Replace(string(text), `"bore": "case/front",
     "clearance": 0.005`, `"bore": "case/front",
     "clearance": 0.0009`, 1)
	balls = strings.Replace(balls, `"bore": "plate/bearing",
     "clearance": 0.005`, `"bore": "plate/bearing",
     "clearance": 0.0009`, 1)
	if balls == string(text) {
		t.Fatal("nothing replaced")
	}
	if use := run(t, balls).Assembly.Line.Use.Value; math.Abs(use-1.05) > 0.01 {
		t.Errorf("with ball bearings of 0.0009 in: use %v, want about 1.05", use)
	}
}

// loose is a tail on a pilot with 0.06 of clearance, its register off by x; the bush at 250 sees every float.
func loose(x, extra string) string {
	return `{"format": "borestack-record/1", "units": {"length": "mm"},
 "parts": [
  {"name": "case", "rear": {"pilot": {"kind": "bore", "centre": [` + x + `, 0], "diameter": 150.06}}, "bores": [{"name": "a", "centre": [0, 0, -200]}, {"name": "b", "centre": [0, 0, -100]}]},
  {"name": "tail", "front": {"pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "bush", "centre": [0, 0, 100]}]}],
 "joints": [{}],
 "references": [{"name": "line", "through": ["case/a", "case/b"]}],
 "accept": [{"output": {"kind": "offset", "of": "tail/bush"}, "greatest": 0.05` + extra + `}]}`
}

// The five verdicts, by where the range of an offset of x ± 0.03 lies to a limit of 0.05.
//
// Source: hand calculation: |x| - 0.03 and |x| + 0.03.
func TestRun_words(t *testing.T) {
	for _, c := range []struct {
		x, extra string
		want     tolerance.Decision
	}{
		{"0.01", "", tolerance.Pass},
		{"0.02", "", tolerance.Pass}, // exactly on the limit at worst
		{"0.04", "", tolerance.Depends},
		{"0.09", "", tolerance.Fail},
		{"0.04", `, "over": "rest"`, tolerance.Pass},
	} {
		res := run(t, loose(c.x, c.extra))
		if res.Word != c.want {
			t.Errorf("register off by %s%s: %v, want %v", c.x, c.extra, res.Word, c.want)
		}
	}
	v := run(t, loose("0.04", "")).Verdicts[0]
	for what, pair := range map[string][2]float64{"value": {v.Value.Value, 0.04}, "best": {v.Best.Value, 0.01}, "worst": {v.Worst.Value, 0.07}, "room": {v.Room.Value, -0.02}} {
		if math.Abs(pair[0]-pair[1]) > 1e-8 {
			t.Errorf("%s: %v, want %v", what, pair[0], pair[1])
		}
	}
	if w := run(t, strings.Replace(loose("0", ""), `, "greatest": 0.05`, "", 1)).Word; w != tolerance.NoLimit {
		t.Errorf("without a limit: %v", w)
	}
}

// A limit within 1.65 standard uncertainties of the value is undecided.
//
// Source: JCGM 106:2012, 8.3; hand calculation: eight readings of u = 0.002 give each component of the centre u √(2/8) = 0.001.
func TestRun_undecided(t *testing.T) {
	text := func(greatest string) string {
		return `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "case", "bores": [
  {"name": "a", "centre": [0, 0, -200]}, {"name": "b", "centre": [0, 0, -100]},
  {"name": "c", "z": 0, "sweep": {"readings": [0.02, 0.014142135623730951, 0, -0.014142135623730951, -0.02, -0.014142135623730951, 0, 0.014142135623730951], "uncertainty": 0.002}}]}],
 "joints": [], "references": [{"name": "line", "through": ["case/a", "case/b"]}],
 "accept": [{"output": {"kind": "offset", "of": "case/c"}, "greatest": ` + greatest + `}]}`
	}
	for greatest, want := range map[string]tolerance.Decision{"0.0220": tolerance.Pass, "0.0212": tolerance.Undecided, "0.0190": tolerance.Undecided, "0.0180": tolerance.Fail} {
		res := run(t, text(greatest))
		if res.Word != want {
			t.Errorf("0.02 ± 0.001 against %s: %v, want %v", greatest, res.Word, want)
		}
		if u := res.Verdicts[0].U; math.Abs(u-0.001) > 1e-5 {
			t.Errorf("standard uncertainty %v, want 0.001", u)
		}
	}
}

// A box that does not assemble fails every limit.
func TestRun_doesNotAssemble(t *testing.T) {
	text := strings.Replace(loose("0.01", ""), `"joints": [{}]`, `"joints": [{"pins": [{"dowel": "d", "diameter": 8, "pressed": "front"}, {"dowel": "e", "diameter": 8, "pressed": "front"}]}]`, 1)
	text = strings.Replace(text, `"diameter": 150.06}`, `"diameter": 150.06}, "dowels": [{"name": "d", "centre": [80, 0], "diameter": 8}, {"name": "e", "centre": [-80, 0], "diameter": 8}]`, 1)
	text = strings.Replace(text, `"diameter": 150}`, `"diameter": 150}, "dowels": [{"name": "d", "centre": [80.3, 0], "diameter": 8.02}, {"name": "e", "centre": [-80, 0], "diameter": 8.02}]`, 1)
	res := run(t, text)
	if res.Word != tolerance.Fail || res.Assembly.Joints[0].Assembles {
		t.Errorf("%v, assembles %v", res.Word, res.Assembly.Joints[0].Assembles)
	}
	var f *fault.FieldError
	_, err := record.Decode(strings.NewReader(strings.Replace(text, "tail/bush\"}", "tail/bsh\"}", 1)))
	if !errors.As(err, &f) || f.Path != "/accept/0/output/of" {
		t.Error(err)
	}
}

// A size at zero is as uncertain as its components: a dial that reads nothing proves no more than it resolves. Source: hand calculation: a bore swept at 8 stations, 0.01 each: u of a component of the first harmonic is 0.01·√(2/8).
func TestRun_sizeNearZero(t *testing.T) {
	const text = `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "bed", "bores": [
{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0, 0, 100]},
{"name": "c", "z": 50, "sweep": {"readings": [0, 0, 0, 0, 0, 0, 0, 0], "uncertainty": 0.01}}]}], "joints": [],
"references": [{"name": "line", "through": ["bed/a", "bed/b"]}],
"accept": [{"output": {"kind": "tir", "of": "bed/c"}, "greatest": 0.012}]}`
	v := run(t, text).Verdicts[0]
	if want := 2 * 0.01 * math.Sqrt(2.0/8); math.Abs(v.U-want) > 1e-9 || v.Word != tolerance.Undecided {
		t.Errorf("u %v, %v; want %v, undecided", v.U, v.Word, want)
	}
}

// A run stops before the next state or candidate when its context is done, and says so.
func TestRun_stopped(t *testing.T) {
	text, err := os.ReadFile("../../testdata/records/two-shaft-box.json")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithCancelCause(t.Context())
	reason := errors.New("the client is gone")
	stop(reason)
	if _, err := study.Run(ctx, decode(t, string(text))); !errors.Is(err, reason) {
		t.Errorf("error %v, want one that wraps the cause", err)
	}
}
