package law

import (
	"fmt"
	"math"

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
	// Reach returns sets of points that bound the deviations: the sum of their convex hulls is the least convex set that holds all deviations. False when there is none, or none is known.
	Reach() ([]Points, bool)
	// Draw fills the columns of dst with the next values of the streams. All columns, and work, are equally long; work is scratch.
	Draw(dst [][]float64, work []float64, s []Stream)
}

// Copula ties laws together by a Gaussian copula: the deviations are monotone functions of correlated standard normal numbers, one for each, so that every one keeps its own law.
type Copula struct {
	laws   []Law
	factor []float64 // lower triangle, row by row: numbers = factor · independent numbers
	means  []float64
	series [][]float64 // of each law in normalised Hermite polynomials of its normal number, from the first power on
}

// CorrelationError is wrapped by the error about a matrix that is no correlation matrix.
type CorrelationError struct {
	Row, Column int     // −1 when the matrix as a whole is wrong
	Value       float64 // the entry, or the smallest eigenvalue
	Want        string
}

// Error names the entry or the smallest eigenvalue, and what would be right.
func (e *CorrelationError) Error() string {
	if e.Row < 0 {
		return fmt.Sprintf("law: copula: correlation matrix with smallest eigenvalue %.6g: want %s", e.Value, e.Want)
	}
	return fmt.Sprintf("law: copula: correlation of %d with %d: %g: want %s", e.Row, e.Column, e.Value, e.Want)
}

// Unwrap returns [ErrParameter].
func (e *CorrelationError) Unwrap() error { return ErrParameter }

// roundedCorrelation is how far below 0 rounding may put an eigenvalue of a correlation matrix, for each of its rows.
const roundedCorrelation = 1e-12

// NewCopula returns laws tied together by the correlation matrix of their normal numbers, which it copies. The matrix may be singular: a correlation of 1 makes one deviation a function of the other. For normal laws it is the correlation of the deviations; for others theirs is somewhat nearer to 0 ([Copula.Covariance] returns it), and [NormalCorrelation] finds it from a rank correlation.
//
// It returns a [CorrelationError] unless the matrix has one row and column for each law, is symmetric with 1 on its diagonal, and is positive semidefinite but for rounding; a [ParameterError] for a law that is nil.
func NewCopula(laws []Law, correlation [][]float64) (*Copula, error) {
	for i, l := range laws {
		if isNil(l) {
			return nil, &ParameterError{"copula", "law", float64(i), "a law, not nil"}
		}
	}
	if err := checkCorrelation(len(laws), correlation); err != nil {
		return nil, err
	}
	c := &Copula{laws: append([]Law(nil), laws...), factor: cholesky(correlation)}
	for _, l := range laws {
		mean, series := hermiteSeries(l)
		c.means, c.series = append(c.means, mean), append(c.series, series)
	}
	return c, nil
}

// NormalCorrelation returns the correlation of normal numbers whose ranks have the given correlation (Spearman's): 2 sin(π r/6).
//
// Source: K. Pearson, On further methods of determining correlation, Drapers' Company Research Memoirs IV (1907).
func NormalCorrelation(rank float64) float64 { return 2 * math.Sin(math.Pi/6*rank) }

// checkCorrelation checks a correlation matrix of n rows.
func checkCorrelation(n int, correlation [][]float64) error {
	if len(correlation) != n || n == 0 {
		return &ParameterError{"copula", "number of rows", float64(len(correlation)), "one for each law, and at least one"}
	}
	dense := mat.NewSymDense(n, nil)
	for i, row := range correlation {
		if len(row) != n {
			return &ParameterError{"copula", fmt.Sprintf("length of row %d", i), float64(len(row)), "one entry for each law"}
		}
		for j, r := range row {
			switch {
			case !(math.Abs(r) <= 1):
				return &CorrelationError{i, j, r, "−1 to 1"}
			case i == j && r != 1:
				return &CorrelationError{i, j, r, "1, of a deviation with itself"}
			case j < i && r != correlation[j][i]:
				return &CorrelationError{i, j, r, fmt.Sprintf("%g as the other way round", correlation[j][i])}
			}
			dense.SetSym(min(i, j), max(i, j), r)
		}
	}
	var eigen mat.EigenSym
	if !eigen.Factorize(dense, false) {
		return &CorrelationError{-1, -1, math.NaN(), "a matrix whose eigenvalues can be found"}
	}
	if least := eigen.Values(nil)[0]; least < -roundedCorrelation*float64(n) {
		return &CorrelationError{-1, -1, least, "none below 0: no deviations are correlated like this; bring the correlations nearer to 0"}
	}
	return nil
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

// hermiteSeries returns the mean of a law and the coefficients of its value, as a function of a standard normal number, in normalised Hermite polynomials: by the trapezoid rule, so that the squares add up to its variance.
func hermiteSeries(l Law) (mean float64, series []float64) {
	const terms, pitch, reach = 60, 1.0 / 16, 16
	const n = reach / pitch
	x, z := make([]float64, 2*n+1), make([]float64, 2*n+1)
	for i := range z {
		z[i] = float64(i-n) * pitch
	}
	FromNormals(l, x, z)
	mean = l.Moments().Mean
	series = make([]float64, terms)
	for i, z := range z {
		before, at := 0.0, density(z)*pitch // of degrees k−1 and k, times the weight
		for k := range series {
			before, at = at, (z*at-math.Sqrt(float64(k))*before)/math.Sqrt(float64(k+1))
			series[k] += at * (x[i] - mean)
		}
	}
	return mean, series
}

// Columns returns the number of laws.
func (c *Copula) Columns() int { return len(c.laws) }

// Streams returns the number of laws.
func (c *Copula) Streams() int { return len(c.laws) }

// Mean returns the mean of a law.
func (c *Copula) Mean(column int) float64 { return c.means[column] }

// Covariance returns the covariance of two deviations: Mehler's series Σ aₖ bₖ ρᵏ over the Hermite coefficients of the two laws, exact for normal laws and good to about 1e-6 of the standard deviations for smooth ones.
func (c *Copula) Covariance(i, j int) float64 {
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
func (c *Copula) correlation(i, j int) (r float64) {
	a, b := c.row(i), c.row(j)
	for k := range min(len(a), len(b)) {
		r += a[k] * b[k]
	}
	return r
}

func (c *Copula) row(i int) []float64 { return c.factor[i*(i+1)/2 : i*(i+1)/2+i+1] }

// Draw fills the columns of dst with the next values, one stream for each law, or all from one stream, column by column. A column depends on its own stream and those of the columns before it only, so that laws added at the end leave the others' values alone.
func (c *Copula) Draw(dst [][]float64, _ []float64, s []Stream) {
	for i := range c.laws {
		s[i%len(s)].Normals(dst[i])
	}
	c.FromNormals(dst, dst, nil)
}

// Numbers returns the number of laws.
func (c *Copula) Numbers() int { return len(c.laws) }

// FromNormals turns columns z of independent standard normal numbers, one for each law, into the deviations. dst may be z.
func (c *Copula) FromNormals(dst, z [][]float64, _ []float64) {
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
