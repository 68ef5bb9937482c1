package align

import (
	"math"

	"gonum.org/v1/gonum/integrate/quad"

	"example.com/borestack/tolerance"
)

// FloatSpread is the mean and covariance of how a joint lies in its float, in (x mm, y mm, turn rad clockwise), and where it rests.
type FloatSpread struct {
	Rest       Float
	Mean       [3]float64 // from the rest
	Covariance [3][3]float64
}

// FloatSpread works out the float of joint i at the stack's present numbers under a law: [LiesUniform] over the float in (x, y, R·turn), or [LiesRim]. Any other law gives no spread.
func (s Stack) FloatSpread(i int, law Lie) (FloatSpread, error) {
	if err := s.Validate(); err != nil {
		return FloatSpread{}, err
	}
	k := newKernel(s, newLayout(&s))
	if err := k.solve(); err != nil {
		return FloatSpread{}, err
	}
	seat := k.seats[i]
	out := FloatSpread{Rest: Float{tolerance.Length(seat.rest.x), tolerance.Length(seat.rest.y), tolerance.Angle(-seat.rest.g)}}
	var m floatMoments
	var err error
	switch law {
	case LiesUniform:
		m, err = seat.set.uniformMoments()
	case LiesRim:
		m = seat.set.rimMoments(seat.rest)
	default:
		return out, nil
	}
	if err != nil || m.weight == 0 {
		return out, err
	}
	rest := seat.set.scaled(seat.rest)
	unit := [3]float64{1, 1, -1 / seat.set.lever}
	for a := range 3 {
		out.Mean[a] = (m.first[a]/m.weight - rest[a]) * unit[a]
		for b := range 3 {
			out.Covariance[a][b] = (m.second[a][b]/m.weight - m.first[a]*m.first[b]/(m.weight*m.weight)) * unit[a] * unit[b]
		}
	}
	return out, nil
}

// floatMoments are integrals over a float of 1, v and vvᵀ, v in (fx, fy, lever·γ).
type floatMoments struct {
	weight float64
	first  [3]float64
	second [3][3]float64
}

// add counts the point c + r·u with moments of orders 0 to 2 along the ray: weights w0, w1 r, w2 r².
func (m *floatMoments) add(c, u [3]float64, w0, w1, w2 float64) {
	m.weight += w0
	for a := range 3 {
		m.first[a] += w0*c[a] + w1*u[a]
		for b := range 3 {
			m.second[a][b] += w0*c[a]*c[b] + w1*(c[a]*u[b]+u[a]*c[b]) + w2*u[a]*u[b]
		}
	}
}

// rays is how many directions a turn is divided into; a float's edge has corners, so that the error falls with the square of it.
const rays = 2880

// rimMoments average over uniform directions.
func (s *floatSet) rimMoments(rest float3) (m floatMoments) {
	for i := range rays {
		v := s.scaled(s.rim(rest, (float64(i)+0.5)/rays))
		m.add(v, [3]float64{}, 1, 0, 0)
	}
	return m
}

// uniformMoments integrate along rays from a point inside: the float is convex, so every ray leaves it once.
func (s *floatSet) uniformMoments() (m floatMoments, err error) {
	if s.dim == 0 {
		v, err := s.nearest()
		m.add(s.scaled(v), [3]float64{}, 1, 0, 0)
		return m, err
	}
	centre, err := s.middle()
	if err != nil {
		return m, err
	}
	ray := func(t [3]float64, solid float64) {
		var u [3]float64
		for k := range s.dim {
			for i := range 3 {
				u[i] += s.span[k][i] * t[k]
			}
		}
		_, r := s.interval(centre, u)
		if math.IsInf(r, 0) {
			return
		}
		n := float64(s.dim)
		rn := math.Pow(r, n) * solid
		m.add(centre, u, rn/n, rn*r/(n+1), rn*r*r/(n+2))
	}
	switch s.dim {
	case 1:
		ray([3]float64{1}, 1)
		ray([3]float64{-1}, 1)
	case 2:
		for i := range rays {
			sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / rays)
			ray([3]float64{cos, sin}, 1)
		}
	default:
		const heights = 200
		z, w := make([]float64, heights), make([]float64, heights)
		quad.Legendre{}.FixedLocations(z, w, -1, 1)
		for k, h := range z {
			flat := math.Sqrt(1 - h*h)
			for i := range rays / 8 {
				sin, cos := math.Sincos(2 * math.Pi * (float64(i) + 0.5) / (rays / 8))
				ray([3]float64{flat * cos, flat * sin, h}, w[k])
			}
		}
	}
	return m, nil
}

// middle is a point well inside the float: the mean of the farthest points along every free direction.
func (s *floatSet) middle() (c [3]float64, err error) {
	for k := range s.dim {
		for _, sign := range [2]float64{-1, 1} {
			g := s.span[k]
			v, err := s.farthest(float3{sign * g[0], sign * g[1], sign * g[2] * s.lever})
			if err != nil {
				return c, err
			}
			at := s.scaled(v)
			for i := range 3 {
				c[i] += at[i] / float64(2*s.dim)
			}
		}
	}
	return c, nil
}
