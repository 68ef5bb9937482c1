package stackup

import (
	"context"
	"fmt"
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/stackup/law"
)

// Change is what of an input is to change.
type Change int

// The changes of a law.
const (
	ChangeSpread Change = iota + 1 // deviations from the mean, times the value: 1 as it is
	ChangeShift                    // the law moved by the value: 0 as it is; a plane law along Angle
	ChangeLimits                   // the law cut to the value either side of its mean; not of a plane law
)

// Question asks how far one input may go.
type Question struct {
	Input    string
	Change   Change
	From, To float64 // from a value at which the target is held, to the farthest that is of interest; To may be the lesser
	Angle    float64 // of the shift of a plane law, radians from x towards y
	Wanted   int     // the number whose limits are to be held
	Share    float64 // of the samples that must hold them; 1: every deviation within the inputs' limits must, as the worst case does
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

// HowFar returns how far one input may go until a target is just held. Every value is tried on the same draws, so that the share is a smooth function of it; the first crossing is bracketed and halved until what remains is a twentieth of the share's standard error. The interval is where the share is that which the binomial law leaves to 95 % of studies of this size.
//
// A worst case is that of [Study.Search], and has no sampling error; Samples and Seed are not used by it.
func (s *Study) HowFar(ctx context.Context, ask Question, set Settings) (Leeway, error) {
	if err := s.Validate(); err != nil {
		return Leeway{}, err
	}
	input, err := s.checkQuestion(&ask)
	if err != nil {
		return Leeway{}, err
	}
	f := &changing{ctx: ctx, study: s, ask: ask, input: input, set: set, known: map[float64]float64{}}
	if ask.Share == 1 {
		return f.worst()
	}
	if err := set.whole(BlockSize); err != nil {
		return Leeway{}, err
	}
	return f.sampled()
}

// checkQuestion finds the input.
func (s *Study) checkQuestion(ask *Question) (int, error) {
	if ask.Wanted < 0 || ask.Wanted >= len(s.Wanted) {
		return 0, &InputError{"question", fmt.Sprintf("wanted number %d", ask.Wanted), fmt.Sprintf("one of %d", len(s.Wanted))}
	}
	w := &s.Wanted[ask.Wanted]
	if !w.limited() && w.Unless == 0 {
		return 0, &InputError{w.Name, "no limits", "limits to hold"}
	}
	if !(ask.Share > 0 && ask.Share <= 1) {
		return 0, &InputError{w.Name, "share " + numberOf(ask.Share), "more than 0, at most 1"}
	}
	for i := range s.Inputs {
		in := &s.Inputs[i]
		if in.Name != ask.Input {
			continue
		}
		if in.Plane != nil && ask.Change == ChangeLimits {
			return 0, &InputError{in.Name, "limits of a plane law", "its spread or shift"}
		}
		for _, t := range []float64{ask.From, ask.To} {
			if _, err := in.changed(ask.Change, t, ask.Angle); err != nil {
				return 0, err
			}
		}
		if ask.From == ask.To {
			return 0, &InputError{in.Name, fmt.Sprintf("a range from %g to %g", ask.From, ask.To), "two values"}
		}
		return i, nil
	}
	return 0, &InputError{ask.Input, "not an input", "one of the study's"}
}

// changed is the input with its law changed.
func (in *Input) changed(c Change, t, angle float64) (Input, error) {
	out := Input{Name: in.Name}
	var err error
	switch {
	case c == ChangeSpread && in.Plane != nil:
		out.Plane, err = ScaledPlane(in.Plane, t)
	case c == ChangeSpread:
		out.Law, err = Scaled(in.Law, t)
	case c == ChangeShift && in.Plane != nil:
		sin, cos := math.Sincos(angle)
		out.Plane, err = ShiftedPlane(in.Plane, t*cos, t*sin)
	case c == ChangeShift:
		out.Law, err = Shifted(in.Law, t)
	case c == ChangeLimits:
		if !(t > 0) {
			return out, &InputError{in.Name, "limits " + numberOf(t), "more than 0"}
		}
		middle := in.Law.Moments().Mean
		if middle-middle != 0 {
			middle = in.Law.Quantile(0.5)
		}
		var cut *law.Truncated
		if cut, err = law.Truncate(in.Law, middle-t, middle+t); err == nil {
			out.Law = byRank{cut}
		}
	default:
		return out, &InputError{in.Name, fmt.Sprintf("change %d", c), "spread, shift or limits"}
	}
	return out, err
}

// byRank is a law drawn by its quantiles, so that laws of one family have draws of the same rank.
type byRank struct{ law.Law }

// Draw fills dst with the next values of a stream.
func (l byRank) Draw(dst []float64, s *law.Stream) {
	s.Normals(dst)
	law.FromNormals(l.Law, dst, dst)
}

// changing is the target as a function of the value.
type changing struct {
	ctx   context.Context
	study *Study
	ask   Question
	input int
	set   Settings
	known map[float64]float64 // by the share of the way
	tries int
}

// at is the value at a share of the way.
func (f *changing) at(way float64) float64 { return f.ask.From + way*(f.ask.To-f.ask.From) }

// changed is the study with the input changed, and only the number that is asked for.
func (f *changing) changed(way float64) (*Study, error) {
	in, err := f.study.Inputs[f.input].changed(f.ask.Change, f.at(way), f.ask.Angle)
	if err != nil {
		return nil, err
	}
	out := &Study{Model: f.study.Model, Inputs: append([]Input(nil), f.study.Inputs...), Wanted: f.study.Wanted[f.ask.Wanted : f.ask.Wanted+1]}
	out.Inputs[f.input] = in
	return out, nil
}

// count is how many samples hold the limits.
func (f *changing) count(way float64) (float64, error) {
	if n, ok := f.known[way]; ok {
		return n, nil
	}
	s, err := f.changed(way)
	if err != nil {
		return 0, err
	}
	set := f.set
	if set.Progress != nil { // of the whole search, as far as that is known
		before, report := f.tries*set.Samples, set.Progress
		all := max(f.tries+1, 4*grid) * set.Samples
		set.Progress = func(p Progress) {
			p.Done += before
			p.Samples = all
			report(p)
		}
	}
	n, err := s.countGood(f.ctx, &set)
	if err != nil {
		return 0, err
	}
	f.tries++
	f.known[way] = float64(n)
	return float64(n), nil
}

// countGood is how many samples hold the limits of the first wanted number.
func (s *Study) countGood(ctx context.Context, set *Settings) (int, error) {
	blocks := (set.Samples + BlockSize - 1) / BlockSize
	good := make([]int, blocks)
	err := sweep(ctx, set, blocks, BlockSize, func() *tailer { return newTailer(s, nil) }, func(w *tailer, block int) error {
		w.draws.begin(set.Seed, block)
		for at := block * BlockSize; at < min((block+1)*BlockSize, set.Samples); at += batch {
			n := min(batch, set.Samples-at)
			w.draws.draw(w.x)
			if err := w.evaluator.Evaluate(w.y, w.x, n); err != nil {
				return blame(err, w.x, at)
			}
			if err := s.Wanted[0].numbers(w.y, n); err != nil {
				return blame(err, w.x, at)
			}
			for i := range n {
				if s.Wanted[0].good(w.y, i) {
					good[block]++
				}
			}
		}
		return nil
	})
	total := 0
	for _, g := range good {
		total += g
	}
	return total, err
}

// sampled solves for a share of the samples.
func (f *changing) sampled() (Leeway, error) {
	n, p := f.set.Samples, f.ask.Share
	fine := math.Max(math.Sqrt(float64(n)*p*(1-p))/20, 1)
	want := p * float64(n)
	lowCount, highCount := binomialRange(n, p)
	value, held, err := f.crossing(want, fine)
	if err != nil {
		return Leeway{}, err
	}
	early, _, err := f.crossing(highCount+1, 2*fine)
	if err != nil {
		return Leeway{}, err
	}
	late, _, err := f.crossing(lowCount, 2*fine)
	if err != nil {
		return Leeway{}, err
	}
	out := Leeway{Value: f.at(value), NeverHeld: held == never, AlwaysHeld: held == always}
	out.Interval = [2]float64{f.at(math.Min(early, value)), f.at(math.Max(late, value))}
	if out.Interval[0] > out.Interval[1] {
		out.Interval[0], out.Interval[1] = out.Interval[1], out.Interval[0]
	}
	out.Error = (out.Interval[1] - out.Interval[0]) / 2 / coverage(math.Inf(1))
	out.Evaluations = f.tries * n
	for k := range grid {
		a, b := f.known[float64(k)/grid], f.known[float64(k+1)/grid]
		if (a >= want) != (b >= want) {
			out.Crossings++
		}
	}
	return out, nil
}

// binomialAtMost is the chance of at most k of n.
func binomialAtMost(k, n int, p float64) float64 {
	if k >= n {
		return 1
	}
	return mathext.RegIncBeta(float64(n-k), float64(k+1), 1-p)
}

// binomialRange are the counts between which 95 % of samples lie when a share p is expected: at most 2.5 % lie below the first, at most 2.5 % above the second.
func binomialRange(n int, p float64) (low, high float64) {
	least := func(share float64) int { // with at least that share at most it
		a, b := 0, n
		for a < b {
			if m := (a + b) / 2; binomialAtMost(m, n, p) >= share {
				b = m
			} else {
				a = m + 1
			}
		}
		return a
	}
	return float64(least((1 - level) / 2)), float64(least((1 + level) / 2))
}

// How a target is held over the whole way.
const (
	crossed = iota
	never
	always
)

// crossing is the first share of the way at which the count falls below want, to within a few counts.
func (f *changing) crossing(want, fine float64) (way float64, held int, err error) {
	var counts [grid + 1]float64
	for k := range counts {
		if counts[k], err = f.count(float64(k) / grid); err != nil {
			return 0, 0, err
		}
	}
	if counts[0] < want {
		return 0, never, nil
	}
	for k := range grid {
		if counts[k+1] >= want {
			continue
		}
		a, b := float64(k)/grid, float64(k+1)/grid
		na, nb := counts[k], counts[k+1]
		for range halvings {
			if na-nb <= fine {
				break
			}
			m := (a + b) / 2
			nm, err := f.count(m)
			if err != nil {
				return 0, 0, err
			}
			if nm >= want {
				a, na = m, nm
			} else {
				b, nb = m, nm
			}
		}
		return a + (b-a)*(na-want)/(na-nb), crossed, nil
	}
	return 1, always, nil
}

// worst solves for the worst case.
func (f *changing) worst() (Leeway, error) {
	holds := func(way float64) (bool, error) {
		if err := f.ctx.Err(); err != nil {
			return false, fmt.Errorf("stackup: stopped after %d worst cases: %w", f.tries, context.Cause(f.ctx))
		}
		f.tries++
		s, err := f.changed(way)
		if err != nil {
			return false, err
		}
		return s.worstHolds()
	}
	var at [grid + 1]bool
	out := Leeway{}
	for k := range at {
		ok, err := holds(float64(k) / grid)
		if err != nil {
			return Leeway{}, err
		}
		if at[k] = ok; k > 0 && at[k] != at[k-1] {
			out.Crossings++
		}
	}
	way := 1.0
	out.NeverHeld, out.AlwaysHeld = !at[0], at[0]
	for k := range grid {
		if !at[0] {
			way = 0
			break
		}
		if at[k+1] {
			continue
		}
		out.AlwaysHeld = false
		a, b := float64(k)/grid, float64(k+1)/grid
		for range halvings {
			m := (a + b) / 2
			ok, err := holds(m)
			if err != nil {
				return Leeway{}, err
			}
			if ok {
				a = m
			} else {
				b = m
			}
		}
		way = a
		break
	}
	out.Value = f.at(way)
	out.Interval = [2]float64{out.Value, out.Value}
	return out, nil
}

// worstHolds reports whether the worst case of the first wanted number holds its limits.
func (s *Study) worstHolds() (bool, error) {
	w := s.Wanted[0]
	if !math.IsInf(w.Greatest, 1) {
		e, err := s.Search(0, 1, SearchSettings{})
		if err != nil || e.Value > w.Greatest {
			return false, err
		}
	}
	if !math.IsInf(w.Least, -1) {
		e, err := s.Search(0, -1, SearchSettings{})
		if err != nil || e.Value < w.Least {
			return false, err
		}
	}
	if w.Unless == 0 {
		return true, nil
	}
	other := &Study{Model: s.Model, Inputs: s.Inputs, Wanted: []Wanted{NoLimits(w.Name, w.Unless-1)}}
	e, err := other.Search(0, -1, SearchSettings{})
	return e.Value >= 1, err
}
