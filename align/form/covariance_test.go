package form_test

import (
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/mat"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/tolerance"
)

// spreadOf propagates the points' uncertainties by differences: each coordinate of each point is moved a little and the parameters are worked out again.
func spreadOf(t testing.TB, points []r3.Vec, parameters func([]r3.Vec) []float64) *mat.SymDense {
	t.Helper()
	const h = 1e-6
	var cov *mat.SymDense
	for i := range points {
		for axis := range 3 {
			ends := [2][]float64{}
			for k, by := range []float64{-h, h} {
				moved := append([]r3.Vec(nil), points...)
				switch axis {
				case 0:
					moved[i].X += by
				case 1:
					moved[i].Y += by
				case 2:
					moved[i].Z += by
				}
				ends[k] = parameters(moved)
			}
			n := len(ends[0])
			if cov == nil {
				cov = mat.NewSymDense(n, nil)
			}
			d := make([]float64, n)
			for k := range d {
				d[k] = (ends[1][k] - ends[0][k]) / (2 * h) * micron.Millimetres()
			}
			cov.SymRankOne(cov, 1, mat.NewVecDense(n, d))
		}
	}
	return cov
}

func sameCov(t testing.TB, what string, got, want *mat.SymDense, tol float64) {
	t.Helper()
	if got == nil {
		t.Errorf("%s: no covariance", what)
		return
	}
	n := want.SymmetricDim()
	for a := range n {
		for b := range n {
			scale := math.Sqrt(want.At(a, a) * want.At(b, b))
			if !(math.Abs(got.At(a, b)-want.At(a, b)) <= tol*scale) {
				t.Errorf("%s: [%d][%d] %g, want %g", what, a, b, got.At(a, b), want.At(a, b))
			}
		}
	}
}

// micron is the standard uncertainty of every point along every axis.
const micron = tolerance.Micrometre

func must[T any](t testing.TB) func(T, error) T {
	return func(v T, err error) T {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
}

// A second method: covariances against refitting with every coordinate moved in turn. First order: agreement to the form error over the size.
func TestCovariance_plane(t *testing.T) {
	points := measuredPlane(12, 4)
	for name, fit := range map[string]func([]r3.Vec, form.Uncertainty) (form.PlaneFit, error){
		"least squares": planeBy(form.LeastSquares),
	} {
		f := must[form.PlaneFit](t)(fit(points, form.Uncertainty{Standard: micron}))
		e1, e2 := f.Axes()
		want := spreadOf(t, points, func(p []r3.Vec) []float64 {
			g := must[form.PlaneFit](t)(fit(p, form.Uncertainty{}))
			n := r3.Scale(1/r3.Dot(g.Normal, f.Normal), g.Normal)
			// The height of plane g over Point, and its slopes in the frame of f.
			return []float64{r3.Dot(n, r3.Sub(g.Point, f.Point)), -r3.Dot(n, e1), -r3.Dot(n, e2)}
		})
		sameCov(t, name, f.Cov, want, 2e-3)
	}
}

func TestCovariance_circle(t *testing.T) {
	points := measuredCircle(20, 4)[:9] // less than half a turn, so that the axes differ
	lifted := make([]r3.Vec, len(points))
	for i, p := range points {
		lifted[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	for name, fit := range map[string]func([]r2.Vec, form.Uncertainty) (form.CircleFit, error){
		"least squares": circleBy(form.LeastSquares),
	} {
		f := must[form.CircleFit](t)(fit(points, form.Uncertainty{Standard: micron}))
		want := spreadOf(t, lifted, func(p []r3.Vec) []float64 {
			flat := make([]r2.Vec, len(p))
			for i, q := range p {
				flat[i] = r2.Vec{X: q.X, Y: q.Y}
			}
			g := must[form.CircleFit](t)(fit(flat, form.Uncertainty{}))
			return []float64{g.Centre.X, g.Centre.Y, g.Radius.Millimetres()}
		})
		sameCov(t, name, f.Cov, want, 2e-3)
	}
}

func TestCovariance_cylinder(t *testing.T) {
	points := measuredCylinder(10, 4)
	for name, fit := range map[string]func([]r3.Vec, form.Uncertainty) (form.CylinderFit, error){
		"least squares": cylinderBy(form.LeastSquares),
	} {
		f := must[form.CylinderFit](t)(fit(points, form.Uncertainty{Standard: micron}))
		e1, e2 := form.Plane{Normal: f.Direction}.Axes()
		want := spreadOf(t, points, func(p []r3.Vec) []float64 {
			g := must[form.CylinderFit](t)(fit(p, form.Uncertainty{}))
			// Where axis g meets the plane square to f at its Point, and its slopes there.
			dir := r3.Scale(1/r3.Dot(g.Direction, f.Direction), g.Direction)
			off := r3.Sub(g.Point, f.Point)
			off = r3.Sub(off, r3.Scale(r3.Dot(off, f.Direction), dir))
			return []float64{r3.Dot(off, e1), r3.Dot(off, e2), r3.Dot(dir, e1), r3.Dot(dir, e2), g.Radius.Millimetres()}
		})
		sameCov(t, name, f.Cov, want, 4e-3)
	}
}

// A second method, as for the covariances: the uncertainty of the form error.
func TestDeviation_uncertainty(t *testing.T) {
	const n = 12
	for _, f := range []struct {
		name string
		make func(n int, seed uint64) []r3.Vec
		run  func([]r3.Vec, form.Uncertainty) (form.Deviation, error)
	}{
		{"plane LS", measuredPlane, func(p []r3.Vec, u form.Uncertainty) (form.Deviation, error) {
			f, err := planeBy(form.LeastSquares)(p, u)
			return f.Deviation, err
		}},
		{"circle LS", circleMaker, func(p []r3.Vec, u form.Uncertainty) (form.Deviation, error) {
			f, err := circleBy(form.LeastSquares)(flatten(p), u)
			return f.Deviation, err
		}},
		{"cylinder LS", measuredCylinder, func(p []r3.Vec, u form.Uncertainty) (form.Deviation, error) {
			f, err := cylinderBy(form.LeastSquares)(p, u)
			return f.Deviation, err
		}},
	} {
		points := f.make(n, 4)
		dev := must[form.Deviation](t)(f.run(points, form.Uncertainty{Standard: micron}))
		want := spreadOf(t, points, func(p []r3.Vec) []float64 {
			return []float64{must[form.Deviation](t)(f.run(p, form.Uncertainty{})).Total.Millimetres()}
		})
		got, ok := dev.UTotal.Get()
		if !ok {
			t.Errorf("%s: no uncertainty", f.name)
			continue
		}
		check.Near(t, f.name, got.Millimetres()/math.Sqrt(want.At(0, 0)), 1, 3e-3)
		if without := must[form.Deviation](t)(f.run(points, form.Uncertainty{})); without.UTotal.Given {
			t.Errorf("%s: an uncertainty out of nothing", f.name)
		}
	}
}
