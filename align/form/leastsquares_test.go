package form_test

import (
	"testing"

	"example.com/borestack/internal/check"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
)

// lsTol is the accuracy asked of least squares, in mm.
const lsTol = 1e-10

// The points of the two small exact sets of the reference results.
var (
	twist5  = []r3.Vec{{X: 50, Y: 50, Z: 0.1}, {X: -50, Y: -50, Z: 0.1}, {X: 50, Y: -50, Z: -0.1}, {X: -50, Y: 50, Z: -0.1}, {Z: 0.03}}
	pyramid = []r3.Vec{{}, {Y: 1}, {Y: 2}, {X: 1}, {X: 1, Y: 1, Z: 1}, {X: 1, Y: 2}, {X: 2}, {X: 2, Y: 1}, {X: 2, Y: 2}}
	tetra   = []r3.Vec{{X: 1, Y: 1, Z: 1}, {X: -1, Y: -1, Z: 1}, {X: 1, Y: -1, Z: -1}, {X: -1, Y: 1, Z: -1}}
)

func planeSets(t testing.TB) map[string][]r3.Vec {
	sets := map[string][]r3.Vec{"plane_exact_twist5": twist5, "plane_exact_pyramid": pyramid}
	for _, name := range []string{"plane_5pt", "plane_grid25_saddle", "plane_grid25_dome", "plane_grid20_tilt"} {
		sets[name] = spaceData(t, name)
	}
	return sets
}

// Source: reference results computed at 40 digits (testdata/README.md); plane_5pt: public coordinates, results computed.
func TestLeastSquaresPlane_reference(t *testing.T) {
	for name, points := range planeSets(t) {
		fit, err := planeBy(form.LeastSquares)(points, form.Uncertainty{})
		if err != nil {
			t.Fatal(name, err)
		}
		n := reference(t, name, "LS normal(+z)")
		check.Near(t, name+" normal x", fit.Normal.X, n[0], 1e-14)
		check.Near(t, name+" normal y", fit.Normal.Y, n[1], 1e-14)
		check.Near(t, name+" normal z", fit.Normal.Z, n[2], 1e-14)
		p := reference(t, name, "LS centroid")
		check.Near(t, name+" height", fit.Height(r3.Vec{X: p[0], Y: p[1], Z: p[2]}), 0, lsTol)
		check.Near(t, name+" total", fit.Deviation.Total.Millimetres(), reference(t, name, "LS flatness peak-to-valley (FLTt)")[0], lsTol)
		check.Near(t, name+" peak", fit.Deviation.Peak.Millimetres(), reference(t, name, "LS peak (FLTp)")[0], lsTol)
		check.Near(t, name+" valley", fit.Deviation.Valley.Millimetres(), reference(t, name, "LS valley (FLTv, signed)")[0], lsTol)
		check.Near(t, name+" rms", fit.Deviation.RMS.Millimetres(), reference(t, name, "LS rms (FLTq, divisor n)")[0], lsTol)
	}
}

// Source: W. Gander, G. H. Golub, R. Strebel, BIT 34, 558, 1994: centre (4.7398, 2.9835), radius 4.7142 (from memory); digits recomputed at 40 digits, as for the other sets. The algebraic fits (5.3794, 7.2532) and (4.7423, 3.8351) lie far off.
func TestLeastSquaresCircle_reference(t *testing.T) {
	for _, name := range []string{"circle_gander1994", "circle_4pt", "circle_16pt_3lobe", "circle_12pt_bore"} {
		points := flatData(t, name)
		fit, err := circleBy(form.LeastSquares)(points, form.Uncertainty{})
		if err != nil {
			t.Fatal(name, err)
		}
		want := reference(t, name, "LSCI centre,r")
		check.Near(t, name+" x", fit.Centre.X, want[0], lsTol)
		check.Near(t, name+" y", fit.Centre.Y, want[1], lsTol)
		check.Near(t, name+" r", fit.Radius.Millimetres(), want[2], lsTol)
		check.Near(t, name+" total", fit.Deviation.Total.Millimetres(), reference(t, name, "LSCI roundness (RONt)")[0], lsTol)
		rms := fit.Deviation.RMS.Millimetres()
		check.Near(t, name+" squares", rms*rms*float64(len(points)), reference(t, name, "LSCI sum sq")[0], 1e-12)
	}
}

// Source: reference results at 40 digits, 14 of which are kept.
func TestLeastSquaresCylinder_reference(t *testing.T) {
	fit, err := cylinderBy(form.LeastSquares)(spaceData(t, "cylinder_3x8_taper"), form.Uncertainty{})
	if err != nil {
		t.Fatal(err)
	}
	want := reference(t, "cylinder_3x8_taper", "LSCY axis point at z=0 (x,y), direction ratios (dx/dz,dy/dz), r")
	sx, sy := fit.Direction.X/fit.Direction.Z, fit.Direction.Y/fit.Direction.Z
	check.Near(t, "x", fit.Point.X-sx*fit.Point.Z, want[0], lsTol)
	check.Near(t, "y", fit.Point.Y-sy*fit.Point.Z, want[1], lsTol)
	check.Near(t, "dx/dz", sx, want[2], 1e-12)
	check.Near(t, "dy/dz", sy, want[3], 1e-12)
	check.Near(t, "r", fit.Radius.Millimetres(), want[4], lsTol)
	check.Near(t, "total", fit.Deviation.Total.Millimetres(), reference(t, "cylinder_3x8_taper", "LSCY cylindricity (CYLt)")[0], lsTol)
}
