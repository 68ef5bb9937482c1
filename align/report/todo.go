package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// push says which way to push each part before tightening.
func (t *teller) push() {
	l := t.res.Assembly.Line
	if l == nil || l.OverFloat == nil || !assembles(t.res.Assembly) {
		return
	}
	r := l.OverFloat
	t.page.heading("Before tightening")
	if len(r.Push) == 0 {
		t.page.item("leave the parts where they rest: no push brings more room (%s)", t.p.length(r.BestMargin))
	}
	for _, q := range r.Push {
		s := "push " + t.behind(q.Joint)
		if t.p.plain(q.By) != "0" {
			s += fmt.Sprintf(" towards %s by %s", q.Clock.Hours(), t.p.both(q.By))
		} else {
			s = "leave " + t.behind(q.Joint) + " where it rests"
		}
		if turn := turnWords(q.Turn); turn != "" {
			s += ", and turn it " + turn
		}
		t.page.item("%s (joint %s)", s, spell.Name(q.Joint))
	}
	if r.BestMargin < 0 {
		t.page.item("no push brings room: a part has to change")
	}
	for _, q := range r.Push {
		if _, differs := t.ownTwelve(t.frontOf(q.Joint)); differs {
			t.page.item("o'clock here is as the machine stands, 12 o'clock up, seen from the tail")
			break
		}
	}
	if len(r.Push) > 0 {
		t.page.item("that takes the margin from %s at rest to %s; pushed the worst way it is %s", t.p.length(l.Margin), t.p.length(r.BestMargin), t.p.length(r.WorstMargin))
	}
	t.page.item("bolts nearest the dowels first; then slacken, tighten again and measure again before condemning a part")
}

// frontOf is the part in front of the joint of that name.
func (t *teller) frontOf(joint string) string {
	for i := range t.res.Assembly.Joints {
		if j := &t.res.Assembly.Joints[i]; j.Name == joint {
			return j.Front
		}
	}
	return ""
}

// behind is the part behind the joint of that name.
func (t *teller) behind(joint string) string {
	for i := range t.res.Assembly.Joints {
		if j := &t.res.Assembly.Joints[i]; j.Name == joint {
			return "the " + spell.Name(j.Rear)
		}
	}
	return "the part behind"
}

// candidates lists the parts that may each take a place, as [study.Standing] ranks them.
func (t *teller) candidates() {
	if len(t.res.Candidates) == 0 {
		return
	}
	for _, place := range t.places() {
		t.page.heading("Candidates for " + spell.Name(place) + ", best first")
		ranked := t.res.Ranked(place)
		rows := [][]string{{"", "part", "verdict", "margin", "at worst", "use", "use driven by"}}
		for i := range ranked {
			c := &ranked[i]
			cells := t.lineCells(c.Assembly)
			rows = append(rows, []string{strconv.Itoa(i + 1), candidateName(c), c.Word.String(), cells[0], t.worstMargin(c.Assembly), cells[1], cells[2]})
		}
		t.page.table(rows)
		for i := range ranked {
			if why := t.candidateWhy(&ranked[i]); len(why) > 0 {
				t.page.item("%s: %s", candidateName(&ranked[i]), strings.Join(why, "; "))
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

func (t *teller) worstMargin(a *align.Assembly) string {
	if a.Line == nil || !assembles(a) {
		return "-"
	}
	return t.p.length(leastMargin(a))
}

// candidateWhy says what tells one candidate from another: its shape, the limits that it does not hold, and how it sits.
func (t *teller) candidateWhy(c *study.CandidateResult) []string {
	var out []string
	for _, s := range c.Assembly.Parts {
		if s.Name == c.Place && s.Rise.Given && t.p.plain(s.Rise.Value) != "0" {
			out = append(out, fmt.Sprintf("thickest at %s by %s", clockOf(slopeVec(s.Wedge)).Hours(), t.p.length(s.Rise.Value)))
		}
	}
	for i := range c.Assembly.Joints {
		j := &c.Assembly.Joints[i]
		if j.Front != c.Place && j.Rear != c.Place {
			continue
		}
		if !j.Assembles {
			out = append(out, fmt.Sprintf("does not assemble at %s (lacks %s on diameter)", spell.Name(j.Name), t.p.length(j.Interference.Length())))
		}
		if j.Pilot != nil && j.Pilot.Loose {
			out = append(out, fmt.Sprintf("walks by %s at %s, a pilot that locates nothing", t.p.length(j.Pilot.Clearance.Length()), spell.Name(j.Name)))
		}
		if j.Pilot != nil && j.Pilot.Strain > 0 {
			out = append(out, fmt.Sprintf("strains its register at %s by %s", spell.Name(j.Name), t.p.length(j.Pilot.Strain)))
		}
	}
	for _, d := range c.Doubts {
		if c.Name != "" && !saysAlready(t.res.Doubts, d) {
			out = append(out, "in doubt is "+t.doubtWords(d))
		}
	}
	for i := range c.Verdicts {
		v := &c.Verdicts[i]
		if v.Word <= tolerance.Pass {
			continue
		}
		by := ""
		if v.Room.Value < 0 && v.Limit.Output.What != align.Assembles && assembles(c.Assembly) {
			by = " by " + t.quantity(v.Limit.Output).show(-v.Room.Value)
		}
		what := outputShort(v.Limit.Output)
		switch v.Word {
		case tolerance.Depends:
			out = append(out, what+" depends on how it is pushed, at worst outside"+by)
		case tolerance.Undecided:
			if v.Doubted {
				out = append(out, what+" rests on what is in doubt")
			} else {
				out = append(out, what+" is left open by the readings")
			}
		default:
			out = append(out, what+" fails"+by)
		}
	}
	return out
}
