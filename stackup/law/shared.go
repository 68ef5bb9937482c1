package law

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// shared is deviations that are sums of the same independent sources, each with a gain.
type shared struct {
	sources []Law
	gains   [][]float64
}

// NewShared returns the deviations Σₖ gains[i][k]·source k, one for each row of gains, which it copies: a datum error
// that moves two pilots together, the wedge of a plate under both. It returns a [fault.FieldError] unless there is a
// source and a row, every row has one finite gain for each source, and no source is nil.
func NewShared(sources []Law, gains [][]float64) (Joint, error) {
	wrong := []parameter{must(len(sources) > 0 && len(gains) > 0, "number of sources or rows", 0, "at least one of either")}
	for k, l := range sources {
		wrong = append(wrong, must(!isNil(l), "source", float64(k), "a law, not nil"))
	}
	c := &shared{sources: slices.Clone(sources)}
	for i, row := range gains {
		wrong = append(wrong, must(len(row) == len(sources), fmt.Sprintf("length of row %d", i), float64(len(row)), "one gain for each source"))
		for k, g := range row {
			wrong = append(wrong, finite(fmt.Sprintf("gain of source %d in row %d", k, i), g))
		}
		c.gains = append(c.gains, slices.Clone(row))
	}
	return made[Joint](c, check("shared sources", wrong...))
}

// roundedCorrelation is how far from 0 rounding may put an eigenvalue of a singular correlation matrix, for each of its
// rows.
const roundedCorrelation = 1e-12

// NewNormals returns deviations that are jointly normal, with their means and covariance matrix, which may be
// singular: a correlation of 1 makes one deviation a function of the other. They are sums of as many independent
// sources, by the principal axes of the correlation matrix. It returns a [fault.FieldError] unless there is a finite
// mean for each of the matrix's rows, the matrix is symmetric, and its correlations are positive semidefinite but for
// rounding.
func NewNormals(mean []float64, covariance [][]float64) (Joint, error) {
	const name = "joint normal"
	n := len(mean)
	wrong := []parameter{must(n > 0 && len(covariance) == n, "number of rows", float64(len(covariance)), "one for each mean, and at least one")}
	sd := make([]float64, n)
	for i, row := range covariance[:min(n, len(covariance))] {
		wrong = append(wrong, finite(fmt.Sprintf("mean %d", i), mean[i]), must(len(row) == n, fmt.Sprintf("length of row %d", i), float64(len(row)), "one entry for each mean"))
		if len(row) == n {
			wrong = append(wrong, atLeastZero(fmt.Sprintf("variance %d", i), row[i]))
			sd[i] = math.Sqrt(row[i])
		}
	}
	if err := check(name, wrong...); err != nil {
		return nil, err
	}
	correlation := mat.NewSymDense(n, nil)
	for i, row := range covariance {
		correlation.SetSym(i, i, 1)
		for j, v := range row[:i] {
			at := fmt.Sprintf("covariance of %d with %d", i, j)
			wrong = append(wrong, must(v == covariance[j][i], at, v, fmt.Sprintf("%g as the other way round", covariance[j][i])),
				must(math.Abs(v) <= sd[i]*sd[j]*(1+roundedCorrelation), at, v, "its size at most √(variance · variance)"))
			if v != 0 {
				correlation.SetSym(i, j, v/(sd[i]*sd[j]))
			}
		}
	}
	if err := check(name, wrong...); err != nil {
		return nil, err
	}
	return alongAxes(name, mean, sd, correlation)
}

// alongAxes are normal deviations as sums along the principal axes of their correlations.
func alongAxes(name string, mean, sd []float64, correlation *mat.SymDense) (Joint, error) {
	n := len(mean)
	var eigen mat.EigenSym
	if !eigen.Factorize(correlation, true) {
		return nil, bad(name, "correlations", math.NaN(), "some whose eigenvalues can be found")
	}
	values, axes := eigen.Values(nil), &mat.Dense{}
	eigen.VectorsTo(axes)
	if err := check(name, must(values[0] >= -roundedCorrelation*float64(n), "smallest eigenvalue of the correlations", values[0],
		"none below 0: no deviations are correlated like this; bring the correlations nearer to 0")); err != nil {
		return nil, err
	}
	sources, gains := make([]Law, n+1), make([][]float64, n)
	sources[n], _ = NewNormal(1, 0) // a constant that carries the means: always right
	for k := range n {
		sources[k], _ = NewNormal(0, 1)
	}
	for i := range n {
		for k, v := range values {
			if v <= roundedCorrelation*float64(n) {
				v = 0
			}
			gains[i] = append(gains[i], sd[i]*math.Sqrt(v)*axes.At(i, k))
		}
		gains[i] = append(gains[i], mean[i])
	}
	return NewShared(sources, gains)
}

// Columns returns the number of rows of gains.
func (c *shared) Columns() int { return len(c.gains) }

// Mean returns the mean of a deviation.
func (c *shared) Mean(column int) (mean float64) {
	for k, g := range c.gains[column] {
		if g != 0 {
			mean += g * c.sources[k].Moments().Mean
		}
	}
	return mean
}

// Covariance returns the covariance of two deviations, Σₖ gains[i][k] gains[j][k] variance of source k.
func (c *shared) Covariance(i, j int) (sum float64) {
	for k, l := range c.sources {
		if g := c.gains[i][k] * c.gains[j][k]; g != 0 {
			sum += g * l.Moments().Variance
		}
	}
	return sum
}

// Numbers returns the number of sources.
func (c *shared) Numbers() int { return len(c.sources) }

// FromNormals turns columns z of independent standard normal numbers, one for each source, into the deviations. dst may not be z; it panics if work is shorter than the columns.
func (c *shared) FromNormals(dst, z [][]float64, work []float64) {
	for _, column := range dst[:len(c.gains)] {
		clear(column)
	}
	for k, l := range c.sources {
		values := work[:len(z[k])]
		FromNormals(l, values, z[k])
		c.addTo(dst, values, k)
	}
}

// addTo adds a source's values, times its gains.
func (c *shared) addTo(dst [][]float64, values []float64, k int) {
	for i, row := range c.gains {
		if g := row[k]; g != 0 {
			for t, v := range values {
				dst[i][t] += float64(g * v)
			}
		}
	}
}

// Draw fills the columns of dst with the next values, source by source. It panics if work is shorter than the columns.
func (c *shared) Draw(dst [][]float64, work []float64, s *Stream) {
	for _, column := range dst[:len(c.gains)] {
		clear(column)
	}
	for k, l := range c.sources {
		values := work[:len(dst[0])]
		l.Draw(values, s)
		c.addTo(dst, values, k)
	}
}

// Reach returns, for each source that moves a deviation, the way along its gains from its least to its greatest value. It
// reports false when one has no limits.
func (c *shared) Reach() (out []Set, bounded bool) {
	for k, l := range c.sources {
		if !slices.ContainsFunc(c.gains, func(row []float64) bool { return row[k] != 0 }) {
			continue
		}
		lowest, highest := l.Support()
		if math.IsInf(lowest, 0) || math.IsInf(highest, 0) {
			return nil, false
		}
		from, to := make([]float64, len(c.gains)), make([]float64, len(c.gains))
		for i, row := range c.gains {
			from[i], to[i] = row[k]*lowest, row[k]*highest
		}
		out = append(out, Way(from, to))
	}
	return out, true
}
