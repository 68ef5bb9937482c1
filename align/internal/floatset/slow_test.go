package floatset

import "math"

// slow answers what a float set is asked for by nested golden section alone, without a derivative,
// a closed form or a program: F is where no constraint is passed, told to a concave function by a
// steep price of passing one.
type slow struct {
	set *Set
	far float64 // half the range searched of each component, scaled
}

const (
	slowPrice = 1e5 // of passing a constraint by 1 mm: more than any multiplier of the sets tried
	slowSteps = 62  // of golden section: 0.618^62 = 1e-13
)

// golden is the greatest value of a concave function over [lo, hi].
func golden(steps int, lo, hi float64, f func(float64) float64) float64 {
	const g = 0.6180339887498949
	a, b := hi-g*(hi-lo), lo+g*(hi-lo)
	fa, fb := f(a), f(b)
	best := math.Max(fa, fb)
	for range steps {
		if fa < fb {
			lo, a, fa = a, b, fb
			b = lo + g*(hi-lo)
			fb = f(b)
		} else {
			hi, b, fb = b, a, fa
			a = hi - g*(hi-lo)
			fa = f(a)
		}
		best = math.Max(best, math.Max(fa, fb))
	}
	return best
}

// greatest is the greatest of a concave function of (x, y, L·γ), less the price, about the target.
func (w *slow) greatest(f func(v [3]float64) float64) float64 {
	s := w.set
	at := s.Scaled(s.Target)
	inner := func(z float64) float64 {
		if s.Fixed {
			v := [3]float64{at[0], at[1], z}
			return f(v) - w.price(v)
		}
		return golden(slowSteps, at[0]-w.far, at[0]+w.far, func(x float64) float64 {
			return golden(slowSteps, at[1]-w.far, at[1]+w.far, func(y float64) float64 {
				v := [3]float64{x, y, z}
				return f(v) - w.price(v)
			})
		})
	}
	if !s.Turns {
		return inner(at[2])
	}
	return golden(slowSteps, at[2]-w.far, at[2]+w.far, inner)
}

func (w *slow) price(v [3]float64) float64 {
	return slowPrice * math.Max(0, -w.set.slack(w.set.Vec(v)))
}

// reach is the greatest of pull·v over F.
func (w *slow) reach(pull Vec) float64 {
	return w.greatest(func(v [3]float64) float64 { return pull.X*v[0] + pull.Y*v[1] + pull.G/w.set.CharLength*v[2] })
}

// off is the least distance from the target over F.
func (w *slow) off() float64 {
	at := w.set.Scaled(w.set.Target)
	return -w.greatest(func(v [3]float64) float64 {
		x, y, z := v[0]-at[0], v[1]-at[1], v[2]-at[2]
		return -math.Sqrt(x*x + y*y + z*z)
	})
}
