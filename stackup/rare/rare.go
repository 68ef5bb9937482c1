package rare

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"math"
	"slices"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
)

// Rare is the chance that a response fails, found by looking where it does.
type Rare struct {
	Name        string
	Failure     stackup.Figure
	Points      []DesignPoint // the likeliest ways to fail, nearest first; those about which the search went to and fro are sampled, but not listed
	Samples     int
	Evaluations int     // those of the search included
	Largest     float64 // the share of the estimate that rests on its weightiest sample
	Doubt       string  // why failures may have been missed or the error may be too small; empty: no sign of it
}

// ErrNoDesignPoint is wrapped when no deviations within reach were found that fail.
var ErrNoDesignPoint = errors.New("no deviations that fail found")

// usual is the share of samples drawn as the laws say; the others are drawn about the design points. It bounds the weight of a failure by ten and finds failures that the search has missed, if they are not much rarer than those it knows.
const usual = 0.1

// Failures estimates the chance that response i of a study fails. It searches the design points, the likeliest
// ways to fail, by steps from the medians and from samples spread wider than they are; draws one sample in ten as
// the laws say and the rest about those points; and weighs every failure by how likely it is over how often it was
// drawn, so that the estimate is unbiased wherever the points are. What the search missed shows as samples of great
// weight: see Doubt; but a way to fail that it missed and that is so rare that one sample in ten, drawn as the laws
// say, never meets it leaves no sign. When no sample fails the answer is an interval from 0, by the rule of three,
// and a doubt.
//
// When ctx is done it returns what the whole blocks done so far came to, if any, beside an error that wraps ctx.Err().
//
// It returns an error that wraps [ErrNoDesignPoint] when nothing fails within twelve standard deviations that the
// search can reach: the chance is then small, or the model's failures are hidden from it; [stackup.Study.Run] says
// how small at least.
//
// Source: Hasofer and Lind, Exact and invariant second-moment code format, J. Eng. Mech. Div. ASCE 100 (1974); Veach
// and Guibas, Optimally combining sampling techniques for Monte Carlo rendering, SIGGRAPH 1995 (balance heuristic);
// Hesterberg, Weighted average importance sampling and defensive mixture distributions, Technometrics 37 (1995).
func Failures(ctx context.Context, s *stackup.Study, i int, set stackup.Settings) (*Rare, error) {
	a, err := Find(ctx, s, i, set)
	if err != nil {
		return nil, err
	}
	set.Progress = set.Part("samples about the design points", 0, set.Samples)
	return a.Sample(ctx, set)
}

// Aim is where failures of a response are: its design points, and a trial of one block of samples about them.
// It is made by [Find].
type Aim struct {
	study       *stackup.Study
	of          int // the response
	points      []DesignPoint
	mix         *mixture
	evaluations int
	restless    bool // the last round of covering still found new points
	full        bool // there are more points than are kept
	pilot       weights
}

func (a *Aim) response() *stackup.Response { return &a.study.Responses[a.of] }

// Evaluations is how many samples were evaluated, those of the trial included.
func (a *Aim) Evaluations() int { return a.evaluations }

// Ways is how many points there are to sample about.
func (a *Aim) Ways() int { return len(a.points) }

// Trial is, of an aim that [Find] made, the chance of failing that the trial's samples say, its standard error, and how many of them failed.
func (a *Aim) Trial() (p, standardError float64, failed, samples int) {
	p, standardError = a.pilot.estimate()
	return p, standardError, int(a.pilot.failed), int(a.pilot.n)
}

// Find searches the design points of response i of a study, for [Aim.Sample]: once, for as many samples as it
// takes. Of the settings, Samples is at least [stackup.BlockSize], and Seed must be other than that of samples that
// are to be compared.
func Find(ctx context.Context, s *stackup.Study, i int, set stackup.Settings) (*Aim, error) {
	if err := begin(s, i, set); err != nil {
		return nil, err
	}
	return aim(ctx, s, i, set)
}

// begin checks what a search is asked for, and says that it begins.
func begin(s *stackup.Study, i int, set stackup.Settings) error {
	if err := s.Validate(); err != nil {
		return err
	}
	if i < 0 || i >= len(s.Responses) {
		return fault.At("question", fmt.Sprintf("response %d", i), fmt.Sprintf("one of %d", len(s.Responses)), fault.ErrOutOfRange)
	}
	if len(sides(&s.Responses[i])) == 0 {
		return fault.At(s.Responses[i].Name, "no limits", "limits that can fail", fault.ErrMissing)
	}
	if err := set.Whole(stackup.BlockSize); err != nil {
		return err
	}
	if report := set.Part("looking for design points", 0, set.Samples); report != nil {
		report(stackup.Progress{})
	}
	return nil
}

// Bounds of what a glance suffices for.
const (
	glanceFewest = 20  // failures in a block: a way to fail that none of them shows is a small part of all
	glanceMost   = 0.5 // of a block
	glanceSpread = 2   // times as wide as the laws say are the last samples to start from
)

// Glance is the search of [Find] for a response that fails so often that a block of samples as the laws say shows
// every way that matters: it starts from their failures and from some of samples spread twice as wide, tries no samples about what it found, and takes a
// fraction of the evaluations. failed is how many of the block's samples failed. The aim has no points when these are
// too few or too many, no slope leads to them, or an input cannot be made of normal numbers. It is for [Aim.Lines].
func Glance(ctx context.Context, s *stackup.Study, i int, set stackup.Settings) (a *Aim, failed int, err error) {
	if err := begin(s, i, set); err != nil {
		return nil, 0, err
	}
	w := newPathfinder(ctx, s, &s.Responses[i])
	a = &Aim{study: s, of: i}
	if strange(w.Sampler, s) != "" {
		return a, 0, nil
	}
	seen := newSights(sides(w.q))
	w.Begin("/glance", set.Seed, 0)
	for range stackup.BlockSize / stackup.BatchSize {
		if err := w.sight(seen, 1); err != nil {
			return nil, 0, err
		}
	}
	a.evaluations = w.evaluations
	if seen.failed < glanceFewest || float64(seen.failed) > glanceMost*stackup.BlockSize {
		return a, seen.failed, nil
	}
	failed = seen.failed
	for range lookBatches { // a way that is rarer than what a block shows
		if err := w.sight(seen, glanceSpread); err != nil {
			return nil, 0, err
		}
	}
	if err := w.climbFrom(seen); err != nil {
		return nil, 0, err
	}
	a.set(w)
	return a, failed, nil
}

// set takes the points that were found.
func (a *Aim) set(w *pathfinder) {
	slices.SortStableFunc(w.points, func(p, q DesignPoint) int { return cmp.Compare(p.Beta, q.Beta) })
	a.points, a.full, a.evaluations = w.points, w.full, w.evaluations
	a.mix = newMixture(w.points)
}

// aim searches design points, covers what lies between them, and tries the mixture on one block.
func aim(ctx context.Context, s *stackup.Study, i int, set stackup.Settings) (*Aim, error) {
	w := newPathfinder(ctx, s, &s.Responses[i])
	if err := w.look(set.Seed); err != nil {
		return nil, err
	}
	if len(w.points) == 0 {
		return nil, fmt.Errorf("stackup: %s: %w within %g standard deviations", s.Responses[i].Name, ErrNoDesignPoint, farthest)
	}
	a := &Aim{study: s, of: i}
	for round := range coverRounds {
		found, err := w.cover(set.Seed, round)
		if err != nil {
			return nil, err
		}
		if a.restless = found > 0; !a.restless {
			break
		}
	}
	a.set(w)
	set.Progress, set.Samples = nil, stackup.BlockSize
	a.evaluations += stackup.BlockSize
	var err error
	if a.pilot, err = a.sample(ctx, set, "/pilot"); err != nil {
		return nil, err
	}
	return a, nil
}

// Sample estimates the chance of failing as [Failures] does, by samples about the points that were found.
func (a *Aim) Sample(ctx context.Context, set stackup.Settings) (*Rare, error) {
	if err := set.Whole(1); err != nil {
		return nil, err
	}
	all, err := a.sample(ctx, set, "/rare")
	if all.n == 0 {
		return nil, err
	}
	unseen, hidden := a.unseen(all.seen, usual, all.n)
	out := &Rare{
		Name: a.response().Name, Failure: a.failure(&all, hidden),
		Samples: int(all.n), Evaluations: a.evaluations + int(all.n), Largest: all.most / math.Max(all.sum, math.SmallestNonzeroFloat64),
	}
	out.Points = a.settled()
	const dominant, noticeable, fewest = 0.1, 0.02, 30
	switch {
	case all.failed == 0:
		out.Doubt = "no sample failed: the interval is what the samples drawn as the laws say leave open"
	case unseen > 0:
		out.Doubt = fmt.Sprintf("%d ways to fail were found that no sample took: failures there fill too little room to be drawn", unseen)
	case a.full:
		out.Doubt = a.crowded()
	case all.failed < fewest:
		out.Doubt = fmt.Sprintf("only %.0f samples failed", all.failed)
	case out.Largest > dominant:
		out.Doubt = fmt.Sprintf("one sample makes %.0f %% of the estimate: a way to fail was missed, or more samples are needed", 100*out.Largest)
	case a.restless && out.Largest > noticeable:
		out.Doubt = fmt.Sprintf("ways to fail were still being found when the search ended at %d", len(a.points))
	}
	return out, err
}

// ruleOfThree is the greatest chance, of so many samples, that none of them still leaves open with 95 %, times
// their number.
//
// Source: hand calculation: (1 − p)ⁿ ≥ 0.05 for p ≤ 1 − 0.05^(1/n), just below 3/n; −ln 0.05 = 2.996.
const ruleOfThree = 3

// failure is the estimate with its interval, normal on a scale of logarithms: a sum of weights that comes out
// small comes with too small an error. hidden is the chance that points leave open at which no sample
// failed. When nothing failed, the samples drawn as the laws say, at least the usual share of all, bound the
// chance by the rule of three.
func (a *Aim) failure(all *weights, hidden float64) stackup.Figure {
	if all.failed == 0 {
		most := math.Min(ruleOfThree/(usual*all.n), 1)
		return stackup.Figure{Value: 0, Error: most / ruleOfThree, Interval: [2]float64{0, most}}
	}
	p, e := all.estimate()
	factor := math.Exp(num.Coverage(math.Inf(1)) * e / p)
	return stackup.Figure{Value: p, Error: math.Hypot(e, hidden/ruleOfThree), Interval: [2]float64{p / factor, math.Min(p*factor+hidden, 1)}}
}

// unseen counts the points about which enough of n samples were drawn, all but a share elsewhere, and none failed, and
// the chance that they leave open: by the rule of three, what as many samples can miss, times their weight there.
func (a *Aim) unseen(seen uint64, elsewhere, n float64) (points int, chance float64) {
	const enough = 16 // half of the samples about a point fail where the limit is flat: 2⁻¹⁶ that none does
	for k, share := range a.mix.shares {
		if seen>>k&1 == 0 && share/(1-usual)*(1-elsewhere)*n >= enough {
			points++
			chance += ruleOfThree / n * a.mix.weightOf(a.mix.z[k])
		}
	}
	return points, chance
}

// crowded is what speaks against an aim whose ways are not all known.
func (a *Aim) crowded() string {
	return fmt.Sprintf("there are more ways to fail than the %d that are kept", len(a.points))
}

// settled lists the points that are not only the last of too many steps.
func (a *Aim) settled() (out []DesignPoint) {
	for i := range a.points {
		if a.points[i].settled {
			out = append(out, a.points[i])
		}
	}
	return out
}

// sample draws samples of the mixture and weighs their failures.
func (a *Aim) sample(ctx context.Context, set stackup.Settings, key string) (all weights, err error) {
	_, err = stackup.Blocks(ctx, set, set.Blocks(), func() func(int) (weights, error) {
		w := newAimer(ctx, a, key)
		return func(block int) (weights, error) { return w.block(&set, block) }
	}, func(_ int, of weights) { all.add(&of) })
	return all, err
}
