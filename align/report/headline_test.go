package report_test

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

const marginLimit = `,"accept":[{"output":{"kind":"margin"},"least":0}]`

// written is a report of each form, changed results and all.
func written(t *testing.T, rec *record.Record, res *study.Result) (text, page, ticket string) {
	t.Helper()
	var a, b, c bytes.Buffer
	for _, err := range []error{report.Text(&a, rec, res), report.HTML(&b, rec, res), report.Markdown(&c, rec, res)} {
		if err != nil {
			t.Fatal(err)
		}
	}
	return a.String(), b.String(), c.String()
}

// Whatever the badge, the first sentence of every form names doubts with their place, limits that do not hold, and states
// without room.
func TestHeadline_whateverTheBadge(t *testing.T) {
	doubt := record.Doubt{Path: "/parts/1/front/pilot", Why: "a pilot 0.5 mm tighter than its bore"}
	warm := `,"states":[{"name":"warm","moves":{"tail":[0.4,0,0]}}]`
	for name, c := range map[string]struct {
		record string
		change func(*study.Result)
		want   []string
		not    []string
	}{
		"a doubt undecides": {
			twoPart(0, 0, ``, marginLimit),
			func(r *study.Result) {
				r.Doubts, r.Word = []record.Doubt{doubt}, tolerance.Undecided
				r.Verdicts[0].Word, r.Verdicts[0].Doubted = tolerance.Undecided, true
			},
			[]string{"in doubt is tail, its front pilot (/parts/1/front/pilot): a pilot 0.5 mm tighter than its bore"},
			nil,
		},
		"a doubt beside a fail": {
			twoPart(0, 0.5, ``, marginLimit),
			func(r *study.Result) { r.Doubts, r.Verdicts[0].Doubted = []record.Doubt{doubt, doubt}, true },
			[]string{"the margin of the shaft line is outside by 0.0", "in doubt: /parts/1/front/pilot (and 1 more)"},
			nil,
		},
		"a doubt without a limit": {
			twoPart(0, 0, ``, ``),
			func(r *study.Result) { r.Doubts = []record.Doubt{doubt} },
			[]string{"in doubt is tail, its front pilot (/parts/1/front/pilot): a pilot", "if what was measured is right, straight shafts have room", "no limit is given"},
			nil,
		},
		"a state that governs": {
			twoPart(0, 0, ``, marginLimit+warm),
			func(r *study.Result) {
				v := &r.Verdicts[0]
				v.Word, v.InState, v.Room, r.Word = tolerance.Fail, "warm", tolerance.Given(-0.0123), tolerance.Fail
			},
			[]string{"the margin of the shaft line in state warm is outside by 0.012 mm"},
			[]string{"in state warm straight shafts have no room"},
		},
		"a state that nobody asks about": {
			twoPart(0, 0, ``, `,"accept":[{"output":{"kind":"assembles"}}]`+warm),
			func(r *study.Result) {},
			[]string{"the limits asked for hold, but none of them asks for room; in state warm straight shafts have no room: the clearances lack"},
			nil,
		},
		"no room, and none asked for": {
			twoPart(0, 0.5, ``, `,"accept":[{"output":{"kind":"assembles"}}]`),
			func(r *study.Result) {},
			[]string{"the limits asked for hold, but none of them asks for room; straight shafts have no room, as measured, cold, unloaded: the clearances lack"},
			nil,
		},
		"a state that does not assemble": {
			twoPart(0, 0, ``, `,"accept":[{"output":{"kind":"assembles"}}]`+warm),
			func(r *study.Result) {
				j := &r.States[0].Assembly.Joints[0]
				j.Assembles, j.Interference, j.Fouls = false, 0.02, []string{"pilot"}
			},
			[]string{"in state warm it does not assemble: at case|tail the pilot is in the way, and the clearances there lack 0.020 mm on diameter"},
			nil,
		},
		"a joint that lacks less than is printed": {
			twoPart(0, 0, ``, `,"accept":[{"output":{"kind":"assembles"}}]`+warm),
			func(r *study.Result) {
				j := &r.States[0].Assembly.Joints[0]
				j.Assembles, j.Interference, j.Fouls = false, 0.0004, []string{"pilot"}
			},
			[]string{"the clearances there lack under 0.001 mm on diameter"},
			[]string{"lack 0 mm"},
		},
		"least room in a state": {
			twoPart(0, 0, ``, marginLimit+`,"states":[{"name":"warm","moves":{"tail":[0.04,0,0]}}]`),
			func(r *study.Result) {},
			[]string{"straight shafts have room, as measured, cold, unloaded: 0.050 mm left on radius; least in state warm: 0.0"},
			nil,
		},
		"undecided by the gauge": {
			twoPart(0, 0, ``, marginLimit),
			func(r *study.Result) {
				v := &r.Verdicts[0]
				v.Word, v.U, v.Room, r.Word = tolerance.Undecided, 0.002, tolerance.Given(0.001), tolerance.Undecided
			},
			// Source: hand calculation: 1.645 · 0.002 = 0.0033.
			[]string{"the readings leave open the margin of the shaft line (inside its limit by 0.0010 mm, the readings sure only to 0.0033 mm)"},
			nil,
		},
		"a strained register": {
			strings.Replace(twoPart(0.02, 0, `"engagement":50,"rules":"flush"`, marginLimit), `"diameter":150}`, `"diameter":150,"slope":[0.0012,0.0016]}`, 1),
			func(r *study.Result) {},
			[]string{"closing case|tail squeezes its register by 0.080 mm"},
			nil,
		},
	} {
		t.Run(name, func(t *testing.T) {
			rec, res := evaluated(t, c.record)
			c.change(res)
			word := strings.ToUpper(res.Word.String())
			text, page, ticket := written(t, rec, res)
			if len(res.Verdicts) > 0 && res.Verdicts[0].Doubted && res.Word == tolerance.Undecided && !strings.Contains(flow(text), "Undecided for that: the margin of the shaft line.") {
				t.Errorf("what rests on the doubt is not named:\n%s", text)
			}
			first, _, _ := strings.Cut(text, ".\n")
			if first = flow(first); !strings.HasPrefix(first, word+": ") {
				t.Errorf("the verdict does not come first: %s", first)
			}
			lead := parsed(t, []byte(page)).all("header", nil)[0].all("p", nil)[0].text
			for _, want := range c.want {
				if !strings.Contains(first, want) {
					t.Errorf("the first sentence lacks %q:\n%s", want, first)
				}
				if !strings.Contains(strings.ToLower(flow(lead)), strings.ToLower(want)) {
					t.Errorf("the page's lead lacks %q:\n%s", want, lead)
				}
				if line, _, _ := strings.Cut(ticket, "\n"); !strings.Contains(strings.ToLower(line), strings.ToLower(report.Escaped(want))) {
					t.Errorf("the ticket's first line lacks %q:\n%s", want, line)
				}
			}
			for _, not := range c.not {
				if strings.Contains(first, not) {
					t.Errorf("the first sentence says %q", not)
				}
			}
		})
	}
}

// What misalignment uses and what caps the margin are two sentences with two sets of names.
func TestHeadline_useAndMarginApart(t *testing.T) {
	rec, res := evaluated(t, strings.Replace(shop, `"plate/bearing","clearance":0.005`, `"plate/bearing","clearance":0.001`, 1))
	l := res.Assembly.Line
	l.Margin = 0.0005 * tolerance.Inch
	l.MarginGoverns = []tolerance.Share{{Name: "plate/bearing", Share: 1}}
	l.Governs = []tolerance.Share{{Name: "tail/bush", Share: 0.6}, {Name: "case/front", Share: 0.4}}
	text, page, ticket := written(t, rec, res)
	for what, s := range map[string]string{"text": flow(text), "page": flow(page), "ticket": flow(ticket)} {
		for _, want := range []string{
			"of the clearances; what drives that: the tail bush and the case front.",
			"The margin is capped by the plate bearing, whatever the misalignment: half its own clearance of 0.0010 in (0.025 mm) is the most there can be.",
		} {
			if !strings.Contains(s, want) {
				t.Errorf("%s lacks %q", what, want)
			}
		}
		if strings.Contains(s, "governed by") {
			t.Errorf("%s joins two quantities", what)
		}
	}
	l.MarginGoverns = []tolerance.Share{{Name: "tail/bush", Share: 0.7}, {Name: "plate/bearing", Share: 0.3}}
	if text, _, _ = written(t, rec, res); !strings.Contains(flow(text), "What caps the margin: the tail bush and the plate bearing.") {
		t.Errorf("two that cap the margin are not said:\n%s", text)
	}
}

// Two bearings alike that cap the margin do so by their own clearance.
func TestHeadline_cappedByBearingsAlike(t *testing.T) {
	rec, res := evaluated(t, shop)
	l := res.Assembly.Line
	l.Margin, l.MarginGoverns = 0.0025*tolerance.Inch, []tolerance.Share{{Name: "case/front", Share: 0.5}, {Name: "plate/bearing", Share: 0.5}}
	if text, _, _ := written(t, rec, res); !strings.Contains(flow(text), "The margin is capped by the case front and the plate bearing, whatever the misalignment: half their own clearance of 0.0050 in (0.127 mm) is the most there can be.") {
		t.Errorf("not said:\n%s", text)
	}
}

// Doubts, what caps the margin and the state that governs stand in the JSON report; a box that does not assemble has no room.
func TestJSON_doubtsAndStates(t *testing.T) {
	rec, res := evaluated(t, twoPart(0, 0, ``, marginLimit+`,"states":[{"name":"warm","moves":{"tail":[0.04,0,0]}}]`))
	as := func() map[string]any {
		var b bytes.Buffer
		if err := report.JSON(&b, rec, res); err != nil {
			t.Fatal(err)
		}
		var v map[string]any
		if err := json.Unmarshal(b.Bytes(), &v); err != nil {
			t.Fatal(err)
		}
		return v
	}
	res.Verdicts[0].InState = ""
	v := as()
	if list := at(t, v, "doubts").([]any); len(list) != 0 {
		t.Errorf("doubts %v of a record without any", list)
	}
	if _, there := at(t, v, "verdicts", 0).(map[string]any)["in_state"]; there {
		t.Error("a state governs, and none was set")
	}
	res.Doubts = []record.Doubt{{Path: "/parts/1", Why: "odd"}}
	res.Warnings = []record.Remark{{Path: "/vary/0", Text: "moves nothing"}}
	res.Verdicts[0].InState = "warm"
	res.Assembly.Line.MarginGoverns = []tolerance.Share{{Name: "case/rear", Share: 1}}
	v = as()
	for _, c := range []struct {
		want any
		path []any
	}{
		{"/parts/1", []any{"doubts", 0, "at"}},
		{"odd", []any{"doubts", 0, "why"}},
		{"warm", []any{"verdicts", 0, "in_state"}},
		{"case/rear", []any{"line", "margin_governs", 0}},
		{"/vary/0: moves nothing", []any{"warnings", 0}},
	} {
		if got := at(t, v, c.path...); got != c.want {
			t.Errorf("%v is %v, want %v", c.path, got, c.want)
		}
	}
	res.States[0].Assembly.Joints[0].Assembles = false
	if got := at(t, as(), "verdicts", 0, "room"); got != nil {
		t.Errorf("room %v in a state that does not assemble", got)
	}
}

// Readings that state an uncertainty are never said to state none.
func TestAssumed_uncertaintyThatReachesNoLimit(t *testing.T) {
	// a tight bearing caps the margin whatever the plate's wedge: the micrometer's uncertainty reaches no limit
	stated := strings.NewReplacer(`"plate/bearing","clearance":0.005`, `"plate/bearing","clearance":0.001`, `"first":120`, `"first":120,"uncertainty":0.00001`).Replace(shop)
	rec, res := evaluated(t, stated)
	res.Verdicts[0].U = 0
	res.Assembly.Line.MarginGoverns = []tolerance.Share{{Name: "plate/bearing", Share: 1}}
	text, _, _ := written(t, rec, res)
	if text = flow(text); strings.Contains(text, "no uncertainty is stated") {
		t.Error("says that no uncertainty is stated, and one is")
	}
	for _, want := range []string{"the margin is capped by the plate bearing, which no reading with a stated uncertainty moves", "no stated uncertainty moves it: it is capped by the plate bearing"} {
		if !strings.Contains(text, want) {
			t.Errorf("lacks %q:\n%s", want, text)
		}
	}
	rec, res = evaluated(t, shop)
	if text, _, _ = written(t, rec, res); !strings.Contains(flow(text), "no uncertainty is stated that reaches a limit") {
		t.Error("does not say that no uncertainty is stated")
	}
}

// Far outside, percent say nothing.
func TestHeadline_farOutside(t *testing.T) {
	if s := flow(text(t, twoPart(0, 50, ``, marginLimit))); !strings.Contains(s, "Misalignment would use more than ten times the clearances; ") {
		t.Errorf("not said:\n%s", s)
	}
}

// What looks like a slip takes no verdict back; the first screen names it all the same, and counts the others.
func TestHeadline_slips(t *testing.T) {
	short := func(text string) string {
		rec, res := evaluated(t, text)
		var b bytes.Buffer
		if err := report.Short(&b, rec, res); err != nil {
			t.Fatal(err)
		}
		return flow(b.String())
	}
	box := twoPart(0, 0, ``, marginLimit)
	if s := short(box); strings.Contains(s, "slip") {
		t.Errorf("nothing looks like a slip: %s", s)
	}
	// Source: the warning's own threshold, a running clearance above 1 mm: 2 thou typed in millimetres.
	const said = "Looks like a slip: shaft main at case/front (/shafts/0/supports/0/clearance): a running clearance of 2 mm: is the unit right, and is it diametral?"
	box = strings.Replace(box, `"clearance":0.1`, `"clearance":2`, 1)
	if s := short(box); !strings.HasPrefix(s, "PASS") || !strings.Contains(s, said) || strings.Contains(s, "And 1 more") {
		t.Errorf("want a pass with %q: %s", said, s)
	}
	if s := short(strings.Replace(box, `"clearance":0.1`, `"clearance":3`, 1)); !strings.Contains(s, said+" And 1 more, below.") {
		t.Errorf("want one more: %s", s)
	}
	// A closing error that is not void is for the full report.
	text, err := os.ReadFile("../../examples/driveline/harbour-launch.json")
	if err != nil {
		t.Fatal(err)
	}
	box = strings.Replace(string(text), `"uncertainty": 0.0015`, `"uncertainty": 0.0015, "closing": 14.022`, 1)
	rec, res := evaluated(t, box)
	if len(rec.Warnings()) != 1 {
		t.Fatal(rec.Warnings())
	}
	var full bytes.Buffer
	if err := report.Text(&full, rec, res); err != nil {
		t.Fatal(err)
	}
	if s := short(box); strings.Contains(s, "slip") || !strings.Contains(full.String(), "read the round") {
		t.Errorf("%s\n%s", s, full.String())
	}
}
