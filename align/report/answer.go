package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/draw"
	"example.com/borestack/align/internal/paper"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// The first screen: what a reader asks first is answered there, and everything else is below.

// mostToDo is how many things to do a first screen names.
const mostToDo = 3

func (t *teller) toDo() {
	a := t.res.Assembly
	do := of(t.stopWords(), t.measureWords(), t.settleWords(), t.pushWords(), t.changeWords())
	switch {
	case len(t.res.Verdicts) == 0:
		do = append(do, "Say in the record what is allowed (\"accept\"), and where that comes from: without a limit nothing passes.")
	case len(a.Readings) > 0 && !uncertaintyStated(t.rec, t.res):
		do = append(do, "Say in the record how sure the gauges are (\"uncertainty\"), so that the verdict reckons with it.")
	}
	if a.Line != nil && assembles(a) && t.res.Word != tolerance.Fail {
		// Source: common practice, no published source.
		do = append(do, "After tightening turn the shafts by hand and dial the rear bore again, before anything is driven.")
	}
	t.page.Do = do[:min(len(do), mostToDo)]
}

// stopWords names the first joint that does not go together.
func (t *teller) stopWords() string {
	for _, j := range fouls(t.res.Assembly) {
		return fmt.Sprintf("Find what is wrong at %s: %s in the way.", spell.Name(j.Name), fouling(j.Fouls))
	}
	return ""
}

// measureWords says what is in doubt and has to be measured again.
func (t *teller) measureWords() string {
	if len(t.res.Doubts) == 0 {
		return ""
	}
	places := spell.Mapped(t.res.Doubts, func(d record.Doubt) string { return spell.Clean(t.at.place(d.Path)) })
	return "Measure again, or correct the record: " + spell.Listed(places, 2) + "."
}

// pushWords says which way to push every part, where that brings something.
func (t *teller) pushWords() string {
	l := t.res.Assembly.Line
	if l == nil || l.OverFloat == nil || !assembles(t.res.Assembly) || len(t.res.Doubts) > 0 {
		return ""
	}
	var out []string
	for _, q := range l.OverFloat.Push {
		if t.p.Plain(q.By) != "0" {
			out = append(out, fmt.Sprintf("%s towards %s by %s", t.behind(q.Joint), q.Clock.Hours(), t.p.Both(q.By)))
		}
	}
	if len(out) == 0 || t.p.Plain(l.OverFloat.BestMargin) == t.p.Plain(l.Margin) {
		return ""
	}
	brings := "that brings the margin to " + t.p.Length(l.OverFloat.BestMargin)
	if l.OverFloat.BestMargin < noRoom {
		brings = "that is not enough alone: the clearances still lack " + t.p.Length(-l.OverFloat.BestMargin)
	}
	return "Before tightening push, by the dial, " + spell.Listed(out, 3) + ": " + brings + " (how: \"Before tightening\")."
}

// changeWords says what to change where the box has no room, or fails.
func (t *teller) changeWords() string {
	if t.res.Word != tolerance.Fail && leastMargin(t.res.Assembly) >= noRoom || len(t.res.Doubts) > 0 {
		return ""
	}
	for _, place := range t.places() {
		for i, ranked := 0, t.res.Ranked(place); i < len(ranked); i++ {
			if c := &ranked[i]; c.Name != "" && c.Word == tolerance.Pass && c.Assembly.Line != nil {
				return fmt.Sprintf("Fit %s in place of the %s: with it every limit passes, margin %s.", spell.Name(c.Name), spell.Name(place), t.p.Both(c.Assembly.Line.Margin))
			}
		}
	}
	if t.res.Word == tolerance.Fail {
		return "Change or correct a part: the command correct lists what would do, the simplest first."
	}
	return ""
}

// assumedWords says how much of the answer was not measured.
func (t *teller) assumedWords() string {
	out := spell.Mapped(assumed(&t.at, t.res), func(s string) string {
		said, _, _ := strings.Cut(s, ":")
		return said
	})
	if len(out) == 0 {
		return ""
	}
	end := "."
	if more := len(out) - 2; more > 0 {
		out, end = out[:2], fmt.Sprintf("; and %d more, below.", more)
	}
	return "Assumed, not measured: " + strings.Join(out, "; ") + end
}

// mostRows is how many supports the picture in characters shows.
const mostRows = 6

// sketch draws the picture of the first screen; a box that cannot be drawn has none.
func (t *teller) sketch() {
	if t.stack == nil {
		return
	}
	if rows, err := draw.Rows(t.res.Assembly, mostRows, draw.Options{Unit: t.p.Unit}); err == nil {
		t.page.Sketch, t.page.Drawing = rows[0], rows[1:]
	}
}

// Two different things: what misalignment uses up, which the supports that drive the use of clearance decide; and what caps
// the margin, which is often the tightest bearing, whatever the misalignment. They are never said in one sentence.

// mostGovern is how many supports and pockets a sentence names; the rest it counts.
const mostGovern = 3

func names(list []tolerance.Share) []string {
	return spell.Mapped(list, func(g tolerance.Share) string { return spoken(g.Name) })
}

// useWords says what misalignment uses up, and what drives that. Nothing of a box that does not assemble.
func (t *teller) useWords() string {
	a := t.res.Assembly
	if a.Line == nil || !assembles(a) {
		return ""
	}
	l := a.Line
	where := spell.If(l.OverFloat != nil, " where the parts rest")
	use, ok := l.Use.Get()
	if !ok {
		return "No straight line passes through the supports that have no clearance."
	}
	s := "Misalignment uses "
	switch {
	case use < noUse:
		return "Misalignment uses none of the clearances" + where + "."
	case use > 1:
		s = "Misalignment would use "
	}
	s += shareUsed(use) + where
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
		own := spell.Either(len(by) > 1, "their", "its")
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
	if l == nil {
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
		for _, b := range a.Supports {
			size := b.Offset.Size()
			if b.Bore != g.Name || t.p.Plain(size) == "0" || size > mostDialled {
				continue
			}
			s.Item("%s stands %s off the line towards %s seen from the tail: that is %s TIR on a dial", spoken(b.Bore), t.p.Both(size), b.Offset.Clock().Hours(), t.p.Both(2*size))
		}
	}
}
