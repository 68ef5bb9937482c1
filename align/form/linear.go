package form

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/mat"

	"example.com/borestack/fault"
)

// LinearFit is a model y = b1·x1 + … + bk·xk fitted to readings, in the units of the data. The zero value is not a fit.
type LinearFit struct {
	Parameters  []float64
	SD          []float64     // standard deviations of the parameters; NaN without degrees of freedom
	Cov         *mat.SymDense // covariance of the parameters, from the residuals; nil without degrees of freedom
	Squares     float64       // sum of squared residuals
	ResidualSD  float64       // square root of Squares over the degrees of freedom
	FreeReading int           // degrees of freedom: readings less parameters
}

// LeastSquaresLinear fits y by the columns of x, ordinary least squares with errors in y only: x[i] holds the values of the model's terms at reading i, such as 1 and x for a line. For a line with errors square to it, see [LeastSquaresLine].
//
// Householder QR of the scaled columns, then refinement with residuals in twice the precision. It returns [fault.ErrTooFew], [ErrMismatch], [fault.ErrNotFinite], and [fault.ErrUndefined] when columns depend on each other to within rounding.
//
// Source: Å. Björck, Iterative refinement of linear least squares solutions, BIT 7, 257, 1967.
func LeastSquaresLinear(x [][]float64, y []float64) (LinearFit, error) {
	n, k, err := checkModel(x, y)
	if err != nil {
		return LinearFit{}, err
	}
	scale := make([]float64, k)
	for _, row := range x {
		for j, v := range row {
			scale[j] = math.Max(scale[j], math.Abs(v))
		}
	}
	a := mat.NewDense(n, k, nil)
	for j, s := range scale {
		if s == 0 {
			return LinearFit{}, atFault(whole, fmt.Sprintf("term %d is 0 in every reading", j), "terms that tell readings apart", fault.ErrUndefined)
		}
		// A power of two, so that scaling is exact.
		_, e := math.Frexp(s)
		scale[j] = math.Ldexp(1, e)
		for i, row := range x {
			a.Set(i, j, row[j]/scale[j])
		}
	}
	var qr mat.QR
	qr.Factorize(a)
	const dependent = 1e16
	if c := qr.Cond(); !(c < dependent) {
		return LinearFit{}, atFault(whole, fmt.Sprintf("their terms depend on each other (condition %.2g)", c), "terms that tell readings apart", fault.ErrUndefined)
	}
	b, r := refined(&qr, a, y)
	fit := LinearFit{FreeReading: n - k, SD: make([]float64, k)}
	var squares sum
	for _, v := range r {
		squares.add(v * v)
	}
	fit.Squares = squares.value()
	for j := range b {
		b[j] /= scale[j]
		fit.SD[j] = math.NaN()
	}
	fit.Parameters = b
	if fit.FreeReading == 0 {
		return fit, nil
	}
	fit.ResidualSD = math.Sqrt(fit.Squares / float64(fit.FreeReading))
	var tri, inv, cov mat.Dense
	qr.RTo(&tri)
	upper := mat.NewTriDense(k, mat.Upper, nil)
	for i := range k {
		for j := i; j < k; j++ {
			upper.SetTri(i, j, tri.At(i, j))
		}
	}
	if err := inv.Inverse(upper); err != nil && !finite(mat.Norm(&inv, 1)) {
		return fit, nil
	}
	cov.Mul(&inv, inv.T())
	dims := make([]float64, k)
	for j := range dims {
		dims[j] = fit.ResidualSD / scale[j]
	}
	fit.Cov = dimensioned(&cov, dims)
	for j := range k {
		fit.SD[j] = math.Sqrt(fit.Cov.At(j, j))
	}
	return fit, nil
}

func checkModel(x [][]float64, y []float64) (n, k int, err error) {
	n = len(y)
	if len(x) != n {
		return 0, 0, atFault(whole, fmt.Sprintf("%d rows of terms for %d readings", len(x), n), "one for each reading", ErrMismatch)
	}
	if n == 0 {
		return 0, 0, tooFew(0, 1)
	}
	k = len(x[0])
	if k == 0 || n < k {
		return 0, 0, tooFew(n, max(k, 1))
	}
	for i, row := range x {
		if len(row) != k {
			return 0, 0, atFault(i, fmt.Sprintf("%d terms", len(row)), fmt.Sprintf("%d, as in the first row", k), ErrMismatch)
		}
		if !finite(row...) || !finite(y[i]) {
			return 0, 0, atFault(i, fmt.Sprintf("terms %v, reading %v", row, y[i]), "finite numbers", fault.ErrNotFinite)
		}
	}
	return n, k, nil
}

// refined solves min |y - A b| by its augmented system r + A b = y, Aᵀ r = 0, whose residuals it works out in twice the precision.
func refined(qr *mat.QR, a *mat.Dense, y []float64) (b, r []float64) {
	n, k := a.Dims()
	b, r = make([]float64, k), make([]float64, n)
	var q, tri mat.Dense
	qr.QTo(&q)
	qr.RTo(&tri)
	f, g := make([]float64, n), make([]float64, k)
	best := math.Inf(1)
	const rounds = 12
	for range rounds {
		for i := range f {
			var s twofold
			s.add(y[i])
			s.add(-r[i])
			for j := range k {
				s.product(-a.At(i, j), b[j])
			}
			f[i] = s.value()
		}
		for j := range g {
			var s twofold
			for i := range n {
				s.product(-a.At(i, j), r[i])
			}
			g[j] = s.value()
		}
		// Rᵀ h = g; d = Qᵀ f; Δr = Q [h; d2]; R Δb = d1 - h.
		h := make([]float64, k)
		for j := range k {
			v := g[j]
			for i := range j {
				v -= tri.At(i, j) * h[i]
			}
			h[j] = v / tri.At(j, j)
		}
		var d mat.VecDense
		d.MulVec(q.T(), mat.NewVecDense(n, f))
		db := make([]float64, k)
		for i := k - 1; i >= 0; i-- {
			v := d.AtVec(i) - h[i]
			for j := i + 1; j < k; j++ {
				v -= tri.At(i, j) * db[j]
			}
			db[i] = v / tri.At(i, i)
		}
		size := 0.0
		for i, v := range db {
			if b[i] != 0 || v != 0 {
				size = math.Max(size, math.Abs(v)/math.Max(math.Abs(b[i]), math.Abs(v)))
			}
		}
		if !(size < best) && best < 1 {
			break
		}
		best = size
		for i := range k {
			b[i] += db[i]
			d.SetVec(i, h[i])
		}
		var dr mat.VecDense
		dr.MulVec(&q, &d)
		for i := range r {
			r[i] += dr.AtVec(i)
		}
	}
	return b, r
}

// twofold adds numbers and products in twice the precision.
//
// Source: T. Ogita, S. M. Rump, S. Oishi, Accurate sum and dot product, SIAM J. Sci. Comput. 26, 1955, 2005.
type twofold struct{ hi, lo float64 }

func (s *twofold) add(v float64) {
	t := s.hi + v
	z := t - s.hi
	s.lo += (s.hi - (t - z)) + (v - z)
	s.hi = t
}

func (s *twofold) product(a, b float64) {
	p := float64(a * b)
	s.lo += math.FMA(a, b, -p)
	s.add(p)
}

func (s *twofold) value() float64 { return s.hi + s.lo }
