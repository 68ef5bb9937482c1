package advise

import (
	"cmp"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/quantity"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// Effect is something that a correction changes: an output with a limit, a chain, a joint that assembles or is strained.
type Effect struct {
	Output                align.Output
	State                 string
	Limited               bool // held against a limit
	Strained              bool // Output is the joint: its register is strained afterwards and was not before
	Before, After         tolerance.Optional[float64]
	WordBefore, WordAfter tolerance.Decision
}

// aMicrometre, in mm, is the least difference of lengths that a shop can tell.
const aMicrometre = 1e-3

// aShare is the least difference, a ratio or an angle, that is an effect: a micrometre in a tenth of a metre.
const aShare = 1e-5

// felt is the least change of an output that is an effect: half a micrometre, or a hundred-thousandth of what has no unit of length.
func felt(o align.Output) float64 {
	if quantity.Of(o.What).Measure == quantity.Length {
		return aMicrometre / 2
	}
	return aShare
}

// effectsOf compares two judgements of the same limits: every limit that changes, every chain, and every joint.
func effectsOf(before, after *Judgement) []Effect {
	var out []Effect
	limited := map[string]bool{}
	for i := range after.Verdicts {
		b, a := &before.Verdicts[i], &after.Verdicts[i]
		o := a.Limit.Output
		limited[o.Of] = limited[o.Of] || o.What == align.ChainLength
		x, y := worstOf(b), worstOf(a)
		if b.Word != a.Word || x.Given != y.Given || math.Abs(x.Value-y.Value) >= felt(o) {
			out = append(out, Effect{Output: o, State: a.Limit.State, Limited: true, Before: x, After: y, WordBefore: b.Word, WordAfter: a.Word})
		}
	}
	for i, c := range after.Assembly.Chains {
		o, old := align.Output{What: align.ChainLength, Of: c.Name}, before.Assembly.Chains[i].Gap
		if !limited[c.Name] && math.Abs(float64(c.Gap-old)) >= felt(o) {
			out = append(out, Effect{Output: o, Before: tolerance.Given(float64(old)), After: tolerance.Given(float64(c.Gap))})
		}
	}
	for i := range after.Assembly.Joints {
		out = append(out, effectsAt(&before.Assembly.Joints[i], &after.Assembly.Joints[i])...)
	}
	return out
}

// effectsAt are those on a joint: whether it assembles, and a strain that was not there before.
func effectsAt(b, a *align.SeatedJoint) (out []Effect) {
	o := align.Output{What: align.Assembles, Of: a.Name}
	if a.Assembles != b.Assembles {
		yes, no := tolerance.Given(1.0), tolerance.Given(0.0)
		e := Effect{Output: o, Before: no, After: yes, WordBefore: tolerance.Fail, WordAfter: tolerance.Pass}
		if b.Assembles {
			e.Before, e.After, e.WordBefore, e.WordAfter = yes, no, tolerance.Pass, tolerance.Fail
		}
		out = append(out, e)
	}
	if strain(a) > 0 && strain(b) == 0 {
		out = append(out, Effect{Output: o, Strained: true, Before: tolerance.Given(0.0), After: tolerance.Given(float64(strain(a))), WordBefore: tolerance.Pass, WordAfter: tolerance.Depends})
	}
	return out
}

func strain(j *align.SeatedJoint) tolerance.Length {
	if j.Pilot == nil {
		return 0
	}
	return j.Pilot.Strain
}

// worstOf is the worst end of a verdict, or its value where nothing floats.
func worstOf(v *study.Verdict) tolerance.Optional[float64] {
	if v.Best.Given || v.Worst.Given {
		return v.Worst
	}
	return v.Value
}

// roomOf is what boxes of one verdict are ranked by: the margin at the worst float, or without shafts the least share of room that a limit leaves.
func roomOf(j *Judgement) float64 {
	if m, ok := j.WorstMargin(); ok {
		return float64(m)
	}
	least := math.Inf(1)
	for i := range j.Verdicts {
		if v := &j.Verdicts[i]; v.Word != tolerance.NoLimit && v.Room.Given {
			scale := cmp.Or(math.Max(math.Abs(v.Limit.Least.Value), math.Abs(v.Limit.Greatest.Value)), 1)
			least = math.Min(least, v.Room.Value/scale)
		}
	}
	if math.IsInf(least, 1) || j.Margin != nil {
		return math.Inf(-1)
	}
	return least
}

// tell is the difference of room that the gauge can tell: 1.65 standard uncertainties of a difference, at least a micrometre, or a hundredth of the limits without shafts.
func tell(j *Judgement) float64 {
	if j.Margin == nil {
		return 0.01
	}
	return math.Max(aMicrometre, tolerance.GuardFactor95*math.Sqrt2*j.Margin.U)
}

// rank sorts options: verdict by its rank, fewest things left worse, most room in steps of what can be told, least effort, most room.
func (a *Advice) rank(list []Option) {
	slices.SortStableFunc(list, func(x, y Option) int {
		rx, ry := roomOf(x.After), roomOf(y.After)
		return cmp.Or(
			cmp.Compare(x.After.Word.Rank(), y.After.Word.Rank()),
			cmp.Compare(len(x.Worse()), len(y.Worse())),
			cmp.Compare(math.Floor(ry/a.Tell), math.Floor(rx/a.Tell)),
			cmp.Compare(x.Effort, y.Effort),
			cmp.Compare(ry, rx),
		)
	})
}
