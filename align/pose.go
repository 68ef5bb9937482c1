package align

import (
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/dense"
	"example.com/borestack/tolerance"
)

// Pose carries coordinates in frame B to coordinates in frame A: pA = R pB + t. Name it aFromB;
// poses compose by adjacency.
//
// It is a small comparable value. The zero Pose is the identity, and the only encoding of it. The
// rotation is a unit quaternion with w >= 0, kept as (w - 1, x, y, z); the translation is in
// millimetres.
type Pose struct {
	dw, x, y, z float64
	t           r3.Vec
}

// turnBy is the rotation exp(w): by |w| radians about w.
//
// Source: Lynch and Park, Modern Robotics, 2017, eq. 3.51 (Rodrigues), as a unit quaternion.
func turnBy(w r3.Vec) Pose {
	half := dense.Length3(w.X, w.Y, w.Z) / 2
	if half == 0 {
		return Pose{}
	}
	s := math.Sin(half) / (2 * half)
	// cos h - 1 = -2 sin²(h/2) keeps its digits for nanoradians.
	q := math.Sin(half / 2)
	return canonical(Pose{dw: -2 * q * q, x: s * w.X, y: s * w.Y, z: s * w.Z})
}

// leastRotation is the least rotation that carries direction u to direction v, which is not
// opposite.
func leastRotation(u, v r3.Vec) Pose {
	u, v = unit3(u), unit3(v)
	c := r3.Cross(u, v)
	// q = (1 + u·v, u × v), normalised; 1 + u·v = 2 - |u - v|²/2.
	d := r3.Sub(u, v)
	w := 2 - r3.Norm2(d)/2
	n := math.Sqrt(w*w + r3.Norm2(c))
	// (w/n - 1) without cancellation: (w - n)/n = -|c|²/(n(n + w)).
	return canonical(Pose{dw: -r3.Norm2(c) / (n * (n + w)), x: c.X / n, y: c.Y / n, z: c.Z / n})
}

// canonical makes w >= 0 and renormalises.
func canonical(p Pose) Pose {
	w := 1 + p.dw
	if w < 0 || (w == 0 && (p.x < 0 || (p.x == 0 && (p.y < 0 || (p.y == 0 && p.z < 0))))) {
		p.dw, p.x, p.y, p.z = -2-p.dw, -p.x, -p.y, -p.z
	}
	v2 := p.x*p.x + p.y*p.y + p.z*p.z
	// w² + v² - 1 = 2 dw + dw² + v², exact near the identity.
	if e := 2*p.dw + p.dw*p.dw + v2; e != 0 {
		n := math.Sqrt(1 + e)
		p.x, p.y, p.z = p.x/n, p.y/n, p.z/n
		p.dw = (p.dw - e/(n+1)) / n // ((1 + dw) - n)/n with n - 1 = e/(n+1)
	}
	return Pose{dw: p.dw, x: p.x, y: p.y, z: p.z, t: p.t}
}

// rotate is R v, for v in millimetres or a direction.
func (p Pose) rotate(v r3.Vec) r3.Vec {
	// R v - v = 2 w (q × v) + 2 q × (q × v) keeps relative accuracy for nanoradians.
	q := r3.Vec{X: p.x, Y: p.y, Z: p.z}
	c := r3.Cross(q, v)
	return r3.Add(v, r3.Add(r3.Scale(2*(1+p.dw), c), r3.Scale(2, r3.Cross(q, c))))
}

// apply is R v + t.
func (p Pose) apply(v r3.Vec) r3.Vec { return r3.Add(p.rotate(v), p.t) }

// Apply carries a point given in B to A.
func (p Pose) Apply(pointB Vec3) Vec3 { return lengthVec(p.apply(vecMM(pointB))) }

// Rotate carries a direction or displacement given in B to A; points move by [Pose.Apply].
func (p Pose) Rotate(vectorB r3.Vec) r3.Vec { return p.rotate(vectorB) }

// compose is aFromC for p = aFromB and bFromC.
func (p Pose) compose(bFromC Pose) Pose {
	q := bFromC
	// (1 + a)(1 + b) - 1 - va·vb = a + b + ab - va·vb.
	r := Pose{
		dw: p.dw + q.dw + p.dw*q.dw - (p.x*q.x + p.y*q.y + p.z*q.z),
		x:  (1+p.dw)*q.x + (1+q.dw)*p.x + (p.y*q.z - p.z*q.y),
		y:  (1+p.dw)*q.y + (1+q.dw)*p.y + (p.z*q.x - p.x*q.z),
		z:  (1+p.dw)*q.z + (1+q.dw)*p.z + (p.x*q.y - p.y*q.x),
		t:  p.apply(q.t),
	}
	return canonical(r)
}

// Inverse returns bFromA for p = aFromB.
func (p Pose) Inverse() Pose {
	inv := Pose{dw: p.dw, x: -p.x, y: -p.y, z: -p.z}
	inv.t = r3.Scale(-1, inv.rotate(p.t))
	return canonical(inv)
}

// Matrix returns the rotation as a matrix, rows first.
func (p Pose) Matrix() [3][3]float64 {
	ex, ey, ez := p.rotate(r3.Vec{X: 1}), p.rotate(r3.Vec{Y: 1}), p.rotate(r3.Vec{Z: 1})
	return [3][3]float64{{ex.X, ey.X, ez.X}, {ex.Y, ey.Y, ez.Y}, {ex.Z, ey.Z, ez.Z}}
}

// Origin returns where B's origin lies in A.
func (p Pose) Origin() Vec3 { return lengthVec(p.t) }

// unit3 is v over its length.
func unit3(v r3.Vec) r3.Vec { return r3.Scale(1/dense.Length3(v.X, v.Y, v.Z), v) }

func vecMM(v Vec3) r3.Vec { return r3.Vec{X: float64(v.X), Y: float64(v.Y), Z: float64(v.Z)} }

func lengthVec(v r3.Vec) Vec3 {
	return Vec3{tolerance.Length(v.X), tolerance.Length(v.Y), tolerance.Length(v.Z)}
}
