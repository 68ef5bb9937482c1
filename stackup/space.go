package stackup

import (
	"math"

	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/stackup/law"
)

// NormalPlane is a plane law that can say how it is made of two independent standard normal numbers. The plane laws of package law need not: the methods that sample by even points, compare laws or look for rare failures know them. A law that is neither is drawn at random by those methods.
type NormalPlane interface {
	law.Plane
	// FromNormals replaces pairs of independent standard normal numbers by pairs of the law, near pairs by near ones.
	FromNormals(x, y []float64)
}

// NormalJoint is a joint law that can say how it is made of independent standard normal numbers, as the joint laws of package law can.
type NormalJoint interface {
	law.Joint
	// Numbers is how many numbers it takes.
	Numbers() int
	// FromNormals sets the columns of dst from those of z, near values from near ones; work is scratch.
	FromNormals(dst, z [][]float64, work []float64)
}

// place is where one input's columns and the normal numbers that they are made of are: Rosenblatt's transformation,
// each law by its quantiles. It is for one goroutine.
//
// Source: Rosenblatt, Remarks on a multivariate transformation, Ann. Math. Stat. 23 (1952).
type place struct {
	input           *Input
	column, columns int                    // of the model
	number, numbers int                    // normal numbers
	of              func(x, z [][]float64) // makes the columns; nil: the law cannot be made of normal numbers
	x, z            [][]float64            // scratch
}

// ofNormals makes the input's columns of normal numbers, and says of how many; nil when it is not known how.
func (in *Input) ofNormals() (of func(x, z [][]float64), numbers int) {
	switch {
	case in.Joint != nil:
		j, ok := in.Joint.(NormalJoint)
		if !ok {
			return nil, 0
		}
		work := make([]float64, BatchSize)
		return func(x, z [][]float64) { j.FromNormals(x, z, work) }, j.Numbers()
	case in.Plane != nil:
		plane := planeOfNormals(in.Plane)
		if plane == nil {
			return nil, 0
		}
		return func(x, z [][]float64) {
			copy(x[0], z[0])
			copy(x[1], z[1])
			plane(x[0], x[1])
		}, 2
	}
	one := ofNormals(in.Law)
	return func(x, z [][]float64) {
		copy(x[0], z[0])
		one(x[0])
	}, 1
}

// fill makes the first n rows of the input's columns of x of the numbers z. Columns of an input that cannot be made
// of normal numbers are left alone.
func (p *place) fill(x, z [][]float64, n int) {
	if p.of == nil {
		return
	}
	defer p.input.named()
	p.z = p.z[:0]
	for c := range p.numbers {
		p.z = append(p.z, z[p.number+c][:n])
	}
	p.of(p.rows(x, n), p.z)
}

// fillUniform is the same of numbers between 0 and 1.
func (p *place) fillUniform(x, u [][]float64, n int) {
	if p.input.Law != nil && !quickerByNormals(p.input.Law) {
		defer p.input.named()
		law.Inverse(p.input.Law, x[p.column][:n], u[p.number][:n])
		return
	}
	for c := p.number; c < p.number+p.numbers; c++ {
		for k, v := range u[c][:n] {
			u[c][k] = mathext.NormalQuantile(v)
		}
	}
	p.fill(x, u, n)
}

// quickerByNormals reports whether a law is quicker made from normal numbers than from its quantiles.
func quickerByNormals(l law.Law) bool {
	switch l := l.(type) {
	case law.Normal, law.LogNormal:
		return true
	case affine:
		return quickerByNormals(l.law)
	}
	return false
}

// rows are the first n rows of the input's columns.
func (p *place) rows(x [][]float64, n int) [][]float64 {
	p.x = p.x[:0]
	for c := range p.columns {
		p.x = append(p.x, x[p.column+c][:n])
	}
	return p.x
}

// draw fills the first n rows of the input's columns at random. work is at least as long as they are.
func (p *place) draw(x [][]float64, work []float64, s []law.Stream, n int) {
	p.input.draw(p.rows(x, n), work, s)
}

// ofNormals replaces standard normal numbers by values of a law.
func ofNormals(l law.Law) func(x []float64) {
	if a, ok := l.(affine); ok {
		inner := ofNormals(a.law)
		return func(x []float64) {
			inner(x)
			a.move(x)
		}
	}
	return func(x []float64) { law.FromNormals(l, x, x) }
}

// planeOfNormals is the same for a plane law; nil when it is not known how. A point of a disc keeps the direction of the pair of normal numbers, and its radius the share inside.
func planeOfNormals(l law.Plane) func(x, y []float64) {
	switch l := l.(type) {
	case NormalPlane:
		return l.FromNormals
	case affinePlane:
		inner := planeOfNormals(l.law)
		if inner == nil {
			return nil
		}
		return func(x, y []float64) {
			inner(x, y)
			l.move(x, y)
		}
	case law.Pair:
		fx, fy := ofNormals(l.X), ofNormals(l.Y)
		return func(x, y []float64) {
			fx(x)
			fy(y)
		}
	case law.Bivariate:
		mx, my := l.Mean()
		xx, yy, xy := l.Covariance()
		a, b := math.Sqrt(xx), 0.0
		if a > 0 {
			b = xy / a
		}
		c := math.Sqrt(math.Max(yy-b*b, 0))
		return func(x, y []float64) {
			for i, z := range x {
				x[i], y[i] = mx+a*z, my+b*z+c*y[i]
			}
		}
	case law.Disc, law.Ellipse:
		r, _ := l.Reach()
		put := onEllipse(r)
		return func(x, y []float64) {
			for i := range x {
				u, v := inDisc(x[i], y[i])
				x[i], y[i] = put(u, v)
			}
		}
	case law.Ring:
		r, _ := l.Reach()
		put := onEllipse(r)
		return func(x, y []float64) {
			for i := range x {
				u, v := x[i], y[i]
				if size := math.Hypot(u, v); size > 0 {
					u, v = u/size, v/size
				} else {
					u = 1
				}
				x[i], y[i] = put(u, v)
			}
		}
	}
	return nil
}

// inDisc moves a pair of standard normal numbers along its direction to a point of the unit disc: the share of pairs within ρ is 1 − exp(−ρ²/2), that of points within r is r².
func inDisc(x, y float64) (u, v float64) {
	squares := x*x + y*y
	scale := math.Sqrt2 / 2 // as ρ → 0
	if squares > 0 {
		scale = math.Sqrt(-math.Expm1(-squares/2) / squares)
	}
	return scale * x, scale * y
}

// onEllipse moves the unit disc onto an ellipse.
func onEllipse(r law.Reach) func(u, v float64) (x, y float64) {
	sin, cos := math.Sincos(r.Angle)
	return func(u, v float64) (x, y float64) {
		u, v = r.A*u, r.B*v
		return r.X + cos*u - sin*v, r.Y + sin*u + cos*v
	}
}
