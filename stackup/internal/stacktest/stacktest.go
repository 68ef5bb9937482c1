// Package stacktest holds the studies with known answers that the tests of several rooms share.
package stacktest

import (
	"errors"
	"fmt"
	"math"

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
		Inputs:    []stackup.Input{Normal("a", 0, 1), Normal("b", 1, 2), Normal("c", 0, 1), {Name: "p", Joint: Must(law.NewBivariate(0, 0, 1, 1, 0))}},
		Responses: []stackup.Response{{Name: "y"}, {Name: "size", Output: 1}},
	}
	s.Responses[0].Limits = tolerance.AtMost(105)
	s.Responses[1].Limits = tolerance.AtMost(2)
	// Source: hand calculation: E c² = 1, var c² = 2; Rayleigh mean √(π/2), variance 2 − π/2
	return s, [2]float64{101.05, math.Sqrt(math.Pi / 2)}, [2]float64{math.Sqrt(5 + 0.005), math.Sqrt(2 - math.Pi/2)}
}

// WithinBinomial reports whether hits of repeats agree with a share: within 4 standard deviations.
func WithinBinomial(hits, repeats int, share float64) bool {
	n := float64(repeats)
	return math.Abs(float64(hits)-n*share) <= 4*math.Sqrt(n*share*(1-share))+0.5
}

// Limited are two normal deviations whose sum must not exceed 1.
func Limited() *stackup.Study {
	w := stackup.Response{Name: "sum"}
	w.Limits = tolerance.AtMost(1)
	return &stackup.Study{Model: One(2, Sum), Inputs: []stackup.Input{Normal("a", 0, 0.2), Normal("b", 0, 0.3)}, Responses: []stackup.Response{w}}
}

// ThreeHousings is three stations of a shaft through five joints: each joint shifts and tilts what is behind it, each station has a radial offset, and the worst of them must not exceed a limit, in mm. 45 columns: five joints with a shift in a disc, a normal shift and a normal tilt, three bores each with two normal offsets, and nine lengths that matter little.
func ThreeHousings(limit float64) *stackup.Study {
	s := &stackup.Study{}
	for j := range 5 {
		s.Inputs = append(s.Inputs,
			stackup.Input{Name: fmt.Sprint("pilot ", j), Joint: Must(law.NewDisc(0, 0, 0.02))},
			stackup.Input{Name: fmt.Sprint("shift ", j), Joint: Must(law.NewBivariate(0, 0, 1e-4, 1e-4, 0))},
			stackup.Input{Name: fmt.Sprint("tilt ", j), Joint: Must(law.NewBivariate(0, 0, 1e-8, 1e-8, 0))},
		)
	}
	for b := range 3 {
		s.Inputs = append(s.Inputs, stackup.Input{Name: fmt.Sprint("bore ", b), Joint: Must(law.NewBivariate(0, 0, 4e-5, 4e-5, 0))})
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
	s.Responses = []stackup.Response{Greatest("worst offset", limit)}
	return s
}

// Flat is the sum of ten standard normal deviations, within a limit.
func Flat(limit float64) *stackup.Study {
	s := &stackup.Study{Model: One(10, Sum), Responses: []stackup.Response{Greatest("sum", limit)}}
	for i := range 10 {
		s.Inputs = append(s.Inputs, Normal(fmt.Sprint("n", i), 0, 1))
	}
	return s
}

// Gap is the clearance left between two pilots, in mm: it must stay above 0.
func Gap() *stackup.Study {
	clearance := stackup.Response{Name: "clearance"}
	clearance.Limits = tolerance.AtLeast(0)
	return &stackup.Study{
		Model: stackup.Func{In: 4, Out: 1, Of: func(y, x []float64) error {
			y[0] = 0.055 + x[0] - x[1] - (x[2]*x[2]+x[3]*x[3])/0.2 // a shift of the axis costs clearance
			return nil
		}},
		Inputs: []stackup.Input{
			{Name: "bore", Law: Must(law.NewNormal(0, 0.006))},
			{Name: "spigot", Law: Must(law.NewNormal(0, 0.009))},
			{Name: "dowels", Joint: Must(law.NewDisc(0, 0, 0.05))},
		},
		Responses: []stackup.Response{clearance},
	}
}

// Upper is the share of the standard normal law above x.
func Upper(x float64) float64 { return math.Erfc(x/math.Sqrt2) / 2 }

func Greatest(name string, limit float64) stackup.Response {
	return stackup.Response{Name: name, Limits: tolerance.AtMost(limit)}
}

// Runout is a reading of twice the size of a plane vector with two normal components.
func Runout(limits tolerance.Limits) *stackup.Study {
	return &stackup.Study{
		Model:     One(2, func(x []float64) float64 { return 2 * math.Hypot(x[0], x[1]) }),
		Inputs:    []stackup.Input{Normal("x", 0, 0.0265), Normal("y", 0, 0.026)},
		Responses: []stackup.Response{{Name: "TIR", Limits: limits}},
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
	w := stackup.Response{Name: "size"}
	w.Limits = tolerance.AtMost(2.5)
	return &stackup.Study{
		Model: stackup.Func{In: 4, Out: 2, Of: func(dst, x []float64) error {
			dst[0], dst[1] = math.Hypot(x[0]+x[2], x[1]+x[3]), x[0]*x[3]
			return nil
		}},
		Inputs:    []stackup.Input{Normal("a", 0.1, 1), Uniform("b", -1, 1), {Name: "c", Joint: Must(law.NewDisc(0, 0, 0.5))}},
		Responses: []stackup.Response{w, {Name: "product", Output: 1}},
	}
}

// Opaque is a plane law that is not known how to make of normal numbers.
type Opaque struct{ law.Joint }
