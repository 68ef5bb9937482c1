package advise

import (
	"context"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// rating is how good a stack is at rest: first by how far the limits lack what they need, then by the room of the shaft line.
type rating struct {
	short float64 // 0 when every limit holds with its allowance; otherwise the worst lack, as a share of its limit, negative
	room  float64 // margin at rest, mm; without shafts the least share of room
}

// same is what the last digits of a rating may differ by.
const same = 1e-12

// better reports whether r is better than q, or has room worth more than that.
func (r rating) better(q rating, worth float64) bool {
	if math.Abs(r.short-q.short) > same {
		return r.short > q.short
	}
	return r.room > q.room+max(worth, same)
}

// choice is the best that was found so far.
type choice struct {
	*rater
	top   rating
	found bool
}

// take rates a stack, unless the context has ended, and reports whether it is better than all so far, by room worth more than that.
func (c *choice) take(worth float64, of func() (align.Stack, error)) bool {
	if c.ended() {
		return false
	}
	s, err := of()
	if err != nil {
		return false
	}
	got, ok := c.rate(s)
	if !ok || c.found && !got.better(c.top, worth) {
		return false
	}
	c.top, c.found = got, true
	return true
}

// rater rates changed stacks. What the float and the guard band take of each limit is taken from the box as it is, so that the search may run at rest, a hundred times faster; what it finds is judged in full.
type rater struct {
	ctx     context.Context
	outputs []align.Output
	limits  []tolerance.Limits
	need    []float64
	scale   []float64
	line    bool // the first output is the margin
	over    bool // the context has ended
}

// ended reports whether the context has ended; once it has, it is not looked at again.
func (r *rater) ended() bool {
	r.over = r.over || r.ctx.Err() != nil
	return r.over
}

// newRater takes outputs and allowances from a judged box. Limits in a state are left to the judgement.
func newRater(ctx context.Context, b Box, j *Judgement) *rater {
	r := &rater{ctx: ctx, line: len(b.Stack.Shafts) > 0}
	add := func(o align.Output, l tolerance.Limits, need, scale float64) {
		r.outputs, r.limits, r.need, r.scale = append(r.outputs, o), append(r.limits, l), append(r.need, need), append(r.scale, scale)
	}
	if r.line {
		add(align.Output{What: align.Margin}, tolerance.Limits{}, 0, 1)
	}
	for i, l := range b.Limits {
		if l.State != "" || (!l.Least.Given && !l.Greatest.Given) {
			continue
		}
		bounds := l.Limits
		v := &j.Verdicts[i]
		need := tolerance.GuardFactor95 * v.U
		if rest, _ := bounds.Room(v.Value.Value); v.Value.Given && v.Room.Given {
			need += math.Max(0, rest-v.Room.Value)
		}
		scale := math.Max(math.Abs(l.Least.Value), math.Abs(l.Greatest.Value))
		switch {
		case l.Least.Given && l.Greatest.Given && l.Greatest.Value > l.Least.Value:
			scale = l.Greatest.Value - l.Least.Value
			need = math.Min(need, 0.4*scale) // the middle of the band must be able to hold
		case scale == 0 && l.Output.What == align.Margin:
			scale = math.Max(float64(leastRadial(b.Stack)), aMicrometre)
		case scale == 0:
			scale = 1
		}
		add(l.Output, bounds, need, scale)
	}
	return r
}

// rate rates a stack; false where it cannot be evaluated. A box that does not assemble is rated below all that do.
func (r *rater) rate(s align.Stack) (rating, bool) {
	if r.ended() {
		return rating{}, false
	}
	s.Candidates, s.States = nil, nil
	ranges, assembles, err := atRest(s).Ranges(r.outputs)
	if err != nil {
		return rating{}, false
	}
	out := rating{room: math.Inf(1)}
	for i := range ranges {
		v := ranges[i].Rest
		if r.line && i == 0 {
			out.room = v.Or(math.Inf(-1))
			continue
		}
		room, _ := r.limits[i].Room(v.Value)
		if !v.Given {
			room = math.Inf(-1)
		}
		if lack := (room - r.need[i]) / r.scale[i]; lack < 0 {
			out.short = math.Min(out.short, math.Max(lack, -1e9))
		}
		if !r.line {
			out.room = math.Min(out.room, room/r.scale[i])
		}
	}
	if !assembles {
		out.short = -1e12
	}
	if math.IsInf(out.room, 1) {
		out.room = 0
	}
	return out, true
}

// enumerated is how many settings of size and direction are all tried; above it the search goes from coarse to fine.
const enumerated = 400

// vector finds the best size, a multiple of step from step to most, and direction, a multiple of clockStep. False: nothing could be evaluated.
//
// The margin is concave in the bore centres (a greatest common room over lines), and these follow the vector almost linearly, so that going from coarse to fine finds the top; a search that lies within [enumerated] settings tries them all.
func (r *rater) vector(most, step tolerance.Length, clockStep tolerance.Angle, of func(by tolerance.Length, clock tolerance.Angle) (align.Stack, error)) (by tolerance.Length, clock tolerance.Angle, found bool) {
	sizes := int(math.Floor(float64(most/step) + whole))
	turns := int(math.Round(2 * math.Pi / float64(clockStep)))
	if sizes < 1 || turns < 1 {
		return 0, 0, false
	}
	type setting struct{ size, turn int }
	tried := map[setting]bool{}
	best := choice{rater: r}
	var at setting
	try := func(q setting) bool {
		q.turn = ((q.turn % turns) + turns) % turns
		if q.size < 1 || q.size > sizes || tried[q] {
			return false
		}
		tried[q] = true
		better := best.take(0, func() (align.Stack, error) {
			return of(tolerance.Length(q.size)*step, tolerance.Angle(q.turn)*clockStep)
		})
		if better {
			at = q
		}
		return better
	}
	ds, dt := 1, 1
	if sizes*turns > enumerated {
		ds, dt = max(1, sizes/5), max(1, turns/12)
	}
	for n := ds; n <= sizes; n += ds {
		for k := 0; k < turns; k += dt {
			try(setting{n, k})
		}
	}
	for ds > 1 || dt > 1 {
		ds, dt = max(1, ds/2), max(1, dt/2)
		for moved := true; moved; {
			moved = false
			c := at
			for _, d := range [][2]int{{0, 1}, {0, -1}, {1, 0}, {-1, 0}, {1, 1}, {1, -1}, {-1, 1}, {-1, -1}, {2, 1}, {2, -1}, {-2, 1}, {-2, -1}, {1, 2}, {1, -2}, {-1, 2}, {-1, -2}} {
				moved = try(setting{c.size + d[0]*ds, c.turn + d[1]*dt}) || moved
			}
		}
	}
	return tolerance.Length(at.size) * step, tolerance.Angle(at.turn) * clockStep, best.found
}
