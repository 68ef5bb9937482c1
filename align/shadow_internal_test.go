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

// The floats found for the shortest vector are within their sets, the vector is as long there as it
// is said to be, and no shorter anywhere, wherever the origin lies: before the shadow, in it, at its
// rim.
//
// Source: weak duality: in every direction the vector lies least by no more than its least length.
func TestShadow_nearestAgainstSweep(t *testing.T) {
	before, within := 0, 0
	eachLooseBox(t, 7, 80, func(name string, k *kernel, rng *rand.Rand) {
		o := k.newOver()
		o.aboutRest()
		s := o.listCircuits(0)
		for i := range s.circuits {
			o.cast(s.circuits[i].weights)
			w := &o.shadow
			p, err := w.look(2 * math.Pi * rng.Float64())
			if err != nil {
				t.Fatal(err)
			}
			size := dense.Length(p.x-w.x, p.y-w.y)
			from := []float64{0, 0.3, 1, 1, 3}[rng.IntN(5)]
			w.x, w.y = from*(w.x-p.x), from*(w.y-p.y) // the rim is there at 1
			least, err := w.nearest()
			if err != nil {
				t.Fatal(err)
			}
			x, y := w.x, w.y
			for l, j := range o.loose {
				if v, at := w.top[l], o.from[j.joint]; j.set.Roomy(v, -1e-9, -1) {
					x += w.gx[3*l]*(v.X-at.X) + w.gx[3*l+1]*(v.Y-at.Y) + w.gx[3*l+2]*(v.G-at.G)
					y += w.gy[3*l]*(v.X-at.X) + w.gy[3*l+1]*(v.Y-at.Y) + w.gy[3*l+2]*(v.G-at.G)
				} else {
					t.Errorf("%s: joint %d is put outside its float", name, j.joint)
				}
			}
			if got := dense.Length(x, y); math.Abs(got-least) > 1e-12+1e-9*size {
				t.Errorf("%s: %v long at its floats, said to be %v (size %v, from %v)", name, got, least, size, from)
			}
			if least > 0 {
				before++
			} else {
				within++
			}
			const steps = 90
			for n := range steps {
				q, err := w.near(2 * math.Pi * float64(n) / steps)
				if err != nil {
					t.Fatal(err)
				}
				if q.along > least+1e-12+1e-9*size {
					t.Fatalf("%s: least %v, but %v along %v", name, least, q.along, q.angle)
				}
			}
		}
	})
	if before < 50 || within < 20 {
		t.Errorf("%d before the shadow, %d within", before, within)
	}
}
