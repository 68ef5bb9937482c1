package batch

import (
	"math"

	"example.com/borestack/align/internal/spell"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/stat"
	"gonum.org/v1/gonum/stat/distuv"
)

// Chart is one control chart: what is drawn, its limits, and where it signals.
type Chart struct {
	Name    string
	Of      string  // which component, and in what
	Centre  float64 // mm where IsLength; 0 for charts in standard deviations
	Low     float64 // -Inf: none
	High    float64
	Points  []float64 // one a part; NaN where a chart has none
	Signals []Signal
	Limits  string // how the limits come about

	IsLength bool // numbers are mm; else standard deviations, or a ratio
}

// Signal is a point at which a chart calls for a look at the process.
type Signal struct {
	Part int    // its index
	Rule string // why
}

// The designs of the charts.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 (individuals: 2.66 and 3.267 moving
// ranges), 6.3.2.3 (cumulative sums: k 0.5, h 4 or 5), 6.3.2.4 (EWMA) (from memory); J. M. Lucas and
// M. S. Saccucci, Technometrics 32 (1990), for the width of the EWMA with λ 0.1.
const (
	rangeToSigma = 1.128 // d2 of two
	rangeLimit   = 3.267 // D4 of two
	cusumSlack   = 0.5   // k, standard deviations
	cusumLimit   = 5.0   // h; one false signal in 465 points
	ewmaWeight   = 0.1   // λ
	ewmaWidth    = 2.814 // L; one false signal in about 500 points
	squareRisk   = 0.0027
)

// charts draws every chart of a batch. The scatter is that from part to part, which a drift or a change of
// level does not widen.
func charts(b *Batch, v []r2.Vec) (out []Chart) {
	for _, c := range []struct {
		name string
		of   func(r2.Vec) float64
	}{{"towards 3 o'clock", func(w r2.Vec) float64 { return w.X }}, {"towards 12 o'clock", func(w r2.Vec) float64 { return w.Y }}} {
		x := make([]float64, len(v))
		for i, w := range v {
			x[i] = c.of(w)
		}
		centre, ranges := level(x)
		sigma, from := ranges/rangeToSigma, "the mean moving range"
		if known := b.spread(); known > 0 {
			sigma, from = known, "the known scatter"
		}
		if sigma == 0 {
			continue // all alike
		}
		out = append(out, individuals(x, centre, sigma, from), movingRange(x, sigma, from), cumulative(x, centre, sigma), weighted(x, centre, sigma))
		for i := len(out) - 4; i < len(out); i++ {
			out[i].Of = c.name
		}
	}
	if t := squares(v); t != nil {
		out = append(out, *t)
	}
	return out
}

// level is the mean of a series, and its mean moving range.
func level(x []float64) (centre, ranges float64) {
	for i := range len(x) - 1 {
		ranges += math.Abs(x[i+1]-x[i]) / float64(len(x)-1)
	}
	return stat.Mean(x, nil), ranges
}

// drawn is a chart with its points, one a part, and why each of them signals; empty: it does not.
func drawn(c Chart, parts int, at func(i int) (point float64, why string)) Chart {
	for i := range parts {
		point, why := at(i)
		if c.Points = append(c.Points, point); why != "" {
			c.Signals = append(c.Signals, Signal{i, why})
		}
	}
	return c
}

// individuals charts every part, with the run rules.
func individuals(x []float64, centre, sigma float64, from string) Chart {
	c := Chart{Name: "individuals", IsLength: true, Centre: centre, Low: centre - 3*sigma, High: centre + 3*sigma, Limits: "three standard deviations and runs, one false signal in 92 points, from " + from}
	return drawn(c, len(x), func(i int) (float64, string) { return x[i], run(x[:i+1], centre, sigma) })
}

// run is the first of the run rules that the last point completes: one point beyond three standard deviations, two of three
// in a row beyond two on one side, four of five beyond one, eight on one side of the centre; empty: none.
//
// Source: the zone rules of the Western Electric handbook (1956) as given in NIST/SEMATECH e-Handbook of
// Statistical Methods, 6.3.2 (from memory). They signal once in 92 points where nothing is wrong:
// C. W. Champ and W. H. Woodall, Technometrics 29 (1987).
func run(x []float64, centre, sigma float64) string {
	for _, z := range [...]struct {
		rule         string
		beyond       float64
		least, among int
	}{
		{"beyond three standard deviations", 3, 1, 1},
		{"two of three beyond two standard deviations, on one side", 2, 2, 3},
		{"four of five beyond one standard deviation, on one side", 1, 4, 5},
		{"eight in a row on one side", 0, 8, 8},
	} {
		if zone(x, centre, sigma, z.beyond, z.least, z.among) {
			return z.rule
		}
	}
	return ""
}

// zone says whether the last point completes a run: it and enough of those before it lie beyond, on its side.
func zone(x []float64, centre, sigma, beyond float64, least, among int) bool {
	last := x[len(x)-1]
	side := math.Copysign(1, last-centre)
	far := func(v float64) bool { return side*(v-centre) > beyond*sigma }
	count := 0
	for _, v := range x[max(0, len(x)-among):] {
		if far(v) {
			count++
		}
	}
	return far(last) && count >= least
}

// movingRange charts the difference of each part from the one before it.
func movingRange(x []float64, sigma float64, from string) Chart {
	high := rangeLimit * rangeToSigma * sigma
	c := Chart{Name: "moving range", IsLength: true, Centre: rangeToSigma * sigma, Low: math.Inf(-1), High: high, Limits: "3.267 mean ranges of two, from " + from}
	return drawn(c, len(x), func(i int) (float64, string) {
		if i == 0 {
			return math.NaN(), ""
		}
		d := math.Abs(x[i] - x[i-1])
		return d, spell.If(d > high, "a jump from the part before")
	})
}

// cumulative charts the two cumulative sums, the upper one where it is larger, else minus the lower.
func cumulative(x []float64, centre, sigma float64) Chart {
	c := Chart{Name: "cumulative sum", Low: -cusumLimit, High: cusumLimit, Limits: "slack half a standard deviation, limit five: one false signal in 465 points"}
	var up, down float64
	return drawn(c, len(x), func(i int) (float64, string) {
		z := (x[i] - centre) / sigma
		up, down = max(0, up+z-cusumSlack), max(0, down-z-cusumSlack)
		why := spell.Either(up > cusumLimit, "the level has risen", spell.If(down > cusumLimit, "the level has fallen"))
		if up < down {
			return -down, why
		}
		return up, why
	})
}

// weighted charts the exponentially weighted moving average, with the limits that it has after its start.
func weighted(x []float64, centre, sigma float64) Chart {
	wide := ewmaWidth * sigma * math.Sqrt(ewmaWeight/(2-ewmaWeight))
	c := Chart{Name: "weighted average", IsLength: true, Centre: centre, Low: centre - wide, High: centre + wide, Limits: "weight 0.1, 2.814 of its standard deviations: one false signal in about 500 points"}
	at := centre
	return drawn(c, len(x), func(i int) (float64, string) {
		at = ewmaWeight*x[i] + (1-ewmaWeight)*at
		return at, spell.If(math.Abs(at-centre) > wide, "the average has moved")
	})
}

// squares charts both components together: T² of each part about the mean of all.
//
// Source: N. D. Tracy, J. C. Young and R. L. Mason, Journal of Quality Technology 24 (1992): for the parts
// that the mean and the scatter come from, T² is (n−1)²/n times a beta law with 1 and (n−3)/2.
func squares(v []r2.Vec) *Chart {
	n := float64(len(v))
	m := mean(v)
	s, _, _ := scatterAbout(v, ones(len(v)))
	d := s.det() / ((n - 1) * (n - 1))
	if !(d > 0) {
		return nil
	}
	high := (n - 1) * (n - 1) / n * distuv.Beta{Alpha: 1, Beta: (n - 3) / 2}.Quantile(1-squareRisk)
	c := drawn(Chart{Name: "both together (T²)", Of: "both components", Low: math.Inf(-1), High: high, Limits: "passed by 27 of 10,000 parts of a steady process"}, len(v), func(i int) (float64, string) {
		e := r2.Sub(v[i], m)
		t := (s.yy*e.X*e.X - 2*s.xy*e.X*e.Y + s.xx*e.Y*e.Y) / (n - 1) / d
		return t, spell.If(t > high, "far from the others")
	})
	return &c
}
