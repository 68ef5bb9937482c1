package stackup_test

import (
	"context"
	"fmt"
	"math"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/law"
)

// threeHousings is three stations of a shaft through five joints: each joint shifts and tilts what is behind it, each station has a radial offset, and the worst of them must not exceed a limit, in mm. 45 columns: five joints with a shift in a disc, a normal shift and a normal tilt, three bores each with two normal offsets, and nine lengths that matter little.
func threeHousings(limit float64) *stackup.Study {
	s := &stackup.Study{}
	for j := range 5 {
		s.Inputs = append(s.Inputs,
			stackup.Input{Name: fmt.Sprint("pilot ", j), Plane: must(law.NewDisc(0, 0, 0.02))},
			stackup.Input{Name: fmt.Sprint("shift ", j), Plane: must(law.NewBivariate(0, 0, 1e-4, 1e-4, 0))},
			stackup.Input{Name: fmt.Sprint("tilt ", j), Plane: must(law.NewBivariate(0, 0, 1e-8, 1e-8, 0))},
		)
	}
	for b := range 3 {
		s.Inputs = append(s.Inputs, stackup.Input{Name: fmt.Sprint("bore ", b), Plane: must(law.NewBivariate(0, 0, 4e-5, 4e-5, 0))})
	}
	for l := range 9 {
		s.Inputs = append(s.Inputs, normal(fmt.Sprint("length ", l), 0, 0.1))
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
	s.Wanted = []stackup.Wanted{greatest("worst offset", limit)}
	return s
}

func BenchmarkStudy_RareFailures(b *testing.B) {
	for _, c := range []struct {
		name    string
		limit   float64
		samples int
	}{{"ppm=10", 0.172, 1 << 14}, {"yield=0.99", 0.1107, 80000}} {
		b.Run(c.name, func(b *testing.B) {
			s := threeHousings(c.limit)
			b.ReportAllocs()
			var r *stackup.Rare
			for b.Loop() {
				r = rare(b, s, stackup.Settings{Samples: c.samples, Seed: 1, Workers: 1})
			}
			p, e := r.Failure.Value, r.Failure.Error
			b.ReportMetric(p*1e6, "ppm")
			b.ReportMetric(100*e/p, "error-%")
			b.ReportMetric(p*(1-p)/(e*e)/float64(r.Evaluations), "times-fewer")
			b.ReportMetric(float64(len(r.Points)), "points")
			if r.Doubt != "" {
				b.Log(r.Doubt)
			}
		})
	}
}

func BenchmarkStudy_RunEven(b *testing.B) {
	s := threeHousings(0.1)
	const n = 1 << 15
	for how, name := range map[stackup.Spacing]string{stackup.Latin: "latin", stackup.Sobol: "sobol"} {
		b.Run(name, func(b *testing.B) {
			b.ReportAllocs()
			var e *stackup.Even
			for b.Loop() {
				e = even(b, s, how, stackup.Settings{Samples: n, Seed: 1, Workers: 1})
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
			sd := e.SD(0).Value
			b.ReportMetric(sd*sd/n/(e.Mean(0).Error*e.Mean(0).Error), "times-fewer")
		})
	}
}

func BenchmarkStudy_Run_random(b *testing.B) {
	s := threeHousings(0.1)
	const n = 1 << 15
	b.ReportAllocs()
	for b.Loop() {
		run(b, s, stackup.Settings{Samples: n, Seed: 1, Workers: 1})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
}

func BenchmarkStudy_SobolIndices(b *testing.B) {
	s := threeHousings(0.1)
	const n = 1 << 12
	b.ReportAllocs()
	for b.Loop() {
		indices(b, s, stackup.Settings{Samples: n, Seed: 1, Workers: 1})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n/float64(len(s.Inputs)+2), "ns/evaluation")
}

func BenchmarkStudy_Learn(b *testing.B) {
	s := threeHousings(0.1)
	const n = 1 << 15
	b.ReportAllocs()
	var l *stackup.Learnt
	for b.Loop() {
		var err error
		if l, err = s.Learn(context.Background(), []stackup.Observation{{Value: 0.06, Uncertainty: 0.002}}, stackup.Settings{Samples: n, Seed: 1, Workers: 1}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
	b.ReportMetric(l.Effective/n*100, "effective-%")
}

// How long every entry point goes on after its context is done, with a model that takes about 2 µs a sample.
func BenchmarkEntries_stopped(b *testing.B) {
	for name, f := range entries {
		b.Run(strings.ReplaceAll(name, " ", "_"), func(b *testing.B) {
			var worst time.Duration
			for b.Loop() {
				ctx, stop := context.WithCancel(context.Background())
				var count atomic.Int64
				var at time.Time
				s := every(func(x []float64) {
					if count.Add(1) == 10 {
						at = time.Now()
						stop()
					}
					for range 100 {
						math.Sincos(x[0])
					}
				})
				if _, err := f(ctx, s, stackup.Settings{Samples: 1 << 17, Workers: 2}); err == nil && count.Load() > 1000 {
					b.Fatal("it was not stopped")
				}
				stop()
				worst = max(worst, time.Since(at))
			}
			b.ReportMetric(float64(worst)/float64(time.Millisecond), "worst-ms")
		})
	}
}
