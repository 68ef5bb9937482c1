package law

import (
	"math"
	"sort"
)

// within returns P(|Z + m| ≤ h) of a standard normal Z, for m, h ≥ 0, with all its digits.
func within(h, m float64) float64 {
	if m == 0 {
		return math.Erf(h / math.Sqrt2)
	}
	if h*(1+m) < 1 { // the two tails are nearly equal: integrate between them
		var sum float64
		for i, node := range kronrodNodes {
			sum += kronrodWeights[i] * (density(m-h*node) + density(m+h*node)) * (1 - 0.5*step(i == 7))
		}
		return sum * h
	}
	return (math.Erfc((m-h)/math.Sqrt2) - math.Erfc((m+h)/math.Sqrt2)) / 2
}

// beyond returns P(|Z + m| > h) of a standard normal Z.
func beyond(h, m float64) float64 {
	return (math.Erfc((h-m)/math.Sqrt2) + math.Erfc((h+m)/math.Sqrt2)) / 2
}

// maxCuts bounds the cuts of one quadrature: two features on either side, with widths down to 1e-16.
const maxCuts = 256

// wide is the width in radians from which on a feature is left to the halving of panels.
const wide = 0.3

// cuts appends the ascending angles, from −π/2 to π/2, between which the integrands over the circle of radius r are smooth or nearly so. A point is (r sin, r cos): (along the major axis, along the minor one). The peak of a far tail lies between the two features, where panels are a few times as wide as their distance to one.
func (l normalSize) cuts(out []float64, r float64) []float64 {
	out = append(out, -math.Pi/2, 0, math.Pi/2)
	feature := func(at, width float64) {
		if !(width > 1e-16) {
			width = 1e-16
		}
		if width > wide {
			return
		}
		for _, side := range [2]float64{at, -at} {
			out = append(out, side)
			for d := width; d < wide; d *= 4 {
				out = append(out, side-d, side+d)
			}
		}
	}
	// the bell over the major axis
	asin := func(x float64) float64 { return math.Asin(max(min(x/r, 1), -1)) }
	feature(asin(l.a), (asin(l.a+1)-asin(l.a-1))/2)
	// the step over the minor axis
	acos := func(y float64) float64 { return math.Acos(max(min(y/r, 1), -1)) }
	feature(acos(l.b), (acos(l.b-l.e)-acos(l.b+l.e))/2)
	sort.Float64s(out)
	kept := out[:0]
	for _, c := range out {
		if c < -math.Pi/2 || c > math.Pi/2 || len(kept) > 0 && c-kept[len(kept)-1] < 1e-16 {
			continue
		}
		kept = append(kept, c)
	}
	return kept
}
