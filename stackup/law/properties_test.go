package law_test

import (
	"flag"
	"math"
	"os"
	"testing"

	"pgregory.net/rapid"

	"example.com/borestack/stackup/law"
)

// The same few checks every time: nothing here depends on luck or leaves a file behind.
func TestMain(m *testing.M) {
	flag.Parse()
	for name, value := range map[string]string{"rapid.checks": "200", "rapid.seed": "1", "rapid.nofailfile": "true"} {
		if err := flag.Set(name, value); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

// anyLaw draws a law of any kind, constants and limits included.
func anyLaw(t *rapid.T) law.Law {
	from := rapid.Float64Range(-100, 100).Draw(t, "from")
	width := rapid.OneOf(rapid.Just(0.0), rapid.Float64Range(1e-6, 50)).Draw(t, "width")
	share := rapid.Float64Range(0, 1).Draw(t, "share")
	shape := rapid.Float64Range(0.5, 20).Draw(t, "shape")
	kinds := []func() (law.Law, error){
		func() (law.Law, error) { return law.NewNormal(from, width) },
		func() (law.Law, error) { return law.NewUniform(from, from+width) },
		func() (law.Law, error) { return law.NewTriangular(from, width) },
		func() (law.Law, error) { return law.NewTrapezoidal(from, from+width, share) },
		func() (law.Law, error) { return law.NewCurvilinearTrapezoid(from, from+width, share*width/2) },
		func() (law.Law, error) { return law.NewArcsine(from, from+width) },
		func() (law.Law, error) { return law.NewBeta(from, from+width, shape, 1+share) },
		func() (law.Law, error) { return law.NewLogNormal(from, 0, width/50) },
		func() (law.Law, error) { return law.NewWeibull(from, width, shape) },
		func() (law.Law, error) { return law.NewStudent(from, width, shape) },
		func() (law.Law, error) { return law.NewNormalSize(from, shape, width*width, share*width, 0) },
		func() (law.Law, error) {
			return law.NewDiscrete([]float64{from, from + width, shape}, []float64{1, share, 2})
		},
		func() (law.Law, error) { return law.NewSample([]float64{from, from + width, shape}) },
	}
	l, err := kinds[rapid.IntRange(0, len(kinds)-1).Draw(t, "kind")]()
	if err != nil {
		t.Fatal(err)
	}
	if rapid.Bool().Draw(t, "cut") {
		if cut, err := law.Truncate(l, l.Quantile(share/3), l.Quantile(1-share/3)); err == nil {
			l = cut
		}
	}
	return l
}

// Whatever the law: quantiles rise and stay within the support, tails add up to 1, and what a quantile gives is the
// least value with that share.
func TestLaw_properties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := anyLaw(t)
		p := rapid.Float64Range(1e-9, 1-1e-9).Draw(t, "p")
		q := rapid.Float64Range(p, 1).Draw(t, "q")
		low, high := l.Support()
		x, y := l.Quantile(p), l.Quantile(q)
		noise := 1e-12 * (math.Abs(x) + 1) // of iterations
		if !(low <= x && x <= y+noise && y <= high) {
			t.Fatalf("quantiles %v and %v of %v and %v, support %v to %v", x, y, p, q, low, high)
		}
		if sum := l.CDF(x) + l.Survival(x); !(math.Abs(sum-1) <= 1e-9) {
			t.Fatalf("tails at %v add up to %v", x, sum)
		}
		if over := l.CDF(x + noise); over < p*(1-1e-9) {
			t.Fatalf("%v up to the quantile of %v", over, p)
		}
		if under := l.CDF(x - noise); under > p+1e-9 {
			t.Fatalf("%v below the quantile of %v", under, p)
		}
	})
}
