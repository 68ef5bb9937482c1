package stackup

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/bits"
)

// Estimated is an answer to a goal.
type Estimated struct {
	Figure
	Method      Method
	Why         string // what was compared, and what speaks against the answer
	Evaluations int    // of samples, trials included
	Reached     bool   // the error is good enough, and nothing speaks against it
}

// Bounds of an estimate.
const (
	trialSamples  = 4096 // of each way
	leastGain     = 1.5  // a way must have an error this much smaller than a plainer one
	rareShare     = 0.2  // design points are looked for when at most this share of the trial fails
	reserve       = 1.1  // samples more than the trial says
	enlargements  = 2
	doubtful      = 4 // times as many samples to settle a doubt
	unlikelyTrial = 1e-4
)

// Estimate answers a goal within a number of evaluations, Samples: it tries the ways to sample that suit the statistic on a few thousand samples each, takes the one with the least error for its evaluations, and runs it, on draws that the trials have not seen, for as long as the goal needs or the evaluations last. Why says what was compared: errors for the same number of evaluations, not time; a model that costs less than drawing its inputs may be quicker at random. At least 32,768 evaluations are needed.
func (s *Study) Estimate(ctx context.Context, goal Goal, set Settings) (Estimated, error) {
	if err := s.Validate(); err != nil {
		return Estimated{}, err
	}
	if err := s.checkGoal(&goal); err != nil {
		return Estimated{}, err
	}
	if err := set.whole(8 * trialSamples); err != nil {
		return Estimated{}, err
	}
	one := &Study{Model: s.Model, Inputs: s.Inputs, Wanted: s.Wanted[goal.Wanted : goal.Wanted+1]}
	e := &estimating{ctx: ctx, study: one, goal: goal, set: set}
	if err := e.try(); err != nil {
		return Estimated{}, err
	}
	return e.run()
}

// estimating is one answer in the making.
type estimating struct {
	ctx         context.Context
	study       *Study
	goal        Goal
	set         Settings
	method      Method
	error       float64 // of the method on trialSamples evaluations
	why         string
	aim         *aimed
	evaluations int
}

// trial are the settings of a trial: other draws than those that count.
func (e *estimating) trial() Settings {
	const other = 0x9e3779b97f4a7c15
	return Settings{Samples: trialSamples, Seed: e.set.Seed ^ other, Workers: e.set.Workers}
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
	f, t, err := e.random(e.trial())
	if err != nil {
		return err
	}
	e.evaluations += trialSamples
	e.propose(ByRandom, f.Error)
	if e.goal.Of == OfMean || e.goal.Of == OfSD {
		c, err := e.controlled(e.trial())
		e.evaluations += trialSamples
		switch {
		case errors.Is(err, ErrStudy), errors.Is(err, ErrNotFinite):
			e.why += fmt.Sprintf("; not by the linear part: %v", err)
		case err != nil:
			return err
		case e.goal.Of == OfMean: // the gain is better known than the error
			e.propose(ByLinearPart, f.Error/math.Sqrt(c.Gain))
		default:
			e.propose(ByLinearPart, c.SD.Error)
		}
	}
	if e.goal.Of == OfYield {
		if failed := t.Samples - t.Good; float64(failed) <= rareShare*float64(t.Samples) {
			return e.tryRare(failed)
		}
	}
	v, err := e.even(e.trial())
	e.evaluations += trialSamples
	switch {
	case errors.Is(err, ErrStudy), errors.Is(err, ErrNotFinite):
		e.why += fmt.Sprintf("; not by even points: %v", err)
	case err != nil:
		return err
	case v.Error-v.Error == 0:
		e.propose(ByEvenPoints, v.Error)
	}
	return nil
}

// tryRare looks for design points, unless the failures of the trial contradict them.
func (e *estimating) tryRare(failed int) error {
	a, err := e.study.aim(e.ctx, 0, e.trial())
	if errors.Is(err, ErrNoDesignPoint) {
		e.why += fmt.Sprintf("; not by design points: %v", err)
		return nil
	}
	if err != nil {
		return err
	}
	e.evaluations += a.evaluations
	if a.pilot.failed == 0 {
		e.why += fmt.Sprintf("; not by design points: none of %d samples about them fails", int(a.pilot.n))
		return nil
	}
	p, se := a.pilot.estimate()
	if most := p + 4*se; failed > 0 && (most < 1 && 1-binomialAtMost(failed-1, trialSamples, most) < unlikelyTrial) {
		e.why += fmt.Sprintf("; not by design points: %d of %d random samples fail, against %.2g expected: ways to fail were missed", failed, trialSamples, p*trialSamples)
		return nil
	}
	e.aim = a
	e.propose(ByDesignPoints, se*math.Sqrt(a.pilot.n/trialSamples))
	if p > 0 && e.method == ByRandom && failed < 10 { // too few failures to know the error at random
		if at := math.Sqrt(p * (1 - p) / trialSamples); se*math.Sqrt(a.pilot.n/trialSamples) < at/leastGain {
			e.method, e.error = ByDesignPoints, se*math.Sqrt(a.pilot.n/trialSamples)
		}
	}
	return nil
}

// run runs the way that was chosen.
func (e *estimating) run() (Estimated, error) {
	left := e.set.Samples - e.evaluations
	scale := e.error / e.goal.Error
	n := trialSamples * math.Max(scale*scale*reserve, 1)
	var f Figure
	for try := 0; ; try++ {
		set := e.set
		set.Samples = left
		if n < float64(left) {
			set.Samples = int(math.Ceil(n))
		}
		if e.method == ByEvenPoints { // whole powers of two
			per := 1 << bits.Len(uint(set.Samples-1)/evenReplicates)
			if per*evenReplicates > left {
				per /= 2
			}
			set.Samples = per * evenReplicates
		}
		var err error
		doubt := ""
		switch e.method {
		case ByRandom:
			f, _, err = e.random(set)
		case ByLinearPart:
			var c Controlled
			c, err = e.controlled(set)
			if f = c.Mean; e.goal.Of == OfSD {
				f = c.SD
			}
		case ByEvenPoints:
			f, err = e.even(set)
		case ByDesignPoints:
			var r *Rare
			if r, err = e.aim.rare(e.ctx, set); err == nil {
				f, doubt = Figure{1 - r.Failure.Value, r.Failure.Error, [2]float64{1 - r.Failure.Interval[1], 1 - r.Failure.Interval[0]}}, r.Doubt
			}
		}
		if err != nil {
			return Estimated{}, err
		}
		e.evaluations += set.Samples
		left -= set.Samples
		if short := f.Error / e.goal.Error; short > 1 && try < enlargements {
			if more := float64(set.Samples) * short * short; more <= float64(left) || float64(left) > 2*float64(set.Samples) {
				n = more * reserve
				continue
			}
		}
		if doubt != "" && try < enlargements && left >= BlockSize {
			n = doubtful * float64(set.Samples)
			continue
		}
		out := Estimated{f, e.method, fmt.Sprintf("%s, taken for the least error: %s", e.method, e.why), e.evaluations, f.Error <= e.goal.Error && doubt == ""}
		if doubt != "" {
			out.Why += "; doubt: " + doubt
		}
		return out, nil
	}
}

// random is the statistic of random samples.
func (e *estimating) random(set Settings) (Figure, Summary, error) {
	tally, err := e.study.Run(e.ctx, set)
	if err != nil {
		return Figure{}, Summary{}, err
	}
	s := tally.Summary(0)
	dof := float64(s.Samples - 1)
	switch e.goal.Of {
	case OfMean:
		return figure(s.Mean, s.MeanError, dof), s, nil
	case OfSD:
		return figure(s.SD, s.SDError, dof), s, nil
	case OfYield:
		return Figure{s.Yield, s.YieldError, s.YieldInterval}, s, nil
	}
	q, se := s.Quantile(e.goal.P)
	return figure(q, se, math.Inf(1)), s, nil
}

// controlled are the statistics of samples less their linear part.
func (e *estimating) controlled(set Settings) (Controlled, error) {
	c, err := e.study.RunControlled(e.ctx, set)
	if err != nil {
		return Controlled{}, err
	}
	return c[0], nil
}

// even is the statistic of even points.
func (e *estimating) even(set Settings) (Figure, error) {
	r, err := e.study.RunEven(e.ctx, EvenSettings{Settings: set, Spacing: Sobol})
	if err != nil {
		return Figure{}, err
	}
	switch e.goal.Of {
	case OfMean:
		return r.Mean(0), nil
	case OfSD:
		return r.SD(0), nil
	case OfYield:
		return r.Yield(0), nil
	}
	return r.Quantile(0, e.goal.P)
}
