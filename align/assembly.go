package align

import "example.com/borestack/tolerance"

// Assembly is one evaluated box: how every part sits, where every bore ends up, and whether
// straight shafts have room. [Stack.Solve] makes it.
//
// Positions are in the stack frame S; joint floats and leans are in the front part's frame. Where a
// joint may lie anywhere in its float, positions are those at rest, and [Stack.Ranges] gives the
// ends. The zero value is an empty result.
type Assembly struct {
	Title    string
	Placed   []PlacedPart
	Joints   []SeatedJoint
	Parts    []PartShape
	Readings []ReadingFit
	Supports []SupportedBore
	Line     *ShaftLine // nil when the stack has no shafts
	// Reference is the main reference that offsets are from, where there are shafts: AtZero +
	// Slope·z in S.
	Reference StraightShaft
	Loads     *SideLoads // nil when no shaft has sections
	Chains    []ChainGap
	Meshes    []MeshFit
	Assumed   []Note // taken for granted, not measured
	Warnings  []Note

	stack Stack // what was solved, for ranges on demand
}

// PlacedPart is where a part ended up: BaseFromPart carries its coordinates, as mounted, to S.
type PlacedPart struct {
	Part         string
	BaseFromPart Pose
	Faces        [2]tolerance.Optional[tolerance.Length] // z in S where its frame axis meets the face that looks forward, and the other; absent: no such face
}

// SeatedJoint is how one joint closed.
type SeatedJoint struct {
	Name         string
	Front, Rear  string // part names
	Rules        Rules  // RulesFlush or RulesPilot
	Lies         Lie
	Measured     bool // its float was measured
	Assembles    bool
	Interference tolerance.Diametral // what every clearance lacks; 0 when it assembles
	Fouls        []string            // pins, bolts or "pilot" that stand in the way
	Pilot        *PilotFit           // nil: no pilot locates here
	Pins         []PinFit
	Float        Float                                  // where it lies, in the front part's x and y; a [Push] is in S
	TurnRange    tolerance.Optional[[2]tolerance.Angle] // least and greatest turn over the float, clockwise; absent: the bolt pattern sets the clock
	ReachX       [2]tolerance.Length                    // least and greatest shift along x over the float
	ReachY       [2]tolerance.Length
	Gap          Gap
	Contacts     []Vec2                               // measured faces: where they touch, in the front part's frame
	Between      tolerance.Optional[tolerance.Length] // standard error of heights taken between measured stations
	Contact      *Contact                             // of a yielding seat
}

// Contact is how a yielding joint presses, station by station.
type Contact struct {
	Stations        []StationContact
	Least, Greatest float64                                // pressure, N/mm²
	Open            tolerance.Optional[[2]tolerance.Angle] // the widest stretch of stations without pressure, clockwise about the front part's axis: where it leaks first
}

// StationContact is one station of a yielding joint.
type StationContact struct {
	At       Vec2             // in the front part's frame
	Gap      tolerance.Length // 0 where it presses
	Pressure float64          // N/mm²
}

// PilotFit is how a spigot sits in its bore.
type PilotFit struct {
	Clearance tolerance.Diametral         // negative: squeezed; with the dowels out the part can be shaken by this much in total
	Lean      Slope                       // rear part's pilot axis from the front part's, faces flush
	LeanRoom  tolerance.Optional[float64] // clearance over engagement; absent without an engagement, or with one so short that no lean is felt
	Strain    tolerance.Length            // what a flush joint squeezes the register by
	Loose     bool                        // it walks: a pilot that locates nothing
}

// PinFit is how one pin sits in the hole that it must enter.
type PinFit struct {
	Dowel     string
	Clearance tolerance.Diametral
	Squeeze   tolerance.Length // diametral squeeze where the pin is larger than a hole it is not pressed in
}

// Gap is the largest gap between two meeting faces, and its clock angle about the front part's
// frame axis. The zero value: they touch all round.
type Gap struct {
	Greatest tolerance.Length
	Clock    tolerance.Angle
}

// PartShape is the shape of a part with two faces, as mounted.
type PartShape struct {
	Name               string
	Thickness          tolerance.Length // at its frame axis
	Wedge              Slope            // rear slope minus front slope: thickest at its clock angle
	Across             tolerance.Optional[tolerance.Length]
	Rise               tolerance.Optional[tolerance.Length] // wedge size times Across
	ThicknessVariation tolerance.Optional[tolerance.Length] // greatest minus least reading: neither flatness nor parallelism
	Waviness           tolerance.Optional[tolerance.Length] // peak to valley of the readings about their least-squares plane
}

// Harmonic is one harmonic of a set of readings: Size·cos n(θ − Clock).
type Harmonic struct {
	N     int
	Size  tolerance.Length
	Clock tolerance.Angle // the first angle in [0°, 360°/N) at which the reading as written is greatest
}

// ReadingFit is what a set of readings says: mean, harmonics and what is left.
type ReadingFit struct {
	Path        string // JSON Pointer, as in the record: "/parts/0/bores/2/sweep"
	OnThickness bool   // harmonics are those of the residual about the fitted plane
	Stations    int    // stations read
	Mean        tolerance.Length
	Harmonics   []Harmonic
	Residual    tolerance.Optional[tolerance.Length] // standard deviation of what the harmonics leave; absent without degrees of freedom
	MeanU       tolerance.Optional[tolerance.Length] // standard uncertainty of the mean, shared part included
	FirstU      tolerance.Optional[tolerance.Length] // standard uncertainty of each component of the first harmonic
	Closing     tolerance.Optional[tolerance.Length] // closing reading minus first reading
}

// SupportedBore is a bore that carries a shaft, from the main reference.
type SupportedBore struct {
	Shaft     string
	Bore      string
	Kind      SupportKind
	Z         tolerance.Length
	Offset    Vec2 // bore centre from the reference line
	Tilt      Slope
	Clearance tolerance.Diametral                  // running, in this state
	Room      tolerance.Optional[tolerance.Length] // how far this bore alone may move before no straight shaft has room, strained joints closed as they govern now
	TiltRatio tolerance.Optional[float64]          // bore axis against the best straight shaft, over the permitted tilt
	Guides    GuideRatios
}

// GuideRatios are a support's offset and side load over the guide values that the machine's owner
// gives; absent without one. They are pointers to wear, never limits.
type GuideRatios struct {
	Offset, Force tolerance.Optional[float64]
	Because       string // where the guide values come from
}

// ShaftLine is whether straight shafts have room.
type ShaftLine struct {
	Use      tolerance.Optional[float64] // least share of every clearance that straight shafts need; absent: no line at all
	Margin   tolerance.Length            // radial: the room left; negative: what every clearance lacks
	RunsFree bool
	Governs  []tolerance.Share // what drives the use: largest share first
	// MarginGoverns is what caps the margin: the supports and pockets with a multiplier in the
	// margin's own program, the largest first, with their shares. Often it is the tightest bearing,
	// whatever the misalignment; circles that are equally tight then share alike.
	MarginGoverns []tolerance.Share
	Shafts        []StraightShaft
	OverFloat     *LineRange // nil when nothing floats
}

// StraightShaft is the best straight shaft: AtZero + Slope·z in S.
type StraightShaft struct {
	Name   string
	AtZero Vec2
	Slope  Slope
}

// LineRange is use and margin over the float of all joints together.
type LineRange struct {
	BestUse, WorstUse       tolerance.Optional[float64]
	BestMargin, WorstMargin tolerance.Length
	// WorstUseBound and WorstMarginBound are what no floats exceed: the use is nowhere more, the
	// margin nowhere less, how far the float's curvature carries included. Each is worked out apart
	// from the search for the worst (overbound.go), and never on the wrong side of it. Absent: no
	// bound, where a circle has no room at all.
	WorstUseBound    tolerance.Optional[float64]
	WorstMarginBound tolerance.Length
	Push             []Push // from rest to the best margin
}

// Push says which way to push the rear part of a joint before tightening, from where it rests:
// clockwise seen from the tail, in S.
type Push struct {
	Joint string
	Clock tolerance.Angle
	By    tolerance.Length
	Turn  tolerance.Angle // clockwise
}

// ChainGap is an axial chain's sum.
type ChainGap struct {
	Name string
	Gap  tolerance.Length
}

// MeshFit is how two gear axes lie to each other, without load: the bores' centres make the axes.
type MeshFit struct {
	Name                        string
	Span                        tolerance.Length // the longer bearing span, over which the deviations are given
	InPlane, OutOfPlane         tolerance.Length // in the plane of the axes, positive when they part rearward; square to it, along k × e
	InPlaneLimit, OutPlaneLimit tolerance.Optional[tolerance.Length]
	CentreDistance              tolerance.Length // at the middle of the face
	BacklashGain                float64          // change of transverse backlash over change of centre distance: 2 tan α
	Running                     *MeshRun         // with the shafts as their supports and loads bend them; nil where no side loads are worked out for both
	// Mismatch is by how much one end of the face engages before the other, along the line of
	// action: positive, the rear end takes the load. The first is for the flank that the other gear
	// pushes along k × e, the second for the opposite flank.
	Mismatch [2]tolerance.Length
}

// SideLoads are what the supports of the elastic shafts feel when they bend the shafts into place,
// with the loads that act, the joints where they lie. An estimate: bearings and housings are rigid
// but for the stiffnesses stated.
type SideLoads struct {
	At       []SideLoad // supports in order, then pockets
	Shafts   []BentShaft
	Residual float64 // greatest violation of the contact conditions, as a share of the greatest term
}

// SideLoad is the force at one support or pocket.
type SideLoad struct {
	Name      string // bore or pocket
	Shaft     string // of a pocket: the first-named
	Pocket    bool
	Force     Force                       // of the housing on the shaft; in a pocket on the first-named shaft
	Mouths    []Force                     // of a bush or wide pocket, front and rear; nil: one circle
	Shift     Vec2                        // shaft centre from the bore's centre; in a pocket first-named from the other
	Slope     Slope                       // of the bent shaft in S
	Tilt      Slope                       // of the bent shaft from the bore's axis; in a pocket from the other shaft
	TiltRatio tolerance.Optional[float64] // over the permitted tilt
}

// BentShaft is how much one shaft bends.
type BentShaft struct {
	Name     string
	Bend     tolerance.Length // greatest distance from the chord between its first and last circle
	Stress   float64          // greatest bending stress, N/mm²
	StressAt tolerance.Length // z in S
}

// MeshRun is how two gears lie on their bent shafts, at the middle of the face: deviations over the
// same span as those of the bores.
type MeshRun struct {
	InPlane, OutOfPlane, CentreDistance tolerance.Length
	Mismatch                            [2]tolerance.Length
}

// NoteKind says what a [Note] is about.
type NoteKind uint8

// What was assumed, and what deserves a warning. Note.Of names the place; the meaning of Size and
// Count is beside each.
const (
	// Assumed.
	NoteSquarePilot      NoteKind = iota + 1 // Of: "part/front" or "part/rear": pilot axis taken square to its face
	NotePlaneOfPoints                        // Of: face: least-squares plane, which ignores high spots
	NoteThicknessDatum                       // Of: part: its front face taken as a flat datum
	NoteNoEngagement                         // Of: joint: no engagement given, so no lean is felt
	NoteBoltsClock                           // Of: joint: no dowel, the bolt pattern sets the clock
	NoteFreePin                              // Of: pin of a joint, "joint/pin": held by neither part
	NoteLiesUnknown                          // Of: joint: may lie anywhere in its float
	NoteDefaultReference                     // Of: first shaft with supports: offsets are from the line through its first two
	NoteRigidShafts                          // shafts are straight and rigid
	NoteUnloaded                             // no load acts
	NoteTwoSupports                          // Of: shaft: a line goes through all its centres wherever they stand, so its margin says only how tight its fits are

	// Warnings.
	NoteFewStations        // Of: path; Count: stations
	NoteSecondHarmonic     // Of: path; Size: second harmonic over first
	NoteSqueezedPilot      // Of: joint; Size: squeeze, mm diametral
	NoteSqueezedPin        // Of: "joint/pin"; Size: squeeze, mm diametral
	NoteStrainedRegister   // Of: joint; Size: strain, mm
	NoteDoesNotAssemble    // Of: joint; Size: interference, mm diametral
	NoteLoosePilot         // Of: joint; Size: clearance, mm diametral
	NotePilotLedUnknown    // Of: joint: strained, and no face diameter given to evaluate the pilot-led seat
	NotePilotLed           // Of: joint; Size: gap, mm: the pilot leads, the faces do not close
	NoteClearanceUnchanged // Of: bore: away from 20 °C, but neither journal nor bore diameter known
	NoteNoClearance        // Of: bore or pocket: no radial room at all
	NoteTiltAboveGuide     // Of: bore; Size: ratio to the permitted tilt
)

// Note is one thing assumed or warned of.
type Note struct {
	Kind  NoteKind
	Of    string
	Size  float64
	Count int
}
