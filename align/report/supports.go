package report

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// supports is the table of bores that carry shafts, from the main reference.
func (t *teller) supports() {
	a := t.res.Assembly
	if len(a.Supports) == 0 {
		return
	}
	from := "the line through the first two supports of " + spell.Name(a.Supports[0].Shaft)
	if len(t.rec.References) > 0 {
		from = "reference " + spell.Name(t.rec.References[0].Name)
	}
	s := t.page.Section("supports", fmt.Sprintf("Supports (%s), from %s", t.p.Unit, from))
	table := s.Table(paper.Words("support"), paper.Numbers("z", "offset"), paper.Words("at"), paper.Numbers("TIR", "tilt "+t.p.SlopeUnit()), paper.Words("at"), paper.Numbers("clearance", "room"))
	several := slices.ContainsFunc(a.Supports, func(b align.SupportedBore) bool { return b.Shaft != a.Supports[0].Shaft })
	hand := func(said string, v interface{ Clock() tolerance.Angle }) paper.Cell {
		if said == "0" {
			return paper.Cell{Text: "-"}
		}
		return paper.Cell{Text: spell.Hand(v.Clock())}
	}
	at, shaft := t.at.supports(), ""
	for i, b := range a.Supports {
		if several && b.Shaft != shaft {
			table.Group(spell.Name(b.Shaft) + ":")
		}
		shaft = b.Shaft
		name, z, size := spell.Name(b.Bore), t.p.cell(b.Z), b.Offset.Size()
		name += spell.If(b.Kind == align.Bush, " (bush)")
		z.Text = t.p.Place(b.Z)
		table.Row(at[i], paper.Cell{Text: name}, z, t.p.cell(size), hand(t.p.Plain(size), b.Offset), t.p.cell(2*size), t.p.slopeCell(b.Tilt), hand(t.p.slope(b.Tilt.Size()), b.Tilt), t.p.cell(b.Clearance.Length()), t.p.optionalCell(b.Room))
	}
	s.Text("Offset is centre to centre and TIR twice that; clearance is diametral; room is how far that bore alone may move before no straight shaft has room (\"-\": none, or no bound).")
	for _, b := range a.Supports {
		s.When(b.TiltRatio.Given, "%s: its axis uses %s of its permitted tilt at the best straight shaft", spell.Name(b.Bore), spell.Percent(b.TiltRatio.Value))
	}
}

func (t *teller) states() {
	if len(t.res.States) == 0 {
		return
	}
	s := t.page.Section("states", "States")
	table := s.Table(paper.Words("state"), paper.Numbers("margin", "used"), paper.Words("used up by"))
	for i, c := range conditionsOf(t.res) {
		name := spell.Either(i == 0, "as measured", spell.Name(c.state))
		table.Row(of(t.at.named["state/"+c.state]), append([]paper.Cell{{Text: name}}, t.lineCells(c.box)...)...)
	}
	if a := t.res.Assembly; a.Line != nil && assembles(a) {
		c, _ := tightest(t.res)
		where := cmp.Or(strings.TrimPrefix(inState(c.state), " "), "as measured")
		s.Item("the least room, however the parts lie, is %s: a margin of %s", where, t.p.Length(leastMargin(c.box)))
	}
	for _, q := range t.res.States {
		if h := heaviestIn(q.Assembly, t.p); h != "" {
			s.Item("in state %s: %s", spell.Name(q.Name), h)
		}
		for _, c := range q.Assembly.Chains {
			s.Item("in state %s: %s is %s", spell.Name(q.Name), spell.Name(c.Name), t.p.Both(c.Gap))
		}
	}
}

// lineCells are margin, share of the clearance used, and what uses it up.
func (t *teller) lineCells(a *align.Assembly) []paper.Cell {
	l := a.Line
	switch {
	case l == nil:
		return paper.Cells("-", "-", "no shaft")
	case !assembles(a):
		return paper.Cells("-", "-", "it does not assemble")
	}
	use := paper.Cell{Text: "no line"}
	if l.Use.Given {
		use = shareCell(l.Use)
	}
	by := "-"
	if g := names(l.Governs); len(g) > 0 {
		by = g[0]
		by += spell.If(len(g) > 1, fmt.Sprintf(" and %d more", len(g)-1))
	}
	return []paper.Cell{t.p.withUnit(l.Margin), use, {Text: by}}
}

func (t *teller) chains() {
	if len(t.res.Assembly.Chains) == 0 {
		return
	}
	s := t.page.Section("chains", "Axial chains")
	for _, c := range t.res.Assembly.Chains {
		s.Item("%s: %s", spell.Name(c.Name), t.p.Both(c.Gap)).From(of(t.at.named["chain/"+c.Name])...)
	}
}

func (t *teller) sideLoads() {
	l := t.res.Assembly.Loads
	if l == nil {
		return
	}
	s := t.page.Section("loads", "Side loads (estimate: straight bores, rigid but for the stiffness stated)")
	table := s.Table(paper.Words("support", "shaft"), paper.Numbers("force N"), paper.Words("towards"), paper.Numbers("shaft tilt "+t.p.SlopeUnit(), "of permitted"))
	supports := t.at.supports()
	for i, q := range l.At {
		size := math.Hypot(q.Force.X, q.Force.Y)
		towards := "-"
		if spell.ThreeFigures(size) != "0" {
			towards = tolerance.Clock(q.Force.X, q.Force.Y).Hours()
		}
		at := of(t.at.named["pocket/"+q.Name])
		if !q.Pocket && i < len(supports) {
			at = supports[i]
		}
		table.Row(at, paper.Cell{Text: spell.Name(q.Name)}, paper.Cell{Text: spell.Name(q.Shaft)}, paper.Number(spell.ThreeFigures(size), size, "N"), paper.Cell{Text: towards}, t.p.slopeCell(q.Tilt), shareCell(q.TiltRatio))
	}
	s.Text("Force is that of the housing on the shaft, in a pocket on the shaft named; tilt is the bent shaft against the bore's axis.")
	for _, q := range l.Shafts {
		s.Item("%s bends by %s; greatest bending stress %s N/mm² at z %s, without notches", spell.Name(q.Name), t.p.telling(q.Bend), spell.ThreeFigures(q.Stress), t.p.Size(q.StressAt)).From(of(t.at.named["shaft/"+q.Name])...)
	}
}

// heaviestIn says which support carries most and how much its shaft bends, in the middle of a sentence; empty when nothing presses.
func heaviestIn(a *align.Assembly, p printer) string {
	l := a.Loads
	if l == nil {
		return ""
	}
	force := func(s align.SideLoad) float64 { return math.Hypot(s.Force.X, s.Force.Y) }
	most := slices.MaxFunc(l.At, func(a, b align.SideLoad) int { return cmp.Compare(force(a), force(b)) })
	size := force(most)
	if spell.ThreeFigures(size) == "0" {
		return ""
	}
	out := spoken(most.Name) + " carries about " + spell.Newtons(size) + " sideways"
	for _, s := range l.Shafts {
		out += spell.If(s.Name == most.Shaft, " and "+spoken(s.Name)+" shaft bends "+p.telling(s.Bend))
	}
	return out
}

// meshes says how each pair of gear axes lies, and which end of the tooth takes the load.
func (t *teller) meshes() {
	a := t.res.Assembly
	if len(a.Meshes) == 0 {
		return
	}
	s := t.page.Section("meshes", "Gear meshes, through the bores' centres, unloaded")
	for _, m := range a.Meshes {
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
	word := spell.Either(max(v, -v) > limit.Value, "outside", "within")
	return fmt.Sprintf(" (%s the recommended %s)", word, t.p.Length(limit.Value))
}

// bearingEnd says which end of the face engages first.
func (t *teller) bearingEnd(v tolerance.Length) string {
	if t.p.Plain(v) == "0" {
		return "whole face bears"
	}
	return spell.Either(v > 0, "rear", "front") + " end bears first, by " + t.p.Length(max(v, -v)) + " across the face"
}
