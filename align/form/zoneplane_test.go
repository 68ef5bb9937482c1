package form_test

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
)

// zoneTol is the accuracy asked of flatness, straightness and roundness, in mm.
const zoneTol = 1e-11

func sameRows(t testing.TB, what string, got []int, want []float64) {
	t.Helper()
	ok := len(got) == len(want)
	for _, r := range want {
		ok = ok && slices.Contains(got, int(r)-1)
	}
	if !ok {
		t.Errorf("%s: rows from 0 %v, want from 1 %v", what, got, want)
	}
}

// Source: reference results: all face-vertex and edge-edge directions enumerated, the best in rational arithmetic (testdata/README.md). The twist and the pyramid are exact.
func TestMinimumZonePlane_reference(t *testing.T) {
	for name, points := range planeSets(t) {
		fit, err := planeBy(form.MinimumZone)(points, form.Uncertainty{})
		if err != nil {
			t.Error(name, err)
			continue
		}
		check.Near(t, name, fit.Deviation.Total.Millimetres(), reference(t, name, "MZ flatness")[0], zoneTol)
		if name == "plane_grid25_dome" {
			// The high contact 13 lies over the line of the low ones 5 and 21, so that the plane may turn about it: third contacts 1 and 25 differ by 2e-12 mm.
			continue
		}
		n := reference(t, name, "MZ normal(+z)")
		check.Near(t, name+" normal", r3.Norm(r3.Sub(fit.Normal, r3.Vec{X: n[0], Y: n[1], Z: n[2]})), 0, 1e-13)
		high, low := reference(t, name, "MZ contacts high"), reference(t, name, "MZ contacts low")
		sameRows(t, name+" high", fit.Deviation.High, high)
		sameRows(t, name+" low", fit.Deviation.Low, low)
	}
}

// Source: hand calculation: the corners of a regular tetrahedron (±1) have width 2 between opposite edges, three times over.
func TestMinimumZonePlane_tetrahedron(t *testing.T) {
	fit, err := planeBy(form.MinimumZone)(tetra, form.Uncertainty{})
	if err != nil {
		t.Fatal(err)
	}
	check.Near(t, "width", fit.Deviation.Total.Millimetres(), 2, zoneTol)
}

// enumerate is the width of a few points by brute force: every direction square to three points or to two pairs.
func enumerate(points []r3.Vec) float64 {
	best := math.Inf(1)
	try := func(n r3.Vec) {
		if l := r3.Norm(n); l > 1e-12 {
			hi, lo := math.Inf(-1), math.Inf(1)
			for _, p := range points {
				v := r3.Dot(n, p) / l
				hi, lo = math.Max(hi, v), math.Min(lo, v)
			}
			best = math.Min(best, hi-lo)
		}
	}
	for i := range points {
		for j := range i {
			e := r3.Sub(points[i], points[j])
			for k := range points {
				for l := range k {
					try(r3.Cross(e, r3.Sub(points[k], points[l])))
				}
			}
		}
	}
	return best
}

// A second method: brute force over all candidate directions, for flat and needle-like clouds; round ones have many optima.
func TestMinimumZonePlane_bruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 2))
	for trial := range 150 {
		n := 4 + rng.IntN(9)
		size := [][3]float64{{1, 1, 1}, {1, 1, 1e-3}, {1, 0.05, 1e-3}, {1, 1, 0.1}, {100, 80, 0.01}}[trial%5]
		points := make([]r3.Vec, n)
		for i := range points {
			points[i] = r3.Vec{X: size[0] * rng.NormFloat64(), Y: size[1] * rng.NormFloat64(), Z: size[2] * rng.NormFloat64()}
		}
		fit, err := planeBy(form.MinimumZone)(points, form.Uncertainty{})
		if err != nil {
			t.Fatal(trial, err)
		}
		width, best := fit.Deviation.Total.Millimetres(), enumerate(points)
		if trial%5 != 0 {
			check.Near(t, "width", width, best, 1e-12*size[0])
		} else if width < best-1e-12 { // a ball of points has many optima
			t.Errorf("trial %d: width %.15g, least %.15g", trial, width, best)
		}
	}
}
