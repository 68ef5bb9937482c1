package diagnose

import (
	"math"

	"gonum.org/v1/gonum/mat"
)

// reach, in standard deviations, and nodes are the grid over which a direction is averaged: what lies beyond
// is a millionth. A side alone takes the nodes of both axes along its one, so that its step is met to 0.01.
const (
	reach = 5.0
	nodes = 32
)

// site is what a sight that has been taken in adds to what the others leave of its numbers, as a normal distribution: by its
// precision and its precision times its mean. The zero value adds nothing.
type site struct{ precision, shift mat.Dense }

// look takes in a direction or a side: what it foretells of the sight is averaged over a grid of what the
// others leave open of the sight's numbers, and the components keep the mean and the covariance that the sight
// leaves. The first sight is exact but for the grid; then what is before is taken as normal, which it no longer is.
// Where the sight has been taken in before, it is taken out first: what came later is then heard as well. It gives
// the logarithm of how likely the sight is.
//
// Source: expectation propagation: T. P. Minka, "Expectation propagation for approximate Bayesian inference", 2001,
// sections 2 and 3 (from memory).
func (g *given) look(effect mat.Matrix, y0 []float64, v *Seen, own *site) float64 {
	components := mat.NewVecDense(len(g.mean), g.mean)
	var mean mat.VecDense
	mean.MulVec(effect, components)
	mean.AddVec(&mean, mat.NewVecDense(len(y0), y0))
	var with, cov, precision mat.Dense // the components with the numbers, and the numbers
	with.Mul(g.cov, effect.T())
	cov.Mul(effect, &with)
	var others, shift, left, at mat.Dense // what the others leave of the numbers
	if singular(&precision, &cov) {
		return math.Log(v.seenFrom(&mean, &cov, nil, nil))
	}
	others.CloneFrom(&precision)
	shift.Mul(&precision, &mean)
	if !own.precision.IsEmpty() {
		others.Sub(&others, &own.precision)
		shift.Sub(&shift, &own.shift)
	}
	if singular(&left, &others) {
		return 0
	}
	at.Mul(&left, &shift)
	var now, turned, gain, change mat.Dense
	to := mat.NewVecDense(len(y0), nil)
	sum := v.seenFrom(at.ColView(0), &left, to, &now)
	if singular(&own.precision, &now) {
		return math.Log(sum)
	}
	own.shift.Mul(&own.precision, to)
	own.precision.Sub(&own.precision, &others)
	own.shift.Sub(&own.shift, &shift)
	gain.Mul(&with, &precision)
	to.SubVec(to, &mean)
	turned.Mul(&gain, to)
	components.AddVec(components, turned.ColView(0))
	now.Sub(&now, &cov)
	change.Product(&gain, &now, gain.T())
	for i := range g.mean {
		for k := range i + 1 {
			g.cov.SetSym(i, k, g.cov.At(i, k)+change.At(i, k))
		}
	}
	return math.Log(sum)
}

// seenFrom is how likely a sight is, averaged over numbers of a normal distribution, with the mean and the covariance that it
// leaves of them where these are wanted.
func (s *Seen) seenFrom(mean mat.Vector, cov mat.Matrix, to *mat.VecDense, now *mat.Dense) (sum float64) {
	n, root := mean.Len(), rootOf(cov)
	along, across := nodes, nodes
	if n == 1 {
		along, across = nodes*nodes, 1
	}
	step := 2 * reach / float64(along)
	whole := math.Pow(step/math.Sqrt(2*math.Pi), float64(n))
	var e, first [2]float64
	var second [2][2]float64
	for i := range along {
		e[0] = step*(float64(i)+0.5) - reach
		for k := range across {
			if n == 2 {
				e[1] = step*(float64(k)+0.5) - reach
			}
			var z, off [2]float64
			for c := range n {
				for b := range c + 1 {
					off[c] += root[c][b] * e[b]
				}
				z[c] = mean.AtVec(c) + off[c]
			}
			w := whole * math.Exp(-(e[0]*e[0]+e[1]*e[1])/2) * s.likelihood(z[:n])
			sum += w
			for c := range n {
				first[c] += w * off[c]
				for b := range n {
					second[c][b] += w * off[c] * off[b]
				}
			}
		}
	}
	if now == nil {
		return sum
	}
	now.ReuseAs(n, n)
	for c := range n {
		to.SetVec(c, mean.AtVec(c)+first[c]/sum)
		for b := range n {
			now.Set(c, b, second[c][b]/sum-first[c]*first[b]/sum/sum)
		}
	}
	return sum
}

// singular inverts a covariance or a precision, or says that it is none that can be inverted.
func singular(inverse, of *mat.Dense) bool {
	n, _ := of.Dims()
	for i, row := range rootOf(of) {
		if !(row[i] > 0) || n > 1 && of.At(i, i) < 1e-200 {
			return true
		}
	}
	return inverse.Inverse(of) != nil
}

// rounding is the share of a standard deviation below which what the others leave of it is the rounding of a
// variance.
const rounding = 1e-7

// rootOf is the lower root of a covariance that may be singular.
func rootOf(c mat.Matrix) [][]float64 {
	n, _ := c.Dims()
	l := make([][]float64, n)
	for i := range n {
		l[i] = make([]float64, n)
		for k := range i + 1 {
			v := c.At(i, k)
			for q := range k {
				v -= l[i][q] * l[k][q]
			}
			switch {
			case i == k && v > rounding*rounding*c.At(i, i):
				l[i][i] = math.Sqrt(v)
			case i != k && l[k][k] > 0:
				l[i][k] = v / l[k][k]
			}
		}
	}
	return l
}
