package diagnose

import (
	"context"
	"math"
	"math/rand/v2"
)

// Measurement is one that has not been made.
type Measurement struct {
	Name string
	// Doubt is how undecided the explanations are now, and After how undecided they are expected to be once
	// it is made: entropies, in bits; 1 is two explanations alike.
	Doubt, After float64
}

// trials is how many outcomes each measurement is tried with; the order of the best few is all that matters.
const trials = 120

// sameDoubt, in bits, is rounding of an entropy: of measurements alike the first is named.
const sameDoubt = 1e-9

// next finds the measurement of a single deviation, with the box apart, that would tell most.
func (m *model) next(ctx context.Context, p []float64, g []given) (Measurement, error) {
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

// expected is the entropy that is left on average once one component of deviation k, the one that is known
// least, has been measured.
func (m *model) expected(p []float64, g []given, k int, u float64) (left float64) {
	c := m.column[k]
	if m.dev[k].parts == 2 && g[k+1].cov.At(c+1, c+1) > g[k+1].cov.At(c, c) {
		c++
	}
	r := rand.New(rand.NewPCG(drawsSeed, uint64(k+1)))
	q := make([]float64, len(p))
	for range trials {
		// An explanation by its probability, the outcome by what it leaves open.
		at, pick := r.Float64(), 0
		for pick < len(p)-1 && at > p[pick] {
			at -= p[pick]
			pick++
		}
		outcome := g[pick].mean[c] + math.Sqrt(max(0, g[pick].cov.At(c, c))+u*u)*r.NormFloat64()
		sum := 0.0
		for i := range p {
			v := max(0, g[i].cov.At(c, c)) + u*u
			e := outcome - g[i].mean[c]
			q[i] = p[i] * math.Exp(-e*e/(2*v)) / math.Sqrt(v)
			sum += q[i]
		}
		for i := range q {
			q[i] /= sum
		}
		left += entropy(q) / trials
	}
	return left
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
