package stackup

import (
	"context"
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
)

// Linear is a model to first order at zero deviation: y = At + Gain·x.
type Linear struct {
	At    []float64   // outputs at zero deviation
	Gain  [][]float64 // [output][column]
	Bends []Bend      // where the gains say little; see [Linear.Doubt]
}

// differenceShare is the step of a difference, as a share of an input's spread: small enough for curvature to cancel, large enough for rounding.
const differenceShare = 1.0 / 64

// Linearise takes central differences of the study's model at zero deviation, a small share of each input's
// spread to either side. A constant has its gain by its own size;
// one of zero has none. It looks as well one spread to either side, and
// lists in Bends the outputs that do not follow an input there: a size at a nominal of zero has gains of zero
// and grows all the same.
//
// When ctx is done it returns an error that wraps ctx.Err().
//
// Source: JCGM 100:2008, 5.1.3 note 2 (numerical sensitivities).
func (s *Study) Linearise(ctx context.Context) (*Linear, error) {
	if err := s.Validate(); err != nil {
		return nil, err
	}
	w := NewSampler(ctx, s)
	spreads, steps := s.spreads()
	for c := range steps {
		steps[c] *= differenceShare
	}
	l, outs := &Linear{}, s.Model.Outputs()
	var err error
	l.At, l.Gain, err = num.Slopes(w.X, make([]float64, len(steps)), steps, outs, w.differences, func(o, i int) float64 { return w.Y[o][i] })
	if err != nil {
		return nil, err
	}
	return l, l.findBends(w, spreads)
}

// differences evaluates the first n rows.
func (w *Sampler) differences(n int) error { return w.Rows("differences", n) }

// spreads are the standard deviations of the columns; where a law has none that is finite, half its support, or 1.
//
// steps are what to take differences by: the same, but for a constant its own size, so that it counts as well.
func (s *Study) spreads() (out, steps []float64) {
	for i := range s.Inputs {
		in := &s.Inputs[i]
		for k := range in.Columns() {
			sd := math.Sqrt(in.covariance(k, k))
			if in.Law != nil && sd-sd != 0 {
				lo, hi := in.support()
				if sd = (hi - lo) / 2; sd-sd != 0 {
					sd = 1
				}
			}
			out = append(out, sd)
			if sd == 0 {
				sd = math.Abs(in.Mean(k))
			}
			steps = append(steps, sd)
		}
	}
	return out, steps
}

// Spread is the mean and covariance of one or two linear outputs.
type Spread struct {
	Mean       [2]float64
	XX, YY, XY float64
	Shares     []float64 // of the variance, or of the trace of the covariance, by input; they add up to 1
}

// Spread propagates means and covariances to outputs x and y of the linear model; y −1: one output.
//
// Source: JCGM 100:2008, 5.1.2; JCGM 102:2011, 6.2.1.3.
func (l *Linear) Spread(s *Study, x, y int) Spread {
	out := Spread{Shares: make([]float64, len(s.Inputs))}
	outs := []int{x}
	if y >= 0 {
		outs = append(outs, y)
	}
	for d, o := range outs {
		out.Mean[d] = l.At[o]
	}
	c := 0
	var trace float64
	for i := range s.Inputs {
		in := &s.Inputs[i]
		n := in.Columns()
		for d, o := range outs {
			for k := range n {
				out.Mean[d] += l.Gain[o][c+k] * in.Mean(k)
			}
		}
		cov := func(a, b int) float64 {
			if a >= len(outs) || b >= len(outs) {
				return 0
			}
			return in.together(l.Gain[outs[a]][c:c+n], l.Gain[outs[b]][c:c+n])
		}
		xx, yy := math.Max(cov(0, 0), 0), math.Max(cov(1, 1), 0) // rounding of deviations that cancel
		own := xx + yy
		out.XX += xx
		out.YY += yy
		out.XY += cov(0, 1)
		out.Shares[i] = own
		trace += own
		c += n
	}
	if trace > 0 {
		for i := range out.Shares {
			out.Shares[i] /= trace
		}
	}
	return out
}

// Bend is an output that an input moves otherwise than along a line: what one standard deviation to either side
// (half the support, for a law without one) does to it.
type Bend struct {
	Output, Column int
	Up, Down       float64
}

// Bounds of a bend.
const (
	// bendShare is how great the even part of an input's effect is, beside the spread that all gains together give,
	// from which it is told: for a normal input y = x + x²/4 is still taken for a line, whose spread is then 6 % short.
	bendShare = 0.25
	// bendRounding is what rounding may leave of an output that does not move, relative to the output.
	bendRounding = 1e-12
)

// Doubt says why the first order says little of an output: an input that moves it alike to either side, as any
// deviation does the size of a vector that is zero at the nominal, or much more to one side. Root sum of squares
// and the worst case of the linear model are then too small; [Study.Run] and [Study.Search] take the model in
// full. It is empty where there is no sign of that.
func (l *Linear) Doubt(o int) string {
	for i := range l.Bends {
		if b := &l.Bends[i]; b.Output == o {
			return fmt.Sprintf("column %d moves output %d by %.3g upwards and %.3g downwards, not along a line", b.Column, o, b.Up, b.Down)
		}
	}
	return ""
}

// findBends compares both sides of every input: one spread away, or, where the model has no number there, at
// small steps, scaled up.
func (l *Linear) findBends(w *Sampler, spreads []float64) error {
	up, down := num.Columns(len(spreads), len(l.At)), num.Columns(len(spreads), len(l.At))
	for c, h := range spreads {
		for o := range l.At {
			up[c][o], down[c][o] = math.NaN(), math.NaN()
		}
		for _, share := range [2]float64{1, differenceShare} {
			if h == 0 {
				break
			}
			for k := range w.X {
				w.X[k][0], w.X[k][1] = 0, 0
			}
			w.X[c][0], w.X[c][1] = h*share, -h*share
			if err := w.differences(2); w.Stopped() != nil {
				return err
			} else if err != nil {
				continue
			}
			for o, at := range l.At {
				if sum := up[c][o] + down[c][o]; sum-sum != 0 {
					up[c][o], down[c][o] = (w.Y[o][0]-at)/share, (w.Y[o][1]-at)/share
				}
			}
		}
	}
	for o, at := range l.At {
		var spread float64 // squared, of all gains together
		for c, h := range spreads {
			spread += l.Gain[o][c] * h * l.Gain[o][c] * h
		}
		for c := range spreads {
			even := math.Abs(up[c][o]+down[c][o]) / 2
			if even > bendShare*math.Sqrt(spread) && even > bendRounding*math.Abs(at) {
				l.Bends = append(l.Bends, Bend{o, c, up[c][o], down[c][o]})
			}
		}
	}
	return nil
}

// Second is a mean and standard deviation to second order.
type Second struct{ Mean, SD float64 }

// secondShare is the step of second differences, as a share of an input's spread.
const secondShare = 1.0 / 32

// SecondOrder works out mean and standard deviation of an output of the model from its second-order Taylor polynomial at the inputs' means, with the inputs' own skewness and kurtosis. The inputs must be independent: laws, or several laws side by side.
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
		laws, independent := in.joint().(law.Independent)
		if !independent {
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

// Contributions are what each input adds to one output of the linear model at its limits: half the range that it
// alone gives; one for each input, all numbers of a joint law together. An input without limits is a [fault.FieldError],
// and so is one that moves the output otherwise than along a line ([Linear.Doubt]): its contribution would come out too
// small.
func (l *Linear) Contributions(s *Study, o int) ([]float64, error) {
	if why := l.Doubt(o); why != "" {
		return nil, fault.At(fmt.Sprintf("output %d", o), why, "an output that is nearly linear there, or the model in full", fault.ErrOutOfRange)
	}
	set, unbounded := s.reaches()
	if unbounded != "" {
		return nil, fault.At(unbounded, "no limits", "limits, for a contribution", fault.ErrMissing)
	}
	b := l.body(set, o, -1)
	out := make([]float64, len(s.Inputs))
	for i := range set {
		out[set[i].input] += math.Hypot(b.a[i][0], b.b[i][0])
	}
	return out, nil
}

// RootSumOfSquares adds up contributions as independent.
func RootSumOfSquares(contributions []float64) float64 { return MeanShift(contributions, 0) }

// MeanShift adds up a share m of every contribution as a shift of its mean, in full, and the rest as independent:
// m = 0 is the root sum of squares, m = 1 the worst case.
//
// Source: Greenwood and Chase, A new tolerance analysis method for designers and manufacturers, J. Engineering for
// Industry 109 (1987), with the shift factors equal.
func MeanShift(contributions []float64, m float64) float64 {
	var shift, squares float64
	for _, t := range contributions {
		shift += m * t
		squares += (1 - m) * (1 - m) * t * t
	}
	return shift + math.Sqrt(squares)
}
