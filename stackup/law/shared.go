package law

import (
	"fmt"
	"math"
	"slices"
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

// Columns returns the number of rows of gains.
func (c *shared) Columns() int { return len(c.gains) }

// Streams returns the number of sources.
func (c *shared) Streams() int { return len(c.sources) }

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

// Draw fills the columns of dst with the next values, one stream for each source, or all from one stream, source by source. It panics if work is shorter than the columns.
func (c *shared) Draw(dst [][]float64, work []float64, s []Stream) {
	for _, column := range dst[:len(c.gains)] {
		clear(column)
	}
	for k, l := range c.sources {
		values := work[:len(dst[0])]
		l.Draw(values, &s[k%len(s)])
		c.addTo(dst, values, k)
	}
}

// Reach returns, for each source, the way along its gains from its least to its greatest value. It reports false when
// a source that moves a deviation has no limits.
func (c *shared) Reach() ([]Segment, bool) {
	var out []Segment
	for k, l := range c.sources {
		from, to := l.Support()
		way := Segment{make([]float64, len(c.gains)), make([]float64, len(c.gains))}
		moves := false
		for i, row := range c.gains {
			if g := row[k]; g != 0 {
				moves = true
				way.From[i], way.To[i] = g*from, g*to
			}
		}
		if moves && (math.IsInf(from, 0) || math.IsInf(to, 0)) {
			return nil, false
		}
		if moves {
			out = append(out, way)
		}
	}
	return out, true
}
