package form

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Uncertainty says how well the points are known. The zero value says nothing, and results then carry no covariance.
//
// Points are taken as independent, each with the same standard uncertainty along every axis. State at most one of All and Each; Scatter stands alone.
type Uncertainty struct {
	All     tolerance.Length   // standard uncertainty of every point
	Each    []tolerance.Length // standard uncertainty of each point, in the order of the points
	Scatter bool               // taken from the residuals themselves: the root of their sum of squares over n less the number of parameters; least squares only
}

// maxCoordinate keeps squares of coordinates, and sums of them, finite.
const maxCoordinate = 1e100

// cloud is the points about their mean, in a unit that makes them about 1 in size, so that nothing that follows depends on the frame or on the unit. Points of a plane have Z = 0.
type cloud struct {
	p      []r3.Vec  // (point - origin) / scale
	mean   r3.Vec    // of p: what the rounding of origin left
	origin r3.Vec    // mm
	scale  float64   // mm per unit; a power of two, so that scaling is exact
	grain  float64   // rounding of the coordinates as given, in units
	u      []float64 // standard uncertainties in units; nil when none are stated
	own    bool      // the uncertainty is to come from the residuals
}

// newCloud checks and centres the points. At least want of them are needed.
func newCloud(points []r3.Vec, u Uncertainty, want int) (*cloud, error) {
	if err := checkPoints(points, want); err != nil {
		return nil, err
	}
	n := len(points)
	var x, y, z sum
	var largest float64
	for _, p := range points {
		largest = math.Max(largest, math.Max(math.Abs(p.X), math.Max(math.Abs(p.Y), math.Abs(p.Z))))
		x.add(p.X)
		y.add(p.Y)
		z.add(p.Z)
	}
	c := &cloud{p: make([]r3.Vec, n), origin: r3.Vec{X: x.value() / float64(n), Y: y.value() / float64(n), Z: z.value() / float64(n)}}
	var reach float64
	for i, p := range points {
		d := r3.Sub(p, c.origin)
		c.p[i] = d
		reach = math.Max(reach, math.Max(math.Abs(d.X), math.Max(math.Abs(d.Y), math.Abs(d.Z))))
	}
	const roundings = 4 // one of each coordinate, one of the difference, and room
	ulp := math.Nextafter(largest, math.Inf(1)) - largest
	if reach <= roundings*ulp {
		return nil, atFault(n-1, fmt.Sprintf("none is farther than %g mm from the others", 2*reach), "points apart from each other", ErrCoincident)
	}
	_, e := math.Frexp(reach)
	c.scale = math.Ldexp(1, e)
	c.grain = roundings * ulp / c.scale
	x, y, z = sum{}, sum{}, sum{}
	for i, d := range c.p {
		d = r3.Vec{X: d.X / c.scale, Y: d.Y / c.scale, Z: d.Z / c.scale}
		c.p[i] = d
		x.add(d.X)
		y.add(d.Y)
		z.add(d.Z)
	}
	c.mean = r3.Vec{X: x.value() / float64(n), Y: y.value() / float64(n), Z: z.value() / float64(n)}
	return c, c.weigh(u)
}

// checkPoints refuses too few points, and numbers that are not usable.
func checkPoints(points []r3.Vec, want int) error {
	if len(points) < want {
		return tooFew(len(points), want)
	}
	for i, p := range points {
		for k, v := range [3]float64{p.X, p.Y, p.Z} {
			if math.IsNaN(v) || math.IsInf(v, 0) {
				return atFault(i, fmt.Sprintf("%c = %v", 'x'+rune(k), v), "a number of millimetres", fault.ErrNotFinite)
			}
			if math.Abs(v) > maxCoordinate {
				return atFault(i, fmt.Sprintf("%c = %v mm", 'x'+rune(k), v), fmt.Sprintf("at most %g mm", maxCoordinate), fault.ErrOutOfRange)
			}
		}
	}
	return nil
}

// newFlat is newCloud for points of a plane.
func newFlat(points []r2.Vec, u Uncertainty, want int) (*cloud, error) {
	lifted := make([]r3.Vec, len(points))
	for i, p := range points {
		lifted[i] = r3.Vec{X: p.X, Y: p.Y}
	}
	return newCloud(lifted, u, want)
}

// weigh takes over the uncertainties.
func (c *cloud) weigh(u Uncertainty) error {
	good := func(v tolerance.Length) bool { return v >= 0 && !math.IsInf(float64(v), 0) }
	stated := 0
	for _, yes := range []bool{u.All != 0, u.Each != nil, u.Scatter} {
		if yes {
			stated++
		}
	}
	switch {
	case stated > 1:
		return atFault(whole, "uncertainty stated in more than one way", "one of All, Each and Scatter", ErrMismatch)
	case u.Scatter:
		c.own = true
	case u.Each != nil:
		if len(u.Each) != len(c.p) {
			return atFault(whole, fmt.Sprintf("%d uncertainties for %d points", len(u.Each), len(c.p)), "one for each point", ErrMismatch)
		}
		c.u = make([]float64, len(c.p))
		for i, v := range u.Each {
			if !good(v) {
				return atFault(i, fmt.Sprintf("standard uncertainty %v mm", float64(v)), "a finite length of 0 or more", fault.ErrOutOfRange)
			}
			c.u[i] = float64(v) / c.scale
		}
	case u.All != 0:
		if !good(u.All) {
			return atFault(whole, fmt.Sprintf("standard uncertainty %v mm", float64(u.All)), "a finite length of 0 or more", fault.ErrOutOfRange)
		}
		c.u = make([]float64, len(c.p))
		for i := range c.u {
			c.u[i] = float64(u.All) / c.scale
		}
	}
	return nil
}

// out carries a point of the cloud back to the frame and unit of the points given.
func (c *cloud) out(p r3.Vec) r3.Vec { return r3.Add(c.origin, r3.Scale(c.scale, p)) }

// length carries a length of the cloud back to millimetres.
func (c *cloud) length(v float64) tolerance.Length { return tolerance.Length(v * c.scale) }

// station looks for two rows that agree in the two coordinates across the axis nearest to the normal and differ along it: one station with two heights. It compares the coordinates as given, bit for bit; a row repeated whole is no fault.
func station(points []r3.Vec, normal r3.Vec) error {
	pick := nearestAxis(normal)
	seen := make(map[[2]float64]int, len(points))
	for i, p := range points {
		a, b, height := pick(p)
		first, again := seen[[2]float64{a, b}]
		if !again {
			seen[[2]float64{a, b}] = i
			continue
		}
		if _, _, before := pick(points[first]); before != height {
			return &PointError{Row: i, Twin: first, Value: fmt.Sprintf("heights %v mm and %v mm at (%v, %v)", height, before, a, b), Want: "one height for a station (average repeats)", Err: ErrStation}
		}
	}
	return nil
}

// nearestAxis returns a function that splits a point into its two coordinates across the frame axis nearest to n, and the one along it. Negative zeros are made positive, so that they compare as keys.
func nearestAxis(n r3.Vec) func(r3.Vec) (a, b, along float64) {
	x, y, z := math.Abs(n.X), math.Abs(n.Y), math.Abs(n.Z)
	switch {
	case z >= x && z >= y:
		return func(p r3.Vec) (float64, float64, float64) { return p.X + 0, p.Y + 0, p.Z }
	case y >= x:
		return func(p r3.Vec) (float64, float64, float64) { return p.Z + 0, p.X + 0, p.Y }
	}
	return func(p r3.Vec) (float64, float64, float64) { return p.Y + 0, p.Z + 0, p.X }
}

// sum adds with compensation, so that 100,000 terms keep the digits of one.
//
// Source: A. Neumaier, Rundungsfehleranalyse einiger Verfahren zur Summation endlicher Summen, 1974.
type sum struct{ total, lost float64 }

func (s *sum) add(v float64) {
	t := s.total + v
	if math.Abs(s.total) >= math.Abs(v) {
		s.lost += (s.total - t) + v
	} else {
		s.lost += (v - t) + s.total
	}
	s.total = t
}

func (s *sum) value() float64 { return s.total + s.lost }
