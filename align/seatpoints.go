package align

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/fault"
)

// Lengths and shares of a seat on measured heights.
const (
	pairShare   = 0.01 // of the ring's diameter: how far paired stations may lie apart
	contactGap  = 1e-7 // mm: below it, a station touches
	rockShare   = 1e-9 // share of the clamping force below which a contact carries none
	outsideFall = 1e4  // how far below the ring's diameter the outside helpers of the search lie
)

// station is one place where both faces have a height, in A's frame.
type station struct {
	x, y   float64
	hA, hB float64
	gap    float64
}

// pointSeat seats B's measured heights on A's: the plane shift w0 + wx x + wy y that brings B down on A with the least height at the clamping centroid. Source: the linear program of three unknowns whose optimum touches at three stations round the centroid; solved by exchange of contacts, the dual simplex method.
type pointSeat struct {
	stations []station
	w        [3]float64 // w0, wx, wy
	force    [3]float64 // the contacts' shares of the clamping force
	at       [3]int
	between  float64 // standard error of heights taken between stations; 0: stations pair
	places   []seatPlace
	solver   conic.Solver
	problem  conic.Problem
}

// pair lists the stations of a joint: A's, each with the B station that comes to lie there, or with the other face's plane where only one face has points. It returns an error that names the first station without a partner.
func (s *pointSeat) pair(j *Joint, fa, fb *mountedFace, qA, qB r3.Vec) error {
	s.stations = s.stations[:0]
	gasket := func(x, y float64) float64 {
		if j.Gasket == nil {
			return 0
		}
		return float64(j.Gasket.Thickness) + j.Gasket.Slope.X*x + j.Gasket.Slope.Y*y
	}
	// bow under the bolts: the share that they pull flat goes back to the face's plane
	height := func(f *mountedFace, p r3.Vec) float64 {
		flat := f.p.at(p.X, p.Y)
		return p.Z - j.Flatten*(p.Z-flat)
	}
	sin, cos := math.Sincos(-float64(j.Clock))
	toA := func(x, y float64) (float64, float64) {
		x, y = x-qB.X, y-qB.Y
		return qA.X + cos*x - sin*y, qA.Y + sin*x + cos*y
	}
	toB := func(x, y float64) (float64, float64) {
		x, y = x-qA.X, y-qA.Y
		return qB.X + cos*x + sin*y, qB.Y - sin*x + cos*y
	}
	if len(fa.points) == 0 {
		for _, p := range fb.points {
			x, y := toA(p.X, p.Y)
			s.stations = append(s.stations, station{x: x, y: y, hA: fa.p.at(x, y) + gasket(x, y), hB: height(fb, p)})
		}
		return nil
	}
	var between *ringSeries
	s.between = 0
	if j.Interpolate && len(fb.points) > 0 {
		var carried []r3.Vec
		for _, b := range fb.points {
			x, y := toA(b.X, b.Y)
			carried = append(carried, r3.Vec{X: x, Y: y, Z: height(fb, b)})
		}
		var err error
		if between, err = interpolated(carried); err != nil {
			return fmt.Errorf("the rear part's face: %w", err)
		}
		s.between = between.err
	} else if len(fb.points) > 0 && len(fb.points) != len(fa.points) {
		return fmt.Errorf("%d stations on the front part's face and %d on the rear part's: %w", len(fa.points), len(fb.points), fault.ErrConflict)
	}
	reach := pairShare * ringDiameter(fa.points)
	for _, p := range fa.points {
		q := station{x: p.X, y: p.Y, hA: height(fa, p) + gasket(p.X, p.Y)}
		if len(fb.points) == 0 {
			x, y := toB(p.X, p.Y)
			q.hB = fb.p.at(x, y)
			s.stations = append(s.stations, q)
			continue
		}
		if between != nil {
			q.hB = between.at(p.X, p.Y)
			s.stations = append(s.stations, q)
			continue
		}
		near := math.Inf(1)
		for _, b := range fb.points {
			x, y := toA(b.X, b.Y)
			if d := math.Hypot(x-p.X, y-p.Y); d < near {
				near, q.hB = d, height(fb, b)
			}
		}
		if near > reach {
			return fmt.Errorf("the station at (%.4g, %.4g) mm has no partner on the other face within %.3g mm: %w", p.X, p.Y, reach, fault.ErrConflict)
		}
		s.stations = append(s.stations, q)
	}
	return nil
}

// ringDiameter is twice the greatest distance of a point from the points' centroid.
func ringDiameter(pts []r3.Vec) float64 {
	var c r3.Vec
	for _, p := range pts {
		c = r3.Add(c, r3.Scale(1/float64(len(pts)), p))
	}
	var r float64
	for _, p := range pts {
		r = math.Max(r, math.Hypot(p.X-c.X, p.Y-c.Y))
	}
	return 2 * r
}

// solve finds the seat for a clamping centroid (cx, cy). It returns an error when the centroid lies outside the stations.
func (s *pointSeat) solve(cx, cy float64) error {
	n := len(s.stations)
	var size, low float64
	for i := range s.stations {
		p := &s.stations[i]
		size = math.Max(size, size2(p.x-cx, p.y-cy))
		low = math.Min(low, p.hA-p.hB)
	}
	if size == 0 {
		size = 1
	}
	// what each place asks of the plane, about the centroid in units of the ring; three helpers far out and far down begin the search
	s.places = resize(s.places, n+3)
	for i := range s.stations {
		p := &s.stations[i]
		s.places[i] = seatPlace{(p.x - cx) / size, (p.y - cy) / size, p.hA - p.hB}
	}
	for k, u := range helpers {
		s.places[n+k] = seatPlace{10 * u[0], 10 * u[1], low - outsideFall*size}
	}
	s.at = [3]int{0, n / 3, 2 * n / 3} // where stations go round, these mostly hold the centroid
	if n < 3 || !s.plane() || math.Min(s.force[0], math.Min(s.force[1], s.force[2])) < 0 {
		s.at = [3]int{n, n + 1, n + 2}
	}
	for range 100 + 10*n {
		if !s.plane() {
			return fmt.Errorf("the stations do not make a plane: %w", fault.ErrConflict)
		}
		worst, in := 1e-12*size, -1
		w0, w1, w2 := s.w[0], s.w[1], s.w[2]
		for i := range s.places[:n] {
			q := &s.places[i]
			if lack := q.up - w0 - w1*q.x - w2*q.y; lack > worst {
				worst, in = lack, i
			}
		}
		if in < 0 {
			break
		}
		s.exchange(in)
	}
	for k, i := range s.at {
		if i >= n && s.force[k] > rockShare {
			return fmt.Errorf("the clamping centroid (%.4g, %.4g) mm lies outside the stations, so nothing holds the part there: %w", cx, cy, fault.ErrConflict)
		}
	}
	if math.Min(s.force[0], math.Min(s.force[1], s.force[2])) <= rockShare {
		if err := s.rock(); err != nil {
			return err
		}
	}
	// back to A's frame
	wx, wy := s.w[1]/size, s.w[2]/size
	s.w = [3]float64{s.w[0] - wx*cx - wy*cy, wx, wy}
	for i := range s.stations {
		p := &s.stations[i]
		p.gap = p.hB + s.w[0] + wx*p.x + wy*p.y - p.hA
	}
	return nil
}

// helpers are three directions, a third of a turn apart.
var helpers = [3][2]float64{{0, 1}, {0.8660254037844386, -0.5}, {-0.8660254037844386, -0.5}}

// seatPlace is what one place asks of the plane: a height at a point about the clamping centroid.
type seatPlace struct{ x, y, up float64 }

func (s *pointSeat) place(i int) (x, y, up float64) {
	q := &s.places[i]
	return q.x, q.y, q.up
}

// plane sets w to the plane through the three contacts, about the centroid, and force to the shares in which they carry it.
func (s *pointSeat) plane() bool {
	x0, y0, u0 := s.place(s.at[0])
	x1, y1, u1 := s.place(s.at[1])
	x2, y2, u2 := s.place(s.at[2])
	d := (x1-x0)*(y2-y0) - (x2-x0)*(y1-y0)
	if d == 0 {
		return false
	}
	s.force = [3]float64{(x1*y2 - x2*y1) / d, (x2*y0 - x0*y2) / d, (x0*y1 - x1*y0) / d}
	s.w = [3]float64{
		s.force[0]*u0 + s.force[1]*u1 + s.force[2]*u2,
		(u0*(y1-y2) + u1*(y2-y0) + u2*(y0-y1)) / d,
		(u0*(x2-x1) + u1*(x0-x2) + u2*(x1-x0)) / d,
	}
	return true
}

// exchange brings place in into the triangle in exchange for the contact that keeps the centroid inside.
func (s *pointSeat) exchange(in int) {
	x, y, _ := s.place(in)
	x0, y0, _ := s.place(s.at[0])
	x1, y1, _ := s.place(s.at[1])
	x2, y2, _ := s.place(s.at[2])
	d := (x1-x0)*(y2-y0) - (x2-x0)*(y1-y0)
	// shares of the newcomer in the old contacts
	m := [3]float64{
		((x1-x)*(y2-y) - (x2-x)*(y1-y)) / d,
		((x2-x)*(y0-y) - (x0-x)*(y2-y)) / d,
		((x0-x)*(y1-y) - (x1-x)*(y0-y)) / d,
	}
	least, out := math.Inf(1), 0
	for k := range 3 {
		if m[k] > 1e-12 {
			if r := math.Max(0, s.force[k]) / m[k]; r < least {
				least, out = r, k
			}
		}
	}
	s.at[out] = in
}

// rock chooses, among the seats of a part that rocks about contacts that carry everything, the one of least Σ gap².
func (s *pointSeat) rock() error {
	n := len(s.stations)
	p := &s.problem
	p.Reset(3)
	q := p.Quadratic()
	var unit float64
	for i := range n {
		x, y, up := s.place(i)
		unit = math.Max(unit, math.Abs(up-s.w[0]-s.w[1]*x-s.w[2]*y))
	}
	if unit <= touching { // every station touches, but for rounding
		return nil
	}
	for i := range n {
		x, y, up := s.place(i)
		row := [3]float64{1, x, y}
		gap := (s.w[0] + s.w[1]*x + s.w[2]*y - up) / unit // about the present seat
		for a := range 3 {
			for b := range 3 {
				q[a*3+b] += row[a] * row[b]
			}
			p.Cost()[a] += gap * row[a]
		}
		held := false
		for k, at := range s.at {
			held = held || (at == i && s.force[k] > rockShare)
		}
		if held {
			e := p.Equal()
			copy(e, row[:])
			continue
		}
		c := p.Cone(1)
		copy(c.Row(0), row[:])
		c.Row(0)[3] = gap
	}
	res, err := s.solver.Solve(p, 1e-9)
	if err != nil {
		return fmt.Errorf("a seat that rocks: %w", fault.ErrNotConverging)
	}
	for k := range 3 {
		s.w[k] += unit * res.X[k]
	}
	return nil
}

// seatOnPoints replaces the meeting plane p and B's front plane b by those that the contact seat gives: the least-squares plane of A's heights, and B's plane that lies on it.
func (s *seating) seatOnPoints(j *Joint, fa, fb *mountedFace, p, b plane) (plane, plane, error) {
	qA, qB := r3.Vec{}, r3.Vec{}
	if s.pilot {
		qA, qB = r3.Vec{X: fa.cx, Y: fa.cy}, r3.Vec{X: fb.cx, Y: fb.cy}
	}
	if err := s.points.pair(j, fa, fb, qA, qB); err != nil {
		return p, b, err
	}
	var cx, cy float64
	if j.Yield != nil {
		_, cx, cy = j.clamp()
	} else if len(j.Bolts) > 0 {
		for _, q := range j.Bolts {
			cx += float64(q.X) / float64(len(j.Bolts))
			cy += float64(q.Y) / float64(len(j.Bolts))
		}
	} else {
		for _, q := range s.points.stations {
			cx += q.x / float64(len(s.points.stations))
			cy += q.y / float64(len(s.points.stations))
		}
	}
	if err := s.points.solve(cx, cy); err != nil {
		return p, b, err
	}
	if j.Yield != nil {
		if err := s.points.yield(j, cx, cy); err != nil {
			return p, b, err
		}
	}
	// p is A's least-squares plane with the gasket on it; B's, over A's x and y, lies on it when shifted by w.
	w := s.points.w
	over := plane{p.z - w[0], p.sx - w[1], p.sy - w[2]}
	sin, cos := math.Sincos(-float64(j.Clock))
	// over B's own x and y: xA = qA + Rot (xB - qB)
	b.sx, b.sy = over.sx*cos+over.sy*sin, -over.sx*sin+over.sy*cos
	b.z = over.at(qA.X, qA.Y) - b.sx*qB.X - b.sy*qB.Y
	for _, q := range s.points.stations {
		if q.gap > s.gap {
			s.gap, s.gapX, s.gapY = q.gap, q.x, q.y
		}
	}
	return p, b, nil
}
