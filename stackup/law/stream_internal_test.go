package law

import (
	"math"
	"testing"
)

func TestStream_Normals_momentsAndTails(t *testing.T) {
	const n = 10_000_000
	s := NewStream(1, "x", 0)
	dst := make([]float64, 1024)
	var m1, m2, m3, m4 float64
	limits := []float64{-4, -3.6541528853610088, -3, -2, -1, -0.1, 0, 0.1, 1, 2, 3, 3.6541528853610088, 4, 4.5}
	beyond := make([]int, len(limits))
	for range n / 1024 {
		s.Normals(dst)
		for _, x := range dst {
			m1 += x
			m2 += x * x
			m3 += x * x * x
			m4 += x * x * x * x
			for i, l := range limits {
				if x > l {
					beyond[i]++
				}
			}
		}
	}
	total := float64(n / 1024 * 1024)
	for i, c := range []struct{ got, want, sd float64 }{{m1, 0, 1}, {m2, 1, math.Sqrt2}, {m3, 0, math.Sqrt(15)}, {m4, 3, math.Sqrt(96)}} {
		if z := (c.got/total - c.want) / c.sd * math.Sqrt(total); math.Abs(z) > 4.5 {
			t.Errorf("moment %d: %v, want %v (%.1f standard errors)", i+1, c.got/total, c.want, z)
		}
	}
	for i, l := range limits {
		p := math.Erfc(l/math.Sqrt2) / 2
		if z := (float64(beyond[i])/total - p) / math.Sqrt(p*(1-p)/total); math.Abs(z) > 4.5 {
			t.Errorf("share above %v: %v, want %v (%.1f standard errors)", l, float64(beyond[i])/total, p, z)
		}
	}
}

func BenchmarkStream_Normals(b *testing.B) {
	s := NewStream(1, "x", 0)
	dst := make([]float64, 256)
	for b.Loop() {
		s.Normals(dst)
	}
	b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N)/256, "ns/draw")
}
