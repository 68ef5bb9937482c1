package report

// The report's JSON, key by key. A nil pointer is null where its key must be there, and absent where the key is optional.

// Format is the format of the JSON report.
const Format = "borestack-report/1"

type document struct {
	Format     string         `json:"format"`
	Title      string         `json:"title,omitempty"`
	Verdict    string         `json:"verdict"`
	Assumed    []string       `json:"assumed"`
	Warnings   []string       `json:"warnings"`
	Doubts     []doubtDoc     `json:"doubts"`
	Poses      []poseDoc      `json:"poses"`
	Joints     []jointDoc     `json:"joints"`
	Parts      []partDoc      `json:"parts"`
	Sweeps     []sweepDoc     `json:"sweeps"`
	Supports   []supportDoc   `json:"supports,omitempty"`
	Line       *lineDoc       `json:"line,omitempty"`
	Candidates []candidateDoc `json:"candidates,omitempty"`
	States     []stateDoc     `json:"states,omitempty"`
	SideLoads  []sideLoadDoc  `json:"side_loads,omitempty"`
	Shafts     []bentDoc      `json:"bent_shafts,omitempty"`
	Meshes     []meshDoc      `json:"meshes,omitempty"`
	Chains     []chainDoc     `json:"chains,omitempty"`
	Study      *studyDoc      `json:"study,omitempty"`
	ThisBox    *studyDoc      `json:"this_box,omitempty"`
	Verdicts   []verdictDoc   `json:"verdicts,omitempty"`
}

// doubtDoc is what the record says and what cannot be relied on.
type doubtDoc struct {
	At  string `json:"at"`
	Why string `json:"why"`
}

type poseDoc struct {
	Part     string        `json:"part"`
	Rotation [3][3]float64 `json:"rotation"`
	Origin   [3]float64    `json:"origin"`
}

type vectorDoc struct {
	X     float64 `json:"x"`
	Y     float64 `json:"y"`
	Size  float64 `json:"size"`
	Clock float64 `json:"clock"`
}

// floatDoc is a joint's float: the rear part's shift along the front part's own x and y, and its turn in degrees, clockwise seen from the tail.
type floatDoc struct {
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Turn float64 `json:"turn"`
}

type gapDoc struct {
	Greatest float64 `json:"greatest"`
	Clock    float64 `json:"clock"`
}

type jointDoc struct {
	Name           string       `json:"name"`
	Rules          string       `json:"rules"`
	Assembles      bool         `json:"assembles"`
	Interference   float64      `json:"interference"`
	Fouls          []string     `json:"fouls,omitempty"`
	PilotClearance *float64     `json:"pilot_clearance,omitempty"`
	PilotStrain    *float64     `json:"pilot_strain,omitempty"`
	Lean           *vectorDoc   `json:"lean"`
	LeanRoom       *float64     `json:"lean_room,omitempty"`
	Float          floatDoc     `json:"float"`
	TurnRange      *[2]float64  `json:"turn_range,omitempty"`
	Gap            gapDoc       `json:"gap"`
	Contacts       [][2]float64 `json:"contacts,omitempty"`
	Between        *float64     `json:"interpolation_error,omitempty"`
	Contact        *contactDoc  `json:"contact,omitempty"`
}

// contactDoc is how a yielding joint presses: pressures in N/mm², the widest stretch without pressure in degrees clockwise.
type contactDoc struct {
	Least    float64      `json:"least_pressure"`
	Greatest float64      `json:"greatest_pressure"`
	Open     *[2]float64  `json:"open,omitempty"`
	Stations []stationDoc `json:"stations"`
}

type stationDoc struct {
	At       [2]float64 `json:"at"`
	Gap      float64    `json:"gap"`
	Pressure float64    `json:"pressure"`
}

type partDoc struct {
	Name               string    `json:"name"`
	Thickness          float64   `json:"thickness"`
	Wedge              vectorDoc `json:"wedge"`
	Rise               *float64  `json:"rise,omitempty"`
	Across             *float64  `json:"across,omitempty"`
	ThicknessVariation *float64  `json:"thickness_variation,omitempty"`
	Waviness           *float64  `json:"waviness,omitempty"`
}

type harmonicDoc struct {
	N     int     `json:"n"`
	Size  float64 `json:"size"`
	Clock float64 `json:"clock"`
}

// sweepDoc also says how sure the fit is: standard uncertainties of the mean and of each component of the first harmonic.
type sweepDoc struct {
	At               string        `json:"at"`
	Mean             float64       `json:"mean"`
	Harmonics        []harmonicDoc `json:"harmonics"`
	Residual         *float64      `json:"residual,omitempty"`
	MeanUncertainty  *float64      `json:"mean_uncertainty,omitempty"`
	FirstUncertainty *float64      `json:"first_uncertainty,omitempty"`
	Closing          *float64      `json:"closing,omitempty"`
}

type supportDoc struct {
	Shaft       string    `json:"shaft"`
	Bore        string    `json:"bore"`
	Z           float64   `json:"z"`
	Offset      vectorDoc `json:"offset"`
	TIR         float64   `json:"tir"`
	Tilt        vectorDoc `json:"tilt"`
	Clearance   float64   `json:"clearance"`
	Room        *float64  `json:"room,omitempty"`
	TiltRatio   *float64  `json:"tilt_ratio,omitempty"`
	OffsetRatio *float64  `json:"offset_ratio,omitempty"`
	ForceRatio  *float64  `json:"force_ratio,omitempty"`
}

type shaftDoc struct {
	Name   string     `json:"name"`
	AtZero [2]float64 `json:"at_zero"`
	Slope  [2]float64 `json:"slope"`
}

// pushDoc says which way to push a joint's rear part from where it rests: a clock angle of the assembled machine (the base's axes), not of the front part as in [floatDoc], whose own 12 o'clock may stand elsewhere.
type pushDoc struct {
	Joint string  `json:"joint"`
	Clock float64 `json:"clock"`
	By    float64 `json:"by"`
	Turn  float64 `json:"turn"`
}

type overFloatDoc struct {
	Use    [2]*float64 `json:"use"`
	Margin [2]float64  `json:"margin"`
	Push   []pushDoc   `json:"push,omitempty"`
}

type lineDoc struct {
	Use           *float64      `json:"use"`
	Margin        float64       `json:"margin"`
	RunsFree      bool          `json:"runs_free"`
	Governs       []string      `json:"governs"`
	MarginGoverns []string      `json:"margin_governs"`
	Shares        []float64     `json:"shares"`
	Shafts        []shaftDoc    `json:"shafts"`
	OverFloat     *overFloatDoc `json:"over_float,omitempty"`
}

type candidateDoc struct {
	Part      string   `json:"part"`
	Candidate string   `json:"candidate"`
	Rank      int      `json:"rank"` // 1: the best for its place, the part measured in place counted
	Verdict   string   `json:"verdict"`
	Use       *float64 `json:"use"`
	Margin    *float64 `json:"margin"`
	Governs   []string `json:"governs"`
}

type stateDoc struct {
	Name      string        `json:"name"`
	Use       *float64      `json:"use"`
	Margin    *float64      `json:"margin"`
	Governs   []string      `json:"governs"`
	SideLoads []sideLoadDoc `json:"side_loads,omitempty"`
	Chains    []chainDoc    `json:"chains,omitempty"`
}

// sideLoadDoc is the force of the housing on the shaft at a bore, or in a pocket on the first-named shaft; slope is the bent shaft's. Mouths are the front and rear mouth of a bush.
type sideLoadDoc struct {
	Bore      string       `json:"bore"`
	Shaft     string       `json:"shaft"`
	X         float64      `json:"x"`
	Y         float64      `json:"y"`
	Size      float64      `json:"size"`
	Clock     float64      `json:"clock"`
	Slope     slopeXY      `json:"slope"`
	Tilt      vectorDoc    `json:"tilt"`
	TiltRatio *float64     `json:"tilt_ratio,omitempty"`
	Shift     vectorDoc    `json:"shift"`
	Mouths    [][2]float64 `json:"mouths,omitempty"`
}

type slopeXY struct {
	X float64 `json:"x"`
	Y float64 `json:"y"`
}

// bentDoc is how much a shaft bends: stress in N/mm².
type bentDoc struct {
	Name     string  `json:"name"`
	Bend     float64 `json:"bend"`
	Stress   float64 `json:"stress"`
	StressAt float64 `json:"stress_at"`
}

// meshDoc also says by how much one end of the face engages first, for the flank that the other gear pushes along k × e and for the opposite one: positive, the rear end.
type meshDoc struct {
	Name           string     `json:"name"`
	InPlane        float64    `json:"in_plane"`
	OutOfPlane     float64    `json:"out_of_plane"`
	InPlaneLimit   *float64   `json:"in_plane_limit,omitempty"`
	OutPlaneLimit  *float64   `json:"out_of_plane_limit,omitempty"`
	CentreDistance float64    `json:"centre_distance"`
	BacklashGain   float64    `json:"backlash_gain"`
	Mismatch       [2]float64 `json:"mismatch"`
	Running        *runDoc    `json:"running,omitempty"`
}

// runDoc is a mesh on its bent shafts.
type runDoc struct {
	InPlane        float64    `json:"in_plane"`
	OutOfPlane     float64    `json:"out_of_plane"`
	CentreDistance float64    `json:"centre_distance"`
	Mismatch       [2]float64 `json:"mismatch"`
}

type chainDoc struct {
	Name string  `json:"name"`
	Gap  float64 `json:"gap"`
}

// studyDoc is what varies: "process" gives yields of a batch, "gauge" probabilities for this very box. Where a record holds both, the gauge's is "this_box".
type studyDoc struct {
	Because string      `json:"because"`
	Samples int         `json:"samples"`
	Seed    uint64      `json:"seed"`
	Outputs []variedDoc `json:"outputs"`
}

type variedDoc struct {
	Output        outputDoc           `json:"output"`
	Nominal       *float64            `json:"nominal"`
	Worst         *[2]*float64        `json:"worst"`
	WorstExact    *bool               `json:"worst_exact,omitempty"`
	Unbounded     string              `json:"unbounded,omitempty"`
	Mean          *float64            `json:"mean"`
	SD            *float64            `json:"sd"`
	RSS           *estimateDoc        `json:"rss"`
	P             map[string]*float64 `json:"p"`
	Errors        errorsDoc           `json:"errors"`
	Least         *float64            `json:"least"`
	LeastSample   int                 `json:"least_sample"`
	Greatest      *float64            `json:"greatest"`
	Sample        int                 `json:"greatest_sample"`
	Yield         *float64            `json:"yield,omitempty"`
	YieldInterval *[2]float64         `json:"yield_interval,omitempty"`
	Shares        []shareDoc          `json:"shares"`
	Causes        []causeDoc          `json:"failures_lie_in,omitempty"`
}

// causeDoc is a tail, the outer tenth of an input's law, that samples which fail lie in so many times as often as others.
type causeDoc struct {
	Input    string     `json:"input"`
	Axis     string     `json:"axis,omitempty"`
	Tail     string     `json:"tail"`
	Times    float64    `json:"times"`
	Interval [2]float64 `json:"interval"`
}

type estimateDoc struct {
	Mean *float64            `json:"mean"`
	SD   *float64            `json:"sd"`
	P    map[string]*float64 `json:"p"`
}

// errorsDoc are standard errors of the sampled numbers.
type errorsDoc struct {
	Mean  *float64            `json:"mean"`
	SD    *float64            `json:"sd"`
	P     map[string]*float64 `json:"p"`
	Yield *float64            `json:"yield,omitempty"`
}

type shareDoc struct {
	Input string  `json:"input"`
	Share float64 `json:"share"`
}

type outputDoc struct {
	Kind  string `json:"kind"`
	Of    string `json:"of,omitempty"`
	From  string `json:"from,omitempty"`
	State string `json:"state,omitempty"`
}

type verdictDoc struct {
	Output      outputDoc `json:"output"`
	Value       *float64  `json:"value"`
	Best        *float64  `json:"best,omitempty"`
	Worst       *float64  `json:"worst,omitempty"`
	Least       *float64  `json:"least,omitempty"`
	Greatest    *float64  `json:"greatest,omitempty"`
	Uncertainty *float64  `json:"uncertainty,omitempty"`
	Verdict     string    `json:"verdict"`
	Room        *float64  `json:"room"`
	InState     string    `json:"in_state,omitempty"`
	Because     string    `json:"because,omitempty"`
}
