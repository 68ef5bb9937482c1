package law

import "math"

// solve finds the positive r below high at which a tail has a given share, near start if there is one. The sign is +1 for a
// tail that grows with r and −1 for one that falls. It is Ridders' method on the logarithm of the tail over that of r, on
// which a tail near an end is a straight line.
//
// Source: Ridders, A new algorithm for computing a single root of a real continuous function, IEEE Trans. Circuits Syst. 26 (1979) (from memory).
func solve(tail func(float64) float64, share, sign, start, high float64) float64 {
	const (
		enough  = 100
		closest = 0x1p-52 // of a step, relative: what is left is noise
	)
	if !(start > 0 && start < high) {
		start = min(1, high/2)
	}
	q := bracket{f: func(x float64) float64 {
		return sign * (math.Log(tail(min(math.Exp(x), high))) - math.Log(share))
	}}
	q.around(math.Log(start), math.Log(high))
	last := q.b
	for range enough {
		m := (q.a + q.b) / 2
		fm, x := q.f(m), m
		if s := math.Sqrt(fm*fm - q.fa*q.fb); s > 0 && !math.IsInf(s, 1) {
			x -= (m - q.a) * fm / s
		}
		if math.Abs(x-last) <= closest*max(1, math.Abs(x)) || !(q.a < m && m < q.b) {
			break
		}
		last = x
		q.narrow(m, fm)
		q.narrow(x, q.f(x))
	}
	least, most := math.Exp(q.a), min(math.Exp(q.b), high) // between them r has more digits than its logarithm
	if r := least + (most-least)*(q.fa/(q.fa-q.fb)); r > 0 {
		return r
	}
	return min(math.Exp(last), high)
}

// bracket is where a function that rises is negative, and where it is not.
type bracket struct {
	f            func(float64) float64
	a, b, fa, fb float64
}

// around makes the bracket, in ever longer steps from a start, up to top at most.
func (q *bracket) around(start, top float64) {
	q.a, q.fa = start, q.f(start)
	q.b, q.fb = q.a, q.fa
	for step := 0.25; q.fa > 0 && math.Exp(q.a) > 0; step *= 2 {
		q.b, q.fb = q.a, q.fa
		q.a -= step
		q.fa = q.f(q.a)
	}
	for step := 0.25; q.fb < 0 && q.b < top; step *= 2 {
		q.a, q.fa = q.b, q.fb
		q.b = min(q.b+step, top)
		q.fb = q.f(q.b)
	}
}

// narrow takes a value within the bracket.
func (q *bracket) narrow(x, f float64) {
	switch {
	case f == 0:
		q.a, q.fa, q.b, q.fb = x, -1, x, 1
	case f < 0 && x > q.a:
		q.a, q.fa = x, f
	case f > 0 && x < q.b:
		q.b, q.fb = x, f
	}
}

// leastWhere returns the least number between low and high for which a condition holds that, once true, stays true as x grows; high when it holds for none below. The condition may depend on x by jumps, so the interval is halved: as floats are ordered, not as their values are, to reach infinite ends and the digits near 0.
func leastWhere(low, high float64, holds func(float64) bool) float64 {
	if !(low < high) || holds(low) {
		return low
	}
	a, b := ordinal(low), ordinal(high)
	for b-a > 1 {
		middle := a + (b-a)/2
		if holds(fromOrdinal(middle)) {
			b = middle
		} else {
			a = middle
		}
	}
	return fromOrdinal(b)
}

// signBit is that of a float64.
const signBit = 1 << 63

// ordinal numbers the floats in their order: neighbours differ by 1.
func ordinal(x float64) uint64 {
	word := math.Float64bits(x)
	if word&signBit != 0 {
		return ^word
	}
	return word | signBit
}

// fromOrdinal undoes ordinal.
func fromOrdinal(n uint64) float64 {
	if n&signBit != 0 {
		return math.Float64frombits(n &^ signBit)
	}
	return math.Float64frombits(^n)
}

// The Gauss–Kronrod rule of 15 points over (−1, 1): nodes from the outermost to the middle, every second one also a Gauss node.
// Source: Piessens et al., QUADPACK (1983), routine QK15.
var (
	kronrodNodes = [8]float64{
		0.991455371120812639206854697526329, 0.949107912342758524526189684047851,
		0.864864423359769072789712788640926, 0.741531185599394439863864773280788,
		0.586087235467691130294144691693, 0.405845151377397166906606412076961,
		0.207784955007898467600689403773245, 0,
	}
	kronrodWeights = [8]float64{
		0.022935322010529224963732008058970, 0.063092092629978553290700663189204,
		0.104790010322250183839876322541518, 0.140653259715525918745189590510238,
		0.169004726639267902826583426598550, 0.190350578064785409913256402421014,
		0.204432940075298892414161999234649, 0.209482141084727828012999174891714,
	}
	gaussWeights = [4]float64{
		0.129484966168869693270611432679082, 0.279705391489276667901467771423780,
		0.381830050505118944950369775488975, 0.417959183673469387755102040816327,
	}
)

// kronrod returns the integral of f over (a, b) and how far the coarser Gauss rule is from it, which overstates the error by orders of magnitude.
func kronrod(f func(float64) float64, a, b float64) (sum, gap float64) {
	middle, half := (a+b)/2, (b-a)/2
	at := f(middle)
	sum, coarse := kronrodWeights[7]*at, gaussWeights[3]*at
	for i := range 7 {
		d := half * kronrodNodes[i]
		at = f(middle-d) + f(middle+d)
		sum += kronrodWeights[i] * at
		if i%2 == 1 {
			coarse += gaussWeights[i/2] * at
		}
	}
	return sum * half, math.Abs(sum-coarse) * half
}

const (
	// coarseGap is the gap between the two rules, relative to the whole integral, below which a panel is done; the finer rule is then good to about 1e-13.
	coarseGap = 1e-9
	// deepest bounds the halvings of one panel, to 2⁻¹⁰ of it: a narrower feature must lie at a cut, and noise is not worth more.
	deepest = 10
)

// adaptive integrates a function over the panels between at most maxCuts ascending cuts, halving where it is rough. The integrand should have one sign, and its narrow features should lie at cuts, so that no panel hides one. A panel is done when its gap is within a share gap of the whole.
func adaptive(f func(float64) float64, cuts []float64, gap float64) float64 {
	var sums, gaps [maxCuts]float64
	var whole float64
	for i := 1; i < len(cuts); i++ {
		sums[i], gaps[i] = kronrod(f, cuts[i-1], cuts[i])
		whole += sums[i]
	}
	const passes = 4
	for range passes {
		var total float64
		for i := 1; i < len(cuts); i++ {
			total += refine(f, cuts[i-1], cuts[i], sums[i], gaps[i], gap*math.Abs(whole), deepest)
		}
		before := whole
		whole = total
		if math.Abs(total) > math.Abs(before)/4 { // else a node on a narrow peak made the tolerance too wide
			break
		}
	}
	return whole
}

// refine settles one panel, whose sum and gap are known.
func refine(f func(float64) float64, a, b, sum, gap, tolerance float64, depth int) float64 {
	const rounding = 1e-14                                             // of a sum, below which halving gains nothing
	if !(gap > max(tolerance, rounding*math.Abs(sum))) || depth == 0 { // also when it is no number
		return sum
	}
	middle := (a + b) / 2
	leftSum, leftGap := kronrod(f, a, middle)
	rightSum, rightGap := kronrod(f, middle, b)
	return refine(f, a, middle, leftSum, leftGap, tolerance, depth-1) +
		refine(f, middle, b, rightSum, rightGap, tolerance, depth-1)
}
