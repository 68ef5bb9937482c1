package specify

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"
	"slices"
)

// top is the worst of one response within zones: where it is, how far beyond, and how it rises there.
type top struct {
	at    []float64 // components
	value float64
	rise  []float64 // size of the gradient by each callout's deviation
}

// The search for the worst. A convex function over discs has its greatest at the rim of all of them, and
// going to the rim along the gradient never descends.
const (
	drawnBoxes = 512 // at the rims
	worstOf    = 8   // of these that are climbed from, and
	others     = 4   // whatever they are: every group of supports that can govern has a top of its own
	quickOf    = 2   // of the tops known that are climbed from where the answer is looked at again
	mostTops   = 32  // that are remembered of one response
	climbs     = 25
	startSeed  = 1
)

// worst climbs to the worst of one response: afresh from many places, or from the worst of the tops that it
// had in other zones.
func (r *responses) worst(ctx context.Context, of int, radius []float64, afresh bool) (top, error) {
	q := &r.list[of]
	if slices.Equal(q.whole.radius, radius) {
		return q.whole.top, nil
	}
	if !afresh && len(q.tops) > 0 {
		x := columns(r.n, len(q.tops))
		for i, t := range q.tops {
			for c := range x {
				x[c][i] = t[c] * radius[c/2]
			}
		}
		y, err := r.at(of, x, len(q.tops))
		if err != nil {
			return top{}, err
		}
		order := downwards(y)
		return r.climb(ctx, of, radius, pick(x, order[:min(quickOf, len(order))]))
	}
	begin, err := r.startsAt(of, radius)
	if err != nil {
		return top{}, err
	}
	w, err := r.climb(ctx, of, radius, begin)
	if err == nil {
		q.whole.radius, q.whole.top = slices.Clone(radius), w
	}
	return w, err
}

// noClimb is the share of what is left by which a step up is not worth another.
const noClimb = 1e-7

// climb goes up from every beginning, and remembers the tops.
func (r *responses) climb(ctx context.Context, of int, radius []float64, begin [][]float64) (top, error) {
	best := top{value: math.Inf(-1)}
	for _, x := range begin {
		before, at := math.Inf(-1), x
		for range climbs {
			if err := context.Cause(ctx); err != nil {
				return best, err
			}
			v, g, err := r.gradient(of, x, radius, false)
			if err != nil {
				return best, err
			}
			if v <= before+noClimb*r.list[of].scale {
				break
			}
			before, at, x = v, x, toRim(g, x, radius)
		}
		r.list[of].remember(at, radius)
		if before > best.value {
			best.value, best.at = before, at
		}
	}
	if best.at == nil { // beyond everything that a number tells
		best.at = begin[0]
	}
	v, g, err := r.gradient(of, best.at, radius, true)
	best.value, best.rise = v, rises(g)
	return best, err
}

// remember keeps where a climb ended, in shares of the zones.
func (q *response) remember(at, radius []float64) {
	share := make([]float64, len(at))
	for c := range at {
		share[c] = at[c] / radius[c/2]
	}
	const same = 0.02 // of a zone: the next climb from either ends in one place
	near := func(t []float64) bool {
		for c := range t {
			if math.Abs(t[c]-share[c]) > same {
				return false
			}
		}
		return true
	}
	if slices.ContainsFunc(q.tops, near) {
		return
	}
	if q.tops = append(q.tops, share); len(q.tops) > mostTops {
		q.tops = slices.Delete(q.tops, 0, 1)
	}
}

// startsAt are deviations drawn at the rims, and the worst of many more. All of one lie along one line, this
// way or that, as they do at the worst of a limit to first order; the first lie all one way.
func (r *responses) startsAt(of int, radius []float64) ([][]float64, error) {
	rng := rand.New(rand.NewPCG(startSeed, uint64(of)))
	x := columns(r.n, drawnBoxes)
	for i := range drawnBoxes {
		s, c := math.Sincos(2 * math.Pi * rng.Float64())
		for k := range radius {
			if i > 0 && rng.IntN(2) == 0 {
				s, c = -s, -c
			}
			x[2*k][i], x[2*k+1][i] = radius[k]*c, radius[k]*s
		}
	}
	y, err := r.at(of, x, drawnBoxes)
	if err != nil {
		return nil, err
	}
	for i := range others {
		y[i] = math.Inf(1) // first, whatever they are
	}
	return pick(x, downwards(y)[:others+worstOf]), nil
}

// downwards is the order of numbers, the greatest first.
func downwards(y []float64) []int {
	order := make([]int, len(y))
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order, func(a, b int) int { return -cmp.Compare(y[a], y[b]) })
	return order
}

// pick are single deviations of columns.
func pick(x [][]float64, which []int) (out [][]float64) {
	for _, i := range which {
		at := make([]float64, len(x))
		for c := range x {
			at[c] = x[c][i]
		}
		out = append(out, at)
	}
	return out
}

// toRim is the deviation at the rim of every zone towards a vector, or where that is zero, towards where it
// stands: a limit that only some deviations bear on there is not brought down by the others.
func toRim(g, at, radius []float64) []float64 {
	x := make([]float64, len(g))
	for k, r := range radius {
		to := [2]float64{g[2*k], g[2*k+1]}
		if to == [2]float64{} {
			to = [2]float64{at[2*k], at[2*k+1]}
		}
		if size := math.Hypot(to[0], to[1]); size > 0 {
			x[2*k], x[2*k+1] = r*to[0]/size, r*to[1]/size
		}
	}
	return x
}

// rises are the sizes of a gradient, callout by callout.
func rises(g []float64) []float64 {
	out := make([]float64, len(g)/2)
	for k := range out {
		out[k] = math.Hypot(g[2*k], g[2*k+1])
	}
	return out
}
