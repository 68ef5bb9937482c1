package rare

import (
	"context"
	"math"
	"math/bits"

	"example.com/borestack/stackup"
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
// Deviations of an input that cannot be made of normal numbers are drawn by its law, and kept along a line. What the search
// missed shows as lines of great weight, or as much to mend: see Doubt; but a way to fail that it missed, and that is so
// rare that no draw on a line meets it, leaves no sign. When no line fails the answer is an interval from 0, by the rule
// of three, and a doubt. When ctx is done it returns the whole replicates done so far, if there are at least four,
// beside an error that wraps ctx.Err().
//
// Source: Koutsourelakis, Pradlwarter and Schuëller, Reliability of structures in high dimensions, part I, Probab.
// Eng. Mech. 19 (2004) (lines along the important direction); Griewank, Kuo, Leövey and Sloan, High dimensional
// integration of kinks and jumps: smoothing by preintegration, J. Comput. Appl. Math. 344 (2018); Veach and Guibas,
// Optimally combining sampling techniques for Monte Carlo rendering, SIGGRAPH 1995 (the points' shares of a failure).
func (a *Aim) Lines(ctx context.Context, set stackup.Settings) (*Rare, error) {
	if err := set.Whole(LineUnit); err != nil {
		return nil, err
	}
	n := 1 << (bits.Len(uint(set.Samples/LineUnit)) - 1)
	var all lineSums
	var means []float64
	set.Samples = lineReplicates * n * lineEvaluations
	set.Progress = set.Part("lines through the design points", 0, set.Samples)
	_, err := stackup.Blocks(ctx, set, stackup.Parts{N: lineReplicates, Each: n * lineEvaluations, Samples: set.Samples}, func() func(int) (lineSums, error) {
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
