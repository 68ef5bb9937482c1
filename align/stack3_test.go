package align_test

import (
	"context"
	"fmt"
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
	"example.com/borestack/testdata/benchmarks/stack3"
)

// BenchmarkPlan_stack3 evaluates samples drawn beforehand, by how the joints lie.
func BenchmarkPlan_stack3(b *testing.B) {
	for name, lie := range map[string]align.Lie{"rest": align.LiesRest, "uniform": align.LiesUniform} {
		b.Run(name, func(b *testing.B) {
			s, in, out := stack3.Stack()
			p, err := s.Compile(in, []align.Lie{lie, lie}, out)
			if err != nil {
				b.Fatal(err)
			}
			const n = 256
			x, y := make([][]float64, p.Inputs()), make([][]float64, p.Outputs())
			for i := range x {
				x[i] = make([]float64, n)
				stream := law.NewStream(1, fmt.Sprint(i), 0)
				if i < len(in) {
					stream.Normals(x[i])
					for k := range x[i] {
						x[i][k] *= 1e-3
						if math.Abs(x[i][k]) > 3e-3 {
							x[i][k] = 0
						}
					}
				} else {
					for k := range x[i] {
						x[i][k] = -1
					}
					if (i-len(in))%align.FloatColumns == 0 {
						stream.Uniforms(x[i])
					}
				}
			}
			for i := range y {
				y[i] = make([]float64, n)
			}
			e := p.NewEvaluator()
			b.ReportAllocs()
			for b.Loop() {
				if err := e.Evaluate(y, x, n); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
		})
	}
}

func BenchmarkStudy_stack3(b *testing.B) {
	st, err := stack3.Study()
	if err != nil {
		b.Fatal(err)
	}
	for _, workers := range []int{1, 2} {
		b.Run(fmt.Sprintf("workers=%d", workers), func(b *testing.B) {
			const n = 100 * stackup.BlockSize
			b.ReportAllocs()
			for b.Loop() {
				if _, err := st.Run(context.Background(), stackup.Settings{Samples: n, Seed: 1, Workers: workers}); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.N)*n/b.Elapsed().Seconds(), "samples/s")
		})
	}
}
