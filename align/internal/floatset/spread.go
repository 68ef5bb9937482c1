package floatset

import (
	"math"

	"example.com/borestack/internal/gauss"
)

// Moments are integrals over a float of 1, v and vvᵀ, v in (fx, fy, L·γ).
type Moments struct {
	Weight float64
	First  [3]float64
	Second [3][3]float64
}

// add counts the point c + r·u with moments of orders 0 to 2 along the ray: weights w0, w1 r, w2
// r².
func (m *Moments) add(c, u [3]float64, w0, w1, w2 float64) {
	m.Weight += w0
	for a := range 3 {
		m.First[a] += w0*c[a] + w1*u[a]
		for b := range 3 {
			m.Second[a][b] += w0*c[a]*c[b] + w1*(c[a]*u[b]+u[a]*c[b]) + w2*u[a]*u[b]
		}
	}
}

// rays is how many directions a turn is divided into; a float's edge has corners, so that the error
// falls with the square of it.
const rays = 2880

// RimMoments average over uniform directions.
func (s *Set) RimMoments(rest Vec) (m Moments) {
	for i := range rays {
		v := s.Scaled(s.Rim(rest, (float64(i)+0.5)/rays))
		m.add(v, [3]float64{}, 1, 0, 0)
	}
	return m
}

// UniformMoments are those of a point drawn uniformly in F.
func (s *Set) UniformMoments() (m Moments, err error) {
	if s.Dim == 0 {
		v, err := s.Nearest()
		m.add(s.Scaled(v), [3]float64{}, 1, 0, 0)
		return m, err
	}
	if m, ok := s.sectionMoments(); ok && s.Dim > 1 {
		return m, nil
	}
	return s.rayMoments()
}

// rayMoments integrate along rays from a point inside: F is convex, so that every ray leaves it
// once. Where F is many times as long as it is thin, few rays go far.
func (s *Set) rayMoments() (m Moments, err error) {
	centre, err := s.middle()
	if err != nil {
		return m, err
	}
	ray := func(t [3]float64, solid float64) {
		var u [3]float64
		for k := range s.Dim {
			for i := range 3 {
				u[i] += s.Span[k][i] * t[k]
			}
		}
		_, r := s.interval(centre, u)
		if math.IsInf(r, 0) {
			return
		}
		n := float64(s.Dim)
		rn := math.Pow(r, n) * solid
		m.add(centre, u, rn/n, rn*r/(n+1), rn*r*r/(n+2))
	}
	switch s.Dim {
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
		gauss.Legendre(z, w, -1, 1)
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

// middle is a point well inside the float: the mean of the farthest points along every free
// direction.
func (s *Set) middle() (c [3]float64, err error) {
	for k := range s.Dim {
		for _, sign := range [2]float64{-1, 1} {
			g := s.Span[k]
			v, err := s.Farthest(Vec{sign * g[0], sign * g[1], sign * g[2] * s.CharLength})
			if err != nil {
				return c, err
			}
			at := s.Scaled(v)
			for i := range 3 {
				c[i] += at[i] / float64(2*s.Dim)
			}
		}
	}
	return c, nil
}
