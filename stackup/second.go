package stackup

import (
	"context"
	"fmt"
	"math"

	"example.com/borestack/fault"
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
	list, err := s.moments()
	if err != nil {
		return Second{}, err
	}
	w := NewSampler(ctx, s)
	type move struct{ column, steps int }
	f := func(moves ...move) (v float64) {
		for c, m := range list {
			w.X[c][0] = m.Mean
		}
		for _, m := range moves {
			w.X[m.column][0] += float64(m.steps) * list[m.column].SD() * secondShare
		}
		if err == nil {
			err = w.Rows("second order", 1)
		}
		return w.Y[output][0]
	}
	centre := f()
	out, variance := Second{Mean: centre}, 0.0
	for i, m := range list {
		if m.Variance == 0 {
			continue
		}
		up, down := f(move{i, 1}), f(move{i, -1})
		first, second := (up-down)/(2*secondShare), (up-2*centre+down)/(secondShare*secondShare) // times σ, σ²
		out.Mean += second / 2
		variance += first*first + first*second*m.Skewness + second*second*(m.ExcessKurtosis+2)/4
		for j := range i {
			if list[j].Variance > 0 {
				cross := f(move{i, 1}, move{j, 1}) - f(move{i, 1}, move{j, -1}) - f(move{i, -1}, move{j, 1}) + f(move{i, -1}, move{j, -1})
				cross /= 4 * secondShare * secondShare
				variance += cross * cross
			}
		}
	}
	out.SD = math.Sqrt(math.Max(variance, 0))
	if err != nil {
		return Second{}, err
	}
	return out, nil
}

// moments are those of every column, for inputs that are independent and have them.
func (s *Study) moments() (list []law.Moments, err error) {
	for i := range s.Inputs {
		in := &s.Inputs[i]
		laws := []law.Law{in.Law}
		if p, ok := in.Plane.(law.Pair); ok {
			laws = []law.Law{p.X, p.Y}
		} else if in.Law == nil {
			return nil, fault.At(in.Name, "a law whose parts depend on each other", "independent inputs, for the second order", fault.ErrConflict)
		}
		for k, l := range laws {
			m := in.momentsOf(l)
			if m.Mean, m.Variance = in.moved.to(k, m.Mean), in.moved.spread(m.Variance); m.Variance-m.Variance != 0 || m.Mean-m.Mean != 0 {
				return nil, fault.At(in.Name, "a law without a variance", "finite moments, for the second order", fault.ErrOutOfRange)
			}
			list = append(list, m)
		}
	}
	return list, nil
}

// momentsOf are those of one of the input's laws.
func (in *Input) momentsOf(l law.Law) law.Moments {
	defer in.named()
	return l.Moments()
}
