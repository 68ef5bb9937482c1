package stackup

import (
	"context"
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
)

// Second is a mean and standard deviation to second order.
type Second struct{ Mean, SD float64 }

// secondShare is the step of second differences, as a share of an input's spread.
const secondShare = 1.0 / 32

// SecondOrder works out mean and standard deviation of an output of the model from its second-order Taylor polynomial at the inputs' means, with the inputs' own skewness and kurtosis. The inputs must be independent: laws, or pairs of laws.
//
// mean = f + ½ Σ f_ii σ_i²; variance = Σ f_i² σ_i² + Σ f_i f_ii μ3_i + ¼ Σ f_ii² (κ_i + 2) σ_i⁴ + Σ_{i<j} f_ij² σ_i² σ_j², κ the excess kurtosis.
//
// Source: JCGM 100:2008, 5.1.2 note, for normal inputs without third derivatives; the general terms follow from the moments of the polynomial.
func (s *Study) SecondOrder(ctx context.Context, output int) (Second, error) {
	if err := s.Validate(); err != nil {
		return Second{}, err
	}
	if output < 0 || output >= s.Model.Outputs() {
		return Second{}, fault.At("second order", fmt.Sprintf("output %d", output), fmt.Sprintf("one of the model's %d", s.Model.Outputs()), fault.ErrOutOfRange)
	}
	list, err := s.momentsEach()
	if err != nil {
		return Second{}, err
	}
	n := len(list)
	h := make([]float64, n)
	for i, m := range list {
		if m.Variance-m.Variance != 0 || m.Mean-m.Mean != 0 {
			return Second{}, fault.At("inputs", "a law without a variance", "finite moments, for the second order", fault.ErrOutOfRange)
		}
		h[i] = m.SD() * secondShare
	}
	e := newEvaluator(ctx, s.Model)
	x, y := num.Columns(n, 4), num.Columns(s.Model.Outputs(), 4)
	at := func(k int, i int, di float64, j int, dj float64) {
		for c := range x {
			x[c][k] = list[c].Mean
		}
		x[i][k] += di
		if j >= 0 {
			x[j][k] += dj
		}
	}
	evaluate := func(k int) ([]float64, error) {
		if ctx.Err() != nil {
			return nil, stoppedDifferences(ctx)
		}
		if err := e.Evaluate(y, x, k); err != nil {
			return nil, raise(fmt.Errorf("stackup: second order: %w", err), false)
		}
		return y[output], nil
	}
	var out Second
	var variance float64
	for i, m := range list {
		at(0, i, 0, -1, 0)
		at(1, i, h[i], -1, 0)
		at(2, i, -h[i], -1, 0)
		v, err := evaluate(3)
		if err != nil {
			return Second{}, err
		}
		if i == 0 {
			out.Mean = v[0]
		}
		if h[i] == 0 {
			continue
		}
		first, second := (v[1]-v[2])/(2*secondShare), (v[1]-2*v[0]+v[2])/(secondShare*secondShare) // times σ, σ²
		out.Mean += second / 2
		variance += first*first + first*second*m.Skewness + second*second*(m.ExcessKurtosis+2)/4
		for j := range i {
			if h[j] == 0 {
				continue
			}
			at(0, i, h[i], j, h[j])
			at(1, i, h[i], j, -h[j])
			at(2, i, -h[i], j, h[j])
			at(3, i, -h[i], j, -h[j])
			w, err := evaluate(4)
			if err != nil {
				return Second{}, err
			}
			cross := (w[0] - w[1] - w[2] + w[3]) / (4 * secondShare * secondShare)
			variance += cross * cross
		}
	}
	out.SD = math.Sqrt(math.Max(variance, 0))
	return out, nil
}

// momentsEach are the moments of every column, for inputs that are independent.
func (s *Study) momentsEach() (list []law.Moments, err error) {
	for i := range s.Inputs {
		own := s.Inputs[i].moments()
		if own == nil {
			return nil, fault.At(s.Inputs[i].Name, "a law whose parts depend on each other", "independent inputs, for the second order", fault.ErrConflict)
		}
		list = append(list, own...)
	}
	return list, nil
}

// moments are those of the input's columns; nil where they depend on each other.
func (in *Input) moments() (out []law.Moments) {
	defer in.named()
	list := []law.Law{in.Law}
	if p, ok := in.Plane.(law.Pair); ok {
		list = []law.Law{p.X, p.Y}
	} else if in.Law == nil {
		return nil
	}
	for k, l := range list {
		m := l.Moments()
		m.Mean, m.Variance = in.moved.to(k, m.Mean), in.moved.spread(m.Variance)
		out = append(out, m)
	}
	return out
}
