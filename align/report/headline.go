package report

import (
	"fmt"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/study"
)

// headline is the verdict and what governs, in the first lines.
func (t *teller) headline() {
	a := t.res.Assembly
	t.page.hang(0, 2, strings.ToUpper(t.res.Word.String())+": "+t.verdictWords()+".")
	if open := t.notHeld(); len(open) > 0 {
		t.page.hang(2, 4, "Limits that do not hold for certain: "+spell.Listed(open, 6)+".")
	}
	for i := range a.Joints {
		if j := &a.Joints[i]; !j.Assembles {
			t.page.hang(2, 4, fmt.Sprintf("%s does not assemble: %s in the way, its clearances lack %s on diameter. %s",
				spell.Name(j.Name), fouling(j.Fouls), t.p.both(j.Interference.Length()), doNotDraw))
		}
	}
	if s := t.heaviest(); s != "" {
		t.page.hang(2, 4, s)
	}
	if title := spell.Clean(t.rec.Title); title != "" {
		t.page.hang(2, 2, title)
	}
}

// fouling says what stands in the way.
func fouling(names []string) string {
	var out []string
	for _, n := range names {
		out = append(out, spell.Name(n))
	}
	switch len(out) {
	case 0:
		return "something is"
	case 1:
		return out[0] + " is"
	}
	return spell.Listed(out, 4) + " are"
}

// verdictWords says whether straight shafts have room, how much, and what governs.
func (t *teller) verdictWords() string {
	l := t.res.Assembly.Line
	if l == nil {
		return "no shaft is given; this is how the parts sit, as measured, " + temperatureWords(t.rec) + ", unloaded"
	}
	condition := "as measured, " + temperatureWords(t.rec) + ", unloaded"
	for i := range t.res.Assembly.Joints {
		if !t.res.Assembly.Joints[i].Assembles {
			return "it does not assemble, " + condition + "; " + t.lineWords(l, "with every clearance there opened by what it lacks")
		}
	}
	return t.lineWords(l, condition)
}

// lineWords says whether straight shafts have room in that condition.
func (t *teller) lineWords(l *align.ShaftLine, condition string) string {
	var s string
	where := ""
	if r := l.OverFloat; r != nil && (r.WorstMargin < 0) != (r.BestMargin < 0) {
		where = " where the parts rest"
	}
	if l.RunsFree {
		s = fmt.Sprintf("straight shafts have room%s, %s: %s left", where, condition, t.p.both(l.Margin))
	} else {
		s = fmt.Sprintf("straight shafts have no room%s, %s: the clearances lack %s", where, condition, t.p.both(-l.Margin))
	}
	if r := l.OverFloat; r != nil {
		s += fmt.Sprintf(" (a margin of %s to %s, as the parts are pushed before tightening)", t.p.plain(r.WorstMargin), t.p.length(r.BestMargin))
	}
	if g := governors(l); len(g) > 0 {
		s += "; governed by " + spell.Listed(g, 4)
	}
	return s
}

// notHeld names the limits that did not pass, in the order of their severity.
func (t *teller) notHeld() []string {
	var out []string
	for word := study.Fail; word > study.Pass; word-- {
		for i := range t.res.Verdicts {
			if v := &t.res.Verdicts[i]; v.Word == word {
				out = append(out, fmt.Sprintf("%s (%s)", outputShort(v.Limit.Output), word))
			}
		}
	}
	return out
}

// governors are the supports and pockets that govern, in words, the largest share first.
func governors(l *align.ShaftLine) []string {
	var out []string
	for _, g := range l.Governs {
		out = append(out, spoken(g.Name))
	}
	return out
}

// limits says how every limit came out, and where each comes from.
func (t *teller) limits() {
	t.page.heading("Why")
	if len(t.res.Verdicts) == 0 {
		t.page.item("no limit is given, so there is nothing to pass or fail")
	}
	for i := range t.res.Verdicts {
		t.limit(&t.res.Verdicts[i])
	}
	l := t.res.Assembly.Line
	if l == nil {
		return
	}
	use, ok := l.Use.Get()
	switch {
	case !ok:
		t.page.item("no straight line passes through supports without room: no use of clearance can be said")
	case l.RunsFree:
		t.page.item("straight shafts need %s of every clearance; the rest is the room left", spell.Percent(use))
	default:
		t.page.item("straight shafts would need %s of every clearance", spell.Percent(use))
	}
	if len(l.Governs) > 0 {
		var s []string
		for _, g := range l.Governs {
			s = append(s, fmt.Sprintf("%s %s", spell.Name(g.Name), spell.Percent(g.Share)))
		}
		t.page.item("shares of what governs: %s (supports on one shaft govern together)", spell.Listed(s, 8))
	}
}

// limit is one limit's line.
func (t *teller) limit(v *study.Verdict) {
	q := t.quantity(v.Limit.Output)
	s := fmt.Sprintf("%s: %s %s", v.Word, t.outputWords(v.Limit), q.bounds(v.Limit.Least, v.Limit.Greatest))
	if v.Value.Given {
		s += ", is " + q.show(v.Value.Value)
	} else {
		s += ", cannot be said"
	}
	if v.Best.Given && v.Worst.Given && v.Best.Value != v.Worst.Value {
		s += fmt.Sprintf(" (best %s, worst %s over the float)", q.show(v.Best.Value), q.show(v.Worst.Value))
	}
	if v.U > 0 {
		s += fmt.Sprintf(", standard uncertainty %s from the readings", q.show(v.U))
	}
	if v.Room.Given && v.Limit.Output.What != align.Assembles {
		if v.Room.Value >= 0 {
			s += "; inside by " + q.show(v.Room.Value)
		} else {
			s += "; outside by " + q.show(-v.Room.Value)
		}
	}
	if v.Limit.AtRest {
		s += "; judged where the joints rest"
	}
	t.page.item("%s", s)
	because := "its origin is not stated"
	if v.Limit.Because != "" {
		because = "the limit's origin: " + spell.Clean(v.Limit.Because)
	}
	t.page.hang(6, 6, because)
	switch v.Word {
	case study.Undecided:
		t.page.hang(6, 6, t.settling(v, q))
	case study.Depends:
		t.page.hang(6, 6, "it depends on how the parts are pushed before tightening: see which way to push, below")
	}
}

// settling says how good a measurement would settle an undecided limit.
func (t *teller) settling(v *study.Verdict, q quantity) string {
	band := guardBand * v.U
	s := fmt.Sprintf("within the guard band of %s (%s standard uncertainties, 95 %%)", q.show(band), spell.Trimmed(guardBand, 2))
	if room := v.Room.Value; v.Room.Given && room != 0 {
		if room < 0 {
			room = -room
		}
		s += fmt.Sprintf("; readings good for a standard uncertainty of %s would settle it", q.show(room/guardBand))
	}
	return s
}
