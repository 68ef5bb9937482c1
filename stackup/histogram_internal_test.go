package stackup

import (
	"math"
	"math/rand/v2"
	"testing"
)

// Every value is counted at the place of its bucket, whatever octaves are held, and the buckets' ends hold it.
func TestHistogram_add(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 1))
	h := &histogram{centre: 2}
	want := map[int]uint64{}
	y := make([]float64, 0, 5000)
	for range 5000 {
		d := math.Ldexp(rng.NormFloat64(), rng.IntN(260)-130)
		if rng.IntN(3) == 0 {
			d = 0.1 * rng.NormFloat64()
		}
		y = append(y, 2+d)
	}
	y = append(y, 2, math.Inf(1), math.Inf(-1), math.Inf(1), math.MaxFloat64, -math.MaxFloat64, 2+5e-16)
	for at := 0; at < len(y); at += 100 {
		h.add(y[at:min(at+100, len(y))])
	}
	for _, v := range y {
		b, negative := bucketOf(v - 2)
		if b < 0 {
			continue
		}
		want[2*b+negative]++
		near, far := edges(b)
		if d := math.Abs(v - 2); (d < near || d > far) && b > 0 && b < buckets-1 {
			t.Errorf("%g is in the bucket %g to %g", d, near, far)
		}
	}
	for i, c := range h.counts {
		if c != want[h.from+i] {
			t.Errorf("place %d: %d, want %d", h.from+i, c, want[h.from+i])
		}
		delete(want, h.from+i)
	}
	if len(want) > 0 || h.over != 2 || h.under != 1 {
		t.Errorf("not counted: %v; over %d, under %d", want, h.over, h.under)
	}
}
