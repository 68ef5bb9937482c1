package report

import (
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

func (t *teller) joints() {
	a := t.res.Assembly
	if len(a.Joints) == 0 {
		return
	}
	s := t.page.Section("joints", "Joints, front to rear")
	for i, j := range a.Joints {
		s.Line("%s: %s.", spell.Name(j.Name), strings.Join(t.joint(&j), "; ")).From(fmt.Sprintf("/joints/%d", i))
	}
}

// joint is one joint, a clause each: seat, pilot, pins, float, turn.
func (t *teller) joint(j *align.SeatedJoint) []string {
	var out clauses
	add := out.add
	if e := j.Between; e.Given {
		add("heights taken between stations, good to about %s", t.p.telling(e.Value))
	}
	out.when(!j.Assembles, "DOES NOT ASSEMBLE, %s in the way by %s on diameter; what follows is with every clearance opened by that much", fouling(j.Fouls), t.tell(j.Interference.Length()))
	switch {
	case j.Contact != nil:
		out.say(t.pressing(j.Contact))
	case j.Rules == align.RulesPilot && j.Gap.Greatest > 0:
		add("the pilot leads and the faces do not close: open by %s at %s", t.tell(j.Gap.Greatest), j.Gap.Clock.Hours())
	case j.Gap.Greatest > 0:
		add("faces touch, with a gap of %s at %s", t.tell(j.Gap.Greatest), j.Gap.Clock.Hours())
	default:
		add("faces flush")
	}
	out.when(len(j.Contacts) > 0, "it touches at %d stations", len(j.Contacts))
	out.say(t.pilot(j)...)
	for _, f := range j.Pins {
		out.when(f.Squeeze > 0, "pin %s is squeezed by %s", spell.Name(f.Dowel), t.p.Length(f.Squeeze))
	}
	out = append(out, t.float(j)...)
	if up, differs := t.ownTwelve(j.Front); differs {
		add("clock angles, sideways and up and down of this joint are those of the %s, whose own 12 o'clock stands at %s", spell.Name(j.Front), up.Hours())
	}
	return out
}

// ownTwelve is where a part's own 12 o'clock stands in the assembled machine, and whether that is another place on the dial.
func (t *teller) ownTwelve(part string) (tolerance.Angle, bool) {
	for _, p := range t.res.Assembly.Placed {
		if p.Part == part {
			m := p.BaseFromPart.Matrix()
			up := tolerance.Clock(m[0][1], m[1][1])
			return up, up.Hours() != tolerance.Angle(0).Hours()
		}
	}
	return 0, false
}

func (t *teller) pilot(j *align.SeatedJoint) []string {
	f := j.Pilot
	if f == nil {
		return []string{"no pilot"}
	}
	var out clauses
	add := out.add
	c := f.Clearance.Length()
	switch {
	case f.Loose:
		add("the pilot locates nothing: with the dowels out the part walks by %s in total", t.p.Both(c))
	case c < 0:
		add("the pilot is a press fit, squeezed by %s on diameter", t.p.Length(-c))
	case t.p.Plain(c) == "0":
		add("the pilot fits size for size")
	default:
		add("the pilot has %s of clearance on diameter", t.p.Length(c))
	}
	lean := f.Lean.Size()
	if t.p.slope(lean) != "0" {
		add("its axis leans %s towards %s", t.p.Slope(lean), f.Lean.Clock().Hours())
		if f.LeanRoom.Given {
			out[len(out)-1] += " with room for " + t.p.Slope(f.LeanRoom.Value)
		}
	}
	out.when(f.Strain > 0, "closing the faces squeezes the register by %s", t.tell(f.Strain))
	return out
}

// float is where the joint lies, and how far it may.
func (t *teller) float(j *align.SeatedJoint) []string {
	var out clauses
	add := out.add
	at := align.Vec2{X: j.Float.X, Y: j.Float.Y}
	middle := t.p.Plain(at.Size()) == "0"
	where := "lies in the middle"
	if !middle {
		where = fmt.Sprintf("lies %s off towards %s", t.p.Length(at.Size()), at.Clock().Hours())
	}
	turn := t.p.turnWords(j.Float.Turn)
	where += spell.If(turn != "", ", turned "+turn)
	shifts := t.p.Plain(max(j.ReachX[1]-j.ReachX[0], j.ReachY[1]-j.ReachY[0])) != "0"
	span, turns := j.TurnRange.Get()
	turns = turns && spell.Turn(span[1]-span[0]) != "0°"
	switch {
	case j.Measured:
		add("%s, as measured", where)
		return out
	case middle && turn == "" && !shifts && !turns:
		add("nothing floats")
	case j.Lies == align.LiesHang:
		add("hangs: %s", where)
	case j.Lies == align.LiesRest:
		add("taken at rest: %s", where)
	default:
		add("at rest it %s", where)
	}
	if j.Lies != align.LiesAny {
		return out
	}
	out.when(shifts, "it can be pushed %s sideways and %s up and down in all", t.p.Length(j.ReachX[1]-j.ReachX[0]), t.p.Length(j.ReachY[1]-j.ReachY[0]))
	out.when(turns, "it can be turned from %s to %s (clockwise positive)", spell.Turn(span[0]), spell.Turn(span[1]))
	return out
}

// turnWords is a turn, or nothing when it is too small to print.
func (p printer) turnWords(a tolerance.Angle) string {
	s := spell.Turn(max(a, -a))
	if s == "0°" {
		return ""
	}
	return s + spell.Either(a < 0, " anticlockwise", " clockwise")
}

// parts says what the thickness of every part does, as mounted.
func (t *teller) parts() {
	a := t.res.Assembly
	if len(a.Parts) == 0 {
		return
	}
	s := t.page.Section("parts", "Parts, as mounted")
	for _, q := range a.Parts {
		s.Line("%s: %s.", spell.Name(q.Name), t.p.shape(q)).From(of(t.at.named["part/"+q.Name])...)
	}
}

// shape is a part's thickness in words: how thick, thickest where, by how much across what.
func (p printer) shape(s align.PartShape) string {
	out := p.Size(s.Thickness) + " thick at its axis"
	wedge := s.Wedge.Size()
	at := s.Wedge.Clock().Hours()
	switch {
	case p.slope(wedge) == "0":
		out += ", the same all round"
	case s.Rise.Given && s.Across.Given:
		out += fmt.Sprintf(", thickest at %s seen from the tail, by %s across %s", at, p.Sizes(s.Rise.Value), p.Bare(s.Across.Value))
	default:
		out += fmt.Sprintf(", thickest at %s seen from the tail, by %s", at, p.Slope(wedge))
	}
	out += spell.If(s.ThicknessVariation.Given, fmt.Sprintf("; the readings vary by %s", p.Length(s.ThicknessVariation.Value)))
	out += spell.If(s.Waviness.Given, fmt.Sprintf(", of which %s is not wedge", p.Length(s.Waviness.Value)))
	return out
}

// pressing says how a yielding joint presses, and where it leaks first.
func (t *teller) pressing(c *align.Contact) string {
	s := fmt.Sprintf("faces press with %s to %s N/mm²", spell.Trimmed(c.Least, 2), spell.Trimmed(c.Greatest, 2))
	if open, ok := c.Open.Get(); ok {
		s += fmt.Sprintf("; no pressure from %s clockwise to %s, where it leaks first", open[0].Hours(), open[1].Hours())
	}
	return s
}
