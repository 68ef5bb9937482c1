package rare

import (
	"context"
	"fmt"
	"math"
	"math/bits"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
)

// Bounds of sampling by lines.
const (
	LineUnit = lineReplicates * lineEvaluations // evaluations of one line in each replicate, at most

	lineReplicates  = 16             // whose scatter is the error
	lineEvaluations = lineRounds + 1 // of a line, at most; four are usual
	lineRounds      = 6              // of evaluations to find where a line crosses the limit, at most
	lineEnd         = 1e-3           // standard deviations: how near a crossing is enough
	lineFar         = 9.0            // standard deviations: no crossing is looked for beyond
	lineStride      = 2.0            // standard deviations that a step without a bracket goes at most
	leastSteep      = 1e-300         // a slope below which there is none
)

// Lines estimates the chance of failing along lines through the design points, in 16 replicates of Sobol points, as
// many as the samples of the settings allow at [LineUnit] for a line in each. All deviations but that towards a design
// point are drawn; the chance of that one is integrated from where it crosses the limit. What a line misses, by another
// way to fail on it or a crossing badly found, a further draw on it adds or takes away: the estimate is unbiased
// whatever the search for the crossing does.
//
// It returns an error that wraps [ErrNoDesignPoint] when the aim has none, and [fault.ErrConflict] when an input cannot be made of normal numbers. When ctx is done
// it returns the whole replicates done so far, if there are at least four, beside an error that wraps ctx.Err().
//
// Source: Koutsourelakis, Pradlwarter and Schuëller, Reliability of structures in high dimensions, part I, Probab.
// Eng. Mech. 19 (2004) (lines along the important direction); Griewank, Kuo, Leövey and Sloan, High dimensional
// integration of kinks and jumps: smoothing by preintegration, J. Comput. Appl. Math. 344 (2018); Veach and Guibas,
// Optimally combining sampling techniques for Monte Carlo rendering, SIGGRAPH 1995 (the points' shares of a failure).
func (a *Aim) Lines(ctx context.Context, set stackup.Settings) (*Rare, error) {
	if err := set.Whole(LineUnit); err != nil {
		return nil, err
	}
	if len(a.points) == 0 {
		return nil, fmt.Errorf("stackup: %s: %w", a.response().Name, ErrNoDesignPoint)
	}
	if name := strange(stackup.NewNormalSampler(ctx, a.study), a.study); name != "" {
		return nil, fault.At(name, "a law that is not made of normal numbers", "one that is, to sample by lines", fault.ErrConflict)
	}
	n := 1 << (bits.Len(uint(set.Samples/LineUnit)) - 1)
	var all lineSums
	var means []float64
	_, err := stackup.Blocks(ctx, set, stackup.Parts{N: lineReplicates, Each: n * lineEvaluations, Samples: lineReplicates * n * lineEvaluations}, func() func(int) (lineSums, error) {
		w := newLiner(ctx, a, n)
		return func(k int) (lineSums, error) { return w.replicate(set.Seed, k) }
	}, func(_ int, of lineSums) {
		means = append(means, of.sum/float64(n))
		all.add(&of)
	})
	const fewest = 4
	if len(means) < fewest {
		return nil, err
	}
	return a.ofLines(means, &all, n), err
}

// strange is the name of the first input that cannot be made of normal numbers; empty: all can.
func strange(w *stackup.Sampler, s *stackup.Study) string {
	for i := range s.Inputs {
		if from, to := w.Numbers(i); from == to {
			return s.Inputs[i].Name
		}
	}
	return ""
}

// ofLines is what replicates of n lines came to.
func (a *Aim) ofLines(means []float64, all *lineSums, n int) *Rare {
	p, e := num.Scatter(means)
	out := &Rare{Name: a.response().Name, Samples: all.evaluations, Evaluations: a.evaluations + all.evaluations}
	lines := float64(n * len(means))
	if !(p > 0) {
		most := math.Min(ruleOfThree*mendMost/lines, 1)
		out.Failure = stackup.Figure{Error: most / ruleOfThree, Interval: [2]float64{0, most}}
		out.Doubt = "no line failed: the interval is what the draws on them leave open"
		return out
	}
	e = math.Max(e, p/lines)         // replicates that agree to a line's share say no more
	e = math.Hypot(e, all.off/lines) // all lines may miss a jump to the same side, by less than draws on them show
	unseen, hidden := a.unseen(all.seen, 0, lines)
	factor := math.Exp(num.Coverage(float64(len(means)-1)) * e / p)
	out.Failure = stackup.Figure{Value: p, Error: math.Hypot(e, hidden/ruleOfThree), Interval: [2]float64{p / factor, math.Min(p*factor+hidden, 1)}}
	out.Largest, out.Points = all.most/all.sum, a.settled()
	const dominant = 0.1
	switch {
	case unseen > 0:
		out.Doubt = fmt.Sprintf("%d ways to fail were found that no line met: failures there fill too little room to be drawn", unseen)
	case a.full:
		out.Doubt = a.crowded()
	case out.Largest > dominant:
		out.Doubt = fmt.Sprintf("one line makes %.0f %% of the estimate: a way to fail was missed, or more lines are needed", 100*out.Largest)
	case all.mended > dominant*all.sum:
		out.Doubt = fmt.Sprintf("draws on the lines make up for %.0f %% of the estimate: failures do not lie beyond one limit on each", 100*all.mended/all.sum)
	case a.restless:
		out.Doubt = fmt.Sprintf("ways to fail were still being found when the search ended at %d", len(a.points))
	}
	return out
}

// lineSums are sums over lines: of their chances, of the sizes of what was mended, and of what crossings may be off.
type lineSums struct {
	sum, mended, most, off float64
	evaluations            int
	seen                   uint64 // bit k: a line through point k met failures; there are at most 64 points
}

func (a *lineSums) add(b *lineSums) {
	a.sum += b.sum
	a.mended += b.mended
	a.off += b.off
	a.most = math.Max(a.most, b.most)
	a.evaluations += b.evaluations
	a.seen |= b.seen
}
