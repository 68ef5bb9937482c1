package study_test

import (
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// A component of an offset is judged where the joints rest, word, room and text alike, however far the tail floats.
//
// Source: hand calculation: the pilots' centres meet at rest, 0.02 off; the register leaves 0.05 either way.
func TestJudge_component(t *testing.T) {
	s := align.Stack{
		Parts: []align.Part{
			{Name: "case", Rear: &align.Face{Z: 50, Pilot: &align.Pilot{Kind: align.PilotBore, Diameter: 80.1}}, Bores: []align.Bore{{Name: "a", Centre: align.Vec3{Z: 10}}}},
			{Name: "tail", Front: &align.Face{Pilot: &align.Pilot{Diameter: 80}}, Bores: []align.Bore{{Name: "b", Centre: align.Vec3{X: 0.02, Z: 90}}}},
		},
		Joints:     []align.Joint{{}},
		References: []align.Reference{{Name: "line", Axis: "case/a"}},
	}
	for bound, want := range map[float64]tolerance.Decision{0.03: tolerance.Pass, 0.01: tolerance.Fail} {
		l := record.Limit{Output: align.Output{What: align.OffsetX, Of: "tail/b"}, Limits: tolerance.AtMost(bound)}
		v, word, err := (study.Origin{}).Judge(t.Context(), s, []record.Limit{l})
		if err != nil {
			t.Fatal(err)
		}
		if word != want || v[0].Worst.Given || v[0].Best.Given || (v[0].Room.Value >= 0) != (want == tolerance.Pass) {
			t.Errorf("at most %g: %v, %+v", bound, word, v[0])
		}
	}
}
