package law

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mat"
)

// A Joint says how several deviations are distributed together.
type Joint interface {
	// Columns returns how many deviations there are.
	Columns() int
	// Streams returns how many streams Draw takes; given one, it takes all from that.
	Streams() int
	// Mean returns the mean of a deviation.
	Mean(column int) float64
	// Covariance returns the covariance of two deviations; of one with itself, its variance.
	Covariance(i, j int) float64
	// Reach returns ways that bound the deviations: their sum is the least convex set that holds all deviations. False when there is none, or none is known.
	Reach() ([]Segment, bool)
	// Draw fills the columns of dst with the next values of the streams. All columns, and work, are equally long; work is scratch.
	Draw(dst [][]float64, work []float64, s []Stream)
}

// A Segment is a way that deviations go along together, a number for each deviation at either end.
type Segment struct{ From, To []float64 }

// copula ties laws together by a Gaussian copula: the deviations are monotone functions of correlated standard normal
// numbers, one for each, so that every one keeps its own law.
type copula struct {
	laws   []Law
	factor []float64   // lower triangle, row by row: numbers = factor · independent numbers
	series [][]float64 // of each law in normalised Hermite polynomials of its normal number, from the first power on
}

// roundedCorrelation is how far below 0 rounding may put an eigenvalue of a correlation matrix, for each of its rows.
const roundedCorrelation = 1e-12

// NewCopula returns laws tied together by the correlation matrix of their normal numbers, which it copies, by a
// Gaussian copula. The matrix may be singular: a correlation of 1 makes one deviation a function of the other. For
// normal laws it is the correlation of the deviations; for others theirs is somewhat nearer to 0, as
// [Joint.Covariance] says. A rank correlation r (Spearman's) belongs to 2 sin(π r/6) (K. Pearson, On further methods
// of determining correlation, Drapers' Company Research Memoirs IV, 1907).
//
// It returns a [fault.FieldError] unless no law is nil and the matrix has one row and column for each law, is
// symmetric with 1 on its diagonal, and is positive semidefinite but for rounding.
func NewCopula(laws []Law, correlation [][]float64) (Joint, error) {
	const name = "copula"
	for i, l := range laws {
		if err := check(name, must(!isNil(l), "law", float64(i), "a law, not nil")); err != nil {
			return nil, err
		}
	}
	if err := check(name, checkCorrelation(len(laws), correlation)...); err != nil {
		return nil, err
	}
	c := &copula{laws: slices.Clone(laws), factor: cholesky(correlation)}
	for _, l := range laws {
		c.series = append(c.series, hermiteSeries(l))
	}
	return c, nil
}

// checkCorrelation checks a correlation matrix of n rows.
func checkCorrelation(n int, correlation [][]float64) (out []parameter) {
	if len(correlation) != n || n == 0 {
		return []parameter{must(false, "number of rows", float64(len(correlation)), "one for each law, and at least one")}
	}
	dense := mat.NewSymDense(n, nil)
	for i, row := range correlation {
		if len(row) != n {
			return []parameter{must(false, fmt.Sprintf("length of row %d", i), float64(len(row)), "one entry for each law")}
		}
		for j, r := range row {
			at := fmt.Sprintf("correlation of %d with %d", i, j)
			out = append(out, must(math.Abs(r) <= 1, at, r, "−1 to 1"), must(i != j || r == 1, at, r, "1, of a deviation with itself"))
			if j < i {
				out = append(out, must(r == correlation[j][i], at, r, fmt.Sprintf("%g as the other way round", correlation[j][i])))
			}
			dense.SetSym(min(i, j), max(i, j), r)
		}
	}
	var eigen mat.EigenSym
	least := math.NaN()
	if eigen.Factorize(dense, false) {
		least = eigen.Values(nil)[0]
	}
	return append(out, must(least >= -roundedCorrelation*float64(n), "smallest eigenvalue of the correlation matrix", least,
		"none below 0: no deviations are correlated like this; bring the correlations nearer to 0"))
}

// roundedPivot is the pivot that rounding may leave of a singular correlation matrix, for each of its rows.
const roundedPivot = 1e-12

// cholesky returns the lower triangle L with L Lᵀ = c, row by row. A pivot that rounding leaves of a singular matrix counts as 0, and so does its column: the deviation depends on the earlier ones alone.
func cholesky(c [][]float64) []float64 {
	n := len(c)
	out := make([]float64, 0, n*(n+1)/2)
	row := func(i int) []float64 { return out[i*(i+1)/2 : i*(i+1)/2+i+1] }
	for i := range n {
		out = append(out, make([]float64, i+1)...)
		rest := c[i][i]
		for j := range i {
			sum := c[i][j]
			for k := range j {
				sum -= row(i)[k] * row(j)[k]
			}
			if pivot := row(j)[j]; pivot > 0 {
				row(i)[j] = sum / pivot
			}
			rest -= row(i)[j] * row(i)[j]
		}
		if rest > roundedPivot*float64(n) {
			row(i)[i] = math.Sqrt(rest)
		}
	}
	return out
}

// hermiteSeries returns the coefficients of a law's value, as a function of a standard normal number, in normalised Hermite polynomials: by the trapezoid rule, so that the squares add up to its variance.
func hermiteSeries(l Law) []float64 {
	const terms, pitch, reach = 60, 1.0 / 16, 16
	const n = reach / pitch
	x, z := make([]float64, 2*n+1), make([]float64, 2*n+1)
	for i := range z {
		z[i] = float64(i-n) * pitch
	}
	FromNormals(l, x, z)
	mean, series := l.Moments().Mean, make([]float64, terms)
	for i, z := range z {
		before, at := 0.0, density(z)*pitch // of degrees k−1 and k, times the weight
		for k := range series {
			before, at = at, (z*at-math.Sqrt(float64(k))*before)/math.Sqrt(float64(k+1))
			series[k] += at * (x[i] - mean)
		}
	}
	return series
}

// Columns returns the number of laws.
func (c *copula) Columns() int { return len(c.laws) }

// Streams returns the number of laws.
func (c *copula) Streams() int { return len(c.laws) }

// Mean returns the mean of a law.
func (c *copula) Mean(column int) float64 { return c.laws[column].Moments().Mean }

// Covariance returns the covariance of two deviations: Mehler's series Σ aₖ bₖ ρᵏ over the Hermite coefficients of the two laws, exact for normal laws and good to about 1e-6 of the standard deviations for smooth ones.
func (c *copula) Covariance(i, j int) float64 {
	if i == j {
		return c.laws[i].Moments().Variance
	}
	r := c.correlation(i, j)
	power, sum := 1.0, 0.0
	for k := range c.series[i] {
		power *= r
		sum += c.series[i][k] * c.series[j][k] * power
	}
	return sum
}

// correlation returns that of two normal numbers, from the factor.
func (c *copula) correlation(i, j int) (r float64) {
	a, b := c.row(i), c.row(j)
	for k := range min(len(a), len(b)) {
		r += a[k] * b[k]
	}
	return r
}

func (c *copula) row(i int) []float64 { return c.factor[i*(i+1)/2 : i*(i+1)/2+i+1] }

// Draw fills the columns of dst with the next values, one stream for each law, or all from one stream, column by column. A column depends on its own stream and those of the columns before it only, so that laws added at the end leave the others' values alone.
func (c *copula) Draw(dst [][]float64, _ []float64, s []Stream) {
	for i := range c.laws {
		s[i%len(s)].Normals(dst[i])
	}
	c.FromNormals(dst, dst, nil)
}

// Numbers returns the number of laws.
func (c *copula) Numbers() int { return len(c.laws) }

// FromNormals turns columns z of independent standard normal numbers, one for each law, into the deviations. dst may be z.
func (c *copula) FromNormals(dst, z [][]float64, _ []float64) {
	for i := len(c.laws) - 1; i >= 0; i-- { // in place: rows above are still independent numbers
		row := c.row(i)
		own := row[i]
		for t, v := range z[i] {
			dst[i][t] = v * own
		}
		for k, f := range row[:i] {
			if f == 0 {
				continue
			}
			for t, z := range z[k] {
				dst[i][t] += float64(f * z)
			}
		}
	}
	for i, l := range c.laws {
		FromNormals(l, dst[i], dst[i])
	}
}

// Reach returns one way for each law, since all its values may come together with any of the others', or for laws of
// which one is a straight function of the other, by a correlation of 1 or −1. It reports false when a law has no
// limits, and when the correlations are singular in another way, for which no such ways are known.
func (c *copula) Reach() ([]Segment, bool) {
	var out []Segment
	n := len(c.laws)
	done := make([]bool, n)
	for i, l := range c.laws {
		if done[i] {
			continue
		}
		if row := c.row(i); row[i] == 0 { // depends on several before it
			return nil, false
		}
		way := Segment{make([]float64, n), make([]float64, n)}
		for j := i; j < n; j++ {
			r := c.correlation(i, j)
			if j > i && 1-math.Abs(r) > roundedPivot*float64(n) {
				continue
			}
			from, to := c.laws[j].Support()
			if math.IsInf(from, 0) || math.IsInf(to, 0) || !straight(l, c.laws[j], r < 0) {
				return nil, false
			}
			if r < 0 {
				from, to = to, from
			}
			way.From[j], way.To[j], done[j] = from, to, true
		}
		out = append(out, way)
	}
	return out, true
}

// straight reports whether the values of two bounded laws that rise together, or one as the other falls, are on a
// line, but for rounding: as shares of the way between their ends they are the same.
func straight(a, b Law, falls bool) bool {
	const pitch, end, rounding = 0.25, 8, 1e-11
	share := func(l Law, z float64) float64 {
		from, to := l.Support()
		x := [1]float64{z}
		FromNormals(l, x[:], x[:])
		if from == to {
			return math.NaN() // a constant goes with anything
		}
		return (x[0] - from) / (to - from)
	}
	for z := -float64(end); z <= end; z += pitch {
		u, v := share(a, z), 0.0
		if falls {
			v = 1 - share(b, -z)
		} else {
			v = share(b, z)
		}
		if math.Abs(u-v) > rounding {
			return false
		}
	}
	return true
}
