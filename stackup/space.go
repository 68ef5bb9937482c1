package stackup

import (
	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/stackup/law"
)

// normalPlane is a plane law that can say how it is made of two independent standard normal numbers; those of package
// law can. FromNormals replaces pairs of numbers by pairs of the law, near pairs by near ones.
type normalPlane interface {
	law.Plane
	FromNormals(x, y []float64)
}

// normalJoint is a joint law that can say how it is made of independent standard normal numbers, as the joint laws of
// package law can: how many, and by setting the columns of dst from those of z, near values from near ones; work is
// scratch.
type normalJoint interface {
	law.Joint
	Numbers() int
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
	var values func(x, z [][]float64) // before they are moved
	switch {
	case in.Joint != nil:
		j, ok := in.Joint.(normalJoint)
		if !ok {
			return nil, 0
		}
		work := make([]float64, BatchSize)
		values, numbers = func(x, z [][]float64) { j.FromNormals(x, z, work) }, j.Numbers()
	case in.Plane != nil:
		p, ok := in.Plane.(normalPlane)
		if !ok {
			return nil, 0
		}
		values, numbers = func(x, z [][]float64) {
			copy(x[0], z[0])
			copy(x[1], z[1])
			p.FromNormals(x[0], x[1])
		}, 2
	default:
		values, numbers = func(x, z [][]float64) { law.FromNormals(in.Law, x[0], z[0]) }, 1
	}
	return func(x, z [][]float64) {
		values(x, z)
		in.moved.all(x)
	}, numbers
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
	for c := p.number; c < p.number+p.numbers; c++ {
		for k, v := range u[c][:n] {
			u[c][k] = mathext.NormalQuantile(v)
		}
	}
	p.fill(x, u, n)
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
func (p *place) draw(x [][]float64, work []float64, s *law.Stream, n int) {
	p.input.draw(p.rows(x, n), work, s)
}
