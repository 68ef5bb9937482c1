package form_test

import (
	"math"
	"math/rand/v2"
	"strconv"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/form"
)

// measuredPlane is a tilted plane of 200 mm × 150 mm, metres from the origin, with waviness and noise of a few µm.
func measuredPlane(n int, seed uint64) []r3.Vec {
	rng := rand.New(rand.NewPCG(seed, 3))
	p := make([]r3.Vec, n)
	for i := range p {
		x, y := 200*rng.Float64(), 150*rng.Float64()
		p[i] = r3.Vec{X: 1000 + x, Y: -2000 + y, Z: 500 + 0.1*x - 0.05*y + 0.004*math.Sin(x/30)*math.Cos(y/40) + 0.001*rng.NormFloat64()}
	}
	return p
}

// measuredCircle is a bore of radius 31 mm with three lobes and noise.
func measuredCircle(n int, seed uint64) []r2.Vec {
	rng := rand.New(rand.NewPCG(seed, 4))
	p := make([]r2.Vec, n)
	for i := range p {
		a := 2 * math.Pi * float64(i) / float64(n)
		r := 31 + 0.004*math.Cos(3*a+1) + 0.001*rng.NormFloat64()
		p[i] = r2.Vec{X: 1000 + r*math.Cos(a), Y: 250 + r*math.Sin(a)}
	}
	return p
}

// measuredCylinder is a bore of radius 31 mm and length 40 mm, tapered, lobed, leaning and noisy.
func measuredCylinder(n int, seed uint64) []r3.Vec {
	rng := rand.New(rand.NewPCG(seed, 5))
	p := make([]r3.Vec, n)
	for i := range p {
		a, z := 2*math.Pi*rng.Float64(), 40*rng.Float64()
		r := 31 + 0.0002*z + 0.004*math.Cos(3*a+1) + 0.001*rng.NormFloat64()
		p[i] = r3.Vec{X: 1000 + r*math.Cos(a) + 0.01*z, Y: 250 + r*math.Sin(a) - 0.02*z, Z: 700 + z}
	}
	return p
}

func bench(b *testing.B, name string, sizes []int, run func(n int) func() error) {
	for _, n := range sizes {
		fit := run(n)
		b.Run(name+"/n="+strconv.Itoa(n), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				if err := fit(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

var none form.Uncertainty

func BenchmarkLeastSquares(b *testing.B) {
	sizes := []int{1000, 10_000, 100_000}
	bench(b, "plane", sizes, func(n int) func() error {
		p := measuredPlane(n, 1)
		return func() error { _, err := planeBy(form.LeastSquares)(p, none); return err }
	})
	bench(b, "circle", sizes, func(n int) func() error {
		p := measuredCircle(n, 1)
		return func() error { _, err := circleBy(form.LeastSquares)(p, none); return err }
	})
	bench(b, "cylinder", sizes, func(n int) func() error {
		p := measuredCylinder(n, 1)
		return func() error { _, err := cylinderBy(form.LeastSquares)(p, none); return err }
	})
}

func BenchmarkMinimumZone(b *testing.B) {
	sizes := []int{1000, 10_000}
	bench(b, "plane", sizes, func(n int) func() error {
		p := measuredPlane(n, 1)
		return func() error { _, err := planeBy(form.MinimumZone)(p, none); return err }
	})
	bench(b, "cloud", sizes, func(n int) func() error {
		p := measuredPlane(n, 1)
		rng := rand.New(rand.NewPCG(1, 6))
		for i := range p {
			p[i] = r3.Vec{X: rng.NormFloat64(), Y: rng.NormFloat64(), Z: rng.NormFloat64()}
		}
		return func() error { _, err := planeBy(form.MinimumZone)(p, none); return err }
	})
	bench(b, "circle", sizes, func(n int) func() error {
		p := measuredCircle(n, 1)
		return func() error { _, err := circleBy(form.MinimumZone)(p, none); return err }
	})
	bench(b, "circumscribed", sizes, func(n int) func() error {
		p := measuredCircle(n, 1)
		return func() error { _, err := circleBy(form.MinimumCircumscribed)(p, none); return err }
	})
	bench(b, "inscribed", sizes, func(n int) func() error {
		p := measuredCircle(n, 1)
		return func() error { _, err := circleBy(form.MaximumInscribed)(p, none); return err }
	})
	for _, c := range []struct {
		name string
		fit  func([]r3.Vec, form.Uncertainty) (form.CylinderFit, error)
	}{{"cylinder", cylinderBy(form.MinimumZone)}, {"cylinder circumscribed", cylinderBy(form.MinimumCircumscribed)}, {"cylinder inscribed", cylinderBy(form.MaximumInscribed)}} {
		bench(b, c.name, sizes, func(n int) func() error {
			p := measuredCylinder(n, 1)
			return func() error { _, err := c.fit(p, none); return err }
		})
	}
}
