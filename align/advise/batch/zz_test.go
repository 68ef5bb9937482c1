package batch

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/stackup/law"
	"example.com/borestack/tolerance"
)

func TestZZ(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 3))
	for _, n := range []int{8, 30} {
		for _, long := range []float64{1, 3} {
			for _, off := range []float64{0, 2} {
				truth, _ := law.NewNormalSize(off, 0, long*long, 1, 0)
				limit := truth.Quantile(0.98)
				q99 := truth.Quantile(0.99)
				hold, lo, hi := 0, 0, 0
				const m = 400
				for range m {
					b := Batch{Of: "x", Greatest: tolerance.Given(tolerance.Length(limit))}
					for range n {
						b.Pieces = append(b.Pieces, Piece{At: align.Vec2{X: tolerance.Length(off + long*r.NormFloat64()), Y: tolerance.Length(r.NormFloat64())}})
					}
					f, err := Find(t.Context(), b)
					if err != nil {
						t.Fatal(err)
					}
					if float64(f.Holds) >= q99 {
						hold++
					}
					if f.Beyond.Low > 0.02 {
						lo++
					}
					if f.Beyond.High < 0.02 {
						hi++
					}
				}
				t.Logf("n %d long %v off %v: holds %.3f, low too high %.3f, high too low %.3f", n, long, off, float64(hold)/m, float64(lo)/m, float64(hi)/m)
			}
		}
	}
	_ = math.Pi
}
