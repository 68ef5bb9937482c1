package stackup_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"sync"
	"sync/atomic"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/allocate"
	"example.com/borestack/stackup/estimate"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/learn"
	"example.com/borestack/stackup/quasi"
	"example.com/borestack/stackup/rare"
	"example.com/borestack/tolerance"
)

// entries are all that takes long, each returning what it came to.
var entries = map[string]func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error){
	"run": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		t, err := s.Run(ctx, set)
		if t == nil {
			return nil, err
		}
		b, bad := t.MarshalBinary()
		return b, errors.Join(err, bad)
	},
	"run until": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		t, _, err := s.RunUntil(ctx, stackup.Adaptive{Digits: 1}, set)
		if t == nil {
			return nil, err
		}
		b, bad := t.MarshalBinary()
		return b, errors.Join(err, bad)
	},
	"indices": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		x, err := s.SobolIndices(ctx, set)
		if x == nil {
			return nil, err
		}
		return x.Of(0), err
	},
	"tails": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		f, err := s.FailureTails(ctx, set)
		return none(f), err
	},
	"even": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		e, err := quasi.Run(ctx, s, quasi.Settings{Settings: set})
		if e == nil {
			return nil, err
		}
		return [2]stackup.Figure{e.Mean(0), e.Yield(0)}, err
	},
	"rare": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		r, err := rare.Failures(ctx, s, 0, set)
		if r == nil {
			return nil, err
		}
		return r.Failure, err
	},
	"estimate": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		set.Samples *= 4
		e, err := estimate.Run(ctx, s, estimate.Goal{Of: estimate.OfMean, Error: 1e-4}, set)
		if e.Evaluations == 0 {
			return nil, err
		}
		return e, err
	},
	"estimate a yield": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		set.Samples *= 4
		e, err := estimate.Run(ctx, s, estimate.Goal{Of: estimate.OfYield, Error: 1e-4}, set)
		if e.Evaluations == 0 {
			return nil, err
		}
		return e, err
	},
	"how far": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		l, err := stackup.HowFar(ctx, spread(s, 0), stackup.Question{From: 0.5, To: 3, Share: 0.99}, set)
		return none(l), err
	},
	"how far, worst case": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		l, err := stackup.HowFar(ctx, spread(s, 0), stackup.Question{From: 0.1, To: 3, Share: 1}, set)
		return none(l), err
	},
	"learn": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		l, err := learn.From(ctx, s, []learn.Observation{{Value: 0.5, Uncertainty: 0.2}}, set)
		if l == nil {
			return nil, err
		}
		return l.Responses, err
	},
	"next": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		set.Samples = 1 << 16
		_, each, err := learn.Next(ctx, s, 0, set)
		return none(each), err
	},
	"compare": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		other := *s
		other.Inputs = append([]stackup.Input(nil), s.Inputs...)
		other.Inputs[0] = stacktest.Uniform("a", -0.5, 0.4)
		c, err := stackup.Compare(ctx, s, &other, set)
		if c == nil {
			return nil, err
		}
		return c.Difference(0), err
	},
	"linearise": func(ctx context.Context, s *stackup.Study, _ stackup.Settings) (any, error) {
		l, err := s.Linearise(ctx)
		if err != nil {
			return nil, err
		}
		return l, nil
	},
	"second order": func(ctx context.Context, s *stackup.Study, _ stackup.Settings) (any, error) {
		only := *s
		only.Inputs = append([]stackup.Input(nil), s.Inputs...)
		flat := stacktest.Must(law.NewUniform(-0.1, 0.1))
		only.Inputs[2] = stackup.Input{Name: "c", Joint: law.Independent{flat, flat}}
		only.Inputs[3] = stacktest.Uniform("d", -0.1, 0.1)
		only.Inputs = append(only.Inputs, stacktest.Uniform("e", -0.1, 0.1))
		v, err := only.SecondOrder(ctx, 0)
		return none(v), err
	},
	"samples": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		last := stackup.Sample{}
		for x, err := range s.Samples(ctx, set) {
			if err != nil {
				return none(last), err
			}
			last = x
		}
		return none(last), nil
	},
	"allocate": func(ctx context.Context, s *stackup.Study, set stackup.Settings) (any, error) {
		fine := []allocate.Option{{Scale: 0.5, Cost: 3}, {Scale: 1, Cost: 1}}
		p, err := allocate.Sampled(ctx, s, allocate.Ask{Yield: 0.99, Costs: []allocate.Cost{{Input: "a", Options: fine}, {Input: "b", Options: fine}}}, set)
		if p == nil {
			return nil, err
		}
		return *p, err
	},
	"search": func(ctx context.Context, s *stackup.Study, _ stackup.Settings) (any, error) {
		e, err := s.Search(ctx, 0, 1, stackup.SearchSettings{Evaluations: 5000})
		if err != nil {
			return nil, err
		}
		return e, nil
	},
}

// none makes a zero value nothing.
func none[T any](v T) any {
	if reflect.ValueOf(v).IsZero() {
		return nil
	}
	return v
}

// every is a study that all entries take; seen is called at every evaluation.
func every(seen func(x []float64)) *stackup.Study {
	flat := stacktest.Must(law.NewUniform(-0.2, 0.2))
	return &stackup.Study{
		Model: stackup.Func{In: 6, Out: 1, Of: func(y, x []float64) error {
			if seen != nil {
				seen(x)
			}
			y[0] = x[0] + x[1] + math.Hypot(1+x[2], x[3]) - 1 + x[4] - 0.5*x[5] + 0.1*x[0]*x[1]
			return nil
		}},
		Inputs: []stackup.Input{
			stacktest.Uniform("a", -0.4, 0.4), stacktest.Uniform("b", -0.4, 0.4), {Name: "c", Joint: stacktest.Must(law.NewDisc(0, 0, 0.2))}, {Name: "d", Joint: stacktest.Must(law.NewShared([]law.Law{flat, flat}, [][]float64{{1, 1}, {1, 0}}))},
		},
		Responses: []stackup.Response{{Name: "y", Limits: tolerance.AtMost(0.95)}},
	}
}

const entrySamples = 20 * stackup.BlockSize

// Shared between goroutines, every entry point gives the answer that it gives alone, and changes nothing. (Run with -race.)
func TestEntries_sharedStudy(t *testing.T) {
	s, set := every(nil), stackup.Settings{Samples: entrySamples, Seed: 1, Workers: 2}
	var wg sync.WaitGroup
	for name, f := range entries {
		want, err := f(context.Background(), s, set)
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		for range 2 {
			wg.Add(1)
			go func() {
				defer wg.Done()
				if got, err := f(context.Background(), s, set); err != nil || !reflect.DeepEqual(got, want) {
					t.Errorf("%s: %v, %v, alone %v", name, got, err, want)
				}
			}()
		}
	}
	wg.Wait()
}

// A dead context stops every entry point before its next block or candidate; what is whole comes with the error.
func TestEntries_deadContext(t *testing.T) {
	const workers = 2
	partial := map[string]bool{}
	for name, f := range entries {
		dead, stop := context.WithCancel(context.Background())
		stop()
		var count atomic.Int64
		if got, err := f(dead, every(func([]float64) { count.Add(1) }), stackup.Settings{Samples: entrySamples, Workers: workers}); !errors.Is(err, context.Canceled) || got != nil || count.Load() > 1 {
			t.Errorf("%s: dead before: %v, %v, %d evaluations", name, got, err, count.Load())
		}
		count.Store(0)
		if _, err := f(context.Background(), every(func([]float64) { count.Add(1) }), stackup.Settings{Samples: entrySamples, Workers: workers}); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		all := count.Load()
		for _, share := range []float64{0.1, 0.5, 0.9} {
			workers := workers
			if share == 0.9 {
				workers = 1 // what is whole does not depend on luck
			}
			ctx, stop := context.WithCancel(context.Background())
			count.Store(0)
			after := max(int64(share*float64(all)), 1)
			got, err := f(ctx, every(func([]float64) {
				if count.Add(1) == after {
					stop()
				}
			}), stackup.Settings{Samples: entrySamples, Workers: workers})
			stop()
			most := int64(8 * workers * stackup.BlockSize) // a block of indices has six evaluations a sample
			if err == nil && after+most >= all {
				continue // it was in its last block
			}
			if !errors.Is(err, context.Canceled) {
				t.Errorf("%s: stopped at %d of %d: %v", name, after, all, err)
			}
			if count.Load() > after+most {
				t.Errorf("%s: %d evaluations after it was stopped", name, count.Load()-after)
			}
			if got != nil {
				partial[name] = true
			}
		}
	}
	for _, name := range []string{"run", "run until", "indices", "tails", "even", "rare", "compare", "learn", "estimate", "samples"} {
		if !partial[name] {
			t.Errorf("%s: nothing came of what was whole", name)
		}
	}
}

// What a stopped run returns is what a run of as many samples returns.
func TestStudy_stopped_whole(t *testing.T) {
	ctx, stop := context.WithCancel(context.Background())
	var count atomic.Int64
	s := every(func([]float64) {
		if count.Add(1) == 6*stackup.BlockSize {
			stop()
		}
	})
	tails, err := s.FailureTails(ctx, stackup.Settings{Samples: entrySamples, Seed: 4, Workers: 3})
	if !errors.Is(err, context.Canceled) || len(tails) != 1 || tails[0].Samples >= entrySamples || tails[0].Samples%stackup.BlockSize != 0 {
		t.Fatalf("%v, %+v", err, tails)
	}
	want := stacktest.Must(every(nil).FailureTails(context.Background(), stackup.Settings{Samples: tails[0].Samples, Seed: 4}))
	if !reflect.DeepEqual(tails, want) {
		t.Errorf("%+v, want %+v", tails, want)
	}
}

// Progress never falls, says what is being done, and stays within what is to be done.
func TestEntries_progress(t *testing.T) {
	for name, f := range entries {
		last, reports := 0, 0
		set := stackup.Settings{Samples: entrySamples, Workers: 2, Progress: func(p stackup.Progress) {
			if p.Done < last || p.Done > p.Samples || p.What == "" || p.Remaining < 0 {
				t.Errorf("%s: %+v after %d", name, p, last)
			}
			last = p.Done
			reports++
		}}
		if _, err := f(context.Background(), every(nil), set); err != nil {
			t.Fatal(err)
		}
		switch name {
		case "linearise", "second order", "search", "how far, worst case", "samples":
		default:
			if reports == 0 {
				t.Errorf("%s: no reports", name)
			}
		}
	}
}

// A panic of the model is raised in the caller's goroutine, with the deviations that it was at.
func TestEntries_modelPanics(t *testing.T) {
	cause := errors.New("the model's own")
	for name, f := range entries {
		most := 0.22 // just within one standard deviation, which is 0.8/√12
		if name == "second order" {
			most = 0.001 // whose steps are small
		}
		s := every(func(x []float64) {
			if x[0] > most {
				panic(cause)
			}
		})
		p := panicOf(t, name, func() { _, _ = f(context.Background(), s, stackup.Settings{Samples: entrySamples, Workers: 2}) })
		if p == nil {
			continue
		}
		if !errors.Is(p, cause) || len(p.Inputs) != 6 || p.Inputs[0] <= most || p.Input != "" || len(p.Stack) == 0 {
			t.Errorf("%s: %v, inputs %v, input %q", name, p, p.Inputs, p.Input)
		}
	}
	// the sample can be drawn again
	s := every(func(x []float64) {
		if x[0] > 0.3999 {
			panic("far")
		}
	})
	for _, workers := range []int{1, 3} {
		p := panicOf(t, "run", func() {
			_, _ = s.Run(context.Background(), stackup.Settings{Samples: 1 << 16, Seed: 1, Workers: workers})
		})
		x := stacktest.Must(s.Sample(1, p.Sample))
		if !reflect.DeepEqual(x, p.Inputs) || p.Error() == "" || p.Value != "far" {
			t.Errorf("sample %d: %v, drawn again %v", p.Sample, p.Inputs, x)
		}
	}
}

func panicOf(t *testing.T, name string, f func()) (p *stackup.Panic) {
	t.Helper()
	defer func() {
		v := recover()
		var ok bool
		if p, ok = v.(*stackup.Panic); !ok {
			t.Errorf("%s: raised %v", name, v)
		}
	}()
	f()
	return nil
}

// broken is a law that panics in one of its methods.
type broken struct {
	law.Law
	method string
}

func (b broken) panics(method string) {
	if b.method == method {
		panic(fmt.Sprintf("no %s", method))
	}
}

func (b broken) Draw(dst []float64, s *law.Stream) { b.panics("draw"); b.Law.Draw(dst, s) }

func (b broken) Quantile(p float64) float64 { b.panics("quantile"); return b.Law.Quantile(p) }

func (b broken) UpperQuantile(p float64) float64 { b.panics("quantile"); return b.Law.UpperQuantile(p) }

func (b broken) Moments() law.Moments { b.panics("moments"); return b.Law.Moments() }

func (b broken) Support() (lowest, highest float64) { b.panics("support"); return b.Law.Support() }

// A panic of a law is raised in the caller's goroutine, with the name of its input.
func TestEntries_lawPanics(t *testing.T) {
	raised := map[string]int{}
	for name, f := range entries {
		for _, method := range []string{"draw", "quantile", "moments", "support"} {
			s := every(nil)
			s.Inputs[1].Law = broken{s.Inputs[1].Law, method}
			func() {
				defer func() {
					v := recover()
					if v == nil {
						return // the entry does not ask the law that
					}
					raised[method]++
					if p, ok := v.(*stackup.Panic); !ok || p.Input != "b" || p.Value != "no "+method || len(p.Stack) == 0 {
						t.Errorf("%s, %s: raised %v", name, method, v)
					}
				}()
				_, _ = f(context.Background(), s, stackup.Settings{Samples: entrySamples, Workers: 2})
			}()
		}
	}
	if raised["draw"] < 5 || raised["quantile"] < 4 || raised["moments"] < 2 || raised["support"] < 1 {
		t.Errorf("raised %v", raised)
	}
}
