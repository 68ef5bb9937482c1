package report

import (
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
)

// narrow is the use of clearance from which little is left for heat, load and wear.
const narrow = 0.8

// wear says what can wear if the box is left as it is. It says "can contribute", never more: every symptom has other causes too.
//
// Source: common practice, no published source.
func (t *teller) wear() {
	a := t.res.Assembly
	list := slices.Concat(t.lineWear(a), t.jointWear(a))
	for _, b := range a.Supports {
		list.when(b.TiltRatio.Value > 1, "the tilt of %s, %s times its guide, can contribute to loading that bearing at one edge", spoken(b.Bore), spell.Trimmed(b.TiltRatio.Value, 1))
	}
	list = append(list, guideWear(a)...)
	if len(list) == 0 && a.Line == nil {
		return
	}
	switch {
	case len(list) == 0 && a.Loads == nil:
		list.add("as measured, %s and unloaded, no support presses on its shaft; load and bent shafts are not in this", temperatureWords(t.rec))
	case len(list) == 0:
		list.add("straight shafts have room; what loads press on is in the side loads")
	case a.Line != nil:
		list.add("a line out of true can contribute to gears loaded at one end, jumping out of gear, a weeping lip seal, noise and vibration; each has other causes too, so look at those before cutting anything")
	}
	t.page.List("wear", "What can wear if left", list...)
}

// lineWear is what supports that govern can do when straight shafts have little room or none.
func (t *teller) lineWear(a *align.Assembly) (out clauses) {
	l := a.Line
	if l == nil || !assembles(a) {
		return nil
	}
	sometimes := l.OverFloat != nil && l.OverFloat.WorstMargin < 0
	if l.RunsFree && !sometimes && l.Use.Or(0) < narrow {
		return nil
	}
	const bush, pocket, bearing = 0, 1, 2
	var at [3][]string
	for _, g := range l.Governs {
		kind := bearing
		switch i := slices.IndexFunc(a.Supports, func(b align.SupportedBore) bool { return b.Bore == g.Name }); {
		case i < 0:
			kind = pocket
		case a.Supports[i].Kind == align.Bush:
			kind = bush
		}
		at[kind] = append(at[kind], spoken(g.Name))
	}
	little := spell.Either(l.RunsFree, "little room", "no room")
	for kind, what := range [3]string{
		"one-sided wear, at the mouths of a bush first", "edge loading and wear in a pocket, needles first", "heat, and wear at one side of a bearing",
	} {
		out.when(len(at[kind]) > 0, "%s at %s can contribute to %s", little, spell.Listed(at[kind], 4), what)
	}
	return out
}

// jointWear is what joints that do not close by themselves can do.
func (t *teller) jointWear(a *align.Assembly) (out clauses) {
	for _, j := range a.Joints {
		out.when(!j.Assembles || j.Pilot != nil && j.Pilot.Strain > 0 || j.Rules == align.RulesPilot && j.Gap.Greatest > 0, "forcing %s home can contribute to a bent or cracked housing, a shaft pressed on its thrust faces and early bearing wear", spell.Name(j.Name))
	}
	return out
}

// guideWear says how supports stand to the values that the machine's owner goes by. Ratios, never a verdict.
func guideWear(a *align.Assembly) (out clauses) {
	for _, b := range a.Supports {
		because := "whose origin is not stated"
		if b.Guides.Because != "" {
			because = "from " + spell.Clean(b.Guides.Because)
		}
		if r := b.Guides.Offset; r.Given {
			out.add("the offset of %s is %s of its guide, %s", spoken(b.Bore), spell.Percent(r.Value), because)
		}
		if r := b.Guides.Force; r.Given {
			out.add("the side load of %s is %s of its guide, %s (estimate)", spoken(b.Bore), spell.Percent(r.Value), because)
		}
	}
	return out
}
