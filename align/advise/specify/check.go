package specify

import (
	"cmp"
	"context"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/stat/distuv"
)

// usualSamples is how many boxes are drawn for a yield.
const usualSamples = 20000

// samples is how many boxes are drawn for a yield.
func (a *Ask) samples() int { return cmp.Or(a.Samples, usualSamples) }

// block is how many are evaluated at once.
const block = 512

// sample draws boxes within zones and counts those that hold every limit. It stops early once the lower
// end of the interval cannot reach least any more.
//
// Source: the interval is that of C. J. Clopper and E. S. Pearson, Biometrika 26 (1934).
func (a *Ask) sample(ctx context.Context, r *responses, zone []float64, least float64) (Share, error) {
	n := a.samples()
	radius := a.radii(zone)
	rng := rand.New(rand.NewPCG(a.Seed, 7))
	x := make([][]float64, r.n)
	for c := range x {
		x[c] = make([]float64, block)
	}
	good, done := 0, 0
	for done < n {
		if done-good > 0 && lowest(n-(done-good), n) < least {
			break
		}
		if err := context.Cause(ctx); err != nil {
			return Share{}, err
		}
		m := min(block, n-done)
		for i := range m {
			drawBox(rng, x, i, radius)
		}
		y, err := r.at(x, m)
		if err != nil {
			return Share{}, err
		}
		for i := range m {
			holds := true
			for of := range y {
				holds = holds && y[of][i] <= 0
			}
			if holds {
				good++
			}
		}
		done += m
	}
	n = min(n, done)
	s := Share{Value: float64(good) / float64(n), Low: lowest(good, n), High: 1, Boxes: n}
	if good < n {
		s.High = distuv.Beta{Alpha: float64(good + 1), Beta: float64(n - good)}.Quantile(1 - tail)
	}
	return s, nil
}

// tail is the share that each end of an interval leaves out.
const tail = 0.025

// lowest is the lower end of the interval of a share of which so many of n were good.
func lowest(good, n int) float64 {
	if good == 0 {
		return 0
	}
	return distuv.Beta{Alpha: float64(good), Beta: float64(n - good + 1)}.Quantile(tail)
}

// drawBox draws one box: deviations normal with a third of the radius, none outside the zone.
func drawBox(rng *rand.Rand, x [][]float64, i int, radius []float64) {
	for k, r := range radius {
		for {
			u, v := rng.NormFloat64()/sigmas, rng.NormFloat64()/sigmas
			if math.Hypot(u, v) <= 1 {
				x[2*k][i], x[2*k+1][i] = r*u, r*v
				break
			}
		}
	}
}
