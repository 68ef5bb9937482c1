package align

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/align/internal/dense"
)

// No point of a shadow's rim is farther than its longest by more than the share asked for, and none
// beyond its bound; a bound without a search is never less, and covers alone prove most of them.
//
// Source: a second method: a sweep of directions.
func TestShadow_longestAgainstSweep(t *testing.T) {
	checked, proved := 0, 0
	eachLooseBox(t, 6, 120, func(name string, k *kernel, rng *rand.Rand) {
		o := k.newOver()
		o.aboutRest()
		for n := range k.lay.groups {
			s := o.listCircuits(n)
			o.now = s
			for i := range s.circuits {
				o.cast(s.circuits[i].weights)
				w := &o.shadow
				if rng.IntN(3) == 0 { // nearer the middle, where several tops are alike
					w.x, w.y = w.x*0.1, w.y*0.1
				}
				const share = 1e-7
				most := w.most()
				bound, err := w.longest(0, share)
				if err != nil {
					t.Fatal(err)
				}
				far := w.far.r
				if _, ok := w.within(far*(1+share), share); ok {
					proved++
				}
				checked++
				if bound > far*(1+1e-5) {
					t.Errorf("%s: longest %.12g, bounded by %.12g", name, far, bound)
				}
				if most < far*(1-1e-12) {
					t.Errorf("%s: longest %.12g, without a search at most %.12g", name, far, most)
				}
				const steps = 180
				for n := range steps {
					p, err := w.look(2 * math.Pi * float64(n) / steps)
					if err != nil {
						t.Fatal(err)
					}
					if p.r > far*(1+share)+1e-15 || p.r > bound*(1+1e-10) {
						t.Fatalf("%s: longest %.12g, bounded by %.12g, but %.12g at %g", name, far, bound, p.r, p.angle)
					}
					if !w.covers {
						continue
					}
					sin, cos := math.Sincos(p.angle - w.far.angle)
					topSin, topCos := math.Sincos(w.far.angle)
					ahead, beside := topSin*w.restX+topCos*w.restY, topCos*w.restX-topSin*w.restY
					if h := w.covered(ahead, beside, cos, sin); h < p.h-1e-12*(1+dense.Length(w.x, w.y)) {
						t.Fatalf("%s: covers reach %.15g, the shadow %.15g", name, h, p.h)
					}
				}
			}
		}
	})
	if proved < checked/3 || checked < 100 {
		t.Errorf("%d of %d proved by covers alone", proved, checked)
	}
}
