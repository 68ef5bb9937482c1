package stackup

import (
	"context"
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/fault"
	"example.com/borestack/stackup/law"
)

// NextWorth is what it would be worth to know one input better, by samples.
type NextWorth struct {
	Input string
	SD    Figure // of the wanted number, to be expected (root mean square) when this input is known twice as well
	Doubt Figure // the chance to be expected then that the likelier verdict, within limits or not, is wrong
}

// Replicates of a study of what to measure next, and what may be found by measuring, in each.
const (
	nextReplicates = 16
	nextFindings   = 32
)

// NextMeasurement returns what it is worth to know each input twice as well, one at a time, for wanted number i, the best first, and beside it what there is now, with an empty name: for any model, where [Linear.NextMeasurement] is for one that is linear. Of a normal law the standard deviation is halved, of another that of the normal number behind it; where the reading that does so will put its mean is not known yet, and 32 findings, spread evenly over what may be, are tried in each of 16 replicates, whose scatter is the error; near one half, a doubt comes out too small by about the error of a share of Samples/512. The model is evaluated Samples times for each input; at least 65,536 are needed.
//
// When ctx is done it returns an error that wraps ctx.Err() and nothing else: the answer needs all its samples.
//
// It returns an [InputError] for a plane or joint law that is neither of package law nor a [NormalPlane] or [NormalJoint], and [fault.ErrNotFinite] for a number that is not finite.
//
// Source: Raiffa and Schlaifer, Applied Statistical Decision Theory, Harvard 1961, chapter 5 (preposterior analysis).
func (s *Study) NextMeasurement(ctx context.Context, i int, set Settings) (now NextWorth, each []NextWorth, err error) {
	if err := s.Validate(); err != nil {
		return now, nil, err
	}
	if i < 0 || i >= len(s.Wanted) {
		return now, nil, &InputError{"question", fmt.Sprintf("wanted number %d", i), fmt.Sprintf("one of %d", len(s.Wanted))}
	}
	const least = nextReplicates * nextFindings * batch / 2
	if err := set.whole(least); err != nil {
		return now, nil, err
	}
	p := newSpace(s.Inputs)
	for k := range p.places {
		if p.places[k].of == nil {
			return now, nil, &InputError{s.Inputs[k].Name, "a law that is not made of normal numbers", "one that is, to be known better"}
		}
	}
	centres, err := s.nominal(ctx)
	if err != nil {
		return now, nil, err
	}
	centre := centres[i]
	if centre-centre != 0 {
		centre = 0
	}
	n := len(s.Inputs)
	variances, doubts := columns(n+1, nextReplicates), columns(n+1, nextReplicates)
	inner := set.Samples / (nextReplicates * nextFindings)
	// number n: as things are
	_, err = sweep(ctx, &set, units{(n + 1) * nextReplicates, inner * nextFindings, (n + 1) * nextReplicates * inner * nextFindings}, func() *finder { return newFinder(ctx, s, i, centre) }, func(w *finder, k int) (err error) {
		input, replicate := k/nextReplicates, k%nextReplicates
		variances[input][replicate], doubts[input][replicate], err = w.run(set.Seed, input, replicate, inner)
		return err
	})
	if err != nil {
		return now, nil, err
	}
	worth := func(k int) NextWorth {
		v := scatter(variances[k])
		sd := math.Sqrt(v.Value)
		out := NextWorth{SD: Figure{Value: sd}, Doubt: scatter(doubts[k])}
		if sd > 0 {
			out.SD = figure(sd, v.Error/(2*sd), nextReplicates-1)
		}
		return out
	}
	now = worth(n)
	for k := range n {
		w := worth(k)
		w.Input = s.Inputs[k].Name
		each = append(each, w)
	}
	slices.SortStableFunc(each, func(a, b NextWorth) int {
		switch {
		case a.SD.Value < b.SD.Value:
			return -1
		case a.SD.Value > b.SD.Value:
			return 1
		}
		return 0
	})
	return now, each, nil
}

// finder is the memory of one worker.
type finder struct {
	ctx       context.Context
	study     *Study
	q         *Wanted
	centre    float64
	evaluator Evaluator
	space     *space
	findings  [][]float64 // the numbers of each finding
	order     []int
	kept      [][]float64 // the normal numbers of the input that is to be known better
	z, x, y   [][]float64
}

func newFinder(ctx context.Context, s *Study, i int, centre float64) *finder {
	w := &finder{ctx: ctx, study: s, q: &s.Wanted[i], centre: centre, evaluator: newEvaluator(s.Model), space: newSpace(s.Inputs)}
	most := w.space.most()
	w.findings, w.order, w.kept = columns(most, nextFindings), make([]int, nextFindings), columns(most, batch)
	w.z, w.x, w.y = columns(w.space.numbers, batch), columns(s.Model.Inputs(), batch), columns(s.Model.Outputs(), batch)
	return w
}

// find spreads the findings evenly.
func (w *finder) find(stream *law.Stream, columns int) {
	for c := range columns {
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

// run returns the mean variance and doubt over the findings of one replicate, inner samples after each. Without an input there is one finding, that nothing is found, and as many samples.
func (w *finder) run(seed uint64, input, replicate, inner int) (variance, doubt float64, err error) {
	streams := make([]law.Stream, len(w.study.Inputs))
	for k := range streams {
		streams[k] = law.NewStream(seed, w.study.Inputs[k].Name+"/next", uint64(replicate))
	}
	findings := 1
	var p *place
	if input < len(w.study.Inputs) {
		findings = nextFindings
		p = &w.space.places[input]
		stream := law.NewStream(seed, p.input.Name+"/finding", uint64(replicate))
		w.find(&stream, p.numbers)
	} else {
		inner *= nextFindings
	}
	for f := range findings {
		var sum, squares, good float64
		for at := 0; at < inner; at += batch {
			n := min(batch, inner-at)
			if w.ctx.Err() != nil {
				return 0, 0, errHalted
			}
			if err := w.evaluate(streams, p, f, n); err != nil {
				return 0, 0, blame(err, w.x, at)
			}
			for i, v := range w.y[w.q.Output][:n] {
				v -= w.centre
				sum += v
				squares += v * v
				if w.q.good(w.y, i) {
					good++
				}
			}
		}
		n := float64(inner)
		variance += (squares - sum*sum/n) / (n - 1) / float64(findings)
		doubt += math.Min(good, n-good) / n / float64(findings)
	}
	return variance, doubt, nil
}

// evaluate works out the next n samples after finding f.
func (w *finder) evaluate(streams []law.Stream, p *place, f, n int) error {
	for k := range w.space.places {
		q := &w.space.places[k]
		for c := q.number; c < q.number+q.numbers; c++ {
			streams[k].Normals(w.z[c])
		}
	}
	w.space.fill(w.x, w.z, batch)
	if p != nil {
		w.know(p, f)
	}
	if err := w.evaluator.Evaluate(w.y, w.x, n); err != nil {
		return err
	}
	for i, v := range w.y[w.q.Output][:n] {
		if v-v != 0 {
			return &SampleError{Index: i, Err: fmt.Errorf("%s is %g: %w", w.q.Name, v, fault.ErrNotFinite)}
		}
	}
	return nil
}

// know makes the columns of an input from its numbers when finding f has halved what is not known of them.
func (w *finder) know(p *place, f int) {
	const unknown = 0.5
	known := math.Sqrt(1 - unknown*unknown)
	for c := range p.numbers {
		for i, z := range w.z[p.number+c] {
			w.kept[c][i] = known*w.findings[c][f] + unknown*z
		}
	}
	own := *p
	own.number = 0
	own.fill(w.x, w.kept, batch)
}
