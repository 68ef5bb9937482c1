package align

import "example.com/borestack/tolerance"

// Quantity is what an [Output] asks for.
type Quantity uint8

// The quantities. Lengths are in millimetres, angles in radians, slopes and use are ratios.
const (
	Margin     Quantity = iota + 1 // of the shaft line, radial
	Use                            // of clearance
	OffsetSize                     // of a bore from a reference, centre to centre
	TIRSize                        // twice the offset
	TiltSize                       // of a bore's axis from a reference
	OffsetX                        // components of the offset; in samples of a [Plan] the joints where they lie
	OffsetY
	TiltX // components of the tilt, in the same way
	TiltY
	GapSize            // greatest gap of a joint
	TurnAngle          // of a joint, clockwise
	ThicknessVariation // of a part's thickness readings
	InPlane            // deviation of a mesh
	OutOfPlane         // deviation of a mesh
	ChainLength        // gap of a chain
	RunningClearance   // of a support, diametral, at the temperatures of its part and shaft
	SideForce          // size of the force at a support or pocket, in newtons, the joints where they lie
	Assembles          // 1 when the joint named (or, unnamed, every joint) assembles, 0 when not
	AssemblyUse        // least share of the clearances of a joint's pilot, pins and bolts that it takes to assemble it; above 1 it does not, or its register is strained
)

// Output names one number of the result.
type Output struct {
	What Quantity
	Of   string // bore, joint, part, mesh or chain; empty where the quantity has only one
	From string // reference; empty: the main reference
	Best bool   // in samples of a [Plan] with joints that lie anywhere: the best over the float instead of the worst
}

// Range is a number at rest and its ends over the float of all joints that lie anywhere. Low and
// High equal Rest where nothing floats, and of a side load. Absent values cannot be said (no line:
// no use).
type Range struct {
	Rest, Low, High tolerance.Optional[float64]
	Floats          bool // something that it depends on may lie anywhere
}
