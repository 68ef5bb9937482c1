package report

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// condition is the box as measured, which has no name, or in one of its states.
type condition struct {
	state string
	box   *align.Assembly
}

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
	list := conditionsOf(res)
	i := slices.IndexFunc(list, func(c condition) bool { return c.state == cmp.Or(v.InState, v.Limit.State) })
	return list[max(i, 0)]
}

func assembles(a *align.Assembly) bool { return len(fouls(a)) == 0 }

// fouls are the joints that do not go together.
func fouls(a *align.Assembly) (out []*align.SeatedJoint) {
	for _, j := range a.Joints {
		if !j.Assembles {
			out = append(out, &j)
		}
	}
	return out
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

// leastMargin and mostMargin are the margins at the worst float and at the best; 0 without shafts.
func leastMargin(a *align.Assembly) tolerance.Length { return marginsOf(a)[0] }
func mostMargin(a *align.Assembly) tolerance.Length  { return marginsOf(a)[1] }

func marginsOf(a *align.Assembly) (out [2]tolerance.Length) {
	if l := a.Line; l != nil {
		out = [2]tolerance.Length{l.Margin, l.Margin}
		if r := l.OverFloat; r != nil {
			out = [2]tolerance.Length{r.WorstMargin, r.BestMargin}
		}
	}
	return out
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
	for _, c := range res.Candidates {
		for _, d := range c.Doubts {
			if !saysAlready(out, d) {
				out = append(out, d)
			}
		}
	}
	return out
}

func saysAlready(list []record.Doubt, d record.Doubt) bool {
	return slices.ContainsFunc(list, func(q record.Doubt) bool { return q.Path == d.Path && q.Why == d.Why })
}

// jointAt is the joint of that name; -1 without one.
func jointAt(a *align.Assembly, name string) int {
	return slices.IndexFunc(a.Joints, func(j align.SeatedJoint) bool { return j.Name == name })
}

func (t *teller) frontOf(joint string) string {
	if i := jointAt(t.res.Assembly, joint); i >= 0 {
		return t.res.Assembly.Joints[i].Front
	}
	return ""
}

func (t *teller) behind(joint string) string {
	if i := jointAt(t.res.Assembly, joint); i >= 0 {
		return "the " + spell.Name(t.res.Assembly.Joints[i].Rear)
	}
	return "the part behind"
}

// candidates lists the parts that may each take a place, as [study.Standing] ranks them.
func (t *teller) candidates() {
	for _, place := range t.places() {
		s := t.page.Section("candidates", "Candidates for "+spell.Name(place)+", best first")
		table := s.Table(paper.Words("rank", "part", "verdict"), paper.Numbers("margin", "at worst", "used"), paper.Words("used up by"))
		table.Key = 1
		ranked := t.res.Ranked(place)
		for i, c := range ranked {
			worst := paper.Cell{Text: "-"}
			if a := c.Assembly; a.Line != nil && assembles(a) {
				worst = t.p.withUnit(leastMargin(a))
			}
			line := t.lineCells(c.Assembly)
			table.Row(t.at.candidate(place, c.Name), paper.Cell{Text: strconv.Itoa(i + 1)}, paper.Cell{Text: candidateName(&c)}, paper.Verdict(c.Word), line[0], worst, line[1], line[2])
		}
		for _, c := range ranked {
			if why := t.candidateWhy(&c); len(why) > 0 {
				s.Item("%s: %s", candidateName(&c), strings.Join(why, "; "))
			}
		}
	}
}

// places are the parts that have candidates, in the record's order.
func (t *teller) places() []string {
	var out []string
	for _, c := range t.res.Candidates {
		if !slices.Contains(out, c.Place) {
			out = append(out, c.Place)
		}
	}
	return out
}

func candidateName(c *study.CandidateResult) string {
	if c.Name == "" {
		return "the one measured in place"
	}
	return spell.Name(c.Name)
}

// candidateWhy says what tells one candidate from another: its shape, the limits that it does not hold, and how it sits.
func (t *teller) candidateWhy(c *study.CandidateResult) []string {
	var out clauses
	for _, s := range c.Assembly.Parts {
		out.when(s.Name == c.Place && s.Rise.Given && t.p.Plain(s.Rise.Value) != "0", "thickest at %s by %s", s.Wedge.Clock().Hours(), t.p.Length(s.Rise.Value))
	}
	for i := range c.Assembly.Joints {
		if j := &c.Assembly.Joints[i]; j.Front == c.Place || j.Rear == c.Place {
			t.seatWhy(&out, j)
		}
	}
	for _, d := range c.Doubts {
		if c.Name != "" && !saysAlready(t.res.Doubts, d) {
			out = append(out, "in doubt is "+t.doubtWords(d))
		}
	}
	for i := range c.Verdicts {
		if v := &c.Verdicts[i]; v.Word > tolerance.Pass {
			out = append(out, t.limitWhy(v, assembles(c.Assembly)))
		}
	}
	return out
}

// seatWhy adds how a candidate sits at a joint.
func (t *teller) seatWhy(out *clauses, j *align.SeatedJoint) {
	out.when(!j.Assembles, "does not assemble at %s (lacks %s on diameter)", spell.Name(j.Name), t.tell(j.Interference.Length()))
	if j.Pilot != nil && j.Pilot.Loose {
		out.add("walks by %s at %s, a pilot that locates nothing", t.p.Length(j.Pilot.Clearance.Length()), spell.Name(j.Name))
	}
	if j.Pilot != nil && j.Pilot.Strain > 0 {
		out.add("strains its register at %s by %s", spell.Name(j.Name), t.p.Length(j.Pilot.Strain))
	}
}

// limitWhy is how a limit is not held, and by how much in a box that goes together.
func (t *teller) limitWhy(v *study.Verdict, together bool) string {
	by, what := "", outputShort(v.Limit.Output)
	if v.Room.Value < 0 && v.Limit.Output.What != align.Assembles && together {
		by = " by " + t.quantity(v.Limit.Output).show(-v.Room.Value)
	}
	switch {
	case v.Word == tolerance.Depends:
		return what + " depends on how it is pushed, at worst outside" + by
	case v.Word == tolerance.Undecided && v.Doubted:
		return what + " rests on what is in doubt"
	case v.Word == tolerance.Undecided:
		return what + " is left open by the readings"
	}
	return what + " fails" + by
}
