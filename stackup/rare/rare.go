package rare

import (
	"context"
	"errors"
	"fmt"
	"math"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
)

// Rare is the chance that a response fails, found by looking where it does.
type Rare struct {
	Name        string
	Failure     stackup.Figure
	Points      []DesignPoint // the likeliest ways to fail, nearest first; those about which the search went to and fro have lines, but are not listed
	Samples     int           // evaluated on the lines
	Evaluations int           // those of the search included
	Largest     float64       // the share of the estimate that rests on its weightiest line
	Doubt       string        // why failures may have been missed or the error may be too small; empty: no sign of it
}

// ErrNoDesignPoint is wrapped when no deviations within reach were found that fail.
var ErrNoDesignPoint = errors.New("no deviations that fail found")

// Failures estimates the chance that response i of a study fails: [Find], then [Aim.Lines].
func Failures(ctx context.Context, s *stackup.Study, i int, set stackup.Settings) (*Rare, error) {
	a, err := Find(ctx, s, i, set)
	if err != nil {
		return nil, err
	}
	return a.Lines(ctx, set)
}

// ruleOfThree is the greatest chance, of so many samples, that none of them still leaves open with 95 %, times
// their number.
//
// Source: hand calculation: (1 − p)ⁿ ≥ 0.05 for p ≤ 1 − 0.05^(1/n), just below 3/n; −ln 0.05 = 2.996.
const ruleOfThree = 3

// ofLines is what replicates of n lines came to. Its interval reaches down as a normal law does, and up as one does on a
// scale of logarithms: a sum of weights that comes out small comes with too small an error.
func (a *Aim) ofLines(means []float64, all *lineSums, n int) *Rare {
	p, e := num.Scatter(means)
	out := &Rare{Name: a.response().Name, Samples: all.evaluations, Evaluations: a.Evaluations + all.evaluations, Points: a.settled()}
	lines := float64(n * len(means))
	if !(p > 0) {
		most := math.Min(ruleOfThree*mendMost/lines, 1)
		out.Failure = stackup.Figure{Error: most / ruleOfThree, Interval: [2]float64{0, most}}
		out.Doubt = "no line failed: the interval is what the draws on them leave open"
		return out
	}
	wide := num.Coverage(float64(len(means) - 1))
	e = math.Max(e, ruleOfThree/wide*p/lines) // replicates may agree where no line met what three would have
	e = math.Hypot(e, all.off/lines)          // all lines may miss a jump to the same side, by less than draws on them show
	unseen, hidden := a.unseen(all.seen, lines)
	half := wide * e
	out.Failure = stackup.Figure{Value: p, Error: math.Hypot(e, hidden/ruleOfThree), Interval: [2]float64{math.Max(p-half, 0), math.Min(p*math.Exp(half/p)+hidden, 1)}}
	out.Largest = all.most / all.sum
	const dominant = 0.1
	switch {
	case unseen > 0:
		out.Doubt = fmt.Sprintf("%d ways to fail were found that no line met: failures there fill too little space to be drawn", unseen)
	case a.full:
		out.Doubt = fmt.Sprintf("there are more ways to fail than the %d that are kept", pointsMost)
	case out.Largest > dominant:
		out.Doubt = fmt.Sprintf("one line makes %.0f %% of the estimate: a way to fail was missed, or more lines are needed", 100*out.Largest)
	case all.mended > dominant*all.sum:
		out.Doubt = fmt.Sprintf("draws on the lines make up for %.0f %% of the estimate: failures do not lie beyond one limit on each", 100*all.mended/all.sum)
	case a.restless:
		out.Doubt = fmt.Sprintf("ways to fail were still being found when the search ended at %d", len(a.points))
	}
	return out
}

// unseen counts the points through which enough of n lines went, and none met a failure, and those that are too small for
// lines, and the chance that they leave open: by the rule of three, what as many lines can miss, times their weight
// there, or what the draws on the lines can.
func (a *Aim) unseen(seen uint64, n float64) (points int, chance float64) {
	const enough = 16 // half of the samples about a point fail where the limit is flat: 2⁻¹⁶ that none does
	for k, share := range a.mix.shares {
		if seen>>k&1 == 0 && share/(1-usual)*n >= enough {
			points++
			chance += ruleOfThree / n * a.mix.weightOf(a.mix.z[k])
		}
	}
	return points + a.specks, chance + ruleOfThree*mendMost/n*float64(min(a.specks, 1))
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
