package learn

import (
	"context"
	"math"
	"slices"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
)

// gaussian is a normal law over the normal numbers of a study, from which samples near what was observed are drawn.
type gaussian struct {
	mean    []float64
	upper   [][]float64 // the factor U of its precision UᵀU: numbers less the mean, times U, are independent
	inverse [][]float64 // of the factor
	logRoot float64     // minus the logarithm of the product of the factor's diagonal
}

// Bounds of the fit.
const (
	gaussSteps  = 8
	gaussEnd    = 0.01
	gaussWiden  = 2.0   // the variance of a reading is taken this much greater, so that the law is wide enough
	gaussFloor  = 1e-10 // least variance of a reading, relative to that which the slopes give it: sharper ones would drown what they say nothing of in rounding
	priorShare  = 0.2   // of the samples are drawn as the laws say, which bounds the weights
	logOverflow = 700
	normalStep  = 0.01 // of a difference, in standard deviations
	farthest    = 12.0 // standard deviations: a step of the square of that leads nowhere
)

// tracer evaluates the model at normal numbers.
type tracer struct{ *stackup.Sampler }

// evaluate works out the first n rows of Z.
func (w tracer) evaluate(n int) error {
	w.Fill(n)
	return w.Rows("likeliest deviations", n)
}

// near fits a gaussian to what is known after readings: Gauss and Newton's steps to the likeliest numbers, and the
// precision of the model made linear there, 1 + Σ slope slopeᵀ/variance of the reading. It returns nil when the model
// has no slope there.
//
// Source: Bell and Cathey, The iterated Kalman filter update as a Gauss-Newton method, IEEE Trans. Autom. Control 38 (1993).
func near(ctx context.Context, s *stackup.Study, readings []Observation) (*gaussian, error) {
	w := tracer{stackup.NewNormalSampler(ctx, s)}
	w.AtMeans()
	n := len(w.Z)
	if n == 0 {
		return nil, nil
	}
	at := make([]float64, n)
	var factor mat.Cholesky
	for range gaussSteps {
		y, slopes, err := w.slopes(readings, at)
		if y == nil || err != nil {
			return nil, err
		}
		precision, right, likeliest := mat.NewSymDense(n, nil), mat.NewVecDense(n, nil), mat.NewVecDense(n, nil)
		for i := range n {
			precision.SetSym(i, i, 1)
		}
		for k := range readings {
			o := &readings[k]
			variance := max(gaussWiden*o.Uncertainty*o.Uncertainty, gaussFloor*floats.Dot(slopes[k], slopes[k]))
			slope := mat.NewVecDense(n, slopes[k])
			precision.SymRankOne(precision, 1/variance, slope)
			right.AddScaledVec(right, (o.Value-y[k]+floats.Dot(slopes[k], at))/variance, slope)
		}
		if !factor.Factorize(precision) || factor.SolveVecTo(likeliest, right) != nil {
			return nil, nil
		}
		moved := floats.Distance(likeliest.RawVector().Data, at, 2)
		copy(at, likeliest.RawVector().Data)
		if moved < gaussEnd {
			break
		}
		if moved-moved != 0 || moved > farthest*farthest {
			return nil, nil
		}
	}
	return newGaussian(at, &factor)
}

// newGaussian is a normal law by the factor of its precision.
func newGaussian(mean []float64, factor *mat.Cholesky) (*gaussian, error) {
	var upper, inverse mat.TriDense
	factor.UTo(&upper)
	if inverse.InverseTri(&upper) != nil { // so flat or sharp that it cannot be drawn from
		return nil, nil
	}
	n := len(mean)
	g := &gaussian{mean: mean, upper: num.Columns(n, n), inverse: num.Columns(n, n)}
	for i := range n {
		for j := i; j < n; j++ {
			g.upper[i][j], g.inverse[i][j] = upper.At(i, j), inverse.At(i, j)
		}
		g.logRoot -= math.Log(g.upper[i][i])
	}
	return g, nil
}

// slopes are the observed outputs and their central differences at z; nil when one is not finite.
func (w tracer) slopes(readings []Observation, z []float64) (y []float64, slopes [][]float64, err error) {
	y, slopes, err = num.Slopes(w.Z, z, slices.Repeat([]float64{normalStep}, len(z)), len(readings), w.evaluate, func(k, i int) float64 { return w.Y[readings[k].Output][i] })
	if err != nil {
		return nil, nil, err
	}
	var sum float64
	for k := range readings {
		sum += y[k] + floats.Dot(slopes[k], slopes[k])
	}
	if sum-sum != 0 {
		return nil, nil, nil
	}
	return y, slopes, nil
}

// draw replaces independent normal numbers in row i by those of the law. e is scratch.
func (g *gaussian) draw(z [][]float64, i int, e []float64) {
	for c := range z {
		e[c] = z[c][i]
	}
	for c := range z {
		z[c][i] = g.mean[c] + floats.Dot(g.inverse[c][c:], e[c:])
	}
}

// logRatio is the logarithm of how likely row i is as the laws say, over how likely in the mixture of both. e is scratch.
func (g *gaussian) logRatio(z [][]float64, i int, e []float64) float64 {
	exponent := -g.logRoot
	for c := range z {
		e[c] = z[c][i] - g.mean[c]
	}
	for c := range z {
		v, d := z[c][i], floats.Dot(g.upper[c][c:], e[c:])
		exponent += (v*v - d*d) / 2
	}
	if exponent > logOverflow {
		return -exponent - math.Log(1-priorShare)
	}
	return -math.Log(priorShare + (1-priorShare)*math.Exp(exponent))
}
