package study

import (
	"errors"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/tolerance"
)

// judgeAll holds the stack, in the state that each limit names, against the limits. Limits of one state are judged together.
func judgeAll(rec *record.Record, states map[string]align.Stack, limits []record.Limit) ([]Verdict, error) {
	out := make([]Verdict, len(limits))
	done := make([]bool, len(limits))
	for i := range limits {
		if done[i] {
			continue
		}
		var own []int
		var outputs []align.Output
		for k := i; k < len(limits); k++ {
			if limits[k].State == limits[i].State {
				own, outputs = append(own, k), append(outputs, limits[k].Output)
				done[k] = true
			}
		}
		s := states[limits[i].State]
		ranges, assembles, err := s.Ranges(outputs)
		if err != nil {
			var f *align.FieldError
			if errors.As(err, &f) {
				g := *f
				g.Path = limits[i].Path + "/output" + f.Path
				return nil, &g
			}
			return nil, err
		}
		var in func(align.Stack) (align.Stack, error)
		if name := limits[i].State; name != "" {
			in = func(s align.Stack) (align.Stack, error) { return s.InState(name) }
		}
		gauge, err := sources(rec, "gauge", in)
		if err != nil {
			return nil, err
		}
		u, err := Uncertainties(s, append(GaugeSources(&s), stated(gauge)...), outputs)
		if err != nil {
			return nil, err
		}
		for n, k := range own {
			out[k] = Judge(limits[k], ranges[n], u[n], assembles)
		}
	}
	return out, nil
}

// Judge holds one output of a box against its limit, r its range and u its standard uncertainty: pass when the worst end holds beyond the guard band, fail when even the best end does not, depends when it is between the two, undecided when the gauge cannot tell. A box that does not assemble fails every limit.
func Judge(l record.Limit, r align.Range, u float64, assembles bool) Verdict {
	v := Verdict{Limit: l, Value: r.Rest, U: u}
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
		v.Word = Pass
		if v.Value.Value != 1 {
			v.Word = Fail
		}
	case !limited:
		v.Word = NoLimit
	case !assembles:
		v.Word = Fail
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
func decide(l tolerance.Limits, best, worst tolerance.Optional[float64], u float64) Word {
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
		return Pass
	case atBest == tolerance.Fail:
		return Fail
	case atWorst == tolerance.Undecided || atBest == tolerance.Undecided:
		return Undecided
	}
	return Depends
}
