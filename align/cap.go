package align

import (
	"math"
	"slices"
)

// capTol is how near, in mm, a margin is to the least room, or a room to it, for the tightest circles to be what caps the margin: rounding, as of [meetTol].
const capTol = meetTol

// caps sets what caps the margin of the group last solved by margin, s = -margin: each member's weight w ≥ 0 with Σ w = 1. With the multipliers y of pull, |y| ≤ w and Σ y·ℓ = 0 for every line, they prove it: no line leaves every circle more than Σ w r - Σ y·p, for each leaves r - |p - ℓ| and w|p - ℓ| ≥ y·(p - ℓ).
//
// Where the tightest circles cap the margin, whatever the misalignment, they carry all the weight, in equal parts: the central one of all such weights. Source: weak duality of the program in the package comment; hand calculation.
func (k *kernel) caps(s float64) []float64 {
	l := &k.line
	w := make([]float64, len(l.members))
	var sum float64
	for c, p := range l.pull {
		w[c] = math.Hypot(p[0], p[1])
		sum += w[c]
	}
	if least := k.leastRoom(); s <= -least+capTol || sum == 0 {
		sum = 0
		for c, i := range l.members {
			w[c], l.pull[c] = 0, [2]float64{}
			if k.circles[i].room <= least+capTol {
				w[c] = 1
				sum++
			}
		}
	}
	for c := range w {
		w[c] /= sum
	}
	return w
}

// marginAndCaps is the margin with the supports and pockets that cap it, the largest first; of several groups of shafts with the same margin, those of all.
func (k *kernel) marginAndCaps() (margin float64, caps []Governor, err error) {
	margin = math.Inf(1)
	margins := make([]float64, len(k.lay.groups))
	lists := make([][]Governor, len(k.lay.groups))
	for n, g := range k.lay.groups {
		s, err := k.solveGroup(g, byMargin)
		if err != nil {
			return 0, nil, err
		}
		margins[n], margin = -s, math.Min(margin, -s)
		for c, w := range k.caps(s) {
			lists[n] = k.addGovernor(lists[n], c, w, governTol)
		}
	}
	for n, m := range margins {
		if m <= margin+capTol {
			caps = append(caps, lists[n]...)
		}
	}
	return margin, shares(caps), nil
}

// alwaysLined lists the shafts with a line through all their centres wherever those stand: with two circles, or as many once shafts that can always follow no longer count with their pockets.
func (k *kernel) alwaysLined() []int {
	free := make([]bool, len(k.stack.Shafts))
	for found := true; found; {
		found = false
		for s := range free {
			if !free[s] && k.takesTwo(s, free) {
				free[s], found = true, true
			}
		}
	}
	var out []int
	for s, f := range free {
		if f {
			out = append(out, s)
		}
	}
	return out
}

// takesTwo reports whether shaft s touches two circles at most, apart along z, pockets with shafts that are free not counted.
func (k *kernel) takesTwo(s int, free []bool) bool {
	var z []float64
	for i := range k.circles {
		c := &k.circles[i]
		if (c.shaft == s && (c.other < 0 || !free[c.other])) || (c.other == s && !free[c.shaft]) {
			z = append(z, c.z)
		}
	}
	return len(z) < 2 || (len(z) == 2 && math.Abs(z[0]-z[1]) > meetTol)
}

// addGovernor adds the weight of member c to the support or pocket that it belongs to, if there is enough of it.
func (k *kernel) addGovernor(list []Governor, c int, weight, least float64) []Governor {
	if !(weight > least) {
		return list
	}
	name := k.circleName(&k.circles[k.line.members[c]])
	at := slices.IndexFunc(list, func(g Governor) bool { return g.Name == name })
	if at < 0 {
		return append(list, Governor{Name: name, Share: weight})
	}
	list[at].Share += weight
	return list
}
