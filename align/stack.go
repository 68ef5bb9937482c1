package align

import (
	"math"

	"example.com/borestack/tolerance"
)

// Stack is what was measured on one machine: parts bolted one behind the other, the joints between
// them, and the shafts that run through them. It is plain data, and building one in Go reads like
// the drawing.
//
// Lengths, angles and temperatures are typed; slopes are ratios. All lengths are at 20 °C unless a
// part says that it was measured at another temperature (ISO 1). Frames and signs: the package
// comment.
//
// The zero value is a stack without parts, which [Stack.Validate] rejects.
type Stack struct {
	Title      string
	Parts      []Part      `most:"40"` // the first is the base and carries the stack frame S
	Joints     []Joint     // joint k seats part k+1 on part k
	Shafts     []Shaft     `most:"20"`
	Pockets    []Pocket    `most:"40"`
	References []Reference `most:"100"` // the first is the main reference
	Meshes     []Mesh      `most:"200"`
	Chains     []Chain     `most:"200"`
	Candidates []Candidates
	States     []State `most:"20"`
}

// Vec2 is a point or displacement across the shaft line: X to the right, Y up, seen from the tail.
// The zero value is the origin.
type Vec2 struct{ X, Y tolerance.Length }

// Size is the length of v.
func (v Vec2) Size() tolerance.Length {
	return tolerance.Length(math.Hypot(float64(v.X), float64(v.Y)))
}

// Clock is the clock position that v points to, seen from the tail: 0 for no length.
func (v Vec2) Clock() tolerance.Angle { return tolerance.Clock(float64(v.X), float64(v.Y)) }

// Vec3 is a point or displacement with Z rearward along the shaft line. The zero value is the
// origin.
type Vec3 struct{ X, Y, Z tolerance.Length }

// Slope is dz/dx, dz/dy of a face, or dx/dz, dy/dz of an axis: ratios. The zero value is square to
// z, or along z.
type Slope struct{ X, Y float64 }

// Size is how steep s is, a ratio.
func (s Slope) Size() float64 { return math.Hypot(s.X, s.Y) }

// Clock is the clock position towards which s rises, seen from the tail: 0 for none.
func (s Slope) Clock() tolerance.Angle { return tolerance.Clock(s.X, s.Y) }

// Part is one housing, plate or carrier. Its features are in its own frame, as it was measured; no
// face need be at z = 0.
type Part struct {
	Name        string
	Material    tolerance.Optional[tolerance.Material] // needed away from 20 °C
	Temperature tolerance.Optional[tolerance.Celsius]  // absent: 20 °C
	MeasuredAt  tolerance.Optional[tolerance.Celsius]  // absent: 20 °C
	Turned      bool                                   // mounted end for end: (x, y, z) becomes (-x, y, -z), front and rear change places
	Front, Rear *Face                                  // as measured; nil where the part has no such face
	Bores       []Bore
	Moved       Vec3 // the bores alone are displaced by this in S (a [State] sets it)
}

// Face is a meeting face: a plane z = Z + Slope·(x, y), or what was measured of it. At most one of
// Points, Thickness and Sweep is given.
type Face struct {
	Z         tolerance.Length
	Slope     Slope
	Points    []Vec3                               `most:"20000"` // measured points; the plane is their least-squares plane
	Thickness *Thickness                           // a micrometer round the part (rear faces only): the front face is then the datum z = 0
	Sweep     *Sweep                               // a dial on the face: it gives the slope, Z stays as given
	Diameter  tolerance.Optional[tolerance.Length] `want:"more than 0"` // outer, of the contact ring
	Pilot     *Pilot                               // nil: the face has no pilot
	Dowels    []Dowel                              `most:"64"`
}

// PilotKind tells a spigot from the bore that takes it.
type PilotKind uint8

// The two kinds of pilot; the zero value is a spigot.
const (
	Spigot PilotKind = iota
	PilotBore
)

// Pilot is a register diameter on a face. Its centre is projected along z onto its face.
type Pilot struct {
	Kind     PilotKind `want:"[0,1] a spigot or a bore"`
	Centre   Vec2
	Sweep    *Sweep                    // a dial on the register: it gives the centre, and Centre is then zero
	Diameter tolerance.Length          `want:"more than 0"`
	Slope    tolerance.Optional[Slope] // axis slope; absent: square to its own face (an assumption that results list)
	Errors   []FitError                // how far off all that may be, where it was measured as points
}

// FitError is one cause of error of a pilot or bore that was measured as points, independent of the
// others: what one standard uncertainty of it adds. The zero value adds nothing.
type FitError struct {
	X, Y     tolerance.Length
	Slope    Slope // counts where the axis has a slope of its own
	Diameter tolerance.Length
}

// Dowel is a dowel hole. Its centre is projected along z onto its face.
type Dowel struct {
	Name     string
	Centre   Vec2
	Diameter tolerance.Length `want:"more than 0"`
}

// Bore is a support bore: a bearing seat, a bush, a line to refer to.
type Bore struct {
	Name     string
	Centre   Vec3
	Sweep    *Sweep                               // a dial in the bore: it gives X and Y, which are then zero in Centre
	Slope    Slope                                // axis slope
	Diameter tolerance.Optional[tolerance.Length] `want:"more than 0"`
	Errors   []FitError                           // how far off all that may be, where it was measured as points
}

// Readings are gauge readings at stations round a part. Station angles are clock angles on the
// part: clockwise from 12 o'clock seen from the tail, or, with FromNose, as seen from the nose.
type Readings struct {
	Values            [][]tolerance.Length `at:"readings" most:"1000"`                                                               // one entry a station, in order: empty where it could not be reached, several where it was repeated
	First             tolerance.Angle      `want:"[-3600°,3600°] at most ten turns, in radians: 90 degrees are 90*tolerance.Degree"` // first station, when At is nil and the steps are equal
	At                []tolerance.Angle    `want:"[-3600°,3600°] at most ten turns, in radians: 90 degrees are 90*tolerance.Degree"` // the stations' angles; nil: equal steps from First
	FromNose          bool
	Closing           tolerance.Optional[tolerance.Length] // the first station read again at the end
	Uncertainty       tolerance.Optional[tolerance.Length] `want:"0 or more"` // standard (k = 1), each reading on its own
	SharedUncertainty tolerance.Optional[tolerance.Length] `want:"0 or more"` // standard (k = 1), common to all readings
}

// Thickness is a micrometer taken round a part at one radius.
type Thickness struct {
	Readings
	Radius tolerance.Length `want:"more than 0"`
}

// Sweep is a dial turned about an axis.
type Sweep struct {
	Readings
	Radius  tolerance.Length `want:"-"` // of the stations; faces only
	Out     bool             // readings grow as the plunger comes out; the zero value grows as it is pushed in
	About   string           // "part/bore" of the same part whose axis it turned about; empty: the part's z axis
	Droop   tolerance.Length `want:"0 or more"` // at least 0: how far gravity lowers the dial, half the 12-to-6 difference on a stiff mandrel
	Lift    tolerance.Length `want:"0 or more"` // at least 0: how far the turning axis rises in service
	Mounted string           // how it was set up, in words
}

// Lie says how a joint lies within its float once it is bolted.
type Lie uint8

// How a joint may lie; the zero value, [LiesAny], is unknown: every answer is a range.
const (
	LiesAny Lie = iota
	LiesRest
	LiesHang
	LiesUniform // in samples of a [Plan]: anywhere in the float, uniformly; elsewhere at rest
	LiesRim     // in samples of a [Plan]: pushed as far as it goes in a uniform direction, the turn at rest; elsewhere at rest
)

// Rules says how a joint closes when faces and pilot disagree.
type Rules uint8

// The rules; the zero value closes the faces, and evaluates the pilot-led seat beside it when the
// register is strained.
const (
	RulesAuto Rules = iota
	RulesFlush
	RulesPilot
)

// Joint seats the part behind it (B) on the part in front of it (A).
type Joint struct {
	Name          string // empty: the two part names with "|" between
	Gasket        *Gasket
	SeatOnPoints  bool                                    // seat on the measured heights of both faces instead of their planes
	Interpolate   bool                                    // measured stations need not pair: the rear part's heights are taken between its own, round the ring
	Flatten       float64                                 `want:"[0,1] a share from 0 to 1"` // share of measured heights off their plane that the bolts pull flat, 0 to 1; the wedge never flattens
	Yield         *Yield                                  `at:"yielding"`                    // a gasket, sealant or soft face under bolt loads: the seat on points yields
	Rules         Rules                                   `want:"[0,2] auto, flush or pilot"`
	Engagement    tolerance.Optional[tolerance.Length]    `want:"0 or more"`                               // length of the register; absent: no lean is felt
	RegisterRing  tolerance.Optional[tolerance.Length]    `at:"register_ring/diameter" want:"more than 0"` // diameter of a ring that spans two bores
	Pins          []Pin                                   `most:"64"`
	Bolts         []Vec2                                  `most:"64"` // in A's frame
	BoltClearance tolerance.Optional[tolerance.Diametral] `want:"0 or more"`
	Clock         tolerance.Angle                         `want:"[-3600°,3600°] at most ten turns, in radians: 90 degrees are 90*tolerance.Degree"` // nominal re-clocking of B, clockwise seen from the tail
	Lies          Lie                                     `want:"[0,4] one of the ways to lie"`
	Float         *Float                                  // measured; then nothing floats
}

// Gasket is a gasket or shim: its thickness at A's frame axis, and its taper.
type Gasket struct {
	Thickness tolerance.Length `want:"0 or more"`
	Slope     Slope
}

// Press says which part holds a pin; the zero value is the part in front.
type Press uint8

// Where a pin is pressed in.
const (
	PressedFront Press = iota
	PressedRear
	PressedNeither
)

// Yield is what lies between two measured faces: a foundation that presses back in proportion,
// under bolts that each pull with a force.
type Yield struct {
	Stiffness float64   `want:"(0,1e12) a pressure for each millimetre, N/mm³, more than 0"` // pressure for each millimetre pressed in, N/mm³
	Area      float64   `want:"(0,1e12) an area of contact in mm², more than 0"`             // of contact, mm², shared alike by the stations
	BoltLoads []float64 `want:"(0,1e9) a force in N, more than 0"`                           // N: one for each bolt, or one for all
}

// Pin joins two dowel holes of the same name.
type Pin struct {
	Dowel    string
	Diameter tolerance.Length          `want:"more than 0"`
	Pressed  Press                     `want:"[0,2] front, rear or neither"`
	Locates  tolerance.Optional[Slope] `want:"-"` // a flatted pin or slot: the direction in A's frame along which it holds, any length
	Step     Vec2                      // an offset dowel: front end to rear end, in A's frame
}

// Float is a displacement within a joint: B's shift in A's x and y, and its turn, clockwise seen
// from the tail.
type Float struct {
	X, Y tolerance.Length
	Turn tolerance.Angle
}

// Shaft is one straight shaft and what carries it.
type Shaft struct {
	Name        string
	Supports    []Support
	Material    tolerance.Optional[tolerance.Material]
	Temperature tolerance.Optional[tolerance.Celsius] // absent: 20 °C
	Sections    []Section                             `most:"100"`                                   // from front to rear, each beginning where the one before ends; none: rigid, and no side loads
	Density     tolerance.Optional[float64]           `want:"[0,1e5) a density in kg/m³, 0 or more"` // kg/m³: given, the shaft's own weight acts, downwards
	Loads       []Load                                `most:"100"`
}

// Force is a force across the shaft line in newtons: X to the right, Y up, seen from the tail. The
// zero value is no force.
type Force struct{ X, Y float64 }

// Load is what acts on a shaft at one place besides its supports: a plain force (a pulley, a yoke,
// a weight), a gear's mesh, or both.
type Load struct {
	Name  string
	Z     tolerance.Length // in S
	Force Force            `want:"[-1e9,1e9] a finite number, at most 1e9"` // on the shaft
	Gear  *GearForce
}

// GearForce is what a mating gear does to the gear on the shaft.
type GearForce struct {
	Torque        float64                             `want:"[-1e9,1e9] a finite number, at most 1e9"` // that the mate exerts about the shaft line, N·m, clockwise seen from the tail
	PitchDiameter tolerance.Length                    `want:"more than 0"`
	PressureAngle tolerance.Optional[tolerance.Angle] `want:"(0°,60°) an angle above 0 and below 60 degrees"`                                   // normal; absent: 20°
	Helix         tolerance.Angle                     `want:"(-80°,80°) a helix angle within 80 degrees"`                                       // right hand positive
	Mate          tolerance.Angle                     `want:"[-3600°,3600°] at most ten turns, in radians: 90 degrees are 90*tolerance.Degree"` // clock position of the mate's axis
}

// Section is a length of shaft of one diameter; From and To are z in S.
type Section struct {
	From, To tolerance.Length
	Diameter tolerance.Length `want:"more than 0"`
	Bore     tolerance.Length `want:"0 or more"`
}

// SupportKind tells a bearing, which meets the shaft at one circle, from a bush, which meets it at
// its two mouths.
type SupportKind uint8

// The kinds of support; the zero value is a bearing.
const (
	Bearing SupportKind = iota
	Bush
)

// Support is a bore that carries a shaft.
type Support struct {
	Bore      string                               // "part/bore"
	Clearance tolerance.Diametral                  `want:"0 or more"` // running clearance at 20 °C
	Kind      SupportKind                          `want:"[0,1] bearing or bush"`
	Width     tolerance.Length                     `want:"-"`                                             // bushes only
	Runout    tolerance.TIR                        `want:"0 or more"`                                     // of the journal
	Journal   tolerance.Optional[tolerance.Length] `want:"more than 0"`                                   // diameter
	Tilt      tolerance.Optional[float64]          `want:"[0,10] a permitted tilt as a ratio, 0 or more"` // permitted tilt, a ratio
	Stiffness tolerance.Optional[float64]          `want:"(0,1e12) a stiffness in N/mm, more than 0"`     // N/mm
	Guide     Guide                                // what its owner goes by; never a limit
}

// Guide holds values that the owner of a machine goes by for one support: results give the ratio to
// them, and judge nothing by it. The zero value has none.
type Guide struct {
	Offset  tolerance.Optional[tolerance.Length] `want:"more than 0"`                        // centre to centre
	Force   tolerance.Optional[float64]          `want:"(0,1e12) a force in N, more than 0"` // N
	Because string                               // where they come from
}

// Pocket couples two shafts: one runs in the end of the other.
type Pocket struct {
	Name      string
	Between   [2]string                            // shaft names
	Z         tolerance.Length                     // in S
	Clearance tolerance.Diametral                  `want:"0 or more"`
	Width     tolerance.Optional[tolerance.Length] `want:"more than 0"` // absent: one circle; given: two, at its mouths
}

// Reference is a line to measure offsets from. Exactly one of Through, Axis and Best is given.
type Reference struct {
	Name    string
	Through [2]string // the centres of two bores
	Axis    string    // one bore's axis
	Best    []string  // least squares through the centres of three or more bores
}

// Mesh is a pair of gears on two axes, each axis through two bore centres.
type Mesh struct {
	Name           string
	Axes           [2][2]string
	Z              tolerance.Length                     // the middle of the face, in S
	FaceWidth      tolerance.Length                     `want:"more than 0"`
	HelixTolerance tolerance.Optional[tolerance.Length] `want:"0 or more"`
	PressureAngle  tolerance.Optional[tolerance.Angle]  `want:"(0°,60°) an angle above 0 and below 60 degrees"` // transverse working; absent: 20°
}

// Chain is an axial sum of links: an end play, a groove, a shim gap.
type Chain struct {
	Name            string
	Links           []Link `most:"200"`
	Least, Greatest tolerance.Optional[tolerance.Length]
}

// Link is one term of a [Chain]: a length, or the distance between two faces ("part/front",
// "part/rear") where each part's frame axis meets the face, To minus From along z of S.
type Link struct {
	Name     string
	Length   tolerance.Length // when From and To are empty
	From, To string
	Gain     tolerance.Optional[float64] // absent: 1
}

// Candidates are parts that may each take the place of one part of the stack; a candidate answers
// to the place's name in references to bores.
type Candidates struct {
	Place string
	Parts []Part
}

// State is a condition of the machine: bench, bolted, hot.
type State struct {
	Name         string
	Temperatures []StateTemperature
	Moves        []StateMove
}

// StateTemperature sets the temperature of the part or shaft of that name.
type StateTemperature struct {
	Of          string
	Temperature tolerance.Celsius
}

// StateMove displaces the bores of one part in S.
type StateMove struct {
	Part string
	By   Vec3
}

// JointName returns the name of joint k: its own, or the two part names with "|" between.
func (s *Stack) JointName(k int) string {
	if n := s.Joints[k].Name; n != "" {
		return n
	}
	if k+1 < len(s.Parts) {
		return s.Parts[k].Name + "|" + s.Parts[k+1].Name
	}
	return ""
}
