package specify

import (
	"strings"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// No datum is named twice, and a coaxiality is never to a face; a limit with both ends tells them apart.
//
// Source: ISO 1101:2017, a coaxiality has an axis for datum; ISO 5459, a datum system names each datum once.
func TestCallouts_datums(t *testing.T) {
	pilot := &align.Pilot{Diameter: 150}
	s := align.Stack{
		Parts: []align.Part{
			{
				Name: "case", Front: &align.Face{}, Rear: &align.Face{Z: 100, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 150.02}},
				Bores: []align.Bore{{Name: "a"}, {Name: "b", Centre: align.Vec3{Z: 50}}},
			},
			{Name: "plate", Front: &align.Face{Pilot: pilot}, Rear: &align.Face{Z: 14, Pilot: pilot}},
			{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 150.02}}, Bores: []align.Bore{{Name: "c", Centre: align.Vec3{Z: 150}}}},
		},
		Joints: make([]align.Joint, 2),
		Shafts: []align.Shaft{{Name: "shaft"}},
	}
	for _, b := range []string{"case/a", "case/b", "tail/c"} {
		s.Shafts[0].Supports = append(s.Shafts[0].Supports, align.Support{Bore: b, Clearance: 0.2})
	}
	got := map[string]string{}
	callouts := Callouts(s)
	for k := range callouts {
		c := &callouts[k]
		callouts[k].Zone, callouts[k].Across = 0.01, 100
		got[c.Kind.String()+" of "+c.Feature] = c.Datum
		if c.Kind == Coaxiality && strings.Contains(c.Datum, "face") {
			t.Errorf("%s is to no axis", c.Name())
		}
		if a, b, both := strings.Cut(c.Datum, " | "); both && a == b {
			t.Errorf("%s names a datum twice", c.Name())
		}
	}
	for of, to := range map[string]string{
		"position of case, rear pilot": "case, front face", "position of case/a": "case, front face",
		"coaxiality of plate, rear pilot": "plate, front pilot", "position of tail/c": "tail, front face | tail, front pilot",
	} {
		if got[of] != to {
			t.Errorf("%s is to %q, want %q; all: %v", of, got[of], to, got)
		}
	}
	a := Ask{Stack: s, Callouts: callouts, Samples: 100, Limits: []record.Limit{{
		Output: align.Output{What: align.TIRSize, Of: "tail/c"}, Limits: tolerance.Limits{Least: tolerance.Given(-1.0), Greatest: tolerance.Given(1.0)},
	}}}
	r, err := a.Check(t.Context())
	if err != nil || len(r.Worst) != 2 || r.Worst[0].Limit != "tir of tail/c, greatest" || r.Worst[1].Limit != "tir of tail/c, least" {
		t.Errorf("%v: %+v", err, r)
	}
}
