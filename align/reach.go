package align

import (
	"math"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/tolerance"
)

// Stack is what the result was worked out for. It shares memory with the result and must not be
// changed.
func (a *Assembly) Stack() Stack { return a.stack }

// Reach is the region that a bore's centre takes from the main reference, over the float of all
// joints together: a polygon whose corners are the centre pushed as far as it goes, to first order,
// in so many directions, clockwise from 12 o'clock seen from the tail. It is nil where nothing
// moves it. It returns an error for a bore that the stack does not have.
func (a *Assembly) Reach(bore string, directions int) ([]Vec2, error) {
	k, err := workOut(a.stack)
	if err != nil {
		return nil, err
	}
	o := k.newOver()
	r, err := k.resolve(Output{What: OffsetSize, Of: bore})
	if err != nil || len(o.loose) == 0 {
		return nil, err
	}
	var region []Vec2
	moved := false
	for i := range directions {
		o.rest(o.spot)
		o.followVector(&r, o.spot)
		x, y := o.values[0], o.values[1]
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / float64(directions))
		if err := o.push(o.trial, sin, cos); err != nil {
			return nil, err
		}
		o.followVector(&r, o.trial)
		moved = moved || dense.Length(o.values[0]-x, o.values[1]-y) > tol.Touching
		region = append(region, Vec2{tolerance.Length(o.values[0]), tolerance.Length(o.values[1])})
	}
	if !moved {
		return nil, nil
	}
	return region, nil
}
