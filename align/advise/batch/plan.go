package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/combin"
	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
)

// SamplingPlan takes a lot when a sample of it has no more bad parts than Accept.
type SamplingPlan struct {
	Lot    int // parts in the lot; 0: many
	Sample int
	Accept int
}

// Up to so many parts chances keep five digits.
const (
	mostLooked = 10_000_000
	mostLot    = 1_000_000_000
)

func (p SamplingPlan) check() error {
	var wrong rules.List
	wrong.Need(p.Sample >= 1 && p.Sample <= mostLooked, "sample", p.Sample, fmt.Sprintf("from 1 to %d", mostLooked), fault.ErrOutOfRange)
	wrong.Need(p.Lot == 0 || p.Lot >= max(p.Sample, 0) && p.Lot <= mostLot, "lot", p.Lot, fmt.Sprintf("from the sample to %d, or 0 for many", mostLot), fault.ErrOutOfRange)
	wrong.Need(p.Accept >= 0 && p.Accept < p.Sample, "accept", p.Accept, "0 or more, less than the sample", fault.ErrOutOfRange)
	return wrong.First()
}

// Taken is the chance that a lot with a share of bad parts is taken: the plan's operating curve. In a lot
// of a stated size the number of bad parts is the share rounded to whole parts.
//
// Source: the binomial law for many parts, the hypergeometric for a lot (ISO 2859-1:1999, 4.1 and 12.1
// (from memory)).
func (p SamplingPlan) Taken(bad float64) (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	if !(bad >= 0 && bad <= 1) {
		return 0, fault.At("bad", fmt.Sprint(bad), "a share from 0 to 1", fault.ErrOutOfRange)
	}
	if p.Lot == 0 {
		return distuv.Binomial{N: float64(p.Sample), P: bad}.CDF(float64(p.Accept)), nil
	}
	n, worse := p.Lot, int(math.Round(bad*float64(p.Lot)))
	all, sum := combin.LogGeneralizedBinomial(float64(n), float64(p.Sample)), 0.0
	for k := max(0, p.Sample-(n-worse)); k <= min(p.Accept, worse); k++ {
		sum += math.Exp(combin.LogGeneralizedBinomial(float64(worse), float64(k)) +
			combin.LogGeneralizedBinomial(float64(n-worse), float64(p.Sample-k)) - all)
	}
	return min(1, sum), nil
}

// ShareAt is the share of bad parts of a large lot at which the plan takes it with that chance: at 0.95
// what the maker can count on, at 0.10 what the user must live with.
//
// Source: the tail of a binomial law is a beta law (C. J. Clopper and E. S. Pearson, Biometrika 26 (1934)).
func (p SamplingPlan) ShareAt(chance float64) (float64, error) {
	if err := p.check(); err != nil {
		return 0, err
	}
	if !(chance > 0 && chance < 1) {
		return 0, fault.At("chance", fmt.Sprint(chance), "between 0 and 1", fault.ErrOutOfRange)
	}
	return distuv.Beta{Alpha: float64(p.Accept + 1), Beta: float64(p.Sample - p.Accept)}.Quantile(1 - chance), nil
}
