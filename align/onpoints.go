package align

import (
	"cmp"
	"math"
	"slices"

	"gonum.org/v1/gonum/spatial/r3"

	"example.com/borestack/align/internal/seat"
	"example.com/borestack/tolerance"
)

// seatOnPoints replaces the meeting plane p and B's front plane b by those that the contact seat
// gives: the least-squares plane of A's heights, and B's plane that lies on it.
func (s *seating) seatOnPoints(j *Joint, fa, fb *mountedFace, p, b seat.Plane) (seat.Plane, seat.Plane, error) {
	join := seat.Joining{Clock: float64(j.Clock), Flatten: j.Flatten, Interpolate: j.Interpolate}
	if s.pilot {
		join.QA, join.QB = r3.Vec{X: fa.cx, Y: fa.cy}, r3.Vec{X: fb.cx, Y: fb.cy}
	}
	if g := j.Gasket; g != nil {
		join.Gasket = seat.Plane{Z: float64(g.Thickness), SX: g.Slope.X, SY: g.Slope.Y}
	}
	if err := s.points.Pair(&join, &seat.Side{Plane: fa.p, Points: fa.points}, &seat.Side{Plane: fb.p, Points: fb.points}); err != nil {
		return p, b, err
	}
	force, cx, cy := j.clampingPoint(s.points.Stations)
	if err := s.points.Solve(cx, cy); err != nil {
		return p, b, err
	}
	if y := j.Yield; y != nil {
		if err := s.points.Yield(y.Stiffness, y.Area, force, cx, cy); err != nil {
			return p, b, err
		}
	}
	for _, q := range s.points.Stations {
		if q.Gap > s.gap {
			s.gap, s.gapX, s.gapY = q.Gap, q.X, q.Y
		}
	}
	return p, s.points.Lies(&join, p), nil
}

// clampingPoint is where the clamping force acts, and its size where bolt loads are given: at their
// centroid, at that of the bolts, or else of the stations.
func (j *Joint) clampingPoint(stations []seat.Station) (force, cx, cy float64) {
	switch {
	case j.Yield != nil:
		return j.clamp()
	case len(j.Bolts) > 0:
		for _, q := range j.Bolts {
			cx += float64(q.X) / float64(len(j.Bolts))
			cy += float64(q.Y) / float64(len(j.Bolts))
		}
	default:
		for _, q := range stations {
			cx += q.X
			cy += q.Y
		}
		share := 1 / float64(len(stations))
		return 0, cx * share, cy * share
	}
	return 0, cx, cy
}

// clamp is the resultant of bolt loads: the force, and where it acts.
func (j *Joint) clamp() (force, x, y float64) {
	for i, b := range j.Bolts {
		f := j.Yield.load(i)
		force += f
		x += f * float64(b.X)
		y += f * float64(b.Y)
	}
	return force, x / force, y / force
}

// load of bolt i: its own, or the one given for all.
func (y *Yield) load(i int) float64 {
	if len(y.BoltLoads) == 1 {
		return y.BoltLoads[0]
	}
	return y.BoltLoads[i]
}

// onPoints says where the measured faces of a joint touch, and how they press.
func (s *seating) onPoints(j *Joint, out *SeatedJoint) {
	for _, q := range s.points.Stations {
		if q.Gap < seat.Touches {
			out.Contacts = append(out.Contacts, Vec2{tolerance.Length(q.X), tolerance.Length(q.Y)})
		}
	}
	if s.points.Between > 0 {
		out.Between = tolerance.Given(tolerance.Length(s.points.Between))
	}
	if j.Yield != nil {
		out.Contact = s.contact(j)
	}
}

// contact describes how a yielding joint presses.
func (s *seating) contact(j *Joint) *Contact {
	out := &Contact{}
	type at struct{ clock, pressure float64 }
	var round []at
	for i := range s.points.Stations {
		p := &s.points.Stations[i]
		pressure := j.Yield.Stiffness * math.Max(0, -p.Gap)
		out.Stations = append(out.Stations, StationContact{
			At: Vec2{tolerance.Length(p.X), tolerance.Length(p.Y)}, Gap: tolerance.Length(math.Max(0, p.Gap)), Pressure: pressure,
		})
		round = append(round, at{float64(tolerance.Clock(p.X, p.Y)), pressure})
	}
	slices.SortStableFunc(round, func(a, b at) int { return cmp.Compare(a.clock, b.clock) })
	clocks, presses := make([]float64, len(round)), make([]bool, len(round))
	out.Least = math.Inf(1)
	for i, r := range round {
		out.Least, out.Greatest = math.Min(out.Least, r.pressure), math.Max(out.Greatest, r.pressure)
		clocks[i], presses[i] = r.clock, r.pressure > 0
	}
	if from, to, ok := seat.WidestOpen(clocks, presses); ok {
		out.Open = tolerance.Given([2]tolerance.Angle{tolerance.Angle(clocks[from]), tolerance.Angle(clocks[to])})
	}
	return out
}
