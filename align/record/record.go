package record

// Record is one measured stack, numbers as written and in the record's own units. [Decode] reads
// one, [Record.Encode] writes it again, [Record.Stack] maps it to quantities. The field tags are
// the format's table: the key, the rule that its value keeps, and where a field of another name of
// the stack takes it (to).
//
// The zero value is not a valid record.
type Record struct {
	Format     string        `json:"format" rule:"required,format"`
	Title      string        `json:"title,omitempty"`
	Units      Units         `json:"units" rule:"required"`
	Parts      []Part        `json:"parts" rule:"required"`
	Joints     []Joint       `json:"joints" rule:"required"`
	Shafts     []Shaft       `json:"shafts,omitempty"`
	Pockets    []Pocket      `json:"pockets,omitempty"`
	References []Reference   `json:"references,omitempty"`
	Meshes     []Mesh        `json:"meshes,omitempty"`
	Chains     []Chain       `json:"chains,omitempty"`
	Candidates Named[[]Part] `json:"candidates,omitempty"`
	States     []State       `json:"states,omitempty"`
	Vary       []Vary        `json:"vary,omitempty"`
	Accept     []Accept      `json:"accept,omitempty"`
	Shop       *Shop         `json:"shop,omitempty"`
	Note       string        `json:"note,omitempty"`
}

// Units are the record's units.
type Units struct {
	Length string `json:"length" rule:"required,unit"`
}

// Part is a part as written.
type Part struct {
	Name        string    `json:"name" rule:"required,name"`
	Material    *Material `json:"material,omitempty"`
	Temperature *Number   `json:"temperature,omitempty" rule:"celsius"`
	MeasuredAt  *Number   `json:"measured_at,omitempty" rule:"celsius"`
	Turned      *bool     `json:"turned,omitempty"`
	Front       *Face     `json:"front,omitempty"`
	Rear        *Face     `json:"rear,omitempty"`
	Bores       []Bore    `json:"bores,omitempty"`
}

// Face is a meeting face as written.
type Face struct {
	Z         *Number    `json:"z,omitempty" rule:"length"`
	Slope     *Pair      `json:"slope,omitempty" rule:"slope"`
	Points    []Triple   `json:"points,omitempty" rule:"length"`
	Thickness *Thickness `json:"thickness,omitempty"`
	Sweep     *Sweep     `json:"sweep,omitempty"`
	Diameter  *Number    `json:"diameter,omitempty" rule:"length,abovezero"`
	Pilot     *Pilot     `json:"pilot,omitempty"`
	Dowels    []Dowel    `json:"dowels,omitempty"`
}

// Readings are the keys that thickness and sweeps share.
type Readings struct {
	Readings          []Reading `json:"readings" rule:"required,reading" to:"Values"`
	First             *Number   `json:"first,omitempty" rule:"angle"`
	At                []Number  `json:"at,omitempty" rule:"angle"`
	SeenFrom          string    `json:"seen_from,omitempty" rule:"tail|nose" to:"FromNose"`
	Unit              string    `json:"unit,omitempty" rule:"unit"`
	Closing           *Number   `json:"closing,omitempty" rule:"reading"`
	Uncertainty       *Number   `json:"uncertainty,omitempty" rule:"reading,notnegative"`
	SharedUncertainty *Number   `json:"shared_uncertainty,omitempty" rule:"reading,notnegative"`
}

// Thickness is a micrometer round a part, as written.
type Thickness struct {
	Radius Number `json:"radius" rule:"required,length,abovezero"`
	Readings
}

// Sweep is a dial turned about an axis, as written.
type Sweep struct {
	Readings
	Radius   *Number `json:"radius,omitempty" rule:"length,abovezero"`
	Positive string  `json:"positive,omitempty" rule:"in|out" to:"Out"`
	About    string  `json:"about,omitempty"`
	Droop    *Number `json:"droop,omitempty" rule:"reading,notnegative"`
	Lift     *Number `json:"lift,omitempty" rule:"reading,notnegative"`
	Mounted  string  `json:"mounted,omitempty"`
}

// Pilot is a register as written.
type Pilot struct {
	Kind     string       `json:"kind" rule:"required,spigot|bore"`
	Centre   *Pair        `json:"centre,omitempty" rule:"length"`
	Sweep    *Sweep       `json:"sweep,omitempty"`
	Round    *RoundPoints `json:"round,omitempty" to:"."`
	Diameter Number       `json:"diameter,omitzero" rule:"length,abovezero"`
	Fit      *Fit         `json:"fit,omitempty" rule:"diameter" to:"Diameter"`
	Slope    *Pair        `json:"slope,omitempty" rule:"slope"`
}

// Dowel is a dowel hole as written.
type Dowel struct {
	Name     string `json:"name" rule:"required,name"`
	Centre   Pair   `json:"centre" rule:"required,length"`
	Diameter Number `json:"diameter,omitzero" rule:"length,abovezero"`
	Fit      *Fit   `json:"fit,omitempty" rule:"hole" to:"Diameter"`
}

// Bore is a support bore as written.
type Bore struct {
	Name     string       `json:"name" rule:"required,name"`
	Centre   *Triple      `json:"centre,omitempty" rule:"length"`
	Z        *Number      `json:"z,omitempty" rule:"length" to:"Centre.Z"`
	Sweep    *Sweep       `json:"sweep,omitempty"`
	Round    *RoundPoints `json:"round,omitempty" to:"."`
	Slope    *Pair        `json:"slope,omitempty" rule:"slope"`
	Diameter *Number      `json:"diameter,omitempty" rule:"length,abovezero"`
}

// Joint is a joint as written.
type Joint struct {
	Name          string        `json:"name,omitempty" rule:"name"`
	Gasket        *Gasket       `json:"gasket,omitempty"`
	Seat          string        `json:"seat,omitempty" rule:"planes|points" to:"SeatOnPoints"`
	Interpolate   *bool         `json:"interpolate,omitempty"`
	Flatten       *Number       `json:"flatten,omitempty" rule:"ratio,notnegative"`
	Yielding      *Yielding     `json:"yielding,omitempty" to:"Yield"`
	Rules         string        `json:"rules,omitempty" rule:"auto|flush|pilot"`
	Engagement    *Number       `json:"engagement,omitempty" rule:"length,notnegative"`
	RegisterRing  *RegisterRing `json:"register_ring,omitempty"`
	Pins          []Pin         `json:"pins,omitempty"`
	Bolts         []Pair        `json:"bolts,omitempty" rule:"length"`
	BoltClearance *Number       `json:"bolt_clearance,omitempty" rule:"length,notnegative"`
	Clock         *Number       `json:"clock,omitempty" rule:"angle"`
	Lies          string        `json:"lies,omitempty" rule:"rest|hang|any" zero:"any"`
	Float         *Float        `json:"float,omitempty"`
}

// Gasket is a gasket or shim as written.
type Gasket struct {
	Thickness Number `json:"thickness" rule:"required,length,notnegative"`
	Slope     *Pair  `json:"slope,omitempty" rule:"slope"`
}

// Yielding is what lies between measured faces, as written: N/mm³, mm², N.
type Yielding struct {
	Stiffness Number   `json:"stiffness" rule:"required,ratio,abovezero"`
	Area      Number   `json:"area" rule:"required,ratio,abovezero"`
	BoltLoads []Number `json:"bolt_loads" rule:"required,ratio,abovezero"`
}

// RegisterRing is a ring that spans two bores, as written.
type RegisterRing struct {
	Diameter Number `json:"diameter" rule:"required,length,abovezero"`
}

// Float is a measured float as written; turn in degrees.
type Float struct {
	X    *Number `json:"x,omitempty" rule:"length"`
	Y    *Number `json:"y,omitempty" rule:"length"`
	Turn *Number `json:"turn,omitempty" rule:"angle"`
}

// Pin is a dowel pin as written.
type Pin struct {
	Dowel    string `json:"dowel" rule:"required"`
	Diameter Number `json:"diameter,omitzero" rule:"length,abovezero"`
	Fit      *Fit   `json:"fit,omitempty" rule:"shaft" to:"Diameter"`
	Pressed  string `json:"pressed" rule:"required,front|rear|neither"`
	Locates  *Pair  `json:"locates,omitempty" rule:"ratio"`
	Step     *Pair  `json:"step,omitempty" rule:"length"`
}

// Shaft is a shaft as written.
type Shaft struct {
	Name        string    `json:"name" rule:"required,name"`
	Supports    []Support `json:"supports" rule:"required"`
	Material    *Material `json:"material,omitempty"`
	Temperature *Number   `json:"temperature,omitempty" rule:"celsius"`
	Sections    []Section `json:"sections,omitempty"`
	Density     *Number   `json:"density,omitempty" rule:"ratio,notnegative"`
	Loads       []Load    `json:"loads,omitempty"`
}

// Load is what acts on a shaft as written: forces in N.
type Load struct {
	Name  string     `json:"name" rule:"required,name"`
	Z     Number     `json:"z" rule:"required,length"`
	Force *Pair      `json:"force,omitempty" rule:"ratio"`
	Gear  *GearForce `json:"gear,omitempty"`
}

// GearForce is what a mating gear does, as written: torque in N·m, clockwise positive.
type GearForce struct {
	Torque        Number  `json:"torque" rule:"required,ratio"`
	PitchDiameter Number  `json:"pitch_diameter" rule:"required,length,abovezero"`
	PressureAngle *Number `json:"pressure_angle,omitempty" rule:"angle"`
	Helix         *Number `json:"helix,omitempty" rule:"angle"`
	Mate          Number  `json:"mate" rule:"required,angle"`
}

// Section is a length of shaft as written.
type Section struct {
	From     Number  `json:"from" rule:"required,length"`
	To       Number  `json:"to" rule:"required,length"`
	Diameter Number  `json:"diameter" rule:"required,length,abovezero"`
	Bore     *Number `json:"bore,omitempty" rule:"length,notnegative"`
}

// Support is a support as written.
type Support struct {
	Bore      string  `json:"bore" rule:"required"`
	Clearance Number  `json:"clearance,omitzero" rule:"length,notnegative"`
	Fit       *Fit    `json:"fit,omitempty" rule:"clearance" to:"Clearance"`
	Kind      string  `json:"kind,omitempty" rule:"bearing|bush"`
	Width     *Number `json:"width,omitempty" rule:"length,abovezero"`
	Runout    *Number `json:"runout,omitempty" rule:"length,notnegative"`
	Journal   *Number `json:"journal,omitempty" rule:"length,abovezero"`
	Tilt      *Number `json:"tilt,omitempty" rule:"slope,notnegative"`
	Stiffness *Number `json:"stiffness,omitempty" rule:"ratio,abovezero"`
	Guide     *Guide  `json:"guide,omitempty"`
}

// Guide is what the owner of a machine goes by, as written.
type Guide struct {
	Offset  *Number `json:"offset,omitempty" rule:"length,abovezero"`
	Force   *Number `json:"force,omitempty" rule:"ratio,abovezero"`
	Because string  `json:"because,omitempty"`
}

// Pocket is a pocket as written.
type Pocket struct {
	Name      string   `json:"name" rule:"required,name"`
	Between   []string `json:"between" rule:"required,two"`
	Z         Number   `json:"z" rule:"required,length"`
	Clearance Number   `json:"clearance,omitzero" rule:"length,notnegative"`
	Fit       *Fit     `json:"fit,omitempty" rule:"clearance" to:"Clearance"`
	Width     *Number  `json:"width,omitempty" rule:"length,abovezero"`
}

// Reference is a reference line as written.
type Reference struct {
	Name    string   `json:"name" rule:"required,name"`
	Through []string `json:"through,omitempty" rule:"two"`
	Axis    string   `json:"axis,omitempty"`
	Best    []string `json:"best,omitempty"`
}

// Mesh is a gear mesh as written.
type Mesh struct {
	Name           string     `json:"name" rule:"required,name"`
	Axes           [][]string `json:"axes" rule:"required,two"`
	Z              Number     `json:"z" rule:"required,length"`
	FaceWidth      Number     `json:"face_width" rule:"required,length,abovezero"`
	HelixTolerance *Number    `json:"helix_tolerance,omitempty" rule:"length,notnegative"`
	PressureAngle  *Number    `json:"pressure_angle,omitempty" rule:"angle"`
}

// Chain is an axial chain as written.
type Chain struct {
	Name     string  `json:"name" rule:"required,name"`
	Links    []Link  `json:"links" rule:"required"`
	Least    *Number `json:"least,omitempty" rule:"length"`
	Greatest *Number `json:"greatest,omitempty" rule:"length"`
}

// Link is one link of a chain as written.
type Link struct {
	Name   string  `json:"name" rule:"required,name"`
	Length *Number `json:"length,omitempty" rule:"length"`
	From   string  `json:"from,omitempty"`
	To     string  `json:"to,omitempty"`
	Gain   *Number `json:"gain,omitempty" rule:"ratio"`
}

// State is a named state as written.
type State struct {
	Name         string        `json:"name" rule:"required,name"`
	Temperatures Named[Number] `json:"temperatures,omitempty" rule:"celsius"`
	Moves        Named[Triple] `json:"moves,omitempty" rule:"length"`
}

// Vary is one source of variation as written: a law on numbers of this record, or how a joint lies
// in a study.
type Vary struct {
	Name    string   `json:"name,omitempty" rule:"name"`
	At      Pointers `json:"at,omitzero"`
	Law     Law      `json:"law" rule:"required"`
	Limits  *Pair    `json:"limits,omitempty" rule:"ratio"`
	Because string   `json:"because,omitempty" rule:"process|gauge"`
	Also    []Also   `json:"also,omitempty"`
	Float   string   `json:"float,omitempty"`
}

// Also is a further number that the same draw moves, as written.
type Also struct {
	At   Pointers `json:"at" rule:"required"`
	Gain *Number  `json:"gain,omitempty" rule:"ratio"`
}

// Accept is a limit as written.
type Accept struct {
	Output   Output  `json:"output" rule:"required"`
	Least    *Number `json:"least,omitempty" rule:"ratio"`
	Greatest *Number `json:"greatest,omitempty" rule:"ratio"`
	Over     string  `json:"over,omitempty" rule:"any|rest"`
	Because  string  `json:"because,omitempty"`
}

// Output names a number of the result, as written.
type Output struct {
	Kind  string `json:"kind" rule:"required,quantity"`
	Of    string `json:"of,omitempty"`
	From  string `json:"from,omitempty"`
	State string `json:"state,omitempty"`
}
