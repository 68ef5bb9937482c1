package study

import (
	"context"
	"errors"
	"math"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// court judges one box in all its states.
type court struct {
	stack  align.Stack
	varied []align.Stack
	gauge  func(state string) (varies, error) // what varies because of the gauge, besides the readings; nil: nothing
	brief  bool                               // only whether all limits pass is asked,
	joints bool                               // or may pass once the joints are looked at,

	settled []string // and parts with which none does
}

// judge holds the box, in the state that each limit names, against the limits. Limits of one state
// are judged together.
func (c *court) judge(ctx context.Context, limits []record.Limit) ([]Verdict, error) {
	out := make([]Verdict, len(limits))
	for _, own := range grouped(len(limits), func(i int) string { return limits[i].State }) {
		if err := stopped(ctx); err != nil {
			return nil, err
		}
		if err := c.state(limits, own, limits[own[0]].State, out, nil); err != nil {
			return nil, err
		}
		if c.brief && worst(out) > tolerance.Pass {
			return out, nil
		}
	}
	return out, c.everyState(ctx, limits, out)
}

// state judges some limits in one state; of those with a verdict before, the ones that may be worse here.
func (c *court) state(limits []record.Limit, own []int, state string, out, before []Verdict) error {
	s, err := inState(c.stack, state)
	if err != nil {
		return err
	}
	var v varies
	if c.gauge != nil {
		if v, err = c.gauge(state); err != nil {
			return err
		}
	}
	list := chosen(limits, own)
	if c.joints {
		return c.seats(s, v, list, &out[own[0]])
	}
	bands, err := layBands(s, GaugeSources(&s), v, list)
	if err != nil {
		return err
	}
	if before != nil {
		bands, own = mayBeWorse(bands, own, out, before)
	}
	if c.brief && len(bands) > 0 {
		return c.briefly(bands, own, out)
	}
	if err := measure(bands); err != nil {
		return err
	}
	for _, made := range c.varied {
		if err := widen(bands, made, state); err != nil {
			return err
		}
	}
	if err := probe(bands); err != nil {
		return err
	}
	for n, k := range own {
		if out[k], err = bands[n].verdict(); err != nil {
			return err
		}
	}
	return nil
}

// mayBeWorse leaves out the limits that are surely no worse here than the verdict before, which stays.
func mayBeWorse(bands []*judged, own []int, out, before []Verdict) (left []*judged, of []int) {
	for n, k := range own {
		if bands[n].noWorse(&before[k]) {
			out[k] = before[k]
			continue
		}
		left, of = append(left, bands[n]), append(of, k)
	}
	return left, of
}

// inState is a stack in one of its states, "" as measured, without candidates and states: they are judged by
// themselves, and would only be checked again.
func inState(s align.Stack, name string) (align.Stack, error) {
	var err error
	if name != "" {
		s, err = s.InState(name)
	}
	s.Candidates, s.States = nil, nil
	return s, err
}

// layBands works out the range of every limit, on a stack in the state that they are judged in. What
// is fitted to a round stands for its readings, but for thickness variations, which see every reading.
func layBands(s align.Stack, sources []GaugeSource, v varies, limits []record.Limit) ([]*judged, error) {
	s = settled(s)
	var outputs []align.Output
	for i := range limits {
		outputs = append(outputs, limits[i].Output)
	}
	gauges := []*gauge{gaugeOf(sources, v, false)}
	whole := slices.ContainsFunc(outputs, func(o align.Output) bool { return o.What == align.ThicknessVariation })
	if whole {
		gauges = append(gauges, gaugeOf(sources, v, true))
	}
	tables, err := tablesOf(s, gauges...)
	if err != nil {
		return nil, err
	}
	ranges, assembles, err := tables[0].worker(0).Ranges(outputs)
	if err != nil {
		return nil, blame(s, limits, err)
	}
	out := make([]*judged, len(limits))
	for i := range limits {
		by := tables[0]
		if limits[i].Output.What == align.ThicknessVariation {
			by = tables[1]
		}
		out[i] = newJudged(limits[i], by, ranges[i])
		out[i].assembles = assembles
	}
	return out, nil
}

// measure works out the guard bands of the worst ends.
func measure(list []*judged) error {
	if err := prefill(list, nudgeBatch, func(q *judged) []asked { return q.needs(&q.worst) }); err != nil {
		return err
	}
	for _, q := range list {
		if err := q.nudge(&q.worst); err != nil {
			return err
		}
	}
	return nil
}

// blame puts a fault of what is asked for at the limit that asks for it.
func blame(s align.Stack, limits []record.Limit, err error) error {
	for i := range limits {
		_, _, one := s.Ranges([]align.Output{limits[i].Output})
		var f *fault.FieldError
		if errors.As(one, &f) && limits[i].Path != "" {
			g := *f
			g.Path = limits[i].Path + "/output" + f.Path
			return &g
		}
	}
	return err
}

// prefill works out together what several limits need in one batch.
func prefill(list []*judged, batch int, needs func(*judged) []asked) error {
	var order []*table
	want := map[*table][]asked{}
	for _, q := range list {
		if a := needs(q); len(a) > 0 {
			if want[q.by] == nil {
				order = append(order, q.by)
			}
			want[q.by] = append(want[q.by], a...)
		}
	}
	for _, t := range order {
		if err := t.fill(batch, want[t]); err != nil {
			return err
		}
	}
	return nil
}

// probe works out together what the probes of all limits need that seem to pass.
func probe(list []*judged) error {
	return prefill(list, probeBatch, func(q *judged) []asked {
		if d, sure := q.decide(&q.worst); !q.limited() || q.failing() || !q.probes(&q.worst, d, sure) {
			return nil
		}
		return q.worst.of
	})
}

// probes reports whether an end is to be probed after what its guard band says: a pass or a fail, and
// that a box does not assemble.
func (q *judged) probes(e *end, d tolerance.Decision, sure bool) bool {
	return sure && len(q.by.gauge.columns) > 0 && (d != tolerance.Undecided || !e.fits || q.limit.Output.What == align.Assembles)
}

// limited reports whether there is something to hold.
func (q *judged) limited() bool { return q.bounds.Least.Given || q.bounds.Greatest.Given }

// widen adds what one varied stack says to the bands: independent, so that squares add.
func widen(list []*judged, made align.Stack, state string) error {
	made, err := inState(made, state)
	if err != nil {
		return err
	}
	t, err := tablesOf(settled(made), &gauge{normal: true})
	if err != nil {
		return err
	}
	moved := make([]*judged, len(list))
	for i, q := range list {
		m := *q
		m.by = t[0]
		moved[i] = &m
	}
	if err := prefill(moved, nudgeBatch, func(q *judged) []asked { return q.needs(&q.worst) }); err != nil {
		return err
	}
	for i, q := range list {
		d, err := q.distance(moved[i])
		if err != nil {
			return err
		}
		if ieee.Finite(d) {
			q.extra = math.Hypot(q.extra, d)
		}
		if err := q.nudge(&q.worst); err != nil {
			return err
		}
	}
	return nil
}

// distance is by how much the worst end of the same limit on another stack differs: its slack, or, of a
// size that nothing pushes, the plane vector whose length it is.
func (q *judged) distance(to *judged) (float64, error) {
	y, err := to.slacks(&to.worst, nudgeBatch)
	if err != nil || !q.rested() {
		return y[0] - q.worst.at, err
	}
	var d [2]float64
	for i, o := range components(q.limit.Output) {
		a, err := q.by.get(nudgeBatch, asked{output: o, rest: true})
		if err != nil {
			return 0, err
		}
		b, err := to.by.get(nudgeBatch, asked{output: o, rest: true})
		if err != nil {
			return 0, err
		}
		d[i] = scaleOf(q.limit.Output.What) * (b.values[0] - a.values[0])
	}
	return math.Hypot(d[0], d[1]), nil
}

// verdict is what the limit says.
func (q *judged) verdict() (Verdict, error) {
	v := Verdict{Limit: q.limit, Value: q.value.Rest, U: q.worst.u}
	stated := q.limit.Least.Given || q.limit.Greatest.Given
	v.Best, v.Worst = q.span()
	v.At = v.end()
	if stated && q.worst.fits {
		if v.Room = tolerance.Given(q.worst.at); !q.by.gauge.shifted() {
			v.Room.Value = q.room(&v)
		}
	}
	if !q.limited() {
		return v, nil
	}
	var err error
	v.Word, err = q.word()
	v.Holds, v.Corrected = q.worst.holds, q.by.gauge.shifted()
	return v, err
}

// span is the best and the worst of the range, absent where nothing floats or it is judged at rest.
func (q *judged) span() (best, worst tolerance.Optional[float64]) {
	if !q.value.Floats || q.limit.Rests() {
		return best, worst
	}
	return ends(q.limit.Output.What, q.bounds, q.value.Low, q.value.High)
}

// end is the worst of a verdict's range, or its value where nothing floats.
func (v *Verdict) end() tolerance.Optional[float64] {
	if v.Best.Given || v.Worst.Given {
		return v.Worst
	}
	return v.Value
}

// room is what is left at the worst of a verdict's range.
func (q *judged) room(v *Verdict) float64 {
	slack, _ := q.bounds.Room(v.Worst.Or(v.Value.Value))
	return slack
}

// noWorse reports whether a verdict here is surely no worse than one that is as grave as can be.
func (q *judged) noWorse(than *Verdict) bool {
	if than.Word != tolerance.Fail || q.by.gauge.shifted() {
		return false
	}
	here := Verdict{Value: q.value.Rest}
	here.Best, here.Worst = q.span()
	return !than.Room.Given || q.assembles && here.Value.Given && q.room(&here) >= than.Room.Value-sameSlack
}

// word decides: by the worst end, and where that is no pass by the best.
func (q *judged) word() (tolerance.Decision, error) {
	if q.failing() {
		if atBest, err := q.atBest(); err != nil || atBest == tolerance.Fail {
			return atBest, err
		}
	}
	atWorst, err := q.decision(&q.worst)
	if err != nil || atWorst == tolerance.Pass || q.brief {
		return atWorst, err
	}
	atBest := atWorst
	if q.best.slack != nil {
		if atBest, err = q.atBest(); err != nil {
			return 0, err
		}
	}
	switch {
	case atBest == tolerance.Fail:
		return tolerance.Fail, nil
	case atWorst == tolerance.Undecided || atBest == tolerance.Undecided:
		return tolerance.Undecided, nil
	}
	return tolerance.Depends, nil
}

// failing reports whether the guard band of the worst end says a fail that the best end may settle: what
// fails as it lies best fails, and the worst need not be probed.
func (q *judged) failing() bool {
	d, sure := q.decide(&q.worst)
	return sure && d == tolerance.Fail && q.best.slack != nil && !q.brief
}

// atBest is what the best end says. A box that passes where it rests passes as it lies best.
func (q *judged) atBest() (tolerance.Decision, error) {
	if resting, err := q.passesAtRest(); err != nil || resting {
		return tolerance.Pass, err
	}
	if err := q.by.fill(nudgeBatch, q.best.of); err != nil {
		return 0, err
	}
	if err := q.nudge(&q.best); err != nil {
		return 0, err
	}
	return q.decision(&q.best)
}

// passesAtRest reports whether the guard band where the box rests says a pass. Where it does, the box
// as it lies best, which is as it rests or better under every deviation, passes.
func (q *judged) passesAtRest() (bool, error) {
	if slack, _ := q.bounds.Room(q.value.Rest.Or(math.NaN())); !(slack > 0) {
		return false, nil
	}
	l := q.limit
	l.AtRest = true
	r := newJudged(l, q.by, q.value)
	r.extra = q.extra
	if err := measure([]*judged{r}); err != nil {
		return false, err
	}
	d, sure := r.decide(&r.worst)
	if !sure || d != tolerance.Pass || !r.probes(&r.worst, d, sure) {
		return sure && d == tolerance.Pass, nil
	}
	return r.probed(&r.worst, d)
}

// decision is what one end says: by its guard band where that can be relied on, and by draws where
// not.
func (q *judged) decision(e *end) (tolerance.Decision, error) {
	d, sure := q.decide(e)
	if len(q.by.gauge.columns) == 0 && q.extra == 0 && !sure {
		return tolerance.Undecided, nil // no answer was found
	}
	if q.probes(e, d, sure) {
		var err error
		if sure, err = q.probed(e, d); err != nil {
			return d, err
		}
	}
	if sure {
		return d, nil
	}
	return q.draw(e)
}

// ends says which end of a range is best and which worst. With limits on both sides the worst is
// the end with less slack, the best the point of the range nearest their middle.
func ends(what align.Quantity, l tolerance.Limits, low, high tolerance.Optional[float64]) (best, worst tolerance.Optional[float64]) {
	switch {
	case lowIsWorse(what, l):
		return high, low
	case !l.Least.Given || !low.Given || !high.Given:
		return low, high
	}
	a, _ := l.Room(low.Value)
	b, _ := l.Room(high.Value)
	worst = low
	if b < a {
		worst = high
	}
	return tolerance.Given(middle(l, low.Value, high.Value)), worst
}

// unlimited are outputs to be judged by nothing.
func unlimited(outputs []align.Output) []record.Limit {
	var out []record.Limit
	for _, o := range outputs {
		out = append(out, record.Limit{Output: o})
	}
	return out
}
