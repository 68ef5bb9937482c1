package advise

import (
	"fmt"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// DowelChoice is the offset dowel that brings a bore nearest to true.
type DowelChoice struct {
	Step     tolerance.Offset // offset of one end from the other, as sold; 0: leave the straight dowels
	Residual tolerance.TIR    // what the dial reads afterwards with perfect aim
}

// DowelStep chooses, for a bore that reads tir, the offset dowel in stock that leaves the least reading: the one nearest half the reading, the smaller of two as near. Nothing is fitted while the reading is within accept.
//
// It returns [ErrNotPossible] when even the best leaves more than accept: the housing is to be replaced or bored.
//
// Source: a maker's chart of offset dowels by TIR, checked in the test; offset is half the TIR (geometry).
func DowelStep(tir, accept tolerance.TIR, stock []tolerance.Offset) (DowelChoice, error) {
	for path, v := range map[string]float64{"tir": float64(tir), "accept": float64(accept)} {
		if err := finite(path, tolerance.Length(v), 0); err != nil {
			return DowelChoice{}, err
		}
	}
	best := DowelChoice{Residual: tir}
	if tir <= accept {
		return best, nil
	}
	for i, s := range stock {
		if err := finite(fmt.Sprintf("stock/%d", i), s.Length(), 0); err != nil {
			return DowelChoice{}, err
		}
		left := tolerance.TIR(math.Abs(float64(tir) - 2*float64(s)))
		if left < best.Residual-rounding || (left < best.Residual+rounding && s < best.Step) {
			best = DowelChoice{s, left}
		}
	}
	if best.Residual > accept+rounding {
		return best, fmt.Errorf("offset dowels: the best in stock (%v) leaves %v, more than %v: %w", best.Step, best.Residual, accept, ErrNotPossible)
	}
	return best, nil
}

// Corner is a dial reading at one corner of a face, positive where the face is farther away.
type Corner struct {
	At      align.Vec2
	Reading tolerance.Length
}

// CornerShim is what to put at one corner.
type CornerShim struct {
	Raw   tolerance.Length // highest reading less this one: it also bends the part flat
	Plane tolerance.Length // by the best plane alone: it tilts the part and bends nothing
	Left  tolerance.Length // what no tilt takes out: the reading less the plane
}

// CornerShims says what to put at each corner of a face that was dialled there: by the rule of the trade, highest reading less this one, and by the best plane through the readings, which tilts the part without bending it. What the plane leaves is warp: no shim should bend a part by it.
//
// Source: common practice, no published source (the rule; a maker's worked example is checked in the test); the plane by least squares.
func CornerShims(corners []Corner) ([]CornerShim, error) {
	if len(corners) < 3 {
		return nil, fault.At("corners", fmt.Sprint(len(corners)), "at least three", fault.ErrOutOfRange)
	}
	face := &align.Face{}
	highest := math.Inf(-1)
	for i, c := range corners {
		for _, v := range []tolerance.Length{c.At.X, c.At.Y, c.Reading} {
			if err := finite(fmt.Sprintf("corners/%d", i), v, -100*tolerance.Metre); err != nil {
				return nil, err
			}
		}
		face.Points = append(face.Points, align.Vec3{X: c.At.X, Y: c.At.Y, Z: c.Reading})
		highest = math.Max(highest, float64(c.Reading))
	}
	plane, err := planeOf(&align.Part{Name: "face", Rear: face}, true)
	if err != nil {
		return nil, err
	}
	top := math.Inf(-1)
	for _, c := range corners {
		top = math.Max(top, float64(plane.at(c.At.X, c.At.Y)))
	}
	out := make([]CornerShim, len(corners))
	for i, c := range corners {
		at := plane.at(c.At.X, c.At.Y)
		out[i] = CornerShim{Raw: tolerance.Length(highest) - c.Reading, Plane: tolerance.Length(top) - at, Left: c.Reading - at}
	}
	return out, nil
}
