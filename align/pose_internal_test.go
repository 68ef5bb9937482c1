package align

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

func shifted(x, y, z float64, p Pose) Pose {
	p.t = r3.Vec{X: x, Y: y, Z: z}
	return p
}

// Source: Lynch and Park, Modern Robotics, 2017, chapter 3 examples: the rotation of (1, 2, 3), its logarithm, and the inverse of a pose.
func TestPose_published(t *testing.T) {
	near := func(what string, got, want, tol float64) {
		t.Helper()
		if !(math.Abs(got-want) <= tol) {
			t.Errorf("%s: %.12g, want %.12g", what, got, want)
		}
	}
	p := turnBy(r3.Vec{X: 1, Y: 2, Z: 3})
	want := [3][3]float64{
		{-0.69492056, 0.71352099, 0.08929286},
		{-0.19200697, -0.30378504, 0.93319235},
		{0.69297817, 0.6313497, 0.34810748},
	}
	for i, row := range p.Matrix() {
		for k, v := range row {
			near("rotation", v, want[i][k], 1e-8)
		}
	}
	// Source: the same: log of the cyclic permutation is 2π/(3√3) in each component.
	third := 2 * math.Pi / (3 * math.Sqrt(3))
	v := turnBy(r3.Vec{X: third, Y: third, Z: third}).rotationVector()
	near("log", v.X, 1.20919958, 1e-8)
	near("log", v.Z, 1.20919958, 1e-8)
	o := shifted(0, 0, 3, turnBy(r3.Vec{X: math.Pi / 2})).Inverse().Origin()
	near("inverse x", float64(o.X), 0, 1e-12)
	near("inverse y", float64(o.Y), -3, 1e-12)
	near("inverse z", float64(o.Z), 0, 1e-12)
}

// The laws of poses at rest, at 1e-8 and at large angles.
func TestPose_laws(t *testing.T) {
	turning := func(x, y, z, size float64) Pose {
		v := r3.Vec{X: x, Y: y, Z: z}
		return turnBy(r3.Scale(size/r3.Norm(v), v))
	}
	for _, size := range []float64{0, 1e-8, 1, 3} {
		a := shifted(10, -3, 250, turning(0.3, -0.5, 0.8, size))
		b := shifted(-2, 7, 30, turning(-0.9, 0.1, 0.2, size*0.7))
		c := turning(0.2, 1, -0.4, size*1.3)
		if !a.compose(a.Inverse()).ApproxEqual(Pose{}, 1e-11, 1e-14) {
			t.Error(size, "inverse")
		}
		if !a.compose(b).compose(c).ApproxEqual(a.compose(b.compose(c)), 1e-11, 1e-14) {
			t.Error(size, "associativity")
		}
		if n := r3.Norm(a.rotationVector()); math.Abs(n-size) > 1e-15+1e-15*size {
			t.Errorf("the logarithm's size is %v, want %v", n, size)
		}
		p := Vec3{X: 30, Y: 40, Z: 120}
		there, step := a.compose(b).Apply(p), a.Apply(b.Apply(p))
		if d := r3.Norm(r3.Sub(vecMM(there), vecMM(step))); d > 1e-11 {
			t.Errorf("size %v: applied twice it differs by %v", size, d)
		}
	}
}
