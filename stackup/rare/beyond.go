package rare

import "math"

// Of the chance beyond a crossing, where several points share it.
const (
	tailNodes = 32
	tailLeast = -7.0 // standard deviations: what lies before is nothing
	tailFar   = 9.0  // and beyond
)

// beyond is the chance of line i beyond its crossing, of which each failure is its point's to a share: to about a
// millionth of it where there are several points.
func (w *liner) beyond(i int) (sum float64) {
	q := &w.lines[i]
	if len(w.a.points) == 1 {
		return math.Erfc(q.crossing/math.Sqrt2) / 2
	}
	w.likelihoods(i)
	from := math.Max(q.crossing, tailLeast)
	if !(from < tailFar) {
		return 0
	}
	to := math.Min(tailFar, math.Max(from, 0)+tailFar)
	for k, x := range w.x {
		t := from + (to-from)*x
		sum += w.y[k] * math.Exp(-t*t/2) * w.shareAt(q.point, t)
	}
	return sum * (to - from) / math.Sqrt(2*math.Pi)
}

// share is the share of a failure at t of line i that is its point's.
func (w *liner) share(i int, t float64) float64 {
	if len(w.a.points) == 1 {
		return 1
	}
	w.likelihoods(i)
	return w.shareAt(w.lines[i].point, t)
}

// likelihoods sets how likely the points of line i are about each design point.
func (w *liner) likelihoods(i int) {
	mix, out := w.a.mix, w.a.points[w.lines[i].point].out
	for k, z := range mix.z {
		at, per := math.Log(mix.shares[k])-mix.half[k], 0.0
		for c, v := range z {
			at += v * w.u[lineNumbers+c][i]
			per += v * out[c]
		}
		w.at[k], w.per[k] = at, per
	}
}

// shareAt is how likely a point's draws are at t, over how likely all points' are.
func (w *liner) shareAt(point int, t float64) float64 {
	own, all := w.at[point]+t*w.per[point], 0.0
	for k, at := range w.at {
		all += math.Exp(at + t*w.per[k] - own)
	}
	return 1 / all
}
