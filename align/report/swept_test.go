package report_test

import (
	"context"
	"fmt"
	"strings"
	"testing"

	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
	"example.com/borestack/tolerance"
)

// swept is a part whose bore, spigot, pilot bore and rear face were each swept with the same readings, most at 12 o'clock.
func swept(positive string) string {
	const readings = `"readings":[0.02,0.0141421,0,-0.0141421,-0.02,-0.0141421,0,0.0141421]`
	sweep := fmt.Sprintf(`{%s,"positive":%q}`, readings, positive)
	return fmt.Sprintf(`{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"plate",
	 "front":{"pilot":{"kind":"spigot","sweep":%[1]s,"diameter":160}},
	 "rear":{"z":14,"sweep":{%[2]s,"positive":%[3]q,"radius":80},"pilot":{"kind":"bore","sweep":%[1]s,"diameter":130}},
	 "bores":[{"name":"bearing","z":7,"sweep":%[1]s},{"name":"other","z":7,"sweep":{%[2]s,"positive":%[3]q,"droop":0.005}}]}],"joints":[]}`, sweep, readings, positive)
}

// A sweep reads as where the centre is off or the part is thick, alike in the page, the ticket and the record in words; the
// JSON report keeps where the reading is greatest.
//
// Source: hand calculation: with "in" positive a bore reads −e·u, a spigot +e·u, a rear face +z; droop makes a centre seem high.
func TestReadings_sayWhereTheCentreIsOff(t *testing.T) {
	for positive, c := range map[string]struct{ spigot, bore, drooped, thick string }{
		"in":  {"12:00", "6:00", "centre off by 0.025 towards 6:00", "12:00"},
		"out": {"6:00", "12:00", "centre off by 0.015 towards 12:00", "6:00"},
	} {
		rec, res := evaluated(t, swept(positive))
		_, page, ticket := written(t, rec, res)
		want := map[string]string{
			"/parts/0/front/pilot/sweep": "centre off by 0.020 towards " + c.spigot, "/parts/0/rear/pilot/sweep": "centre off by 0.020 towards " + c.bore,
			"/parts/0/rear/sweep": "part thick at " + c.thick, "/parts/0/bores/0/sweep": "centre off by 0.020 towards " + c.bore, "/parts/0/bores/1/sweep": c.drooped,
		}
		rows := parsed(t, []byte(page)).within(t, "readings").all("tr", nil)[1:]
		if len(rows) != len(want) {
			t.Fatalf("%d sets of readings, want %d", len(rows), len(want))
		}
		for path, says := range want {
			found := false
			for _, r := range rows {
				found = found || strings.Contains(r.text, path) && strings.Contains(r.text, says)
			}
			if !found {
				t.Errorf("positive %s: the page does not say of %s: %s", positive, path, says)
			}
			if !strings.Contains(ticket, says) {
				t.Errorf("positive %s: the ticket does not say of %s: %s", positive, path, says)
			}
		}
		hours := strings.TrimSuffix(c.bore, ":00") + " o'clock"
		if s := flow(check(t, swept(positive))); !strings.Contains(s, "so its centre is off by 0.020 mm towards "+hours) {
			t.Errorf("positive %s: the record in words does not agree:\n%s", positive, s)
		}
		for i := range res.Assembly.Readings {
			if got := res.Assembly.Readings[i].Harmonics[0].Clock.Degrees(); got > 1e-6 && got < 360-1e-6 {
				t.Errorf("the reading is greatest at %v°, want 0", got)
			}
		}
	}
}

// The record in words says what a dial would show of a typed centre, but not of a centre distance.
func TestCheck_typedCentreOnADial(t *testing.T) {
	s := flow(check(t, `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed","rear":{"z":9,"pilot":{"kind":"bore","centre":[0.03,0],"diameter":50}},"bores":[{"name":"a","centre":[0,-0.12,0]},{"name":"b","centre":[0,80,0]}]}],"joints":[]}`))
	// Source: hand calculation: TIR is twice the offset.
	for _, want := range []string{"centre at (0, -0.12) (TIR 0.240 on a dial)", "centre at (0, 80).", "centre off by 0.030 mm towards 3 o'clock (TIR 0.060 on a dial)"} {
		if !strings.Contains(s, want) {
			t.Errorf("lacks %q:\n%s", want, s)
		}
	}
}

// The bad end of an output is the low one for a least limit and for a margin, the high one otherwise, in the table and beside
// the verdict.
//
// Source: hand calculation: a normal law lies below mean − 2.7822 sd with 0.27 % (standard normal quantile of 0.9973); the
// chain is 0.1 with sd 0.01: 0.0722 and 0.1278.
func TestVariation_badEnd(t *testing.T) {
	for limit, want := range map[string][2]string{
		`"least":0.09`:                    {"0.072 mm", "0.27 % have less than 0.07"},
		`"greatest":0.11`:                 {"0.128 mm", "0.27 % have more than 0.12"},
		`"least":0.02,"greatest":0.11`:    {"0.128 mm", "0.27 % have more than 0.12"},
		`"least":0.09,"greatest":0.19999`: {"0.072 mm", "0.27 % have less than 0.07"},
	} {
		rec, res := evaluated(t, `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed"}],"joints":[],
		 "chains":[{"name":"play","links":[{"name":"gap","length":0.1}],`+limit+`}],"vary":[{"name":"gap","at":"/chains/0/links/0/length","law":{"normal":0.01}}]}`)
		var err error
		if res.Variations, err = study.Vary(context.Background(), rec, stackup.Settings{Samples: 20000, Seed: 1}); err != nil {
			t.Fatal(err)
		}
		text, page, _ := written(t, rec, res)
		text = flow(text)
		for _, s := range append(want[:], "Yield of a batch made like this: ", "The verdict above is of this box as it is.") {
			if !strings.Contains(text, s) {
				t.Errorf("%s: lacks %q:\n%s", limit, s, text)
			}
		}
		if !strings.Contains(flow(page), want[1]) {
			t.Errorf("%s: the page lacks %q", limit, want[1])
		}
		if other := map[string]string{"0.072 mm": "0.128 mm", "0.128 mm": "0.072 mm"}[want[0]]; strings.Contains(text, other) {
			t.Errorf("%s: says %q, the good end", limit, other)
		}
	}
}

// A margin without a limit is still bad at its low end, and a size at its high one.
func TestVariation_badEndOfTheMargin(t *testing.T) {
	rec, res := evaluated(t, strings.Replace(twoPart(0, 0.03, ``, `,"accept":[{"output":{"kind":"margin"}},{"output":{"kind":"tir","of":"tail/tail bush"}}],"vary":[{"name":"bush","at":"/parts/1/bores/0/centre/0","law":{"normal":0.05}}]`), `"joints":[{`, `"joints":[{"lies":"rest"`, 1))
	var err error
	if res.Variations, err = study.Vary(context.Background(), rec, stackup.Settings{Samples: 4000, Seed: 1}); err != nil {
		t.Fatal(err)
	}
	text, _, _ := written(t, rec, res)
	for i, what := range []string{"margin of the shaft line", "TIR of tail/tail bush"} {
		s := res.Variations[0].Outputs[i].Sampled
		p := []float64{0.0027, 0.9973}[i]
		v, _ := s.Quantile(p)
		row := ""
		for _, line := range strings.Split(text[strings.Index(text, "How a batch varies"):], "\n") {
			if strings.HasPrefix(strings.TrimSpace(line), what) && row == "" {
				row = line
			}
		}
		if want := report.Told(tolerance.Millimetres, tolerance.Length(v)); !strings.Contains(row, want) {
			t.Errorf("the row of %s lacks its bad end %s: %s", what, want, row)
		}
	}
}
