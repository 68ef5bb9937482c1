package report_test

import (
	"bytes"
	"context"
	"encoding/json"
	"strings"
	"testing"

	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/stackup"
)

// Text and JSON say in which tails failures lie, the axis of a pair and the side among it.
func TestReport_causes(t *testing.T) {
	rec, res := evaluated(t, `{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "bed", "bores": [
{"name": "a", "centre": [0, 0, 0]}, {"name": "b", "centre": [0, 0, 100]}, {"name": "c", "centre": [0, -0.03, 250]}]}], "joints": [],
"references": [{"name": "line", "through": ["bed/a", "bed/b"]}],
"vary": [{"name": "bush", "at": ["/parts/0/bores/2/centre/0", "/parts/0/bores/2/centre/1"], "law": {"normal": 0.02}}],
"accept": [{"output": {"kind": "offset", "of": "bed/c"}, "greatest": 0.06}]}`)
	var err error
	if res.Variations, err = study.Vary(context.Background(), rec, stackup.Settings{Samples: 20000, Seed: 1}); err != nil {
		t.Fatal(err)
	}
	var text, js bytes.Buffer
	if err := report.Text(&text, rec, res); err != nil {
		t.Fatal(err)
	}
	if want := "when it fails, more often than usual: bush along y in its lower tenth "; !strings.Contains(flow(text.String()), want) {
		t.Errorf("the text lacks %q:\n%s", want, text.String())
	}
	if err := report.JSON(&js, rec, res); err != nil {
		t.Fatal(err)
	}
	var doc struct {
		Study struct {
			Outputs []struct {
				Lie []struct {
					Input, Axis, Tail string
					Times             float64
					Interval          [2]float64
				} `json:"failures_lie_in"`
			}
		}
	}
	if err := json.Unmarshal(js.Bytes(), &doc); err != nil {
		t.Fatal(err)
	}
	lie := doc.Study.Outputs[0].Lie
	if len(lie) == 0 || lie[0].Input != "bush" || lie[0].Axis != "y" || lie[0].Tail != "lower" || !(lie[0].Interval[0] < lie[0].Times && lie[0].Times < lie[0].Interval[1]) {
		t.Errorf("failures lie in %+v, want the lower tenth of the bush along y first", lie)
	}
}
