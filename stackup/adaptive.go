package stackup

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"

	"example.com/borestack/fault"
)

// Adaptive says when sampling may stop.
type Adaptive struct {
	Share      float64   // coverage probability of the intervals; 0: 0.95
	Digits     int       // significant digits wanted of each standard deviation, 1 or 2; 0: 2
	Tolerances []float64 // numerical tolerance of each response; nil or 0 where Digits sets it; negative: it need not be watched
	Most       int       // samples at which to give up; 0: 10 million
}

// Settled is how an adaptive run ended.
type Settled struct {
	Batches   int
	Stable    bool      // all watched numbers are within their tolerances; false: it gave up
	Tolerance []float64 // of each response
}

// Limits of adaptive runs.
const (
	leastBatch   = 10000 // samples
	mostAdaptive = 10_000_000
)

// RunUntil samples in batches until twice the standard deviations of the averages of mean, standard deviation and both ends of the symmetric interval are within a numerical tolerance, for every watched number. set.Samples, From and To are not used. When ctx is done it returns the whole blocks done so far, if any, beside an error that wraps ctx.Err(). The same seed stops at the same batch on any number of workers.
//
// Source: JCGM 101:2008, 7.9.4; batches are of max(10⁴, 100/(1−p)) samples, rounded up to whole blocks.
func (s *Study) RunUntil(ctx context.Context, a Adaptive, set Settings) (*Accumulator, Settled, error) {
	p, digits, most := cmp.Or(a.Share, 0.95), cmp.Or(a.Digits, 2), cmp.Or(a.Most, mostAdaptive)
	if !(p > 0 && p < 1) || digits < 1 || len(a.Tolerances) > len(s.Responses) {
		return nil, Settled{}, fault.At("adaptive", fmt.Sprintf("share %g, %d digits, %d tolerances", p, digits, len(a.Tolerances)), "a probability, at least 1 digit, at most a tolerance for each response", fault.ErrOutOfRange)
	}
	batch := math.Max(leastBatch, math.Ceil(100/(1-p)))
	if batch > float64(most) {
		return nil, Settled{}, fault.At("adaptive", fmt.Sprintf("share %g, whose batches take %.0f samples", p, batch), fmt.Sprintf("a lesser share, or more than %d samples at most", most), fault.ErrOutOfRange)
	}
	blocks := (int(batch) + BlockSize - 1) / BlockSize
	var whole *Accumulator
	figures := make([][4]moments, len(s.Responses))
	out := Settled{Tolerance: make([]float64, len(s.Responses))}
	for {
		from := out.Batches * blocks
		if out.Batches > 1 && (from+blocks)*BlockSize > most {
			return whole, out, nil
		}
		run := set
		run.From, run.To, run.Samples = from, from+blocks, (from+blocks)*BlockSize
		run.Progress = set.Part(fmt.Sprintf("batch %d", out.Batches+1), from*BlockSize, max(2*blocks, from+blocks)*BlockSize)
		t, err := s.Run(ctx, run) // of a batch that was stopped, the whole blocks
		if whole == nil {
			whole = t
		} else if t != nil {
			err = errors.Join(err, whole.Merge(t))
		}
		if err != nil {
			return whole, out, err
		}
		out.Batches++
		out.settle(&a, p, digits, whole, t, figures)
		if out.Stable && out.Batches > 1 {
			return whole, out, nil
		}
	}
}

// settle adds a batch to the figures of every response, and says whether all that are watched are stable.
func (out *Settled) settle(a *Adaptive, p float64, digits int, whole, batch *Accumulator, figures [][4]moments) {
	out.Stable = true
	for i := range figures {
		q := batch.Summary(i)
		lo, _ := q.Quantile((1 - p) / 2)
		hi, _ := q.Quantile((1 + p) / 2)
		for k, v := range [4]float64{q.Mean, q.SD, lo, hi} {
			figures[i][k] = figures[i][k].join(moments{N: 1, Mean: v})
		}
		tolerance := 0.0
		if i < len(a.Tolerances) {
			tolerance = a.Tolerances[i]
		}
		if tolerance < 0 {
			continue
		}
		if tolerance == 0 {
			tolerance = numericalTolerance(whole.Summary(i).SD, digits)
		}
		out.Tolerance[i] = tolerance
		for _, m := range figures[i] {
			out.Stable = out.Stable && 2*math.Sqrt(m.variance()/m.N) <= tolerance
		}
	}
}

// numericalTolerance is half a unit of the last of so many significant digits of u; 0 for u = 0.
//
// Source: JCGM 101:2008, 7.9.2.
func numericalTolerance(u float64, digits int) float64 {
	if u == 0 || u-u != 0 {
		return 0
	}
	unit := math.Pow10(int(math.Floor(math.Log10(math.Abs(u)))) - digits + 1)
	if math.Round(math.Abs(u)/unit) >= math.Pow10(digits) { // rounds up to one digit more
		unit *= 10
	}
	return unit / 2
}
