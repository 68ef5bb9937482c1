package align

import (
	"cmp"
	"math"
	"slices"

	"example.com/borestack/align/internal/floatset"
	"example.com/borestack/align/internal/shaftline"
	"example.com/borestack/align/internal/tol"
)

// The search that the circuits replaced, kept as their check: every direction tried all round for
// each of many sums of centres, and climbs from the best few with the circles followed by central
// differences.

// aims is how many directions are tried before the best few are followed to their tops; with many
// joints, or many sums to follow, fewer.
const (
	aims     = 24
	followed = 3

	fewestAims = 6
	reaches    = 3000 // about how many times the joints' floats are asked for their farthest point in one search
)

// effort shares the reaches of one search out over the given number of searches: how many aims and
// how many climbs each may have.
func (o *over) effort(searches int) (aim, climb int) {
	each := reaches / (searches * max(1, len(o.loose)))
	return max(fewestAims, min(aims, each/2)), max(4, min(60, each/(2*followed)))
}

// greatest finds the floats at which the vector (Σ a_i value_i, Σ b_i value_i) is longest, and its
// length there, as one of several searches.
func (o *over) greatest(best []floatset.Vec, a, b []float64, searches int) (float64, error) {
	aims, climbs := o.effort(searches)
	n := len(a)
	weight := make([]float64, n)
	trial := make([]floatset.Vec, len(o.from))
	turnTo := func(s, c float64) {
		for i := range n {
			weight[i] = s*a[i] + c*b[i]
		}
	}
	sums := func(floats []floatset.Vec) (x, y float64) {
		for i := range n {
			if a[i] != 0 || b[i] != 0 {
				v := o.follow(i, floats)
				x += a[i] * v
				y += b[i] * v
			}
		}
		return x, y
	}
	tops := make([]float64, aims)
	for i := range aims {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(aims))
		turnTo(s, c)
		if _, err := o.pushed(trial, weight); err != nil {
			return 0, err
		}
		x, y := sums(trial)
		tops[i] = s*x + c*y
	}
	longest := math.Inf(-1)
	for range followed {
		at := 0
		for i := range aims {
			if tops[i] > tops[at] {
				at = i
			}
		}
		if math.IsInf(tops[at], -1) {
			break
		}
		s, c := math.Sincos(2 * math.Pi * float64(at) / float64(aims))
		for _, i := range [3]int{at + aims - 1, at, at + 1} { // its neighbours climb to the same top
			tops[i%aims] = math.Inf(-1)
		}
		last := math.Inf(-1)
		for range climbs {
			turnTo(s, c)
			if _, err := o.pushed(trial, weight); err != nil {
				return 0, err
			}
			x, y := sums(trial)
			r := math.Hypot(x, y)
			if r > longest {
				longest = r
				copy(best, trial)
			}
			if r <= last*(1+1e-14)+1e-15 || r == 0 {
				break
			}
			last, s, c = r, x/r, y/r
		}
	}
	return longest, nil
}

// maxSums is how many sums of centres are followed to their longest as beginnings when no closed
// form says where the worst is: all of them on a shaft of up to seven circles, a spread of them on
// more.
const maxSums = 40

// searchWorst finds the greatest use or lack of room over the floats, worked out in full at the
// floats found. For a group with a closed form the search is over all directions; otherwise it
// climbs from the worst of many closed forms, and is the worst found.
func (o *over) searchWorst(by shaftline.Measure) (float64, error) {
	k := o.k
	all := math.Inf(-1)
	floats := make([]floatset.Vec, len(o.from))
	for _, group := range k.lay.groups {
		o.rest(o.trial)
		o.linearise(o.trial, 2*len(k.circles), o.centres)
		rest, err := k.line.Solve(group, by)
		if err != nil {
			return 0, err
		}
		v, err := o.searchGroup(group, by, floats)
		if err != nil {
			return 0, err
		}
		all = math.Max(all, math.Max(rest, v))
	}
	return all, nil
}

// searchGroup finds the worst of one group's lines over the floats; floats is set to where it is
// attained, unless no push matters.
func (o *over) searchGroup(group []int, by shaftline.Measure, floats []floatset.Vec) (float64, error) {
	k := o.k
	weight := make([]float64, 2*len(k.circles))
	if k.line.Closed {
		if k.line.Nullity(group) == 0 {
			return math.Inf(-1), nil // no push matters
		}
		a, b := make([]float64, 2*len(k.circles)), make([]float64, 2*len(k.circles))
		for c, i := range k.line.Members {
			a[2*i], b[2*i+1] = k.line.Weights[c], k.line.Weights[c]
		}
		if _, err := o.greatest(floats, a, b, 1); err != nil {
			return 0, err
		}
		return o.climbThere(group, by, floats, weight)
	}
	tops, err := o.beginnings(group, by)
	if err != nil {
		return 0, err
	}
	most := math.Inf(-1)
	note := func(v float64, at []floatset.Vec) {
		if v > most {
			most = v
			copy(floats, at)
		}
	}
	for _, top := range tops {
		v, err := o.searchClimb(group, by, top, weight)
		if err != nil {
			return 0, err
		}
		note(v, top)
		if by == shaftline.ByUtilisation {
			continue
		}
		// The lack of room is flat where some circle has no more to give; the use is not, and leads
		// on from there.
		if _, err = o.searchClimb(group, shaftline.ByUtilisation, top, weight); err != nil {
			return 0, err
		}
		if v, err = o.searchClimb(group, shaftline.ByMargin, top, weight); err != nil {
			return 0, err
		}
		note(v, top)
	}
	v, err := o.climbThere(group, by, floats, weight)
	return math.Max(most, v), err
}

// climbThere climbs from floats as results follow there: about rest they do to first order only.
func (o *over) climbThere(group []int, by shaftline.Measure, floats []floatset.Vec, weight []float64) (float64, error) {
	o.linearise(floats, 2*len(o.k.circles), o.centres)
	return o.searchClimb(group, by, floats, weight)
}

// beginnings are floats to climb from. Any few circles that no line can please together give a sum
// of centres Σ w p, and |Σ w p| / Σ |w| r is never more than the use; its longest over the floats
// is found all round, and the floats of the greatest few are kept. The worst use is at least the
// greatest of these, and mostly it is that.
func (o *over) beginnings(group []int, by shaftline.Measure) ([][]floatset.Vec, error) {
	k := o.k
	type beginning struct {
		value  float64
		floats []floatset.Vec
	}
	var all []beginning
	a, b := make([]float64, 2*len(k.circles)), make([]float64, 2*len(k.circles))
	members := append([]int(nil), k.line.Members...)
	sums := k.sums(group, o.mostSums())
	for _, sum := range sums {
		clear(a)
		clear(b)
		var rooms, weight float64
		for c, i := range members {
			a[2*i], b[2*i+1] = sum[c], sum[c]
			rooms += math.Abs(sum[c]) * k.circles[i].Radius
			weight += math.Abs(sum[c])
		}
		floats := make([]floatset.Vec, len(o.from))
		off, err := o.greatest(floats, a, b, len(sums))
		if err != nil {
			return nil, err
		}
		value := (off - rooms) / weight
		if by == shaftline.ByUtilisation {
			value = off / math.Max(rooms, tol.Meet*weight)
		}
		all = append(all, beginning{value, floats})
	}
	slices.SortStableFunc(all, func(a, b beginning) int { return cmp.Compare(b.value, a.value) })
	var tops [][]floatset.Vec
	for i := range min(len(all), 2*followed) {
		tops = append(tops, all[i].floats)
	}
	return tops, nil
}

// mostSums is how many sums of each group are worth following: fewer where many joints float and
// many groups of shafts run through them.
func (o *over) mostSums() int {
	const least = 3 * fewestAims // reaches that each joint is asked for in the smallest search
	return max(2, min(maxSums, 4*reaches/(least*max(1, len(o.loose))*len(o.k.lay.groups))))
}

// sums lists weights on the group's members with Σ w ℓ = 0 for all lines, each with as few circles
// as can be: all of them, or a spread of most.
func (k *kernel) sums(group []int, most int) [][]float64 {
	l := &k.line
	k.line.Gather(group)
	m, n := len(l.Members), 2*len(group)
	var out [][]float64
	take := func(chosen []int) {
		w := make([]float64, len(chosen))
		if k.line.Eliminate(chosen, n, w) == 1 {
			full := make([]float64, m)
			for c, i := range chosen {
				full[i] = w[c]
			}
			out = append(out, full)
		}
	}
	size := min(n+1, m)
	if fewCombinations(m, size) <= most {
		eachChoice(m, size, take)
		return out
	}
	// A fixed spread of choices: the same stack always gives the same answer.
	chosen := make([]int, m)
	state := uint64(m)
	for range most {
		for i := range chosen {
			chosen[i] = i
		}
		for i := range size {
			state = state*6364136223846793005 + 1442695040888963407 // D. E. Knuth's linear congruence, MMIX
			k := i + int(state>>33)%(m-i)
			chosen[i], chosen[k] = chosen[k], chosen[i]
		}
		take(chosen[:size])
	}
	return out
}

// fewCombinations is how many ways there are to choose k of n, at most a few more than maxSums.
func fewCombinations(n, k int) int {
	c := 1
	for i := 1; i <= k; i++ {
		if c = c * (n - k + i) / i; c > maxSums {
			break
		}
	}
	return c
}

// eachChoice calls do with every choice of k of n.
func eachChoice(n, k int, do func([]int)) {
	chosen := make([]int, k)
	var next func(at, from int)
	next = func(at, from int) {
		if at == k {
			do(chosen)
			return
		}
		for i := from; i <= n-(k-at); i++ {
			chosen[at] = i
			next(at+1, i+1)
		}
	}
	next(0, 0)
}

// pulls writes the multipliers of the group last solved as weights on all circles.
func (o *over) pulls(weight []float64) {
	clear(weight)
	for c, i := range o.k.line.Members {
		weight[2*i], weight[2*i+1] = o.k.line.Multipliers[c][0], o.k.line.Multipliers[c][1]
	}
}

// searchClimb pushes along the multipliers until nothing is gained; floats is left where the value
// is attained.
func (o *over) searchClimb(group []int, by shaftline.Measure, floats []floatset.Vec, weight []float64) (float64, error) {
	k := o.k
	k.placeAt(floats)
	v, err := k.line.Solve(group, by)
	if err != nil || math.IsInf(v, 1) {
		return v, err
	}
	trial := make([]floatset.Vec, len(floats))
	_, climbs := o.effort(2 * followed)
	for range climbs {
		o.pulls(weight)
		if _, err := o.pushed(trial, weight); err != nil {
			return 0, err
		}
		k.placeAt(trial)
		next, err := k.line.Solve(group, by)
		if err != nil {
			return 0, err
		}
		if !(next > v) {
			break
		}
		copy(floats, trial)
		gained := next - v
		if v = next; gained <= 1e-9*math.Abs(v) || math.IsInf(v, 1) {
			break
		}
	}
	return v, nil
}

// centres writes every circle's centre, x and y in turn.
func (o *over) centres(dst []float64) {
	for i := range o.k.circles {
		c := &o.k.circles[i]
		dst[2*i], dst[2*i+1] = c.X, c.Y
	}
}
