package stackup_test

import (
	"bytes"
	"context"
	"errors"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/tolerance"
)

func run(t testing.TB, s *stackup.Study, set stackup.Settings) *stackup.Accumulator {
	t.Helper()
	acc, err := s.Run(context.Background(), set)
	if err != nil {
		t.Fatal(err)
	}
	return acc
}

// The same study on any number of workers, and in any number of shards merged in any order, serialised between: identical bytes.
func TestStudy_Run_sameBytes(t *testing.T) {
	const samples = 70*stackup.BlockSize - 300
	s := stacktest.Mixed()
	want := stacktest.Must(run(t, s, stackup.Settings{Samples: samples, Seed: 7, Workers: 1}).MarshalBinary())
	for _, workers := range []int{2, 7} {
		if got := stacktest.Must(run(t, s, stackup.Settings{Samples: samples, Seed: 7, Workers: workers}).MarshalBinary()); !bytes.Equal(got, want) {
			t.Errorf("%d workers: other bytes", workers)
		}
	}
	r := rand.New(rand.NewPCG(1, 1))
	for _, shards := range []int{2, 7, 64} {
		var parts [][]byte
		for k := range shards {
			set := stackup.Settings{Samples: samples, Seed: 7, Workers: 2, From: 70 * k / shards, To: 70 * (k + 1) / shards}
			parts = append(parts, stacktest.Must(run(t, s, set).MarshalBinary()))
		}
		r.Shuffle(shards, func(i, j int) { parts[i], parts[j] = parts[j], parts[i] })
		for len(parts) > 1 { // in pairs at random, as a queue would
			i := r.IntN(len(parts) - 1)
			var a, b stackup.Accumulator
			if err := errors.Join(a.UnmarshalBinary(parts[i]), b.UnmarshalBinary(parts[i+1])); err != nil {
				t.Fatal(err)
			}
			if err := a.Merge(&b); err != nil {
				t.Fatal(err)
			}
			parts[i] = stacktest.Must(a.MarshalBinary())
			parts = slices.Delete(parts, i+1, i+2)
		}
		if !bytes.Equal(parts[0], want) {
			t.Errorf("%d shards: other bytes", shards)
		}
	}
}

// A run that is stopped keeps whole blocks, and the rest run later completes it to the same bytes.
func TestStudy_Run_stoppedAndResumed(t *testing.T) {
	const blocks = 64
	s := stacktest.Mixed()
	want := stacktest.Must(run(t, s, stackup.Settings{Samples: blocks * stackup.BlockSize, Seed: 3}).MarshalBinary())
	ctx, stop := context.WithCancel(context.Background())
	set := stackup.Settings{Samples: blocks * stackup.BlockSize, Seed: 3, Workers: 2}
	set.Progress = func(p stackup.Progress) {
		if p.Done >= 5*stackup.BlockSize {
			stop()
		}
	}
	acc, err := s.Run(ctx, set)
	if err == nil {
		t.Skip("done before it could be stopped")
	}
	if !errors.Is(err, context.Canceled) {
		t.Fatal(err)
	}
	held := map[int]bool{}
	for _, r := range acc.Blocks() {
		for b := r[0]; b < r[1]; b++ {
			held[b] = true
		}
	}
	if len(held)*stackup.BlockSize != acc.Samples() || len(held) == 0 || len(held) == blocks {
		t.Fatalf("%d blocks, %d samples", len(held), acc.Samples())
	}
	for b := range blocks {
		if !held[b] {
			if err := acc.Merge(run(t, s, stackup.Settings{Samples: blocks * stackup.BlockSize, Seed: 3, From: b, To: b + 1})); err != nil {
				t.Fatal(err)
			}
		}
	}
	if !bytes.Equal(stacktest.Must(acc.MarshalBinary()), want) {
		t.Error("resumed: other bytes")
	}
}

// Adding an input leaves the others' draws alone, and any sample can be drawn again.
func TestStudy_Sample(t *testing.T) {
	s := stacktest.Mixed()
	more := stacktest.Mixed()
	more.Model = stacktest.One(5, stacktest.Sum)
	more.Inputs = append([]stackup.Input{stacktest.Normal("first", 0, 1)}, more.Inputs...)
	more.Responses = []stackup.Response{{Name: "sum"}}
	for _, i := range []int{0, 1, 255, 256, 1023, 1024, 5000} {
		a, b := stacktest.Must(s.Sample(9, i)), stacktest.Must(more.Sample(9, i))
		if !slices.Equal(a, b[1:]) {
			t.Errorf("sample %d: %v, and with one input more %v", i, a, b)
		}
	}
	// The extremes are where the summary says.
	q := run(t, s, stackup.Settings{Samples: 5000, Seed: 9}).Summary(0)
	x := stacktest.Must(s.Sample(9, q.MostAt))
	if got := math.Hypot(x[0]+x[2], x[1]+x[3]); got != q.Most {
		t.Errorf("greatest %v at sample %d, drawn again %v", q.Most, q.MostAt, got)
	}
	x = stacktest.Must(s.Sample(9, q.LeastAt))
	if got := math.Hypot(x[0]+x[2], x[1]+x[3]); got != q.Least {
		t.Errorf("least %v at sample %d, drawn again %v", q.Least, q.LeastAt, got)
	}
}

// Mean, moments, quantiles, yield and extremes are those of the samples themselves.
func TestAccumulator_Summary_againstTheSamples(t *testing.T) {
	const n = 20000
	s := stacktest.Mixed()
	q := run(t, s, stackup.Settings{Samples: n, Seed: 5}).Summary(0)
	var y []float64
	good := 0
	for i := range n {
		x := stacktest.Must(s.Sample(5, i))
		v := math.Hypot(x[0]+x[2], x[1]+x[3])
		y = append(y, v)
		if v <= 2.5 {
			good++
		}
		if i > 3000 {
			break
		}
	}
	// the first few thousand alone, exactly
	p := run(t, s, stackup.Settings{Samples: len(y), Seed: 5}).Summary(0)
	var mean, m2, m3, m4 float64
	for _, v := range y {
		mean += v / float64(len(y))
	}
	for _, v := range y {
		d := v - mean
		m2, m3, m4 = m2+d*d, m3+d*d*d, m4+d*d*d*d
	}
	sd := math.Sqrt(m2 / float64(len(y)-1))
	if math.Abs(p.Mean-mean) > 1e-12 || math.Abs(p.SD-sd) > 1e-12 || p.Good != good || p.Least != slices.Min(y) || p.Most != slices.Max(y) {
		t.Errorf("%+v; want mean %v, sd %v, %d good", p, mean, sd, good)
	}
	nn := float64(len(y))
	if skew := m3 / nn / math.Pow(m2/nn, 1.5); math.Abs(p.Skewness-skew) > 1e-10 {
		t.Errorf("skewness %v, want %v", p.Skewness, skew)
	}
	slices.Sort(y)
	for _, share := range []float64{0.01, 0.5, 0.9, 0.99} {
		got, _ := p.Quantile(share)
		want := y[int(share*nn)]
		if math.Abs(got-want) > 0.01*want {
			t.Errorf("quantile %v: %v, want %v", share, got, want)
		}
	}
	if q.Samples != n {
		t.Errorf("%d samples", q.Samples)
	}
}

func TestStudy_Run_errors(t *testing.T) {
	s := stacktest.Mixed()
	s.Model = stacktest.One(4, func(x []float64) float64 {
		if x[0] > 3.2 {
			return math.NaN()
		}
		return 0
	})
	s.Responses = s.Responses[:1]
	var first *fault.SampleError
	for _, workers := range []int{1, 2} {
		_, err := s.Run(context.Background(), stackup.Settings{Samples: 20000, Seed: 1, Workers: workers})
		var e *fault.SampleError
		if !errors.As(err, &e) {
			t.Fatal(err)
		}
		x := stacktest.Must(s.Sample(1, e.Index))
		if !slices.Equal(x, e.Inputs) || x[0] <= 3.2 {
			t.Errorf("sample %d: inputs %v, drawn again %v", e.Index, e.Inputs, x)
		}
		if first == nil {
			first = e
		}
	}
	for _, c := range []struct {
		name string
		edit func(*stackup.Study)
	}{
		{"no model", func(s *stackup.Study) { s.Model = nil }},
		{"too few inputs", func(s *stackup.Study) { s.Inputs = s.Inputs[:1] }},
		{"a name twice", func(s *stackup.Study) { s.Inputs[1].Name = "a" }},
		{"no law", func(s *stackup.Study) { s.Inputs[0].Law = nil }},
		{"limits crossed", func(s *stackup.Study) { s.Responses[0].Limits = tolerance.Between(9, 2.5) }},
		{"no such column", func(s *stackup.Study) { s.Responses[0].Output = 2 }},
	} {
		s := stacktest.Mixed()
		c.edit(s)
		if err := s.Validate(); !stacktest.Refused(err) {
			t.Errorf("%s: %v", c.name, err)
		}
	}
	if _, err := stacktest.Mixed().Run(context.Background(), stackup.Settings{}); !stacktest.Refused(err) {
		t.Errorf("no samples: %v", err)
	}
	a := run(t, stacktest.Mixed(), stackup.Settings{Samples: 2048, Seed: 1})
	if err := a.Merge(run(t, stacktest.Mixed(), stackup.Settings{Samples: 2048, Seed: 1, From: 1, To: 2})); !stacktest.Refused(err) {
		t.Errorf("a block twice: %v", err)
	}
	if err := a.Merge(run(t, stacktest.Mixed(), stackup.Settings{Samples: 2048, Seed: 2})); !stacktest.Refused(err) {
		t.Errorf("another seed: %v", err)
	}
}

// What the engine says of its own error holds: over 2,000 repeats its intervals cover the truth as often as they say.
func TestAccumulator_Summary_coverage(t *testing.T) {
	const repeats, n = 2000, 400
	w := stackup.Response{Name: "y"}
	w.Limits = tolerance.AtMost(3)
	s := &stackup.Study{Model: stacktest.One(3, stacktest.Sum), Inputs: []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1), stacktest.Uniform("c", -1, 1)}, Responses: []stackup.Response{w}}
	sd := math.Sqrt(2 + 1.0/3)
	// P(N(0,2) + U(−1,1) ≤ 3), by quadrature.
	var yield float64
	const steps = 20000
	for i := range steps {
		u := -1 + 2*(float64(i)+0.5)/steps
		yield += math.Erfc(-(3-u)/2) / 2 / steps
	}
	var median float64 // symmetric
	var mean, spread, rank, share int
	for r := range repeats {
		q := run(t, s, stackup.Settings{Samples: n, Seed: uint64(r), Workers: 1}).Summary(0)
		if math.Abs(q.Mean) <= 1.96*q.MeanError {
			mean++
		}
		if math.Abs(q.SD-sd) <= 1.96*q.SDError {
			spread++
		}
		if v, e := q.Quantile(0.5); math.Abs(v-median) <= 1.96*e {
			rank++
		}
		if q.YieldInterval[0] <= yield && yield <= q.YieldInterval[1] {
			share++
		}
	}
	// Binomial bounds at 0.95 of 2,000, about four standard deviations of 9.7; the exact interval of a yield covers more, never less.
	for _, c := range []struct {
		what      string
		got, most int
	}{{"mean", mean, 1939}, {"sd", spread, 1939}, {"median", rank, 1950}, {"yield", share, 2000}} {
		if c.got < 1861 || c.got > c.most {
			t.Errorf("%s: the interval covers %d of %d", c.what, c.got, repeats)
		}
	}
}

func FuzzAccumulator_UnmarshalBinary(f *testing.F) {
	s := stacktest.Mixed()
	b := stacktest.Must(run(f, s, stackup.Settings{Samples: 3000, Seed: 1}).MarshalBinary())
	f.Add(b)
	f.Add(b[:len(b)/2])
	f.Add([]byte(`{"Format":"borestack-accumulator/1"}`))
	f.Fuzz(func(t *testing.T, data []byte) {
		var q stackup.Accumulator
		if q.UnmarshalBinary(data) != nil {
			return
		}
		again := stacktest.Must(q.MarshalBinary())
		var r stackup.Accumulator
		if err := r.UnmarshalBinary(again); err != nil {
			t.Fatalf("what it wrote does not read: %v", err)
		}
	})
}
