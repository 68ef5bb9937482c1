package rare_test

import (
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/rare"
)

func BenchmarkStudy_RareFailures(b *testing.B) {
	for _, c := range []struct {
		name    string
		limit   float64
		samples int
	}{{"ppm=10", 0.172, 1 << 14}, {"yield=0.99", 0.1107, 80000}} {
		b.Run(c.name, func(b *testing.B) {
			s := stacktest.ThreeHousings(c.limit)
			b.ReportAllocs()
			var r *rare.Rare
			for b.Loop() {
				r = failures(b, s, stackup.Settings{Samples: c.samples, Seed: 1, Workers: 1})
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
