package stackup

import (
	"context"
	"math"

	"example.com/borestack/stackup/internal/num"
)

// Linear is a model to first order at zero deviation: y = At + Gain·x.
type Linear struct {
	At    []float64   // outputs at zero deviation
	Gain  [][]float64 // [output][column]
	Bends []Bend      // where the gains say little; see [Linear.Doubt]
}

// differenceShare is the step of a difference, as a share of an input's spread: small enough for curvature to cancel, large enough for rounding.
const differenceShare = 1.0 / 64

// rounded is the share of two outputs' sizes below which they differ by rounding, an output being the difference of
// numbers some ten thousand times its size (an end play of two lengths): a gain of that is none, and has no share
// of anything. A spread that it leaves out is less than 1e-10 of the output.
const rounded = 1.5e-12

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
	n, outs := s.Model.Inputs(), s.Model.Outputs()
	spreads, steps := s.spreads()
	x, y := num.Columns(n, 2*n+1), num.Columns(outs, 2*n+1)
	for c, h := range steps {
		x[c][2*c+1], x[c][2*c+2] = h*differenceShare, -h*differenceShare
	}
	e := newEvaluator(ctx, s.Model)
	if err := inChunks(ctx, e, y, x, 2*n+1); err != nil {
		return nil, err
	}
	l := &Linear{At: make([]float64, outs), Gain: num.Columns(outs, n)}
	for o := range outs {
		l.At[o] = y[o][0]
		for c, h := range steps {
			up, down := y[o][2*c+1], y[o][2*c+2]
			if d := up - down; h > 0 && !(math.Abs(d) <= rounded*(math.Abs(up)+math.Abs(down))) {
				l.Gain[o][c] = d / (2 * h * differenceShare)
			}
		}
	}
	return l, l.findBends(ctx, e, spreads, y)
}

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
	Doubt      string    // why the first order says little here, as [Linear.Doubt] does; empty: no sign of it
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
		if out.Doubt == "" {
			out.Doubt = l.Doubt(o)
		}
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
