package report

import (
	"fmt"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/tolerance"
)

// Two different things: what misalignment uses up, which the supports that drive the use of clearance decide; and what caps
// the margin, which is often the tightest bearing, whatever the misalignment. They are never said in one sentence.

// mostGovern is how many supports and pockets a sentence names; the rest it counts.
const mostGovern = 3

// names are supports and pockets in words, in the order given.
func names(list []tolerance.Share) []string {
	var out []string
	for _, g := range list {
		out = append(out, spoken(g.Name))
	}
	return out
}

// useWords says what misalignment uses up, and what drives that. Nothing of a box that does not assemble.
func (t *teller) useWords() string {
	a := t.res.Assembly
	if a.Line == nil || !assembles(a) {
		return ""
	}
	l := a.Line
	where := ""
	if l.OverFloat != nil {
		where = " where the parts rest"
	}
	use, ok := l.Use.Get()
	if !ok {
		return "No straight line passes through the supports that have no clearance."
	}
	s := "Misalignment uses " + shareUsed(use) + where
	if use < noUse {
		return "Misalignment uses none of the clearances" + where + "."
	}
	if use > 1 {
		s = "Misalignment would use " + shareUsed(use) + where
	}
	switch by := names(l.Governs); len(by) {
	case 0:
		return s + "."
	case 1:
		return s + "; " + by[0] + " drives that."
	default:
		return s + "; what drives that: " + spell.Listed(by, mostGovern) + "."
	}
}

// shareUsed is a use of clearance in words: how many times over, where that is no longer a matter of percent.
func shareUsed(use float64) string {
	const many = 10
	if use > many {
		return "more than ten times the clearances"
	}
	return spell.Percent(use) + " of the clearances"
}

// noUse is the share of the clearances below which they are not used.
const noUse = 1e-6

// marginWords says what caps the margin. Nothing of a box that does not assemble.
func (t *teller) marginWords() string {
	a := t.res.Assembly
	if a.Line == nil || !assembles(a) {
		return ""
	}
	by := names(a.Line.MarginGoverns)
	if len(by) == 0 {
		return ""
	}
	if c, alone := t.cappedAlone(a); alone {
		own := "its"
		if len(by) > 1 {
			own = "their"
		}
		return fmt.Sprintf("The margin is capped by %s, whatever the misalignment: half %s own clearance of %s is the most there can be.", spell.Listed(by, mostGovern), own, t.p.Both(c))
	}
	return "What caps the margin: " + spell.Listed(by, mostGovern) + "."
}

// cappedAlone reports whether the own clearance of those supports, alike on each, is all that caps the margin, and that
// clearance, on diameter.
func (t *teller) cappedAlone(a *align.Assembly) (tolerance.Length, bool) {
	var own tolerance.Length
	for _, g := range a.Line.MarginGoverns {
		i := slices.IndexFunc(a.Supports, func(b align.SupportedBore) bool { return b.Bore == g.Name })
		if i < 0 {
			return 0, false
		}
		if own = a.Supports[i].Clearance.Length(); math.Abs(float64(own/2-a.Line.Margin)) > -noRoom {
			return 0, false
		}
	}
	return own, true
}

// capped names what caps the margin, for the middle of a sentence; empty when that is not said.
func capped(l *align.ShaftLine) string {
	if l == nil || len(l.MarginGoverns) == 0 {
		return ""
	}
	return spell.Listed(names(l.MarginGoverns), 3)
}

// mostDialled is the greatest offset that a dial in a bore shows: more is a centre distance, not an error.
const mostDialled = 2 * tolerance.Millimetre

// dialled says of every bore that drives the use how far it stands off the line, and what a dial in it would show, so that
// a total reading typed for an offset, or a unit, catches the eye.
func (t *teller) dialled(s *paper.Section) {
	a := t.res.Assembly
	for _, g := range a.Line.Governs {
		for i := range a.Supports {
			b := &a.Supports[i]
			size := b.Offset.Size()
			if b.Bore != g.Name || t.p.Plain(size) == "0" || size > mostDialled {
				continue
			}
			s.Item("%s stands %s off the line towards %s seen from the tail: that is %s TIR on a dial", spoken(b.Bore), t.p.Both(size), b.Offset.Clock().Hours(), t.p.Both(2*size))
		}
	}
}
