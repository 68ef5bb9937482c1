package main

import (
	"fmt"
	"io"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/tolerance"
)

// teller says features one after the other; the first ones are the datums.
type teller struct {
	out    io.Writer
	u      form.Uncertainty
	shared tolerance.Length // by all points: of their scale
	a      *form.PlaneFit
	b      *form.CylinderFit
}

// face says how flat a face is, and how it lies to the datums.
func (t *teller) face(points []r3.Vec) error {
	zone, err := form.FitPlane(points, form.MinimumZone, t.u)
	if err != nil {
		return err
	}
	least, err := form.FitPlane(points, form.LeastSquares, t.u)
	if err != nil {
		return err
	}
	fmt.Fprintf(t.out, "  flat within %v by %v; %v by %v, standard uncertainty %v\n",
		zone.Deviation.Total, zone.Rule, least.Deviation.Total, least.Rule, least.Deviation.UTotal.Value)
	if t.a == nil {
		a, err := form.TangentPlane(points, r3.Vec{Z: -1})
		t.a = &a
		fmt.Fprintf(t.out, "  is datum A, a plane %v\n", a.Rule)
		return err
	}
	fmt.Fprintf(t.out, "  parallel to A within %v\n", t.a.Parallelism(points))
	if t.b != nil {
		fmt.Fprintf(t.out, "  runs out about B by %v\n", t.b.AxialRunout(points))
	}
	return nil
}

func (t *teller) bore(points []r3.Vec) error   { return t.round(points, form.MaximumInscribed) }
func (t *teller) spigot(points []r3.Vec) error { return t.round(points, form.MinimumCircumscribed) }

// round says where a round feature is and how true, and how its datum axis lies to the datums.
func (t *teller) round(points []r3.Vec, rule form.Rule) error {
	c, err := form.FitCylinder(points, form.LeastSquares, t.u)
	if err != nil {
		return err
	}
	d, err := form.FitCylinder(points, rule, t.u)
	if err != nil {
		return err
	}
	of := func(v float64) tolerance.Length { return tolerance.Length(math.Sqrt(v)) }
	fmt.Fprintf(t.out, "  diameter %v, standard uncertainty %v; axis at (%.4f, %.4f), %v each way; cylindrical within %v by %v\n",
		2*c.Radius, of(4*c.Cov.At(4, 4)+float64(t.shared*t.shared)), c.Point.X, c.Point.Y, of(c.Cov.At(0, 0)), c.Deviation.Total, c.Rule)
	if t.a != nil {
		fmt.Fprintf(t.out, "  square to A within %v\n", t.a.Perpendicularity(d.Ends))
	}
	if t.b == nil {
		t.b = &d
		fmt.Fprintf(t.out, "  is datum B, an axis by the %v cylinder of diameter %v\n", d.Rule, 2*d.Radius)
		return nil
	}
	fmt.Fprintf(t.out, "  coaxial to B within %v; runs out about B by %v\n", t.b.Coaxiality(d.Ends), t.b.Runout(points))
	return nil
}
