package report_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
)

// bed is an invented bed with three bores, the middle one as said, and one limit on the margin.
func bed(middle, least, vary string) string {
	return fmt.Sprintf(`{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed","bores":[{"name":"a","centre":[0,0,-100]},{"name":"b",%s},{"name":"c","centre":[0,0,100]}]}],"joints":[],
 "shafts":[{"name":"m","supports":[{"bore":"bed/a","clearance":0.06},{"bore":"bed/b","clearance":0.06},{"bore":"bed/c","clearance":0.06}]}],
 "vary":[%s],"accept":[{"output":{"kind":"margin"},"least":%s}]}`, middle, vary, least)
}

// lacks fails for every text that is not there.
func lacks(t *testing.T, got string, want ...string) {
	t.Helper()
	for _, s := range want {
		if !strings.Contains(got, s) {
			t.Errorf("lacks %q:\n%s", s, got)
		}
	}
}

// Where a round was taken to be is said where the eye looks: in the record in words, and in the report for the bores that
// drive the use. A swept bore without a z is at 0, and that is said.
//
// Source: hand calculation: two readings of eight are 45° apart, and 20 µm are 0.020 mm.
func TestText_roundsAsUnderstood(t *testing.T) {
	const readings = `"sweep":{"unit":"um","seen_from":"nose","readings":[10,7,0,-7,-10,-7,0,7]}`
	round := "reading 1, 10 um, is at 12 o'clock seen from the nose (12 o'clock from the tail); reading 2, 7, at half past 1 seen from the nose (half past 10 from the tail); the greatest, 10, at 12 o'clock seen from the nose (12 o'clock from the tail); they range over 20 um, which is 0.02 mm"
	const atZero = "a sweep says where a bore is across the line and not along it: bed/b at z 0 of the part, as no z stands beside it"
	unsaid := bed(readings, "0", "")
	lacks(t, flow(check(t, unsaid)), "Rounds as they were understood", "bed/b, sweep (/parts/0/bores/1/sweep): "+round)
	lacks(t, flow(text(t, unsaid)), "the sweep of the bed b was understood so: "+round, atZero)
	if s := flow(text(t, bed(`"z":0,`+readings, "0", ""))); strings.Contains(s, "no z stands beside it") {
		t.Errorf("a z of 0 that was written counts:\n%s", s)
	}
	if s := check(t, bed(`"centre":[0,0,0]`, "0", "")); strings.Contains(s, "understood") {
		t.Errorf("there is no round:\n%s", s)
	}
}

// Where draws decide, no guard band is spoken of, and none is missed.
//
// Source: hand calculation: offsets of 0.02·√(2/4) an axis, margin 0.03 − o/2: o ≤ 0.006 in 1 − exp(−0.006²/(2·0.0002)) = 9 %.
func TestText_whereDrawsDecide(t *testing.T) {
	const swept = `"z":0,"sweep":{"readings":[0,0,0,0],"uncertainty":%s}`
	s := flow(text(t, bed(fmt.Sprintf(swept, "0.02"), "0.027", "")))
	lacks(t, s, "UNDECIDED: the readings leave open the margin of the shaft line (inside its limit by 0.003 mm, and held in ", " of what they allow).", "what the readings leave open holds it in ", " of cases, where a pass asks for 95 %")
	for _, no := range []string{"within the guard band", "no uncertainty is stated", "no stated uncertainty"} {
		if strings.Contains(s, no) {
			t.Errorf("says %q:\n%s", no, s)
		}
	}
	lacks(t, flow(text(t, bed(fmt.Sprintf(swept, "0.005"), "0.02", ""))), "of what the readings leave open; inside by")
	lacks(t, flow(text(t, bed(`"centre":[0.01,0,0]`, "0", `{"name":"x","at":"/parts/0/bores/1/centre/0","law":{"normal":0.001,"shift":-0.002},"because":"gauge"}`))), "judged with the gauge's stated shift taken out")
}

// Where the first order says little, the row of RSS says so.
//
// Source: hand calculation: at 0 the margin falls to either side of the middle bore, so that its slope there is 0.
func TestVariation_bentOutput(t *testing.T) {
	for x, want := range map[string]bool{"0": true, "0.05": false} {
		rec, res := evaluated(t, bed(`"centre":[`+x+`,0,0]`, "0", `{"name":"middle","at":"/parts/0/bores/1/centre/0","law":{"normal":0.002}}`))
		var err error
		if res.Variations, err = study.Vary(context.Background(), rec, stackup.Settings{Samples: 256, Seed: 1}); err != nil {
			t.Fatal(err)
		}
		s, _, _ := written(t, rec, res)
		if got := strings.Contains(flow(s), "middle moves it otherwise than along a line, of which the first order, and so RSS, says little: trust the samples"); got != want {
			t.Errorf("at %s: said %v, want %v:\n%s", x, got, want, s)
		}
	}
}
