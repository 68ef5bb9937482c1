package form

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// newton finds the least of a sum of squares over a feature S. Eval returns half the sum at s and
// fills gradient and Hessian for the parameters of move, which displaces s by a small step. Steps
// are damped until the sum falls, then undamped until they are lost in rounding; steps are in units
// of the cloud. It reports whether it arrived.
//
// Source: K. Levenberg, A method for the solution of certain non-linear problems in least squares,
// 1944, with the full Hessian, so that it also arrives fast when the form error is not small.
func newton[S any](s S, k int, eval func(s S, g []float64, h *mat.SymDense) float64, move func(s S, step []float64) S) (S, bool) {
	const (
		rounds  = 400
		polish  = 1e-5  // below this, comparing sums says nothing: they agree to half the digits of a step
		arrived = 4e-16 // of a cloud of size 1
		afar    = 1e3   // sizes of the cloud: the feature runs off to infinity
	)
	g, trial := make([]float64, k), make([]float64, k)
	h, ht := mat.NewSymDense(k, nil), mat.NewSymDense(k, nil)
	f := eval(s, g, h)
	damp, before := 0.0, math.Inf(1)
	for range rounds {
		step, ok := dampedStep(g, h, damp)
		if !ok {
			damp = math.Max(4*damp, 1e-4)
			continue
		}
		size := 0.0
		for _, v := range step {
			size = math.Max(size, math.Abs(v))
		}
		if damp == 0 && size < polish {
			// Quadratic now: stop when steps no longer shrink.
			if size <= arrived || size >= before/2 {
				return s, true
			}
			before = size
			s = move(s, step)
			f = eval(s, g, h)
			continue
		}
		before = math.Inf(1)
		t := move(s, step)
		ft := eval(t, trial, ht)
		if !(ft < f) || size > afar {
			if damp > 1e12 {
				return s, false
			}
			damp = math.Max(4*damp, 1e-4)
			continue
		}
		s, f = t, ft
		copy(g, trial)
		h.CopySym(ht)
		if damp /= 10; damp < 1e-8 {
			damp = 0
		}
	}
	return s, false
}

// dampedStep solves (H + damp·mean diagonal of H) step = -g; it fails where that is not positive
// definite.
func dampedStep(g []float64, h *mat.SymDense, damp float64) ([]float64, bool) {
	k := len(g)
	m := mat.NewSymDense(k, nil)
	m.CopySym(h)
	for i := range k {
		m.SetSym(i, i, h.At(i, i)+damp*(mat.Trace(h)/float64(k)))
	}
	var chol mat.Cholesky
	if !chol.Factorize(m) {
		return nil, false
	}
	step := make([]float64, k)
	x := mat.NewVecDense(k, step)
	// A condition error still leaves the step; the caller judges it by the sum.
	_ = chol.SolveVecTo(x, mat.NewVecDense(k, g))
	for i := range step {
		step[i] = -step[i]
	}
	return step, finite(step...)
}
