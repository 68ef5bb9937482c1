// Package stacktest holds the studies with known answers that the tests of several rooms share.
package stacktest

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

// Curved is a study with known answers: y = a + b + c² with normal a, b and c, and the length of a normal vector.
func Curved() (s *stackup.Study, mean, sd [2]float64) {
	s = &stackup.Study{
		Model: stackup.Func{In: 5, Out: 2, Of: func(y, x []float64) error {
			y[0], y[1] = 100+x[0]+x[1]+0.05*x[2]*x[2], math.Hypot(x[3], x[4])
			return nil
		}},
		Inputs: []stackup.Input{Normal("a", 0, 1), Normal("b", 1, 2), Normal("c", 0, 1), {Name: "p", Plane: Must(law.NewBivariate(0, 0, 1, 1, 0))}},
		Wanted: []stackup.Wanted{{Name: "y"}, {Name: "size", Output: 1}},
	}
	s.Wanted[0].Limits = tolerance.AtMost(105)
	s.Wanted[1].Limits = tolerance.AtMost(2)
	// Source: hand calculation: E c² = 1, var c² = 2; Rayleigh mean √(π/2), variance 2 − π/2
	return s, [2]float64{101.05, math.Sqrt(math.Pi / 2)}, [2]float64{math.Sqrt(5 + 0.005), math.Sqrt(2 - math.Pi/2)}
}

// WithinBinomial reports whether hits of repeats agree with a share: within 4 standard deviations.
func WithinBinomial(hits, repeats int, share float64) bool {
	n := float64(repeats)
	return math.Abs(float64(hits)-n*share) <= 4*math.Sqrt(n*share*(1-share))+0.5
}

// Equal are laws that are all correlated alike.
func Equal(rho float64, laws ...law.Law) law.Joint {
	rows := make([][]float64, len(laws))
	for i := range rows {
		for range laws {
			rows[i] = append(rows[i], rho)
		}
		rows[i][i] = 1
	}
	return Must(law.NewCopula(laws, rows))
}

func Normals(n int, sd float64) (out []law.Law) {
	for range n {
		out = append(out, Must(law.NewNormal(0, sd)))
	}
	return out
}

// Limited are two normal deviations whose sum must not exceed 1.
func Limited() *stackup.Study {
	w := stackup.Wanted{Name: "sum"}
	w.Limits = tolerance.AtMost(1)
	return &stackup.Study{Model: One(2, Sum), Inputs: []stackup.Input{Normal("a", 0, 0.2), Normal("b", 0, 0.3)}, Wanted: []stackup.Wanted{w}}
}

// ThreeHousings is three stations of a shaft through five joints: each joint shifts and tilts what is behind it, each station has a radial offset, and the worst of them must not exceed a limit, in mm. 45 columns: five joints with a shift in a disc, a normal shift and a normal tilt, three bores each with two normal offsets, and nine lengths that matter little.
func ThreeHousings(limit float64) *stackup.Study {
	s := &stackup.Study{}
	for j := range 5 {
		s.Inputs = append(s.Inputs,
			stackup.Input{Name: fmt.Sprint("pilot ", j), Plane: Must(law.NewDisc(0, 0, 0.02))},
			stackup.Input{Name: fmt.Sprint("shift ", j), Plane: Must(law.NewBivariate(0, 0, 1e-4, 1e-4, 0))},
			stackup.Input{Name: fmt.Sprint("tilt ", j), Plane: Must(law.NewBivariate(0, 0, 1e-8, 1e-8, 0))},
		)
	}
	for b := range 3 {
		s.Inputs = append(s.Inputs, stackup.Input{Name: fmt.Sprint("bore ", b), Plane: Must(law.NewBivariate(0, 0, 4e-5, 4e-5, 0))})
	}
	for l := range 9 {
		s.Inputs = append(s.Inputs, Normal(fmt.Sprint("length ", l), 0, 0.1))
	}
	s.Model = stackup.Func{In: 45, Out: 1, Of: func(y, x []float64) error {
		y[0] = 0
		for station := range 3 {
			u, v := x[30+2*station], x[31+2*station]
			for j := range 2 + station {
				arm := 60*float64(station+1-j) + x[36+j] + x[41+station]
				u += x[6*j] + x[6*j+2] + arm*x[6*j+4]
				v += x[6*j+1] + x[6*j+3] + arm*x[6*j+5]
			}
			y[0] = math.Max(y[0], math.Hypot(u, v))
		}
		return nil
	}}
	s.Wanted = []stackup.Wanted{Greatest("worst offset", limit)}
	return s
}

// Gap is the clearance left between two pilots, in mm: it must stay above 0.
func Gap() *stackup.Study {
	clearance := stackup.Wanted{Name: "clearance"}
	clearance.Limits = tolerance.AtLeast(0)
	return &stackup.Study{
		Model: stackup.Func{In: 4, Out: 1, Of: func(y, x []float64) error {
			y[0] = 0.055 + x[0] - x[1] - (x[2]*x[2]+x[3]*x[3])/0.2 // a shift of the axis costs clearance
			return nil
		}},
		Inputs: []stackup.Input{
			{Name: "bore", Law: Must(law.NewNormal(0, 0.006))},
			{Name: "spigot", Law: Must(law.NewNormal(0, 0.009))},
			{Name: "dowels", Plane: Must(law.NewDisc(0, 0, 0.05))},
		},
		Wanted: []stackup.Wanted{clearance},
	}
}

func CloseTo(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: %.10g, want %.10g within %g", what, got, want, within)
	}
}

// Upper is the share of the standard normal law above x.
func Upper(x float64) float64 { return math.Erfc(x/math.Sqrt2) / 2 }

// RareCase is a study with a known chance of failing.
type RareCase struct {
	Name  string
	Study *stackup.Study
	Want  float64
	Beta  float64 // of the nearest design point; 0: not known in closed form
}

func Greatest(name string, limit float64) stackup.Wanted {
	return stackup.Wanted{Name: name, Limits: tolerance.AtMost(limit)}
}

// Planes are independent normal pairs of one variance.
func Planes(n int, variance float64) (out []stackup.Input) {
	for i := range n {
		out = append(out, stackup.Input{Name: fmt.Sprint("p", i), Plane: Must(law.NewBivariate(0, 0, variance, variance, 0))})
	}
	return out
}

// RareCases are limits that are flat, curved, on both sides, all round, and of bounded laws.
func RareCases() []RareCase {
	beta := -law.StandardQuantile(1e-5)
	var many []stackup.Input
	for i := range 10 {
		many = append(many, Normal(fmt.Sprint("n", i), 0, 1))
	}
	both := stackup.Wanted{Name: "sum", Limits: tolerance.Between(-beta*math.Sqrt(10), beta*math.Sqrt(10))}
	return []RareCase{
		// Source: hand calculation: the sum of ten normal deviations
		{"flat", &stackup.Study{Model: One(10, Sum), Inputs: many, Wanted: []stackup.Wanted{Greatest("sum", beta*math.Sqrt(10))}}, 1e-5, beta},
		{"both sides", &stackup.Study{Model: One(10, Sum), Inputs: many, Wanted: []stackup.Wanted{both}}, 2e-5, beta},
		// Source: Rayleigh law: exp(−r²/2)
		{"all round", &stackup.Study{
			Model: One(20, func(x []float64) float64 {
				var u, v float64
				for i := 0; i < len(x); i += 2 {
					u, v = u+x[i], v+x[i+1]
				}
				return math.Hypot(u, v)
			}),
			Inputs: Planes(10, 0.1), Wanted: []stackup.Wanted{Greatest("size", math.Sqrt(-2*math.Log(1e-5)))},
		}, 1e-5, math.Sqrt(-2 * math.Log(1e-5))},
		// Source: hand calculation: the corner of the sum of two uniform deviations: ½ (0.01)²/4
		{"uniform", &stackup.Study{
			Model: One(2, Sum), Inputs: []stackup.Input{Uniform("a", -1, 1), Uniform("b", -1, 1)}, Wanted: []stackup.Wanted{Greatest("sum", 1.99)},
		}, 0.01 * 0.01 / 8, math.Sqrt2 * -law.StandardQuantile(0.0025)}, // both at 0.995, a share 0.0025 from the end
		// Source: hand calculation: share of a disc beyond a chord at h: (acos h − h √(1 − h²))/π
		{"disc", &stackup.Study{
			Model:  One(2, func(x []float64) float64 { return 0.6*x[0] + 0.8*x[1] }),
			Inputs: []stackup.Input{{Name: "d", Plane: Must(law.NewDisc(0, 0, 1))}}, Wanted: []stackup.Wanted{Greatest("x", 0.999)},
		}, (math.Acos(0.999) - 0.999*math.Sqrt(1-0.999*0.999)) / math.Pi, math.Sqrt(-2 * math.Log(1-0.999*0.999))}, // the share beyond that radius
		// Source: hand calculation: x² > 16 on both sides
		{"square", &stackup.Study{
			Model:  One(3, func(x []float64) float64 { return x[0] * x[0] }),
			Inputs: many[:3], Wanted: []stackup.Wanted{Greatest("square", 16)},
		}, 2 * Upper(4), 4},
		// Source: Rayleigh law three times over: three lengths of independent normal pairs
		{"three rings", &stackup.Study{
			Model: One(30, func(x []float64) float64 {
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
			Inputs: Planes(15, 0.2), Wanted: []stackup.Wanted{Greatest("worst", 1)},
		}, 1 - (1-2e-6)*(1-5e-6)*(1-8e-6), math.Sqrt(-2 * math.Log(8e-6))},
		// Source: hand calculation: independent ways
		{"two ways", &stackup.Study{
			Model:  One(10, func(x []float64) float64 { return math.Max(x[0]-4.2, -x[5]-4.3) }),
			Inputs: many, Wanted: []stackup.Wanted{Greatest("either", 0)},
		}, 1 - (1-Upper(4.2))*(1-Upper(4.3)), 4.2},
	}
}

// Runout is a reading of twice the size of a plane vector with two normal components.
func Runout(limits tolerance.Limits) *stackup.Study {
	return &stackup.Study{
		Model:  One(2, func(x []float64) float64 { return 2 * math.Hypot(x[0], x[1]) }),
		Inputs: []stackup.Input{Normal("x", 0, 0.0265), Normal("y", 0, 0.026)},
		Wanted: []stackup.Wanted{{Name: "TIR", Limits: limits}},
	}
}

// RunoutBeyond is the chance of a greater reading. Source: the law of the size, by quadrature.
func RunoutBeyond(limit float64) float64 {
	return Must(law.NewNormalSize(0, 0, 0.0265*0.0265, 0.026*0.026, 0)).Survival(limit / 2)
}

// Holds reports whether the interval holds a value.
func Holds(f stackup.Figure, v float64) bool { return f.Interval[0] <= v && v <= f.Interval[1] }

// Refused reports whether an error is the fault of what was asked.
func Refused(err error) bool {
	var f *fault.FieldError
	return errors.As(err, &f)
}

// Must is for parameters that are right by construction.
func Must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

func Normal(name string, mean, sd float64) stackup.Input {
	return stackup.Input{Name: name, Law: Must(law.NewNormal(mean, sd))}
}

func Uniform(name string, lo, hi float64) stackup.Input {
	return stackup.Input{Name: name, Law: Must(law.NewUniform(lo, hi))}
}

// One is a model of one output.
func One(n int, f func(x []float64) float64) stackup.Model {
	return stackup.Func{In: n, Out: 1, Of: func(dst, x []float64) error {
		dst[0] = f(x)
		return nil
	}}
}

func Sum(x []float64) float64 {
	var s float64
	for _, v := range x {
		s += v
	}
	return s
}

func Mixed() *stackup.Study {
	w := stackup.Wanted{Name: "size"}
	w.Limits = tolerance.AtMost(2.5)
	return &stackup.Study{
		Model: stackup.Func{In: 4, Out: 2, Of: func(dst, x []float64) error {
			dst[0], dst[1] = math.Hypot(x[0]+x[2], x[1]+x[3]), x[0]*x[3]
			return nil
		}},
		Inputs: []stackup.Input{Normal("a", 0.1, 1), Uniform("b", -1, 1), {Name: "c", Plane: Must(law.NewDisc(0, 0, 0.5))}},
		Wanted: []stackup.Wanted{w, {Name: "product", Output: 1}},
	}
}

// Opaque is a plane law that is not known how to make of normal numbers.
type Opaque struct{ law.Plane }

// Round is a plane normal law of one standard deviation on either axis.
func Round(sd float64) law.Plane { return Must(law.NewBivariate(0, 0, sd*sd, sd*sd, 0)) }
