package form

import (
	"errors"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/tolerance"
)

// Relation is how far a feature strays from its datum: the width or diameter of the zone that the definition of ISO 1101 gives. The zero value is a feature without deviation from no datum.
type Relation struct {
	Value     tolerance.Length
	Diametral bool      // the zone is a cylinder and Value its diameter; otherwise two parallel planes and Value their distance
	Direction r3.Vec    // axis of the cylinder, or normal of the planes; zero for a point
	Contacts  []Contact // the points that decide, without weights
	Datum     Rule      // how the datum was associated
}

// ParallelSurface is the parallelism of a surface, given by three or more of its points, to a datum plane or axis: the distance of the two nearest planes parallel to the datum that hold all points. Parallel to an axis, the planes may turn about it, and the narrowest pair is found.
//
// It returns [fault.ErrTooFew], [fault.ErrNotFinite], [fault.ErrOutOfRange] and [ErrDatum].
//
// Source: ISO 1101 (parallelism).
func (d Datum) ParallelSurface(points []r3.Vec) (Relation, error) {
	return d.surface(points, DatumPlane)
}

// SquareSurface is the perpendicularity of a surface to a datum plane or axis: the distance of the two nearest planes square to the datum that hold all points. Square to a plane, the planes may turn about its normal, and the narrowest pair is found. Errors as for [Datum.ParallelSurface].
//
// Source: ISO 1101 (perpendicularity).
func (d Datum) SquareSurface(points []r3.Vec) (Relation, error) {
	return d.surface(points, DatumAxis)
}

// surface finds the zone: its normal is the datum's direction when the datum is of the kind fixed, and square to it otherwise.
func (d Datum) surface(points []r3.Vec, fixed DatumKind) (Relation, error) {
	d, err := d.prepared(points, 3)
	if err != nil {
		return Relation{}, err
	}
	if d.Kind == fixed {
		return d.along(points), nil
	}
	plane := Plane{Point: d.Point, Normal: d.Direction}
	c, err := newFlat(plane.coordinates(points), Uncertainty{}, 2)
	if errors.Is(err, ErrCoincident) {
		u, _ := plane.Axes()
		return Relation{Direction: u, Datum: d.Rule}, nil
	}
	if err != nil {
		return Relation{}, err
	}
	fit, err := c.zoneLine()
	if err != nil {
		return Relation{}, err
	}
	u, v := plane.Axes()
	n := r3.Add(r3.Scale(-fit.Direction.Y, u), r3.Scale(fit.Direction.X, v))
	return Relation{Value: fit.Deviation.Total, Direction: n, Contacts: plain(fit.Deviation), Datum: d.Rule}, nil
}

// ParallelAxis is the parallelism of an axis, given by two or more points of it (the ends of a fitted one, or the centres of cross-sections): to a datum axis, the diameter of the narrowest cylinder parallel to it that holds all points; to a datum plane, the distance of the two planes parallel to it. Errors as for [Datum.ParallelSurface].
//
// Source: ISO 1101 (parallelism of a median line).
func (d Datum) ParallelAxis(points []r3.Vec) (Relation, error) { return d.axis(points, DatumAxis) }

// SquareAxis is the perpendicularity of an axis: to a datum plane, the diameter of the narrowest cylinder square to it that holds all points; to a datum axis, the distance of the two planes square to it. Errors as for [Datum.ParallelSurface].
//
// Source: ISO 1101 (perpendicularity of a median line).
func (d Datum) SquareAxis(points []r3.Vec) (Relation, error) { return d.axis(points, DatumPlane) }

// axis finds the zone: a cylinder along the datum's direction when the datum is of the kind round.
func (d Datum) axis(points []r3.Vec, round DatumKind) (Relation, error) {
	d, err := d.prepared(points, 2)
	if err != nil {
		return Relation{}, err
	}
	if d.Kind != round {
		return d.along(points), nil
	}
	rel := Relation{Diametral: true, Direction: d.Direction, Datum: d.Rule}
	fit, err := MinimumCircumscribedCircle(Plane{Point: d.Point, Normal: d.Direction}.coordinates(points), Uncertainty{})
	if errors.Is(err, ErrCoincident) {
		return rel, nil
	}
	if err != nil {
		return Relation{}, err
	}
	rel.Value = 2 * fit.Radius
	for _, c := range fit.Deviation.High {
		rel.Contacts = append(rel.Contacts, Contact{Row: c.Row})
	}
	return rel, nil
}

// Coaxial is the coaxiality of an axis, given by one or more points of it, to a datum axis: the diameter of the cylinder about the datum that holds all points. It is twice the greatest offset.
//
// Source: ISO 1101 (coaxiality, concentricity).
func (d Datum) Coaxial(points []r3.Vec) (Relation, error) {
	if d.Kind == DatumPlane {
		return Relation{}, ErrDatum
	}
	return d.Position(points)
}

// Position is the position of a feature whose true place is the datum itself: of an axis, given by one or more points, about a true axis, the diameter of the cylinder about it that holds all points; of a surface at a true plane, the distance of the two planes that lie evenly about it and hold all points.
//
// Source: ISO 1101 (position).
func (d Datum) Position(points []r3.Vec) (Relation, error) {
	d, err := d.prepared(points, 1)
	if err != nil {
		return Relation{}, err
	}
	far := make([]float64, len(points))
	most := 0.0
	for i, p := range points {
		if d.Kind == DatumAxis {
			far[i] = Axis{Point: d.Point, Direction: d.Direction}.Distance(p)
		} else {
			far[i] = math.Abs(Plane{Point: d.Point, Normal: d.Direction}.Height(p))
		}
		most = math.Max(most, far[i])
	}
	return Relation{Value: tolerance.Length(2 * most), Diametral: d.Kind == DatumAxis, Direction: d.Direction, Contacts: reaching(far, most), Datum: d.Rule}, nil
}

// PositionOfPoint is the position of a point in a plane, such as the centre of a hole: the diameter of the circle about its true place that holds it, 2·√(dx² + dy²).
//
// Source: ISO 1101 (position of a point).
func PositionOfPoint(got, want r2.Vec) tolerance.Length {
	return tolerance.Length(2 * r2.Norm(r2.Sub(got, want)))
}

// Runout is what a dial shows as the part turns once about the datum axis.
type Runout struct {
	Sections []tolerance.TIR // circular runout of each section
	Worst    tolerance.TIR   // the largest of them: circular runout
	Total    tolerance.TIR   // over all sections with the dial carried along: total runout
	Datum    Rule
}

// RadialRunout is the runout of a round surface about a datum axis, dial square to the axis: of each section, given by two or more points, greatest less least distance from the axis.
//
// Source: ISO 1101 (circular and total radial run-out).
func (d Datum) RadialRunout(sections ...[]r3.Vec) (Runout, error) {
	return d.runout(sections, func(p r3.Vec) float64 { return Axis{Point: d.Point, Direction: r3.Unit(d.Direction)}.Distance(p) })
}

// AxialRunout is the runout of a face about a datum axis, dial along the axis: of each circle, given by two or more points, greatest less least height along the axis.
//
// Source: ISO 1101 (circular and total axial run-out).
func (d Datum) AxialRunout(circles ...[]r3.Vec) (Runout, error) {
	return d.runout(circles, func(p r3.Vec) float64 { return r3.Dot(r3.Unit(d.Direction), r3.Sub(p, d.Point)) })
}

func (d Datum) runout(sections [][]r3.Vec, dial func(r3.Vec) float64) (Runout, error) {
	if _, err := d.checked(DatumAxis); err != nil {
		return Runout{}, err
	}
	if len(sections) == 0 {
		return Runout{}, tooFew(0, 2)
	}
	r := Runout{Datum: d.Rule}
	top, bottom := math.Inf(-1), math.Inf(1)
	for _, points := range sections {
		if err := checkPoints(points, 2); err != nil {
			return Runout{}, err
		}
		hi, lo := math.Inf(-1), math.Inf(1)
		for _, p := range points {
			v := dial(p)
			hi, lo = math.Max(hi, v), math.Min(lo, v)
		}
		tir := tolerance.TIR(hi - lo)
		r.Sections, r.Worst = append(r.Sections, tir), max(r.Worst, tir)
		top, bottom = math.Max(top, hi), math.Min(bottom, lo)
	}
	r.Total = tolerance.TIR(top - bottom)
	return r, nil
}

// prepared checks datum and points.
func (d Datum) prepared(points []r3.Vec, want int) (Datum, error) {
	d, err := d.checked()
	if err != nil {
		return Datum{}, err
	}
	return d, checkPoints(points, want)
}

// along is the zone of two planes square to the datum's direction.
func (d Datum) along(points []r3.Vec) Relation {
	h := make([]float64, len(points))
	hi, lo := math.Inf(-1), math.Inf(1)
	for i, p := range points {
		h[i] = r3.Dot(d.Direction, r3.Sub(p, d.Point))
		hi, lo = math.Max(hi, h[i]), math.Min(lo, h[i])
	}
	rel := Relation{Value: tolerance.Length(hi - lo), Direction: d.Direction, Datum: d.Rule}
	for i, v := range h {
		if v == hi || v == lo {
			rel.Contacts = append(rel.Contacts, Contact{Row: i})
		}
	}
	return rel
}

// reaching lists the points at the most.
func reaching(v []float64, most float64) []Contact {
	var list []Contact
	for i, x := range v {
		if x == most {
			list = append(list, Contact{Row: i})
		}
	}
	return list
}

// plain lists the contacts of both sides without weights, in the order of the rows of each side.
func plain(dev Deviation) []Contact {
	var list []Contact
	for _, side := range [][]Contact{dev.High, dev.Low} {
		for _, c := range side {
			list = append(list, Contact{Row: c.Row})
		}
	}
	return list
}
