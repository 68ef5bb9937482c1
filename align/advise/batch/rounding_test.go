package batch_test

import (
	"fmt"
	"math"
	"testing"

	"example.com/borestack/align"
	"example.com/borestack/align/advise/batch"
	"example.com/borestack/tolerance"
)

// Where all that differs is rounding beside the common vector, sums of squares may come out a little less
// than none; every chance is one all the same.
func TestFind_rounding(t *testing.T) {
	for _, common := range []tolerance.Length{1e5} {
		for small := tolerance.Length(1e-13); small < 1e-4; small *= 100 {
			for _, labels := range []int{1, 2} {
				b := batch.Batch{Of: "wedge"}
				for i := range 8 {
					b.Pieces = append(b.Pieces, batch.Piece{
						At:     align.Vec2{X: common, Y: small * tolerance.Length(i*i%7)},
						Labels: map[string]string{"side": fmt.Sprint(i % labels)},
					})
				}
				f, err := batch.Find(t.Context(), b)
				if err != nil {
					t.Fatalf("%v beside %v: %v", small, common, err)
				}
				for _, c := range f.Causes {
					if !(c.Chance >= 0 && c.Chance <= 1) || math.IsNaN(float64(c.Radius)) {
						t.Errorf("%v beside %v: %+v", small, common, c)
					}
				}
			}
		}
	}
}
