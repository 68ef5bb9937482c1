package batch

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/floats"
	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/internal/rules"
)

// GaugeStudy is readings by person, part and repeat, in one unit: Readings[person][part][repeat], all of
// one length.
type GaugeStudy struct {
	Readings [][][]float64
	// Tolerance is the width of what is allowed, in the unit of the readings; 0: not given.
	Tolerance float64
}

// Spread is the variance split of a gauge study, in the square of the readings' unit.
type Spread struct {
	Repeat  float64 // the same person on the same part
	Person  float64 // from person to person
	Between float64 // person by part: persons who differ on some parts
	Part    float64 // from part to part

	// Sums and Freedoms are those of the analysis of variance: person, part, person by part, repeat.
	Sums     [4]float64
	Freedoms [4]float64
	// Pooled says that the person-by-part term was no more than chance makes it, and went into Repeat.
	Pooled bool
	// Chance is the probability that scatter alone makes as large a person-by-part term.
	Chance float64
}

// Gauge is the variance that the gauge and those who use it bring.
func (s Spread) Gauge() float64 { return s.Repeat + s.Person + s.Between }

// ShareOfSpread is the gauge's standard deviation as a share of that of all readings.
func (s Spread) ShareOfSpread() float64 { return math.Sqrt(s.Gauge() / (s.Gauge() + s.Part)) }

// ShareOf is six standard deviations of the gauge as a share of a tolerance's width.
func (s Spread) ShareOf(tolerance float64) float64 { return 6 * math.Sqrt(s.Gauge()) / tolerance }

// Levels is how many groups of parts the gauge can tell apart.
//
// Source: common practice: √2 times part against gauge standard deviation, rounded down, at least one; no
// more than mostLevels are told, however little the gauge scatters.
func (s Spread) Levels() int {
	levels := math.Sqrt2 * math.Sqrt(s.Part/s.Gauge())
	return int(max(1, min(levels, mostLevels))) // a gauge that does not scatter makes it infinite
}

// mostLevels is as many groups as anyone sorts parts into.
const mostLevels = 100

// Verdict is what common practice says of such a share.
//
// Source: common practice: below 10 % good, to 30 % conditional, above not acceptable.
func Verdict(share float64) string {
	switch {
	case share < 0.1:
		return "good"
	case share <= 0.3:
		return "conditional"
	}
	return "not acceptable"
}

// poolAbove is the chance of the person-by-part term above which it is taken for scatter.
//
// Source: common practice, no published source.
const poolAbove = 0.25

// squarable is the least number, and one over it the greatest, whose squares are numbers, with something to spare for their
// sums.
const squarable = 1e-100

// dimensions are the numbers of persons, parts and repeats, or what is wrong with them.
func (g GaugeStudy) dimensions() (people, parts, repeats int, err error) {
	var wrong rules.List
	if people = len(g.Readings); people > 0 {
		if parts = len(g.Readings[0]); parts > 0 {
			repeats = len(g.Readings[0][0])
		}
	}
	wrong.Need(people >= 2, "readings", people, "at least two persons", fault.ErrTooFew)
	wrong.Need(parts >= 2, "readings/0", parts, "at least two parts", fault.ErrTooFew)
	wrong.Need(repeats >= 2, "readings/0/0", repeats, "at least two repeats", fault.ErrTooFew)
	if err := wrong.First(); err != nil {
		return 0, 0, 0, err
	}
	low, high := math.Inf(1), math.Inf(-1)
	for i, p := range g.Readings {
		person := fmt.Sprintf("readings/%d", i)
		if wrong.Need(len(p) == parts, person, len(p), fmt.Sprintf("%d parts, as the first person", parts), fault.ErrMissing); len(p) != parts {
			continue
		}
		for k, q := range p {
			part := fmt.Sprintf("%s/%d", person, k)
			wrong.Need(len(q) == repeats, part, len(q), fmt.Sprintf("%d repeats, as the first part", repeats), fault.ErrMissing)
			for n, v := range q {
				wrong.Need(ieee.Finite(v), fmt.Sprintf("%s/%d", part, n), v, "a finite number", fault.ErrNotFinite)
				wrong.Need(!ieee.Finite(v) || math.Abs(v) <= 1/squarable, fmt.Sprintf("%s/%d", part, n), v, fmt.Sprintf("a number of at most %g", 1/squarable), fault.ErrOutOfRange)
				low, high = min(low, v), max(high, v)
			}
		}
	}
	wrong.Need(len(wrong) > 0 || high-low >= squarable, "readings", low, "readings that differ: a gauge too coarse for these parts shows nothing", fault.ErrTooFew)
	wrong.Need(g.Tolerance >= 0, "tolerance", g.Tolerance, "more than 0", fault.ErrOutOfRange)
	return people, parts, repeats, wrong.Err()
}

// ByVariance splits the variance by a two-way analysis with persons and parts at random. Negative
// estimates count as zero.
//
// Source: D. C. Montgomery and G. C. Runger, Quality Engineering 6 (1993), the crossed random model (from
// memory).
func (g GaugeStudy) ByVariance() (Spread, error) {
	people, parts, repeats, err := g.dimensions()
	if err != nil {
		return Spread{}, err
	}
	o, p, r := float64(people), float64(parts), float64(repeats)
	grand, byPerson, byPart, cell := 0.0, make([]float64, people), make([]float64, parts), make([][]float64, people)
	for i, a := range g.Readings {
		cell[i] = make([]float64, parts)
		for k, b := range a {
			for _, v := range b {
				cell[i][k] += v / r
			}
			byPerson[i] += cell[i][k] / p
			byPart[k] += cell[i][k] / o
			grand += cell[i][k] / (o * p)
		}
	}
	var s Spread
	s.Freedoms = [4]float64{o - 1, p - 1, (o - 1) * (p - 1), o * p * (r - 1)}
	for i, a := range g.Readings {
		s.Sums[0] += p * r * square(byPerson[i]-grand)
		for k, b := range a {
			s.Sums[2] += r * square(cell[i][k]-byPerson[i]-byPart[k]+grand)
			for _, v := range b {
				s.Sums[3] += square(v - cell[i][k])
			}
		}
	}
	for k := range byPart {
		s.Sums[1] += o * r * square(byPart[k]-grand)
	}
	var m [4]float64
	for i := range m {
		m[i] = s.Sums[i] / s.Freedoms[i]
	}
	s.Chance = 1
	if m[3] > 0 {
		s.Chance = distuv.F{D1: s.Freedoms[2], D2: s.Freedoms[3]}.Survival(m[2] / m[3])
	} else if m[2] > 0 {
		s.Chance = 0
	}
	if s.Pooled = s.Chance > poolAbove; s.Pooled {
		m[2] = (s.Sums[2] + s.Sums[3]) / (s.Freedoms[2] + s.Freedoms[3])
		m[3] = m[2]
	}
	s.Repeat = m[3]
	s.Between = max(0, (m[2]-m[3])/r)
	s.Person = max(0, (m[0]-m[2])/(p*r))
	s.Part = max(0, (m[1]-m[2])/(o*r))
	return s, nil
}

// ByRange splits the variance by mean ranges, as it is done on paper; it knows no person-by-part term. Two
// or three of each are usual.
//
// Source: the mean range of m normal readings over g groups is d2* standard deviations: A. J. Duncan,
// Quality Control and Industrial Statistics (1974), table D3 (from memory), here by quadrature of the
// range's moments.
func (g GaugeStudy) ByRange() (Spread, error) {
	people, parts, repeats, err := g.dimensions()
	if err != nil {
		return Spread{}, err
	}
	within, byPerson, byPart := 0.0, make([]float64, people), make([]float64, parts)
	for i, a := range g.Readings {
		for k, b := range a {
			within += rangeOf(b) / float64(people*parts)
			for _, v := range b {
				byPerson[i] += v / float64(parts*repeats)
				byPart[k] += v / float64(people*repeats)
			}
		}
	}
	var s Spread
	s.Pooled, s.Chance = true, math.NaN()
	s.Repeat = square(within / rangeFactor(repeats, people*parts))
	s.Person = max(0, square(rangeOf(byPerson)/rangeFactor(people, 1))-s.Repeat/float64(parts*repeats))
	s.Part = max(0, square(rangeOf(byPart)/rangeFactor(parts, 1)))
	return s, nil
}

func square(v float64) float64 { return v * v }

func rangeOf(v []float64) float64 { return floats.Max(v) - floats.Min(v) }

// rangeFactor is d2*: the root of the mean square of the mean of g ranges of m standard normal readings.
func rangeFactor(m, g int) float64 {
	first, second := rangeMoments(m)
	return math.Sqrt(first*first + (second-first*first)/float64(g))
}

// rangeMoments are the mean and the mean square of the range of m standard normal readings.
//
// Source: H. L. Harter, Annals of Mathematical Statistics 31 (1960): P(range ≤ w) = m ∫ φ(x) (Φ(x+w) −
// Φ(x))^(m−1) dx, and mean = ∫ (1 − P) dw, mean square = ∫ 2w (1 − P) dw.
func rangeMoments(m int) (first, second float64) {
	n := distuv.UnitNormal
	const step, fine = 0.25, 0.05 // the sum over x is exact to more digits than it has; that over w to 1e-4
	for w := fine / 2; w < 12; w += fine {
		inside := 0.0
		for x := -8.0; x < 8; x += step {
			inside += step * n.Prob(x) * math.Pow(n.CDF(x+w)-n.CDF(x), float64(m-1))
		}
		beyond := 1 - float64(m)*inside
		first += fine * beyond
		second += fine * 2 * w * beyond
	}
	return first, second
}
