package report

import (
	"fmt"

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
	list := clauses(append(t.lineWear(a), t.jointWear(a)...))
	for _, b := range a.Supports {
		if b.TiltRatio.Value > 1 {
			list.add("the tilt of %s, %s times its guide, can contribute to loading that bearing at one edge", spoken(b.Bore), spell.Trimmed(b.TiltRatio.Value, 1))
		}
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
func (t *teller) lineWear(a *align.Assembly) []string {
	l := a.Line
	if l == nil || !assembles(a) {
		return nil
	}
	sometimes := l.OverFloat != nil && l.OverFloat.WorstMargin < 0
	if l.RunsFree && !sometimes && l.Use.Or(0) < narrow {
		return nil
	}
	kinds := map[string]align.SupportKind{}
	for _, b := range a.Supports {
		kinds[b.Bore] = b.Kind
	}
	var bearings, bushes, pockets []string
	for _, g := range l.Governs {
		switch kind, support := kinds[g.Name]; {
		case !support:
			pockets = append(pockets, spoken(g.Name))
		case kind == align.Bush:
			bushes = append(bushes, spoken(g.Name))
		default:
			bearings = append(bearings, spoken(g.Name))
		}
	}
	little := "little room"
	if !l.RunsFree {
		little = "no room"
	}
	var out []string
	say := func(names []string, what string) {
		if len(names) > 0 {
			out = append(out, fmt.Sprintf("%s at %s can contribute to %s", little, spell.Listed(names, 4), what))
		}
	}
	say(bushes, "one-sided wear, at the mouths of a bush first")
	say(pockets, "edge loading and wear in a pocket, needles first")
	say(bearings, "heat, and wear at one side of a bearing")
	return out
}

// jointWear is what a joint that does not close by itself can do.
func (t *teller) jointWear(a *align.Assembly) []string {
	var out []string
	for _, j := range a.Joints {
		strained := j.Pilot != nil && j.Pilot.Strain > 0
		if j.Assembles && !strained && !(j.Rules == align.RulesPilot && j.Gap.Greatest > 0) {
			continue
		}
		out = append(out, fmt.Sprintf("forcing %s home can contribute to a bent or cracked housing, a shaft pressed on its thrust faces and early bearing wear", spell.Name(j.Name)))
	}
	return out
}

// guideWear says how supports stand to the values that the machine's owner goes by. Ratios, never a verdict.
func guideWear(a *align.Assembly) []string {
	var out []string
	for _, b := range a.Supports {
		because := "whose origin is not stated"
		if b.Guides.Because != "" {
			because = "from " + spell.Clean(b.Guides.Because)
		}
		if r := b.Guides.Offset; r.Given {
			out = append(out, fmt.Sprintf("the offset of %s is %s of its guide, %s", spoken(b.Bore), spell.Percent(r.Value), because))
		}
		if r := b.Guides.Force; r.Given {
			out = append(out, fmt.Sprintf("the side load of %s is %s of its guide, %s (estimate)", spoken(b.Bore), spell.Percent(r.Value), because))
		}
	}
	return out
}
