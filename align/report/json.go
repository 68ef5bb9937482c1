package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// Format is the format of the JSON report.
const Format = "borestack-report/1"

// JSON writes the report in the JSON form, numbers in the record's length unit, slopes as ratios, angles in degrees. It returns an error rather than a number that is not finite.
func JSON(w io.Writer, rec *record.Record, res *study.Result) error {
	u, err := tolerance.ParseUnit(rec.Units.Length)
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	c := &converter{unit: u, rec: rec}
	out, err := json.MarshalIndent(c.report(res), "", " ")
	if err != nil {
		return fmt.Errorf("report: %w", err)
	}
	_, err = w.Write(append(out, '\n'))
	return err
}

// converter turns results into the record's units.
type converter struct {
	unit tolerance.Unit
	rec  *record.Record
}

func (c *converter) length(l tolerance.Length) float64 { return clean(l.In(c.unit)) }

// clean drops the sign of a negative zero.
func clean(v float64) float64 {
	if v == 0 {
		return 0
	}
	return v
}

type vectorJSON struct {
	X     float64 `json:"x"`
	Y     float64 `json:"y"`
	Size  float64 `json:"size"`
	Clock float64 `json:"clock"`
}

func (c *converter) vector(v align.Vec2) vectorJSON {
	return vectorJSON{c.length(v.X), c.length(v.Y), math.Hypot(c.length(v.X), c.length(v.Y)), clock(float64(v.X), float64(v.Y))}
}

func slopeJSON(s align.Slope) vectorJSON {
	return vectorJSON{clean(s.X), clean(s.Y), math.Hypot(s.X, s.Y), clock(s.X, s.Y)}
}

func clock(x, y float64) float64 { return tolerance.Clock(x, y).Degrees() }

type reportJSON struct {
	Format     string          `json:"format"`
	Verdict    string          `json:"verdict"`
	Assumed    []string        `json:"assumed"`
	Warnings   []string        `json:"warnings"`
	Poses      []poseJSON      `json:"poses"`
	Joints     []jointJSON     `json:"joints"`
	Parts      []partJSON      `json:"parts,omitempty"`
	Sweeps     []sweepJSON     `json:"sweeps,omitempty"`
	Supports   []supportJSON   `json:"supports,omitempty"`
	Line       *lineJSON       `json:"line,omitempty"`
	Candidates []candidateJSON `json:"candidates,omitempty"`
	States     []stateJSON     `json:"states,omitempty"`
	Chains     []chainJSON     `json:"chains,omitempty"`
	Verdicts   []verdictJSON   `json:"verdicts,omitempty"`
}

type poseJSON struct {
	Part     string        `json:"part"`
	Rotation [3][3]float64 `json:"rotation"`
	Origin   [3]float64    `json:"origin"`
}

type floatJSON struct {
	X    float64 `json:"x"`
	Y    float64 `json:"y"`
	Turn float64 `json:"turn"`
}

type gapJSON struct {
	Greatest float64 `json:"greatest"`
	Clock    float64 `json:"clock"`
}

type jointJSON struct {
	Name           string       `json:"name"`
	Rules          string       `json:"rules"`
	Assembles      bool         `json:"assembles"`
	Interference   float64      `json:"interference"`
	Fouls          []string     `json:"fouls,omitempty"`
	PilotClearance *float64     `json:"pilot_clearance,omitempty"`
	PilotStrain    *float64     `json:"pilot_strain,omitempty"`
	Lean           *vectorJSON  `json:"lean,omitempty"`
	LeanRoom       *float64     `json:"lean_room,omitempty"`
	Float          floatJSON    `json:"float"`
	TurnRange      *[2]float64  `json:"turn_range,omitempty"`
	Gap            gapJSON      `json:"gap"`
	Contacts       [][2]float64 `json:"contacts,omitempty"`
}

type partJSON struct {
	Name               string     `json:"name"`
	Thickness          float64    `json:"thickness"`
	Wedge              vectorJSON `json:"wedge"`
	Rise               *float64   `json:"rise,omitempty"`
	Across             *float64   `json:"across,omitempty"`
	ThicknessVariation *float64   `json:"thickness_variation,omitempty"`
	Waviness           *float64   `json:"waviness,omitempty"`
}

type harmonicJSON struct {
	N     int     `json:"n"`
	Size  float64 `json:"size"`
	Clock float64 `json:"clock"`
}

type sweepJSON struct {
	At        string         `json:"at"`
	Mean      float64        `json:"mean"`
	Harmonics []harmonicJSON `json:"harmonics"`
	Residual  *float64       `json:"residual,omitempty"`
}

type supportJSON struct {
	Bore      string     `json:"bore"`
	Z         float64    `json:"z"`
	Offset    vectorJSON `json:"offset"`
	TIR       float64    `json:"tir"`
	Tilt      vectorJSON `json:"tilt"`
	Clearance float64    `json:"clearance"`
	Room      *float64   `json:"room,omitempty"`
	TiltRatio *float64   `json:"tilt_ratio,omitempty"`
}

type lineJSON struct {
	Use       *float64       `json:"use"`
	Margin    float64        `json:"margin"`
	RunsFree  bool           `json:"runs_free"`
	Governs   []string       `json:"governs"`
	Shares    []float64      `json:"shares"`
	Shafts    []shaftJSON    `json:"shafts"`
	OverFloat *overFloatJSON `json:"over_float,omitempty"`
}

type shaftJSON struct {
	Name   string     `json:"name"`
	AtZero [2]float64 `json:"at_zero"`
	Slope  [2]float64 `json:"slope"`
}

type overFloatJSON struct {
	Use    [2]*float64 `json:"use"`
	Margin [2]float64  `json:"margin"`
	Push   []pushJSON  `json:"push,omitempty"`
}

type pushJSON struct {
	Joint string  `json:"joint"`
	Clock float64 `json:"clock"`
	By    float64 `json:"by"`
	Turn  float64 `json:"turn"`
}

type candidateJSON struct {
	Part      string   `json:"part"`
	Candidate string   `json:"candidate"`
	Verdict   string   `json:"verdict"`
	Use       *float64 `json:"use"`
	Margin    *float64 `json:"margin"`
	Governs   []string `json:"governs"`
}

type stateJSON struct {
	Name    string   `json:"name"`
	Use     *float64 `json:"use"`
	Margin  *float64 `json:"margin"`
	Governs []string `json:"governs"`
}

type chainJSON struct {
	Name string  `json:"name"`
	Gap  float64 `json:"gap"`
}

type outputJSON struct {
	Kind  string `json:"kind"`
	Of    string `json:"of,omitempty"`
	From  string `json:"from,omitempty"`
	State string `json:"state,omitempty"`
}

type verdictJSON struct {
	Output      outputJSON `json:"output"`
	Value       *float64   `json:"value"`
	Best        *float64   `json:"best,omitempty"`
	Worst       *float64   `json:"worst,omitempty"`
	Least       *float64   `json:"least,omitempty"`
	Greatest    *float64   `json:"greatest,omitempty"`
	Verdict     string     `json:"verdict"`
	Room        *float64   `json:"room"`
	Uncertainty *float64   `json:"uncertainty,omitempty"`
	Because     string     `json:"because,omitempty"`
}

func ptr[T any](v T) *T { return &v }

func optional(o tolerance.Optional[float64]) *float64 {
	if !o.Given {
		return nil
	}
	return ptr(clean(o.Value))
}

func (c *converter) optionalLength(o tolerance.Optional[tolerance.Length]) *float64 {
	if !o.Given {
		return nil
	}
	return ptr(c.length(o.Value))
}

func (c *converter) report(res *study.Result) reportJSON {
	a := res.Assembly
	out := reportJSON{Format: Format, Verdict: res.Word.String(), Assumed: sentences(a.Assumed, c.unit), Warnings: sentences(a.Warnings, c.unit), Joints: []jointJSON{}}
	for _, w := range c.rec.Warnings() {
		out.Warnings = append(out.Warnings, w.String())
	}
	for _, p := range a.Placed {
		o := p.BaseFromPart.Origin()
		out.Poses = append(out.Poses, poseJSON{p.Part, p.BaseFromPart.Matrix(), [3]float64{c.length(o.X), c.length(o.Y), c.length(o.Z)}})
	}
	for i := range a.Joints {
		out.Joints = append(out.Joints, c.joint(&a.Joints[i]))
	}
	for _, p := range a.Parts {
		out.Parts = append(out.Parts, partJSON{
			p.Name, c.length(p.Thickness), slopeJSON(p.Wedge), c.optionalLength(p.Rise), c.optionalLength(p.Across),
			c.optionalLength(p.ThicknessVariation), c.optionalLength(p.Waviness),
		})
	}
	for _, f := range a.Readings {
		if f.OnThickness {
			continue
		}
		s := sweepJSON{At: f.Path, Mean: c.length(f.Mean), Harmonics: []harmonicJSON{}, Residual: c.optionalLength(f.Residual)}
		for _, h := range f.Harmonics {
			s.Harmonics = append(s.Harmonics, harmonicJSON{h.N, c.length(h.Size), clean(h.Clock.Degrees())})
		}
		out.Sweeps = append(out.Sweeps, s)
	}
	for _, b := range a.Supports {
		v := c.vector(b.Offset)
		out.Supports = append(out.Supports, supportJSON{
			b.Bore, c.length(b.Z), v, 2 * v.Size, slopeJSON(b.Tilt), c.length(b.Clearance.Length()), c.optionalLength(b.Room), optional(b.TiltRatio),
		})
	}
	if a.Line != nil {
		out.Line = c.line(a.Line)
	}
	for _, q := range res.Candidates {
		use, margin, governs := c.summary(q.Assembly)
		out.Candidates = append(out.Candidates, candidateJSON{q.Place, q.Name, q.Word.String(), use, margin, governs})
	}
	for _, q := range res.States {
		use, margin, governs := c.summary(q.Assembly)
		out.States = append(out.States, stateJSON{q.Name, use, margin, governs})
	}
	for _, q := range a.Chains {
		out.Chains = append(out.Chains, chainJSON{q.Name, c.length(q.Gap)})
	}
	for i := range res.Verdicts {
		out.Verdicts = append(out.Verdicts, c.verdict(&res.Verdicts[i]))
	}
	return out
}

func (c *converter) joint(j *align.SeatedJoint) jointJSON {
	out := jointJSON{
		Name: j.Name, Rules: "flush", Assembles: j.Assembles, Interference: c.length(j.Interference.Length()), Fouls: j.Fouls,
		Float: floatJSON{c.length(j.Float.X), c.length(j.Float.Y), clean(j.Float.Turn.Degrees())},
		Gap:   gapJSON{c.length(j.Gap.Greatest), clean(j.Gap.Clock.Degrees())},
	}
	if j.Rules == align.RulesPilot {
		out.Rules = "pilot"
	}
	if p := j.Pilot; p != nil {
		out.PilotClearance, out.PilotStrain = ptr(c.length(p.Clearance.Length())), ptr(c.length(p.Strain))
		out.Lean, out.LeanRoom = ptr(slopeJSON(p.Lean)), optional(p.LeanRoom)
	}
	if t, ok := j.TurnRange.Get(); ok {
		out.TurnRange = &[2]float64{clean(t[0].Degrees()), clean(t[1].Degrees())}
	}
	for _, p := range j.Contacts {
		out.Contacts = append(out.Contacts, [2]float64{c.length(p.X), c.length(p.Y)})
	}
	return out
}

func (c *converter) line(l *align.ShaftLine) *lineJSON {
	out := &lineJSON{Use: optional(l.Use), Margin: c.length(l.Margin), RunsFree: l.RunsFree, Governs: governs(l), Shares: []float64{}, Shafts: []shaftJSON{}}
	for _, g := range l.Governs {
		out.Shares = append(out.Shares, g.Share)
	}
	for _, s := range l.Shafts {
		out.Shafts = append(out.Shafts, shaftJSON{s.Name, [2]float64{c.length(s.AtZero.X), c.length(s.AtZero.Y)}, [2]float64{clean(s.Slope.X), clean(s.Slope.Y)}})
	}
	if r := l.OverFloat; r != nil {
		o := &overFloatJSON{Use: [2]*float64{optional(r.BestUse), optional(r.WorstUse)}, Margin: [2]float64{c.length(r.WorstMargin), c.length(r.BestMargin)}}
		for _, p := range r.Push {
			o.Push = append(o.Push, pushJSON{p.Joint, p.Clock.Degrees(), c.length(p.By), clean(p.Turn.Degrees())})
		}
		out.OverFloat = o
	}
	return out
}

func governs(l *align.ShaftLine) []string {
	names := []string{}
	for _, g := range l.Governs {
		names = append(names, g.Name)
	}
	return names
}

// summary is the line of a candidate or state; absent without shafts.
func (c *converter) summary(a *align.Assembly) (use, margin *float64, names []string) {
	if a.Line == nil {
		return nil, nil, []string{}
	}
	return optional(a.Line.Use), ptr(c.length(a.Line.Margin)), governs(a.Line)
}

func (c *converter) verdict(v *study.Verdict) verdictJSON {
	unit := c.rec.UnitOf(v.Limit.Output)
	in := func(o tolerance.Optional[float64]) *float64 {
		if !o.Given {
			return nil
		}
		return ptr(clean(o.Value / unit))
	}
	out := verdictJSON{
		Output: outputJSON{Kind: kindName(v.Limit.Output.What), Of: v.Limit.Output.Of, From: v.Limit.Output.From, State: v.Limit.State},
		Value:  in(v.Value), Best: in(v.Best), Worst: in(v.Worst), Least: in(v.Limit.Least), Greatest: in(v.Limit.Greatest),
		Verdict: v.Word.String(), Room: in(v.Room), Because: v.Limit.Because,
	}
	if v.U > 0 {
		out.Uncertainty = ptr(v.U / unit)
	}
	return out
}

// kindName is an output's kind as records write it.
func kindName(q align.Quantity) string {
	return [...]string{"", "margin", "use", "offset", "tir", "tilt", "gap", "turn", "thickness_variation", "in_plane", "out_of_plane", "chain", "assembles"}[q]
}
