package report

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

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
		s := t.page.Section("candidates", "Candidates for "+spell.Name(place)+", best first")
		table := s.Table(slices.Concat(paper.Words("rank", "part", "verdict"), paper.Numbers("margin", "at worst", "used"), paper.Words("used up by"))...)
		table.Key = 1
		ranked := t.res.Ranked(place)
		for i := range ranked {
			c := &ranked[i]
			worst := paper.Cell{Text: "-"}
			if a := c.Assembly; a.Line != nil && assembles(a) {
				worst = t.p.withUnit(leastMargin(a))
			}
			line := t.lineCells(c.Assembly)
			table.Row(t.at.candidate(place, c.Name), paper.Cell{Text: strconv.Itoa(i + 1)}, paper.Cell{Text: candidateName(c)}, paper.Verdict(c.Word), line[0], worst, line[1], line[2])
		}
		for i := range ranked {
			if why := t.candidateWhy(&ranked[i]); len(why) > 0 {
				s.Item("%s: %s", candidateName(&ranked[i]), strings.Join(why, "; "))
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
	var out []string
	for _, s := range c.Assembly.Parts {
		if s.Name == c.Place && s.Rise.Given && t.p.Plain(s.Rise.Value) != "0" {
			out = append(out, fmt.Sprintf("thickest at %s by %s", s.Wedge.Clock().Hours(), t.p.Length(s.Rise.Value)))
		}
	}
	for i := range c.Assembly.Joints {
		j := &c.Assembly.Joints[i]
		if j.Front != c.Place && j.Rear != c.Place {
			continue
		}
		if !j.Assembles {
			out = append(out, fmt.Sprintf("does not assemble at %s (lacks %s on diameter)", spell.Name(j.Name), t.p.Length(j.Interference.Length())))
		}
		if j.Pilot != nil && j.Pilot.Loose {
			out = append(out, fmt.Sprintf("walks by %s at %s, a pilot that locates nothing", t.p.Length(j.Pilot.Clearance.Length()), spell.Name(j.Name)))
		}
		if j.Pilot != nil && j.Pilot.Strain > 0 {
			out = append(out, fmt.Sprintf("strains its register at %s by %s", spell.Name(j.Name), t.p.Length(j.Pilot.Strain)))
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
