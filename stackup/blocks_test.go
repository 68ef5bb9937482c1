package stackup_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"slices"
	"sync/atomic"
	"testing"
	"time"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/tolerance"
)

// However many workers there are and whichever fails first, the error is that of the lowest part.
func TestBlocks_lowestError(t *testing.T) {
	for _, workers := range []int{2, 5} {
		later := make(chan struct{})
		_, err := stackup.Blocks(context.Background(), stackup.Settings{Workers: workers}, stackup.Parts{N: 20, Each: 1, Samples: 20}, func() func(int) (int, error) {
			return func(part int) (int, error) {
				switch part {
				case 3: // fails when part 4 has
					<-later
					time.Sleep(20 * time.Millisecond)
					return 0, errors.New("part 3")
				case 4:
					close(later)
					return 0, errors.New("part 4")
				}
				return part, nil
			}
		}, func(int, int) {})
		if err == nil || err.Error() != "part 3" {
			t.Errorf("%d workers: %v", workers, err)
		}
	}
}

// The error of a run is that of its lowest block, with the sample's index and deviations, on any number of workers.
func TestStudy_Run_lowestError(t *testing.T) {
	bad := errors.New("bad")
	s := stacktest.Mixed()
	first := stacktest.Must(s.Sample(5, 2*stackup.BlockSize+700))[0] // and, later, its neighbour
	second := stacktest.Must(s.Sample(5, 3*stackup.BlockSize+1))[0]
	s.Model = stackup.Func{In: 4, Out: 2, Of: func(_, x []float64) error {
		if x[0] == first || x[0] == second {
			return bad
		}
		return nil
	}}
	for _, workers := range []int{1, 2, 4} {
		_, err := s.Run(context.Background(), stackup.Settings{Samples: 8 * stackup.BlockSize, Seed: 5, Workers: workers})
		var e *fault.SampleError
		if !errors.As(err, &e) || !errors.Is(err, bad) || e.Index != 2*stackup.BlockSize+700 || e.Inputs[0] != first {
			t.Errorf("%d workers: %v", workers, err)
		}
	}
}

// Results are taken in ascending order, each once, whatever order they come in.
func TestBlocks_order(t *testing.T) {
	const n = 200
	var got []int
	last := 0
	set := stackup.Settings{Workers: 4, Progress: func(p stackup.Progress) {
		if p.Done < last || p.Done > p.Samples {
			t.Errorf("%+v after %d", p, last)
		}
		last = p.Done
	}}
	done, err := stackup.Blocks(context.Background(), set, stackup.Parts{N: n, Each: 10, Samples: 10*n - 3}, func() func(int) (int, error) {
		return func(part int) (int, error) {
			if part%7 == 0 {
				time.Sleep(200 * time.Microsecond)
			}
			return 3 * part, nil
		}
	}, func(part, r int) {
		if r != 3*part {
			t.Errorf("part %d: %d", part, r)
		}
		got = append(got, part)
	})
	if err != nil || done != n || len(got) != n || !slices.IsSorted(got) || last != 10*n-3 {
		t.Errorf("%v, %d done, last %d, %v", err, done, last, got)
	}
}

// A slow model is stopped in the midst of a block; the whole blocks before the first that is missing are what a run
// of as many samples gives, although later ones were whole.
func TestStudy_Run_slowModel(t *testing.T) {
	const stuck, seed = 5, 3
	quick := stacktest.Limited()
	at := stacktest.Must(quick.Sample(seed, stuck*stackup.BlockSize))[0]
	for _, slow := range []bool{true, false} {
		ctx, stop := context.WithCancelCause(context.Background())
		gone := errors.New("gone")
		var count, after atomic.Int64
		others := make(chan struct{})
		s := *quick
		s.Model = stackup.Func{In: 2, Out: 1, Slow: slow, Of: func(y, x []float64) error {
			y[0] = x[0] + x[1]
			if ctx.Err() != nil {
				after.Add(1)
			}
			if x[0] == at { // waits for later blocks
				<-others
				stop(gone)
				return nil
			}
			if count.Add(1) == 9*stackup.BlockSize {
				close(others)
				<-ctx.Done()
			}
			return nil
		}}
		acc, err := s.Run(ctx, stackup.Settings{Samples: 40 * stackup.BlockSize, Seed: seed, Workers: 2})
		if !errors.Is(err, gone) || acc == nil {
			t.Fatalf("slow %v: %v, %v", slow, acc, err)
		}
		if n := after.Load(); slow && n > 8 || !slow && n < stackup.BlockSize/2 {
			t.Errorf("slow %v: %d samples after it was stopped", slow, n)
		}
		n := acc.Samples()
		if slow && n != stuck*stackup.BlockSize || !slow && n <= stuck*stackup.BlockSize || n%stackup.BlockSize != 0 {
			t.Errorf("slow %v: %d samples", slow, n)
		}
		want := stacktest.Must(run(t, quick, stackup.Settings{Samples: n, Seed: seed}).MarshalBinary())
		if got := stacktest.Must(acc.MarshalBinary()); !bytes.Equal(got, want) {
			t.Errorf("slow %v: other bytes", slow)
		}
	}
	// it gives what a quick one gives
	s := *quick
	s.Model = stackup.Func{In: 2, Out: 1, Slow: true, Of: func(y, x []float64) error { y[0] = x[0] + x[1]; return nil }}
	set := stackup.Settings{Samples: 3*stackup.BlockSize + 7, Seed: seed, Workers: 2}
	if !bytes.Equal(stacktest.Must(run(t, &s, set).MarshalBinary()), stacktest.Must(run(t, quick, set).MarshalBinary())) {
		t.Error("a slow model gives other bytes")
	}
	// the index and deviations of a bad sample, and of a panic, are its own
	const off = stuck*stackup.BlockSize + 137
	at = stacktest.Must(quick.Sample(seed, off))[0]
	for _, bad := range []func() error{func() error { return errors.New("bad") }, func() error { panic("bad") }} {
		s.Model = stackup.Func{In: 2, Out: 1, Slow: true, Of: func(y, x []float64) error {
			if x[0] == at {
				return bad()
			}
			return nil
		}}
		func() {
			defer func() {
				if p, ok := recover().(*stackup.Panic); ok && (p.Sample != off || p.Inputs[0] != at) {
					t.Errorf("%v", p)
				}
			}()
			_, err := s.Run(context.Background(), stackup.Settings{Samples: 8 * stackup.BlockSize, Seed: seed, Workers: 2})
			var e *fault.SampleError
			if !errors.As(err, &e) || e.Index != off || e.Inputs[0] != at {
				t.Errorf("%v", err)
			}
		}()
	}
}

// A method of one's own, in a few lines: the mean of samples that are drawn in pairs, each the mirror of the other
// in the normal numbers that they are made of, so that what is linear cancels.
func ExampleBlocks() {
	s := &stackup.Study{
		Model:     stackup.Func{In: 2, Out: 1, Of: func(y, x []float64) error { y[0] = 10 + x[0] - x[1]; return nil }},
		Inputs:    []stackup.Input{stacktest.Normal("bore", 0, 0.02), stacktest.Normal("spigot", 0, 0.03)},
		Responses: []stackup.Response{{Name: "gap", Limits: tolerance.AtLeast(0)}},
	}
	ctx, set := context.Background(), stackup.Settings{Samples: 4 * stackup.BlockSize, Seed: 1}
	var sum float64
	_, err := stackup.Blocks(ctx, set, set.Blocks(), func() func(int) (float64, error) {
		w := stackup.NewNormalSampler(ctx, s)
		return func(block int) (sum float64, err error) {
			w.Begin("/pairs", set.Seed, block)
			draw := func(int, int) {
				w.Normals()
				for _, z := range w.Z {
					for i := 1; i < len(z); i += 2 {
						z[i] = -z[i-1]
					}
				}
				w.Fill(stackup.BatchSize)
			}
			err = w.Batches(block*stackup.BlockSize, (block+1)*stackup.BlockSize, draw, func(_, n int) error {
				for _, y := range w.Y[0][:n] {
					sum += y
				}
				return nil
			})
			return sum, err
		}
	}, func(_ int, of float64) { sum += of })
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("%.6f\n", sum/float64(set.Samples))
	// Output: 10.000000
}
