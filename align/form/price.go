package form

import "math"

// price returns the constraint that enters the basis and by how much it is violated: one that
// strays most. Looking at all points costs most of an exchange, so that it keeps a short list of
// the worst of every block of points and looks at those until none of them strays.
func (s *strip) price(sol *solution, tol float64) (active, float64) {
	v := pricing{strip: s, x: sol.x, hi: math.Inf(1), lo: math.Inf(-1)}
	if s.side != onlyLow {
		v.hi = sol.hi
	}
	if s.side != onlyHigh {
		v.lo = sol.lo
	}
	for k := range s.m {
		if e := sol.x[k] - s.box; e > v.by {
			v.worst, v.by = active{wallUp, k}, e
		}
		if e := -sol.x[k] - s.box; e > v.by {
			v.worst, v.by = active{wallDown, k}, e
		}
	}
	for _, i := range s.short {
		v.look(i)
	}
	// A contact of the basis may stray by rounding and hide the points that are not on the list.
	const rounding = 100
	if v.by > rounding*tol {
		return v.worst, v.by
	}
	const blocks, fewest = 64, 256
	if len(s.d) <= fewest {
		for i := range s.d {
			v.look(i)
		}
		return v.worst, v.by
	}
	s.short = s.short[:0]
	best, by := v.worst, v.by
	step := (len(s.d) + blocks - 1) / blocks
	for from := 0; from < len(s.d); from += step {
		v.by = tol
		for i := from; i < min(from+step, len(s.d)); i++ {
			v.look(i)
		}
		if v.by > tol {
			s.short = append(s.short, v.worst.row)
		}
		if v.by > by {
			best, by = v.worst, v.by
		}
	}
	if by <= tol {
		return best, 0
	}
	return best, by
}

// pricing keeps the constraint that is violated most of those looked at.
type pricing struct {
	strip  *strip
	x      [4]float64
	hi, lo float64
	worst  active
	by     float64
}

func (v *pricing) look(i int) {
	s, x := v.strip, &v.x
	d := s.d[i]
	switch s.m {
	case 2:
		d -= s.a[2*i]*x[0] + s.a[2*i+1]*x[1]
	case 3:
		a := s.a[3*i : 3*i+3 : 3*i+3]
		d -= a[0]*x[0] + a[1]*x[1] + a[2]*x[2]
	case 4:
		a := s.a[4*i : 4*i+4 : 4*i+4]
		d -= a[0]*x[0] + a[1]*x[1] + a[2]*x[2] + a[3]*x[3]
	default:
		d -= s.a[i] * x[0]
	}
	if e := d - v.hi; e > v.by {
		v.worst, v.by = active{high, i}, e
	} else if e := v.lo - d; e > v.by {
		v.worst, v.by = active{low, i}, e
	}
}
