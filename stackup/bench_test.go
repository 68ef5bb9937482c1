package stackup_test

import (
	"fmt"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

// wide is a model of 41 inputs and 11 outputs that does next to nothing: what is left is the engine.
type wide struct{}

func (wide) Inputs() int { return 41 }

func (wide) Outputs() int { return 11 }

func (w wide) NewEvaluator() stackup.Evaluator { return w }

func (wide) Evaluate(dst, x [][]float64, n int) error {
	for o := range dst {
		copy(dst[o][:n], x[3*o][:n])
	}
	return nil
}

// BenchmarkStudy_Run is the engine alone, a sample of 41 inputs (35 normal, 6 of them between limits, 4 uniform, 2 signs) and 11 outputs: draws, moments, histograms.
func BenchmarkStudy_Run(b *testing.B) {
	s := &stackup.Study{Model: wide{}}
	for i := range 41 {
		var l law.Law
		switch {
		case i < 6:
			l = stacktest.Must(law.Truncate(stacktest.Must(law.NewNormal(0, 5e-5)), -15e-5, 15e-5))
		case i < 35:
			l = stacktest.Must(law.NewNormal(0, 0.005))
		case i < 39:
			l = stacktest.Must(law.NewUniform(0, 1))
		default:
			l = stacktest.Must(law.NewDiscrete([]float64{-1, 1}, []float64{1, 1}))
		}
		s.Inputs = append(s.Inputs, stackup.Input{Name: fmt.Sprint(i), Law: l})
	}
	for o := range 11 {
		s.Responses = append(s.Responses, stackup.Response{Name: fmt.Sprint(o), Output: o})
	}
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			const n = 100 * stackup.BlockSize
			b.ReportAllocs()
			for b.Loop() {
				run(b, s, stackup.Settings{Samples: n, Seed: 1, Workers: workers})
			}
			b.ReportMetric(float64(b.N)*n/b.Elapsed().Seconds(), "samples/s")
		})
	}
}
