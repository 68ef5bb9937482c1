package report

import (
	"fmt"

	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// meshes says how each pair of gear axes lies, and which end of the tooth takes the load.
func (t *teller) meshes() {
	a := t.res.Assembly
	if len(a.Meshes) == 0 {
		return
	}
	s := t.page.Section("meshes", "Gear meshes, through the bores' centres, unloaded")
	for i := range a.Meshes {
		m := &a.Meshes[i]
		say := func(format string, args ...any) { s.Item(format, args...).From(of(t.at.named["mesh/"+m.Name])...) }
		say("%s: axes %s apart; over the span of %s they part rearward by %s in plane%s, and cross by %s out of plane%s",
			spell.Name(m.Name), t.p.Size(m.CentreDistance), t.p.Size(m.Span),
			t.p.Length(m.InPlane), t.against(m.InPlane, m.InPlaneLimit), t.p.Length(m.OutOfPlane), t.against(m.OutOfPlane, m.OutPlaneLimit))
		say("%s: driven one way the %s, driven the other way the %s; every %s of centre distance is %s of backlash",
			spell.Name(m.Name), t.bearingEnd(m.Mismatch[0]), t.bearingEnd(m.Mismatch[1]),
			t.p.Length(tolerance.Length(0.01*float64(tolerance.Millimetre))), t.p.fine().Length(tolerance.Length(0.01*m.BacklashGain)))
		if r := m.Running; r != nil {
			say("%s on its bent shafts (estimate): %s apart, %s in plane, %s out of plane; driven one way the %s, driven the other way the %s",
				spell.Name(m.Name), t.p.Size(r.CentreDistance), t.p.Length(r.InPlane), t.p.Length(r.OutOfPlane), t.bearingEnd(r.Mismatch[0]), t.bearingEnd(r.Mismatch[1]))
		}
	}
	s.Item("what loads bend comes on top where it is not worked out; the gear maker's data decide")
}

// against compares a deviation with its recommended limit.
func (t *teller) against(v tolerance.Length, limit tolerance.Optional[tolerance.Length]) string {
	if !limit.Given {
		return ""
	}
	word := "within"
	if max(v, -v) > limit.Value {
		word = "outside"
	}
	return fmt.Sprintf(" (%s the recommended %s)", word, t.p.Length(limit.Value))
}

// bearingEnd says which end of the face engages first.
func (t *teller) bearingEnd(v tolerance.Length) string {
	switch {
	case t.p.Plain(v) == "0":
		return "whole face bears"
	case v > 0:
		return "rear end bears first, by " + t.p.Length(v) + " across the face"
	}
	return "front end bears first, by " + t.p.Length(-v) + " across the face"
}
