package stackup

import (
	"math"

	"example.com/borestack/stackup/law"
)

// NormalPlane is a plane law that can say how it is made of two independent standard normal numbers. The plane laws of package law need not: the methods that sample by even points, compare laws or look for rare failures know them. A law that is neither is drawn at random by those methods.
type NormalPlane interface {
	law.Plane
	// FromNormals replaces pairs of independent standard normal numbers by pairs of the law, near pairs by near ones.
	FromNormals(x, y []float64)
}

// space makes the inputs of a study out of independent standard normal numbers: Rosenblatt's transformation, each law by its quantiles.
//
// Source: Rosenblatt, Remarks on a multivariate transformation, Ann. Math. Stat. 23 (1952).
type space struct {
	places  []place
	numbers int // normal numbers
}

// place is where one input's numbers and columns are.
type place struct {
	input  *Input
	column int // of the model
	number int // −1: the law cannot be made of normal numbers
	law    func(x []float64)
	plane  func(x, y []float64)
}

func newSpace(inputs []Input) *space {
	out := &space{}
	c := 0
	for i := range inputs {
		p := place{input: &inputs[i], column: c, number: out.numbers}
		n := inputs[i].columns()
		if n == 1 {
			p.law = ofNormals(inputs[i].Law)
		} else if p.plane = planeOfNormals(inputs[i].Plane); p.plane == nil {
			p.number, n = -1, 0
		}
		out.places = append(out.places, p)
		out.numbers += n
		c += inputs[i].columns()
	}
	return out
}

// fill sets the columns x, all of them, from the numbers z. Columns of inputs that cannot be made of normal numbers are left alone.
func (p *space) fill(x, z [][]float64) {
	for i := range p.places {
		p.places[i].fill(x, z)
	}
}

func (p *place) fill(x, z [][]float64) {
	switch {
	case p.number < 0:
	case p.plane != nil:
		copy(x[p.column], z[p.number])
		copy(x[p.column+1], z[p.number+1])
		p.plane(x[p.column], x[p.column+1])
	default:
		copy(x[p.column], z[p.number])
		p.law(x[p.column])
	}
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
