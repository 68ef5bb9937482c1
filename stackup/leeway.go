package stackup

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/tolerance"
)

// Question asks how far something of a study may go.
type Question struct {
	From, To float64 // from a value at which the target is held, to the farthest that is of interest; To may be the lesser
	Response int     // the number whose limits are to be held
	Share    float64 // of the samples that must hold them; 1: every deviation within the inputs' limits must, as the worst case does
}

// check finds what is wrong with a question of a study.
func (ask *Question) check(s *Study) error {
	w, err := s.Response(ask.Response)
	switch {
	case err != nil:
		return err
	case !w.Limited() && w.Unless == 0:
		return fault.At(w.Name, "no limits", "limits to hold", fault.ErrMissing)
	case !(ask.Share > 0 && ask.Share <= 1):
		return fault.At(w.Name, fmt.Sprintf("share %g", ask.Share), "more than 0, at most 1", fault.ErrOutOfRange)
	case ask.From == ask.To || !ieee.Finite(ask.From, ask.To):
		return fault.At("question", fmt.Sprintf("a range from %g to %g", ask.From, ask.To), "two values", fault.ErrOutOfRange)
	}
	return nil
}

// Leeway answers a question. A quantile p that must not exceed v is asked for as a share p within the greatest limit v.
type Leeway struct {
	Value       float64    // the farthest value that just holds the target
	Error       float64    // standard error: half the interval over the factor for 95 %
	Interval    [2]float64 // 95 %, ascending; the answer's own for a worst case
	NeverHeld   bool       // the target is not held at From, which Value repeats
	AlwaysHeld  bool       // the target is held at To, which Value repeats
	Crossings   int        // how often the target was lost or regained at nine even values from From to To; above 1, Value is the first loss
	Evaluations int        // of samples
}

// grid is into how many parts the way from From to To is cut at first; halvings bound the search within one.
const (
	grid     = 8
	halvings = 40
)

// HowFar returns how far something of a study may go until a target is just held: the spread of an input, the shift of
// another along with it, a number of the model, whatever study makes of a value ([Study.With], [Input.Scaled],
// [Input.Shifted]). Every value is tried on the same draws, so that the share is a smooth function of it; the first crossing is bracketed and halved until what remains is a twentieth of the share's standard error. The interval is where the share is that which the binomial law leaves to 95 % of studies of this size.
//
// When ctx is done it returns an error that wraps ctx.Err() and nothing else: the answer needs all its samples.
//
// A worst case is that of [Study.Search], and has no sampling error; Samples and Seed are not used by it.
func HowFar(ctx context.Context, study func(value float64) (*Study, error), ask Question, set Settings) (Leeway, error) {
	f := &changing{ctx: ctx, study: study, ask: ask, set: set, known: map[float64]float64{}}
	for _, v := range [2]float64{ask.From, ask.To} {
		if _, err := f.made(v); err != nil {
			return Leeway{}, err
		}
	}
	if ask.Share < 1 {
		if err := set.Whole(BlockSize); err != nil {
			return Leeway{}, err
		}
	}
	return f.solve()
}

// changing is the target as a function of the value.
type changing struct {
	ctx   context.Context
	study func(value float64) (*Study, error)
	ask   Question
	set   Settings
	known map[float64]float64 // by the share of the way
	tries int
}

// at is the value at a share of the way.
func (f *changing) at(way float64) float64 { return f.ask.From + way*(f.ask.To-f.ask.From) }

// noStudy says that nothing was made of values.
func noStudy(of ...float64) error {
	return fault.At("study", fmt.Sprintf("none of %v", of), "one", fault.ErrMissing)
}

// made is the study of a value, with the one response.
func (f *changing) made(value float64) (*Study, error) {
	s, err := f.study(value)
	if err != nil {
		return nil, err
	}
	if s == nil {
		return nil, noStudy(value)
	}
	one := *s
	if err := errors.Join(one.Validate(), f.ask.check(&one)); err != nil {
		return nil, err
	}
	one.Responses = one.Responses[f.ask.Response : f.ask.Response+1]
	return &one, nil
}

// count is how many samples hold the limits; of a worst case 1 or 0.
func (f *changing) count(way float64) (float64, error) {
	if n, ok := f.known[way]; ok {
		return n, nil
	}
	if f.ctx.Err() != nil {
		return 0, fmt.Errorf("stackup: stopped after %d values: %w", f.tries, context.Cause(f.ctx))
	}
	s, err := f.made(f.at(way))
	if err != nil {
		return 0, err
	}
	var n int
	if f.ask.Share == 1 {
		n, err = s.worstHolds(f.ctx)
	} else {
		set := f.set
		set.Progress = set.Part(fmt.Sprintf("value %d", f.tries+1), f.tries*set.Samples, max(f.tries+1, 4*grid)*set.Samples)
		var t *Accumulator
		if t, err = s.Run(f.ctx, set); err == nil {
			n = int(t.good[0])
		}
	}
	if err != nil {
		return 0, err
	}
	f.tries++
	f.known[way] = float64(n)
	return float64(n), nil
}

// solve finds where the target is lost first; of a share, with its interval.
func (f *changing) solve() (Leeway, error) {
	n, p := f.set.Samples, f.ask.Share
	want, fine := 1.0, 0.0 // of a worst case
	if p < 1 {
		want, fine = p*float64(n), math.Max(math.Sqrt(float64(n)*p*(1-p))/20, 1)
	}
	value, err := f.crossing(want, fine)
	if err != nil {
		return Leeway{}, err
	}
	out := Leeway{Value: f.at(value), NeverHeld: f.known[0] < want, AlwaysHeld: value == 1}
	for k := range grid {
		if (f.known[float64(k)/grid] >= want) != (f.known[float64(k+1)/grid] >= want) {
			out.Crossings++
		}
	}
	if out.Interval = [2]float64{out.Value, out.Value}; p == 1 {
		return out, nil
	}
	low, high := num.BinomialRange(n, p)
	early, err := f.crossing(high+1, 2*fine)
	if err != nil {
		return Leeway{}, err
	}
	late, err := f.crossing(low, 2*fine)
	if err != nil {
		return Leeway{}, err
	}
	out.Interval = [2]float64{f.at(math.Min(early, value)), f.at(math.Max(late, value))}
	slices.Sort(out.Interval[:])
	out.Error = (out.Interval[1] - out.Interval[0]) / 2 / num.Coverage(math.Inf(1))
	out.Evaluations = f.tries * n
	return out, nil
}

// crossing is the first share of the way at which the count falls below want, to within a few counts: 0 where it is
// never held, 1 where always.
func (f *changing) crossing(want, fine float64) (float64, error) {
	var counts [grid + 1]float64
	for k := range counts {
		var err error
		if counts[k], err = f.count(float64(k) / grid); err != nil {
			return 0, err
		}
	}
	k := slices.IndexFunc(counts[:], func(n float64) bool { return n < want })
	switch k {
	case -1:
		return 1, nil
	case 0:
		return 0, nil
	}
	a, b := float64(k-1)/grid, float64(k)/grid
	na, nb := counts[k-1], counts[k]
	for range halvings {
		if na-nb <= fine {
			break
		}
		m := (a + b) / 2
		nm, err := f.count(m)
		if err != nil {
			return 0, err
		}
		if nm >= want {
			a, na = m, nm
		} else {
			b, nb = m, nm
		}
	}
	return a + (b-a)*(na-want)/(na-nb), nil
}

// worstHolds is 1 when the worst case of the first response holds its limits, and what must hold besides.
func (s *Study) worstHolds(ctx context.Context) (int, error) {
	w := s.Responses[0]
	besides := &Study{Model: s.Model, Inputs: s.Inputs, Responses: []Response{{Name: w.Name, Output: max(w.Unless-1, 0)}}}
	for _, c := range []struct {
		of    *Study
		limit tolerance.Optional[float64]
		sign  float64
	}{{s, w.Limits.Greatest, 1}, {s, w.Limits.Least, -1}, {besides, tolerance.Optional[float64]{Value: 1, Given: w.Unless > 0}, -1}} {
		if !c.limit.Given {
			continue
		}
		e, err := c.of.Search(ctx, 0, c.sign, SearchSettings{})
		if err != nil || c.sign*(e.Value-c.limit.Value) > 0 {
			return 0, err
		}
	}
	return 1, nil
}
