package rare

import (
	"math"

	"gonum.org/v1/gonum/mathext"
)

// line is one line, through base along the way out of a point.
type line struct {
	point        int
	t            float64 // the next place to try
	before, last float64 // the last one, and how far it was within the limit
	safe, beyond float64 // the bracket, infinite where there is none
	tried        int
	slope        float64 // the last one
	crossing     float64
	off          float64 // what a crossing that was found may be off
	found        bool
}

// next takes how far the place last tried is within the limit, and chooses the next one: by the secant, within the
// bracket once there is one. A crossing may be off by as much of the last step as the slope changed by: by all of it
// at a jump, by next to nothing where the response is smooth.
func (q *line) next(g, steep float64) {
	slope := -steep
	if q.tried > 0 {
		slope = (g - q.last) / (q.t - q.before)
	}
	if math.IsInf(slope, 0) { // beyond all numbers on one side: there is nothing to go by
		slope = 0
	}
	if g >= 0 {
		q.safe = math.Max(q.safe, q.t)
	} else {
		q.beyond = math.Min(q.beyond, q.t)
	}
	step := math.Copysign(lineStride, g)
	if slope < -leastSteep {
		step = math.Max(-lineStride, math.Min(-g/slope, lineStride))
	}
	t := q.t + step
	if q.safe < q.beyond && !math.IsInf(q.beyond-q.safe, 0) && !(t > q.safe && t < q.beyond) {
		t = (q.safe + q.beyond) / 2
	}
	change := math.Abs(slope-q.slope) / math.Max(math.Abs(slope), math.Abs(q.slope))
	if q.tried == 0 || !(change < 1) {
		change = 1
	}
	q.before, q.last, q.slope = q.t, g, slope
	q.tried++
	q.crossing, q.t = t, t
	switch {
	case t >= lineFar:
		q.crossing, q.found = math.Inf(1), true
	case t <= -lineFar:
		q.crossing, q.found = math.Inf(-1), true
	case math.Abs(t-q.before) < lineEnd:
		q.off, q.found = change*math.Abs(t-q.before), true
	}
}

// mendMost is the greatest weight of what a draw on a line mends: half of them are drawn as the laws say.
const mendMost = 2

// mend is where line i is tried again: as the laws say, or about the crossing.
func (q *line) mend(u float64) float64 {
	if u *= 2; u < 1 || math.IsInf(q.crossing, 0) {
		return mathext.NormalQuantile(u - math.Floor(u))
	}
	return q.crossing + mathext.NormalQuantile(u-1)
}

// mendWeight is how likely t is as the laws say, over how likely it is tried.
func (q *line) mendWeight(t float64) float64 {
	if math.IsInf(q.crossing, 0) {
		return 1
	}
	return mendMost / (1 + math.Exp(q.crossing*(t-q.crossing/2)))
}
