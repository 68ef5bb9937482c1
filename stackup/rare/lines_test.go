package rare_test

import (
	"context"
	"errors"
	"math"
	"reflect"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/stackup/rare"
)

// linesOf are the lines of a study, about points found with the same seed.
func linesOf(t testing.TB, s *stackup.Study, lines int, seed uint64) *rare.Rare {
	t.Helper()
	a, err := rare.Find(context.Background(), s, 0, stackup.Settings{Samples: stackup.BlockSize, Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	r, err := a.Lines(context.Background(), stackup.Settings{Samples: lines * rare.LineUnit / 16, Seed: seed})
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// Known chances, of limits that are flat, curved, on both sides and all round: lines hold them as often as they say,
// with less of an error than as many samples about the points.
func TestAim_Lines_known(t *testing.T) {
	const repeats, lines = 12, 512
	all, hits, tried := 0, 0, 0
	for _, c := range rareCases() {
		held, doubts := 0, 0
		var sum, squares float64
		for seed := range repeats {
			r := linesOf(t, c.Study, lines, uint64(seed))
			tried++
			if r.Doubt != "" {
				doubts++
				continue
			}
			all++
			if stacktest.Holds(r.Failure, c.Want) {
				hits++
				held++
			}
			d := (r.Failure.Value - c.Want) / c.Want
			sum, squares = sum+d, squares+d*d
			if r.Failure.Error < c.Want/lines/1.5 || r.Samples > lines*rare.LineUnit/16 {
				t.Errorf("%s: %+v, of %d evaluations", c.Name, r.Failure, r.Samples)
			}
		}
		if n := float64(repeats - doubts); n > 2 && math.Abs(sum) > 4.5*math.Sqrt(squares) {
			t.Errorf("%s: off by %.3g of it on average", c.Name, sum/n)
		}
		t.Logf("%s: %d of %d hold it, %d in doubt, scatter %.2g", c.Name, held, repeats, doubts, math.Sqrt(squares/repeats))
	}
	if share := float64(hits) / float64(all); share < 0.9 || all < tried/2 {
		t.Errorf("%d of %d intervals hold the chance, of %d", hits, all, tried)
	}
}

// A way to fail that no slope leads to, in the last digits of a deviation: the draws on the lines make up for it, and
// say so.
//
// Source: hand calculation: x > 2.5, or a share 0.003 of its digits.
func TestAim_Lines_mend(t *testing.T) {
	s := &stackup.Study{
		Model: stacktest.One(2, func(x []float64) float64 {
			if _, f := math.Modf(math.Abs(x[0]) * 1e7); f < 0.003 {
				return 1
			}
			return x[0] - 2.5
		}),
		Inputs:    []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1)},
		Responses: []stackup.Response{stacktest.Greatest("y", 0)},
	}
	want := 1 - (1-stacktest.Upper(2.5))*(1-0.003)
	var sum, squares float64
	const repeats = 24
	doubts := 0
	for seed := range repeats {
		r := linesOf(t, s, 4096, uint64(seed))
		if r.Doubt != "" {
			doubts++
		}
		sum, squares = sum+r.Failure.Value, squares+r.Failure.Value*r.Failure.Value
	}
	mean := sum / repeats
	sd := math.Sqrt((squares/repeats - mean*mean) / (repeats - 1))
	if math.Abs(mean-want) > 4*sd || sd > 0.1*want || doubts < repeats*9/10 {
		t.Errorf("%v ± %v, want %v; %d of %d in doubt", mean, sd, want, doubts, repeats)
	}
}

// A block of samples and a few spread wider show every way that matters of what fails often.
func TestFind_often(t *testing.T) {
	// Source: hand calculation: ways of chances q and 20q that know nothing of each other
	unlike := func(q float64) *stackup.Study {
		return &stackup.Study{
			Model: stacktest.One(2, func(x []float64) float64 {
				return math.Max(x[0]+law.StandardQuantile(20*q), -x[1]+law.StandardQuantile(q))
			}),
			Inputs: []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1)}, Responses: []stackup.Response{stacktest.Greatest("either", 0)},
		}
	}
	const q = 0.005
	want := 1 - (1-q)*(1-20*q)
	held, both := 0, 0
	const repeats = 40
	for seed := range repeats {
		set := stackup.Settings{Samples: stackup.BlockSize, Seed: uint64(seed)}
		a, err := rare.Find(context.Background(), unlike(q), 0, set)
		if err != nil || a.Failed < 50 || a.Evaluations > 8*stackup.BlockSize {
			t.Fatal(a, err)
		}
		set.Samples = 64 * rare.LineUnit
		r, err := a.Lines(context.Background(), set)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Points) == 2 {
			both++
		}
		if stacktest.Holds(r.Failure, want) {
			held++
		}
	}
	if !stacktest.WithinBinomial(held, repeats, 0.95) || both < repeats*9/10 {
		t.Errorf("%d of %d intervals hold it, both ways found by %d", held, repeats, both)
	}
}

// The same seed gives the same answer on any number of workers; one that is stopped says so.
func TestAim_Lines_workers(t *testing.T) {
	s := rareKnown(1e-4)["two modes"]
	a, err := rare.Find(context.Background(), s, 0, stackup.Settings{Samples: stackup.BlockSize, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	set := stackup.Settings{Samples: 32 * rare.LineUnit, Seed: 2, Workers: 1}
	one, err := a.Lines(context.Background(), set)
	if err != nil {
		t.Fatal(err)
	}
	set.Workers = 4
	if four, err := a.Lines(context.Background(), set); err != nil || !reflect.DeepEqual(one, four) {
		t.Errorf("%+v, on four workers %+v: %v", one, four, err)
	}
	if !stacktest.Holds(one.Failure, 1e-4) || one.Failure.Error > 0.05*1e-4 {
		t.Errorf("%+v, want 1e-4", one.Failure)
	}
	ctx, stop := context.WithCancel(context.Background())
	stop()
	if r, err := a.Lines(ctx, set); r != nil || !errors.Is(err, context.Canceled) {
		t.Error(r, err)
	}
	if _, err := a.Lines(context.Background(), stackup.Settings{Samples: 10}); !stacktest.Refused(err) {
		t.Error(err)
	}
}

// A response that jumps at its limit is crossed no better than its places are close, and the interval says so.
//
// Source: hand calculation: a share 1e-4 lies beyond the jump.
func TestAim_Lines_jump(t *testing.T) {
	const want = 1e-4
	s := &stackup.Study{
		Model: stacktest.One(2, func(x []float64) float64 {
			if (x[0]+x[1])/math.Sqrt2 > -law.StandardQuantile(want) {
				return 1
			}
			return 0
		}),
		Inputs: []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1)}, Responses: []stackup.Response{stacktest.Greatest("y", 0.5)},
	}
	held, all := 0, 0
	for seed := range 80 {
		set := stackup.Settings{Samples: stackup.BlockSize, Seed: uint64(seed)}
		a, err := rare.Find(context.Background(), s, 0, set)
		if errors.Is(err, rare.ErrNoDesignPoint) { // no slope was met
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		set.Samples = 128 * rare.LineUnit
		r, err := a.Lines(context.Background(), set)
		if err != nil {
			t.Fatal(err)
		}
		if r.Doubt != "" {
			continue
		}
		if all++; stacktest.Holds(r.Failure, want) {
			held++
		}
	}
	if all < 5 || !stacktest.WithinBinomial(held, all, 0.95) {
		t.Errorf("%d of %d hold it", held, all)
	}
}

// The search finds a way that hardly one sample of a block takes: no error of the lines would tell of it.
//
// Source: hand calculation: ways of chances p and q that know nothing of each other.
func TestFind_rarer(t *testing.T) {
	const repeats = 40
	for _, c := range [][2]float64{{0.1, 0.1 / 300}, {0.03, 1e-4}, {0.05, 1e-3}} {
		p, q := c[0], c[1]
		s := &stackup.Study{
			Model: stacktest.One(2, func(x []float64) float64 {
				return math.Max(x[0]+law.StandardQuantile(p), -x[1]+law.StandardQuantile(q))
			}),
			Inputs: []stackup.Input{stacktest.Normal("a", 0, 1), stacktest.Normal("b", 0, 1)}, Responses: []stackup.Response{stacktest.Greatest("either", 0)},
		}
		both, all := 0, 0
		for seed := range repeats {
			a, err := rare.Find(context.Background(), s, 0, stackup.Settings{Samples: stackup.BlockSize, Seed: uint64(seed)})
			if err != nil {
				t.Fatal(err)
			}
			r, err := a.Lines(context.Background(), stackup.Settings{Samples: rare.LineUnit})
			if err != nil {
				t.Fatal(err)
			}
			if all++; len(r.Points) >= 2 {
				both++
			}
		}
		if both < all*9/10 || all < repeats/2 {
			t.Errorf("chances %v: both ways found by %d of %d", c, both, all)
		}
	}
}

// Two of several limits are rarely passed on one line, and weigh as some lines do: replicates that all miss that agree
// with each other, and the interval holds the chance all the same.
//
// Source: hand calculation: any of five normal deviations beyond 3.6 on either side.
func TestAim_Lines_agree(t *testing.T) {
	var in []stackup.Input
	for _, name := range []string{"a", "b", "c", "d", "e"} {
		in = append(in, stacktest.Normal(name, 0, 1))
	}
	s := &stackup.Study{
		Model: stacktest.One(5, func(x []float64) (most float64) {
			for _, v := range x {
				most = math.Max(most, math.Abs(v))
			}
			return most
		}),
		Inputs: in, Responses: []stackup.Response{stacktest.Greatest("worst", 3.6)},
	}
	want := 1 - math.Pow(1-2*stacktest.Upper(3.6), 5)
	const repeats = 100
	a, err := rare.Find(context.Background(), s, 0, stackup.Settings{Samples: stackup.BlockSize, Seed: 1})
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	for seed := range repeats {
		r := stacktest.Must(a.Lines(context.Background(), stackup.Settings{Samples: 64 * rare.LineUnit, Seed: uint64(seed)}))
		if stacktest.Holds(r.Failure, want) {
			held++
		}
	}
	if held < 0.9*repeats {
		t.Errorf("%d of %d intervals hold the chance", held, repeats)
	}
}
