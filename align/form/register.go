package form

import (
	"fmt"
	"math"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
	"gonum.org/v1/gonum/stat"

	"example.com/borestack/fault"
	"example.com/borestack/tolerance"
)

// Outline is the form of a spigot or its bore: radius(θ) = Diameter/2 + Σ Size cos N(θ − Clock), θ clockwise from 12 o'clock seen from the tail. The first harmonic is the centre's offset, not form, and is refused.
type Outline struct {
	Diameter tolerance.Length // mean
	Lobes    []Lobe
}

// Lobe is one harmonic of form: N = 2 oval, 3 three-lobed.
type Lobe struct {
	N     int
	Size  tolerance.Length // radial
	Clock tolerance.Angle  // where the radius is greatest
}

func (o *Outline) radius(theta float64) float64 {
	r := float64(o.Diameter) / 2
	for _, l := range o.Lobes {
		r += float64(l.Size) * math.Cos(float64(l.N)*(theta-float64(l.Clock)))
	}
	return r
}

// RegisterFit is how a spigot that is not round sits in a bore that is not round, at one clocking.
type RegisterFit struct {
	Envelope            []RegisterAt // centres together, over half a turn
	Smallest            RegisterAt   // of the envelope
	Fits                bool
	Room                tolerance.Length // radial, where it sits best; negative: what every radius lacks
	X, Y                tolerance.Length // shift of the spigot's centre at which it sits best
	LeastWalk, MostWalk RegisterAt       // how far it can be shaken in all, along one direction; both 0 where it does not fit
	walk                []r2.Vec
}

// RegisterAt is a diametral clearance, or a walk, across one direction.
type RegisterAt struct {
	Clock     tolerance.Angle // in [0°, 180°)
	Clearance tolerance.Diametral
}

// stepsRound is how many directions a turn is divided into: a lobe of the 12th harmonic still gets 60 of them.
const stepsRound = 720

// Register works out how a spigot sits in a bore, the spigot turned clockwise by turn: the clearance across every direction with the centres together, and the shifts f of the spigot's centre that the outlines leave, f·u(θ) ≤ bore radius(θ) − spigot radius(θ − turn) for all θ, first order in shift over radius. It returns [fault.ErrOutOfRange] for a diameter that is not positive, a first harmonic, or one too fine for the directions looked at.
//
// Derivation: gaps between nearly round outlines, first order; the least room is a linear program of three unknowns, solved as for the zones.
func Register(bore, spigot Outline, turn tolerance.Angle) (RegisterFit, error) {
	for _, o := range []*Outline{&bore, &spigot} {
		if !(o.Diameter > 0) || math.IsInf(float64(o.Diameter), 0) {
			return RegisterFit{}, fmt.Errorf("form: outline: diameter %v: want more than 0: %w", o.Diameter, fault.ErrOutOfRange)
		}
		for _, l := range o.Lobes {
			if l.N < 2 || l.N > stepsRound/24 {
				return RegisterFit{}, fmt.Errorf("form: outline: harmonic %d: want 2 to %d: %w", l.N, stepsRound/24, fault.ErrOutOfRange)
			}
			if v := float64(l.Size) + float64(l.Clock); v-v != 0 {
				return RegisterFit{}, fmt.Errorf("form: outline: harmonic %d: %w", l.N, fault.ErrNotFinite)
			}
		}
	}
	s := strip{m: 2, side: onlyLow, box: float64(bore.Diameter + spigot.Diameter)}
	for i := range stepsRound {
		theta := 2 * math.Pi * float64(i) / stepsRound
		sin, cos := math.Sincos(theta)
		s.a = append(s.a, sin, cos)
		s.d = append(s.d, bore.radius(theta)-spigot.radius(theta-float64(turn)))
	}
	var out RegisterFit
	out.Smallest.Clearance = tolerance.Diametral(math.Inf(1))
	for i := range stepsRound / 2 {
		at := RegisterAt{tolerance.Angle(2 * math.Pi * float64(i) / stepsRound), tolerance.Diametral(s.d[i] + s.d[i+stepsRound/2])}
		out.Envelope = append(out.Envelope, at)
		if at.Clearance < out.Smallest.Clearance {
			out.Smallest = at
		}
	}
	sol, ok := s.solve()
	if !ok {
		return RegisterFit{}, fmt.Errorf("form: register: %w", fault.ErrNotConverging)
	}
	out.X, out.Y, out.Room = tolerance.Length(sol.x[0]), tolerance.Length(sol.x[1]), tolerance.Length(sol.lo)
	out.Fits = sol.lo >= 0
	if out.Fits {
		out.shake(&s, sol.lo)
	}
	return out, nil
}

// shake finds the corners of the shifts that the outlines leave, and the least and greatest walk.
func (f *RegisterFit) shake(s *strip, room float64) {
	x, y := float64(f.X), float64(f.Y)
	wide := 4 * (room + math.Abs(x) + math.Abs(y))
	for i := range s.d {
		wide = math.Max(wide, 4*math.Abs(s.d[i]))
	}
	corners := []r2.Vec{{X: -wide, Y: -wide}, {X: wide, Y: -wide}, {X: wide, Y: wide}, {X: -wide, Y: wide}}
	var next []r2.Vec
	for i, d := range s.d {
		u := r2.Vec{X: s.a[2*i], Y: s.a[2*i+1]}
		next = next[:0]
		for k, p := range corners {
			q := corners[(k+1)%len(corners)]
			dp, dq := d-r2.Dot(u, p), d-r2.Dot(u, q)
			if dp >= 0 {
				next = append(next, p)
			}
			if (dp >= 0) != (dq >= 0) {
				next = append(next, r2.Add(p, r2.Scale(dp/(dp-dq), r2.Sub(q, p))))
			}
		}
		corners, next = next, corners
		if len(corners) == 0 { // held fast
			return
		}
	}
	f.walk = append([]r2.Vec(nil), corners...)
	f.LeastWalk.Clearance = tolerance.Diametral(math.Inf(1))
	for i := range stepsRound / 2 {
		at := RegisterAt{tolerance.Angle(2 * math.Pi * float64(i) / stepsRound), 0}
		at.Clearance = f.Walk(at.Clock)
		if at.Clearance < f.LeastWalk.Clearance {
			f.LeastWalk = at
		}
		if at.Clearance > f.MostWalk.Clearance {
			f.MostWalk = at
		}
	}
}

// Walk returns how far the spigot can be shaken in all along the direction of a clock angle; 0 where it does not fit.
func (f *RegisterFit) Walk(clock tolerance.Angle) tolerance.Diametral {
	if len(f.walk) == 0 {
		return 0
	}
	sin, cos := math.Sincos(float64(clock))
	lo, hi := math.Inf(1), math.Inf(-1)
	for _, p := range f.walk {
		v := p.X*sin + p.Y*cos
		lo, hi = math.Min(lo, v), math.Max(hi, v)
	}
	return tolerance.Diametral(hi - lo)
}

// AxisSlope returns the slope dx/dz, dy/dz of the line of least squares through the centres of circles measured at different depths. Two circles give it exactly. It returns [fault.ErrTooFew] for fewer than two and [ErrCoincident] for circles at one depth.
func AxisSlope(centres []r3.Vec) (dxdz, dydz float64, err error) {
	if len(centres) < 2 {
		return 0, 0, &PointError{Row: len(centres) - 1, Want: "two circles or more", Err: fault.ErrTooFew}
	}
	var x, y, z []float64
	for i, c := range centres {
		if v := c.X + c.Y + c.Z; v-v != 0 {
			return 0, 0, &PointError{Row: i, Want: "finite coordinates", Err: fault.ErrNotFinite}
		}
		x, y, z = append(x, c.X), append(y, c.Y), append(z, c.Z)
	}
	if stat.Variance(z, nil) == 0 {
		return 0, 0, &PointError{Row: 1, Want: "circles at different depths", Err: ErrCoincident}
	}
	_, dxdz = stat.LinearRegression(z, x, nil, false)
	_, dydz = stat.LinearRegression(z, y, nil, false)
	return dxdz, dydz, nil
}

// Lean returns by how much a spigot leans in its bore: its axis slope less the bore's, from circles measured on both, in one frame.
func Lean(bore, spigot []r3.Vec) (dxdz, dydz float64, err error) {
	bx, by, err := AxisSlope(bore)
	if err != nil {
		return 0, 0, fmt.Errorf("form: bore: %w", err)
	}
	sx, sy, err := AxisSlope(spigot)
	if err != nil {
		return 0, 0, fmt.Errorf("form: spigot: %w", err)
	}
	return sx - bx, sy - by, nil
}
