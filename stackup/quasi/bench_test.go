package quasi_test

import (
	"testing"

	"example.com/borestack/stackup"
	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/quasi"
)

func BenchmarkStudy_RunEven(b *testing.B) {
	s := stacktest.ThreeHousings(0.1)
	const n = 1 << 15
	b.ReportAllocs()
	var e *quasi.Result
	for b.Loop() {
		e = even(b, s, stackup.Settings{Samples: n, Seed: 1, Workers: 1})
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/n, "ns/sample")
	sd := e.SD(0).Value
	b.ReportMetric(sd*sd/n/(e.Mean(0).Error*e.Mean(0).Error), "times-fewer")
}
