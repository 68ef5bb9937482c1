package study_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// A bore that was measured as points is as uncertain as they are, and the limit on it has that guard
// band. Source: hand calculation: u√(2/n) along each axis for n points all round; 12 points of 0.006 mm:
// 0.00245 mm. JCGM 106:2012, 8.3.2: undecided within 1.65 times that.
func TestRun_pointsGiveAGuardBand(t *testing.T) {
	points := func(x float64) string {
		var out []string
		for k := range 12 {
			s, c := math.Sincos(math.Pi / 6 * float64(k))
			out = append(out, fmt.Sprintf("[%.7f, %.7f, 90]", x+20*s, 20*c))
		}
		return strings.Join(out, ", ")
	}
	for _, c := range []struct {
		x    float64
		want tolerance.Decision
	}{{0.0950, tolerance.Pass}, {0.0970, tolerance.Undecided}, {0.1030, tolerance.Undecided}, {0.1050, tolerance.Fail}} {
		r, err := record.Decode(strings.NewReader(`{
 "format": "borestack-record/1", "units": {"length": "mm"},
 "parts": [{"name": "case", "front": {}, "bores": [{"name": "a", "centre": [0, 0, 10]},
   {"name": "b", "round": {"points": [` + points(c.x) + `], "uncertainty": 0.006}}]}],
 "joints": [], "references": [{"name": "line", "axis": "case/a"}],
 "accept": [{"output": {"kind": "offset", "of": "case/b"}, "greatest": 0.1}]
}`))
		if err != nil {
			t.Fatal(err)
		}
		res, err := study.Run(context.Background(), r)
		if err != nil {
			t.Fatal(err)
		}
		if got := res.Verdicts[0]; got.Word != c.want || math.Abs(got.U-0.006*math.Sqrt(2./12)) > 1e-6 {
			t.Errorf("offset %v: %v with u %v, want %v", c.x, got.Word, got.U, c.want)
		}
		s, err := r.Stack()
		if err != nil {
			t.Fatal(err)
		}
		u, err := study.Uncertainties(s, study.GaugeSources(&s), []align.Output{{What: align.OffsetSize, Of: "case/b"}})
		if err != nil || math.Abs(u[0]-0.006*math.Sqrt(2./12)) > 1e-6 {
			t.Errorf("%v, %v", u, err)
		}
	}
}

// A register measured as points, at several heights: every number that it has moves the box by what its
// column says. Source: a second method: the sum of squares of what single causes do.
func TestGaugeSources_pilot(t *testing.T) {
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Z: 50, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 80.02, Slope: tolerance.Given(align.Slope{}), Errors: []align.FitError{
				{X: 0.003, Y: 0.001, Diameter: 0.002, Slope: align.Slope{X: 1e-5}}, {Y: 0.002, Slope: align.Slope{Y: 2e-5}},
			}}}, Bores: []align.Bore{{Name: "a", Centre: align.Vec3{Z: 10}}}},
			{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Diameter: 80}}, Bores: []align.Bore{{Name: "b", Centre: align.Vec3{Z: 90}}}},
		},
		Joints:     []align.Joint{{}},
		References: []align.Reference{{Name: "line", Axis: "case/a"}},
	}
	sources := study.GaugeSources(&s)
	if len(sources) != 2 || sources[0].Part != "case" || sources[0].Set != "case: points of its rear pilot" {
		t.Fatalf("%+v", sources)
	}
	out := []align.Output{{What: align.OffsetX, Of: "tail/b"}, {What: align.OffsetY, Of: "tail/b"}, {What: align.OffsetSize, Of: "tail/b"}}
	e, err := study.GaugeEffects(s, sources, out)
	if err != nil {
		t.Fatal(err)
	}
	// The faces close and the tail follows the centre; over the float it reaches half the clearance
	// farther, whichever way the centre is off.
	for _, c := range []struct {
		what      string
		got, want float64
	}{
		{"x by the first", e[0][0], 0.003},
		{"y by the first", e[1][0], 0.001},
		{"y by the second", e[1][1], 0.002},
		{"the size by the first", e[2][0], math.Hypot(0.003, 0.001) + 0.001},
	} {
		if math.Abs(math.Abs(c.got)-c.want) > 1e-6 {
			t.Errorf("%s: %v, want %v", c.what, c.got, c.want)
		}
	}
	if n := len(sources[0].Moves); n != 4 {
		t.Errorf("%d numbers moved, want x, y, the diameter and a slope", n)
	}
}
