package stackup

import (
	"gonum.org/v1/gonum/mathext"

	"example.com/borestack/stackup/law"
)

// ofNormals is a joint law that can say how it is made of independent standard normal numbers; see [law.Joint].
type ofNormals interface {
	Numbers() int
	FromNormals(dst, z [][]float64, work []float64)
}

// place is where one input's columns and the normal numbers that they are made of are: Rosenblatt's transformation,
// each law by its quantiles. It is for one goroutine.
//
// Source: Rosenblatt, Remarks on a multivariate transformation, Ann. Math. Stat. 23 (1952).
type place struct {
	input           *Input
	law             law.Joint
	of              ofNormals // nil: the law cannot be made of normal numbers
	column, columns int       // of the model
	number, numbers int       // normal numbers
	x, z            [][]float64
	work            []float64
}

// fill makes the first n rows of the input's columns of x of the numbers z. Columns of an input that cannot be made
// of normal numbers are left alone.
func (p *place) fill(x, z [][]float64, n int) {
	if p.of == nil {
		return
	}
	defer p.input.named()
	to := p.rows(x, n)
	p.z = p.z[:0]
	for c := range p.numbers {
		p.z = append(p.z, z[p.number+c][:n])
	}
	p.of.FromNormals(to, p.z, p.work)
	p.input.moved.all(to)
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

// draw fills the first n rows of the input's columns with the next values of a stream.
func (p *place) draw(x [][]float64, s *law.Stream, n int) {
	defer p.input.named()
	to := p.rows(x, n)
	p.law.Draw(to, p.work[:n], s)
	p.input.moved.all(to)
}
