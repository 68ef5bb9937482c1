package form_test

import (
	"errors"
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/fault"
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

// Source: hand calculation for each case, definitions of ISO 1101; the datum is z = 0 or the z axis, in a tilted frame.
func TestDatum_closedForms(t *testing.T) {
	plane := form.Datum{Kind: form.DatumPlane, Point: tilted(r3.Vec{X: 5}), Direction: r3.Scale(3, directed(r3.Vec{Z: 1})), Rule: form.OutsideMaterial}
	axis := form.Datum{Kind: form.DatumAxis, Point: tilted(r3.Vec{Z: 9}), Direction: directed(r3.Vec{Z: -2}), Rule: form.LeastSquares}
	// A face at z = 50 that rises 0.02 over 100 mm along x, and a wall x = 0.0004·z - 0.0001·y, 100 mm × 200 mm.
	face := allTilted(r3.Vec{Z: 50}, r3.Vec{X: 100, Z: 50.02}, r3.Vec{X: 100, Y: 80, Z: 50.02}, r3.Vec{Y: 80, Z: 50})
	wall := allTilted(r3.Vec{}, r3.Vec{X: -0.02, Y: 200}, r3.Vec{X: 0.04, Z: 100}, r3.Vec{X: 0.02, Y: 200, Z: 100})
	// An axis that leans 0.03 over 100 mm along x and is 0.04 off along y.
	line := allTilted(r3.Vec{Y: 0.04}, r3.Vec{X: 0.03, Y: 0.04, Z: 100})
	lying := allTilted(r3.Vec{Z: 7}, r3.Vec{X: 100, Z: 7.05})
	const tol = 2e-12 // rounding of coordinates of a metre
	for _, c := range []struct {
		name      string
		run       func() (form.Relation, error)
		want      float64
		diametral bool
		datum     form.Datum
	}{
		{"face parallel to plane", func() (form.Relation, error) { return plane.ParallelSurface(face) }, 0.02, false, plane},
		{"face square to axis", func() (form.Relation, error) { return axis.SquareSurface(face) }, 0.02, false, axis},
		// Square to the plane, the wall may follow its own slope along y: what is left is 0.0004·100 mm, square to the trace.
		{"wall square to plane", func() (form.Relation, error) { return plane.SquareSurface(wall) }, 0.04 * math.Cos(math.Atan(1e-4)), false, plane},
		{"wall parallel to axis", func() (form.Relation, error) { return axis.ParallelSurface(wall) }, 0.04 * math.Cos(math.Atan(1e-4)), false, axis},
		{"axis parallel to axis", func() (form.Relation, error) { return axis.ParallelAxis(line) }, 0.03, true, axis},
		{"axis square to plane", func() (form.Relation, error) { return plane.SquareAxis(line) }, 0.03, true, plane},
		{"axis parallel to plane", func() (form.Relation, error) { return plane.ParallelAxis(lying) }, 0.05, false, plane},
		{"axis square to axis", func() (form.Relation, error) { return axis.SquareAxis(lying) }, 0.05, false, axis},
		{"coaxial", func() (form.Relation, error) { return axis.Coaxial(line) }, 0.1, true, axis},
		{"position of an axis", func() (form.Relation, error) { return axis.Position(line) }, 0.1, true, axis},
		{"position of a surface", func() (form.Relation, error) { return plane.Position(lying) }, 14.1, false, plane},
		{"straight square axis", func() (form.Relation, error) {
			return axis.ParallelAxis(allTilted(r3.Vec{X: 3}, r3.Vec{X: 3, Z: 50}, r3.Vec{X: 3, Z: 90}))
		}, 0, true, axis},
	} {
		rel, err := c.run()
		if err != nil {
			t.Error(c.name, err)
			continue
		}
		near(t, c.name, rel.Value.Millimetres(), c.want, tol)
		if rel.Diametral != c.diametral || rel.Datum != c.datum.Rule {
			t.Errorf("%s: %+v", c.name, rel)
		}
	}
}

// Source: exact arithmetic: 2·√(dx² + dy²): 0.03, 0.04: 0.1; 0.01, 0.01: 0.0282842712; 0.09, 0.07: 0.2280350850.
func TestPositionOfPoint(t *testing.T) {
	for _, c := range [][3]float64{{0.03, 0.04, 0.1}, {0.01, 0.01, 0.0282842712}, {0.09, 0.07, 0.2280350850}} {
		near(t, "position", form.PositionOfPoint(r2.Vec{X: 40 + c[0], Y: 30 - c[1]}, r2.Vec{X: 40, Y: 30}).Millimetres(), c[2], 1e-10)
	}
}

// Source: hand calculation: a round shaft off centre by e runs out by 2e (e at right angles to second order); a face out of square by angle s over diameter D by D·s.
func TestDatum_runout(t *testing.T) {
	axis := form.Datum{Kind: form.DatumAxis, Point: tilted(r3.Vec{}), Direction: directed(r3.Vec{Z: 4}), Rule: form.MaximumInscribed}
	const e, s, n = 0.025, 0.001, 360
	var near1, near2, face []r3.Vec
	for i := range n {
		sin, cos := math.Sincos(2 * math.Pi * float64(i) / n)
		near1 = append(near1, r3.Vec{X: e + 20*cos, Y: 20 * sin, Z: 10})
		near2 = append(near2, r3.Vec{X: 20.01 * cos, Y: 2*e + 20.01*sin, Z: 60})
		face = append(face, r3.Vec{X: 40 * cos, Y: 40 * sin, Z: 5 + s*40*sin})
	}
	r, err := axis.RadialRunout(allTilted(near1...), allTilted(near2...))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "first", float64(r.Sections[0]), 2*e, 1e-12)
	near(t, "second", float64(r.Sections[1]), 4*e, 2e-12)
	near(t, "worst", float64(r.Worst), 4*e, 2e-12)
	near(t, "offset", r.Worst.Offset().Length().Millimetres(), 2*e, 1e-12)
	near(t, "total", float64(r.Total), (20.01+2*e)-(20.01-2*e), 2e-12)
	a, err := axis.AxialRunout(allTilted(face...))
	if err != nil {
		t.Fatal(err)
	}
	near(t, "axial", float64(a.Total), 80*s, 1e-12)
	if r.Datum != form.MaximumInscribed || a.Datum != form.MaximumInscribed {
		t.Error("datum not named")
	}
}

// A tangent plane touches the high points on the outside; the flat below it is at the minimum zone's depth.
func TestTangentPlane(t *testing.T) {
	points := spaceData(t, "plane_grid25_saddle")
	zone := must[form.PlaneFit](t)(form.MinimumZonePlane(points, none))
	for _, up := range []float64{1, -1} {
		f := must[form.PlaneFit](t)(form.TangentPlane(points, r3.Vec{Z: up}, none))
		near(t, "along outward", f.Normal.Z*up, 1, 1e-6)
		top, low := math.Inf(-1), math.Inf(1)
		for _, p := range points {
			top, low = math.Max(top, f.Height(p)), math.Min(low, f.Height(p))
		}
		near(t, "outside", top, 0, 1e-13)
		near(t, "depth", low, -zone.Deviation.Total.Millimetres(), 1e-13)
		near(t, "valley", f.Deviation.Valley.Millimetres(), low, 1e-13)
		for _, c := range f.Deviation.High {
			near(t, "contact", f.Height(points[c.Row]), 0, 1e-12)
		}
		if f.Rule != form.OutsideMaterial || f.Datum().Rule != form.OutsideMaterial {
			t.Error(f.Rule)
		}
	}
	if _, err := form.TangentPlane(points, r3.Sub(r3.Vec{}, r3.Vec{}), none); !errors.Is(err, fault.ErrUndefined) {
		t.Error(err)
	}
}

// Source: ISO 1101 (from memory): parallelism is no less than flatness of the same face; total runout no less than circular; coaxiality of an axis is no less than its parallelism.
func TestRelations_order(t *testing.T) {
	for seed := range uint64(10) {
		face := measuredPlane(40, seed)
		flat := must[form.PlaneFit](t)(form.MinimumZonePlane(face, none))
		datum := must[form.PlaneFit](t)(form.LeastSquaresPlane(measuredPlane(40, seed+50), none)).Datum()
		rel := must[form.Relation](t)(datum.ParallelSurface(face))
		if rel.Value < flat.Deviation.Total {
			t.Error("parallelism below flatness", rel.Value, flat.Deviation.Total)
		}
		bore := must[form.CylinderFit](t)(form.DatumCylinder(measuredCylinder(60, seed), form.Bore, none))
		other := must[form.CylinderFit](t)(form.LeastSquaresCylinder(measuredCylinder(60, seed+9), none))
		par, co := must[form.Relation](t)(bore.Datum().ParallelAxis(other.Ends[:])), must[form.Relation](t)(bore.Datum().Coaxial(other.Ends[:]))
		if co.Value < par.Value {
			t.Error("coaxiality below parallelism", co.Value, par.Value)
		}
	}
}

// Source: hand calculation: a bore of radius 10 about (3, 4) leans on nothing but the primary face.
func TestSecondaryAxis(t *testing.T) {
	primary := form.Datum{Kind: form.DatumPlane, Point: tilted(r3.Vec{}), Direction: directed(r3.Vec{Z: 1}), Rule: form.OutsideMaterial}
	var bore []r3.Vec
	for i := range 12 {
		s, c := math.Sincos(math.Pi / 6 * float64(i))
		bore = append(bore, r3.Vec{X: 3 + 10*c, Y: 4 + 10*s, Z: float64(i % 3)})
	}
	d, circle, err := form.SecondaryAxis(allTilted(bore...), primary, form.Bore, none)
	if err != nil {
		t.Fatal(err)
	}
	near(t, "radius", circle.Radius.Millimetres(), 10, 1e-12)
	rel := must[form.Relation](t)(d.Coaxial(allTilted(r3.Vec{X: 3, Y: 4, Z: -20}, r3.Vec{X: 3, Y: 4, Z: 20})))
	near(t, "axis", rel.Value.Millimetres(), 0, 4e-12)
	if d.Rule != form.MaximumInscribed {
		t.Error(d.Rule)
	}
	if d, _, err = form.SecondaryAxis(allTilted(bore...), primary, form.Shaft, none); err != nil || d.Rule != form.MinimumCircumscribed {
		t.Error(d.Rule, err)
	}
	for _, c := range []struct {
		primary form.Datum
		side    form.Side
		n       int
		want    error
	}{{d, form.Bore, 12, form.ErrDatum}, {primary, 0, 12, fault.ErrUndefined}, {primary, form.Bore, 1, fault.ErrTooFew}} {
		if _, _, err := form.SecondaryAxis(bore[:c.n], c.primary, c.side, none); !errors.Is(err, c.want) {
			t.Error(err)
		}
	}
}

func TestDatum_bad(t *testing.T) {
	plane := form.Datum{Kind: form.DatumPlane, Direction: r3.Vec{Z: 1}}
	axis := form.Datum{Kind: form.DatumAxis, Direction: r3.Vec{Z: 1}}
	points := measuredPlane(5, 1)
	bad := append(measuredPlane(5, 1)[:4:4], r3.Vec{Z: math.NaN()})
	for _, c := range []struct {
		name string
		err  error
		want error
	}{
		{"zero datum", second(form.Datum{}.ParallelSurface(points)), form.ErrDatum},
		{"no direction", second(form.Datum{Kind: form.DatumAxis}.Position(points)), form.ErrDatum},
		{"coaxial with a plane", second(plane.Coaxial(points)), form.ErrDatum},
		{"runout about a plane", second(plane.RadialRunout(points)), form.ErrDatum},
		{"no section", second(axis.RadialRunout()), fault.ErrTooFew},
		{"one point of a section", second(axis.AxialRunout(points, points[:1])), fault.ErrTooFew},
		{"two points of a surface", second(plane.ParallelSurface(points[:2])), fault.ErrTooFew},
		{"NaN", second(plane.SquareSurface(bad)), fault.ErrNotFinite},
		{"NaN of an axis", second(axis.ParallelAxis(bad)), fault.ErrNotFinite},
		{"NaN of runout", second(axis.RadialRunout(bad)), fault.ErrNotFinite},
		{"no side", second(form.DatumCylinder(points, 0, none)), fault.ErrUndefined},
	} {
		if !errors.Is(c.err, c.want) {
			t.Errorf("%s: %v", c.name, c.err)
		}
	}
}

func second[T any](_ T, err error) error { return err }
