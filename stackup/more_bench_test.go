package stackup_test

import (
	"context"
	"math"
	"strings"
	"sync/atomic"
	"testing"
	"time"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
)

func BenchmarkStudy_Run_random(b *testing.B) {
	s := stacktest.ThreeHousings(0.1)
	const n = 1 << 15
	b.ReportAllocs()
	for b.Loop() {
		run(b, s, stackup.Settings{Samples: n, Seed: 1, Workers: 1})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
}

func BenchmarkStudy_SobolIndices(b *testing.B) {
	s := stacktest.ThreeHousings(0.1)
	const n = 1 << 12
	b.ReportAllocs()
	for b.Loop() {
		indices(b, s, stackup.Settings{Samples: n, Seed: 1, Workers: 1})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n/float64(len(s.Inputs)+2), "ns/evaluation")
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
