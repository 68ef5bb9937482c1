package stackup

import (
	"context"
	"errors"
	"fmt"
	"iter"
)

// Sample is one sample of a study.
type Sample struct {
	Index   int       // for [Study.Sample]
	Inputs  []float64 // deviations, column by column
	Outputs []float64 // of the model
}

// Samples draws and evaluates the samples of [Study.Run], one after the other in the caller's goroutine: the same seed
// gives the same samples. Of the settings, Workers and Progress are not used. An error, of which there is one at most,
// is the last thing that comes: a fault of the study, a [fault.SampleError], or, when ctx is done, one that wraps its
// cause. Samples may be kept.
func (s *Study) Samples(ctx context.Context, set Settings) iter.Seq2[Sample, error] {
	return func(yield func(Sample, error) bool) {
		if err := s.Validate(); err != nil {
			yield(Sample{}, err)
			return
		}
		from, to, err := set.blockRange()
		if err != nil {
			yield(Sample{}, err)
			return
		}
		w := NewSampler(ctx, s)
		for block := from; block < to; block++ {
			if err := w.Stopped(); err != nil {
				yield(Sample{}, fmt.Errorf("stackup: sample %d: %w", block*BlockSize, err))
				return
			}
			more := true
			err := w.block("", set.Seed, block, set.Samples, func(at, n int) error {
				for i := 0; i < n && more; i++ {
					more = yield(w.row(at, i), nil)
				}
				if !more {
					return errEnough
				}
				return nil
			})
			switch {
			case !more:
				return
			case err != nil:
				yield(Sample{}, raise(err, true))
				return
			}
		}
	}
}

// errEnough ends a block of samples that nobody wants more of.
var errEnough = errors.New("enough")

// row copies row i of the batch that begins with sample at.
func (w *Sampler) row(at, i int) Sample {
	both := make([]float64, len(w.X)+len(w.Y))
	for c, x := range w.X {
		both[c] = x[i]
	}
	for c, y := range w.Y {
		both[len(w.X)+c] = y[i]
	}
	n := len(w.X)
	return Sample{Index: at + i, Inputs: both[:n:n], Outputs: both[n:]}
}
