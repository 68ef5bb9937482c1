package study

import (
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Of guard bands.
const (
	clearOfZero = 5    // standard uncertainties that a size must have to be judged along its own direction
	nearLimit   = 3    // standard uncertainties within which linear propagation must hold to decide
	bentBy      = 0.1  // share by which one-sided effects of a source may differ
	counts      = 0.1  // share of the standard uncertainty from which a source's own bend matters
	noEffect    = 1e-9 // of the output's base unit: what is left below the solvers' certificates
	conforms    = 0.95 // least probability of conformance of a pass
)

// end is one end of an output over the float as it is held against its limits: the distance to the
// nearest limit, negative outside.
type end struct {
	of      []asked // one output, or the lowest and the highest
	slack   func(values ...float64) float64
	effects []float64                   // of each column: the larger one-sided effect on the slack, or on the value of a size
	at      float64                     // slack at the mean deviations
	u       float64                     // standard uncertainty
	bent    bool                        // one-sided effects differ
	lost    bool                        // a nudge leaves no line, no answer, or a box that does or does not assemble where this one does not or does
	small   bool                        // it is a size below a few standard uncertainties
	fits    bool                        // the box assembles at the mean deviations
	holds   tolerance.Optional[float64] // probability that it holds, where it was worked out
	size    law.Law                     // of a size that nothing pushes, not clear of zero or between two limits; nil: not so
}

// judged is one limit on one box.
type judged struct {
	limit       record.Limit
	bounds      tolerance.Limits
	by          *table
	value       align.Range
	assembles   bool    // as measured
	brief       bool    // only whether it passes is asked
	drawn       bool    // draws decided it
	alone       bool    // whether the box assembles is left aside
	extra       float64 // standard uncertainty from elsewhere
	worst, best end
}

// newJudged says what must be worked out for one limit.
func newJudged(l record.Limit, by *table, r align.Range) *judged {
	q := &judged{limit: l, bounds: l.Limits, by: by, value: r}
	if l.Output.What == align.Assembles && !l.Least.Given && !l.Greatest.Given {
		q.bounds.Least = tolerance.Given(1.0)
	}
	rest := l.Rests() || !r.Floats || !feelsFloat(l.Output.What)
	low, high := asked{output: l.Output, rest: rest}, asked{output: l.Output, rest: rest}
	if !rest {
		low.output.Best = l.Output.What != align.Margin
		high.output.Best = !low.output.Best
	}
	worst, best, b := high, low, q.bounds
	if lowIsWorse(l.Output.What, b) {
		worst, best = low, high
	}
	nearest := func(values ...float64) float64 {
		slack := math.Inf(1)
		for _, v := range values {
			r, _ := b.Room(v)
			slack = math.Min(slack, r)
		}
		return slack
	}
	q.worst = end{of: []asked{worst}, slack: nearest}
	switch {
	case !b.Least.Given && !b.Greatest.Given:
		sign := -1.0
		if l.Output.What == align.Margin {
			sign = 1
		}
		q.worst.slack = func(v ...float64) float64 { return sign * v[0] }
	case rest:
	case b.Least.Given && b.Greatest.Given:
		q.worst.of = []asked{low, high}
		q.best = end{of: q.worst.of, slack: func(v ...float64) float64 { return nearest(middle(b, v[0], v[1])) }}
	default:
		q.best = end{of: []asked{best}, slack: nearest}
	}
	return q
}

// lowIsWorse reports whether the low end of a range is the worse for limits that are not on both sides.
// Without limits the least margin is worst, and the greatest of everything else.
func lowIsWorse(what align.Quantity, l tolerance.Limits) bool {
	return !l.Greatest.Given && (l.Least.Given || what == align.Margin)
}

// feelsFloat reports whether an output may differ over the float: others are what they are at rest.
func feelsFloat(q align.Quantity) bool {
	switch q {
	case align.GapSize, align.ThicknessVariation, align.RunningClearance, align.SideForce, align.Assembles:
		return false
	}
	return true
}

// middle is the point of a range nearest the middle of two limits.
func middle(l tolerance.Limits, low, high float64) float64 {
	return math.Max(low, math.Min(high, (l.Least.Value+l.Greatest.Value)/2))
}

// rested reports whether the limit is on a size that nothing pushes, which goes by its components.
func (q *judged) rested() bool { return sized(q.limit.Output.What) && q.worst.of[0].rest }

// needs are the outputs that an end is worked out from.
func (q *judged) needs(e *end) []asked {
	list := e.of
	if q.rested() {
		for _, o := range components(q.limit.Output) {
			list = append(list[:len(list):len(list)], asked{output: o, rest: true})
		}
	}
	return list
}

// askedAlone reports whether all that is asked is whether the box, or one joint, assembles.
func (q *judged) askedAlone() bool {
	return q.limit.Output.What == align.Assembles && !q.limit.Least.Given && !q.limit.Greatest.Given
}

// slacks are an end's slacks in every row of a batch: NaN where no answer was found, and −Inf where the
// box does not assemble or no line exists, which is beyond any limit.
func (q *judged) slacks(e *end, batch int) ([]float64, error) {
	var list [2]outcome
	for i, a := range e.of {
		if batch >= firstDraw && a.output == (align.Output{What: align.Margin}) && !a.rest && !q.bounds.Greatest.Given && q.extra == 0 {
			a.least = q.bounds.Least // draws count what holds
		}
		var err error
		if list[i], err = q.by.get(batch, a); err != nil {
			return nil, err
		}
	}
	out := make([]float64, len(list[0].values))
	for i := range out {
		values := [2]float64{list[0].values[i]}
		if len(e.of) > 1 {
			values[1] = list[1].values[i]
		}
		out[i] = e.slack(values[:len(e.of)]...)
		apart := list[0].fits[i] == 0 && !q.alone && !(q.askedAlone() && !math.IsNaN(values[0]))
		if apart || math.IsInf(out[i], 1) { // or a least use, where no line exists
			out[i] = math.Inf(-1)
		}
	}
	return out, nil
}

// nudge works out an end's guard band: by how much each column moves its slack, one standard deviation
// each way, and whether that can be relied on.
func (q *judged) nudge(e *end) error {
	y, err := q.slacks(e, nudgeBatch)
	if err != nil {
		return err
	}
	e.measure(y)
	if q.limit.Output.What == align.Assembles {
		e.u, e.bent = 0, false // yes or no is not a number that is off by something
		clear(e.effects)
		for _, v := range y {
			e.lost = e.lost || (v >= 0) != (y[0] >= 0)
		}
		return nil
	}
	if q.rested() {
		return q.nudgeSize(e)
	}
	if q.extra > 0 {
		e.u = math.Hypot(e.u, q.extra)
	}
	for _, a := range e.of {
		y, err := q.by.get(nudgeBatch, a)
		if err != nil {
			return err
		}
		e.small = e.small || (e.u > 0 && sized(a.output.What) && y.values[0] < nearLimit*e.u)
	}
	return nil
}

// measure takes the one-sided effects from the slacks of all nudges.
func (e *end) measure(y []float64) {
	n := (len(y) - 1) / 2
	e.at, e.fits = y[0], ieee.Finite(y[0])
	e.effects = make([]float64, n)
	sides := make([][2]float64, n)
	e.u, e.bent, e.lost = 0, false, math.IsNaN(y[0])
	for c := range n {
		ok := [2]bool{}
		d := [2]float64{}
		for i := range d {
			v := y[2*c+1+i] - e.at
			if ok[i] = ieee.Finite(v); ok[i] {
				d[i] = v
			} else if e.fits || !math.IsInf(y[2*c+1+i], -1) {
				e.lost = true
			}
		}
		sides[c] = d
		e.effects[c] = larger(d[0], d[1])
		e.u += e.effects[c] * e.effects[c]
	}
	if e.u = math.Sqrt(e.u); e.u < noEffect {
		e.u = 0
		return
	}
	var bias float64
	for c := range n {
		off := math.Abs(sides[c][0] + sides[c][1])
		bias += off / 2
		if size := math.Abs(e.effects[c]); size > counts*e.u && off > bentBy*size {
			e.bent = true
		}
	}
	e.bent = e.bent || bias > bentBy*e.u
}

// larger is the effect of a deviation upwards from the larger of two one-sided effects.
func larger(up, down float64) float64 {
	if math.Abs(up) >= math.Abs(down) {
		return up
	}
	return -down
}

// nudgeSize is nudge of a size that nothing pushes: its components are linear and the size follows.
func (q *judged) nudgeSize(e *end) error {
	if !e.fits {
		return nil
	}
	scale := scaleOf(q.limit.Output.What)
	var at, xy [2][]float64
	for i, o := range components(q.limit.Output) {
		y, err := q.by.get(nudgeBatch, asked{output: o, rest: true})
		if err != nil {
			return err
		}
		at[i] = y.values
		for c := range e.effects {
			d := larger(y.values[2*c+1]-y.values[0], y.values[2*c+2]-y.values[0])
			if !ieee.Finite(d) {
				d, e.lost = 0, true
			}
			xy[i] = append(xy[i], scale*d)
		}
	}
	x, y := scale*at[0][0], scale*at[1][0]
	xx, yy, cross := q.extra*q.extra, q.extra*q.extra, 0.0
	for c := range e.effects {
		dx, dy := xy[0][c], xy[1][c]
		xx, yy, cross = xx+dx*dx, yy+dy*dy, cross+dx*dy
	}
	along, isClear := alongSize(x, y, xx, yy, cross)
	e.u = q.extra * q.extra
	for c := range e.effects {
		e.effects[c] = along[0]*xy[0][c] + along[1]*xy[1][c]
		e.u += e.effects[c] * e.effects[c]
	}
	if e.u = math.Sqrt(e.u); e.u < noEffect {
		e.u = 0
	}
	e.bent = false
	if e.u > 0 && (!isClear || (q.bounds.Least.Given && q.bounds.Greatest.Given)) {
		s, err := law.NewNormalSize(x, y, xx, yy, cross)
		if err != nil {
			return err
		}
		e.size = s
	}
	return nil
}

// alongSize is the direction in which a plane vector (x, y) with that covariance is judged: its own,
// or its least certain one where it is not clear of zero.
func alongSize(x, y, xx, yy, xy float64) (along [2]float64, isClear bool) {
	mean, half := (xx+yy)/2, (xx-yy)/2
	greatest := mean + math.Hypot(half, xy)
	if size := math.Hypot(x, y); size > clearOfZero*math.Sqrt(greatest) {
		return [2]float64{x / size, y / size}, true
	}
	sin, cos := math.Sincos(math.Atan2(xy, half) / 2)
	return [2]float64{cos, sin}, false
}

// decide is what an end's guard band says, and whether that is sure; else draws must say.
func (q *judged) decide(e *end) (d tolerance.Decision, sure bool) {
	if e.lost {
		return tolerance.Undecided, false
	}
	if !e.fits {
		return tolerance.Fail, true
	}
	if e.size != nil {
		if !q.by.gauge.normal {
			return tolerance.Undecided, false
		}
		return q.sizeConforms(e), true
	}
	if near := nearLimit * e.u; e.u > 0 && math.Abs(e.at) < near && (e.bent || !q.by.gauge.normal) {
		return tolerance.Undecided, false
	}
	if e.small {
		return tolerance.Undecided, false
	}
	return within(e.at, e.u, q.bounds), true
}

// within holds a slack with standard uncertainty u against none. A value on its limit holds: numbers
// that agree to a billionth are the same number.
func within(slack, u float64, l tolerance.Limits) tolerance.Decision {
	if u == 0 && holds(slack, l) {
		return tolerance.Pass
	}
	return tolerance.Limits{Least: tolerance.Given(0.0)}.Decide(slack, u, tolerance.GuardFactor95)
}

// holds reports whether a slack is none less than nothing, to rounding.
func holds(slack float64, l tolerance.Limits) bool {
	size := math.Max(math.Abs(l.Least.Value), math.Abs(l.Greatest.Value))
	return slack >= -noEffect*math.Max(1, size)
}

// sizeConforms decides by the exact distribution of a size.
//
// Source: JCGM 106:2012, 7.2 (conformance probability); law: the size of a normal vector in the
// plane, by quadrature (package stackup/law).
func (q *judged) sizeConforms(e *end) tolerance.Decision {
	inside := 1.0
	if q.bounds.Greatest.Given {
		inside = e.size.CDF(q.bounds.Greatest.Value)
	}
	if q.bounds.Least.Given {
		inside -= e.size.CDF(q.bounds.Least.Value)
	}
	e.holds = tolerance.Given(inside)
	switch {
	case inside >= conforms:
		return tolerance.Pass
	case 1-inside >= conforms:
		return tolerance.Fail
	}
	return tolerance.Undecided
}
