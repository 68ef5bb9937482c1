package rare

import (
	"context"
	"fmt"
	"math"
	"math/bits"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/fault"
	"example.com/borestack/internal/gauss"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/internal/sobol"
	"example.com/borestack/stackup/law"
)

// Bounds of sampling by lines.
const (
	LineEvaluations = lineRounds + 1 // of a line, at most; four are usual
	LineReplicates  = 16             // whose scatter is the error
	lineRounds      = 6              // of evaluations to find where a line crosses the limit, at most
	lineEnd         = 1e-3           // standard deviations: how near a crossing is enough
	lineFar         = 9.0            // standard deviations: no crossing is looked for beyond
	lineStride      = 2.0            // standard deviations that a step without a bracket goes at most
	leastSteep      = 1e-300         // a slope below which there is none
)

// Lines estimates the chance of failing along lines through the design points, in replicates of Sobol points, as
// many as the samples of the settings allow at [LineEvaluations] each. All deviations but that towards a design point
// are drawn; the chance of that one is integrated from where it crosses the limit. What a line misses, by another
// way to fail on it or a crossing badly found, a further draw on it adds or takes away: the estimate is unbiased
// whatever the search for the crossing does.
//
// It returns an error that wraps [fault.ErrConflict] when an input cannot be made of normal numbers. When ctx is done
// it returns the whole replicates done so far, if there are at least four, beside an error that wraps ctx.Err().
//
// Source: Koutsourelakis, Pradlwarter and Schuëller, Reliability of structures in high dimensions, part I, Probab.
// Eng. Mech. 19 (2004) (lines along the important direction); Griewank, Kuo, Leövey and Sloan, High dimensional
// integration of kinks and jumps: smoothing by preintegration, J. Comput. Appl. Math. 344 (2018); Veach and Guibas,
// Optimally combining sampling techniques for Monte Carlo rendering, SIGGRAPH 1995 (the points' shares of a failure).
func (a *Aim) Lines(ctx context.Context, set stackup.Settings) (*Rare, error) {
	if err := set.Whole(LineReplicates * LineEvaluations); err != nil {
		return nil, err
	}
	if name := strange(stackup.NewNormalSampler(ctx, a.study), a.study); name != "" {
		return nil, fault.At(name, "a law that is not made of normal numbers", "one that is, to sample by lines", fault.ErrConflict)
	}
	n := 1 << (bits.Len(uint(set.Samples/(LineReplicates*LineEvaluations))) - 1)
	var all lineSums
	var means []float64
	_, err := stackup.Blocks(ctx, set, stackup.Parts{N: LineReplicates, Each: n * LineEvaluations, Samples: LineReplicates * n * LineEvaluations}, func() func(int) (lineSums, error) {
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
	e = math.Max(e, p/lines) // replicates that agree to a line's share say no more
	unseen, hidden := a.unseen(all.seen, 0, lines)
	factor := math.Exp(num.Coverage(float64(len(means)-1)) * e / p)
	out.Failure = stackup.Figure{Value: p, Error: math.Hypot(e, hidden/ruleOfThree), Interval: [2]float64{p / factor, math.Min(p*factor+hidden, 1)}}
	out.Largest, out.Points = all.most/all.sum, a.settled()
	const dominant = 0.1
	switch {
	case unseen > 0:
		out.Doubt = fmt.Sprintf("%d ways to fail were found that no line met: failures there fill too little room to be drawn", unseen)
	case out.Largest > dominant:
		out.Doubt = fmt.Sprintf("one line makes %.0f %% of the estimate: a way to fail was missed, or more lines are needed", 100*out.Largest)
	case all.mended > dominant*all.sum:
		out.Doubt = fmt.Sprintf("draws on the lines make up for %.0f %% of the estimate: failures do not lie beyond one limit on each", 100*all.mended/all.sum)
	case a.restless:
		out.Doubt = fmt.Sprintf("ways to fail were still being found when the search ended at %d", len(a.points))
	}
	return out
}

// lineSums are sums over lines: of their chances, and of the sizes of what was mended.
type lineSums struct {
	sum, mended, most float64
	evaluations       int
	seen              uint64 // bit k: a line through point k met failures; there are at most 64 points
}

func (a *lineSums) add(b *lineSums) {
	a.sum += b.sum
	a.mended += b.mended
	a.most = math.Max(a.most, b.most)
	a.evaluations += b.evaluations
	a.seen |= b.seen
}

// liner draws lines, n a replicate.
type liner struct {
	*stackup.Sampler
	a       *Aim
	n       int
	columns []sobol.Column // those of lineNumbers, then of what the line passes through
	streams [lineNumbers]law.Stream
	u       [][]float64 // by column: of a batch
	lines   []line
	at, per []float64 // of the line in hand, by point: the logarithm of its likelihood at t = 0, and what it grows by
	x, y    []float64 // of a rule of Gauss over 0 to 1
}

// lineNumbers are the numbers that a line takes besides those that it passes through: which point, and where it is
// mended.
const lineNumbers = 2

// line is one line, through base along the way out of a point.
type line struct {
	point        int
	t            float64 // the next place to try
	before, last float64 // the last one, and how far it was within the limit
	safe, beyond float64 // the bracket, infinite where there is none
	tried        int
	crossing     float64
	found        bool
}

func newLiner(ctx context.Context, a *Aim, n int) *liner {
	w := &liner{Sampler: stackup.NewNormalSampler(ctx, a.study), a: a, n: n, lines: make([]line, stackup.BatchSize)}
	w.columns = make([]sobol.Column, len(w.Z)+lineNumbers)
	w.u = num.Columns(len(w.columns), stackup.BatchSize)
	w.at, w.per = make([]float64, len(a.points)), make([]float64, len(a.points))
	w.x, w.y = make([]float64, tailNodes), make([]float64, tailNodes)
	gauss.Legendre(w.x, w.y, 0, 1)
	return w
}

// replicate works out one.
func (w *liner) replicate(seed uint64, k int) (out lineSums, err error) {
	w.Begin("/lines", seed, k)
	for c := range w.streams {
		w.streams[c] = law.NewStream(seed, fmt.Sprintf("/lines/%d", c), uint64(k))
		w.scramble(c, &w.streams[c]) // the numbers of a line first: they matter most
	}
	for i := range w.a.study.Inputs {
		from, to := w.Numbers(i)
		for c := from; c < to; c++ {
			w.scramble(lineNumbers+c, w.Stream(i))
		}
	}
	for at := 0; at < w.n; at += stackup.BatchSize {
		if err := w.batch(&out, min(stackup.BatchSize, w.n-at)); err != nil {
			return out, err
		}
	}
	return out, nil
}

func (w *liner) scramble(c int, s *law.Stream) {
	if c < sobol.Dimensions {
		w.columns[c].Scramble(c, bits.Len(uint(w.n))-1, s)
	}
}

// batch adds n lines.
func (w *liner) batch(out *lineSums, n int) error {
	for c := range w.u {
		if c < sobol.Dimensions {
			w.columns[c].Fill(w.u[c][:n])
		} else {
			w.streams[0].Uniforms(w.u[c][:n])
		}
	}
	for i := range n {
		w.begin(i)
	}
	if err := w.cross(out, n); err != nil {
		return err
	}
	return w.close(out, n)
}

// begin makes line i: what is drawn of the deviations is left in u, less what lies along the line.
func (w *liner) begin(i int) {
	mix, k := w.a.mix, 0
	for left := w.u[0][i] * (1 - usual); k < len(mix.shares)-1; k++ {
		if left -= mix.shares[k]; left < 0 {
			break
		}
	}
	p := &w.a.points[k]
	var along float64
	for c, v := range p.out {
		z := mathext.NormalQuantile(w.u[lineNumbers+c][i])
		w.u[lineNumbers+c][i] = z
		along += v * z
	}
	for c, v := range p.out {
		w.u[lineNumbers+c][i] -= along * v
	}
	w.lines[i] = line{point: k, t: num.Inner(p.out, p.z), safe: math.Inf(-1), beyond: math.Inf(1)}
}

// put makes row at the place t of line i.
func (w *liner) put(row, i int, t float64) {
	p := &w.a.points[w.lines[i].point]
	for c, v := range p.out {
		w.Z[c][row] = w.u[lineNumbers+c][i] + t*v
	}
}

// cross finds where lines cross their limits.
func (w *liner) cross(out *lineSums, n int) error {
	open := make([]int, 0, stackup.BatchSize)
	for range lineRounds {
		open = open[:0]
		for i := range n {
			if !w.lines[i].found {
				w.put(len(open), i, w.lines[i].t)
				open = append(open, i)
			}
		}
		if len(open) == 0 {
			break
		}
		if err := w.evaluate(out, len(open)); err != nil {
			return err
		}
		for row, i := range open {
			q := &w.lines[i]
			p := &w.a.points[q.point]
			q.next(within(w.a.response(), p.Side, w.Y, row), p.steep)
		}
	}
	for i := range n {
		if q := &w.lines[i]; !q.found && math.IsInf(q.beyond, 1) {
			q.crossing = q.beyond // no failure was met
		}
	}
	return nil
}

func (w *liner) evaluate(out *lineSums, n int) error {
	w.Fill(n)
	out.evaluations += n
	if err := w.Rows("lines", n); err != nil {
		return err
	}
	return w.a.response().Known(w.Y, n)
}

// next takes how far the place last tried is within the limit, and chooses the next one: by the secant, within the
// bracket once there is one.
func (q *line) next(g, steep float64) {
	slope := -steep
	if q.tried > 0 {
		slope = (g - q.last) / (q.t - q.before)
	}
	if g >= 0 {
		q.safe = math.Max(q.safe, q.t)
	} else {
		q.beyond = math.Min(q.beyond, q.t)
	}
	step := math.Copysign(lineStride, g)
	if slope < -leastSteep {
		step = math.Max(-lineStride, math.Min(-g/slope, lineStride))
	}
	t := q.t + step
	if q.safe < q.beyond && !math.IsInf(q.beyond-q.safe, 0) && !(t > q.safe && t < q.beyond) {
		t = (q.safe + q.beyond) / 2
	}
	q.before, q.last = q.t, g
	q.tried++
	q.crossing, q.t = t, t
	switch {
	case t >= lineFar:
		q.crossing, q.found = math.Inf(1), true
	case t <= -lineFar:
		q.crossing, q.found = math.Inf(-1), true
	case math.Abs(t-q.before) < lineEnd:
		q.found = true
	}
}

// mendMost is the greatest weight of what a draw on a line mends: half of them are drawn as the laws say.
const mendMost = 2

// close adds the chances of n lines, each mended by a draw.
func (w *liner) close(out *lineSums, n int) error {
	for i := range n {
		w.put(i, i, w.lines[i].mend(w.u[1][i]))
	}
	if err := w.evaluate(out, n); err != nil {
		return err
	}
	mix := w.a.mix
	for i := range n {
		q := &w.lines[i]
		share := mix.shares[q.point] / (1 - usual)
		t := q.mend(w.u[1][i])
		var mended float64
		failed := !w.a.response().Good(w.Y, i)
		if failed || !math.IsInf(q.crossing, 1) {
			out.seen |= 1 << q.point
		}
		if failed != (t > q.crossing) {
			mended = q.mendWeight(t) * w.share(i, t) / share
			if !failed {
				mended = -mended
			}
		}
		v := w.beyond(i)/share + mended
		out.sum += v
		out.mended += math.Abs(mended)
		out.most = math.Max(out.most, math.Abs(v))
	}
	return nil
}

// mend is where line i is tried again: as the laws say, or about the crossing.
func (q *line) mend(u float64) float64 {
	if u *= 2; u < 1 || math.IsInf(q.crossing, 0) {
		return mathext.NormalQuantile(u - math.Floor(u))
	}
	return q.crossing + mathext.NormalQuantile(u-1)
}

// mendWeight is how likely t is as the laws say, over how likely it is tried.
func (q *line) mendWeight(t float64) float64 {
	if math.IsInf(q.crossing, 0) {
		return 1
	}
	return mendMost / (1 + math.Exp(q.crossing*(t-q.crossing/2)))
}

// Of the chance beyond a crossing, where several points share it.
const (
	tailNodes = 32
	tailLeast = -7.0 // standard deviations: what lies before is nothing
	tailFar   = 9.0  // and beyond
)

// beyond is the chance of line i beyond its crossing, of which each failure is its point's to a share: to about a
// millionth of it where there are several points.
func (w *liner) beyond(i int) (sum float64) {
	q := &w.lines[i]
	if len(w.a.points) == 1 {
		return math.Erfc(q.crossing/math.Sqrt2) / 2
	}
	w.likelihoods(i)
	from := math.Max(q.crossing, tailLeast)
	if !(from < tailFar) {
		return 0
	}
	to := math.Min(tailFar, math.Max(from, 0)+tailFar)
	for k, x := range w.x {
		t := from + (to-from)*x
		sum += w.y[k] * math.Exp(-t*t/2) * w.shareAt(q.point, t)
	}
	return sum * (to - from) / math.Sqrt(2*math.Pi)
}

// share is the share of a failure at t of line i that is its point's.
func (w *liner) share(i int, t float64) float64 {
	if len(w.a.points) == 1 {
		return 1
	}
	w.likelihoods(i)
	return w.shareAt(w.lines[i].point, t)
}

// likelihoods sets how likely the points of line i are about each design point.
func (w *liner) likelihoods(i int) {
	mix, out := w.a.mix, w.a.points[w.lines[i].point].out
	for k, z := range mix.z {
		at, per := math.Log(mix.shares[k])-mix.half[k], 0.0
		for c, v := range z {
			at += v * w.u[lineNumbers+c][i]
			per += v * out[c]
		}
		w.at[k], w.per[k] = at, per
	}
}

// shareAt is how likely a point's draws are at t, over how likely all points' are.
func (w *liner) shareAt(point int, t float64) float64 {
	own, all := w.at[point]+t*w.per[point], 0.0
	for k, at := range w.at {
		all += math.Exp(at + t*w.per[k] - own)
	}
	return 1 / all
}
