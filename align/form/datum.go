package form

import (
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
)

// Datum is a plane or an axis that other features are judged from, and how it was associated. The zero value is not a datum and is refused.
type Datum struct {
	Kind      DatumKind
	Point     r3.Vec // mm
	Direction r3.Vec // normal of the plane, or direction of the axis
	Rule      Rule   // how it was found: name it beside every result
}

// DatumKind is what a datum is.
type DatumKind uint8

// Kinds of datum.
const (
	DatumPlane DatumKind = iota + 1
	DatumAxis
)

// Side says where the material of a round feature is.
type Side uint8

// Sides.
const (
	Bore  Side = iota + 1 // material outside
	Shaft                 // material inside
)

// Datum returns the plane as a datum.
func (f PlaneFit) Datum() Datum {
	return Datum{Kind: DatumPlane, Point: f.Point, Direction: f.Normal, Rule: f.Rule}
}

// Datum returns the cylinder's axis as a datum.
func (f CylinderFit) Datum() Datum {
	return Datum{Kind: DatumAxis, Point: f.Point, Direction: f.Direction, Rule: f.Rule}
}

// TangentPlane associates a datum plane by ISO 5459: it touches the points outside the material, and the greatest distance of a point from it is least. That makes it the outer plane of the minimum zone. Outward points out of the material, roughly along the normal (within 90°); the normal of the result points that way too. The deviations are then 0 at the contacts and negative inside.
//
// It returns the errors of [MinimumZonePlane], and [fault.ErrUndefined] when outward lies in the plane.
//
// Source: ISO 5459:2011 Annex A (association outside the material, least greatest distance) (from memory).
func TangentPlane(points []r3.Vec, outward r3.Vec, u Uncertainty) (PlaneFit, error) {
	fit, s, sol, err := zonePlane(points, u)
	if err != nil {
		return PlaneFit{}, err
	}
	along := r3.Dot(fit.Normal, outward)
	const square = 1e-9
	if length := r3.Norm(outward); !(length > 0) || !finite(length) || !(along > square*length || along < -square*length) {
		return PlaneFit{}, atFault(whole, "the outward direction lies in the plane", "a direction out of the material", fault.ErrUndefined)
	}
	if along < 0 {
		fit.Cov = s.covariance(sol, bottom)
		return fit.turnedOver().raised(), nil
	}
	fit.Cov = s.covariance(sol, top)
	return fit.raised(), nil
}

// turnedOver reverses the normal. The covariance's slopes change with the axes, which are those of the new normal.
func (f PlaneFit) turnedOver() PlaneFit {
	u0, v0 := f.Axes()
	f.Normal = r3.Scale(-1, f.Normal)
	u1, v1 := f.Axes()
	d := f.Deviation
	f.Deviation.Peak, f.Deviation.Valley, f.Deviation.High, f.Deviation.Low = -d.Valley, -d.Peak, d.Low, d.High
	if f.Cov != nil {
		// Offset and slopes change sign with the normal; slopes are taken along the new axes.
		turn := [3][3]float64{{-1, 0, 0}, {0, -r3.Dot(u1, u0), -r3.Dot(u1, v0)}, {0, -r3.Dot(v1, u0), -r3.Dot(v1, v0)}}
		f.Cov = congruent(f.Cov, turn)
	}
	return f
}

// raised moves a plane from the middle of its zone to the high side.
func (f PlaneFit) raised() PlaneFit {
	peak := f.Deviation.Peak
	f.Point = r3.Add(f.Point, r3.Scale(peak.Millimetres(), f.Normal))
	f.Deviation.Peak, f.Deviation.Valley = 0, f.Deviation.Valley-peak
	f.Rule = OutsideMaterial
	return f
}

// DatumCylinder associates a datum axis by ISO 5459: that of the largest cylinder inscribed in a bore, or of the smallest circumscribed about a shaft. For one by least squares, use [LeastSquaresCylinder], whose rule names itself.
//
// Source: ISO 5459:2011 Annex A (cylinder, feature of size) (from memory).
func DatumCylinder(points []r3.Vec, side Side, u Uncertainty) (CylinderFit, error) {
	switch side {
	case Bore:
		return MaximumInscribedCylinder(points, u)
	case Shaft:
		return MinimumCircumscribedCylinder(points, u)
	}
	return CylinderFit{}, atFault(whole, "neither a bore nor a shaft", "Bore or Shaft", fault.ErrUndefined)
}

// SecondaryAxis associates the axis of a round feature as a secondary datum: square to a primary datum plane, through the centre of the largest circle inscribed in (bore) or the smallest circumscribed about (shaft) the points as seen along the primary normal. The circle is in the plane's own coordinates ([Plane.Coordinates]).
//
// Source: ISO 5459:2011 (secondary datum, orientation constrained by the primary) (from memory).
func SecondaryAxis(points []r3.Vec, primary Datum, side Side, u Uncertainty) (Datum, CircleFit, error) {
	primary, err := primary.checked(DatumPlane)
	if err != nil {
		return Datum{}, CircleFit{}, err
	}
	if err := checkPoints(points, 2); err != nil {
		return Datum{}, CircleFit{}, err
	}
	plane := Plane{Point: primary.Point, Normal: primary.Direction}
	flat := plane.coordinates(points)
	var fit CircleFit
	switch side {
	case Bore:
		fit, err = MaximumInscribedCircle(flat, u)
	case Shaft:
		fit, err = MinimumCircumscribedCircle(flat, u)
	default:
		err = atFault(whole, "neither a bore nor a shaft", "Bore or Shaft", fault.ErrUndefined)
	}
	if err != nil {
		return Datum{}, CircleFit{}, err
	}
	return Datum{Kind: DatumAxis, Point: plane.at(fit.Centre), Direction: plane.Normal, Rule: fit.Rule}, fit, nil
}

// checked returns the datum with a direction of length 1; kinds, if any, are those accepted.
func (d Datum) checked(kinds ...DatumKind) (Datum, error) {
	length := r3.Norm(d.Direction)
	if d.Kind != DatumPlane && d.Kind != DatumAxis || !(length > 0) || !finite(length, d.Point.X, d.Point.Y, d.Point.Z) {
		return Datum{}, ErrDatum
	}
	d.Direction = r3.Scale(1/length, d.Direction)
	for _, k := range kinds {
		if d.Kind != k {
			return Datum{}, ErrDatum
		}
	}
	return d, nil
}
