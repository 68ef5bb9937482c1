package floatset

import "math"

// A float that follows three numbers: what looks for a worst draw, or spreads draws evenly, needs
// near draws from near numbers, which rejection does not give.
//
// Derivation: let q be the direction from one set's arm to the other's and n square to it. In d₁ =
// p₁ + f + γq₁ and d₂ = p₂ + f + γq₂ both sets stand still; n·(d₂ − d₁) = n·(p₂ − p₁) whatever (f,
// γ), and (d₁, q·d₂) is linear in (f, γ) and determines it. So F is: one t = n·d₁, and for it two
// chords along q that know nothing of each other. Uniform in F is t by the density of the product
// of the two chords' lengths, and a uniform point of each chord.
//
// Source: Rosenblatt, Remarks on a multivariate transformation, Ann. Math. Stat. 23 (1952); hand
// calculation.

// section is F as a place t and the chords there.
type section struct {
	chords
	store [2]cut
	pair  twoSets // of a shift without a turn, the first alone,
	g     float64 // and the turn
}

// section sees F so, in memory that the set keeps. It reports false where F is not that of one or
// two sets that are whole.
func (s *Set) section() (*section, bool) {
	if s.cutUp == nil {
		s.cutUp = &section{chords: chords{rules: newRules()}}
	}
	return s.cutUp, s.cutUp.of(s)
}

func (x *section) of(s *Set) bool {
	s.lookForSets()
	switch len(s.sets) {
	case 1:
		x.pair, x.qx, x.qy, x.g = twoSets{one: &s.sets[0]}, 1, 0, s.Target.G
	case 2:
		x.pair = pairOf(&s.sets[0], &s.sets[1])
		if x.qx, x.qy = x.pair.qx, x.pair.qy; s.sets[0].Slab && s.sets[1].Slab || !(x.pair.arm > noArm*s.CharLength) {
			return false
		}
	default:
		return false
	}
	x.cuts = x.store[:len(s.sets)]
	ok, off := true, [2]float64{1: x.pair.off}
	for i := range x.cuts {
		var seen bool
		x.cuts[i], seen = cutOf(&s.sets[i], x.qx, x.qy, off[i])
		ok = ok && seen
	}
	return ok
}

// vec is the displacement at t, e1 along the first chord and e2 along the second.
func (x *section) vec(t, e1, e2 float64) Vec {
	p := &x.pair
	if p.two == nil {
		return Vec{e1 - p.one.PX, t - p.one.PY, x.g}
	}
	g := (e2 - e1 - p.ahead) / p.arm
	return Vec{e1*p.qx - t*p.qy - p.one.PX - g*p.one.QX, e1*p.qy + t*p.qx - p.one.PY - g*p.one.QY, g}
}

// follow is the point of F at u, three numbers in [0, 1], uniform in (fx, fy, γ) where they are. It
// reports false where nothing so simple is known.
func (s *Set) follow(u [3]float64) (Vec, bool) {
	x, ok := s.section()
	if !ok {
		return Vec{}, false
	}
	t, ok := x.share(u[0])
	var e [2]float64
	for i := range x.cuts {
		e[i] = x.cuts[i].along(t, u[1+i])
	}
	return x.vec(t, e[0], e[1]), ok
}

// sectionMoments are the moments of F by its sections: along a chord the mean is its middle, the
// variance a twelfth of its length squared. It reports false where nothing so simple is known.
func (s *Set) sectionMoments() (m Moments, ok bool) {
	x, ok := s.section()
	if !ok {
		return m, false
	}
	var room [piecesMost + 1]float64
	ends := x.ends(room[:0])
	none, along := [3]float64{}, [2][3]float64{}
	at := s.Scaled(x.vec(0, 0, 0))
	for i, v := range [2]Vec{x.vec(0, 1, 0), x.vec(0, 0, 1)} {
		w := s.Scaled(v)
		for k := range w {
			along[i][k] = w[k] - at[k]
		}
	}
	for k := range len(ends) - 1 {
		p := piece{&x.chords, ends[k], ends[k+1]}
		for i, z := range x.rules.longX {
			t, weight := p.at(z), x.rules.longW[i]*p.of(z)
			var e, long [2]float64
			for c := range x.cuts {
				lo, hi := x.cuts[c].chord(t)
				e[c], long[c] = (lo+hi)/2, hi-lo
			}
			m.add(s.Scaled(x.vec(t, e[0], e[1])), none, weight, 0, 0)
			for c := range x.cuts {
				m.add(none, along[c], 0, 0, weight*long[c]*long[c]/12)
			}
		}
	}
	return m, m.Weight > 0 && !math.IsInf(m.Weight, 0)
}
