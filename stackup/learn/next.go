package learn

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/num"
	"example.com/borestack/stackup/law"
)

// Worth is what it would be worth to know one input better, by samples.
type Worth struct {
	Input string
	SD    stackup.Figure // of the response, to be expected (root mean square) when this input is known twice as well
	Doubt stackup.Figure // the chance to be expected then that the likelier verdict, within limits or not, is wrong
}

// Replicates of a study of what to measure next, and what may be found by measuring, in each.
const (
	nextReplicates = 16
	nextFindings   = 32
)

// Next returns what it is worth to know each input of a study twice as well, one at a time, for response i, the
// best first, and beside it what there is now, with an empty name. Of a normal law the standard deviation is halved, of another that of the normal number behind it;
// where the reading that does so will put its mean is not known yet, and 32 findings, spread evenly over what may
// be, are tried in each of 16 replicates, whose scatter is the error; near one half, a doubt comes out too small by
// about the error of a share of Samples/512. The model is evaluated Samples times for each input; at least 65,536
// are needed.
//
// When ctx is done it returns an error that wraps ctx.Err() and nothing else: the answer needs all its samples.
//
// It returns a [fault.FieldError] for an input that cannot be made of normal numbers ([stackup.Input]), and
// [fault.ErrNotFinite] for a number that is not finite.
//
// Source: Raiffa and Schlaifer, Applied Statistical Decision Theory, Harvard 1961, chapter 5 (preposterior analysis).
func Next(ctx context.Context, s *stackup.Study, i int, set stackup.Settings) (now Worth, each []Worth, err error) {
	if err := s.Validate(); err != nil {
		return now, nil, err
	}
	if _, err := s.Response(i); err != nil {
		return now, nil, err
	}
	const least = nextReplicates * nextFindings * stackup.BatchSize / 2
	if err := set.Whole(least); err != nil {
		return now, nil, err
	}
	trial := stackup.NewNormalSampler(ctx, s)
	for k := range s.Inputs {
		if from, to := trial.Numbers(k); from == to {
			return now, nil, fault.At(s.Inputs[k].Name, "a law that is not made of normal numbers", "one that is, to be known better", fault.ErrOutOfRange)
		}
	}
	centres, err := s.Nominal(ctx)
	if err != nil {
		return now, nil, err
	}
	n := len(s.Inputs)
	variances, doubts := num.Columns(n+1, nextReplicates), num.Columns(n+1, nextReplicates)
	perFinding := set.Samples / (nextReplicates * nextFindings)
	parts := stackup.Parts{N: (n + 1) * nextReplicates, Each: perFinding * nextFindings, Samples: (n + 1) * nextReplicates * perFinding * nextFindings}
	_, err = stackup.Blocks(ctx, set, parts, func() func(int) (found, error) {
		w := newFinder(ctx, s, i, centres[i])
		return func(k int) (found, error) {
			return w.run(set.Seed, k/nextReplicates, k%nextReplicates, perFinding) // input number n: as things are
		}
	}, func(k int, f found) {
		variances[k/nextReplicates][k%nextReplicates], doubts[k/nextReplicates][k%nextReplicates] = f.variance, f.doubt
	})
	if err != nil {
		return now, nil, err
	}
	worth := func(k int) Worth {
		v := stackup.Scatter(variances[k])
		sd := math.Sqrt(v.Value)
		out := Worth{SD: stackup.Figure{Value: sd}, Doubt: stackup.Scatter(doubts[k])}
		if sd > 0 {
			out.SD = stackup.NewFigure(sd, v.Error/(2*sd), nextReplicates-1)
		}
		return out
	}
	now = worth(n)
	for k := range n {
		w := worth(k)
		w.Input = s.Inputs[k].Name
		each = append(each, w)
	}
	slices.SortStableFunc(each, func(a, b Worth) int { return cmp.Compare(a.SD.Value, b.SD.Value) })
	return now, each, nil
}

// found is the mean variance and doubt over the findings of one replicate.
type found struct{ variance, doubt float64 }

// finder draws samples after findings.
type finder struct {
	*stackup.Sampler
	study    *stackup.Study
	q        *stackup.Response
	centre   float64
	findings [][]float64 // the numbers of each finding
	order    []int
}

func newFinder(ctx context.Context, s *stackup.Study, i int, centre float64) *finder {
	w := &finder{Sampler: stackup.NewNormalSampler(ctx, s), study: s, q: &s.Responses[i], centre: centre}
	w.findings, w.order = num.Columns(len(w.Z), nextFindings), make([]int, nextFindings)
	return w
}

// find spreads the findings evenly.
func (w *finder) find(stream *law.Stream, numbers int) {
	for c := range numbers {
		for k := range w.order {
			j := int(stream.Float64() * float64(k+1))
			w.order[k] = w.order[j]
			w.order[j] = k
		}
		for k, at := range w.order {
			w.findings[c][k] = mathext.NormalQuantile((float64(at) + stream.Float64()) / nextFindings)
		}
	}
}

// run is one replicate, with so many samples after each finding. Without an input there is one finding, that nothing
// is found, and as many samples.
func (w *finder) run(seed uint64, input, replicate, samples int) (out found, err error) {
	w.Begin("/next", seed, replicate)
	findings, from, to := 1, 0, 0
	if input < len(w.study.Inputs) {
		findings = nextFindings
		from, to = w.Numbers(input)
		stream := law.NewStream(seed, w.study.Inputs[input].Name+"/finding", uint64(replicate))
		w.find(&stream, to-from)
	} else {
		samples *= nextFindings
	}
	for f := range findings {
		var sum, squares, good float64
		err := w.Batches(0, samples, func(int, int) { w.draw(from, to, f) }, func(_, n int) error {
			if err := w.Stopped(); err != nil {
				return err
			}
			for i, v := range w.Y[w.q.Output][:n] {
				if v-v != 0 {
					return &fault.SampleError{Index: i, Err: fmt.Errorf("%s is %g: %w", w.q.Name, v, fault.ErrNotFinite)}
				}
				v -= w.centre
				sum += v
				squares += v * v
				if w.q.Good(w.Y, i) {
					good++
				}
			}
			return nil
		})
		if err != nil {
			return out, err
		}
		n := float64(samples)
		out.variance += (squares - sum*sum/n) / (n - 1) / float64(findings)
		out.doubt += math.Min(good, n-good) / n / float64(findings)
	}
	return out, nil
}

// draw fills the columns with the next samples after finding f, which has halved what is not known of the numbers
// from, up to to.
func (w *finder) draw(from, to, f int) {
	const unknown = 0.5
	known := math.Sqrt(1 - unknown*unknown)
	w.Normals()
	for c := from; c < to; c++ {
		for i, z := range w.Z[c] {
			w.Z[c][i] = known*w.findings[c-from][f] + unknown*z
		}
	}
	w.Fill(stackup.BatchSize)
}
