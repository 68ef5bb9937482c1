package batch

import (
	"fmt"
	"maps"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/internal/rules"
	"example.com/borestack/tolerance"
)

// Piece is one measured part of a batch, in the order of making.
type Piece struct {
	Name string

	// At is the signed vector in the part's own frame, seen from the tail: an offset, or a wedge as the
	// rise of the thicker side across the part.
	At align.Vec2

	// Lay is how the part lay in the fixture: the clock position of the fixture at which the part's own
	// 12 o'clock was. Absent: not known.
	Lay tolerance.Optional[tolerance.Angle]

	// Labels say how it was made: clamping, side, machine, operator, supplier, by whatever names.
	Labels map[string]string
}

// Batch is measured parts of one kind, in order of making. The zero value is empty, which is refused.
type Batch struct {
	Of     string // what the vector is, in words: "wedge of the plate"
	Pieces []Piece

	Greatest tolerance.Optional[tolerance.Length] // largest size of the vector that a part may have

	// Scatter is the process's standard deviation of one component where it is known from earlier batches;
	// 0: it is not. It is what tells two kinds of parts mixed from one kind that scatters more.
	Scatter tolerance.Length

	// U is the standard uncertainty of one component as measured; it is part of the scatter that is seen.
	U tolerance.Length
}

// fewest is how many pieces a batch needs for its scatter to mean something.
const fewest = 8

// What no part and no fixture reaches: sizes are squared, and angles keep their digits.
const (
	farthest   = 1e5 // mm
	mostTurned = 1e4 // radians
)

// check names what is wrong with a batch.
func (b *Batch) check() error {
	var wrong rules.List
	wrong.Need(len(b.Pieces) >= fewest, "pieces", len(b.Pieces), fmt.Sprintf("at least %d", fewest), fault.ErrTooFew)
	wrong.Need(rules.NotNegative(b.Scatter), "scatter", b.Scatter, "zero or more", fault.ErrOutOfRange)
	wrong.Need(rules.NotNegative(b.U), "u", b.U, "zero or more", fault.ErrOutOfRange)
	g := b.Greatest
	wrong.Need(!g.Given || rules.Positive(g.Value), "greatest", g.Value, "more than 0", fault.ErrOutOfRange)
	for i, p := range b.Pieces {
		at := fmt.Sprintf("pieces/%d/", i)
		wrong.Need(p.At.Size() <= farthest, at+"at", fmt.Sprintf("(%.4g, %.4g) mm", p.At.X, p.At.Y), fmt.Sprintf("a finite vector of at most %g mm", farthest), fault.ErrNotFinite)
		lay := float64(p.Lay.Value)
		wrong.Need(!p.Lay.Given || math.Abs(lay) <= mostTurned, at+"lay", lay, "a clock position", fault.ErrNotFinite)
	}
	return wrong.Err()
}

// labels are the names under which all pieces carry a label, with what they carry, in order; those that are
// alike in all pieces tell nothing, and those that some lack, or that differ in most, are not asked of.
func (b *Batch) labels() (out map[string][]string, unasked []string) {
	kinds := map[string]map[string]int{}
	for _, p := range b.Pieces {
		for name, value := range p.Labels {
			if kinds[name] == nil {
				kinds[name] = map[string]int{}
			}
			kinds[name][value]++
		}
	}
	out = map[string][]string{}
	for _, name := range slices.Sorted(maps.Keys(kinds)) {
		values, pieces := kinds[name], 0
		for _, n := range values {
			pieces += n
		}
		switch {
		case pieces < len(b.Pieces) || 3*len(values) > pieces:
			unasked = append(unasked, name)
		case len(values) > 1:
			out[name] = slices.Sorted(maps.Keys(values))
		}
	}
	return out, unasked
}

// spread is the standard deviation of one component as it is measured, mm, where the process's is known;
// 0: it is not.
func (b *Batch) spread() float64 {
	if b.Scatter == 0 {
		return 0
	}
	return math.Hypot(float64(b.Scatter), float64(b.U))
}

// vectors are the pieces' vectors, mm.
func (b *Batch) vectors() []r2.Vec {
	out := make([]r2.Vec, len(b.Pieces))
	for i, p := range b.Pieces {
		out[i] = r2.Vec{X: float64(p.At.X), Y: float64(p.At.Y)}
	}
	return out
}

// public is a vector in lengths.
func public(v r2.Vec) align.Vec2 {
	return align.Vec2{X: tolerance.Length(v.X), Y: tolerance.Length(v.Y)}
}

// turned is a vector turned clockwise, seen from the tail, where x is to the right and y up.
func turned(v r2.Vec, by float64) r2.Vec { return r2.Rotate(v, -by, r2.Vec{}) }

// mean of vectors.
func mean(v []r2.Vec) (m r2.Vec) {
	for _, w := range v {
		m = r2.Add(m, w)
	}
	return r2.Scale(1/float64(len(v)), m)
}
