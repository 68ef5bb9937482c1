package align_test

import (
	"math"
	"testing"

	"example.com/borestack/internal/check"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// A helical gear parts from its mate by the transverse pressure angle, which is more than the normal one.
//
// Source: any machine design text: Fr = Ft tan α_n / cos β; for 20° and 30° tan α_t = 0.42027662546, α_t = 22.80°.
func TestLoads_helicalGear(t *testing.T) {
	s := bed(at(0, 0, 0), at(0, 0, 300))
	s.Shafts[0].Loads = []align.Load{{Name: "gear", Z: 100, Gear: &align.GearForce{Torque: 50, PitchDiameter: 100, Helix: 30 * tolerance.Degree}}}
	l := bend(t, s).Loads
	// Ft = 2·50/0.1 = 1000 N to the right; the mate stands above and pushes the gear down.
	check.Relative(t, "held up", l.At[0].Force.Y+l.At[1].Force.Y, 420.27662546, 1e-10)
	check.Relative(t, "held to the left", l.At[0].Force.X+l.At[1].Force.X, -1000, 1e-12)
	// Moments about the front bearing: the radial force at 100, and the thrust 1000 tan 30° at a radius
	// of 50, which presses the rear end down.
	check.Relative(t, "rear", l.At[1].Force.Y, (420.27662546*100+1000*math.Tan(math.Pi/6)*50)/300, 1e-10)
}

// A shaft's own weight acts at the middle of each length, wherever z is counted from.
//
// Source: statics, and the beam of uniform load w that overhangs one support, span l and overhang a:
// tip deflection w a (4a²l − l³ + 3a³)/24EI (Manual of Steel Construction, beam diagrams, from memory).
func TestLoads_ownWeight(t *testing.T) {
	const from, l, a = 100.0, 300.0, 200.0
	s := bed(at(0, 0, from), at(0, 0, from+l))
	s.Shafts[0].Density = tolerance.Given(7850.0)
	s.Shafts[0].Sections = []align.Section{{From: from, To: from + l + a, Diameter: 30}}
	q := 7850e-9 * 9.80665 * math.Pi / 4 * 900 // N/mm
	got := bend(t, s).Loads
	check.Relative(t, "front", got.At[0].Force.Y, q*(l+a)*(l-a)/(2*l), 1e-12)
	check.Relative(t, "rear", got.At[1].Force.Y, q*(l+a)*(l+a)/(2*l), 1e-12)
	ei := 207000 * math.Pi / 64 * 30 * 30 * 30 * 30
	check.Relative(t, "tip", float64(got.Shafts[0].Bend), q*a*(4*a*a*l-l*l*l+3*a*a*a)/(24*ei), 1e-9)
	// A light end piece beside a heavy one: each by itself.
	s.Shafts[0].Sections = []align.Section{{From: from, To: from + l, Diameter: 30}, {From: from + l, To: from + l + a, Diameter: 30, Bore: 20}}
	got = bend(t, s).Loads
	light := q * (900 - 400) / 900
	check.Relative(t, "rear, hollow end", got.At[1].Force.Y, q*l/2+light*a*(l+a/2)/l, 1e-12)
}

// The tilt that a support feels is that of the bent shaft from the bore's axis, in both planes.
//
// Source: beam formula: a load F in the middle of a span l turns the ends by F l²/16EI; differences by hand.
func TestLoads_tiltRatio(t *testing.T) {
	s := bed(at(0, 0, 0), at(0, 0, 300))
	s.Parts[0].Bores[0].Slope = align.Slope{X: 3e-4, Y: 2e-4}
	s.Shafts[0].Supports[0].Tilt = tolerance.Given(2e-3)
	s.Shafts[0].Loads = []align.Load{{Name: "pull", Z: 150, Force: align.Force{Y: -1000}}}
	l := bend(t, s).Loads.At[0]
	down := 1000 * 300.0 * 300 / (16 * 207000 * math.Pi / 64 * 30 * 30 * 30 * 30)
	check.Relative(t, "tilt x", l.Tilt.X, -3e-4, 1e-9)
	check.Relative(t, "tilt y", l.Tilt.Y, -down-2e-4, 1e-9)
	check.Relative(t, "ratio", l.TiltRatio.Value, math.Hypot(3e-4, down+2e-4)/2e-3, 1e-9)
}

// The same of a straight shaft: its slope from the bore's, over the permitted tilt.
//
// Source: hand calculation: a shaft through (0, 0) and (0.2, 0.1) at 200 slopes by 1e-3 and 5e-4; the
// bore by 2.5e-3 and 2.5e-3: apart by 1.5e-3 and 2e-3, which is 2.5e-3 of 5e-3.
func TestSupport_tiltRatio(t *testing.T) {
	s := bed(at(0, 0, 0), at(0.2, 0.1, 200))
	s.Shafts[0].Sections = nil
	s.Parts[0].Bores[0].Slope = align.Slope{X: 2.5e-3, Y: 2.5e-3}
	s.Shafts[0].Supports[0].Tilt = tolerance.Given(5e-3)
	a := solve(t, s)
	check.Near(t, "ratio", a.Supports[0].TiltRatio.Value, 0.5, 1e-9)
}
