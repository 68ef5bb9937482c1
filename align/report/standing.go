package report

import (
	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// condition is the box as measured, which has no name, or in one of its states.
type condition struct {
	state string
	box   *align.Assembly
}

// conditionsOf lists the box as measured and in each of its states.
func conditionsOf(res *study.Result) []condition {
	out := []condition{{"", res.Assembly}}
	for _, s := range res.States {
		out = append(out, condition{s.Name, s.Assembly})
	}
	return out
}

// boxOf is the box in the state that decides a verdict: the one that governs, or the one that the limit names. A state that
// the result does not hold is taken as measured.
func boxOf(res *study.Result, v *study.Verdict) condition {
	name := v.InState
	if name == "" {
		name = v.Limit.State
	}
	list := conditionsOf(res)
	for _, c := range list[1:] {
		if name != "" && c.state == name {
			return c
		}
	}
	return list[0]
}

// assembles reports whether every joint of a box goes together.
func assembles(a *align.Assembly) bool {
	for i := range a.Joints {
		if !a.Joints[i].Assembles {
			return false
		}
	}
	return true
}

// roomOf is the room that a verdict says: none of a box that does not assemble, whatever its numbers.
func roomOf(res *study.Result, v *study.Verdict) tolerance.Optional[float64] {
	if !assembles(boxOf(res, v).box) {
		return tolerance.Optional[float64]{}
	}
	return v.Room
}

// noRoom is how negative a margin must be for a box to have no room: less is rounding.
const noRoom = -1e-9 // mm

// leastMargin is the margin at the worst float; 0 without shafts.
func leastMargin(a *align.Assembly) tolerance.Length {
	switch {
	case a.Line == nil:
		return 0
	case a.Line.OverFloat != nil:
		return a.Line.OverFloat.WorstMargin
	}
	return a.Line.Margin
}

// mostMargin is the margin at the best float; 0 without shafts.
func mostMargin(a *align.Assembly) tolerance.Length {
	if a.Line != nil && a.Line.OverFloat != nil {
		return a.Line.OverFloat.BestMargin
	}
	if a.Line != nil {
		return a.Line.Margin
	}
	return 0
}

// tightest is the state with the least margin at the worst float, if that is less than as measured. Boxes that do not
// assemble have no margin.
func tightest(res *study.Result) (condition, bool) {
	list := conditionsOf(res)
	at := list[0]
	for _, c := range list[1:] {
		if c.box.Line != nil && assembles(c.box) && leastMargin(c.box) < leastMargin(at.box) {
			at = c
		}
	}
	return at, at.state != ""
}

// doubts lists what cannot be relied on: of the box, then of each candidate what the box does not share.
func doubts(res *study.Result) []record.Doubt {
	out := append([]record.Doubt(nil), res.Doubts...)
	for i := range res.Candidates {
		for _, d := range res.Candidates[i].Doubts {
			if !saysAlready(out, d) {
				out = append(out, d)
			}
		}
	}
	return out
}

func saysAlready(list []record.Doubt, d record.Doubt) bool {
	for _, q := range list {
		if q.Path == d.Path && q.Why == d.Why {
			return true
		}
	}
	return false
}
