package chance

import (
	"math"

	"example.com/borestack/examples/lesson/internal/box"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Lot is two shims of one lot: how alike their deviations are, and what becomes of their sum (the height of both
// together) and of their difference (the lean, where one stands left and one right).
type Lot struct {
	Alike     float64 // correlation of the two deviations, -1 to 1
	Samples   int
	Worst     float64      // of sum and difference alike, to either side
	RSS       float64      // of sum and difference alike, as if the two were independent
	Sum, Less Spread       // of the sum, and of the difference
	Pairs     [][2]float64 // some of the shims
}

// Spread is three standard deviations as they were sampled, their standard error, and what they come to exactly.
type Spread struct{ Sampled, Error, Exact float64 }

// pairsShown are how many pairs the picture shows.
const pairsShown = 300

// OneLot samples pairs of shims, each within ±[Tolerance] as three standard deviations, whose deviations correlate.
func OneLot(alike float64, samples int, seed uint64) (*Lot, error) {
	if err := within("alike", alike, -1, 1); err != nil {
		return nil, err
	}
	plane, err := law.NewBivariate(0, 0, sd*sd, sd*sd, alike*sd*sd)
	if err != nil {
		return nil, err
	}
	s := stackup.Study{
		Model: stackup.Func{In: 2, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = x[0]+x[1], x[0]-x[1]
			return nil
		}},
		Inputs:    []stackup.Input{{Name: "shims", Joint: plane}},
		Responses: []stackup.Response{{Name: "sum"}, {Name: "difference", Output: 1}},
	}
	y, err := run(&s, samples, seed)
	if err != nil {
		return nil, err
	}
	spread := func(i int, sign float64) Spread {
		// the variance of a ± b is that of a and of b, and twice their covariance
		return Spread{3 * y[i].SD, 3 * y[i].SDError, 3 * sd * math.Sqrt(2*(1+sign*alike))}
	}
	out := &Lot{
		Alike: alike, Samples: samples, Worst: 2 * Tolerance, RSS: stackup.RootSumOfSquares([]float64{Tolerance, Tolerance}),
		Sum: spread(0, 1), Less: spread(1, -1),
	}
	x, up := make([]float64, pairsShown), make([]float64, pairsShown)
	stream := law.NewStream(seed, "shims", 0)
	plane.Draw([][]float64{x, up}, nil, &stream)
	for i := range x {
		out.Pairs = append(out.Pairs, [2]float64{x[i], up[i]})
	}
	return out, nil
}

// Sentence says what the lot does to sum and difference.
func (l *Lot) Sentence(unit tolerance.Unit) string {
	say := func(v float64) string { return "±" + box.Say(tolerance.Length(v), unit) }
	got := func(s Spread) string {
		return say(s.Sampled) + " (give or take " + number(s.Error, digits(unit)+1, unit) + " " + unit.String() + ")"
	}
	return "Worst case " + say(l.Worst) + " and root sum of squares " + say(l.RSS) + " say the same of any lot, and of sum and difference alike. Monte Carlo: the sum spreads by " + got(l.Sum) + ", the difference by " + got(l.Less) + "."
}
