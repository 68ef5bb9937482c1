package report

import (
	"fmt"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
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
	table := s.Table(slices.Concat(paper.Words("support"), paper.Numbers("z", "offset"), paper.Words("at"), paper.Numbers("TIR", "tilt "+t.p.slopeUnit()), paper.Words("at"), paper.Numbers("clearance", "room"))...)
	several := slices.ContainsFunc(a.Supports, func(b align.SupportedBore) bool { return b.Shaft != a.Supports[0].Shaft })
	at, shaft := t.at.supports(), ""
	for i, b := range a.Supports {
		if several && b.Shaft != shaft {
			table.Group(spell.Name(b.Shaft) + ":")
		}
		shaft = b.Shaft
		size := b.Offset.Size()
		offsetAt, tiltAt, room := "-", "-", paper.Cell{Text: "-"}
		if t.p.Plain(size) != "0" {
			offsetAt = spell.Hand(b.Offset.Clock())
		}
		if t.p.slope(b.Tilt.Size()) != "0" {
			tiltAt = spell.Hand(b.Tilt.Clock())
		}
		if b.Room.Given {
			room = t.p.cell(b.Room.Value)
		}
		z, tir := t.p.cell(b.Z), t.p.cell(2*size)
		z.Text = t.p.Place(b.Z)
		table.Row(at[i], paper.Cell{Text: spell.Name(b.Bore) + kindMark(b.Kind)}, z, t.p.cell(size), paper.Cell{Text: offsetAt}, tir, t.p.slopeCell(b.Tilt), paper.Cell{Text: tiltAt}, t.p.cell(b.Clearance.Length()), room)
	}
	s.Text("Offset is centre to centre and TIR twice that; clearance is diametral; room is how far that bore alone may move before no straight shaft has room (\"-\": none, or no bound).")
	for _, b := range a.Supports {
		if b.TiltRatio.Given {
			s.Item("%s: its axis uses %s of its permitted tilt at the best straight shaft", spell.Name(b.Bore), spell.Percent(b.TiltRatio.Value))
		}
	}
}

func kindMark(k align.SupportKind) string {
	if k == align.Bush {
		return " (bush)"
	}
	return ""
}

// states is the box in each of its states.
func (t *teller) states() {
	if len(t.res.States) == 0 {
		return
	}
	s := t.page.Section("states", "States")
	table := s.Table(slices.Concat(paper.Words("state"), paper.Numbers("margin", "used"), paper.Words("used up by"))...)
	for i, c := range conditionsOf(t.res) {
		name, at := "as measured", []string(nil)
		if i > 0 {
			name, at = spell.Name(c.state), of(t.at.named["state/"+c.state])
		}
		table.Row(at, append([]paper.Cell{{Text: name}}, t.lineCells(c.box)...)...)
	}
	if a := t.res.Assembly; a.Line != nil && assembles(a) {
		c, less := tightest(t.res)
		where := "as measured"
		if less {
			where = "in state " + spell.Name(c.state)
		}
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
		if len(g) > 1 {
			by += fmt.Sprintf(" and %d more", len(g)-1)
		}
	}
	return []paper.Cell{t.p.withUnit(l.Margin), use, {Text: by}}
}

// chains is every axial chain's sum.
func (t *teller) chains() {
	if len(t.res.Assembly.Chains) == 0 {
		return
	}
	s := t.page.Section("chains", "Axial chains")
	for _, c := range t.res.Assembly.Chains {
		s.Item("%s: %s", spell.Name(c.Name), t.p.Both(c.Gap)).From(of(t.at.named["chain/"+c.Name])...)
	}
}
