package stackup

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"example.com/borestack/stackup/law"
)

// Contributions are what each input adds to one output of the linear model at its limits: half the range that it
// alone gives; one for each input, both numbers of a plane law and all of a joint law together, but two for a pair
// of independent laws without a common reach. An input without limits is an [InputError], and so is one that moves the
// output otherwise than along a line ([Linear.Doubt]): its contribution would come out too small.
func (l *Linear) Contributions(s *Study, o int) ([]float64, error) {
	if why := l.Doubt(o); why != "" {
		return nil, &InputError{fmt.Sprintf("output %d", o), why, "an output that is nearly linear there, or the model in full"}
	}
	set, unbounded := s.reaches()
	if unbounded != "" {
		return nil, &InputError{unbounded, "no limits", "limits, for a contribution"}
	}
	b := l.body(set, o, -1)
	var out []float64
	for i := range set {
		half := math.Hypot(b.a[i][0], b.b[i][0])
		if line := b.line[i]; line != nil {
			up, down := b.choose(i, [2]float64{1, 0}), b.choose(i, [2]float64{-1, 0})
			half = (line[up.k-1][0] - line[down.k-1][0]) / 2
		}
		if i > 0 && set[i].input == set[i-1].input && s.Inputs[set[i].input].Joint != nil {
			out[len(out)-1] += half
			continue
		}
		out = append(out, half)
	}
	return out, nil
}

// RootSumOfSquares adds up contributions as independent.
func RootSumOfSquares(contributions []float64) float64 { return MeanShift(contributions, 0) }

// benderFactor makes up for laws that are not normal and processes that are not centred.
//
// Source: Bender, Statistical tolerancing as it relates to quality control and the designer, SAE 680490 (1968) (from memory).
const benderFactor = 1.5

// Bender is one and a half times the root sum of squares.
func Bender(contributions []float64) float64 { return benderFactor * RootSumOfSquares(contributions) }

// MeanShift adds up a share m of every contribution as a shift of its mean, in full, and the rest as independent: m = 0 is the root sum of squares, m = 1 the worst case.
//
// Source: Greenwood and Chase, A new tolerance analysis method for designers and manufacturers, J. Engineering for Industry 109 (1987), with the shift factors equal.
func MeanShift(contributions []float64, m float64) float64 {
	shares := make([]float64, len(contributions))
	for i := range shares {
		shares[i] = m
	}
	return MeanShifts(contributions, shares)
}

// MeanShifts is [MeanShift] with a shift factor for each contribution. It panics if the lists differ in length.
func MeanShifts(contributions, m []float64) float64 {
	if len(m) != len(contributions) {
		panic("stackup: MeanShifts: as many factors as contributions")
	}
	var shift, squares float64
	for i, t := range contributions {
		shift += m[i] * t
		squares += (1 - m[i]) * (1 - m[i]) * t * t
	}
	return shift + math.Sqrt(squares)
}

// Inflated scales a contribution from its stated limits to those that the process of that Cpk fills: a Cpk below 1 makes it more.
//
// Source: hand calculation: limits at ±3 Cpk standard deviations from a centred mean, brought to ±3.
func Inflated(contribution, cpk float64) float64 { return contribution / cpk }

// EllipsoidFactor is the factor k of the region of dimension m that holds a share p of a normal vector within (y−mean)ᵀ V⁻¹ (y−mean) ≤ k².
//
// Source: JCGM 102:2011, 7.7.2: k² the p-quantile of the chi-squared law with m degrees of freedom.
func EllipsoidFactor(m int, p float64) float64 {
	return math.Sqrt(distuv.ChiSquared{K: float64(m)}.Quantile(p))
}

// RectangleFactor is the factor of each standard deviation for a box of dimension m that holds at least a share p of a normal vector.
//
// Source: JCGM 102:2011, 7.7.2, by Bonferroni's inequality: each side holds 1 − (1−p)/m.
func RectangleFactor(m int, p float64) float64 {
	return -law.StandardQuantile((1 - p) / float64(m) / 2)
}
