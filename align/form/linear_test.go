package form_test

import (
	"errors"
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/align/form"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// terms builds a model's terms from the columns of a NIST set.
var terms = map[string]func(x []float64) []float64{
	"Norris":   func(x []float64) []float64 { return []float64{1, x[0]} },
	"NoInt1":   func(x []float64) []float64 { return []float64{x[0]} },
	"NoInt2":   func(x []float64) []float64 { return []float64{x[0]} },
	"Pontius":  powers(2),
	"Filip":    powers(10),
	"Wampler1": powers(5),
	"Wampler2": powers(5),
	"Longley":  func(x []float64) []float64 { return append([]float64{1}, x...) },
}

// wampler are the certified parameters of the two sets of exact polynomials; their standard deviations are 0.
var wampler = map[string][]float64{"Wampler1": {1, 1, 1, 1, 1, 1}, "Wampler2": {1, 0.1, 0.01, 1e-3, 1e-4, 1e-5}}

func powers(k int) func(x []float64) []float64 {
	return func(x []float64) []float64 {
		row := make([]float64, k+1)
		for j, p := 0, 1.0; j <= k; j, p = j+1, p*x[0] {
			row[j] = p
		}
		return row
	}
}

// Source: NIST/ITL Statistical Reference Datasets, linear regression, certified values (15 digits); the last digits agree with a recomputation at 80 digits. Filip's powers alone are rounded in double precision, which its condition of 1e15 magnifies.
func TestLeastSquaresLinear_nist(t *testing.T) {
	tol := map[string]float64{"Norris": 1e-13, "NoInt1": 1e-14, "NoInt2": 1e-14, "Pontius": 1e-12, "Longley": 1e-12, "Wampler1": 1e-12, "Wampler2": 1e-12, "Filip": 1e-7}
	for set, model := range terms {
		var x [][]float64
		var y []float64
		for _, row := range table(t, "nist_strd_linear_data") {
			if row[0] != set {
				continue
			}
			for len(row) > 1 && row[len(row)-1] == "" {
				row = row[:len(row)-1]
			}
			v := numbers(t, row[1:])
			x, y = append(x, model(v[1:])), append(y, v[0])
		}
		fit, err := form.LeastSquaresLinear(x, y)
		if err != nil {
			t.Errorf("%s: %v", set, err)
			continue
		}
		j := 0
		for k, want := range wampler[set] {
			near(t, set+" parameter", fit.Parameters[k]/want, 1, tol[set])
			near(t, set+" sd", fit.SD[k], 0, 1e-9)
			j++
		}
		for _, row := range table(t, "nist_strd_linear_certified") {
			if row[0] != set {
				continue
			}
			want := numbers(t, row[4:5])[0]
			switch {
			case strings.HasPrefix(row[1], "B"):
				near(t, set+" "+row[1], fit.Parameters[j]/want, 1, tol[set])
				sd := numbers(t, row[5:6])[0]
				near(t, set+" sd of "+row[1], fit.SD[j], sd, tol[set]*math.Max(math.Abs(sd), 1))
				j++
			case row[1] == "RSS":
				near(t, set+" squares", fit.Squares, want, tol[set]*math.Max(want, 1e-3))
			case row[1] == "ResidualSD":
				near(t, set+" residual sd", fit.ResidualSD, want, tol[set]*math.Max(want, 1e-3))
			}
		}
		if j == 0 {
			t.Errorf("%s: no certified values", set)
		}
	}
}

// The covariance of a line on x that is not centred: slope and intercept pull against each other.
//
// Source: hand calculation: s²/(n Σx² − (Σx)²) · [Σx², −Σx; −Σx, n], for x = 1, 2, 4, 7 (n 4, Σx 14,
// Σx² 70) and readings 1, 3, 2, 6: slope (4·57 − 14·12)/84 = 5/7, s² from the residuals.
func TestLeastSquaresLinear_covariance(t *testing.T) {
	x, y := []float64{1, 2, 4, 7}, []float64{1, 3, 2, 6}
	var model [][]float64
	for _, v := range x {
		model = append(model, []float64{1, v})
	}
	fit, err := form.LeastSquaresLinear(model, y)
	if err != nil {
		t.Fatal(err)
	}
	const slope = 5.0 / 7
	intercept := (12 - slope*14) / 4
	var squares float64
	for i, v := range x {
		d := y[i] - intercept - slope*v
		squares += d * d
	}
	unit := squares / 2 / (4*70 - 14*14)
	near(t, "slope", fit.Parameters[1], slope, 1e-14)
	near(t, "variance of the intercept", fit.Cov.At(0, 0), 70*unit, 1e-13)
	near(t, "variance of the slope", fit.Cov.At(1, 1), 4*unit, 1e-13)
	near(t, "covariance", fit.Cov.At(0, 1), -14*unit, 1e-13)
	near(t, "standard deviation", fit.SD[0], math.Sqrt(70*unit), 1e-13)
}

// Source: K. Pearson 1901 data with the weights of D. York as given in York et al., Am. J. Phys. 72, 367, 2004; all digits recomputed.
func TestYork_pearsonData(t *testing.T) {
	points := flatData(t, "line_pearson1901")
	wx := []float64{1000, 1000, 500, 800, 200, 80, 60, 20, 1.8, 1}
	wy := []float64{1, 1.8, 4, 8, 20, 20, 70, 70, 100, 500}
	ux, uy := make([]tolerance.Length, 10), make([]tolerance.Length, 10)
	for i := range ux {
		ux[i], uy[i] = tolerance.Length(1/math.Sqrt(wx[i])), tolerance.Length(1/math.Sqrt(wy[i]))
	}
	fit, err := form.York(points, ux, uy)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", fit.Intercept.Millimetres(), 5.47991022403286, 1e-13)
	near(t, "slope", fit.Slope, -0.48053340744620, 1e-13)
	near(t, "u(intercept)", fit.UIntercept.Millimetres(), 0.294970735, 1e-9)
	near(t, "u(slope)", fit.USlope, 0.0579850090, 1e-9)
	near(t, "chi square", fit.ChiSquare, 11.866353194061462, 1e-12)
	s := math.Sqrt(fit.ChiSquare / float64(fit.Freedom))
	near(t, "scaled u(intercept)", s*fit.UIntercept.Millimetres(), 0.359246522551112, 1e-13)
	near(t, "scaled u(slope)", s*fit.USlope, 0.070620269528771, 1e-13)
}

// A second method: equal uncertainties give the line of least squares square to it.
func TestYork_equalUncertainties(t *testing.T) {
	points := flatData(t, "line_pearson1901")
	u := make([]tolerance.Length, len(points))
	for i := range u {
		u[i] = 0.3
	}
	fit, err := form.York(points, u, u)
	if err != nil {
		t.Fatal(err)
	}
	line, err := form.LeastSquaresLine(points, form.Uncertainty{})
	if err != nil {
		t.Fatal(err)
	}
	near(t, "slope", fit.Slope, line.Slope(), 1e-14)
	near(t, "intercept", fit.Intercept.Millimetres(), line.Intercept(), 1e-13)
}

// Source: K. Pearson 1901 data, ordinary least squares of y on x, computed: slope -0.5395772749840414, intercept 5.761185190439038.
func TestLeastSquaresLinear_lineOnX(t *testing.T) {
	var x [][]float64
	var y []float64
	for _, p := range flatData(t, "line_pearson1901") {
		x, y = append(x, []float64{1, p.X}), append(y, p.Y)
	}
	fit, err := form.LeastSquaresLinear(x, y)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "intercept", fit.Parameters[0], 5.761185190439038, 1e-14)
	near(t, "slope", fit.Parameters[1], -0.5395772749840414, 1e-15)
}

func TestLinear_badInput(t *testing.T) {
	u := []tolerance.Length{1, 1}
	upright := []r2.Vec{{X: 1, Y: 1}, {X: 1, Y: 2}}
	for _, c := range []struct {
		name string
		err  func() error
		want error
		row  int
	}{
		{"dependent", func() error {
			_, err := form.LeastSquaresLinear([][]float64{{1, 2}, {2, 4}, {3, 6}}, []float64{1, 2, 3})
			return err
		}, fault.ErrUndefined, -1},
		{"zero column", func() error {
			_, err := form.LeastSquaresLinear([][]float64{{1, 0}, {2, 0}}, []float64{1, 2})
			return err
		}, fault.ErrUndefined, -1},
		{"ragged", func() error {
			_, err := form.LeastSquaresLinear([][]float64{{1, 0}, {2}}, []float64{1, 2})
			return err
		}, form.ErrMismatch, 1},
		{"NaN", func() error {
			_, err := form.LeastSquaresLinear([][]float64{{1}, {math.NaN()}}, []float64{1, 2})
			return err
		}, fault.ErrNotFinite, 1},
		{"few", func() error {
			_, err := form.LeastSquaresLinear([][]float64{{1, 2}}, []float64{1})
			return err
		}, fault.ErrTooFew, -1},
		{"none", func() error { _, err := form.LeastSquaresLinear(nil, nil); return err }, fault.ErrTooFew, -1},
		{"upright", func() error { _, err := form.York(upright, u, u); return err }, fault.ErrUndefined, -1},
		{"no uncertainty", func() error { _, err := form.York(upright, u, []tolerance.Length{1, 0}); return err }, fault.ErrOutOfRange, 1},
	} {
		err := c.err()
		var at *form.PointError
		if !errors.Is(err, c.want) || !errors.As(err, &at) || at.Row != c.row {
			t.Errorf("%s: %v", c.name, err)
		}
	}
}
