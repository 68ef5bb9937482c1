package floatset

import "math"

// A float is drawn from one number in (0, 1), which seeds the few numbers that rejection needs, or
// from three, which it follows (follow.go): the same law, so that a sample is the same wherever it
// is drawn. Rejection is many times as quick.

// Numbers are what a float is drawn from.
type Numbers [3]float64

// WordsOf are those that u starts.
func WordsOf(u float64) Words { return Words(math.Float64bits(u)) }

// seeds is what the second number is below where the first alone seeds the draw: a difference taken
// at 0, an end of the numbers, steps below it by less.
const seeds = -0.5

// Alone reports whether the first number seeds the draw.
func (n Numbers) Alone() bool { return n[1] < seeds }

// within are the numbers, those beyond an end of 0 to 1 at it.
func (n Numbers) within() Numbers {
	for i, u := range n {
		n[i] = min(max(u, 0), 1)
	}
	return n
}

const (
	Tries     = 2500 // of rejection before walking instead; of a pair's, one in five misses the disc
	walkSteps = 60   // of a hit-and-run walk, which forgets its start within a dozen
)

// Words are the random words that one number starts: SplitMix64.
//
// Source: Steele, Lea and Flood, Fast splittable pseudorandom number generators, OOPSLA 2014,
// figure 16.
type Words uint64

func (w *Words) next() uint64 {
	*w += increment
	z := uint64(*w)
	z = (z ^ z>>30) * 0xbf58476d1ce4e5b9
	z = (z ^ z>>27) * 0x94d049bb133111eb
	return z ^ z>>31
}

// increment is 2⁶⁴ divided by the increment ratio, odd.
const increment = 0x9e3779b97f4a7c15

// fraction is a number in (0, 1).
func (w *Words) fraction() float64 { return (float64(int64(w.next()>>12)) + 0.5) * 0x1p-52 }

// inDisc is a point of the unit disc.
func (w *Words) inDisc() (x, y float64) {
	for {
		z := w.next()
		x, y = (float64(int32(z>>32))+0.5)*0x1p-31, (float64(int32(z))+0.5)*0x1p-31
		if x*x+y*y <= 1 {
			return x, y
		}
	}
}

// words are what the numbers seed: the first alone, or all of them where nothing that follows them
// is known.
func (n Numbers) words() Words {
	w := WordsOf(n[0])
	if !n.Alone() {
		for _, u := range n[1:] {
			w = Words(w.next()) ^ WordsOf(u)
		}
	}
	return w
}

// Uniform is a point of F drawn uniformly in (fx, fy, L·γ).
//
// With r = p + f + γq at one full constraint, (r, γ) has the same measure as (f, γ): r is drawn in
// that constraint's disc, γ in the window that another constraint leaves at most, which moves with
// r, and the pair is kept if it is within them all.
func (s *Set) Uniform(u Numbers) (Vec, error) {
	if s.Dim == 0 {
		return s.Nearest()
	}
	if !u.Alone() {
		u = u.within()
	}
	source := u.words()
	if s.Dim == 1 {
		share := u[0]
		if u.Alone() {
			share = source.fraction()
		}
		lo, hi := s.interval(s.Base, s.Span[0])
		return s.AtSpan([3]float64{lo + (hi-lo)*share}), nil
	}
	if !u.Alone() {
		if v, ok := s.follow(u); ok {
			return v, nil
		}
	}
	if s.whole() {
		if v, ok := s.Reject(source); ok {
			return v, nil
		}
	}
	return s.walk(&source)
}

// Reject draws a point of F by rejection, every constraint being open; false where too few points
// are kept.
func (s *Set) Reject(source Words) (Vec, bool) {
	var at sighting
	if !at.of(s) {
		return Vec{}, false
	}
	f := &s.Constraints[at.disc]
	for range Tries {
		x, y := source.inDisc()
		x, y = f.Radius*x, f.Radius*y
		g := s.Target.G
		if s.Turns {
			g = at.middle + at.x*x + at.y*y + at.half*(2*source.fraction()-1)
		}
		v := Vec{x - f.PX - g*f.QX, y - f.PY - g*f.QY, g}
		if s.Roomy(v, 0, at.disc) {
			return v, true
		}
	}
	return Vec{}, false
}

// sighting is what points of F are drawn from when every constraint is open: (x, y) from the disc
// of one constraint, γ within half of middle + x·x + y·y, the window that another leaves.
type sighting struct {
	disc               int // constraint
	middle, x, y, half float64
}

// of chooses the tightest disc and the narrowest window: with d + (x, y) + γa at another
// constraint, γ is never farther than its room/|a| from where that comes nearest to the middle. It
// reports false when there is none.
func (at *sighting) of(s *Set) bool {
	at.disc = -1
	for i := range s.Constraints {
		if f := &s.Constraints[i]; !f.Slab && (at.disc < 0 || f.Radius < s.Constraints[at.disc].Radius) {
			at.disc = i
		}
	}
	if at.disc < 0 || !s.Turns {
		return at.disc >= 0
	}
	f := &s.Constraints[at.disc]
	least := math.Inf(1)
	for i := range s.Constraints {
		if i == at.disc {
			continue
		}
		o := &s.Constraints[i]
		ax, ay := o.QX-f.QX, o.QY-f.QY
		if o.Slab { // along its normal alone
			along := o.NX*ax + o.NY*ay
			ax, ay = along*o.NX, along*o.NY
		}
		inv := 1 / (ax*ax + ay*ay)
		if half := o.Radius * o.Radius * inv; half < least {
			least = half
			at.x, at.y = -ax*inv, -ay*inv
			at.middle = at.x*(o.PX-f.PX) + at.y*(o.PY-f.PY)
		}
	}
	at.half = math.Sqrt(least)
	return !math.IsInf(least, 1)
}

// TurnedAlone draws the turn where the shift is held and constraints leave room at v: uniformly in what
// they leave about it.
func TurnedAlone(c []Constraint, v Vec, u float64) Vec {
	if len(c) == 0 {
		return v
	}
	lo, hi := TurnsAt(c, v, 0)
	source := WordsOf(u)
	v.G += lo + (hi-lo)*source.fraction()
	return v
}

// walk is the end of a hit-and-run walk through F from its base: each step goes to a uniform point
// of the chord in a uniform direction, which leaves the uniform law as it is.
//
// Source: Smith, Efficient Monte Carlo procedures for generating points uniformly distributed over
// bounded regions, Operations Research 32 (1984).
func (s *Set) walk(source *Words) (Vec, error) {
	at := s.Base
	for range walkSteps {
		var along [3]float64
		for k := range s.Dim {
			c := math.Sqrt(-2*math.Log(source.fraction())) * math.Cos(2*math.Pi*source.fraction())
			for i := range 3 {
				along[i] += c * s.Span[k][i]
			}
		}
		lo, hi := s.interval(at, along)
		if math.IsInf(lo, 0) || math.IsInf(hi, 0) {
			continue
		}
		t := lo + (hi-lo)*source.fraction()
		for i := range 3 {
			at[i] += t * along[i]
		}
	}
	return s.Vec(at), nil
}

// Rim is the point of F farthest from the rest in the direction at u of a whole turn from +y, the
// turn at rest; the rest itself where the shift is held.
func (s *Set) Rim(rest Vec, u float64) Vec {
	if s.Dim < 2 || (s.Dim == 2 && s.Turns) {
		return rest
	}
	sin, cos := math.Sincos(2 * math.Pi * u)
	at := s.Scaled(rest)
	_, hi := s.interval(at, [3]float64{sin, cos, 0})
	return s.Vec([3]float64{at[0] + hi*sin, at[1] + hi*cos, at[2]})
}
