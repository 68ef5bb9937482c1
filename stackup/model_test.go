package stackup_test

import (
	"errors"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/fault"
	"example.com/borestack/stackup"
)

func ExampleFunc() {
	// a gap of three lengths, in mm
	gap := stackup.Func{In: 3, Out: 1, Of: func(y, x []float64) error {
		y[0] = (60.2 + x[0]) - (20 + x[1]) - (40.1 + x[2])
		return nil
	}}
	y := [][]float64{make([]float64, 2)}
	x := [][]float64{{0, 0.05}, {0, 0.01}, {0, -0.02}}
	if err := gap.NewEvaluator().Evaluate(y, x, 2); err != nil {
		fmt.Println(err)
	}
	fmt.Printf("%.2f %.2f mm\n", y[0][0], y[0][1])
	// Output: 0.10 0.16 mm
}

func TestFunc_badSample(t *testing.T) {
	f := stackup.Func{In: 1, Out: 1, Of: func(y, x []float64) error {
		y[0] = math.Sqrt(x[0])
		return nil
	}}
	y := [][]float64{make([]float64, 3)}
	err := f.NewEvaluator().Evaluate(y, [][]float64{{4, -1, 9}}, 3)
	var s *fault.SampleError
	if !errors.As(err, &s) || s.Index != 1 || s.Inputs[0] != -1 {
		t.Fatal(err)
	}
	if y[0][0] != 2 { // Source: hand calculation: √4
		t.Error(y)
	}
}

func TestFunc_allocs(t *testing.T) {
	f := stackup.Func{In: 1, Out: 1, Of: func(y, x []float64) error { y[0] = x[0]; return nil }}
	e := f.NewEvaluator()
	x, y := [][]float64{make([]float64, 64)}, [][]float64{make([]float64, 64)}
	if n := testing.AllocsPerRun(10, func() { _ = e.Evaluate(y, x, 64) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}
