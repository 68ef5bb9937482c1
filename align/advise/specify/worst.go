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
	of    int
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
	quickOf    = 2   // of the worst where a top is known already and the answer is looked at again
	climbs     = 25
	startSeed  = 1
)

// worst climbs to the worst of one response: from many places, or with a top that is known from there and a
// few.
func (r *responses) worst(ctx context.Context, of int, radius []float64, from *top) (top, error) {
	best := top{of: of, value: math.Inf(-1)}
	begin, err := r.startsAt(of, radius)
	if err != nil {
		return best, err
	}
	if from != nil {
		begin = append(begin[others:others+quickOf:others+quickOf], toRim(from.at, from.at, radius))
	}
	for _, x := range begin {
		before := math.Inf(-1)
		for range climbs {
			if err := context.Cause(ctx); err != nil {
				return best, err
			}
			v, g, err := r.gradient(of, x, radius)
			if err != nil {
				return best, err
			}
			if v > best.value {
				best.value, best.at, best.rise = v, append([]float64(nil), x...), rises(g)
			}
			if v <= before+1e-7*r.scale[of] {
				break
			}
			before, x = v, toRim(g, x, radius)
		}
	}
	return best, nil
}

// startsAt are deviations drawn at the rims, and the worst of many more. All of one lie along one line, this
// way or that, as they do at the worst of a limit to first order; the first lie all one way.
func (r *responses) startsAt(of int, radius []float64) ([][]float64, error) {
	rng := rand.New(rand.NewPCG(startSeed, uint64(of)))
	x := make([][]float64, r.n)
	for c := range x {
		x[c] = make([]float64, drawnBoxes)
	}
	for i := range drawnBoxes {
		s, c := math.Sincos(2 * math.Pi * rng.Float64())
		for k := range radius {
			if i > 0 && rng.IntN(2) == 0 {
				s, c = -s, -c
			}
			x[2*k][i], x[2*k+1][i] = radius[k]*c, radius[k]*s
		}
	}
	y, err := r.at(x, drawnBoxes)
	if err != nil {
		return nil, err
	}
	order := make([]int, drawnBoxes)
	for i := range order {
		order[i] = i
	}
	slices.SortStableFunc(order[others:], func(a, b int) int { return -cmp.Compare(y[of][a], y[of][b]) })
	var out [][]float64
	for _, i := range order[:others+worstOf] {
		at := make([]float64, r.n)
		for c := range at {
			at[c] = x[c][i]
		}
		out = append(out, at)
	}
	return out, nil
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
