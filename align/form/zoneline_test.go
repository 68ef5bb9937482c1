package form_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/align/form"
)

// Source: reference results: all pair directions enumerated in rational arithmetic. Pearson's points: exactly √(9/20), with three collinear contacts.
func TestMinimumZoneLine_reference(t *testing.T) {
	for name, contacts := range map[string][2][]float64{"line_pearson1901": {{1, 4, 6}, {5}}, "line_13pt": {{10}, {7, 13}}} {
		fit, err := form.MinimumZoneLine(flatData(t, name), form.Uncertainty{})
		if err != nil {
			t.Fatal(err)
		}
		near(t, name, fit.Deviation.Total.Millimetres(), reference(t, name, "MZ straightness")[0], zoneTol)
		near(t, name+" angle", math.Atan(fit.Slope()), reference(t, name, "MZ angle rad")[0], 1e-14)
		sameRows(t, name+" high", fit.Deviation.High, contacts[0])
		sameRows(t, name+" low", fit.Deviation.Low, contacts[1])
		if fit.Proof.Reach != form.Everyone || fit.Proof.Gap > zoneTol || fit.Proof.Unbalance > 1e-13 {
			t.Errorf("%s: proof %+v", name, *fit.Proof)
		}
	}
}

// A second method: every pair of points gives a direction.
func TestMinimumZoneLine_bruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 4))
	for trial := range 200 {
		points := make([]r2.Vec, 3+rng.IntN(12))
		flat := []float64{1, 1e-3, 0}[trial%3]
		for i := range points {
			x := rng.NormFloat64()
			points[i] = r2.Vec{X: x, Y: 0.3*x + flat*rng.NormFloat64()}
		}
		best := math.Inf(1)
		for i := range points {
			for j := range i {
				e := r2.Unit(r2.Sub(points[i], points[j]))
				hi, lo := math.Inf(-1), math.Inf(1)
				for _, p := range points {
					h := r2.Cross(e, p)
					hi, lo = math.Max(hi, h), math.Min(lo, h)
				}
				best = math.Min(best, hi-lo)
			}
		}
		fit, err := form.MinimumZoneLine(points, form.Uncertainty{})
		if err != nil {
			t.Fatal(err)
		}
		near(t, "straightness", fit.Deviation.Total.Millimetres(), best, 1e-14)
		near(t, "gap", fit.Proof.Gap.Millimetres(), 0, 1e-13)
	}
}
