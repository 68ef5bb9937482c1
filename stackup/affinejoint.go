package stackup

import (
	"math"

	"example.com/borestack/stackup/law"
)

// affineJoint is a joint law whose deviations from their means are scaled.
type affineJoint struct {
	law.Joint
	scale float64 // ≥ 0
}

// scaledNormals is the same of a law that is made of normal numbers.
type scaledNormals struct {
	affineJoint
	inner NormalJoint
}

// ScaledJoint returns a joint law whose deviations from their means are all scaled. It returns an [InputError] unless scale ≥ 0.
func ScaledJoint(l law.Joint, scale float64) (law.Joint, error) {
	if isNil(l) {
		return nil, &InputError{"spread", "no law", "a law"}
	}
	if !(scale >= 0) || math.IsInf(scale, 0) {
		return nil, &InputError{"spread", numberOf(scale), "0 or more"}
	}
	a := affineJoint{l, scale}
	if n, ok := l.(NormalJoint); ok {
		return scaledNormals{a, n}, nil
	}
	return a, nil
}

// to scales values of a column.
func (a affineJoint) to(column int, x []float64) {
	mean := a.Mean(column)
	for i, v := range x {
		x[i] = mean + a.scale*(v-mean)
	}
}

// Covariance returns the covariance of two deviations.
func (a affineJoint) Covariance(i, j int) float64 {
	return a.scale * a.scale * a.Joint.Covariance(i, j)
}

// Reach returns the sets of the law, scaled, and the means with them.
func (a affineJoint) Reach() ([]law.Points, bool) {
	sets, bounded := a.Joint.Reach()
	if !bounded {
		return nil, false
	}
	mean := law.Points{make([]float64, a.Columns()), make([]float64, a.Columns())}
	for i := range a.Columns() {
		mean[0][i] = (1 - a.scale) * a.Mean(i)
		mean[1][i] = mean[0][i]
	}
	out := []law.Points{mean}
	for _, set := range sets {
		scaled := make(law.Points, len(set))
		for k, p := range set {
			for _, v := range p {
				scaled[k] = append(scaled[k], a.scale*v)
			}
		}
		out = append(out, scaled)
	}
	return out, true
}

// Draw fills the columns of dst with the next values.
func (a affineJoint) Draw(dst [][]float64, work []float64, s []law.Stream) {
	a.Joint.Draw(dst, work, s)
	for i := range a.Columns() {
		a.to(i, dst[i])
	}
}

// Numbers is how many normal numbers the law takes.
func (a scaledNormals) Numbers() int { return a.inner.Numbers() }

// FromNormals makes the columns of dst of normal numbers.
func (a scaledNormals) FromNormals(dst, z [][]float64, work []float64) {
	a.inner.FromNormals(dst, z, work)
	for i := range a.Columns() {
		a.to(i, dst[i])
	}
}
