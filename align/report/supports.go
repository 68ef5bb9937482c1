package report

import (
	"fmt"

	"example.com/borestack/align"
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
	t.page.heading(fmt.Sprintf("Supports (%s), from %s", t.p.unit, from))
	several := false
	for _, b := range a.Supports {
		several = several || b.Shaft != a.Supports[0].Shaft
	}
	head := []string{"support", "z", "offset", "at", "TIR", "tilt mrad", "at", "clearance", "room"}
	rows := [][]string{head}
	shaft := ""
	for _, b := range a.Supports {
		indent := ""
		if several {
			indent = "  "
			if b.Shaft != shaft {
				rows = append(rows, []string{spell.Name(b.Shaft) + ":"})
			}
			shaft = b.Shaft
		}
		row := []string{
			indent + spell.Name(b.Bore) + kindMark(b.Kind), spell.Trimmed(b.Z.In(t.p.unit), max(spell.Decimals(t.p.unit)-1, 0)), t.p.plain(sizeOf(b.Offset)), "-", t.p.plain(2 * sizeOf(b.Offset)),
			spell.Mrad(steepness(b.Tilt)), "-", t.p.plain(b.Clearance.Length()), "-",
		}
		if t.p.plain(sizeOf(b.Offset)) != "0" {
			row[3] = spell.Hand(clockOf(b.Offset))
		}
		if v := slopeVec(b.Tilt); spell.Mrad(steepness(b.Tilt)) != "0" {
			row[6] = spell.Hand(clockOf(v))
		}
		if b.Room.Given {
			row[8] = t.p.plain(b.Room.Value)
		}
		rows = append(rows, row)
	}
	t.page.table(rows)
	t.page.hang(2, 2, "Offset is centre to centre and TIR twice that; clearance is diametral; room is how far that bore alone may move before no straight shaft has room (\"-\": none, or no bound).")
	for _, b := range a.Supports {
		if b.TiltRatio.Given {
			t.page.item("%s: its axis uses %s of its permitted tilt at the best straight shaft", spell.Name(b.Bore), spell.Percent(b.TiltRatio.Value))
		}
	}
}

func kindMark(k align.SupportKind) string {
	if k == align.Bush {
		return " (bush)"
	}
	return ""
}

// slopeVec is a slope as a vector, for its clock position.
func slopeVec(s align.Slope) align.Vec2 {
	return align.Vec2{X: tolerance.Length(s.X), Y: tolerance.Length(s.Y)}
}

// states is the box in each of its states.
func (t *teller) states() {
	if len(t.res.States) == 0 {
		return
	}
	t.page.heading("States")
	rows := [][]string{{"state", "margin", "use", "use driven by"}}
	rows = append(rows, append([]string{"as measured"}, t.lineCells(t.res.Assembly)...))
	for _, s := range t.res.States {
		rows = append(rows, append([]string{spell.Name(s.Name)}, t.lineCells(s.Assembly)...))
	}
	t.page.table(rows)
	if a := t.res.Assembly; a.Line != nil && assembles(a) {
		c, less := tightest(t.res)
		where := "as measured"
		if less {
			where = "in state " + spell.Name(c.state)
		}
		t.page.item("the least room, however the parts lie, is %s: a margin of %s", where, t.p.length(leastMargin(c.box)))
	}
	for _, s := range t.res.States {
		if h := heaviestIn(s.Assembly, t.p); h != "" {
			t.page.item("in state %s: %s", spell.Name(s.Name), h)
		}
		for _, c := range s.Assembly.Chains {
			t.page.item("in state %s: %s is %s", spell.Name(s.Name), spell.Name(c.Name), t.p.both(c.Gap))
		}
	}
}

// lineCells are margin, use and what drives the use.
func (t *teller) lineCells(a *align.Assembly) []string {
	l := a.Line
	if l == nil {
		return []string{"-", "-", "no shaft"}
	}
	use := "no line"
	if l.Use.Given {
		use = spell.Percent(l.Use.Value)
	}
	if !assembles(a) {
		return []string{"-", "-", "it does not assemble"}
	}
	g := names(l.Governs)
	by := "-"
	if len(g) > 0 {
		by = g[0]
	}
	if len(g) > 1 {
		by += fmt.Sprintf(" and %d more", len(g)-1)
	}
	return []string{t.p.length(l.Margin), use, by}
}

// chains is every axial chain's sum.
func (t *teller) chains() {
	if len(t.res.Assembly.Chains) == 0 {
		return
	}
	t.page.heading("Axial chains")
	for _, c := range t.res.Assembly.Chains {
		t.page.item("%s: %s", spell.Name(c.Name), t.p.both(c.Gap))
	}
}
