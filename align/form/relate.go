package form

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// TangentPlane associates a datum plane by ISO 5459: it touches the points outside the material, and
// the greatest distance of a point from it is least, which makes it the outer plane of the minimum
// zone. Outward points out of the material, roughly along the normal (within 90°); the normal of the
// result points that way too. The deviations are then 0 where it touches and negative inside.
//
// It returns the errors of [FitPlane], and [fault.ErrUndefined] when outward lies in the plane.
//
// Source: ISO 5459:2011 Annex A (association outside the material, least greatest distance) (from
// memory).
func TangentPlane(points []r3.Vec, outward r3.Vec) (PlaneFit, error) {
	f, err := FitPlane(points, MinimumZone, Uncertainty{})
	if err != nil {
		return PlaneFit{}, err
	}
	const square = 1e-9 // of the outward direction's length: rounding of its component along the normal
	length, along := r3.Norm(outward), r3.Dot(f.Normal, outward)
	if !(length > 0) || !ieee.Finite(length) || !(math.Abs(along) > square*length) {
		return PlaneFit{}, fault.At("outward", "", "a direction out of the material, not one in the plane", fault.ErrUndefined)
	}
	if d := f.Deviation; along < 0 {
		f.Normal = r3.Scale(-1, f.Normal)
		f.Deviation.Peak, f.Deviation.Valley, f.Deviation.High, f.Deviation.Low = -d.Valley, -d.Peak, d.Low, d.High
	}
	peak := f.Deviation.Peak
	f.Point = r3.Add(f.Point, r3.Scale(peak.Millimetres(), f.Normal))
	f.Deviation.Peak, f.Deviation.Valley = 0, f.Deviation.Valley-peak
	f.Rule = OutsideMaterial
	return f, nil
}

// Parallelism returns how far a surface, given by its points, is from parallel to the datum plane: the
// distance of the two nearest planes parallel to it that hold all points. No points give 0.
//
// Source: ISO 1101 (parallelism of a surface to a datum plane).
func (p Plane) Parallelism(points []r3.Vec) tolerance.Length {
	return tolerance.Length(span(points, p.Height))
}

// Perpendicularity returns how far an axis, given by its two ends ([CylinderFit].Ends), is from square
// to the datum plane: the diameter of the narrowest cylinder square to it that holds both.
//
// Source: ISO 1101 (perpendicularity of a median line to a datum plane).
func (p Plane) Perpendicularity(ends [2]r3.Vec) tolerance.Length {
	return tolerance.Length(Axis{Direction: p.Normal}.Distance(r3.Sub(ends[1], ends[0])))
}

// Axis is a straight line in space: Point in mm, Direction of length 1. The zero value is not an axis.
type Axis struct {
	Point     r3.Vec
	Direction r3.Vec
}

// Distance returns how far q lies from the axis, in mm.
func (a Axis) Distance(q r3.Vec) float64 {
	return r3.Norm(r3.Cross(a.Direction, r3.Sub(q, a.Point)))
}

// Coaxiality returns how far an axis, given by its two ends, is from the datum axis: the diameter of
// the cylinder about the datum that holds both, twice the greater offset.
//
// Source: ISO 1101 (coaxiality).
func (a Axis) Coaxiality(ends [2]r3.Vec) tolerance.Length {
	return tolerance.Length(2 * math.Max(a.Distance(ends[0]), a.Distance(ends[1])))
}

// Runout returns what a dial square to the datum axis shows on a section, given by its points, as the
// part turns once: circular radial run-out; of several sections together, total radial run-out.
//
// Source: ISO 1101 (circular and total radial run-out).
func (a Axis) Runout(points []r3.Vec) tolerance.TIR {
	return tolerance.TIR(span(points, a.Distance))
}

// AxialRunout returns what a dial along the datum axis shows on a face, given by its points.
//
// Source: ISO 1101 (circular and total axial run-out).
func (a Axis) AxialRunout(points []r3.Vec) tolerance.TIR {
	return tolerance.TIR(span(points, Plane{Point: a.Point, Normal: a.Direction}.Height))
}

// nearest returns the point of the axis nearest to q.
func (a Axis) nearest(q r3.Vec) r3.Vec {
	return r3.Add(a.Point, r3.Scale(r3.Dot(a.Direction, r3.Sub(q, a.Point)), a.Direction))
}

// span is the greatest less the least of a measure of the points; 0 of none.
func span(points []r3.Vec, of func(r3.Vec) float64) float64 {
	if len(points) == 0 {
		return 0
	}
	hi, lo := math.Inf(-1), math.Inf(1)
	for _, p := range points {
		v := of(p)
		hi, lo = math.Max(hi, v), math.Min(lo, v)
	}
	return hi - lo
}
