package stackup_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"reflect"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// The iterator gives the samples of Run, in order, each as Sample draws it again; a loop may end when it likes.
func TestStudy_Samples(t *testing.T) {
	s := stacktest.Mixed()
	const n = 2*stackup.BlockSize + 300
	set := stackup.Settings{Samples: n, Seed: 9}
	q := run(t, s, set).Summary(0)
	index, good, sum := 0, 0, 0.0
	var kept []stackup.Sample
	for v, err := range s.Samples(context.Background(), set) {
		if err != nil || v.Index != index || len(v.Inputs) != 4 || len(v.Outputs) != 2 {
			t.Fatalf("%+v, %v", v, err)
		}
		index++
		sum += v.Outputs[0]
		if v.Outputs[0] <= 2.5 {
			good++
		}
		if v.Index%500 == 499 {
			kept = append(kept, v)
		}
	}
	if index != n || good != q.Good || math.Abs(sum/n-q.Mean) > 1e-12 {
		t.Errorf("%d samples, %d good, mean %v, want %d and %v", index, good, sum/n, q.Good, q.Mean)
	}
	for _, v := range kept {
		if x := stacktest.Must(s.Sample(9, v.Index)); !reflect.DeepEqual(x, v.Inputs) || v.Outputs[1] != x[0]*x[3] {
			t.Errorf("%+v, drawn again %v", v, x)
		}
	}
	count := 0
	for range s.Samples(context.Background(), set) {
		if count++; count == 1100 {
			break
		}
	}
	set.From, set.To = 2, 3
	first := true
	for v := range s.Samples(context.Background(), set) {
		if first && v.Index != 2*stackup.BlockSize {
			t.Errorf("block 2 begins at %d", v.Index)
		}
		first = false
	}
	if count != 1100 || first {
		t.Error(count, first)
	}
}

func TestStudy_Samples_errors(t *testing.T) {
	last := func(s *stackup.Study, ctx context.Context, set stackup.Settings) (n int, last error) {
		for _, err := range s.Samples(ctx, set) {
			if last != nil {
				t.Error("more after an error")
			}
			if last = err; err == nil {
				n++
			}
		}
		return n, last
	}
	set := stackup.Settings{Samples: 3000, Seed: 1}
	ctx := context.Background()
	s := stacktest.Limited()
	at := stacktest.Must(s.Sample(1, 1500))[0]
	bad := errors.New("bad")
	s.Model = stackup.Func{In: 2, Out: 1, Of: func(y, x []float64) error {
		if x[0] == at {
			return bad
		}
		return nil
	}}
	var e *fault.SampleError
	if n, err := last(s, ctx, set); !errors.Is(err, bad) || !errors.As(err, &e) || e.Index != 1500 || n > 1500 || n < stackup.BlockSize {
		t.Errorf("%d samples, %v", n, err)
	}
	if _, err := last(s, ctx, stackup.Settings{}); !stacktest.Refused(err) {
		t.Error(err)
	}
	if _, err := last(&stackup.Study{}, ctx, set); !stacktest.Refused(err) {
		t.Error(err)
	}
	dead, stop := context.WithCancel(ctx)
	stop()
	if n, err := last(s, dead, set); !errors.Is(err, context.Canceled) || n > 0 {
		t.Error(n, err)
	}
}

// A histogram holds all samples; a limit is an edge, and the bars within the limits are as many as the yield says.
func TestSummary_Histogram(t *testing.T) {
	s := stacktest.Limited()
	s.Responses[0].Limits = tolerance.Between(-0.31, 0.52)
	q := run(t, s, stackup.Settings{Samples: 20000, Seed: 1}).Summary(0)
	h, ok := q.Histogram(s.Responses[0].Limits, 30)
	if !ok || len(h.Edges) != len(h.Counts)+1 || h.Edges[0] != q.Least || h.Edges[len(h.Edges)-1] != q.Most || h.Nominal.Value != 0 {
		t.Fatalf("%+v", h)
	}
	total, inside, edges := 0, 0, 0
	for i, n := range h.Counts {
		total += n
		if h.Edges[i] >= -0.31 && h.Edges[i+1] <= 0.52 {
			inside += n
		}
	}
	for _, e := range h.Edges {
		if e == -0.31 || e == 0.52 {
			edges++
		}
	}
	if total != 20000 || inside != q.Good || edges != 2 {
		t.Errorf("%d samples, %d inside of %d, %d edges", total, inside, q.Good, edges)
	}
	still := &stackup.Study{Model: stacktest.One(1, func([]float64) float64 { return 5 }), Inputs: s.Inputs[:1], Responses: []stackup.Response{{Name: "y"}}}
	if h, ok := run(t, still, stackup.Settings{Samples: 2000}).Summary(0).Histogram(tolerance.Limits{}, 30); ok {
		t.Errorf("%+v", h)
	}
	some := &stackup.Study{Model: stacktest.One(1, func(x []float64) float64 {
		if x[0] < 0 {
			return math.Inf(-1)
		}
		return x[0]
	}), Inputs: s.Inputs[:1], Responses: []stackup.Response{{Name: "y"}}}
	q = run(t, some, stackup.Settings{Samples: 2000}).Summary(0)
	if h, ok := q.Histogram(tolerance.Limits{}, 30); !ok || h.Under != q.Infinite || h.Over != 0 || q.Infinite == 0 {
		t.Errorf("%+v", h)
	}
}

// A plain chain of three parts: from the drawing to a yield with its error, in ten lines. A bore takes a ring and a
// cap; the gap that they leave is asked for, in mm. All numbers are invented.
func ExampleStudy_Run() {
	gap := stackup.Func{In: 3, Out: 1, Of: func(y, x []float64) error { y[0] = 40.2 + x[0] - 25 - x[1] - 15 - x[2]; return nil }}
	study := stackup.Study{Model: gap, Responses: []stackup.Response{{Name: "gap", Limits: tolerance.Between(0.08, 0.32)}}}
	for i, tol := range []float64{0.10, 0.06, 0.08} { // each ± at a Cpk of 1
		l, _ := law.FromCpk(-tol, tol, 1, 0)
		study.Inputs = append(study.Inputs, stackup.Input{Name: []string{"bore", "ring", "cap"}[i], Law: l})
	}
	acc, err := study.Run(context.Background(), stackup.Settings{Samples: 100_000, Seed: 1})
	if err == nil {
		fmt.Printf("yield %.4f ± %.4f\n", acc.Summary(0).Yield, acc.Summary(0).YieldError)
	}
	// Output: yield 0.9894 ± 0.0003
}

func ExampleStudy_Samples() {
	s := stacktest.Gap()
	for v, err := range s.Samples(context.Background(), stackup.Settings{Samples: 100_000, Seed: 1}) {
		if err != nil {
			fmt.Println(err)
			return
		}
		if v.Outputs[0] < 0.015 {
			fmt.Printf("sample %d leaves %.3f mm, with a spigot %+.3f mm off\n", v.Index, v.Outputs[0], v.Inputs[1])
			return
		}
	}
	// Output:
	// sample 1074 leaves 0.014 mm, with a spigot +0.015 mm off
}

func ExampleSummary_Histogram() {
	acc, err := stacktest.Limited().Run(context.Background(), stackup.Settings{Samples: 10_000, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	h, _ := acc.Summary(0).Histogram(tolerance.AtMost(1), 6)
	for i, n := range h.Counts {
		fmt.Printf("%.2f to %.2f: %d\n", h.Edges[i], h.Edges[i+1], n)
	}
	// Output:
	// -1.57 to -1.05: 25
	// -1.05 to -0.54: 662
	// -0.54 to -0.03: 4008
	// -0.03 to 0.49: 4399
	// 0.49 to 1.00: 883
	// 1.00 to 1.46: 23
}
