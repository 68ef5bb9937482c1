package advise

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/integrate/quad"
	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Process is how a batch is distributed: normal, mean and standard deviation, in the unit of the limits.
type Process struct{ Mean, SD float64 }

// Risks are those of accepting or rejecting many pieces of a process by one measurement each. Each is a share of all pieces.
type Risks struct {
	Conform  float64 // share of pieces that conform
	Accepted float64 // share that is accepted
	Consumer float64 // accepted, and does not conform
	Producer float64 // rejected, and conforms
}

// GlobalRisks works out the risks of a process that is measured with the normal standard uncertainty u and accepted between accept, when it conforms between tolerance limits conform.
//
// Source: JCGM 106:2012, 9.5.2 (eq. 19 and 20: global consumer's and producer's risk), normal process and measurement; by Gauss-Legendre quadrature over the process, in pieces no wider than the measurement or the process.
func GlobalRisks(conform, accept tolerance.Limits, p Process, u float64) (Risks, error) {
	for name, v := range map[string]float64{"mean": p.Mean, "sd": p.SD, "u": u} {
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return Risks{}, fault.At(name, fmt.Sprint(v), "a finite number", fault.ErrNotFinite)
		}
	}
	if p.SD <= 0 || u <= 0 {
		return Risks{}, fault.At("sd, u", fmt.Sprintf("%v, %v", p.SD, u), "both more than 0", fault.ErrOutOfRange)
	}
	for _, l := range []tolerance.Limits{conform, accept} {
		if err := l.Validate(); err != nil {
			return Risks{}, err
		}
	}
	process := distuv.Normal{Mu: p.Mean, Sigma: p.SD}
	out := Risks{Conform: within(conform, p.Mean, p.SD)}
	out.Accepted = within(accept, p.Mean, math.Hypot(p.SD, u))
	points := breaks(p, u, conform, accept)
	for i := 1; i < len(points); i++ {
		a, b := points[i-1], points[i]
		inside := true
		if room, ok := conform.Room((a + b) / 2); ok {
			inside = room >= 0
		}
		share := quad.Fixed(func(x float64) float64 {
			accepted := within(accept, x, u)
			if inside {
				accepted = 1 - accepted
			}
			return process.Prob(x) * accepted
		}, a, b, 20, quad.Legendre{}, 0)
		if inside {
			out.Producer += share
		} else {
			out.Consumer += share
		}
	}
	return out, nil
}

// breaks are the ends of the pieces: tolerance limits, and steps of u about the acceptance limits and of the process about its mean, out to ten standard deviations.
func breaks(p Process, u float64, conform, accept tolerance.Limits) []float64 {
	const far = 10
	var out []float64
	lo, hi := p.Mean-far*p.SD, p.Mean+far*p.SD
	add := func(x float64) {
		if x >= lo && x <= hi {
			out = append(out, x)
		}
	}
	for k := -far; k <= far; k++ {
		add(p.Mean + float64(k)*p.SD)
		for _, l := range []tolerance.Optional[float64]{accept.Least, accept.Greatest} {
			if l.Given {
				add(l.Value + float64(k)*u)
			}
		}
	}
	for _, l := range []tolerance.Optional[float64]{conform.Least, conform.Greatest} {
		if l.Given {
			add(l.Value)
		}
	}
	slices.Sort(out)
	return slices.Compact(out)
}

// within is the probability that a normal number is between limits.
func within(l tolerance.Limits, mean, sd float64) float64 {
	n := distuv.Normal{Mu: mean, Sigma: sd}
	p := 1.0
	if l.Greatest.Given {
		p = n.CDF(l.Greatest.Value)
	}
	if l.Least.Given {
		p -= n.CDF(l.Least.Value)
	}
	return math.Max(0, p)
}

// Conforms is the probability that a piece measured as y with standard uncertainty u is within limits, nothing else being known of it.
//
// Source: JCGM 106:2012, 7.3 and 7.4 (one- and two-sided, normal).
func Conforms(l tolerance.Limits, y, u float64) float64 {
	if u > 0 {
		return within(l, y, u)
	}
	if room, limited := l.Room(y); limited && room < 0 {
		return 0
	}
	return 1
}

// AfterProcess is what is known of a piece measured as y when the process it comes from is known as well: normal, with the weights of the two.
//
// Source: JCGM 106:2012, 6.5 and annex A (normal prior, normal measurement).
func AfterProcess(p Process, y, u float64) (mean, sd float64) {
	if u <= 0 {
		return y, 0
	}
	wp, wy := 1/(p.SD*p.SD), 1/(u*u)
	return (wp*p.Mean + wy*y) / (wp + wy), math.Sqrt(1 / (wp + wy))
}

// Guarded brings limits in by the guard band g at each side, for acceptance; a negative g takes them out. It returns [ErrNotPossible] when nothing is left between.
//
// Source: JCGM 106:2012, 8.3.2; ISO 14253-1:2017 with g = 1.65 u (95 %), ISO 14253-1:2013 with g = 2 u.
func Guarded(l tolerance.Limits, g float64) (tolerance.Limits, error) {
	if l.Least.Given {
		l.Least.Value += g
	}
	if l.Greatest.Given {
		l.Greatest.Value -= g
	}
	if l.Least.Given && l.Greatest.Given && l.Least.Value > l.Greatest.Value {
		return l, fmt.Errorf("a guard band of %v leaves nothing to accept: %w", g, ErrNotPossible)
	}
	return l, nil
}
