package report_test

import (
	"bytes"
	"io"
	"os"
	"regexp"
	"strings"
	"testing"

	"example.com/borestack/align/record"
	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
)

// Every number of a record in turn made absurdly small or large: it is refused before anything is written, or every form of the report can be written, without a number that is not finite.
func TestReports_extremeNumbers(t *testing.T) {
	raw, err := os.ReadFile("../../testdata/records/two-shaft-box.json")
	if err != nil {
		t.Fatal(err)
	}
	text := string(raw)
	var spots [][]int
	for _, m := range regexp.MustCompile(`"(?:[^"\\]|\\.)*"|-?[0-9]+(?:\.[0-9]+)?(?:[eE][-+]?[0-9]+)?`).FindAllStringIndex(text, -1) {
		if text[m[0]] != '"' {
			spots = append(spots, m)
		}
	}
	written := 0
	for n, m := range spots {
		for k, v := range []string{"5e-324", "-1e5", "1e-308", "1e5", "1e-12"} {
			if (k == 1 && n%2 == 0) || (k > 1 && n%8 != k-2) { // here and there: a picture takes its time
				continue
			}
			rec, err := record.Decode(strings.NewReader(text[:m[0]] + v + text[m[1]:]))
			if err != nil {
				continue
			}
			res, err := study.Run(t.Context(), rec)
			if err != nil {
				continue
			}
			for name, write := range map[string]func(io.Writer, *record.Record, *study.Result) error{
				"text": report.Text, "json": report.JSON, "html": report.HTML, "markdown": report.Markdown,
				"check": func(w io.Writer, r *record.Record, _ *study.Result) error { return report.Check(w, r) },
			} {
				var b bytes.Buffer
				if err := write(&b, rec, res); err != nil {
					t.Errorf("%s of ...%s set to %s: %.300v", name, text[max(0, m[0]-30):m[1]], v, err)
				}
				for _, bad := range []string{"+Inf", "-Inf", "NaN"} {
					if strings.Contains(b.String(), bad) {
						t.Errorf("%s of ...%s set to %s: it says %s", name, text[max(0, m[0]-30):m[1]], v, bad)
					}
				}
				written++
			}
		}
	}
	if written < 250 {
		t.Errorf("%d reports written", written)
	}
}

// clocked is a case, a ring turned by a quarter on it, and a tail; the tail's bore stands 0.05 off along the tail's own x.
const clocked = `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [
 {"name": "case", "rear": {"z": 100, "diameter": 200, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 150}}, "bores": [{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0, 0, 80]}]},
 {"name": "ring", "front": {"diameter": 200, "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 150}}, "rear": {"z": 20, "diameter": 160, "pilot": {"kind": "bore", "centre": [0, 0], "diameter": 120.08}}},
 {"name": "tail", "front": {"diameter": 160, "pilot": {"kind": "spigot", "centre": [0, 0], "diameter": 120}}, "bores": [{"name": "c", "centre": [0.05, 0, 100]}]}],
 "joints": [{"clock": CLOCK}, {}],
 "shafts": [{"name": "main", "supports": [{"bore": "case/a", "clearance": 0.02}, {"bore": "case/b", "clearance": 0.02}, {"bore": "tail/c", "clearance": 0.02}]}]}`

// A push is seen from the tail as the machine stands, a joint's own angles are those of the part in front of it, and where the two differ the text says so.
func TestText_axesOfPush(t *testing.T) {
	// Source: hand calculation. With a quarter turn the tail's x points to 6 o'clock in the machine, so that the push is to 12; without, to 9 o'clock. Its float stays along the ring's own axes.
	for _, c := range []struct {
		clock string
		push  float64
		said  bool
	}{{"90", 0, true}, {"0", 270, false}} {
		text := strings.ReplaceAll(clocked, "CLOCK", c.clock)
		v := tree(t, text)
		near(t, "push", at(t, v, "line", "over_float", "push", 0, "clock"), c.push, 0.5)
		rec, res := evaluated(t, text)
		var b bytes.Buffer
		if err := report.Text(&b, rec, res); err != nil {
			t.Fatal(err)
		}
		words := strings.Join(strings.Fields(b.String()), " ")
		for _, s := range []string{"are those of the ring, whose own 12 o'clock stands at 3 o'clock", "o'clock here is as the machine stands, 12 o'clock up, seen from the tail"} {
			if strings.Contains(words, s) != c.said {
				t.Errorf("clock %s: %q said: %v\n%s", c.clock, s, !c.said, b.String())
			}
		}
	}
}
