package form_test

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
)

// fitter reduces a fit to its form error (or radius) and says what kind of points it takes.
type fitter struct {
	name string
	flat bool
	make func(n int, seed uint64) []r3.Vec
	run  func([]r3.Vec) (float64, error)
}

func flatten(points []r3.Vec) []r2.Vec {
	flat := make([]r2.Vec, len(points))
	for i, p := range points {
		flat[i] = r2.Vec{X: p.X, Y: p.Y}
	}
	return flat
}

func lift(points []r2.Vec) []r3.Vec {
	lifted := make([]r3.Vec, len(points))
	for i, p := range points {
		lifted[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	return lifted
}

func circleMaker(n int, seed uint64) []r3.Vec { return lift(measuredCircle(n, seed)) }

func planeTotal(f form.PlaneFit, err error) (float64, error) {
	return f.Deviation.Total.Millimetres(), err
}

func circleTotal(f form.CircleFit, err error) (float64, error) {
	return f.Deviation.Total.Millimetres(), err
}

func circleRadius(f form.CircleFit, err error) (float64, error) { return f.Radius.Millimetres(), err }

func cylinderTotal(f form.CylinderFit, err error) (float64, error) {
	return f.Deviation.Total.Millimetres(), err
}

func cylinderRadius(f form.CylinderFit, err error) (float64, error) {
	return f.Radius.Millimetres(), err
}

var fitters = []fitter{
	{"plane least squares", false, measuredPlane, func(p []r3.Vec) (float64, error) { return planeTotal(planeBy(form.LeastSquares)(p, none)) }},
	{"plane minimum zone", false, measuredPlane, func(p []r3.Vec) (float64, error) { return planeTotal(planeBy(form.MinimumZone)(p, none)) }},
	{"circle least squares", true, circleMaker, func(p []r3.Vec) (float64, error) { return circleTotal(circleBy(form.LeastSquares)(flatten(p), none)) }},
	{"circle minimum zone", true, circleMaker, func(p []r3.Vec) (float64, error) { return circleTotal(circleBy(form.MinimumZone)(flatten(p), none)) }},
	{"circle circumscribed", true, circleMaker, func(p []r3.Vec) (float64, error) {
		return circleRadius(circleBy(form.MinimumCircumscribed)(flatten(p), none))
	}},
	{"circle inscribed", true, circleMaker, func(p []r3.Vec) (float64, error) {
		return circleRadius(circleBy(form.MaximumInscribed)(flatten(p), none))
	}},
	{"cylinder least squares", false, measuredCylinder, func(p []r3.Vec) (float64, error) { return cylinderTotal(cylinderBy(form.LeastSquares)(p, none)) }},
	{"cylinder minimum zone", false, measuredCylinder, func(p []r3.Vec) (float64, error) { return cylinderTotal(cylinderBy(form.MinimumZone)(p, none)) }},
	{"cylinder circumscribed", false, measuredCylinder, func(p []r3.Vec) (float64, error) {
		return cylinderRadius(cylinderBy(form.MinimumCircumscribed)(p, none))
	}},
	{"cylinder inscribed", false, measuredCylinder, func(p []r3.Vec) (float64, error) {
		return cylinderRadius(cylinderBy(form.MaximumInscribed)(p, none))
	}},
}

// Rigid motion, order, repeats and units leave results unchanged. Coordinates of some metres carry rounding of 2e-13 mm and more, which bounds the agreement.
func TestFits_invariant(t *testing.T) {
	rng := rand.New(rand.NewPCG(11, 12))
	for _, f := range fitters {
		for trial := range 6 {
			n := []int{9, 12, 25, 60, 200, 1000}[trial]
			points := f.make(n, uint64(trial))
			want, err := f.run(points)
			if err != nil {
				t.Errorf("%s, %d points: %v", f.name, n, err)
				continue
			}
			check := func(what string, points []r3.Vec, factor, tol float64) {
				t.Helper()
				got, err := f.run(points)
				if err != nil {
					t.Errorf("%s, %d points, %s: %v", f.name, n, what, err)
					return
				}
				check.Near(t, fmt.Sprintf("%s, %d points, %s", f.name, n, what), got/factor, want, tol)
			}
			mapped := func(m func(r3.Vec) r3.Vec) []r3.Vec {
				q := make([]r3.Vec, len(points))
				for i, p := range points {
					q[i] = m(p)
				}
				return q
			}
			shuffled := append([]r3.Vec(nil), points...)
			rng.Shuffle(len(shuffled), func(i, j int) { shuffled[i], shuffled[j] = shuffled[j], shuffled[i] })
			check("shuffled", shuffled, 1, 1e-11)
			if f.name[len(f.name)-len("squares"):] != "squares" {
				check("repeated", append(append([]r3.Vec(nil), shuffled...), points...), 1, 1e-11)
			}
			check("in metres", mapped(func(p r3.Vec) r3.Vec { return r3.Scale(1e-3, p) }), 1e-3, 1e-10)
			check("in inches", mapped(func(p r3.Vec) r3.Vec { return r3.Scale(1/25.4, p) }), 1/25.4, 1e-10)
			check("in nanometres", mapped(func(p r3.Vec) r3.Vec { return r3.Scale(1e6, p) }), 1e6, 1e-10)
			axis := r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
			shift := r3.Vec{X: 3000, Y: -2000, Z: 5000}
			if f.flat {
				axis, shift = r3.Vec{Z: 1}, r3.Vec{X: 3000, Y: -2000}
			}
			turn := r3.NewRotation(2*math.Pi*rng.Float64(), axis)
			check("moved", mapped(func(p r3.Vec) r3.Vec { return r3.Add(turn.Rotate(p), shift) }), 1, 1e-10)
			check("mirrored", mapped(func(p r3.Vec) r3.Vec { return r3.Vec{X: -p.X, Y: p.Y, Z: p.Z} }), 1, 1e-11)
		}
	}
}

// The minimum zone is no wider than that about any other feature, and MCC and MIC lie on the right sides of it.
func TestZones_order(t *testing.T) {
	for seed := range uint64(20) {
		n := 8 + 7*int(seed)
		plane := measuredPlane(n, seed)
		least, zone := must[form.PlaneFit](t)(planeBy(form.LeastSquares)(plane, none)), must[form.PlaneFit](t)(planeBy(form.MinimumZone)(plane, none))
		if zone.Deviation.Total > least.Deviation.Total {
			t.Error("flatness", zone.Deviation.Total, least.Deviation.Total)
		}
		circle := measuredCircle(n, seed)
		cl, cz := must[form.CircleFit](t)(circleBy(form.LeastSquares)(circle, none)), must[form.CircleFit](t)(circleBy(form.MinimumZone)(circle, none))
		cc, ci := must[form.CircleFit](t)(circleBy(form.MinimumCircumscribed)(circle, none)), must[form.CircleFit](t)(circleBy(form.MaximumInscribed)(circle, none))
		for _, other := range []form.CircleFit{cl, cc, ci} {
			if cz.Deviation.Total > other.Deviation.Total {
				t.Error("roundness", cz.Deviation.Total, other.Rule, other.Deviation.Total)
			}
		}
		if cc.Radius > cz.Radius+cz.Deviation.Peak || ci.Radius < cz.Radius+cz.Deviation.Valley {
			t.Error("radii", cc.Radius, cz.Radius, ci.Radius, cz.Deviation)
		}
		tube := measuredCylinder(n, seed)
		tl, tz := must[form.CylinderFit](t)(cylinderBy(form.LeastSquares)(tube, none)), must[form.CylinderFit](t)(cylinderBy(form.MinimumZone)(tube, none))
		tc, ti := must[form.CylinderFit](t)(cylinderBy(form.MinimumCircumscribed)(tube, none)), must[form.CylinderFit](t)(cylinderBy(form.MaximumInscribed)(tube, none))
		for _, other := range []form.CylinderFit{tl, tc, ti} {
			if tz.Deviation.Total > other.Deviation.Total {
				t.Error("cylindricity", tz.Deviation.Total, other.Rule, other.Deviation.Total)
			}
		}
		if tc.Radius > tz.Radius+tz.Deviation.Peak || ti.Radius < tz.Radius+tz.Deviation.Valley {
			t.Error("cylinders", tc.Radius, tz.Radius, ti.Radius, tz.Deviation)
		}
	}
}

// Adding a point never lowers a minimum zone, never shrinks a circumscribed circle, never widens an inscribed one.
func TestZones_monotone(t *testing.T) {
	const rounding = 1e-12
	for _, f := range fitters {
		sign := 1.0
		switch f.name {
		case "plane minimum zone", "circle minimum zone", "circle circumscribed", "cylinder minimum zone", "cylinder circumscribed":
		case "circle inscribed", "cylinder inscribed":
			sign = -1
		default:
			continue
		}
		for seed := range uint64(2) {
			points := f.make(60, seed)
			before := math.Inf(-1)
			for n := 14; n <= len(points); n += 2 {
				v, err := f.run(points[:n])
				if err != nil {
					if sign < 0 {
						continue // not surrounded yet
					}
					t.Fatal(f.name, n, err)
				}
				if sign*v < before-rounding {
					t.Errorf("%s, seed %d: %d points: %.15g after %.15g", f.name, seed, n, v, sign*before)
				}
				before = math.Max(before, sign*v)
			}
		}
	}
}
