package form_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/align/form"
)

var circleSets = []string{"circle_gander1994", "circle_4pt", "circle_16pt_3lobe", "circle_12pt_bore"}

// Source: reference results: all centres where two bisectors meet (testdata/README.md).
func TestMinimumZoneCircle_reference(t *testing.T) {
	contacts := map[string][2][]float64{"circle_gander1994": {{1, 3}, {2, 5}}, "circle_4pt": {{1, 3}, {2, 4}}, "circle_16pt_3lobe": {{1, 6}, {4, 14}}, "circle_12pt_bore": {{1, 7}, {5, 10}}}
	for _, name := range circleSets {
		fit, err := form.MinimumZoneCircle(flatData(t, name), form.Uncertainty{})
		if err != nil {
			t.Error(name, err)
			continue
		}
		near(t, name, fit.Deviation.Total.Millimetres(), reference(t, name, "MZCI roundness")[0], zoneTol)
		c := reference(t, name, "MZCI centre")
		near(t, name+" x", fit.Centre.X, c[0], zoneTol)
		near(t, name+" y", fit.Centre.Y, c[1], zoneTol)
		r := reference(t, name, "MZCI radii outer,inner")
		near(t, name+" outer", fit.Outer.Millimetres(), r[0], zoneTol)
		near(t, name+" inner", fit.Inner.Millimetres(), r[1], zoneTol)
		sameRows(t, name+" outer", fit.Deviation.High, contacts[name][0])
		sameRows(t, name+" inner", fit.Deviation.Low, contacts[name][1])
		t.Log(name, *fit.Proof)
		if fit.Proof.Gap > zoneTol || fit.Proof.Unbalance > 1e-12 {
			t.Errorf("%s: proof %+v", name, *fit.Proof)
		}
	}
}

// bisectors is the roundness of a few points by brute force: every centre where the bisectors of two pairs meet.
func bisectors(p []r2.Vec) float64 {
	best := math.Inf(1)
	for i := range p {
		for j := range i {
			for k := range p {
				for l := range k {
					a, b := r2.Sub(p[i], p[j]), r2.Sub(p[k], p[l])
					ra, rb := (r2.Norm2(p[i])-r2.Norm2(p[j]))/2, (r2.Norm2(p[k])-r2.Norm2(p[l]))/2
					det := r2.Cross(a, b)
					if math.Abs(det) < 1e-9*r2.Norm(a)*r2.Norm(b) {
						continue
					}
					c := r2.Vec{X: (ra*b.Y - rb*a.Y) / det, Y: (a.X*rb - b.X*ra) / det}
					hi, lo := 0.0, math.Inf(1)
					for _, q := range p {
						d := r2.Norm(r2.Sub(q, c))
						hi, lo = math.Max(hi, d), math.Min(lo, d)
					}
					best = math.Min(best, hi-lo)
				}
			}
		}
	}
	return best
}

// A second method: brute force, from near-perfect circles to clouds without shape.
func TestMinimumZoneCircle_bruteForce(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	for trial := range 120 {
		points := make([]r2.Vec, 4+rng.IntN(9))
		noise := []float64{1e-4, 1e-2, 0.2}[trial%3]
		for i := range points {
			a := 2 * math.Pi * (float64(i) + 0.6*rng.Float64()) / float64(len(points))
			r := 10 * (1 + noise*rng.NormFloat64())
			points[i] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
		}
		fit, err := form.MinimumZoneCircle(points, form.Uncertainty{})
		if err != nil {
			t.Error(trial, err)
			continue
		}
		want := bisectors(points)
		near(t, "roundness", fit.Deviation.Total.Millimetres(), want, 1e-11)
		if fit.Proof.Gap.Millimetres() > 1e-11 || fit.Proof.Reach != form.Everyone {
			t.Errorf("trial %d: %v proof %+v", trial, want, *fit.Proof)
		}
	}
}
