package learn

import (
	"context"
	"math"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
)

// gaussian is a normal law over the normal numbers of a study, from which samples near what was observed are drawn.
type gaussian struct {
	mean    []float64
	lower   [][]float64 // the Cholesky factor of its covariance
	logRoot float64     // logarithm of the product of the factor's diagonal
}

// Bounds of the fit.
const (
	gaussSteps  = 8
	gaussEnd    = 0.01
	gaussWiden  = 2.0 // the variance of a reading is taken this much greater, so that the law is wide enough
	gaussFloor  = 1e-9
	priorShare  = 0.2 // of the samples are drawn as the laws say, which bounds the weights
	logOverflow = 700
	normalStep  = 0.01 // of a difference, in standard deviations
	farthest    = 12.0 // standard deviations: a step of the square of that leads nowhere
)

// tracer evaluates the model at normal numbers.
type tracer struct{ *stackup.Sampler }

// put sets row i of Z.
func (w tracer) put(i int, z []float64) {
	for c, v := range z {
		w.Z[c][i] = v
	}
}

// evaluate works out the first n rows of Z.
func (w tracer) evaluate(n int) error {
	w.Fill(n)
	return w.Rows("likeliest deviations", n)
}

// near fits a gaussian to the belief after readings: Gauss and Newton's steps to the likeliest numbers, and the covariance of the model made linear there. It returns nil when the model has no slope there.
//
// Source: Bell and Cathey, The iterated Kalman filter update as a Gauss-Newton method, IEEE Trans. Autom. Control 38 (1993).
func near(ctx context.Context, s *stackup.Study, readings []Observation) (*gaussian, error) {
	w := tracer{stackup.NewNormalSampler(ctx, s)}
	w.AtMeans()
	n := len(w.Z)
	at := make([]float64, n)
	var belief *Belief
	for range gaussSteps {
		y, slopes, err := w.slopes(readings, at)
		if err != nil {
			return nil, err
		}
		if y == nil {
			return nil, nil
		}
		belief = &Belief{Mean: make([]float64, n), Covariance: num.Columns(n, n)}
		for i := range n {
			belief.Covariance[i][i] = 1
		}
		for k := range readings {
			o := &readings[k]
			belief.learn(slopes[k], o.Value-y[k]+num.Inner(slopes[k], at), o.Uncertainty*math.Sqrt(gaussWiden))
		}
		moved := num.Distance(belief.Mean, at)
		copy(at, belief.Mean)
		if moved < gaussEnd {
			break
		}
		if moved-moved != 0 || moved > farthest*farthest {
			return nil, nil
		}
	}
	g := &gaussian{mean: belief.Mean, lower: num.Columns(n, n)}
	for i := range n {
		for j := range i + 1 {
			rest := belief.Covariance[i][j] - num.Inner(g.lower[i][:j], g.lower[j][:j])
			if i == j {
				g.lower[i][i] = math.Sqrt(math.Max(rest, gaussFloor))
				g.logRoot += math.Log(g.lower[i][i])
				continue
			}
			g.lower[i][j] = rest / g.lower[j][j]
		}
	}
	return g, nil
}

// slopes are the observed outputs and their central differences at z; nil when one is not finite.
func (w tracer) slopes(readings []Observation, z []float64) (y []float64, slopes [][]float64, err error) {
	slopes = num.Columns(len(readings), len(z))
	w.put(0, z)
	if err := w.evaluate(1); err != nil {
		return nil, nil, err
	}
	for k := range readings {
		y = append(y, w.Y[readings[k].Output][0])
	}
	const most = stackup.BatchSize / 2
	for from := 0; from < len(z); from += most {
		to := min(from+most, len(z))
		for c := from; c < to; c++ {
			w.put(2*(c-from), z)
			w.put(2*(c-from)+1, z)
			w.Z[c][2*(c-from)] += normalStep
			w.Z[c][2*(c-from)+1] -= normalStep
		}
		if err := w.evaluate(2 * (to - from)); err != nil {
			return nil, nil, err
		}
		for k := range readings {
			for c := from; c < to; c++ {
				of := w.Y[readings[k].Output]
				slopes[k][c] = (of[2*(c-from)] - of[2*(c-from)+1]) / (2 * normalStep)
			}
		}
	}
	var sum float64
	for k := range readings {
		sum += y[k] + num.Inner(slopes[k], slopes[k])
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
		z[c][i] = g.mean[c] + num.Inner(g.lower[c][:c+1], e[:c+1])
	}
}

// logRatio is the logarithm of how likely row i is as the laws say, over how likely in the mixture of both. e is scratch.
func (g *gaussian) logRatio(z [][]float64, i int, e []float64) float64 {
	exponent := -g.logRoot
	for c := range z {
		v := z[c][i]
		e[c] = (v - g.mean[c] - num.Inner(g.lower[c][:c], e[:c])) / g.lower[c][c]
		exponent += (v*v - e[c]*e[c]) / 2
	}
	if exponent > logOverflow {
		return -exponent - math.Log(1-priorShare)
	}
	return -math.Log(priorShare + (1-priorShare)*math.Exp(exponent))
}
