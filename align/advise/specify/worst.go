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
	groupsOf  = 128 // places far out that are looked at, in which
	mostFar   = 4   // callouts at most are
	beyondRim = 4   // times their zones out
	worstOf   = 12  // of these that are climbed from, and
	knownOf   = 4   // of the tops known in other zones, and
	quickOf   = 2   // of these alone where the answer is looked at again
	mostTops  = 32  // that are remembered of one response
)

// worst climbs to the worst of one response: afresh from many places, or from the worst of the tops that it
// had in other zones.
func (r *responses) worst(ctx context.Context, of int, radius []float64, afresh bool) (top, error) {
	q := &r.list[of]
	if slices.Equal(q.whole.radius, radius) {
		return q.whole.top, nil
	}
	begin, err := r.known(of, radius)
	if err != nil {
		return top{}, err
	}
	if !afresh && len(begin) > 0 {
		return r.climb(ctx, of, radius, begin[:min(quickOf, len(begin))])
	}
	fresh, err := r.startsAt(of, radius)
	if err != nil {
		return top{}, err
	}
	w, err := r.climb(ctx, of, radius, append(begin, fresh...))
	if err == nil {
		q.whole.radius, q.whole.top = slices.Clone(radius), w
	}
	return w, err
}

// known are the worst of the tops that a response had in other zones.
func (r *responses) known(of int, radius []float64) ([][]float64, error) {
	tops := r.list[of].tops
	if len(tops) == 0 {
		return nil, nil
	}
	x := columns(r.n, len(tops))
	for i, t := range tops {
		for c := range x {
			x[c][i] = t[c] * radius[c/2]
		}
	}
	y, err := r.at(of, x, len(tops))
	if err != nil {
		return nil, err
	}
	return pick(x, downwards(y)[:min(knownOf, len(tops))]), nil
}

// strides are how far a step up goes, in radii of every zone.
var strides = [...]float64{1e3, 2, 0.7, 0.2, 0.05}

// Shares of what is left by which a step up is not worth another: of all climbs, and of that to the best.
const (
	noClimb = 3e-4
	noRise  = 1e-7
)

// climb goes up from every beginning, to the end from the best that leads to, and remembers the tops.
func (r *responses) climb(ctx context.Context, of int, radius []float64, begin [][]float64) (best top, err error) {
	best = top{value: math.Inf(-1), at: begin[0]} // where everything is beyond what a number tells
	for i := 0; i <= len(begin); i++ {
		at, enough := best.at, noRise
		if i < len(begin) {
			at, enough = begin[i], noClimb
		}
		v := 0.0
		if at, v, err = r.ascend(ctx, of, at, radius, enough*r.list[of].scale); err != nil {
			return best, err
		}
		r.list[of].remember(at, radius)
		if v > best.value {
			best.value, best.at = v, at
		}
	}
	v, g, err := r.gradient(of, best.at, radius, true)
	r.steepen(of, g)
	best.value, best.rise = v, rises(g)
	return best, err
}

// ascend goes up from one beginning until a step brings no more than enough.
func (r *responses) ascend(ctx context.Context, of int, at, radius []float64, enough float64) ([]float64, float64, error) {
	for {
		if err := context.Cause(ctx); err != nil {
			return at, 0, err
		}
		v, g, err := r.gradient(of, at, radius, false)
		if err != nil {
			return at, 0, err
		}
		r.steepen(of, g)
		x := columns(r.n, len(strides))
		for i, far := range strides {
			for c, to := range toRim(g, at, radius, far) {
				x[c][i] = to
			}
		}
		y, err := r.at(of, x, len(strides))
		if err != nil {
			return at, 0, err
		}
		best := downwards(y)[0]
		if !(y[best] > v+enough) {
			return at, v, nil
		}
		at = pick(x, []int{best})[0]
	}
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

// startsAt are deviations at the rims, other ones every time: the worst of many that a step leads to from where a
// few callouts, all along one line, are far beyond their zones and the others nowhere. Whichever supports govern
// there, the step is towards what is worst for them: at random few are met, and every group has a top of its own.
func (r *responses) startsAt(of int, radius []float64) ([][]float64, error) {
	r.list[of].looks++
	rng := rand.New(rand.NewPCG(r.list[of].looks, uint64(of)))
	x := columns(r.n, groupsOf)
	for i := range groupsOf {
		s, c := math.Sincos(2 * math.Pi * rng.Float64())
		far := make([]float64, r.n)
		for range 1 + rng.IntN(mostFar) {
			k, by := rng.IntN(len(radius)), beyondRim*float64(2*rng.IntN(2)-1)
			far[2*k], far[2*k+1] = by*radius[k]*c, by*radius[k]*s
		}
		_, g, err := r.gradient(of, far, radius, false)
		if err != nil {
			return nil, err
		}
		for c, to := range toRim(g, far, radius, 1e3) {
			x[c][i] = to
		}
	}
	y, err := r.at(of, x, groupsOf)
	if err != nil {
		return nil, err
	}
	order := downwards(y)
	order = slices.CompactFunc(order, func(i, k int) bool { return math.Abs(y[i]-y[k]) <= noClimb*r.list[of].scale }) // one place
	return pick(x, order[:min(worstOf, len(order))]), nil
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

// toRim is the deviation at the rim of every zone that a gradient leads to, from where it stands by so many
// radii: at kinks, of floats and of supports that govern, all the way is too far. Where the gradient is zero it
// stays: a limit that only some deviations bear on there is not brought down by the others.
func toRim(g, at, radius []float64, far float64) []float64 {
	x := make([]float64, len(g))
	for k, r := range radius {
		to := [2]float64{at[2*k], at[2*k+1]}
		if size := math.Hypot(g[2*k], g[2*k+1]); size > 0 {
			to[0] += far * r * g[2*k] / size
			to[1] += far * r * g[2*k+1] / size
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
