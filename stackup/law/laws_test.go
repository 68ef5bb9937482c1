package law_test

import (
	"math"
	"testing"

	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// A subject is a law under the suite.
type subject struct {
	name string
	law  law.Law
	// steps is true for a law with jumps.
	steps bool
	// rough is how far moments may be off the numerical quadrature, in standard deviations, where the quantile function is not smooth.
	rough float64
	// slow laws are compared at fewer points.
	slow bool
}

// subjects returns every law of the package, with tame, wide, narrow and shifted parameters.
func subjects(tb testing.TB) []subject {
	tb.Helper()
	const smooth = 1e-9
	normal := stacktest.Must(law.NewNormal(0.25, 0.012))
	student := stacktest.Must(law.NewStudent(0, 1, 6))
	weibull := stacktest.Must(law.NewWeibull(0, 1, 1))
	return []subject{
		{name: "normal", law: normal, rough: smooth},
		{name: "normal far from 0", law: stacktest.Must(law.NewNormal(-1e6, 1e-3)), rough: 1e-6},
		{name: "uniform", law: stacktest.Must(law.NewUniform(-0.3, 0.1)), rough: smooth},
		{name: "uniform from 0", law: stacktest.Must(law.NewUniform(0, 7)), rough: smooth},
		{name: "triangular", law: stacktest.Must(law.NewTriangular(0, 0.05)), rough: 1e-6},
		{name: "triangular from 0", law: stacktest.Must(law.NewTriangular(2, 2)), rough: 1e-6},
		{name: "trapezoidal", law: stacktest.Must(law.NewTrapezoidal(-1, 2, 0.4)), rough: 1e-5},
		{name: "trapezoidal, top 0", law: stacktest.Must(law.NewTrapezoidal(-1, 1, 0)), rough: 1e-5},
		{name: "trapezoidal, top 1", law: stacktest.Must(law.NewTrapezoidal(0, 1, 1)), rough: smooth},
		{name: "curvilinear trapezoid", law: stacktest.Must(law.NewCurvilinearTrapezoid(-0.05, 0.05, 0.025)), rough: 1e-5},
		{name: "curvilinear trapezoid, widest", law: stacktest.Must(law.NewCurvilinearTrapezoid(-1, 3, 2)), rough: 1e-4},
		{name: "curvilinear trapezoid, exact", law: stacktest.Must(law.NewCurvilinearTrapezoid(-1, 3, 0)), rough: smooth},
		{name: "curvilinear trapezoid, thin", law: stacktest.Must(law.NewCurvilinearTrapezoid(-1, 1, 1e-6)), rough: 1e-5},
		{name: "arcsine", law: stacktest.Must(law.NewArcsine(-0.5, 0.5)), rough: smooth},
		{name: "arcsine from 0", law: stacktest.Must(law.NewArcsine(0, 3)), rough: smooth},
		{name: "beta hump", law: stacktest.Must(law.NewBeta(-1, 1, 4, 2)), rough: smooth},
		{name: "beta bowl", law: stacktest.Must(law.NewBeta(0, 1, 0.3, 0.6)), rough: 1e-7},
		{name: "beta slope", law: stacktest.Must(law.NewBeta(10, 20, 1, 3)), rough: smooth},
		{name: "beta narrow", law: stacktest.Must(law.NewBeta(0, 1, 2000, 3000)), rough: 1e-7},
		{name: "lognormal", law: stacktest.Must(law.NewLogNormal(0, -4, 0.5)), rough: smooth},
		{name: "lognormal, shifted", law: stacktest.Must(law.NewLogNormal(-0.2, -2, 0.1)), rough: smooth},
		{name: "Weibull, shape 1", law: weibull, rough: smooth},
		{name: "Weibull, shape 0.7", law: stacktest.Must(law.NewWeibull(1, 2, 0.7)), rough: 1e-8},
		{name: "Weibull, shape 80", law: stacktest.Must(law.NewWeibull(0, 5, 80)), rough: 1e-8},
		{name: "Rayleigh", law: stacktest.Must(law.NewWeibull(0, math.Sqrt2*0.004, 2)), rough: smooth},
		{name: "Student's t, 6", law: student, rough: 1e-4},
		{name: "Student's t, 18.5", law: stacktest.Must(law.NewStudent(50, 25, 18.5)), rough: 1e-7},
		{name: "Student's t, 1e6", law: stacktest.Must(law.NewStudent(0, 1, 1e6)), rough: 1e-7, slow: true},
		{name: "Student's t, 0.8", law: stacktest.Must(law.NewStudent(0, 1, 0.8))},
		{name: "truncated normal", law: stacktest.Must(law.Truncate(normal, 0.23, 0.28)), rough: smooth},
		{name: "truncated normal, one side", law: stacktest.Must(law.Truncate(normal, math.Inf(-1), 0.25)), rough: smooth},
		{name: "truncated normal, upper tail", law: stacktest.Must(law.Truncate(normal, 0.3, math.Inf(1))), rough: smooth},
		{name: "truncated normal, lower tail", law: stacktest.Must(law.Truncate(normal, 0.1, 0.2)), rough: smooth},
		{name: "truncated Weibull", law: stacktest.Must(law.Truncate(weibull, 0.5, 3)), rough: smooth},
		{name: "truncated t", law: stacktest.Must(law.Truncate(student, -3, 4)), rough: smooth},
		{name: "discrete", law: stacktest.Must(law.NewDiscrete([]float64{3, -1, 0.5, 3}, []float64{1, 2, 4, 1})), steps: true},
		{name: "discrete, many", law: stacktest.Must(law.NewDiscrete([]float64{1, 2, 3, 4, 5, 6, 7}, []float64{10, 1, 1, 5, 0, 3, 0.1})), steps: true},
		{name: "truncated discrete", law: stacktest.Must(law.Truncate(stacktest.Must(law.NewDiscrete([]float64{-1, 0, 1, 2}, []float64{1, 2, 4, 1})), 0, 1)), steps: true},
		{name: "sample", law: stacktest.Must(law.NewSample([]float64{0.012, 0.009, 0.015, 0.012, 0.007})), steps: true},
		{name: "mixture", law: stacktest.Must(law.NewMixture([]law.Law{normal, stacktest.Must(law.NewNormal(0.3, 0.005))}, []float64{3, 1})), rough: 1e-3},
		{name: "mixture of bounded laws", law: stacktest.Must(law.NewMixture([]law.Law{stacktest.Must(law.NewUniform(0, 1)), stacktest.Must(law.NewTriangular(2, 0.5))}, []float64{1, 1})), rough: 1e-1},
		{name: "mixture with a constant", law: stacktest.Must(law.NewMixture([]law.Law{normal, stacktest.Must(law.NewNormal(0.3, 0))}, []float64{3, 1})), steps: true},
		{name: "size, Rice", law: size(tb, 1, 2, 1, 1, 0), rough: smooth, slow: true},
		{name: "size, general", law: size(tb, 0.1, 0.2, 1, 0.1, 0.2), rough: smooth, slow: true},
		{name: "size, folded", law: size(tb, 0.4, 0, 1, 0, 0), rough: 1e-8, slow: true},
		{name: "constant normal", law: stacktest.Must(law.NewNormal(2, 0)), steps: true},
		{name: "constant uniform", law: stacktest.Must(law.NewUniform(2, 2)), steps: true},
		{name: "constant triangular", law: stacktest.Must(law.NewTriangular(2, 0)), steps: true},
		{name: "constant trapezoidal", law: stacktest.Must(law.NewTrapezoidal(2, 2, 0.5)), steps: true},
		{name: "constant curvilinear trapezoid", law: stacktest.Must(law.NewCurvilinearTrapezoid(2, 2, 0)), steps: true},
		{name: "constant arcsine", law: stacktest.Must(law.NewArcsine(2, 2)), steps: true},
		{name: "constant beta", law: stacktest.Must(law.NewBeta(2, 2, 1, 5)), steps: true},
		{name: "constant lognormal", law: stacktest.Must(law.NewLogNormal(1, 0, 0)), steps: true},
		{name: "constant Weibull", law: stacktest.Must(law.NewWeibull(2, 0, 3)), steps: true},
		{name: "constant Student's t", law: stacktest.Must(law.NewStudent(2, 0, 3)), steps: true},
		{name: "constant truncated", law: stacktest.Must(law.Truncate(normal, 0.26, 0.26)), steps: true},
		{name: "truncated constant", law: stacktest.Must(law.Truncate(stacktest.Must(law.NewNormal(2, 0)), 2, 3)), steps: true},
	}
}
