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
	limits := []float64{-4, -tailEdge, -3, -2, -1, -0.1, 0, 0.1, 1, 2, 3, tailEdge, 4, 4.5}
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

// The topmost strip ends at the top of the density, for 256 strips at the edge and with the area that the source gives too.
//
// Source: Marsaglia and Tsang, The ziggurat method for generating random variables, J. Stat. Software 5(8) (2000): r = 3.6541528853610088 and v = 0.00492867323399 for 256 strips (from memory).
func TestEdges_closeAtTheTop(t *testing.T) {
	edge := edges()
	area := edge[0] * densities[1]
	if top := area/edge[layerCount-1] + densities[layerCount-1]; math.Abs(top-1) > 1e-12 {
		t.Errorf("the strips reach %.15g, want 1", top)
	}
	const r, v = 3.6541528853610088, 0.00492867323399
	if got := r*math.Exp(-r*r/2) + math.Sqrt(math.Pi/2)*math.Erfc(r/math.Sqrt2); math.Abs(got-v) > 1e-13 { // its last two digits do not reproduce: 397
		t.Errorf("area %.15g, want %.15g", got, v)
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
