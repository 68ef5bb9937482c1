package chance

import (
	"math"
	"strconv"

	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// What is counted: offsets of the tail, as the chain of offsets has them about nothing, that are at most Limit.
const (
	Limit       = 0.037 // mm
	LeastCount  = 100
	MostCount   = 25_600
	Repetitions = 20
)

// Count is the share of good boxes as samples show it, many times over with as many samples.
type Count struct {
	Samples int
	Exact   float64 // the share, by the closed form of Rayleigh's distribution
	Runs    []Yield
	Caught  int // runs whose interval holds the exact share
}

// Yield is what one run says: the share, its standard error, and its 95 % interval.
type Yield struct {
	Share, Error float64
	Interval     [2]float64
}

// Sample counts the good boxes of so many samples, [Repetitions] times: with the seeds from that one on.
func Sample(samples int, seed uint64) (*Count, error) {
	if err := within("samples", float64(samples), LeastCount, MostCount); err != nil {
		return nil, err
	}
	const variance = offsets * sd * sd
	plane, err := law.NewBivariate(0, 0, variance, variance, 0)
	if err != nil {
		return nil, err
	}
	s := stackup.Study{
		Model: stackup.Func{In: 2, Out: 1, Of: func(y, x []float64) error {
			y[0] = math.Hypot(x[0], x[1])
			return nil
		}},
		Inputs:    []stackup.Input{{Name: "tail", Joint: plane}},
		Responses: []stackup.Response{{Name: "offset", Limits: tolerance.Limits{Greatest: tolerance.Given(Limit)}}},
	}
	out := &Count{Samples: samples, Exact: -math.Expm1(-Limit * Limit / (2 * variance))}
	for i := range Repetitions {
		y, err := run(&s, samples, seed+uint64(i))
		if err != nil {
			return nil, err
		}
		r := Yield{y[0].Yield, y[0].YieldError, y[0].YieldInterval}
		if r.Interval[0] <= out.Exact && out.Exact <= r.Interval[1] {
			out.Caught++
		}
		out.Runs = append(out.Runs, r)
	}
	return out, nil
}

// StandardError is that of the share with so many samples: √(p (1 − p) / N).
func (c *Count) StandardError(samples float64) float64 {
	return math.Sqrt(c.Exact * (1 - c.Exact) / samples)
}

// Sentence says what that many samples are worth.
func (c *Count) Sentence(unit tolerance.Unit) string {
	r := c.Runs[0]
	return whole(c.Samples) + " samples: " + percent(r.Share, 1) + " ± " + percent(r.Error, 2) + " of the offsets are at most " + box.Say(Limit, unit) +
		" (standard error); the closed form says " + percent(c.Exact, 2) + ". Half the error takes " + whole(4*c.Samples) + " samples. Of " + strconv.Itoa(len(c.Runs)) + " runs with other seeds, " +
		strconv.Itoa(c.Caught) + " have the true share within their 95 % interval."
}
