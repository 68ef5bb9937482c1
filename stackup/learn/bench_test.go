package learn_test

import (
	"context"
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/learn"
)

func BenchmarkStudy_Learn(b *testing.B) {
	s := stacktest.ThreeHousings(0.1)
	const n = 1 << 15
	b.ReportAllocs()
	var l *learn.Learnt
	for b.Loop() {
		var err error
		if l, err = learn.From(context.Background(), s, []learn.Observation{{Value: 0.06, Uncertainty: 0.002}}, stackup.Settings{Samples: n, Seed: 1, Workers: 1}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
	b.ReportMetric(l.Effective/n*100, "effective-%")
}
