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
	rareShare     = 0.2  // design points are looked for when at most this share of the trial fails
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

// estimating is one answer in the making.
type estimating struct {
	ctx         context.Context
	study       *stackup.Study
	goal        Goal
	set         stackup.Settings
	method      Method
	error       float64 // of the method on trialSamples evaluations
	why         string
	aim         *rare.Aim
	lines       float64 // the error of the trial's lines
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

// propose takes a way when its error on a trial is small enough.
func (e *estimating) propose(m Method, err float64) {
	if e.why != "" {
		e.why += "; "
	}
	e.why += fmt.Sprintf("%s: error %.2g on %d samples", m, err, trialSamples)
	if e.method == 0 || err < e.error/leastGain {
		e.method, e.error = m, err
	}
}

// try compares the ways that suit the statistic.
func (e *estimating) try() error {
	if e.goal.Of == OfYield {
		if err := e.tryOften(); err != nil || e.method == ByLines {
			return err
		}
	}
	f, t, err := e.random(e.trial())
	if err != nil {
		return err
	}
	e.evaluations += trialSamples
	e.method = 0
	e.propose(ByRandom, f.Error)
	if e.goal.Of == OfYield {
		if failed := t.Samples - t.Good; float64(failed) <= rareShare*float64(t.Samples) {
			return e.tryRare(failed)
		}
	}
	v, _, err := e.even(e.trial())
	e.evaluations += trialSamples
	switch {
	case unsuited(err):
		e.why += fmt.Sprintf("; not by quasi-Monte Carlo: %v", err)
	case err != nil:
		return err
	case v.Error-v.Error == 0:
		e.propose(ByQuasiMonteCarlo, v.Error)
	}
	return nil
}

// unsuited reports whether an error says that a way does not suit the study or the statistic.
func unsuited(err error) bool {
	if errors.As(err, new(*fault.SampleError)) {
		return errors.Is(err, fault.ErrNotFinite)
	}
	return errors.As(err, new(*fault.FieldError)) || errors.Is(err, fault.ErrNotFinite)
}

// leaves reports whether the search for design points met deviations that the model has no answer to, and says so:
// samples as the laws say may never go there.
func (e *estimating) leaves(err error) bool {
	if !errors.As(err, new(*fault.SampleError)) {
		return false
	}
	if e.why != "" {
		e.why += "; "
	}
	e.why += fmt.Sprintf("not by design points: %v", err)
	return true
}

// tryRare looks for design points, unless the failures of the trial contradict them.
func (e *estimating) tryRare(failed int) error {
	a, err := rare.Find(e.ctx, e.study, 0, e.trial())
	if errors.Is(err, rare.ErrNoDesignPoint) {
		e.why += fmt.Sprintf("; not by design points: %v", err)
		return nil
	}
	if e.leaves(err) {
		return nil
	}
	if err != nil {
		return err
	}
	e.evaluations += a.Evaluations()
	p, se, seen, n := a.Trial()
	if seen == 0 {
		e.why += fmt.Sprintf("; not by design points: none of %d samples about them fails", n)
		return nil
	}
	if e.missed(p, se, failed, trialSamples) {
		return nil
	}
	e.aim = a
	se *= math.Sqrt(float64(n) / trialSamples)
	e.propose(ByDesignPoints, se)
	if p > 0 && e.method == ByRandom && failed < 10 { // too few failures to know the error at random
		if at := math.Sqrt(p * (1 - p) / trialSamples); se < at/leastGain {
			e.method, e.error = ByDesignPoints, se
		}
	}
	return e.tryLines(a, failed, trialSamples)
}

// missed reports whether more of the random samples fail than a chance allows that points say.
func (e *estimating) missed(p, se float64, failed, samples int) bool {
	most := p + 4*se
	if failed == 0 || most >= 1 || 1-num.BinomialAtMost(failed-1, samples, most) >= unlikelyTrial {
		return false
	}
	e.why += fmt.Sprintf("; not by design points: %d of %d random samples fail, against %.2g expected: ways to fail were missed", failed, samples, p*float64(samples))
	return true
}

// tryOften tries lines for a response that fails so often that few samples show how.
func (e *estimating) tryOften() error {
	a, failed, err := rare.Glance(e.ctx, e.study, 0, e.trial())
	if e.leaves(err) {
		return nil
	}
	if err != nil {
		return err
	}
	e.evaluations += a.Evaluations()
	if a.Ways() == 0 {
		return nil
	}
	p := float64(failed) / stackup.BlockSize
	e.propose(ByRandom, math.Sqrt(p*(1-p)/trialSamples))
	return e.tryLines(a, failed, stackup.BlockSize)
}

// tryLines tries lines through the points of an aim, unless the failures of so many random samples contradict them.
func (e *estimating) tryLines(a *rare.Aim, failed, samples int) error {
	set := e.trial()
	set.Samples = trialLines * rare.LineUnit
	r, err := a.Lines(e.ctx, set)
	if unsuited(err) {
		e.why += fmt.Sprintf("; not by lines: %v", err)
		return nil
	}
	if err != nil {
		return err
	}
	e.evaluations += r.Samples
	p, se := r.Failure.Value, r.Failure.Error
	switch {
	case r.Doubt != "":
		e.why += "; not by lines: " + r.Doubt
		return nil
	case e.missed(p, se, failed, samples):
		return nil
	}
	e.propose(ByLines, se*math.Sqrt(float64(r.Samples)/trialSamples))
	if e.method == ByLines {
		e.aim, e.lines = a, se
	}
	return nil
}

// run runs the way that was chosen.
func (e *estimating) run() (Answer, error) {
	scale := e.error / e.goal.Error
	n := trialSamples * math.Max(scale*scale*reserve, 1)
	if e.method == ByLines { // their error falls nearly as their number
		n = rare.LineUnit * math.Max(trialLines*e.lines/e.goal.Error*reserve, leastLines)
	}
	for try := 0; ; try++ {
		left := e.set.Samples - e.evaluations
		set := e.set
		spent := try == 0 && left < max(stackup.BlockSize, rare.LineUnit)
		if spent {
			e.method, left = ByRandom, trialSamples
		}
		set.Samples = e.size(n, left)
		set.Progress = e.set.Part(e.method.String(), e.evaluations, e.evaluations+set.Samples)
		f, done, doubt, err := e.once(set)
		if err != nil && done == 0 {
			return Answer{}, err
		}
		e.evaluations += done
		left -= done
		if spent {
			doubt = "the search for ways to fail took all the evaluations"
		}
		if err == nil && try < enlargements {
			if short := f.Error / e.goal.Error; short > 1 {
				if e.method == ByLines {
					done = set.Samples
				}
				if more := float64(done) * short * short; more <= float64(left) || float64(left) > 2*float64(done) {
					n = more * reserve
					continue
				}
			}
			if doubt != "" && left >= stackup.BlockSize {
				n = doubtful * float64(set.Samples)
				continue
			}
		}
		reached := err == nil && doubt == "" && f.Error <= e.goal.Error
		out := Answer{f, e.method, fmt.Sprintf("%s, taken for the least error: %s", e.method, e.why), e.evaluations, reached}
		if doubt != "" {
			out.Why += "; doubt: " + doubt
		}
		return out, err
	}
}

// size is how many samples to take when n would do and so many are left; of quasi-Monte Carlo whole powers of two.
func (e *estimating) size(n float64, left int) int {
	samples := left
	if n < float64(left) {
		samples = int(math.Ceil(n))
	}
	unit := 0
	switch e.method {
	case ByQuasiMonteCarlo:
		unit = quasi.Replicates
	case ByLines:
		unit = rare.LineUnit
	default:
		return samples
	}
	per := 1 << bits.Len(uint((samples-1)/unit))
	if per*unit > left {
		per /= 2
	}
	return per * unit
}

// once runs the chosen way: the figure, the samples done, and what speaks against it. Beside an error it is what was done before.
func (e *estimating) once(set stackup.Settings) (f stackup.Figure, done int, doubt string, err error) {
	switch e.method {
	case ByRandom:
		var s stackup.Summary
		f, s, err = e.random(set)
		done = s.Samples
	case ByQuasiMonteCarlo:
		f, done, err = e.even(set)
	case ByDesignPoints, ByLines:
		sample := e.aim.Sample
		if e.method == ByLines {
			sample = e.aim.Lines
		}
		var r *rare.Rare
		if r, err = sample(e.ctx, set); r != nil {
			p := r.Failure
			f, done, doubt = stackup.Figure{Value: 1 - p.Value, Error: p.Error, Interval: [2]float64{1 - p.Interval[1], 1 - p.Interval[0]}}, r.Samples, r.Doubt
		}
	}
	return f, done, doubt, err
}

// random is the statistic of random samples.
func (e *estimating) random(set stackup.Settings) (stackup.Figure, stackup.Summary, error) {
	acc, err := e.study.Run(e.ctx, set)
	if acc == nil {
		return stackup.Figure{}, stackup.Summary{}, err
	}
	s := acc.Summary(0)
	dof := float64(s.Samples - 1)
	switch e.goal.Of {
	case OfMean:
		return stackup.NewFigure(s.Mean, s.MeanError, dof), s, err
	case OfSD:
		return stackup.NewFigure(s.SD, s.SDError, dof), s, err
	case OfYield:
		return stackup.Figure{Value: s.Yield, Error: s.YieldError, Interval: s.YieldInterval}, s, err
	}
	q, se := s.Quantile(e.goal.P)
	return stackup.NewFigure(q, se, math.Inf(1)), s, err
}

// even is the statistic of quasi-Monte Carlo points, and of how many samples.
func (e *estimating) even(set stackup.Settings) (f stackup.Figure, samples int, err error) {
	r, err := quasi.Run(e.ctx, e.study, quasi.Settings{Settings: set})
	if r == nil {
		return stackup.Figure{}, 0, err
	}
	switch e.goal.Of {
	case OfMean:
		f = r.Mean(0)
	case OfSD:
		f = r.SD(0)
	case OfYield:
		f = r.Yield(0)
	default:
		q, bad := r.Quantile(0, e.goal.P)
		if bad != nil {
			return stackup.Figure{}, 0, errors.Join(err, bad)
		}
		f = q
	}
	return f, r.Samples, err
}
