package form_test

import (
	"errors"
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// tilted turns a stack-like frame into one at an angle, metres off, so that no test leans on the axes.
func tilted(p r3.Vec) r3.Vec { return r3.Add(directed(p), r3.Vec{X: 800, Y: -300, Z: 1200}) }

func directed(v r3.Vec) r3.Vec { return r3.NewRotation(0.7, r3.Vec{X: 1, Y: -2, Z: 0.5}).Rotate(v) }

func allTilted(points ...r3.Vec) []r3.Vec {
	q := make([]r3.Vec, len(points))
	for i, p := range points {
		q[i] = tilted(p)
	}
	return q
}

// Source: hand calculation for each case, definitions of ISO 1101; the datum is z = 0 or the z axis, in
// a tilted frame.
func TestRelations_closedForms(t *testing.T) {
	plane := form.Plane{Point: tilted(r3.Vec{X: 5}), Normal: directed(r3.Vec{Z: 1})}
	axis := form.Axis{Point: tilted(r3.Vec{Z: 9}), Direction: directed(r3.Vec{Z: -1})}
	// A face at z = 50 that rises 0.02 over 100 mm along x.
	face := allTilted(r3.Vec{Z: 50}, r3.Vec{X: 100, Z: 50.02}, r3.Vec{X: 100, Y: 80, Z: 50.02}, r3.Vec{Y: 80, Z: 50})
	// An axis that leans 0.03 over 100 mm along x and is 0.04 off along y.
	ends := [2]r3.Vec(allTilted(r3.Vec{Y: 0.04}, r3.Vec{X: 0.03, Y: 0.04, Z: 100}))
	const tol = 2e-12 // rounding of coordinates of a metre
	for _, c := range []struct {
		name      string
		got, want tolerance.Length
	}{
		{"face parallel to plane", plane.Parallelism(face), 0.02},
		{"axis square to plane", plane.Perpendicularity(ends), 0.03},
		{"axis coaxial to axis", axis.Coaxiality(ends), 0.1},
		{"no points", plane.Parallelism(nil), 0},
	} {
		check.Near(t, c.name, c.got.Millimetres(), c.want.Millimetres(), tol)
	}
}

// Source: hand calculation: a round shaft off centre by e runs out by 2e (e at right angles to second
// order); a face out of square by angle s over diameter D by D·s.
func TestAxis_runout(t *testing.T) {
	axis := form.Axis{Point: tilted(r3.Vec{}), Direction: directed(r3.Vec{Z: 1})}
	const e, s, n = 0.025, 0.001, 360
	var near1, near2, face []r3.Vec
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		near1 = append(near1, tilted(r3.Vec{X: e + 20*cos, Y: 20 * sin, Z: 10}))
		near2 = append(near2, tilted(r3.Vec{X: 20.01 * cos, Y: 2*e + 20.01*sin, Z: 60}))
		face = append(face, tilted(r3.Vec{X: 40 * cos, Y: 40 * sin, Z: 5 + s*40*sin}))
	}
	check.Near(t, "first", float64(axis.Runout(near1)), 2*e, 1e-12)
	check.Near(t, "second", float64(axis.Runout(near2)), 4*e, 2e-12)
	check.Near(t, "total", float64(axis.Runout(append(near1, near2...))), (20.01+2*e)-(20.01-2*e), 2e-12)
	check.Near(t, "axial", float64(axis.AxialRunout(face)), 80*s, 1e-12)
}

// A tangent plane touches the high points on the outside; the flat below it is at the minimum zone's
// depth.
func TestTangentPlane(t *testing.T) {
	points := spaceData(t, "plane_grid25_saddle")
	zone := must[form.PlaneFit](t)(planeBy(form.MinimumZone)(points, none))
	for _, up := range []float64{1, -1} {
		f := must[form.PlaneFit](t)(form.TangentPlane(points, r3.Vec{Z: up}))
		check.Near(t, "along outward", f.Normal.Z*up, 1, 1e-6)
		top, low := math.Inf(-1), math.Inf(1)
		for _, p := range points {
			top, low = math.Max(top, f.Height(p)), math.Min(low, f.Height(p))
		}
		check.Near(t, "outside", top, 0, 1e-13)
		check.Near(t, "depth", low, -zone.Deviation.Total.Millimetres(), 1e-13)
		check.Near(t, "valley", f.Deviation.Valley.Millimetres(), low, 1e-13)
		for _, row := range f.Deviation.High {
			check.Near(t, "contact", f.Height(points[row]), 0, 1e-12)
		}
		if f.Rule != form.OutsideMaterial {
			t.Error(f.Rule)
		}
	}
	for _, outward := range []r3.Vec{{}, {X: 1}, {X: math.NaN()}} {
		if _, err := form.TangentPlane([]r3.Vec{{}, {X: 9}, {Y: 9}, {X: 9, Y: 9}}, outward); !errors.Is(err, fault.ErrUndefined) {
			t.Error(outward, err)
		}
	}
}

// Source: ISO 1101 (from memory): parallelism is no less than flatness of the same face; total runout
// no less than circular; coaxiality of an axis is no less than how far its ends part along the datum.
func TestRelations_order(t *testing.T) {
	for seed := range uint64(10) {
		face := measuredPlane(40, seed)
		flat := must[form.PlaneFit](t)(planeBy(form.MinimumZone)(face, none))
		datum := must[form.PlaneFit](t)(planeBy(form.LeastSquares)(measuredPlane(40, seed+50), none))
		if p := datum.Parallelism(face); p < flat.Deviation.Total {
			t.Error("parallelism below flatness", p, flat.Deviation.Total)
		}
		bore := must[form.CylinderFit](t)(cylinderBy(form.MaximumInscribed)(measuredCylinder(60, seed), none))
		other := must[form.CylinderFit](t)(cylinderBy(form.LeastSquares)(measuredCylinder(60, seed+9), none))
		if par, co := (form.Plane{Normal: bore.Direction}).Perpendicularity(other.Ends), bore.Coaxiality(other.Ends); co < par {
			t.Error("coaxiality below parallelism", co, par)
		}
		points := measuredCylinder(60, seed)
		if bore.Runout(points) < bore.Runout(points[:20]) {
			t.Error("total runout below that of a part")
		}
	}
}

// A rule that a feature does not have is refused.
func TestFits_rules(t *testing.T) {
	_, plane := form.FitPlane(measuredPlane(9, 1), form.MaximumInscribed, none)
	_, circle := form.FitCircle(measuredCircle(9, 1), form.OutsideMaterial, none)
	_, cylinder := form.FitCylinder(measuredCylinder(20, 1), 9, none)
	for _, err := range []error{plane, circle, cylinder} {
		if !errors.Is(err, fault.ErrConflict) {
			t.Error(err)
		}
	}
}
