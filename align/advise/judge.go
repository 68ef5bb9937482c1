package advise

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// judge holds one output against its limit by the rules of [study.Run]: a test holds the two to the same words.
func judge(l record.Limit, r align.Range, u float64, assembles bool) study.Verdict {
	v := study.Verdict{Limit: l, Value: r.Rest, U: u}
	bounds := tolerance.Limits{Least: l.Least, Greatest: l.Greatest}
	limited := l.Least.Given || l.Greatest.Given
	low, high := r.Low, r.High
	if l.AtRest || !r.Floats {
		low, high = r.Rest, r.Rest
	}
	best, worst := ends(l.Output.What, bounds, low, high)
	if r.Floats && !l.AtRest {
		v.Best, v.Worst = best, worst
	}
	if worst.Given && limited {
		room, _ := bounds.Room(worst.Value)
		v.Room = tolerance.Given(room)
	}
	switch {
	case l.Output.What == align.Assembles && !limited:
		v.Word = study.Pass
		if v.Value.Value != 1 {
			v.Word = study.Fail
		}
	case !limited:
		v.Word = study.NoLimit
	case !assembles:
		v.Word = study.Fail
	default:
		v.Word = decide(bounds, best, worst, u)
	}
	return v
}

// ends says which end of a range is best and which worst. With limits on both sides the worst is the end with less room, the best the point of the range nearest their middle. Without limits the least margin is worst, and the greatest of everything else.
func ends(what align.Quantity, l tolerance.Limits, low, high tolerance.Optional[float64]) (best, worst tolerance.Optional[float64]) {
	switch {
	case !l.Greatest.Given && (l.Least.Given || what == align.Margin):
		return high, low
	case !l.Least.Given:
		return low, high
	case !low.Given || !high.Given:
		return low, high
	}
	a, _ := l.Room(low.Value)
	b, _ := l.Room(high.Value)
	worst = low
	if b < a {
		worst = high
	}
	middle := (l.Least.Value + l.Greatest.Value) / 2
	return tolerance.Given(math.Max(low.Value, math.Min(high.Value, middle))), worst
}

// decide is the verdict from the two ends; an end that cannot be said (no line at all) does not hold.
func decide(l tolerance.Limits, best, worst tolerance.Optional[float64], u float64) study.Word {
	one := func(v tolerance.Optional[float64]) tolerance.Decision {
		if !v.Given {
			return tolerance.Fail
		}
		// A value on its limit holds: numbers that agree to a billionth are the same number.
		room, _ := l.Room(v.Value)
		size := math.Max(math.Abs(v.Value), math.Max(math.Abs(l.Least.Value), math.Abs(l.Greatest.Value)))
		if u == 0 && room < 0 && room > -math.Max(1e-9, 1e-9*size) {
			return tolerance.Pass
		}
		return l.Decide(v.Value, u, tolerance.GuardFactor95)
	}
	atWorst, atBest := one(worst), one(best)
	switch {
	case atWorst == tolerance.Pass:
		return study.Pass
	case atBest == tolerance.Fail:
		return study.Fail
	case atWorst == tolerance.Undecided || atBest == tolerance.Undecided:
		return study.Undecided
	}
	return study.Depends
}
