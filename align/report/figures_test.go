package report_test

import (
	"os"
	"strings"
	"testing"
)

// Figures that the report works out itself.
func TestText_figures(t *testing.T) {
	box, err := os.ReadFile("../../testdata/records/two-shaft-box.json")
	if err != nil {
		t.Fatal(err)
	}
	for name, c := range map[string]struct{ record, want string }{
		// Source: hand calculation: an offset of 0.15 turns a dial by twice that; columns z, offset, at, TIR.
		"table of supports": {twoPart(0.06, 0.15, ``, ``), "tail/tail bush 130 0.150 3:00 0.300 0 - 0.100"},
		// Source: hand calculation: 2 tan 20° of 0.01, 0.00728.
		"backlash": {string(box), "every 0.010 mm of centre distance is 0.0073 mm of backlash"},
		// Eight readings of u = 0.002 leave u √(2/8) = 0.001 of an offset of 0.02, within 0.0212 by 0.0012.
		//
		// Source: hand calculation: 0.0012/1.65 = 0.00073 is the most that would leave it inside.
		"what settles it": {`{"format": "borestack-record/1", "units": {"length": "mm"}, "parts": [{"name": "case", "bores": [
  {"name": "a", "centre": [0, 0, -200]}, {"name": "b", "centre": [0, 0, -100]},
  {"name": "c", "z": 0, "sweep": {"readings": [0.02, 0.0141421, 0, -0.0141421, -0.02, -0.0141421, 0, 0.0141421], "uncertainty": 0.002}}]}],
 "joints": [], "references": [{"name": "line", "through": ["case/a", "case/b"]}],
 "accept": [{"output": {"kind": "offset", "of": "case/c"}, "greatest": 0.0212}]}`, "good for a standard uncertainty of 0.0007 mm would settle it"},
	} {
		if s := flow(text(t, c.record)); !strings.Contains(s, c.want) {
			t.Errorf("%s: no %q in\n%s", name, c.want, s)
		}
	}
}
