package diagnose

import (
	"context"
	"math"
	"math/rand/v2"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/mat"
)

// Measurement is one that has not been made.
type Measurement struct {
	Name string
	// Doubt is how undecided the explanations are now, and After how undecided they are expected to be once
	// it is made: entropies, in bits; 1 is two explanations alike.
	Doubt, After float64
}

// trials is how many outcomes each measurement is tried with, the same draws for all: what is left is known to some
// hundredths of a bit.
const (
	trials     = 1000
	trialsSeed = 1
)

// sameDoubt, in bits, is rounding of an entropy: of measurements alike the first is named.
const sameDoubt = 1e-9

// next finds the measurement of a single deviation, with the box apart, that would tell most.
func (m *model) next(ctx context.Context, p []float64, g []*given) (Measurement, error) {
	best := Measurement{Doubt: entropy(p), After: math.Inf(1)}
	for k := range m.dev {
		if err := stopped(ctx); err != nil {
			return best, err
		}
		d := &m.dev[k]
		u := float64(usualU)
		if d.slope {
			u /= 100 // a dial's uncertainty over a hundred millimetres
		}
		if after := m.expected(p, g, k, u); after < best.After-sameDoubt {
			best.Name, best.After = d.measure, after
		}
	}
	return best, nil
}

// expected is the entropy that is left on average once deviation k has been measured, each component with
// the uncertainty u.
func (m *model) expected(p []float64, g []*given, k int, u float64) (left float64) {
	c, n := m.column[k], m.dev[k].parts
	root := make([][][]float64, len(p)) // of what each explanation foretells of the measurement
	for i := range p {
		cov := mat.NewSymDense(n, nil)
		cov.CopySym(g[i].cov.SliceSym(c, c+n))
		for b := range n {
			cov.SetSym(b, b, max(0, cov.At(b, b))+u*u)
		}
		root[i] = rootOf(cov)
	}
	r := rand.New(rand.NewPCG(trialsSeed, 0))
	q := make([]float64, len(p))
	for t := range trials {
		// An explanation by its probability, the outcome by what it leaves open.
		at, pick := (float64(t)+0.5)/trials, 0
		for pick < len(p)-1 && at > p[pick] {
			at -= p[pick]
			pick++
		}
		e := [2]float64{r.NormFloat64(), r.NormFloat64()}
		var outcome [2]float64
		for b := range n {
			outcome[b] = g[pick].mean[c+b] + floats.Dot(root[pick][b][:b+1], e[:b+1])
		}
		for i := range p {
			q[i] = p[i] * density(root[i], outcome[:n], g[i].mean[c:c+n])
		}
		floats.Scale(1/floats.Sum(q), q)
		left += entropy(q) / trials
	}
	return left
}

// density of a normal distribution with a lower root of its covariance at x, but for a factor that all share.
func density(root [][]float64, x, mean []float64) float64 {
	var e [2]float64
	square, scale := 0.0, 1.0
	for b := range x {
		e[b] = (x[b] - mean[b] - floats.Dot(root[b][:b], e[:b])) / root[b][b]
		square += e[b] * e[b]
		scale *= root[b][b]
	}
	return math.Exp(-square/2) / scale
}

// entropy of probabilities, in bits.
func entropy(p []float64) (h float64) {
	for _, x := range p {
		if x > 0 {
			h -= x * math.Log2(x)
		}
	}
	return h
}
