package law_test

import (
	"testing"

	"example.com/borestack/stackup/internal/stacktest"
	"example.com/borestack/stackup/law"
)

func BenchmarkLaw_Draw(b *testing.B) {
	for _, s := range subjects(b) {
		b.Run(s.name, func(b *testing.B) {
			stream := law.NewStream(1, "x", 0)
			dst := make([]float64, 1024)
			b.ReportAllocs()
			for b.Loop() {
				s.law.Draw(dst, &stream)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1024, "ns/draw")
		})
	}
}

func BenchmarkLaw_UpperQuantile(b *testing.B) {
	for _, s := range subjects(b) {
		if s.steps {
			continue
		}
		b.Run(s.name, func(b *testing.B) {
			for b.Loop() {
				s.law.UpperQuantile(1e-6)
			}
		})
	}
}

func BenchmarkPlane_Draw(b *testing.B) {
	for name, l := range map[string]law.Joint{
		"disc":    stacktest.Must(law.NewDisc(0, 0, 1)),
		"ring":    stacktest.Must(law.NewRing(0, 0, 1)),
		"ellipse": stacktest.Must(law.NewEllipse(0, 0, 2, 1, 0.3)),
		"normal":  stacktest.Must(law.NewBivariate(0, 0, 1, 2, 0.5)),
	} {
		b.Run(name, func(b *testing.B) {
			stream := law.NewStream(1, "x", 0)
			dst := [][]float64{make([]float64, 1024), make([]float64, 1024)}
			for b.Loop() {
				l.Draw(dst, nil, &stream)
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/1024, "ns/pair")
		})
	}
}

func BenchmarkNormals_Draw(b *testing.B) {
	c := stacktest.Must(law.NewNormals(make([]float64, 3), [][]float64{{1, 0.5, 0.2}, {0.5, 1, 0.1}, {0.2, 0.1, 1}}))
	s := law.NewStream(1, "x", 0)
	dst, work := [][]float64{make([]float64, 1024), make([]float64, 1024), make([]float64, 1024)}, make([]float64, 1024)
	for b.Loop() {
		c.Draw(dst, work, &s)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/3072, "ns/draw")
}
