package stackup

import (
	"fmt"

	"example.com/borestack/stackup/law"
)

// Correlate returns a model whose columns from first on, one for each law of the copula, are independent standard normal numbers that the copula turns into the correlated deviations that the inner model takes. Every method of this package then applies as it is: give those inputs the standard normal law ([StandardNormals]). It panics if the model has no such columns.
func Correlate(inner Model, first int, c *law.Copula) Model {
	if first < 0 || first+c.Columns() > inner.Inputs() {
		panic(fmt.Sprintf("stackup: Correlate: columns %d to %d of a model with %d", first, first+c.Columns(), inner.Inputs()))
	}
	return correlated{inner, first, c}
}

// StandardNormals are the inputs that [Correlate] wants: one for each name.
func StandardNormals(names ...string) []Input {
	unit, _ := law.NewNormal(0, 1) // its parameters are right
	var out []Input
	for _, n := range names {
		out = append(out, Input{Name: n, Law: unit})
	}
	return out
}

type correlated struct {
	Model
	first  int
	copula *law.Copula
}

// NewEvaluator returns an evaluator with columns of its own for the correlated deviations.
func (m correlated) NewEvaluator() Evaluator {
	e := &correlator{inner: m.Model.NewEvaluator(), first: m.first, copula: m.copula}
	e.columns = columns(m.copula.Columns(), batch)
	e.x = make([][]float64, m.Inputs())
	e.work = make([][]float64, m.copula.Columns())
	return e
}

type correlator struct {
	inner            Evaluator
	first            int
	copula           *law.Copula
	columns, work, x [][]float64
}

// Evaluate correlates the columns and hands all on.
func (e *correlator) Evaluate(dst, x [][]float64, n int) error {
	copy(e.x, x)
	for i := range e.columns {
		if len(e.columns[i]) < n {
			e.columns[i] = make([]float64, n)
		}
		e.work[i] = e.columns[i][:n]
		copy(e.work[i], x[e.first+i][:n])
		e.x[e.first+i] = e.work[i]
	}
	e.copula.FromNormals(e.work)
	return e.inner.Evaluate(dst, e.x, n)
}
