package allocate_test

import (
	"context"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/allocate"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
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
	s.Responses = []stackup.Response{{Name: "gap", Limits: tolerance.Between(-limit, limit*(1+r.Float64()))}}
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

// A model that is not linear, with few options: the cheapest of all by the same samples.
func TestSampled_bruteForce(t *testing.T) {
	set := stackup.Settings{Samples: 4 * stackup.BlockSize, Seed: 3}
	r := rand.New(rand.NewPCG(3, 4))
	for range 4 {
		s, ask := random(r, 3, 3)
		s.Model = stacktest.One(3, func(x []float64) float64 { return math.Hypot(x[0], x[1]) + 5*x[2]*x[2] })
		s.Responses[0].Limits = tolerance.AtMost(s.Responses[0].Limits.Greatest.Value)
		want := brute(ask, func(scales []float64) bool {
			other := *s
			other.Inputs = nil
			for i, k := range scales {
				other.Inputs = append(other.Inputs, stacktest.Must(s.Inputs[i].Scaled(k)))
			}
			return stacktest.Must(other.Run(context.Background(), set)).Summary(0).Yield >= ask.Yield
		})
		p, err := allocate.Sampled(context.Background(), s, ask, set)
		if math.IsInf(want, 1) {
			if !stacktest.Refused(err) {
				t.Errorf("%v, %v", p, err)
			}
			continue
		}
		if err != nil || math.Abs(p.Cost-want) > 1e-9 || p.Bound != p.Cost || p.Yield.Value < ask.Yield {
			t.Errorf("%+v, %v, want %v", p, err, want)
		}
	}
}

// With more options than are all tried, samples of a linear model come to the least cost of all, or near it.
func TestSampled_search(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for found := 0; found < 3; {
		s, ask := random(r, 6, 5)
		combinations := 1
		for i := range ask.Costs {
			combinations *= len(ask.Costs[i].Options)
		}
		if combinations <= 512 {
			continue
		}
		least, greatest := s.Responses[0].Limits.Least.Value, s.Responses[0].Limits.Greatest.Value
		want := brute(ask, func(scales []float64) bool {
			// Source: hand calculation: the sum of normal deviations about 0
			var v float64
			for i, k := range scales {
				sd := s.Inputs[i].Law.Moments().SD()
				v += k * k * sd * sd
			}
			return 1-stacktest.Upper(greatest/math.Sqrt(v))-stacktest.Upper(-least/math.Sqrt(v)) >= ask.Yield
		})
		if math.IsInf(want, 1) {
			continue
		}
		found++
		p := stacktest.Must(allocate.Sampled(context.Background(), s, ask, stackup.Settings{Samples: 8 * stackup.BlockSize, Seed: 1}))
		if p.Yield.Value < ask.Yield || p.Cost > 1.15*want+0.2 || !math.IsNaN(p.Bound) || p.Evaluations < 8*stackup.BlockSize {
			t.Errorf("%+v, of all combinations %v", p, want)
		}
	}
}

func TestAsk_errors(t *testing.T) {
	s := stacktest.Limited()
	table := []allocate.Option{{Scale: 1, Cost: 1}}
	for name, ask := range map[string]allocate.Ask{
		"no such number":  {Response: 1, Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: table}}},
		"yield of 1":      {Yield: 1, Costs: []allocate.Cost{{Input: "a", Options: table}}},
		"no costs":        {Yield: 0.9},
		"no such input":   {Yield: 0.9, Costs: []allocate.Cost{{Input: "z", Options: table}}},
		"twice":           {Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: table}, {Input: "a", Options: table}}},
		"nothing":         {Yield: 0.9, Costs: []allocate.Cost{{Input: "a"}}},
		"negative scale":  {Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: []allocate.Option{{Scale: -1}}}}},
		"cost of nothing": {Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: []allocate.Option{{Scale: 1, Cost: math.NaN()}}}}},
	} {
		if _, err := allocate.Sampled(context.Background(), s, ask, stackup.Settings{Samples: 2048}); !stacktest.Refused(err) {
			t.Errorf("%s by samples: %v", name, err)
		}
	}
	dead, stop := context.WithCancel(context.Background())
	stop()
	if _, err := allocate.Sampled(dead, s, allocate.Ask{Yield: 0.9, Costs: []allocate.Cost{{Input: "a", Options: table}}}, stackup.Settings{Samples: 2048}); !errors.Is(err, context.Canceled) {
		t.Error(err)
	}
}

func ExampleSampled() {
	// two eccentric parts, whose offsets add up as vectors: the size may not exceed 0.06
	s := &stackup.Study{
		Model:     stackup.Func{In: 4, Out: 1, Of: func(y, x []float64) error { y[0] = math.Hypot(x[0]+x[2], x[1]+x[3]); return nil }},
		Inputs:    []stackup.Input{{Name: "plate", Joint: stacktest.Must(law.NewBivariate(0, 0, 0.015*0.015, 0.015*0.015, 0))}, {Name: "bush", Joint: stacktest.Must(law.NewBivariate(0, 0, 0.020*0.020, 0.020*0.020, 0))}},
		Responses: []stackup.Response{{Name: "offset", Limits: tolerance.AtMost(0.06)}},
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
