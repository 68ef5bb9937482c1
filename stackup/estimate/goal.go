package estimate

import (
	"fmt"
	"math"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

// Statistic is what is asked of a response.
type Statistic int

// The statistics that can be estimated.
const (
	OfMean Statistic = iota + 1
	OfSD
	OfYield    // the share within limits
	OfQuantile // the value below which the share P lies
)

// Goal is a statistic of a response, and how well it must be known.
type Goal struct {
	Response int
	Of       Statistic
	P        float64 // of a quantile
	Error    float64 // the standard error that is good enough
}

// Method is a way to sample.
type Method int

// The ways to sample that [Run] chooses from.
const (
	ByRandom          Method = iota + 1 // [stackup.Study.Run]
	ByQuasiMonteCarlo                   // [quasi.Run], Sobol
	ByLines                             // [rare.Failures]
)

// String says which way in words.
func (m Method) String() string {
	switch m {
	case ByRandom:
		return "random samples"
	case ByQuasiMonteCarlo:
		return "quasi-Monte Carlo, by a scrambled Sobol sequence"
	case ByLines:
		return "lines through the design points"
	}
	return fmt.Sprintf("method %d", int(m))
}

// check finds what is wrong with a goal for a study.
func (g *Goal) check(s *stackup.Study) error {
	w, err := s.Response(g.Response)
	switch {
	case err != nil:
		return err
	case g.Of < OfMean || g.Of > OfQuantile:
		return fault.At(w.Name, fmt.Sprintf("statistic %d", g.Of), "mean, standard deviation, yield or quantile", fault.ErrOutOfRange)
	case g.Of == OfYield && !w.Limited() && w.Unless == 0:
		return fault.At(w.Name, "no limits", "limits, for a yield", fault.ErrMissing)
	case g.Of == OfQuantile && !(g.P > 0 && g.P < 1):
		return fault.At(w.Name, fmt.Sprintf("quantile %g", g.P), "0 < p < 1", fault.ErrOutOfRange)
	case !(g.Error > 0) || math.IsInf(g.Error, 1):
		return fault.At(w.Name, fmt.Sprintf("error %g", g.Error), "more than 0", fault.ErrOutOfRange)
	}
	return nil
}
