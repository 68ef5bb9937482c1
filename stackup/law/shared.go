package law

import (
	"fmt"
	"math"
)

// Shared is deviations that are sums of the same independent sources, each with a gain: a datum error that moves two pilots together, the wedge of a plate under both.
type Shared struct {
	sources []Law
	gains   [][]float64
	moments []Moments // of the sources
}

// NewShared returns the deviations Σₖ gains[i][k]·source k, one for each row of gains, which it copies. It returns a [ParameterError] unless there is a source and a row, every row has one finite gain for each source, and no source is nil.
func NewShared(sources []Law, gains [][]float64) (*Shared, error) {
	const name = "shared sources"
	if len(sources) == 0 || len(gains) == 0 {
		return nil, &ParameterError{name, "number of sources or rows", 0, "at least one of either"}
	}
	c := &Shared{sources: append([]Law(nil), sources...)}
	for k, l := range sources {
		if isNil(l) {
			return nil, &ParameterError{name, "source", float64(k), "a law, not nil"}
		}
		c.moments = append(c.moments, l.Moments())
	}
	for i, row := range gains {
		if len(row) != len(sources) {
			return nil, &ParameterError{name, fmt.Sprintf("length of row %d", i), float64(len(row)), "one gain for each source"}
		}
		for k, g := range row {
			if err := finite(name, []string{fmt.Sprintf("gain of source %d in row %d", k, i)}, g); err != nil {
				return nil, err
			}
		}
		c.gains = append(c.gains, append([]float64(nil), row...))
	}
	return c, nil
}

// Columns returns the number of rows of gains.
func (c *Shared) Columns() int { return len(c.gains) }

// Streams returns the number of sources.
func (c *Shared) Streams() int { return len(c.sources) }

// Mean returns the mean of a deviation.
func (c *Shared) Mean(column int) (mean float64) {
	for k, g := range c.gains[column] {
		if g != 0 {
			mean += g * c.moments[k].Mean
		}
	}
	return mean
}

// Covariance returns the covariance of two deviations, Σₖ gains[i][k] gains[j][k] variance of source k.
func (c *Shared) Covariance(i, j int) (sum float64) {
	for k, m := range c.moments {
		if g := c.gains[i][k] * c.gains[j][k]; g != 0 {
			sum += g * m.Variance
		}
	}
	return sum
}

// Support returns the least and the greatest value of a deviation, infinite when a source that moves it is.
func (c *Shared) Support(column int) (lowest, highest float64) {
	for k, g := range c.gains[column] {
		if g == 0 {
			continue
		}
		from, to := c.sources[k].Support()
		lowest += math.Min(g*from, g*to)
		highest += math.Max(g*from, g*to)
	}
	return lowest, highest
}

// Numbers returns the number of sources.
func (c *Shared) Numbers() int { return len(c.sources) }

// FromNormals turns columns z of independent standard normal numbers, one for each source, into the deviations. dst may not be z; it panics if work is shorter than the columns.
func (c *Shared) FromNormals(dst, z [][]float64, work []float64) {
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
func (c *Shared) addTo(dst [][]float64, values []float64, k int) {
	for i, row := range c.gains {
		if g := row[k]; g != 0 {
			for t, v := range values {
				dst[i][t] += float64(g * v)
			}
		}
	}
}

// Draw fills the columns of dst with the next values, one stream for each source, or all from one stream, source by source. It panics if work is shorter than the columns.
func (c *Shared) Draw(dst [][]float64, work []float64, s []Stream) {
	for _, column := range dst[:len(c.gains)] {
		clear(column)
	}
	for k, l := range c.sources {
		values := work[:len(dst[0])]
		l.Draw(values, &s[k%len(s)])
		c.addTo(dst, values, k)
	}
}
