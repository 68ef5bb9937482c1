package seat

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/conic"
	"example.com/borestack/align/internal/dense"
	"example.com/borestack/align/internal/tol"
	"example.com/borestack/fault"
)

// Touches is the gap, in mm, below which a station touches: a tenth of what a gauge tells.
const Touches = 1e-7

// Shares of a seat on measured heights.
const (
	pairShare   = 0.01  // of the ring's diameter: how far paired stations may lie apart
	rockShare   = 1e-9  // share of the clamping force below which a contact carries none
	lacks       = 1e-12 // share of the ring's radius by which a station may be inside the other part
	leaves      = 1e-12 // share of a newcomer in an old contact below which that one stays
	rockTol     = 1e-9  // of the program for a part that rocks
	outsideFall = 1e4   // how far below the ring's diameter the outside helpers of the search lie
)

// Station is one place where both faces have a height, in A's frame.
type Station struct {
	X, Y   float64
	HA, HB float64
	Gap    float64
}

// Solver seats B's measured heights on A's.
type Solver struct {
	Stations []Station
	Shift    [3]float64 // w0, wx, wy
	Between  float64    // standard error of heights taken between stations; 0: stations pair

	force   [3]float64 // the contacts' shares of the clamping force
	at      [3]int     // the contacts
	carried []r3.Vec   // B's heights as they come to lie on A,
	taken   []bool     // and which are partners
	places  []seatPlace
	solver  conic.Solver
	problem conic.Problem
}

// Side is one of the two faces: its plane and the heights measured on it, if any.
type Side struct {
	Plane  Plane
	Points []r3.Vec
}

// Joining is how B comes to lie on A, in A's frame.
type Joining struct {
	QA, QB      r3.Vec  // the point of A that the point of B comes to lie on
	Clock       float64 // rad: how far B is turned clockwise
	Gasket      Plane   // what lies between, on A
	Flatten     float64 // share of the bow off a face's plane that the bolts pull flat: it goes back to the plane
	Interpolate bool    // B's heights are taken between its stations, which lie on one ring
}

// height is a measured height as bolted.
func (j *Joining) height(f *Side, p r3.Vec) float64 {
	flat := f.Plane.At(p.X, p.Y)
	return p.Z - j.Flatten*(p.Z-flat)
}

// toA carries a place on B to A, by the sine and cosine of minus the clock.
func (j *Joining) toA(x, y, sin, cos float64) (float64, float64) {
	x, y = x-j.QB.X, y-j.QB.Y
	return j.QA.X + cos*x - sin*y, j.QA.Y + sin*x + cos*y
}

// toB carries a place on A to B.
func (j *Joining) toB(x, y, sin, cos float64) (float64, float64) {
	x, y = x-j.QA.X, y-j.QA.Y
	return j.QB.X + cos*x + sin*y, j.QB.Y - sin*x + cos*y
}

// Pair lists the stations of a joint: A's, each with the B station that comes to lie there, or with
// the other face's plane where only one face has points. It returns an error that names the first
// station without a partner.
func (s *Solver) Pair(j *Joining, fa, fb *Side) error {
	s.Stations, s.Between = s.Stations[:0], 0
	sin, cos := math.Sincos(-j.Clock)
	if len(fa.Points) == 0 {
		for _, p := range fb.Points {
			x, y := j.toA(p.X, p.Y, sin, cos)
			s.Stations = append(s.Stations, Station{X: x, Y: y, HA: fa.Plane.At(x, y) + j.Gasket.At(x, y), HB: j.height(fb, p)})
		}
		return nil
	}
	between, reach, err := s.carry(j, fa, fb, sin, cos)
	if err != nil {
		return err
	}
	for _, p := range fa.Points {
		q := Station{X: p.X, Y: p.Y, HA: j.height(fa, p) + j.Gasket.At(p.X, p.Y)}
		switch {
		case len(s.carried) == 0:
			x, y := j.toB(p.X, p.Y, sin, cos)
			q.HB = fb.Plane.At(x, y)
		case between != nil:
			q.HB = between.at(p.X, p.Y)
		default:
			near, off := nearest(s.carried, p)
			if off > reach*reach {
				return alone(p, reach)
			}
			q.HB, s.taken[near] = s.carried[near].Z, true
		}
		s.Stations = append(s.Stations, q)
	}
	for i, p := range s.carried { // of two that lie near one, one may be no other's nearest
		if between != nil || s.taken[i] {
			continue
		}
		if _, off := nearest(fa.Points, p); off > reach*reach {
			return alone(p, reach)
		}
	}
	return nil
}

// alone says that a station has no partner.
func alone(p r3.Vec, reach float64) error {
	return fmt.Errorf("the station at (%.4g, %.4g) mm has no partner on the other face within %.3g mm: %w", p.X, p.Y, reach, fault.ErrConflict)
}

// carry lists B's stations as they come to lie on A, and says how far those that pair may lie apart,
// or gives what takes the heights between them.
func (s *Solver) carry(j *Joining, fa, fb *Side, sin, cos float64) (between *ringSeries, reach float64, err error) {
	s.carried = s.carried[:0]
	for _, b := range fb.Points {
		x, y := j.toA(b.X, b.Y, sin, cos)
		s.carried = append(s.carried, r3.Vec{X: x, Y: y, Z: j.height(fb, b)})
	}
	switch {
	case len(s.carried) == 0:
		return nil, 0, nil
	case j.Interpolate:
		if between, err = interpolated(s.carried); err != nil {
			return nil, 0, fmt.Errorf("the rear part's face: %w", err)
		}
		s.Between = between.err
		return between, 0, nil
	case len(s.carried) != len(fa.Points):
		return nil, 0, fmt.Errorf("%d stations on the front part's face and %d on the rear part's: %w", len(fa.Points), len(fb.Points), fault.ErrConflict)
	}
	s.taken = dense.Zeros(s.taken, len(s.carried))
	return nil, pairShare * ringDiameter(fa.Points), nil
}

// nearest is the place nearest to p over x and y, and the square of how far off it lies.
func nearest(places []r3.Vec, p r3.Vec) (i int, off float64) {
	off = math.Inf(1)
	for n := range places {
		dx, dy := places[n].X-p.X, places[n].Y-p.Y
		if d := dx*dx + dy*dy; d < off {
			off, i = d, n
		}
	}
	return i, off
}

// ringDiameter is twice the greatest distance of a point from the points' centroid.
func ringDiameter(pts []r3.Vec) float64 {
	var c r3.Vec
	for _, p := range pts {
		c = r3.Add(c, r3.Scale(1/float64(len(pts)), p))
	}
	var r float64
	for _, p := range pts {
		dx, dy := p.X-c.X, p.Y-c.Y
		r = max(r, dx*dx+dy*dy)
	}
	return 2 * math.Sqrt(r)
}

// Solve finds the seat for a clamping centroid (cx, cy). It returns an error when the centroid lies
// outside the stations.
func (s *Solver) Solve(cx, cy float64) error {
	n := len(s.Stations)
	// what each place asks of the plane, about the centroid; three helpers far out and far down begin
	// the search where stations do not
	s.places = dense.Resize(s.places, n+3)
	var square uint64 // the bits of a number that is not negative are in its order
	var low float64
	for i := range s.Stations {
		p, q := &s.Stations[i], &s.places[i]
		x, y, up := p.X-cx, p.Y-cy, p.HA-p.HB
		q.x, q.y, q.up = x, y, up
		square = max(square, math.Float64bits(x*x+y*y))
		if up < low {
			low = up
		}
	}
	size := math.Sqrt(math.Float64frombits(square))
	if size == 0 {
		size = 1
	}
	for k, u := range helpers {
		s.places[n+k] = seatPlace{10 * size * u[0], 10 * size * u[1], low - outsideFall*size}
	}
	s.begin(n, low)
	for range 100 + 10*n { // exchanges, a few times what any ring of stations takes
		if !s.plane() {
			return fmt.Errorf("the stations do not make a plane: %w", fault.ErrConflict)
		}
		in := highest(s.places[:n], seatPlace{s.Shift[1], s.Shift[2], s.Shift[0]}, lacks*size)
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
	if min(s.force[0], s.force[1], s.force[2]) <= rockShare {
		if err := s.rock(size); err != nil {
			return err
		}
	}
	// back to A's frame
	wx, wy := s.Shift[1], s.Shift[2]
	s.Shift = [3]float64{s.Shift[0] - wx*cx - wy*cy, wx, wy}
	for i := range s.Stations {
		p := &s.Stations[i]
		p.Gap = p.HB + s.Shift[0] + wx*p.X + wy*p.Y - p.HA
	}
	return nil
}

// begin chooses the first three contacts of n stations: the highest of each third of them, which go
// round and mostly hold the centroid; the first of each third, or the helpers, where they do not.
// None is lower than low.
func (s *Solver) begin(n int, low float64) {
	for _, choose := range [2]bool{true, false} {
		if n < 3 {
			break
		}
		for k := range 3 {
			from, to := k*n/3, (k+1)*n/3
			s.at[k] = from
			if choose {
				s.at[k] += max(highest(s.places[from:to], seatPlace{up: low}, 0), 0)
			}
		}
		if s.plane() && min(s.force[0], s.force[1], s.force[2]) >= 0 {
			return
		}
	}
	s.at = [3]int{n, n + 1, n + 2}
}

// highest is the place that stands out of a plane most, by more than a floor; −1: none. Positive
// numbers are ordered as their bits are: which is higher nobody foresees, and integers are compared
// without a jump.
func highest(places []seatPlace, p seatPlace, floor float64) int {
	worst, in := int64(math.Float64bits(floor)), -1
	for i := range places {
		q := &places[i]
		lack := int64(math.Float64bits(q.up - p.up - p.x*q.x - p.y*q.y))
		if lack > worst {
			in = i
		}
		worst = max(worst, lack)
	}
	return in
}

// helpers are three directions, a third of a turn apart.
var helpers = [3][2]float64{{0, 1}, {0.8660254037844386, -0.5}, {-0.8660254037844386, -0.5}}

// seatPlace is what one place asks of the plane: a height at a point about the clamping centroid.
type seatPlace struct{ x, y, up float64 }

func (s *Solver) place(i int) (x, y, up float64) {
	q := &s.places[i]
	return q.x, q.y, q.up
}

// plane sets w to the plane through the three contacts, about the centroid, and force to the shares
// in which they carry it.
func (s *Solver) plane() bool {
	x0, y0, u0 := s.place(s.at[0])
	x1, y1, u1 := s.place(s.at[1])
	x2, y2, u2 := s.place(s.at[2])
	d := (x1-x0)*(y2-y0) - (x2-x0)*(y1-y0)
	if d == 0 {
		return false
	}
	d = 1 / d
	s.force = [3]float64{(x1*y2 - x2*y1) * d, (x2*y0 - x0*y2) * d, (x0*y1 - x1*y0) * d}
	s.Shift = [3]float64{
		s.force[0]*u0 + s.force[1]*u1 + s.force[2]*u2,
		(u0*(y1-y2) + u1*(y2-y0) + u2*(y0-y1)) * d,
		(u0*(x2-x1) + u1*(x0-x2) + u2*(x1-x0)) * d,
	}
	return true
}

// exchange brings place in into the triangle in exchange for the contact that keeps the centroid
// inside.
func (s *Solver) exchange(in int) {
	x, y, _ := s.place(in)
	x0, y0, _ := s.place(s.at[0])
	x1, y1, _ := s.place(s.at[1])
	x2, y2, _ := s.place(s.at[2])
	d := 1 / ((x1-x0)*(y2-y0) - (x2-x0)*(y1-y0))
	// shares of the newcomer in the old contacts
	m := [3]float64{
		((x1-x)*(y2-y) - (x2-x)*(y1-y)) * d,
		((x2-x)*(y0-y) - (x0-x)*(y2-y)) * d,
		((x0-x)*(y1-y) - (x1-x)*(y0-y)) * d,
	}
	least, out := math.Inf(1), 0
	for k := range 3 {
		if m[k] > leaves {
			if r := max(0, s.force[k]) / m[k]; r < least {
				least, out = r, k
			}
		}
	}
	s.at[out] = in
}

// rock chooses, among the seats of a part that rocks about contacts that carry everything, the one
// of least Σ gap².
func (s *Solver) rock(size float64) error {
	var room [3]int
	held := room[:0]
	for k, at := range s.at {
		if s.force[k] > rockShare {
			held = append(held, at)
		}
	}
	if len(held) == 2 {
		s.rockAbout(held[0], held[1])
		return nil
	}
	return s.rockByProgram(size)
}

// rockAbout is that seat of a part that rocks about the line through two contacts, as parts do on
// stations opposite each other: turned by t, a station whose way square to the line is d has the
// gap g + t d. Σ (g + t d)² is least at −Σ g d / Σ d², or where the first station on the way there
// touches.
//
// Source: hand calculation.
func (s *Solver) rockAbout(a, b int) {
	p, q := &s.places[a], &s.places[b]
	nx, ny := p.y-q.y, q.x-p.x // d = n·(x − p)
	var gd, dd float64
	lo, hi := math.Inf(-1), math.Inf(1)
	for i := range s.Stations {
		if i == a || i == b {
			continue
		}
		o := &s.places[i]
		d := nx*(o.x-p.x) + ny*(o.y-p.y)
		g := s.Shift[0] + s.Shift[1]*o.x + s.Shift[2]*o.y - o.up
		gd, dd = gd+g*d, dd+d*d
		switch {
		case d > 0:
			lo = max(lo, -g/d)
		case d < 0:
			hi = min(hi, -g/d)
		}
	}
	if dd == 0 {
		return
	}
	t := min(max(-gd/dd, lo), hi)
	s.Shift[0] -= t * (nx*p.x + ny*p.y)
	s.Shift[1] += t * nx
	s.Shift[2] += t * ny
}

// rockByProgram is that seat about whatever carries everything, found by a program in units of the
// ring's size.
func (s *Solver) rockByProgram(size float64) error {
	n := len(s.Stations)
	p := &s.problem
	p.Reset(3)
	q := p.Quadratic()
	var unit float64
	for i := range n {
		x, y, up := s.place(i)
		unit = math.Max(unit, math.Abs(up-s.Shift[0]-s.Shift[1]*x-s.Shift[2]*y))
	}
	if unit <= tol.Touching { // every station touches, but for rounding
		return nil
	}
	for i := range n {
		x, y, up := s.place(i)
		row := [3]float64{1, x / size, y / size}
		gap := (s.Shift[0] + s.Shift[1]*x + s.Shift[2]*y - up) / unit // about the present seat
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
	res, err := s.solver.Solve(p, rockTol)
	if err != nil {
		return fmt.Errorf("a seat that rocks: %w", fault.ErrNotConverging)
	}
	s.Shift[0] += unit * res.X[0]
	s.Shift[1] += unit * res.X[1] / size
	s.Shift[2] += unit * res.X[2] / size
	return nil
}

// Lies is B's plane over its own x and y when it lies on A's plane p, shifted by what the seat
// found.
func (s *Solver) Lies(j *Joining, p Plane) Plane {
	// p is A's least-squares plane with the gasket on it; B's, over A's x and y, lies on it when
	// shifted by w.
	over := Plane{p.Z - s.Shift[0], p.SX - s.Shift[1], p.SY - s.Shift[2]}
	sin, cos := math.Sincos(-j.Clock)
	// over B's own x and y: xA = qA + Rot (xB - qB)
	b := Plane{SX: over.SX*cos + over.SY*sin, SY: -over.SX*sin + over.SY*cos}
	b.Z = over.At(j.QA.X, j.QA.Y) - b.SX*j.QB.X - b.SY*j.QB.Y
	return b
}
