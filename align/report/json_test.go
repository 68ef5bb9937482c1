package report_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.com/borestack/align/report"
	"example.com/borestack/align/study"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// tree is the JSON report as a tree.
func tree(t *testing.T, recordText string) map[string]any {
	t.Helper()
	rec, res := evaluated(t, recordText)
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

// at walks a tree by keys and indices.
func at(t *testing.T, v any, path ...any) any {
	t.Helper()
	for _, p := range path {
		switch key := p.(type) {
		case string:
			m, ok := v.(map[string]any)
			if !ok {
				t.Fatalf("%v: not an object at %q", path, key)
			}
			if v, ok = m[key]; !ok {
				t.Fatalf("%v: key %q is absent", path, key)
			}
		case int:
			l, ok := v.([]any)
			if !ok || key >= len(l) {
				t.Fatalf("%v: no element %d", path, key)
			}
			v = l[key]
		}
	}
	return v
}

func near(t *testing.T, what string, got any, want, tol float64) {
	t.Helper()
	if diff := cmp.Diff(any(want), got, cmpopts.EquateApprox(0, tol)); diff != "" {
		t.Errorf("%s (-want +got):\n%s", what, diff)
	}
}

func TestJSON_inches(t *testing.T) {
	v := tree(t, shop)
	// Source: hand calculation: use = (8/18)(10·rise/7)/2 / 0.0025, rise 0.003: 0.38095; the rigid rotation is of second order.
	near(t, "use", at(t, v, "line", "use"), 0.380952, 2e-5)
	// Source: hand calculation: margin = 0.0025·(1 - use).
	near(t, "margin", at(t, v, "line", "margin"), 0.0025*(1-0.380952), 1e-7)
	// Source: hand calculation: rise 0.003 across 7, thick at 120° where the readings start.
	near(t, "rise", at(t, v, "parts", 0, "rise"), 0.003, 1e-6)
	near(t, "across", at(t, v, "parts", 0, "across"), 7, 1e-12)
	near(t, "clock of the wedge", at(t, v, "parts", 0, "wedge", "clock"), 120, 0.01)
	near(t, "size of the wedge", at(t, v, "parts", 0, "wedge", "size"), 0.003/7, 1e-8)
	near(t, "limit", at(t, v, "verdicts", 0, "least"), 0, 0)
	near(t, "room", at(t, v, "verdicts", 0, "room"), 0.0025*(1-0.380952), 1e-7)
	// Source: hand calculation: TIR is twice the offset, 10·0.003/7, to second order in the tilt.
	near(t, "TIR of the bush", at(t, v, "supports", 2, "tir"), 2*10*0.003/7, 1e-6)
	if got := at(t, v, "verdict"); got != "pass" {
		t.Errorf("verdict %v, want pass", got)
	}
}

func TestJSON_everyKeyOfTheReport(t *testing.T) {
	v := tree(t, demonstration(t))
	for _, path := range [][]any{
		{"format"},
		{"verdict"},
		{"assumed"},
		{"warnings"},
		{"poses", 3, "part"},
		{"poses", 3, "rotation", 2, 2},
		{"poses", 3, "origin", 2},
		{"joints", 0, "name"},
		{"joints", 0, "rules"},
		{"joints", 0, "assembles"},
		{"joints", 0, "interference"},
		{"joints", 0, "lean"},
		{"joints", 1, "pilot_clearance"},
		{"joints", 1, "pilot_strain"},
		{"joints", 1, "lean", "clock"},
		{"joints", 1, "lean_room"},
		{"joints", 1, "float", "x"},
		{"joints", 1, "float", "turn"},
		{"joints", 1, "turn_range", 1},
		{"joints", 1, "gap", "greatest"},
		{"joints", 1, "gap", "clock"},
		{"parts", 1, "name"},
		{"parts", 1, "thickness"},
		{"parts", 1, "wedge", "clock"},
		{"parts", 1, "rise"},
		{"parts", 1, "across"},
		{"parts", 1, "thickness_variation"},
		{"parts", 1, "waviness"},
		{"sweeps", 0, "at"},
		{"sweeps", 0, "mean"},
		{"sweeps", 0, "harmonics", 0, "n"},
		{"sweeps", 0, "harmonics", 0, "size"},
		{"sweeps", 0, "harmonics", 0, "clock"},
		{"supports", 0, "bore"},
		{"supports", 0, "z"},
		{"supports", 0, "offset", "size"},
		{"supports", 0, "tir"},
		{"supports", 0, "tilt", "clock"},
		{"supports", 0, "clearance"},
		{"supports", 0, "room"},
		{"line", "use"},
		{"line", "margin"},
		{"line", "runs_free"},
		{"line", "governs", 0},
		{"line", "margin_governs", 0},
		{"line", "shafts", 1, "name"},
		{"line", "shafts", 1, "at_zero", 1},
		{"line", "shafts", 1, "slope", 1},
		{"line", "over_float", "use", 1},
		{"line", "over_float", "margin", 1},
		{"line", "over_float", "push", 0, "joint"},
		{"line", "over_float", "push", 0, "clock"},
		{"line", "over_float", "push", 0, "by"},
		{"candidates", 3, "part"},
		{"candidates", 3, "candidate"},
		{"candidates", 3, "verdict"},
		{"candidates", 3, "rank"},
		{"candidates", 3, "use"},
		{"candidates", 3, "margin"},
		{"candidates", 3, "governs"},
		{"states", 0, "name"},
		{"states", 0, "use"},
		{"states", 0, "margin"},
		{"states", 0, "governs"},
		{"chains", 0, "name"},
		{"chains", 0, "gap"},
		{"verdicts", 1, "output", "kind"},
		{"verdicts", 1, "output", "of"},
		{"verdicts", 1, "output", "from"},
		{"verdicts", 1, "value"},
		{"verdicts", 1, "best"},
		{"verdicts", 1, "worst"},
		{"verdicts", 1, "greatest"},
		{"verdicts", 1, "verdict"},
		{"verdicts", 1, "room"},
	} {
		at(t, v, path...)
	}
	for _, key := range []string{"side_loads", "meshes", "study"} {
		if _, there := v[key]; there {
			t.Errorf("%s was not asked for, and is there", key)
		}
	}
	best, worst := at(t, v, "line", "over_float", "use", 0).(float64), at(t, v, "line", "over_float", "use", 1).(float64)
	if best >= worst {
		t.Errorf("use over the float is [%v, %v], want best first", best, worst)
	}
	low, high := at(t, v, "line", "over_float", "margin", 0).(float64), at(t, v, "line", "over_float", "margin", 1).(float64)
	if low >= high {
		t.Errorf("margin over the float is [%v, %v], want worst first", low, high)
	}
}

func TestJSON_absentAndNull(t *testing.T) {
	one := `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed","bores":[{"name":"a","centre":[0,0,100]},{"name":"b","centre":[0,-0.3,400]},{"name":"c","centre":[0,0,700]}]}],"joints":[],
	 "shafts":[{"name":"main","supports":[{"bore":"bed/a","clearance":0},{"bore":"bed/b","clearance":0},{"bore":"bed/c","clearance":0}]}]}`
	v := tree(t, one)
	if got := at(t, v, "line", "use"); got != nil {
		t.Errorf("use is %v where no line exists, want null", got)
	}
	// Source: hand calculation: the middle 0.3 low, no room: every clearance lacks 0.15.
	near(t, "margin", at(t, v, "line", "margin"), -0.15, 1e-7)
	for _, key := range []string{"candidates", "states", "chains", "verdicts"} {
		if _, there := v[key]; there {
			t.Errorf("%s was not asked for, and is there", key)
		}
	}
	if _, there := at(t, v, "line").(map[string]any)["over_float"]; there {
		t.Error("over_float is there, and nothing floats")
	}
	if _, there := at(t, v, "supports", 0).(map[string]any)["room"]; there {
		t.Error("a support has room, and there is no line")
	}
	none := tree(t, `{"format":"borestack-record/1","units":{"length":"mm"},"parts":[{"name":"bed"}],"joints":[]}`)
	if _, there := none["line"]; there {
		t.Error("line is there, and there is no shaft")
	}
	for _, key := range []string{"assumed", "warnings", "poses", "joints", "parts", "sweeps"} {
		if _, isList := none[key].([]any); !isList {
			t.Errorf("%s is %v, want a list", key, none[key])
		}
	}
}

func TestJSON_notFinite(t *testing.T) {
	for name, c := range map[string]struct {
		spoil func(*study.Result)
		want  string
	}{
		"margin": {func(r *study.Result) { r.Assembly.Line.Margin = tolerance.Length(math.NaN()) }, "/line/margin"},
		"offset": {func(r *study.Result) { r.Assembly.Supports[2].Offset.X = tolerance.Length(math.Inf(-1)) }, "/supports/2/offset/x"},
		"value":  {func(r *study.Result) { r.Verdicts[0].Value = tolerance.Given(math.Inf(1)) }, "/verdicts/0/value"},
	} {
		t.Run(name, func(t *testing.T) {
			rec, res := evaluated(t, shop)
			c.spoil(res)
			var b bytes.Buffer
			err := report.JSON(&b, rec, res)
			var f *fault.FieldError
			if !errors.As(err, &f) || f.Path != c.want || !errors.Is(err, fault.ErrNotFinite) {
				t.Errorf("error %v, want one at %s", err, c.want)
			}
			if b.Len() > 0 {
				t.Errorf("it wrote %d bytes", b.Len())
			}
		})
	}
}

func TestJSON_notEscaped(t *testing.T) {
	rec, res := evaluated(t, strings.Replace(shop, "straight shafts must have room", "a < b & c", 1))
	var b bytes.Buffer
	if err := report.JSON(&b, rec, res); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "a < b & c") {
		t.Error("text is escaped for a web page, and this is not one")
	}
}
