package form_test

import (
	"fmt"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
	"example.com/borestack/tolerance"
)

// A plate's face on five stations: flatness by both rules, and which stations decide.
func ExampleMinimumZonePlane() {
	face := []r3.Vec{{X: 50, Y: 50, Z: 0.1}, {X: -50, Y: -50, Z: 0.1}, {X: 50, Y: -50, Z: -0.1}, {X: -50, Y: 50, Z: -0.1}, {Z: 0.03}}
	fit, err := form.MinimumZonePlane(face, form.Uncertainty{All: 2 * tolerance.Micrometre})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("flatness", fit.Deviation.Total, "-", fit.Proof.Reach)
	for _, c := range fit.Deviation.High {
		fmt.Println("high at row", c.Row)
	}
	// Output:
	// flatness 0.2 mm - global optimum
	// high at row 0
	// high at row 1
}

// A bore of six points: the circle through the middle of its zone.
func ExampleMinimumZoneCircle() {
	bore := []r2.Vec{{X: 1, Y: 7}, {X: 2, Y: 6}, {X: 5, Y: 8}, {X: 7, Y: 7}, {X: 9, Y: 5}, {X: 3, Y: 7}}
	fit, err := form.MinimumZoneCircle(bore, form.Uncertainty{})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("centre %.4f %.4f, roundness %v\n", fit.Centre.X, fit.Centre.Y, fit.Deviation.Total)
	// Output: centre 4.7727 0.4091, roundness 1.3536 mm
}

// How a second bore lies to a first: coaxiality is a diameter, twice the offset.
func ExampleDatum_Coaxial() {
	first := form.Datum{Kind: form.DatumAxis, Direction: r3.Vec{Z: 1}, Rule: form.MaximumInscribed}
	second := []r3.Vec{{X: 0.01, Z: 100}, {X: 0.03, Y: 0.04, Z: 150}}
	rel, err := first.Coaxial(second)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Println("coaxiality diameter", rel.Value, "from a datum by", rel.Datum)
	// Output: coaxiality diameter 0.1 mm from a datum by maximum inscribed
}

// Bad rows are named.
func ExamplePointError() {
	_, err := form.LeastSquaresPlane([]r3.Vec{{}, {X: 10}, {Y: 10}, {X: 10, Z: 0.02}}, form.Uncertainty{})
	fmt.Println(err)
	// Output: form: points[3] and points[1]: heights 0.02 mm and 0 mm at (10, 0): one station twice with different heights: want one height for a station (average repeats)
}
