package rare_test

import (
	"fmt"
	"math"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// rareCase is a study with a known chance of failing.
type rareCase struct {
	Name  string
	Study *stackup.Study
	Want  float64
	Beta  float64 // of the nearest design point; 0: not known in closed form
}

// planes are independent normal pairs of one variance.
func planes(n int, variance float64) (out []stackup.Input) {
	for i := range n {
		out = append(out, stackup.Input{Name: fmt.Sprint("p", i), Joint: stacktest.Must(law.NewBivariate(0, 0, variance, variance, 0))})
	}
	return out
}

// rareCases are limits that are flat, curved, on both sides, all round, and of bounded laws.
func rareCases() []rareCase {
	beta := -law.StandardQuantile(1e-5)
	var many []stackup.Input
	for i := range 10 {
		many = append(many, stacktest.Normal(fmt.Sprint("n", i), 0, 1))
	}
	both := stackup.Response{Name: "sum", Limits: tolerance.Between(-beta*math.Sqrt(10), beta*math.Sqrt(10))}
	return []rareCase{
		// Source: hand calculation: the sum of ten normal deviations
		{"flat", &stackup.Study{Model: stacktest.One(10, stacktest.Sum), Inputs: many, Responses: []stackup.Response{stacktest.Greatest("sum", beta*math.Sqrt(10))}}, 1e-5, beta},
		{"both sides", &stackup.Study{Model: stacktest.One(10, stacktest.Sum), Inputs: many, Responses: []stackup.Response{both}}, 2e-5, beta},
		// Source: Rayleigh law: exp(−r²/2)
		{"all round", &stackup.Study{
			Model: stacktest.One(20, func(x []float64) float64 {
				var u, v float64
				for i := 0; i < len(x); i += 2 {
					u, v = u+x[i], v+x[i+1]
				}
				return math.Hypot(u, v)
			}),
			Inputs: planes(10, 0.1), Responses: []stackup.Response{stacktest.Greatest("size", math.Sqrt(-2*math.Log(1e-5)))},
		}, 1e-5, math.Sqrt(-2 * math.Log(1e-5))},
		// Source: hand calculation: the corner of the sum of two uniform deviations: ½ (0.01)²/4
		{"uniform", &stackup.Study{
			Model: stacktest.One(2, stacktest.Sum), Inputs: []stackup.Input{stacktest.Uniform("a", -1, 1), stacktest.Uniform("b", -1, 1)}, Responses: []stackup.Response{stacktest.Greatest("sum", 1.99)},
		}, 0.01 * 0.01 / 8, math.Sqrt2 * -law.StandardQuantile(0.0025)}, // both at 0.995, a share 0.0025 from the end
		// Source: hand calculation: share of a disc beyond a chord at h: (acos h − h √(1 − h²))/π
		{"disc", &stackup.Study{
			Model:  stacktest.One(2, func(x []float64) float64 { return 0.6*x[0] + 0.8*x[1] }),
			Inputs: []stackup.Input{{Name: "d", Joint: stacktest.Must(law.NewDisc(0, 0, 1))}}, Responses: []stackup.Response{stacktest.Greatest("x", 0.999)},
		}, (math.Acos(0.999) - 0.999*math.Sqrt(1-0.999*0.999)) / math.Pi, math.Sqrt(-2 * math.Log(1-0.999*0.999))}, // the share beyond that radius
		// Source: hand calculation: x² > 16 on both sides
		{"square", &stackup.Study{
			Model:  stacktest.One(3, func(x []float64) float64 { return x[0] * x[0] }),
			Inputs: many[:3], Responses: []stackup.Response{stacktest.Greatest("square", 16)},
		}, 2 * stacktest.Upper(4), 4},
		// Source: Rayleigh law three times over: three lengths of independent normal pairs
		{"three rings", &stackup.Study{
			Model: stacktest.One(30, func(x []float64) float64 {
				var most float64
				for ring := range 3 {
					var u, v float64
					for i := 10 * ring; i < 10*ring+10; i += 2 {
						u, v = u+x[i], v+x[i+1]
					}
					most = math.Max(most, math.Hypot(u, v)/math.Sqrt(-2*math.Log(float64(3*ring+2)*1e-6)))
				}
				return most
			}),
			Inputs: planes(15, 0.2), Responses: []stackup.Response{stacktest.Greatest("worst", 1)},
		}, 1 - (1-2e-6)*(1-5e-6)*(1-8e-6), math.Sqrt(-2 * math.Log(8e-6))},
		// Source: hand calculation: independent ways
		{"two ways", &stackup.Study{
			Model:  stacktest.One(10, func(x []float64) float64 { return math.Max(x[0]-4.2, -x[5]-4.3) }),
			Inputs: many, Responses: []stackup.Response{stacktest.Greatest("either", 0)},
		}, 1 - (1-stacktest.Upper(4.2))*(1-stacktest.Upper(4.3)), 4.2},
	}
}
