package specify

import (
	"context"
	"math"
	"math/rand/v2"
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
	starts    = 5
	climbs    = 25
	startSeed = 1
)

// worst climbs to the worst of one response.
func (r *responses) worst(ctx context.Context, of int, radius []float64, from *top) (top, error) {
	rng := rand.New(rand.NewPCG(startSeed, uint64(of)))
	best := top{of: of, value: math.Inf(-1)}
	for start := range starts {
		x := make([]float64, r.n)
		for k := range radius {
			s, c := math.Sincos(2 * math.Pi * rng.Float64())
			if start == 0 { // all one way
				s, c = 0, 1
			}
			x[2*k], x[2*k+1] = radius[k]*c, radius[k]*s
		}
		if start == 1 && from != nil {
			x = toRim(from.at, radius)
		}
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
			before, x = v, toRim(g, radius)
		}
	}
	return best, nil
}

// toRim is the deviation at the rim of every zone towards a vector.
func toRim(g, radius []float64) []float64 {
	x := make([]float64, len(g))
	for k, r := range radius {
		if size := math.Hypot(g[2*k], g[2*k+1]); size > 0 {
			x[2*k], x[2*k+1] = r*g[2*k]/size, r*g[2*k+1]/size
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
