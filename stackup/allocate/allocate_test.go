package allocate_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/allocate"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/tolerance"
)

// random is a chain of n normal deviations with a table of processes each.
func random(r *rand.Rand, n, options int) (*stackup.Study, allocate.Ask) {
	s := &stackup.Study{Model: stackup.Func{In: n, Out: 1, Of: func(y, x []float64) error {
		y[0] = 0
		for i, v := range x {
			y[0] += float64(1-2*(i%2)) * v
		}
		return nil
	}}}
	ask := allocate.Ask{Yield: 0.9 + 0.099*r.Float64()}
	var tight, loose float64
	for i := range n {
		sd := 0.005 + 0.02*r.Float64()
		name := fmt.Sprint("part ", i)
		s.Inputs = append(s.Inputs, stacktest.Normal(name, 0, sd))
		c := allocate.Cost{Input: name}
		least, most := math.Inf(1), 0.0
		for range 1 + r.IntN(options) {
			o := allocate.Option{Scale: 0.25 + 2*r.Float64(), Cost: math.Round(100*r.Float64()) / 10}
			least, most = math.Min(least, o.Scale), math.Max(most, o.Scale)
			c.Options = append(c.Options, o)
		}
		tight, loose = tight+least*least*sd*sd, loose+most*most*sd*sd
		ask.Costs = append(ask.Costs, c)
	}
	limit := 2.2 * math.Sqrt(tight+(loose-tight)*r.Float64())
	s.Wanted = []stackup.Wanted{{Name: "gap", Limits: tolerance.Between(-limit, limit*(1+r.Float64()))}}
	return s, ask
}

// brute is the least cost of all combinations that hold. Source: second method: every combination.
func brute(ask allocate.Ask, holds func(scales []float64) bool) (best float64) {
	best = math.Inf(1)
	scales := make([]float64, len(ask.Costs))
	var try func(i int, cost float64)
	try = func(i int, cost float64) {
		if i == len(scales) {
			if holds(scales) {
				best = math.Min(best, cost)
			}
			return
		}
		for _, o := range ask.Costs[i].Options {
			scales[i] = o.Scale
			try(i+1, cost+o.Cost)
		}
	}
	try(0, 0)
	return best
}

func TestLinear_bruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	nothing := 0
	for range 300 {
		s, ask := random(r, 1+r.IntN(5), 5)
		least, greatest := s.Wanted[0].Limits.Least.Value, s.Wanted[0].Limits.Greatest.Value
		// Source: hand calculation: the sum of normal deviations about 0
		yield := func(scales []float64) float64 {
			var v float64
			for i, k := range scales {
				sd := s.Inputs[i].Law.Moments().SD()
				v += k * k * sd * sd
			}
			return 1 - stacktest.Upper(greatest/math.Sqrt(v)) - stacktest.Upper(-least/math.Sqrt(v))
		}
		want := brute(ask, func(scales []float64) bool { return yield(scales) >= ask.Yield })
		p, err := allocate.Linear(s, stacktest.Must(s.Linearise(context.Background())), ask)
		if math.IsInf(want, 1) {
			nothing++
			if !errors.Is(err, stackup.ErrStudy) || !strings.Contains(err.Error(), "no options hold") {
				t.Fatalf("%v, %v, want none", p, err)
			}
			continue
		}
		if err != nil {
			t.Fatal(err)
		}
		var scales []float64
		for _, c := range p.Choices {
			scales = append(scales, c.Scale)
		}
		if math.Abs(p.Cost-want) > 1e-9 || p.Bound > want+1e-9 || math.Abs(p.Yield.Value-yield(scales)) > 1e-9 || p.Yield.Value < ask.Yield-1e-9 {
			t.Fatalf("%+v, want %v", p, want)
		}
	}
	if nothing == 0 || nothing > 150 {
		t.Errorf("%d cases of 300 have no answer", nothing)
	}
}

// Reciprocal costs b/scale have a closed form. Source: hand calculation: Lagrange's condition of Σ b/s + λ v s² is
// s³ = b/(2λv), so that s ∝ (b/v)^⅓, scaled to the variance that the yield allows.
func TestLinear_reciprocal(t *testing.T) {
	sds, b := []float64{0.01, 0.02, 0.005}, []float64{1, 5, 2}
	s := &stackup.Study{Model: stacktest.One(3, stacktest.Sum), Wanted: []stackup.Wanted{{Name: "gap", Limits: tolerance.Between(-0.05, 0.05)}}}
	ask := allocate.Ask{Yield: 0.9973}
	for i, sd := range sds {
		name := fmt.Sprint("part ", i)
		s.Inputs = append(s.Inputs, stacktest.Normal(name, 0, sd))
		ask.Costs = append(ask.Costs, allocate.Cost{Input: name, Of: func(scale float64) float64 { return b[i] / scale }, From: 0.05, To: 20})
	}
	p := stacktest.Must(allocate.Linear(s, stacktest.Must(s.Linearise(context.Background())), ask))
	var sum float64
	for i := range sds {
		sum += math.Pow(b[i]/(sds[i]*sds[i]), 2.0/3) * sds[i] * sds[i]
	}
	sd := 0.05 / 2.99997699 // Source: Φ⁻¹(0.99865)
	for i, c := range p.Choices {
		want := math.Pow(b[i]/(sds[i]*sds[i]), 1.0/3) * sd / math.Sqrt(sum)
		if math.Abs(c.Scale/want-1) > 1e-4 {
			t.Errorf("%s: scale %v, want %v", c.Input, c.Scale, want)
		}
	}
	if p.Yield.Value < ask.Yield-1e-9 || p.Bound > p.Cost+1e-9 || p.Bound < p.Cost*(1-1e-6) {
		t.Errorf("%+v", p)
	}
}

// A table beside functions: the best of its options, each with the functions given what it leaves. Source: second
// method: the options one by one.
func TestLinear_tableAndFunctions(t *testing.T) {
	s := &stackup.Study{Model: stacktest.One(3, stacktest.Sum), Wanted: []stackup.Wanted{{Name: "gap", Limits: tolerance.AtMost(0.06)}}}
	var costs []allocate.Cost
	for i, sd := range []float64{0.01, 0.02, 0.015} {
		name := fmt.Sprint("part ", i)
		s.Inputs = append(s.Inputs, stacktest.Normal(name, 0, sd))
		costs = append(costs, allocate.Cost{Input: name, Of: func(scale float64) float64 { return float64(i+1) / scale }, From: 0.1, To: 10})
	}
	table := []allocate.Option{{Scale: 0.3, Cost: 9}, {Scale: 0.7, Cost: 4}, {Scale: 1.2, Cost: 2}, {Scale: 2, Cost: 1.9}}
	costs[0] = allocate.Cost{Input: "part 0", Options: table}
	l := stacktest.Must(s.Linearise(context.Background()))
	p := stacktest.Must(allocate.Linear(s, l, allocate.Ask{Yield: 0.995, Costs: costs}))
	best := math.Inf(1)
	for _, o := range table {
		one := append([]allocate.Cost(nil), costs...)
		one[0].Options = []allocate.Option{o}
		if q, err := allocate.Linear(s, l, allocate.Ask{Yield: 0.995, Costs: one}); err == nil {
			best = math.Min(best, q.Cost)
		}
	}
	if math.Abs(p.Cost-best) > 1e-6*best || p.Bound > p.Cost+1e-9 || p.Yield.Value < 0.995-1e-9 {
		t.Errorf("%+v, want cost %v", p, best)
	}
}

// A model that is not linear, with few options: the cheapest of all by the same samples.
func TestSampled_bruteForce(t *testing.T) {
	set := stackup.Settings{Samples: 4 * stackup.BlockSize, Seed: 3}
	r := rand.New(rand.NewPCG(3, 4))
	for range 4 {
		s, ask := random(r, 3, 3)
		s.Model = stacktest.One(3, func(x []float64) float64 { return math.Hypot(x[0], x[1]) + 5*x[2]*x[2] })
		s.Wanted[0].Limits = tolerance.AtMost(s.Wanted[0].Limits.Greatest.Value)
		want := brute(ask, func(scales []float64) bool {
			other := *s
			other.Inputs = nil
			for i, k := range scales {
				other.Inputs = append(other.Inputs, stackup.Input{Name: s.Inputs[i].Name, Law: stacktest.Must(stackup.Scaled(s.Inputs[i].Law, k))})
			}
			return stacktest.Must(other.Run(context.Background(), set)).Summary(0).Yield >= ask.Yield
		})
		p, err := allocate.Sampled(context.Background(), s, ask, set)
		if math.IsInf(want, 1) {
			if !errors.Is(err, stackup.ErrStudy) {
				t.Errorf("%v, %v", p, err)
			}
			continue
		}
		if err != nil || math.Abs(p.Cost-want) > 1e-9 || p.Bound != p.Cost || p.Yield.Value < ask.Yield {
			t.Errorf("%+v, %v, want %v", p, err, want)
		}
	}
}

// With more options than are all tried, samples of a linear model come to the cost of the linear answer, or near it.
func TestSampled_search(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for found := 0; found < 3; {
		s, ask := random(r, 6, 5)
		combinations := 1
		for i := range ask.Costs {
			combinations *= len(ask.Costs[i].Options)
		}
		linear, err := allocate.Linear(s, stacktest.Must(s.Linearise(context.Background())), ask)
		if err != nil || combinations <= 512 {
			continue
		}
		found++
		p := stacktest.Must(allocate.Sampled(context.Background(), s, ask, stackup.Settings{Samples: 8 * stackup.BlockSize, Seed: 1}))
		if p.Yield.Value < ask.Yield || p.Cost > 1.15*linear.Cost+0.2 || !math.IsNaN(p.Bound) || p.Evaluations < 8*stackup.BlockSize {
			t.Errorf("%+v, linear %+v", p, linear)
		}
	}
}

func TestAsk_errors(t *testing.T) {
	s := stacktest.Limited()
	l := stacktest.Must(s.Linearise(context.Background()))
	table := []allocate.Option{{Scale: 1, Cost: 1}}
	for name, ask := range map[string]allocate.Ask{
		"no such number":  {Wanted: 1, Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: table}}},
		"yield of 1":      {Yield: 1, Costs: []allocate.Cost{{Input: "a", Options: table}}},
		"no costs":        {Yield: 0.9},
		"no such input":   {Yield: 0.9, Costs: []allocate.Cost{{Input: "z", Options: table}}},
		"twice":           {Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: table}, {Input: "a", Options: table}}},
		"nothing":         {Yield: 0.9, Costs: []allocate.Cost{{Input: "a"}}},
		"no range":        {Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Of: func(s float64) float64 { return 1 / s }}}},
		"negative scale":  {Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: []allocate.Option{{Scale: -1}}}}},
		"cost of nothing": {Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: []allocate.Option{{Scale: 1, Cost: math.NaN()}}}}},
	} {
		if _, err := allocate.Linear(s, l, ask); !errors.Is(err, stackup.ErrStudy) {
			t.Errorf("%s: %v", name, err)
		}
		if _, err := allocate.Sampled(context.Background(), s, ask, stackup.Settings{Samples: 2048}); !errors.Is(err, stackup.ErrStudy) {
			t.Errorf("%s by samples: %v", name, err)
		}
	}
	dead, stop := context.WithCancel(context.Background())
	stop()
	if _, err := allocate.Sampled(dead, s, allocate.Ask{Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: table}}}, stackup.Settings{Samples: 2048}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

// Two parts of an invented chain: a lathe and a grinder for each, prices invented.
func ExampleLinear() {
	s := &stackup.Study{
		Model:  stackup.Func{In: 2, Out: 1, Of: func(y, x []float64) error { y[0] = 0.1 + x[0] - x[1]; return nil }},
		Inputs: []stackup.Input{stacktest.Normal("bore", 0, 0.02), stacktest.Normal("spigot", 0, 0.03)},
		Wanted: []stackup.Wanted{{Name: "gap", Limits: tolerance.AtLeast(0)}},
	}
	l, err := s.Linearise(context.Background())
	if err != nil {
		fmt.Println(err)
		return
	}
	processes := []allocate.Option{{Name: "turned", Scale: 1, Cost: 4}, {Name: "ground", Scale: 0.5, Cost: 11}}
	p, err := allocate.Linear(s, l, allocate.Ask{Yield: 0.9999, Costs: []allocate.Cost{{Input: "bore", Options: processes}, {Input: "spigot", Options: processes}}})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range p.Choices {
		fmt.Printf("%s %s\n", c.Input, c.Name)
	}
	fmt.Printf("cost %g, yield %.5f\n", p.Cost, p.Yield.Value)
	// Output:
	// bore turned
	// spigot ground
	// cost 15, yield 0.99997
}

func ExampleSampled() {
	// two eccentric parts, whose offsets add up as vectors: the size may not exceed 0.06
	s := &stackup.Study{
		Model:  stackup.Func{In: 4, Out: 1, Of: func(y, x []float64) error { y[0] = math.Hypot(x[0]+x[2], x[1]+x[3]); return nil }},
		Inputs: []stackup.Input{{Name: "plate", Plane: stacktest.Round(0.015)}, {Name: "bush", Plane: stacktest.Round(0.020)}},
		Wanted: []stackup.Wanted{{Name: "offset", Limits: tolerance.AtMost(0.06)}},
	}
	processes := []allocate.Option{{Name: "bored", Scale: 1, Cost: 3}, {Name: "honed", Scale: 0.6, Cost: 8}}
	p, err := allocate.Sampled(context.Background(), s, allocate.Ask{Yield: 0.97, Costs: []allocate.Cost{{Input: "plate", Options: processes}, {Input: "bush", Options: processes}}}, stackup.Settings{Samples: 20_000, Seed: 1})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, c := range p.Choices {
		fmt.Printf("%s %s\n", c.Input, c.Name)
	}
	fmt.Printf("cost %g, yield %.3f ± %.3f\n", p.Cost, p.Yield.Value, p.Yield.Error)
	// Output:
	// plate bored
	// bush honed
	// cost 11, yield 0.993 ± 0.001
}
