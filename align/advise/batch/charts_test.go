package batch

import (
	"math"
	"math/rand/v2"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/internal/check"
)

// lengths is the mean number of points to the first signal, with its standard error, of standard normal
// points about a shift.
func lengths(r *rand.Rand, runs int, shift float64, chart func(x []float64) []Signal) (mean, se float64) {
	var sum, squares float64
	for range runs {
		n, seed := 0, r.Uint64()
		for block := 64; n == 0; block *= 4 { // the same points again, and more of them
			x := make([]float64, block)
			s := rand.New(rand.NewPCG(seed, 0))
			for i := range x {
				x[i] = shift + s.NormFloat64()
			}
			if found := chart(x); len(found) > 0 {
				n = found[0].Part + 1
			}
		}
		sum += float64(n)
		squares += float64(n) * float64(n)
	}
	mean = sum / float64(runs)
	return mean, math.Sqrt((squares/float64(runs) - mean*mean) / float64(runs))
}

// Run lengths agree with published ones.
//
// Source: individuals 1/0.0027 = 370.4 (hand calculation) and 43.9 at one standard deviation; with the four
// zone rules 91.75 and 9.22 (C. W. Champ and W. H. Woodall, Technometrics 29 (1987), table 1 (from memory));
// cumulative sum with k 0.5 and h 5, both sides: 465 and 10.4 (D. C. Montgomery, Introduction to
// Statistical Quality Control, table 9.3 (from memory)); EWMA with λ 0.1 and L 2.814: 500 and 10.3
// (J. M. Lucas and M. S. Saccucci, Technometrics 32 (1990) (from memory)).
func TestCharts_runLengths(t *testing.T) {
	three := func(x []float64) (out []Signal) {
		for _, s := range individuals(x, 0, 1, "").Signals {
			if s.Rule == "beyond three standard deviations" {
				out = append(out, s)
			}
		}
		return out
	}
	for _, c := range []struct {
		name         string
		chart        func([]float64) []Signal
		still, moved float64
		slack        float64 // of the published figure: its rounding
	}{
		{"individuals", three, 370.4, 43.9, 0.005},
		{"zone rules", func(x []float64) []Signal { return individuals(x, 0, 1, "").Signals }, 91.75, 9.22, 0.005},
		{"cumulative sum", func(x []float64) []Signal { return cumulative(x, 0, 1).Signals }, 465, 10.4, 0.01},
		{"weighted average", func(x []float64) []Signal { return weighted(x, 0, 1).Signals }, 500, 10.3, 0.02},
	} {
		r := rand.New(rand.NewPCG(2, 2))
		for shift, want := range []float64{c.still, c.moved} {
			got, se := lengths(r, 1500, float64(shift), c.chart)
			if math.Abs(got-want) > 3.5*se+c.slack*want {
				t.Errorf("%s, shift %d: %.1f ± %.1f, published %.1f", c.name, shift, got, se, want)
			}
		}
	}
}

// Worked series.
//
// Source: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2, flow rates of ten batches (from memory):
// 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 have mean 50.81, mean moving
// range 1.8778, limits 55.8041 and 45.8159.
func TestIndividuals_published(t *testing.T) {
	x := []float64{49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1}
	centre, ranges := level(x)
	c := individuals(x, centre, ranges/rangeToSigma, "")
	check.Near(t, "centre", c.Centre, 50.81, 1e-9)
	check.Near(t, "mean moving range", ranges, 1.8778, 5e-5)
	check.Near(t, "upper limit", c.High, 55.8041, 5e-4)
	check.Near(t, "lower limit", c.Low, 45.8159, 5e-4)
}

// The limit of T² is passed by as many parts of steady batches as it says.
//
// Source: simulation.
func TestSquares_risk(t *testing.T) {
	r := rand.New(rand.NewPCG(4, 4))
	beyond, all := 0, 0
	for range 4000 {
		v := make([]r2.Vec, 12)
		for i := range v {
			a := r.NormFloat64()
			v[i] = r2.Vec{X: a, Y: 0.3*a + 0.1*r.NormFloat64()}
		}
		beyond += len(squares(v).Signals)
		all += len(v)
	}
	want := squareRisk * float64(all)
	if math.Abs(float64(beyond)-want) > 3.5*math.Sqrt(want) {
		t.Errorf("%d of %d beyond, want about %.0f", beyond, all, want)
	}
	if squares([]r2.Vec{{X: 1, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 1}, {X: 1, Y: 1}}) != nil {
		t.Error("parts that are all alike have no T²")
	}
}

// A fall is charted below zero, and its signal says so.
//
// Source: hand calculation: a standard deviation off less half of one slack is half a standard deviation a part.
func TestCumulative_sides(t *testing.T) {
	for side, word := range map[float64]string{1: "the level has risen", -1: "the level has fallen"} {
		x := make([]float64, 11)
		for i := range x {
			x[i] = 10 + 2*side
		}
		c := cumulative(x, 10, 2)
		for i, p := range c.Points {
			if want := side * 0.5 * float64(i+1); math.Abs(p-want) > 1e-12 {
				t.Errorf("part %d: %g, want %g", i, p, want)
			}
		}
		if len(c.Signals) != 1 || c.Signals[0].Part != 10 || c.Signals[0].Rule != word {
			t.Errorf("%g: %+v", side, c.Signals)
		}
	}
}
