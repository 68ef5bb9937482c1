package align

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/spatial/r3"
)

// rotationVector is the rotation's logarithm: axis times right-handed angle in radians, the angle
// in [0, π].
//
// Source: angle = 2 atan2(|v|, w), exact for small rotations where 2 acos(w) is not.
func rotationVector(p Pose) r3.Vec {
	v := r3.Vec{X: p.x, Y: p.y, Z: p.z}
	n := r3.Norm(v)
	if n == 0 {
		return r3.Vec{}
	}
	return r3.Scale(2*math.Atan2(n, 1+p.dw)/n, v)
}

// near reports whether p and q place the origin within 1e-11 mm and turn within 1e-14 of each other.
func near(p, q Pose) bool {
	return r3.Norm(r3.Sub(p.t, q.t)) <= 1e-11 && r3.Norm(rotationVector(p.Inverse().compose(q))) <= 1e-14
}

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
	v := rotationVector(turnBy(r3.Vec{X: third, Y: third, Z: third}))
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
		if !near(a.compose(a.Inverse()), Pose{}) {
			t.Error(size, "inverse")
		}
		if !near(a.compose(b).compose(c), a.compose(b.compose(c))) {
			t.Error(size, "associativity")
		}
		if n := r3.Norm(rotationVector(a)); math.Abs(n-size) > 1e-15+1e-15*size {
			t.Errorf("the logarithm's size is %v, want %v", n, size)
		}
		p := Vec3{X: 30, Y: 40, Z: 120}
		there, step := a.compose(b).Apply(p), a.Apply(b.Apply(p))
		if d := r3.Norm(r3.Sub(vecMM(there), vecMM(step))); d > 1e-11 {
			t.Errorf("size %v: applied twice it differs by %v", size, d)
		}
	}
}
