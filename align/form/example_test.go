package form_test

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/tolerance"
)

// A plate's face on five stations: flatness, and which stations decide.
func ExampleFitPlane() {
	face := []r3.Vec{{X: 50, Y: 50, Z: 0.1}, {X: -50, Y: -50, Z: 0.1}, {X: 50, Y: -50, Z: -0.1}, {X: -50, Y: 50, Z: -0.1}, {Z: 0.03}}
	fit, err := form.FitPlane(face, form.MinimumZone, form.Uncertainty{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("flatness", fit.Deviation.Total, "by", fit.Rule)
	fmt.Println("high at rows", fit.Deviation.High)
	// Output:
	// flatness 0.2 mm by minimum zone
	// high at rows [0 1]
}

// A bore of six points: centre and radius with their standard uncertainties, and the roundness.
func ExampleFitCircle() {
	bore := []r2.Vec{{X: 45.002}, {X: 22.5, Y: 38.971}, {X: -22.5, Y: 38.974}, {X: -44.998}, {X: -22.5, Y: -38.970}, {X: 22.5, Y: -38.972}}
	fit, err := form.FitCircle(bore, form.LeastSquares, form.Uncertainty{Standard: 2 * tolerance.Micrometre})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("centre %.4f %.4f, diameter %v, roundness %v\n", fit.Centre.X, fit.Centre.Y, 2*fit.Radius, fit.Deviation.Total)
	fmt.Printf("variances %.2g %.2g %.2g mm²\n", fit.Cov.At(0, 0), fit.Cov.At(1, 1), fit.Cov.At(2, 2))
	// Output:
	// centre 0.0012 0.0007, diameter 90.0007 mm, roundness 0.0038 mm
	// variances 1.3e-06 1.3e-06 6.7e-07 mm²
}

// Bad rows are named.
func ExampleFitPlane_badRow() {
	_, err := form.FitPlane([]r3.Vec{{}, {X: 10}, {Y: 10}, {X: 10, Z: 0.02}}, form.LeastSquares, form.Uncertainty{})
	fmt.Println(err)
	// Output: /points/3: height 0.02 mm at (10, 0), where row 1 has 0 mm: one station twice with different heights: want one height for a station (average repeats)
}
