package form

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
)

// MinimumZoneLine finds the two parallel lines nearest to each other that hold all of two or more points of the plane (straightness of a profile, ISO 1101); the line returned lies midway. It is the global optimum: one of the two lines lies on an edge of the convex hull, and all edges are tried. Its time is that of sorting the points.
//
// It returns the errors of [LeastSquaresLine] but [fault.ErrUndefined]; points that fit several zones alike give one of them.
//
// Source: ISO 1101 (straightness); M. I. Shamos, Computational Geometry, thesis, Yale, 1978 (antipodal pairs of a convex polygon).
func MinimumZoneLine(points []r2.Vec, u Uncertainty) (LineFit, error) {
	lifted := make([]r3.Vec, len(points))
	for i, p := range points {
		lifted[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	c, err := newZoneCloud(lifted, u, 2)
	if err != nil {
		return LineFit{}, err
	}
	fit, err := c.zoneLine()
	if err != nil {
		return LineFit{}, err
	}
	if err := fit.checkStations(points); err != nil {
		return LineFit{}, err
	}
	return fit, nil
}

func (c *cloud) zoneLine() (LineFit, error) {
	dir := c.narrowestEdge()
	fit := c.line(c.mean, dir)
	// The strip, at its optimum already, gives contacts and weights.
	s := strip{m: 1, a: make([]float64, len(c.p)), box: 1}
	t := r3.Vec{X: fit.Direction.X, Y: fit.Direction.Y}
	for i, p := range c.p {
		s.a[i] = r3.Dot(t, r3.Sub(p, c.mean))
	}
	s.d = c.heights(c.mean, dir, fit.Line)
	sol, ok := s.solve()
	if !ok {
		return LineFit{}, atFault(whole, "the exchange of contacts does not end", "points of moderate size", fault.ErrNotConverging)
	}
	hi, lo := slices.Max(s.d), slices.Min(s.d)
	mid := (hi + lo) / 2
	left := r3.Vec{X: -t.Y, Y: t.X}
	fit.Rule = MinimumZone
	fit.Point = c.line(r3.Add(c.mean, r3.Scale(mid, left)), dir).Point
	for i := range s.d {
		s.d[i] -= mid
	}
	fit.Deviation = c.deviation(s.d)
	sol.weights(&fit.Deviation)
	fit.Deviation.UTotal = c.zoneSpread(&s, &sol)
	fit.Cov = c.zoneCovariance(&s, &sol, middle, true, []float64{c.scale, 1})
	fit.Proof = c.proof(&s, &sol, fit.Deviation.Total, sol.value, Everyone)
	return fit, nil
}

// narrowestEdge is the direction of the hull's edge with the least height of the hull over it.
func (c *cloud) narrowestEdge() r3.Vec {
	hull := c.hull()
	n := len(hull)
	best, dir := math.Inf(1), r3.Vec{X: 1}
	j := 1
	for i := range hull {
		e := r3.Sub(c.p[hull[(i+1)%n]], c.p[hull[i]])
		length := math.Hypot(e.X, e.Y)
		if length == 0 {
			continue
		}
		height := func(k int) float64 {
			d := r3.Sub(c.p[hull[k%n]], c.p[hull[i]])
			return (e.X*d.Y - e.Y*d.X) / length
		}
		for range n {
			if height(j+1) < height(j) {
				break
			}
			j++
		}
		if h := math.Abs(height(j)); h < best {
			best, dir = h, r3.Scale(1/length, e)
		}
	}
	return dir
}

// hull is the convex hull of a flat cloud, counter-clockwise, by index.
//
// Source: A. M. Andrew, Another efficient algorithm for convex hulls in two dimensions, Inf. Process. Lett. 9, 216, 1979.
func (c *cloud) hull() []int {
	order := make([]int, len(c.p))
	for i := range order {
		order[i] = i
	}
	slices.SortFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(c.p[a].X, c.p[b].X), cmp.Compare(c.p[a].Y, c.p[b].Y), cmp.Compare(a, b))
	})
	var hull []int
	half := func(least int, next func(i int) int) {
		for i := range order {
			k := next(i)
			for len(hull) > least && c.turn(hull[len(hull)-2], hull[len(hull)-1], k) <= 0 {
				hull = hull[:len(hull)-1]
			}
			hull = append(hull, k)
		}
	}
	half(1, func(i int) int { return order[i] })
	lower := len(hull)
	half(lower, func(i int) int { return order[len(order)-1-i] })
	// The first point closes each half.
	return hull[:len(hull)-1]
}

// turn is positive when points i, j, k turn left.
func (c *cloud) turn(i, j, k int) float64 {
	a, b := r3.Sub(c.p[j], c.p[i]), r3.Sub(c.p[k], c.p[i])
	return a.X*b.Y - a.Y*b.X
}
