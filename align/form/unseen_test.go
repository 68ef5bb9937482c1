package form_test

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
)

// At the least sum of squares the distances, and their moments, cancel. What is left, over the number of points, is how far the feature is off, to a factor near 1. Coordinates of metres are rounded to 2e-13 mm themselves.
func TestLeastSquares_stationary(t *testing.T) {
	for _, n := range []int{6, 7, 10, 33, 1000, 100_000} {
		plane := measuredPlane(n, uint64(n))
		p := must[form.PlaneFit](t)(planeBy(form.LeastSquares)(plane, none))
		e1, e2 := p.Axes()
		var s [5]float64
		for _, q := range plane {
			d, off := p.Height(q), r3.Sub(q, p.Point)
			s[0] += d
			s[1] += d * r3.Dot(off, e1) / 100
			s[2] += d * r3.Dot(off, e2) / 100
		}
		small(t, "plane", s[:3], n)

		circle := measuredCircle(n, uint64(n))
		c := must[form.CircleFit](t)(circleBy(form.LeastSquares)(circle, none))
		s = [5]float64{}
		for _, q := range circle {
			off := r2.Sub(q, c.Centre)
			rho := r2.Norm(off)
			d := rho - c.Radius.Millimetres()
			s[0] += d
			s[1] += d * off.X / rho
			s[2] += d * off.Y / rho
		}
		small(t, "circle", s[:3], n)

		tube := measuredCylinder(n, uint64(n))
		f := must[form.CylinderFit](t)(cylinderBy(form.LeastSquares)(tube, none))
		e1, e2 = form.Plane{Normal: f.Direction}.Axes()
		s = [5]float64{}
		for _, q := range tube {
			off := r3.Sub(q, f.Point)
			x, y, z := r3.Dot(off, e1), r3.Dot(off, e2), r3.Dot(off, f.Direction)
			rho := math.Hypot(x, y)
			d := rho - f.Radius.Millimetres()
			for k, w := range [5]float64{1, x / rho, y / rho, z * x / rho / 20, z * y / rho / 20} {
				s[k] += d * w
			}
		}
		small(t, "cylinder", s[:], n)
	}
}

func small(t testing.TB, what string, sums []float64, n int) {
	t.Helper()
	const rounding = 1e-12
	for k, v := range sums {
		if !(math.Abs(v)/float64(n) <= rounding) {
			t.Errorf("%s of %d points: sum %d leaves %g", what, n, k, v/float64(n))
		}
	}
}

// The least sum of squares is no more than that about the feature that the points were made of: long and short cylinders, part of the way round, at every angle.
func TestLeastSquares_noWorseThanTruth(t *testing.T) {
	rng := rand.New(rand.NewPCG(61, 62))
	for trial := range 64 {
		dir := r3.Unit(r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()})
		e1, e2 := form.Plane{Normal: dir}.Axes()
		at := r3.Vec{X: 1000 * rng.NormFloat64(), Y: 1000 * rng.NormFloat64(), Z: 1000 * rng.NormFloat64()}
		r := 10 * math.Exp(rng.NormFloat64())
		length := r * []float64{0.2, 1, 3, 20}[trial%4]
		arc := []float64{2 * math.Pi, 2 * math.Pi, math.Pi, 1.2}[trial/4%4]
		n := []int{7, 12, 40, 1000}[trial/16%4]
		noise := r * 1e-4
		points := make([]r3.Vec, n)
		flat := make([]r2.Vec, n)
		var truth, flatTruth float64
		for i := range points {
			a, z := arc*rng.Float64(), length*(rng.Float64()-0.5)
			d := noise * rng.NormFloat64()
			s, c := math.Sincos(a)
			points[i] = r3.Add(at, r3.Add(r3.Scale(z, dir), r3.Add(r3.Scale((r+d)*c, e1), r3.Scale((r+d)*s, e2))))
			flat[i] = r2.Vec{X: at.X + (r+d)*c, Y: at.Y + (r+d)*s}
			truth += d * d
			flatTruth += d * d
		}
		if f, err := cylinderBy(form.LeastSquares)(points, none); err != nil {
			t.Errorf("trial %d: radius %g, length %g, arc %g, %d points: %v", trial, r, length, arc, n, err)
		} else if rms := f.Deviation.RMS.Millimetres(); rms*rms*float64(n) > truth*(1+1e-9) {
			t.Errorf("trial %d: radius %g, length %g, arc %g, %d points: rms %g, truth %g; found radius %v", trial, r, length, arc, n, rms, math.Sqrt(truth/float64(n)), f.Radius)
		}
		if f, err := circleBy(form.LeastSquares)(flat, none); err != nil {
			t.Errorf("trial %d: circle: %v", trial, err)
		} else if rms := f.Deviation.RMS.Millimetres(); rms*rms*float64(n) > flatTruth*(1+1e-9) {
			t.Errorf("trial %d: circle: rms %g, truth %g", trial, rms, math.Sqrt(flatTruth/float64(n)))
		}
		if f, err := cylinderBy(form.MinimumZone)(points, none); err == nil && f.Deviation.Total.Millimetres() > 12*noise {
			t.Errorf("trial %d: zone %v of noise %g", trial, f.Deviation.Total, noise)
		}
	}
}

// Short arcs of large circles, 10 mm long: from a bore's quarter to a sagitta of 1.25 µm. The fit is no worse than the circle that the points were made of, and the zone no wider.
func TestCircle_shortArcs(t *testing.T) {
	const rounding = 1.5e-12 // of coordinates of half a metre
	rng := rand.New(rand.NewPCG(71, 72))
	for _, radius := range []float64{7, 20, 100, 1000, 10_000} {
		for _, noise := range []float64{0, 1e-6, 1e-4} {
			if sagitta := 12.5 / radius; noise > sagitta/20 {
				continue
			}
			var points []r2.Vec
			var squares, most float64
			for i := range 50 {
				a := 10 / radius * (float64(i)/49 - 0.5)
				d := noise * rng.NormFloat64()
				squares += d * d
				most = math.Max(most, math.Abs(d))
				points = append(points, r2.Vec{X: 300 + (radius+d)*math.Sin(a), Y: -500 - 2*radius*math.Pow(math.Sin(a/2), 2) + d*math.Cos(a)})
			}
			f, err := circleBy(form.LeastSquares)(points, none)
			if err != nil {
				t.Errorf("radius %g, noise %g: %v", radius, noise, err)
				continue
			}
			if rms := f.Deviation.RMS.Millimetres(); rms > math.Sqrt(squares/50)+rounding {
				t.Errorf("radius %g, noise %g: rms %g, truth %g", radius, noise, rms, math.Sqrt(squares/50))
			}
			if noise == 0 {
				check.Near(t, "radius", f.Radius.Millimetres()/radius, 1, 1e-12*radius)
			}
			z, err := circleBy(form.MinimumZone)(points, none)
			if err != nil {
				t.Errorf("zone of radius %g, noise %g: %v", radius, noise, err)
				continue
			}
			if total := z.Deviation.Total.Millimetres(); total > 2*most+2*rounding || total > f.Deviation.Total.Millimetres() {
				t.Errorf("radius %g, noise %g: zone %g of noise within %g", radius, noise, total, most)
			}
		}
	}
}
