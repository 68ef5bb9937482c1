package stackup

import (
	"context"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/stackup/law"
)

// Bounds of covering.
const (
	coverRounds  = 6
	coverBatches = 4    // of samples in a round
	coverSpread  = 2.0  // standard deviations of these samples, within the span of the points
	coverKnown   = 4    // searches in a round that find nothing new, after which the round ends
	spanLeast    = 0.25 // a point this far out of the span of others widens it
)

// cover looks for design points between and beside those that are known, where failures would be drawn too seldom: it samples about the points, spread wider in the directions that they span, and starts a search at the failure of greatest weight, again and again. It returns how many points it found that matter.
func (w *pathfinder) cover(ctx context.Context, seed uint64, round int) (found int, err error) {
	left, err := w.wide(seed, round)
	if err != nil {
		return 0, err
	}
	mix := newMixture(w.points)
	for known := 0; known < coverKnown && len(left) > 0; {
		if err := ctx.Err(); err != nil {
			return found, fmt.Errorf("stackup: stopped looking for design points: %w", context.Cause(ctx))
		}
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

// failure is where a sample failed.
type failure struct {
	side Side
	z    []float64
}

// wide samples about the points and returns the failures that are near enough to matter.
func (w *pathfinder) wide(seed uint64, round int) (out []failure, err error) {
	axes := w.span()
	streams := make([]law.Stream, len(w.study.Inputs))
	for i := range streams {
		streams[i] = law.NewStream(seed, w.study.Inputs[i].Name+"/cover", uint64(round))
	}
	chance := law.NewStream(seed, "/cover", uint64(round))
	nearest := math.Inf(1)
	for i := range w.points {
		nearest = math.Min(nearest, w.points[i].Beta)
	}
	along := make([]float64, len(axes))
	for range coverBatches {
		w.normals(streams, 1)
		for i := range batch {
			p := &w.points[int(chance.Float64()*float64(len(w.points)))]
			for c, v := range p.z {
				w.z[c][i] += v
			}
			chance.Normals(along)
			for k, axis := range axes {
				for c, v := range axis {
					w.z[c][i] += math.Sqrt(coverSpread*coverSpread-1) * along[k] * v
				}
			}
		}
		if err := w.evaluate(batch); err != nil {
			return nil, err
		}
		for i := range batch {
			var squares float64 // within the span
			z := w.row(i)
			for _, axis := range axes {
				v := inner(axis, z)
				squares += v * v
			}
			if math.Sqrt(squares) > math.Abs(nearest)+pointBeyond {
				continue
			}
			for _, side := range w.q.sides() {
				if w.q.room(side, w.y, i) < 0 {
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
			v := inner(axis, rest)
			for c := range rest {
				rest[c] -= v * axis[c]
			}
		}
		size := math.Sqrt(inner(rest, rest))
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
