package report

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// headline is what must be read if nothing else is: the verdict, and in the same line whatever speaks against the box,
// whatever the verdict; then whether there is room, what misalignment uses up, what caps the margin, and how a batch does.
func (t *teller) headline() {
	lead, told := t.lead()
	t.page.Word, t.page.Lead = t.res.Word.String(), stopped(lead)
	t.page.Title = strings.Join(strings.Fields(spell.Clean(t.rec.Title)), " ")
	var more clauses
	for i, d := range t.res.Doubts {
		if i > 0 || !told.doubt {
			more.say(stopped("In doubt: " + t.doubtWords(d)))
		}
		if i == mostDoubts-1 && len(t.res.Doubts) > mostDoubts {
			more.add("%d more in doubt: see below.", len(t.res.Doubts)-mostDoubts)
			break
		}
	}
	more.say(t.doubted())
	more.say(t.fouled()...)
	if len(t.strained()) > 0 {
		more.say(doNotDraw)
	}
	if s := t.roomWords(); s != "" && !told.room {
		more.say(spell.Upper(s) + ".")
	}
	more.say(t.slipWords(), t.useWords(), t.marginWords(), t.thickWords(), t.assumedWords(), t.yieldWords())
	if s := heaviestIn(t.res.Assembly, t.p); s != "" {
		more.say(spell.Upper(s) + " (estimate).")
	}
	t.page.More = more
}

const mostDoubts = 3

// told is what the first sentence has said in full.
type told struct{ doubt, room bool }

// lead is the first sentence: what does not hold, what is in doubt, what stays open, and only if there is none of these that
// the box has room.
func (t *teller) lead() (string, told) {
	out, done := t.unassembled(), told{}
	out.say(t.notHeld(tolerance.Fail))
	if n := len(t.res.Doubts); n > 0 {
		d := t.res.Doubts[0]
		if done.doubt = len(out) == 0; done.doubt {
			out = append(out, "in doubt is "+t.doubtWords(d))
		} else {
			out = append(out, "in doubt: "+spell.Clean(d.Path)) // short, to stay in the first line: it is told in full below
		}
		if n > 1 {
			out[len(out)-1] += fmt.Sprintf(" (and %d more)", n-1)
		}
	}
	out.say(t.notHeld(tolerance.Undecided), t.notHeld(tolerance.Depends))
	out.say(t.statesWithoutRoom()...)
	if len(out) == 0 || t.res.Word == tolerance.NoLimit && assembles(t.res.Assembly) {
		out = append(out, t.roomWords())
		done.room = true
	}
	if t.res.Word == tolerance.NoLimit {
		out = append(out, "no limit is given, so nothing passes or fails")
	}
	out = append(out, t.strained()...)
	switch {
	case t.res.Word == tolerance.Pass && t.res.Assembly.Line == nil && assembles(t.res.Assembly):
		out = append([]string{"the limits asked for hold"}, out...)
	case t.res.Word == tolerance.Pass && !t.room():
		hold := "the limits asked for hold, but none of them asks for room"
		hold += spell.If(asksFor(t.res, align.Margin) || asksFor(t.res, align.Use), " everywhere")
		out = append([]string{hold}, out...)
	}
	return strings.Join(out, "; "), done
}

// room reports whether straight shafts have room as measured and in every state, however the parts lie; true without shafts.
func (t *teller) room() bool {
	return !slices.ContainsFunc(conditionsOf(t.res), func(c condition) bool { return leastMargin(c.box) < noRoom || !assembles(c.box) })
}

// unassembled says what does not go together, as measured or in a state.
func (t *teller) unassembled() (out clauses) {
	for _, c := range conditionsOf(t.res) {
		for _, j := range fouls(c.box)[:min(len(fouls(c.box)), 1)] { // one joint of each condition: the others follow below
			s := strings.TrimPrefix(inState(c.state)+" it does not assemble", " ")
			out.add("%s: at %s %s in the way, and the clearances there lack %s on diameter", s, spell.Name(j.Name), fouling(j.Fouls), t.tell(j.Interference.Length()))
		}
	}
	return out
}

// strained says which joints only their bolts would close, though everything goes together.
func (t *teller) strained() (out clauses) {
	for _, j := range t.res.Assembly.Joints {
		switch {
		case !j.Assembles:
		case j.Pilot != nil && j.Pilot.Strain > 0:
			out.add("closing %s squeezes its register by %s", spell.Name(j.Name), t.tell(j.Pilot.Strain))
		case j.Rules == align.RulesPilot && j.Gap.Greatest > 0:
			out.add("at %s the pilot leads and the faces stay open by %s", spell.Name(j.Name), t.tell(j.Gap.Greatest))
		}
	}
	return out
}

// slipWords says the first thing in the record that looks like a slip. It takes no verdict back, so
// whoever reads no further has to see it; what is in doubt goes before. One closing error in six is above
// twice its gauge's uncertainty in clean rounds: the full report has those.
func (t *teller) slipWords() string {
	list := slices.DeleteFunc(t.at.rec.Warnings(), func(w record.Remark) bool { return strings.HasSuffix(w.Path, "/closing") })
	if len(list) == 0 || len(t.res.Doubts) > 0 {
		return ""
	}
	return stopped("Looks like a slip: "+t.at.remarks(list[:1])[0]) + spell.If(len(list) > 1, fmt.Sprintf(" And %d more, below.", len(list)-1))
}

// settleWords says of the first limit that readings leave open which of them would settle it.
func (t *teller) settleWords() string {
	for _, v := range t.res.Verdicts {
		if v.Word != tolerance.Undecided || v.Doubted {
			continue
		}
		if set, share := t.leastCertain(&v); set != "" {
			return fmt.Sprintf("To settle it, take the readings of %s again, more often or with a better gauge: %s of what is uncertain comes from them.", setWords(set), spell.Percent(share))
		}
	}
	return ""
}

// thickWords names the part that is most out of parallel, where straight shafts have no room however the parts lie.
func (t *teller) thickWords() string {
	a := t.res.Assembly
	if a.Line == nil || !assembles(a) || leastMargin(a) >= noRoom {
		return ""
	}
	var most align.PartShape
	for _, s := range a.Parts {
		if s.Rise.Given && t.p.Plain(s.Rise.Value) != "0" && (!most.Rise.Given || s.Rise.Value > most.Rise.Value) {
			most = s
		}
	}
	if !most.Rise.Given {
		return ""
	}
	return fmt.Sprintf("Most out of parallel is %s: thickest at %s seen from the tail, by %s across %s.", spoken(most.Name), most.Wedge.Clock().Hours(), t.p.Both(most.Rise.Value), t.p.Size(most.Across.Value))
}

// fouled says what to do about joints that do not go together, and names those that the first sentence left out.
func (t *teller) fouled() (out []string) {
	list := fouls(t.res.Assembly)
	if len(list) == 0 {
		return nil
	}
	if more := spell.Mapped(list[1:], func(j *align.SeatedJoint) string {
		return fmt.Sprintf("%s: %s in the way by %s on diameter", spell.Name(j.Name), fouling(j.Fouls), t.tell(j.Interference.Length()))
	}); len(more) > 0 {
		out = append(out, "Nor does "+strings.Join(more, "; nor ")+".")
	}
	return append(out, doNotDraw)
}

func fouling(names []string) string {
	out := spell.Mapped(names, func(n string) string {
		if n == "pilot" || n == "bolts" {
			return "the " + n
		}
		return "dowel " + spell.Name(n)
	})
	if len(out) == 0 {
		return "something is"
	}
	return spell.Listed(out, 4) + [2]string{" is", " are"}[min(len(out)-1, 1)]
}

// mostNamed is how many limits of one verdict the first sentence names.
const mostNamed = 3

// notHeld names the limits with that verdict, each with by how much and in which state; empty when there is none.
func (t *teller) notHeld(word tolerance.Decision) string {
	var names []string
	by := " is outside by "
	for _, v := range t.res.Verdicts {
		if v.Word != word || v.Doubted && word == tolerance.Undecided || word == tolerance.Fail && !assembles(boxOf(t.res, &v).box) { // said already
			continue
		}
		s := t.standing(&v, by)
		if names = append(names, s); strings.Contains(s, by) {
			by = " by " // the first said of what
		}
	}
	if len(names) == 0 {
		return ""
	}
	return map[tolerance.Decision]string{
		tolerance.Undecided: "the readings leave open ", tolerance.Depends: "how the parts are pushed before tightening decides ",
	}[word] + spell.Listed(names, mostNamed)
}

// doubted names the limits that rest on what is in doubt, and stay undecided for that.
func (t *teller) doubted() string {
	var names []string
	for _, v := range t.res.Verdicts {
		if v.Doubted && v.Word == tolerance.Undecided {
			names = append(names, t.standing(&v, ""))
		}
	}
	if len(names) == 0 {
		return ""
	}
	return "Undecided for that: " + spell.Listed(names, mostNamed) + "."
}

func stopped(s string) string {
	if strings.HasSuffix(s, "?") || strings.HasSuffix(s, "!") {
		return s
	}
	return s + "."
}

// standing is a limit's output, its state, and how it stands; by comes before how far it is outside, if it fails.
func (t *teller) standing(v *study.Verdict, by string) string {
	assembly := v.Limit.Output.What == align.Assembles
	what := spell.Either(assembly, "whether ", "the ") + outputShort(v.Limit.Output) + inState(boxOf(t.res, v).state)
	q := t.quantity(v.Limit.Output)
	room, said := roomOf(t.res, v).Get()
	switch {
	case v.Word == tolerance.Fail && (!said || room >= 0):
		return what + " fails"
	case !said || assembly:
		return what
	case v.Word == tolerance.Fail:
		return what + by + q.show(-room)
	case v.Word == tolerance.Undecided:
		return what + open(v, q, room)
	case v.Word == tolerance.Depends && v.Best.Given && v.Worst.Given && v.InState == "":
		return what + fmt.Sprintf(" (%s at best, %s at worst; wanted %s)", q.show(v.Best.Value), q.show(v.Worst.Value), q.bounds(v.Limit.Limits))
	}
	return what + spell.If(room < 0, " (outside by "+q.show(-room)+")")
}

// open says how open the readings leave a limit.
func open(v *study.Verdict, q shown, room float64) string {
	switch {
	case v.Doubted:
		return ""
	case v.Holds.Given:
		return fmt.Sprintf(" (%s its limit by %s, and held in %s of what they allow)", side(room), q.show(math.Abs(room)), spell.Percent(v.Holds.Value))
	case v.U > 0:
		return fmt.Sprintf(" (%s its limit by %s, the readings sure only to %s)", side(room), q.sure(math.Abs(room)), q.sure(guardBand*v.U))
	}
	return spell.If(room < 0, " (outside by "+q.show(-room)+")")
}

func side(room float64) string { return spell.Either(room < 0, "outside", "inside") }

// statesWithoutRoom names the states in which straight shafts have no room, where no limit has said so.
func (t *teller) statesWithoutRoom() []string {
	var out []string
	for _, c := range conditionsOf(t.res)[1:] {
		said := slices.ContainsFunc(t.res.Verdicts, func(v study.Verdict) bool {
			return v.Word > tolerance.Pass && quantity.Of(v.Limit.Output.What).Thing == quantity.Line && boxOf(t.res, &v).state == c.state
		})
		if c.box.Line == nil || !assembles(c.box) || leastMargin(c.box) >= noRoom || said {
			continue
		}
		s := "in state " + spell.Name(c.state) + " straight shafts have no room"
		s += spell.If(mostMargin(c.box) >= noRoom, " where pushed the worst way")
		out = append(out, s+": the clearances lack "+t.tell(-leastMargin(c.box)))
	}
	return out
}

// doubtWords says where in the record something cannot be relied on, and why.
func (t *teller) doubtWords(d record.Doubt) string {
	return strings.TrimSuffix(t.saidAt(d.Path, d.Why), ".")
}

// saidAt is what is said of a place in the record.
func (t *teller) saidAt(path, what string) string {
	return spell.Clean(t.at.place(path)) + ": " + spell.Clean(what)
}

// roomWords says whether straight shafts have room as measured, and in which state they have least. Nothing of a box that
// does not assemble.
func (t *teller) roomWords() string {
	a := t.res.Assembly
	condition := "as measured, " + temperatureWords(t.rec) + ", unloaded"
	if a.Line == nil {
		return "no shaft is given; this is how the parts sit, " + condition
	}
	if !assembles(a) {
		return ""
	}
	s := t.lineWords(a.Line, condition)
	if len(t.res.Doubts) > 0 || t.res.Word == tolerance.Undecided {
		s = "if what was measured is right, " + s
	}
	if len(t.res.States) == 0 || leastMargin(a) < noRoom {
		return s
	}
	c, less := tightest(t.res)
	switch {
	case less && leastMargin(c.box) < noRoom: // named before
	case less:
		s += "; least in state " + spell.Name(c.state) + ": " + t.tell(leastMargin(c.box))
	case t.room():
		s += "; no less in any state"
	}
	return s
}

// lineWords says whether straight shafts have room in that condition, and how the float changes it.
func (t *teller) lineWords(l *align.ShaftLine, condition string) string {
	m, floats := marginsOf(&align.Assembly{Line: l}), l.OverFloat != nil
	worst, best := m[0], m[1]
	pushed := func(from, to tolerance.Length) string {
		if !floats {
			return ""
		}
		return fmt.Sprintf(" (%s to %s as the parts are pushed before tightening)", t.p.Plain(from), t.p.Length(to))
	}
	switch {
	case worst >= noRoom:
		return fmt.Sprintf("straight shafts have room, %s: %s left on radius%s", condition, t.tell(l.Margin), pushed(worst, best))
	case best < noRoom:
		return fmt.Sprintf("straight shafts have no room, %s: the clearances lack %s on radius%s", condition, t.tell(-l.Margin), pushed(-best, -worst))
	case l.RunsFree:
		return fmt.Sprintf("straight shafts have room where the parts rest, %s: %s left on radius; pushed the worst way the clearances lack %s", condition, t.tell(l.Margin), t.tell(-worst))
	}
	return fmt.Sprintf("straight shafts have no room where the parts rest, %s: the clearances lack %s on radius; pushed the best way there is room, %s", condition, t.tell(-l.Margin), t.tell(best))
}

// tell is a length with its unit, in millimetres beside inches, that never looks like nothing when it is something.
func (t *teller) tell(l tolerance.Length) string {
	if t.p.Plain(l) == "0" {
		return t.p.telling(l)
	}
	return t.p.Both(l)
}
