package rare

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// Bounds of covering.
const (
	coverRounds  = 6
	coverBatches = 4    // of samples in a round
	coverSpread  = 2.0  // standard deviations of these samples, within the span of the points
	coverKnown   = 4    // searches in a round that find nothing new, after which the round ends
	spanLeast    = 0.25 // a point this far out of the span of others widens it
	acrossSteps  = 16   // points tried on a ray, twice
	betweenLeast = 4.0  // times as much weight as at a design point that a point between must have to be added
)

// cover looks for design points between and beside those that are known, where failures would be drawn too seldom: it samples about the points, spread wider in the directions that they span, and starts a search at the failure of greatest weight, again and again. It returns how many points it found that matter.
func (w *pathfinder) cover(seed uint64, round int) (found int, err error) {
	axes := w.span()
	left, err := w.wide(seed, round, axes)
	if err != nil {
		return 0, err
	}
	mix := newMixture(w.points)
	for known := 0; known < coverKnown && len(left) > 0; {
		best := mix.heaviest(len(left), func(i int) []float64 { return left[i].z })
		start := left[best]
		left = slices.Delete(left, best, best+1)
		p, ok, err := w.climb(start.side, start.z)
		if err != nil {
			return found, err
		}
		before := len(w.points)
		if ok && w.keep(p) {
			w.prune()
		}
		if len(w.points) <= before { // the way led to what is known: what lies between is as likely, and far from it
			q, ok, err := w.across(start, axes)
			if err != nil {
				return found, err
			}
			if ok && mix.weightOf(q.z) > betweenLeast*mix.weightOf(mix.z[0]) && w.keep(q) {
				w.prune()
			}
		}
		if len(w.points) <= before {
			known++
			continue
		}
		found++
		known = 0
		mix = newMixture(w.points)
	}
	return found, nil
}

// across is where the ray from the medians to a failure, within the span of the points, crosses the limit.
func (w *pathfinder) across(start failure, axes [][]float64) (p DesignPoint, ok bool, err error) {
	ray := make([]float64, len(start.z))
	for _, axis := range axes {
		v := floats.Dot(axis, start.z)
		for c, a := range axis {
			ray[c] += v * a
		}
	}
	from, to := 0.0, 1.0
	trial := make([]float64, len(ray))
	for range 2 {
		at := func(k int) float64 { return from + (to-from)*float64(k+1)/acrossSteps }
		for k := range acrossSteps {
			for c, v := range ray {
				trial[c] = at(k) * v
			}
			w.put(k, trial)
		}
		if err := w.evaluate(acrossSteps); err != nil {
			return p, false, err
		}
		k := 0
		for k < acrossSteps && within(w.q, start.side, w.Y, k) >= 0 {
			k++
		}
		if k == acrossSteps {
			return p, false, nil
		}
		from, to = at(k-1), at(k)
	}
	for c := range ray {
		ray[c] *= to
	}
	beta := math.Sqrt(floats.Dot(ray, ray))
	out := make([]float64, len(ray))
	for c, v := range ray {
		out[c] = v / beta
	}
	return DesignPoint{Side: start.side, Beta: beta, Probability: math.Erfc(beta/math.Sqrt2) / 2, z: ray, out: out}, true, nil
}

// failure is where a sample failed.
type failure struct {
	side Side
	z    []float64
}

// wide samples about the points and returns the failures that are near enough to matter.
func (w *pathfinder) wide(seed uint64, round int, axes [][]float64) (out []failure, err error) {
	w.Begin("/cover", seed, round)
	chance := law.NewStream(seed, "/cover", uint64(round))
	nearest := w.nearest()
	along := make([]float64, len(axes))
	for range coverBatches {
		w.normals(1)
		for i := range stackup.BatchSize {
			p := &w.points[int(chance.Float64()*float64(len(w.points)))]
			for c, v := range p.z {
				w.Z[c][i] += v
			}
			chance.Normals(along)
			for k, axis := range axes {
				for c, v := range axis {
					w.Z[c][i] += math.Sqrt(coverSpread*coverSpread-1) * along[k] * v
				}
			}
		}
		if err := w.evaluate(stackup.BatchSize); err != nil {
			return nil, err
		}
		for i := range stackup.BatchSize {
			var squares float64 // within the span
			z := w.row(i)
			for _, axis := range axes {
				v := floats.Dot(axis, z)
				squares += v * v
			}
			for _, side := range sides(w.q) {
				if within(w.q, side, w.Y, i) < 0 && math.Sqrt(squares) <= math.Abs(nearest[side])+pointBeyond {
					out = append(out, failure{side, z})
					break
				}
			}
		}
	}
	return out, nil
}

// span are orthogonal directions of length 1 that the points lie along, but for a little.
func (w *pathfinder) span() (axes [][]float64) {
	for i := range w.points {
		rest := append([]float64(nil), w.points[i].z...)
		for _, axis := range axes {
			v := floats.Dot(axis, rest)
			for c := range rest {
				rest[c] -= v * axis[c]
			}
		}
		size := math.Sqrt(floats.Dot(rest, rest))
		if size < spanLeast {
			continue
		}
		for c := range rest {
			rest[c] /= size
		}
		axes = append(axes, rest)
	}
	return axes
}
