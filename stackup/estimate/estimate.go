package estimate

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/bits"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/quasi"
	"example.com/borestack/stackup/rare"
)

// Answer is an answer to a goal.
type Answer struct {
	stackup.Figure
	Method      Method
	Why         string // what was compared, and what speaks against the answer
	Evaluations int    // of samples, trials included
	Reached     bool   // the error is good enough, and nothing speaks against it
}

// Bounds of an estimate.
const (
	trialSamples  = 4096 // of each way
	trialLines    = 8    // of each replicate
	leastLines    = 128  // of each replicate, of an answer: fewer seldom meet a way to fail that the search missed
	leastGain     = 1.5  // a way must have an error this much smaller than a plainer one
	fewFailures   = 20   // of a block of samples, which then say too little of what a search missed
	rareShare     = 0.2  // at most this share fails: quasi-Monte Carlo gains nothing
	reserve       = 1.1  // samples more than the trial says
	enlargements  = 2
	doubtful      = 4 // times as many samples to settle a doubt
	unlikelyTrial = 1e-4
)

// Run answers a goal for a study within a number of evaluations, Samples: it tries the ways to sample that suit the statistic on a few thousand samples each, takes the one with the least error for its evaluations, and runs it, on draws that the trials have not seen, for as long as the goal needs or the evaluations last. Why says what was compared: errors for the same number of evaluations, not time; a model that costs less than drawing its inputs may be quicker at random. At least 32,768 evaluations are needed.
//
// When ctx is done while that way runs it returns what was done, not reached, beside an error that wraps ctx.Err().
func Run(ctx context.Context, s *stackup.Study, goal Goal, set stackup.Settings) (Answer, error) {
	if err := s.Validate(); err != nil {
		return Answer{}, err
	}
	if err := goal.check(s); err != nil {
		return Answer{}, err
	}
	if err := set.Whole(8 * trialSamples); err != nil {
		return Answer{}, err
	}
	one := &stackup.Study{Model: s.Model, Inputs: s.Inputs, Responses: s.Responses[goal.Response : goal.Response+1]}
	e := &estimating{ctx: ctx, study: one, goal: goal, set: set}
	if err := e.try(); err != nil {
		return Answer{}, err
	}
	return e.run()
}

// way is a way to sample.
type way struct {
	Method
	unit int // samples come as a power of two times this; 0: in any number
	run  func(stackup.Settings) (outcome, error)
}

// outcome is what samples of a way say: beside an error, those that were done before it.
type outcome struct {
	stackup.Figure
	samples int
	failed  int    // of them; of random samples only
	doubt   string // what speaks against the figure
}

// estimating is one answer in the making.
type estimating struct {
	ctx         context.Context
	study       *stackup.Study
	goal        Goal
	set         stackup.Settings
	best        way
	error       float64 // of the best way on trialSamples evaluations
	why         string
	lines       float64 // the error of the trial's lines
	failed      int     // of so many random samples
	samples     int
	evaluations int
}

// trial are the settings of a trial: other draws than those that count.
func (e *estimating) trial() stackup.Settings {
	const other = 0x9e3779b97f4a7c15
	return stackup.Settings{
		Samples: trialSamples, Seed: e.set.Seed ^ other, Workers: e.set.Workers,
		Progress: e.set.Part("trials of ways to sample", e.evaluations, e.set.Samples),
	}
}

// say adds to what was compared.
func (e *estimating) say(format string, a ...any) {
	if e.why != "" {
		e.why += "; "
	}
	e.why += fmt.Sprintf(format, a...)
}

// propose takes a way when its error on a trial is small enough.
func (e *estimating) propose(w way, err float64) {
	e.say("%s: error %.2g on %d samples", w.Method, err, trialSamples)
	if e.best.Method == 0 || err < e.error/leastGain {
		e.best, e.error = w, err
	}
}

// try compares the ways that suit the statistic.
func (e *estimating) try() error {
	if e.goal.Of == OfYield {
		if err := e.tryLines(); err != nil || e.best.Method == ByLines {
			return err
		}
	}
	if e.best.Method == 0 {
		if err := e.tryRandom(); err != nil {
			return err
		}
	}
	if e.goal.Of == OfYield && float64(e.failed) <= rareShare*float64(e.samples) {
		return nil
	}
	v, err := e.quasi(e.trial())
	e.evaluations += trialSamples
	switch {
	case unsuited(err):
		e.say("not by quasi-Monte Carlo: %v", err)
	case err != nil:
		return err
	case v.Error-v.Error == 0:
		e.propose(way{ByQuasiMonteCarlo, quasi.Replicates, e.quasi}, v.Error)
	}
	return nil
}

// tryRandom tries random samples.
func (e *estimating) tryRandom() error {
	f, err := e.random(e.trial())
	if err == nil {
		e.evaluations += trialSamples
		e.failed, e.samples = f.failed, f.samples
		e.propose(e.byRandom(), f.Error)
	}
	return err
}

func (e *estimating) byRandom() way { return way{ByRandom, 0, e.random} }

// unsuited reports whether an error says that a way does not suit the study or the statistic.
func unsuited(err error) bool {
	if errors.As(err, new(*fault.SampleError)) {
		return errors.Is(err, fault.ErrNotFinite)
	}
	return errors.As(err, new(*fault.FieldError)) || errors.Is(err, fault.ErrNotFinite)
}

// tryLines looks for design points and tries lines through them, unless the failures of random samples contradict them,
// the search finds none, or it meets deviations that the model has no answer to: samples as the laws say may never go
// there.
func (e *estimating) tryLines() error {
	a, err := rare.Find(e.ctx, e.study, 0, e.trial())
	if errors.Is(err, rare.ErrNoDesignPoint) || errors.As(err, new(*fault.SampleError)) {
		e.say("not by lines: %v", err)
		return nil
	}
	if err != nil {
		return err
	}
	e.evaluations += a.Evaluations
	e.failed, e.samples = a.Failed, stackup.BlockSize
	if e.failed < fewFailures {
		if err := e.tryRandom(); err != nil {
			return err
		}
	} else {
		p := float64(e.failed) / stackup.BlockSize
		e.propose(e.byRandom(), math.Sqrt(p*(1-p)/trialSamples))
	}
	lines := way{ByLines, rare.LineUnit, func(set stackup.Settings) (outcome, error) {
		r, err := a.Lines(e.ctx, set)
		if r == nil {
			return outcome{}, err
		}
		p := r.Failure
		return outcome{Figure: stackup.Figure{Value: 1 - p.Value, Error: p.Error, Interval: [2]float64{1 - p.Interval[1], 1 - p.Interval[0]}}, samples: r.Samples, doubt: r.Doubt}, err
	}}
	set := e.trial()
	set.Samples = trialLines * rare.LineUnit
	r, err := lines.run(set)
	if unsuited(err) {
		e.say("not by lines: %v", err)
		return nil
	}
	if err != nil {
		return err
	}
	e.evaluations += r.samples
	switch p := 1 - r.Value; {
	case r.doubt != "":
		e.say("not by lines: %s", r.doubt)
	case missed(p+4*r.Error, e.failed, e.samples):
		e.say("not by lines: %d of %d random samples fail, against %.2g expected: ways to fail were missed", e.failed, e.samples, p*float64(e.samples))
	default:
		e.lines = r.Error
		e.propose(lines, r.Error*math.Sqrt(float64(r.samples)/trialSamples))
	}
	return nil
}

// missed reports whether more of some random samples fail than a chance allows.
func missed(most float64, failed, samples int) bool {
	return failed > 0 && most < 1 && 1-num.BinomialAtMost(failed-1, samples, most) < unlikelyTrial
}

// run runs the way that was chosen.
func (e *estimating) run() (Answer, error) {
	scale := e.error / e.goal.Error
	n := trialSamples * math.Max(scale*scale*reserve, 1)
	if e.best.Method == ByLines { // their error falls nearly as their number
		n = rare.LineUnit * math.Max(trialLines*e.lines/e.goal.Error*reserve, leastLines)
	}
	for try := 0; ; try++ {
		left := e.set.Samples - e.evaluations
		spent := try == 0 && left < max(stackup.BlockSize, rare.LineUnit)
		if spent {
			e.best, left = e.byRandom(), trialSamples
		}
		set := e.set
		set.Samples = e.best.size(n, left)
		set.Progress = e.set.Part(e.best.String(), e.evaluations, e.evaluations+set.Samples)
		f, err := e.best.run(set)
		if err != nil && f.samples == 0 {
			return Answer{}, err
		}
		e.evaluations += f.samples
		if spent {
			f.doubt = "the search for ways to fail took all the evaluations"
		}
		if err == nil && try < enlargements {
			if n = e.more(&f, set.Samples, left-f.samples); n > 0 {
				continue
			}
		}
		out := Answer{
			f.Figure, e.best.Method, fmt.Sprintf("%s, taken for the least error: %s", e.best.Method, e.why), e.evaluations,
			err == nil && f.doubt == "" && f.Error <= e.goal.Error,
		}
		if f.doubt != "" {
			out.Why += "; doubt: " + f.doubt
		}
		return out, err
	}
}

// more is how many samples to take instead of those that were asked for, where so many are left: for an error that is too
// great, or to settle a doubt; 0: none.
func (e *estimating) more(f *outcome, asked, left int) float64 {
	done := float64(f.samples)
	if e.best.Method == ByLines {
		done = float64(asked)
	}
	if short := f.Error / e.goal.Error; short > 1 {
		if more := done * short * short; more <= float64(left) || float64(left) > 2*done {
			return more * reserve
		}
	}
	if f.doubt != "" && left >= stackup.BlockSize {
		return doubtful * float64(asked)
	}
	return 0
}

// size is how many samples to take when n would do and so many are left.
func (w way) size(n float64, left int) int {
	samples := left
	if n < float64(left) {
		samples = int(math.Ceil(n))
	}
	if w.unit == 0 {
		return samples
	}
	per := 1 << bits.Len(uint((samples-1)/w.unit))
	if per*w.unit > left {
		per /= 2
	}
	return per * w.unit
}

// random is the statistic of random samples.
func (e *estimating) random(set stackup.Settings) (out outcome, err error) {
	acc, err := e.study.Run(e.ctx, set)
	if acc == nil {
		return out, err
	}
	s := acc.Summary(0)
	dof := float64(s.Samples - 1)
	out.samples, out.failed = s.Samples, s.Samples-s.Good
	switch e.goal.Of {
	case OfMean:
		out.Figure = stackup.NewFigure(s.Mean, s.MeanError, dof)
	case OfSD:
		out.Figure = stackup.NewFigure(s.SD, s.SDError, dof)
	case OfYield:
		out.Figure = stackup.Figure{Value: s.Yield, Error: s.YieldError, Interval: s.YieldInterval}
	default:
		q, se := s.Quantile(e.goal.P)
		out.Figure = stackup.NewFigure(q, se, math.Inf(1))
	}
	return out, err
}

// quasi is the statistic of quasi-Monte Carlo points.
func (e *estimating) quasi(set stackup.Settings) (out outcome, err error) {
	r, err := quasi.Run(e.ctx, e.study, quasi.Settings{Settings: set})
	if r == nil {
		return out, err
	}
	switch e.goal.Of {
	case OfMean:
		out.Figure = r.Mean(0)
	case OfSD:
		out.Figure = r.SD(0)
	case OfYield:
		out.Figure = r.Yield(0)
	default:
		q, bad := r.Quantile(0, e.goal.P)
		if bad != nil {
			return out, errors.Join(err, bad)
		}
		out.Figure = q
	}
	out.samples = r.Samples
	return out, err
}
