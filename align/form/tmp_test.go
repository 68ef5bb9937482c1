package form_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/align/form"
)

func TestTmpArc(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 6))
	bad := 0
	for trial := range 300 {
		points := make([]r2.Vec, 5+rng.IntN(9))
		noise := []float64{1e-4, 1e-3, 0.02}[trial%3]
		arc := []float64{0.5, 1, 2, 3}[(trial/3)%4]
		for i := range points {
			a := arc * (float64(i) + 0.6*rng.Float64()) / float64(len(points))
			r := 10 * (1 + noise*rng.NormFloat64())
			points[i] = r2.Vec{X: r * math.Cos(a), Y: r * math.Sin(a)}
		}
		fit, err := form.MinimumZoneCircle(points, form.Uncertainty{})
		if err != nil {
			t.Log(trial, arc, noise, err)
			continue
		}
		want := bisectors(points)
		if math.Abs(fit.Deviation.Total.Millimetres()-want) > 1e-11 {
			bad++
			t.Log(trial, arc, noise, fit.Deviation.Total.Millimetres(), want, fit.Radius, fit.Proof.Reach, fit.Proof.Gap.Millimetres())
		}
	}
	t.Log(bad)
}
