package form

import (
	"cmp"
	"math"
	"math/rand/v2"
	"slices"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/internal/ieee"
)

// scoredTube is a start for the descent, with the sum of squares it has to show.
type scoredTube struct {
	tube
	sum float64
}

// cylinderStarts are cylinders to descend from, best first. Over the principal axes and a grid of
// directions, those whose projections fit an algebraic circle best are brought to their least
// squares on some of the points.
func (c *cloud) cylinderStarts(axes principal) []tube {
	// Angles from the widest axis, and the number of directions tried around it: close together
	// near the axis, where a long cylinder fits only directions nearer than its radius over its
	// length.
	tilts := [...]struct {
		angle  float64
		around int
	}{{0.02, 6}, {0.05, 6}, {0.1, 8}, {0.2, 10}, {0.4, 12}, {0.65, 16}, {0.9, 20}, {1.15, 24}, {1.4, 24}}
	keep := 5 // directions of the grid descended from, besides the principal axes
	if len(c.p) <= 30 {
		keep = 15 // few points are fitted well by many directions
	}
	few := c.some(400)
	var starts, grid []scoredTube
	for _, a := range axes.axis {
		if s, ok := few.lookAlong(a); ok {
			starts = append(starts, s)
		}
	}
	for _, tilt := range tilts {
		s, c := math.Sincos(tilt.angle)
		for j := range tilt.around {
			sy, cx := math.Sincos(2 * math.Pi * float64(j) / float64(tilt.around))
			dir := r3.Add(r3.Scale(c, axes.axis[0]), r3.Add(r3.Scale(s*cx, axes.axis[1]), r3.Scale(s*sy, axes.axis[2])))
			if s, ok := few.lookAlong(r3.Unit(dir)); ok {
				grid = append(grid, s)
			}
		}
	}
	better := func(a, b scoredTube) int { return cmp.Compare(a.sum, b.sum) }
	slices.SortStableFunc(grid, better)
	starts = append(starts, grid[:min(keep, len(grid))]...)
	g, h := make([]float64, 5), mat.NewSymDense(5, nil)
	for i, s := range starts {
		if t, ok := few.newton(s.tube); ok && t.sound() {
			starts[i] = scoredTube{t, few.squares(t, g, h)}
		} else {
			starts[i].sum = math.Inf(1) // a last resort
		}
	}
	slices.SortStableFunc(starts, better)
	tubes := make([]tube, len(starts))
	for i, s := range starts {
		tubes[i] = s.tube
	}
	return tubes
}

// some is the cloud itself, or n of its points, drawn so that no pattern of the scan is repeated;
// the same ones every time.
func (c *cloud) some(n int) *cloud {
	if len(c.p) <= n {
		return c
	}
	rng := rand.New(rand.NewPCG(1, 2))
	few := &cloud{scale: 1, p: make([]r3.Vec, n)}
	for i := range few.p {
		few.p[i] = c.p[rng.IntN(len(c.p))]
	}
	few.mean = mean(few.p)
	return few
}

// lookAlong fits an algebraic circle to the points seen along dir.
func (c *cloud) lookAlong(dir r3.Vec) (scoredTube, bool) {
	e1, e2 := across(dir)
	flat := cloud{p: make([]r3.Vec, len(c.p)), mean: r3.Vec{X: r3.Dot(e1, c.mean), Y: r3.Dot(e2, c.mean)}}
	for i, p := range c.p {
		flat.p[i] = r3.Vec{X: r3.Dot(e1, p), Y: r3.Dot(e2, p)}
	}
	k := flat.algebraic()
	if !ieee.Finite(k.at.X, k.at.Y, k.r) {
		return scoredTube{}, false
	}
	var sum float64
	f := k.frame()
	for _, p := range flat.p {
		_, _, rho, _ := f.see(p)
		sum += (rho - k.r) * (rho - k.r)
	}
	return scoredTube{tube{at: r3.Add(r3.Scale(k.at.X, e1), r3.Scale(k.at.Y, e2)), dir: dir, r: k.r}, sum}, true
}
