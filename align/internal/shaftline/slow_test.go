package shaftline

import "math"

// slowLine is the least use or lack of room of one straight shaft by golden section over its
// slopes; for each, the least measure at which the discs left by the circles, seen along it, have a
// point in common, by bisection over the points where their rims cross.
func slowLine(circles []Circle, by Measure) float64 {
	const (
		steep = 1e-3 // mm over mm: more than any shaft tried leans
		steps = 46   // 0.618^46 = 2e-10
	)
	return -golden(steps, -steep, steep, func(vx float64) float64 {
		return golden(steps, -steep, steep, func(vy float64) float64 {
			return -leastMeeting(circles, vx, vy, by)
		})
	})
}

// leastMeeting is the least measure at which the circles seen along the slope have a point in
// common.
func leastMeeting(circles []Circle, vx, vy float64, by Measure) float64 {
	n := len(circles)
	x, y, r := make([]float64, n), make([]float64, n), make([]float64, n)
	lo, hi := 0.0, 1e-3
	for i, c := range circles {
		x[i], y[i] = c.X-vx*c.Z, c.Y-vy*c.Z
		if by == ByMargin {
			lo = math.Min(lo, -c.Radius)
		}
	}
	if by == ByMargin { // no radius may be negative
		for _, c := range circles {
			lo = math.Max(lo, -c.Radius)
		}
		hi = lo + 1e-3
	}
	meet := func(v float64) bool {
		for i, c := range circles {
			r[i] = v * c.Radius
			if by == ByMargin {
				r[i] = c.Radius + v
			}
		}
		return haveCommonPoint(x, y, r)
	}
	if meet(lo) {
		return lo
	}
	for base := lo; !meet(hi); hi = base + 4*(hi-base) {
		if hi-base > 1e30 {
			return math.Inf(1)
		}
	}
	for hi-lo > 1e-13*(1+math.Abs(hi)) {
		mid := lo + (hi-lo)/2
		if meet(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	return hi
}

// haveCommonPoint reports whether discs meet: the middle of one, or a crossing of two rims, is in
// all.
func haveCommonPoint(x, y, r []float64) bool {
	const rounding = 1e-15
	in := func(px, py float64) bool {
		for i := range x {
			if math.Hypot(px-x[i], py-y[i]) > r[i]+rounding {
				return false
			}
		}
		return true
	}
	for i := range x {
		if in(x[i], y[i]) {
			return true
		}
		for k := range i {
			dx, dy := x[k]-x[i], y[k]-y[i]
			d := math.Hypot(dx, dy)
			if d == 0 || d > r[i]+r[k]+rounding {
				continue
			}
			a := (d*d + r[i]*r[i] - r[k]*r[k]) / (2 * d)
			h := math.Sqrt(math.Max(0, (r[i]-a)*(r[i]+a)))
			for _, s := range [2]float64{-h, h} {
				if in(x[i]+(a*dx-s*dy)/d, y[i]+(a*dy+s*dx)/d) {
					return true
				}
			}
		}
	}
	return false
}

// golden is the greatest value of a concave function over [lo, hi].
func golden(steps int, lo, hi float64, f func(float64) float64) float64 {
	const g = 0.6180339887498949
	a, b := hi-g*(hi-lo), lo+g*(hi-lo)
	fa, fb := f(a), f(b)
	best := math.Max(fa, fb)
	for range steps {
		if fa < fb {
			lo, a, fa = a, b, fb
			b = lo + g*(hi-lo)
			fb = f(b)
		} else {
			hi, b, fb = b, a, fa
			a = hi - g*(hi-lo)
			fa = f(a)
		}
		best = math.Max(best, math.Max(fa, fb))
	}
	return best
}
