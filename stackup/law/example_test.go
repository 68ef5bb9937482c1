package law_test

import (
	"fmt"

	"example.com/borestack/stackup/law"
)

func ExampleFromCpk() {
	// A pilot diameter of 72 mm with limits ±15 µm, made with Cpk 1.15 by a process that sits 2 µm high, in mm.
	pilot, err := law.FromCpk(-0.015, 0.015, 1.15, 0.002)
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("sd %.5f mm, %.0f ppm too large\n", pilot.Moments().SD(), 1e6*pilot.Survival(0.015))
	// Output: sd 0.00377 mm, 280 ppm too large
}

func ExampleTruncate() {
	// Inspection rejects what is outside ±15 µm.
	process, _ := law.NewNormal(0.002, 0.006)
	accepted, err := law.Truncate(process, -0.015, 0.015)
	if err != nil {
		fmt.Println(err)
		return
	}
	m := accepted.Moments()
	fmt.Printf("mean %.5f, sd %.5f mm\n", m.Mean, m.SD())
	fmt.Println(accepted.Support())
	// Output:
	// mean 0.00181, sd 0.00567 mm
	// -0.015 0.015
}

func ExampleTruncate_error() {
	process, _ := law.NewNormal(0, 0.006)
	_, err := law.Truncate(process, 0.015, -0.015)
	fmt.Println(err)
	// Output: truncated/highest: -0.015: out of range: want the lowest limit or more
}

func ExampleNewStream() {
	// The numbers of an input depend on the seed, its name and the block, and on nothing else.
	clearance, _ := law.NewUniform(0.010, 0.030)
	stream := law.NewStream(2026, "rear pilot clearance", 7)
	x := make([]float64, 3)
	clearance.Draw(x, &stream)
	fmt.Printf("%.5f mm\n", x)
	// Output: [0.02698 0.02026 0.01420] mm
}

func ExampleNewNormals() {
	// Two bores of one clamping: their diameters vary together, correlated by 0.8.
	both, err := law.NewNormals([]float64{0, 0}, [][]float64{{1.6e-5, 1.28e-5}, {1.28e-5, 1.6e-5}})
	if err != nil {
		fmt.Println(err)
		return
	}
	fmt.Printf("covariance %.2e mm²\n", both.Covariance(0, 1))
	x := [][]float64{make([]float64, 2), make([]float64, 2)}
	stream := law.NewStream(1, "bores", 0)
	both.Draw(x, make([]float64, 2), &stream)
	fmt.Printf("front %.4f, rear %.4f\n", x[0], x[1])
	// Output:
	// covariance 1.28e-05 mm²
	// front [0.0024 0.0009], rear [0.0056 -0.0026]
}

func ExampleNewShared() {
	// The wedge of a plate moves both pilots: the rear one twice as far, the other way.
	wedge, _ := law.NewUniform(-0.01, 0.01)
	both, _ := law.NewShared([]law.Law{wedge}, [][]float64{{1}, {-2}})
	fmt.Printf("covariance %.2e mm²\n", both.Covariance(0, 1))
	ways, _ := both.Reach()
	fmt.Println("about", ways[0].Centre, "by", ways[0].A)
	// Output:
	// covariance -6.67e-05 mm²
	// about [0 0] by [0.01 -0.02]
}
