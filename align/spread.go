package align

import (
	"strconv"

	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// FloatSpread is the mean and covariance of how a joint lies in its float, in (x mm, y mm, turn rad
// clockwise), and where it rests.
type FloatSpread struct {
	Rest       Float
	Mean       [3]float64 // from the rest
	Covariance [3][3]float64
}

// FloatSpread works out the float of joint i at the stack's present numbers under a
// distribution: [LiesUniform] over the float in (x, y, R·turn), or [LiesRim]. Any other gives no
// spread.
func (s Stack) FloatSpread(i int, lies Lie) (FloatSpread, error) {
	if err := s.Validate(); err != nil {
		return FloatSpread{}, err
	}
	if i < 0 || i >= len(s.Joints) {
		return FloatSpread{}, fault.At("/joints", strconv.Itoa(i), "a joint of the stack", fault.ErrUnknownName)
	}
	k, err := workOut(s)
	if err != nil {
		return FloatSpread{}, err
	}
	seat := k.seats[i]
	out := FloatSpread{Rest: Float{tolerance.Length(seat.rest.X), tolerance.Length(seat.rest.Y), tolerance.Angle(-seat.rest.G)}}
	var m floatset.Moments
	switch lies {
	case LiesUniform:
		m, err = seat.set.UniformMoments()
	case LiesRim:
		m = seat.set.RimMoments(seat.rest)
	default:
		return out, nil
	}
	if err != nil || m.Weight == 0 {
		return out, err
	}
	rest := seat.set.Scaled(seat.rest)
	unit := [3]float64{1, 1, -1 / seat.set.CharLength}
	for a := range 3 {
		out.Mean[a] = (m.First[a]/m.Weight - rest[a]) * unit[a]
		for b := range 3 {
			out.Covariance[a][b] = (m.Second[a][b]/m.Weight - m.First[a]*m.First[b]/(m.Weight*m.Weight)) * unit[a] * unit[b]
		}
	}
	return out, nil
}
