package advise

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/tolerance"
)

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

// conforms is the probability that a piece measured as y with standard uncertainty u is within limits, nothing else being known of it.
//
// Source: JCGM 106:2012, 7.3 and 7.4 (one- and two-sided, normal).
func conforms(l tolerance.Limits, y, u float64) float64 {
	if u > 0 {
		return within(l, y, u)
	}
	if room, limited := l.Room(y); limited && room < 0 {
		return 0
	}
	return 1
}
