package stackup

import (
	"cmp"
	"context"
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
)

// SearchSettings bound a search for the worst case. The zero value takes the defaults.
type SearchSettings struct {
	Evaluations int // at most about this many; 0: 20,000
}

// Limits of a search, and of what is tried out in full instead.
const (
	searchEvaluations = 20000
	fullCorners       = 10 // inputs with two ends: up to 2¹⁰ corners are all tried
	climbStarts       = 48 // at most; a few for every input
	startsEach        = 4
	climbSteps        = 40
)

// Search returns the deviations, within the limits of every input, that make response i greatest (sign 1) or least (sign −1), the model in full. An output that is convex in the deviations, as a length or the lack of room is, has its greatest value at a corner of the intervals and on the rims of the discs: there, with up to ten intervals and no discs, all corners are tried and the answer is exact; with more, steps to the farthest corner along the slope climb from many starts, and the answer is the worst found.
//
// It returns a [fault.FieldError] when an input has no limits or the sign is another. When ctx is done it returns an
// error that wraps ctx.Err().
func (s *Study) Search(ctx context.Context, i int, sign float64, set SearchSettings) (Extreme, error) {
	if err := s.Validate(); err != nil {
		return Extreme{}, err
	}
	w, err := s.Response(i)
	if err != nil {
		return Extreme{}, err
	}
	if sign != 1 && sign != -1 {
		return Extreme{}, fault.At(w.Name, fmt.Sprintf("sign %g", sign), "1 for the greatest or −1 for the least", fault.ErrOutOfRange)
	}
	reaches, unbounded := s.reaches()
	if unbounded != "" {
		return Extreme{}, fault.At(unbounded, "no limits", "limits, for a worst case", fault.ErrMissing)
	}
	q := &seeker{of: w.Output, sign: sign, set: reaches, w: NewSampler(ctx, s), left: cmp.Or(max(set.Evaluations, 0), searchEvaluations)}
	q.best = Extreme{Value: math.Inf(-1), X: make([]float64, s.Model.Inputs())}
	if err := q.run(); err != nil {
		return Extreme{}, err
	}
	q.best.Value *= sign
	return q.best, nil
}

// seeker is one search: sign times the output is made greatest.
type seeker struct {
	of   int
	sign float64
	set  []reach
	w    *Sampler
	rows int // put and not yet evaluated
	best Extreme
	left int
}

func (q *seeker) run() error {
	intervals, only := 0, true
	for i := range q.set {
		r := &q.set[i]
		if r.plane {
			only = false
		} else if r.moves() {
			intervals++
		}
	}
	if only && intervals <= fullCorners {
		return q.corners(intervals)
	}
	s := law.NewStream(0, "search", 0)
	for start := range min(climbStarts, 2+startsEach*len(q.set)) {
		at := make([]choice, len(q.set))
		if start > 0 { // a corner at random
			for i := range q.set {
				t := 2 * math.Pi * s.Float64()
				if at[i] = (choice{math.Cos(t), math.Sin(t)}); !q.set[i].plane {
					at[i] = choice{sa: math.Copysign(1, math.Cos(t))}
				}
			}
		}
		if err := q.climb(at); err != nil {
			return err
		}
		if q.left <= 0 {
			break
		}
	}
	return nil
}

// put makes the next row the point that is chosen of every set, and evaluates the rows when they are full.
func (q *seeker) put(at []choice) error {
	x := make([]float64, len(q.w.X))
	for i := range q.set {
		q.set[i].add(x, at[i])
	}
	for c, v := range x {
		q.w.X[c][q.rows] = v
	}
	if q.rows++; q.rows < BatchSize {
		return nil
	}
	return q.evaluate()
}

// evaluate works out the points put, and keeps the best.
func (q *seeker) evaluate() error {
	n := q.rows
	if err := q.w.Rows("worst case", n); err != nil {
		return err
	}
	q.left -= n
	for k, v := range q.w.Y[q.of][:n] {
		if v *= q.sign; v > q.best.Value {
			q.best.Value = v
			for c := range q.w.X {
				q.best.X[c] = q.w.X[c][k]
			}
		}
	}
	q.rows = 0
	return nil
}

// corners tries them all.
func (q *seeker) corners(intervals int) error {
	at := make([]choice, len(q.set))
	for corner := range 1 << intervals {
		bit := 0
		for i := range q.set {
			if q.set[i].moves() {
				at[i].sa = float64(2*(corner>>bit&1) - 1)
				bit++
			}
		}
		if err := q.put(at); err != nil {
			return err
		}
	}
	return q.evaluate()
}

// climb steps to the farthest point along the slope until that is no better.
func (q *seeker) climb(at []choice) error {
	last := math.Inf(-1)
	for range climbSteps {
		value, slope, err := q.slope(at)
		if err != nil {
			return err
		}
		if value <= last || q.left <= 0 {
			return nil
		}
		last = value
		for i := range q.set {
			if c := q.set[i].farthest(slope); c != (choice{}) {
				at[i] = c
			}
		}
	}
	return nil
}

// slope is the value and its central differences at a point, sign times.
func (q *seeker) slope(at []choice) (value float64, out []float64, err error) {
	here, step := make([]float64, len(q.w.X)), make([]float64, len(q.w.X))
	for i := range q.set {
		r := &q.set[i]
		r.add(here, at[i])
		for k := range r.centre {
			step[r.column+k] += r.extent(k) * differenceShare
		}
	}
	values, slopes, err := num.Slopes(q.w.X, here, step, 1, func(n int) error {
		if n == 1 {
			q.rows = 1
			return q.evaluate()
		}
		q.left -= n // the point itself counts, the probes beside it may lie outside
		return q.w.Rows("worst case", n)
	}, func(_, i int) float64 { return q.sign * q.w.Y[q.of][i] })
	if err != nil {
		return 0, nil, err
	}
	for c, v := range slopes[0] {
		if v-v != 0 { // without a step, or without a number beside the point
			slopes[0][c] = 0
		}
	}
	return values[0], slopes[0], nil
}
