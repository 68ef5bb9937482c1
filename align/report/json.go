package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"reflect"
	"slices"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/tolerance"
)

// JSON writes the report of res, which [study.Run] made of rec, as indented JSON: lengths in the record's unit, slopes as ratios, angles in degrees. What was not asked for is absent, what cannot be said is null. A number that is not finite is an error that names its key, a result that is not of the record one of [study.Result.MadeOf]; on error nothing is written.
func JSON(w io.Writer, rec *record.Record, res *study.Result) error {
	if err := res.MadeOf(rec); err != nil {
		return err
	}
	d := writer{printerOf(rec), rec}.document(res)
	if err := finite(reflect.ValueOf(d), ""); err != nil {
		return err
	}
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", " ")
	if err := enc.Encode(d); err != nil {
		return fmt.Errorf("report: %w", err)
	}
	return nil
}

// writer fills the document.
type writer struct {
	printer
	rec *record.Record
}

func (w writer) document(res *study.Result) document {
	a := res.Assembly
	d := document{
		Format: Format, Title: w.rec.Title, Verdict: res.Word.String(),
		Assumed: assumed(w.rec, res), Warnings: warnings(w.rec, res), Doubts: []doubtDoc{},
		Joints: each(a.Joints, w.joint), Poses: each(a.Placed, w.pose), Parts: each(a.Parts, w.part), Sweeps: each(a.Readings, w.sweep),
		Supports: each(a.Supports, w.support), Meshes: each(a.Meshes, w.mesh), SideLoads: w.sideLoads(a), Chains: w.chains(a),
		Verdicts: each(res.Verdicts, func(v *study.Verdict) verdictDoc { return w.verdict(res, v) }),
	}
	for _, q := range doubts(res) {
		d.Doubts = append(d.Doubts, doubtDoc{q.Path, spell.Clean(q.Why)})
	}
	if a.Line != nil {
		d.Line = w.line(a.Line)
	}
	for i := range res.Candidates {
		c := &res.Candidates[i]
		use, margin, governs := w.summary(c.Assembly)
		rank := 1 + slices.IndexFunc(res.Ranked(c.Place), func(r study.CandidateResult) bool { return r.Assembly == c.Assembly })
		d.Candidates = append(d.Candidates, candidateDoc{c.Place, c.Name, rank, c.Word.String(), use, margin, governs})
	}
	for _, s := range res.States {
		use, margin, governs := w.summary(s.Assembly)
		d.States = append(d.States, stateDoc{s.Name, use, margin, governs, w.sideLoads(s.Assembly), w.chains(s.Assembly)})
	}
	if a.Loads != nil {
		for _, s := range a.Loads.Shafts {
			d.Shafts = append(d.Shafts, bentDoc{s.Name, w.in(s.Bend), s.Stress, w.in(s.StressAt)})
		}
	}
	for i, v := range res.Variations {
		if i == 0 {
			d.Study = w.study(v)
		} else {
			d.ThisBox = w.study(v)
		}
	}
	return d
}

// each writes every element of a list; an empty one is a list all the same.
func each[T, D any](list []T, write func(*T) D) []D {
	out := make([]D, 0, len(list))
	for i := range list {
		out = append(out, write(&list[i]))
	}
	return out
}

func (w writer) pose(q *align.PlacedPart) poseDoc {
	o := q.BaseFromPart.Origin()
	return poseDoc{q.Part, rotation(q.BaseFromPart), [3]float64{w.in(o.X), w.in(o.Y), w.in(o.Z)}}
}

func (w writer) part(s *align.PartShape) partDoc {
	return partDoc{
		Name: s.Name, Thickness: w.in(s.Thickness), Wedge: slopeDoc(s.Wedge), Rise: w.optional(s.Rise), Across: w.optional(s.Across),
		ThicknessVariation: w.optional(s.ThicknessVariation), Waviness: w.optional(s.Waviness),
	}
}

func (w writer) sweep(f *align.ReadingFit) sweepDoc {
	s := sweepDoc{
		At: f.Path, Mean: w.in(f.Mean), Harmonics: []harmonicDoc{}, Residual: w.optional(f.Residual),
		MeanUncertainty: w.optional(f.MeanU), FirstUncertainty: w.optional(f.FirstU), Closing: w.optional(f.Closing),
	}
	for _, h := range f.Harmonics {
		if h.Size < noOffset { // rounding: it has no direction, and is not there
			continue
		}
		s.Harmonics = append(s.Harmonics, harmonicDoc{h.N, w.in(h.Size), h.Clock.Degrees()})
	}
	return s
}

func (w writer) support(b *align.SupportedBore) supportDoc {
	return supportDoc{
		Shaft: b.Shaft, Bore: b.Bore, Z: w.in(b.Z), Offset: w.vector(b.Offset), TIR: 2 * w.in(b.Offset.Size()), Tilt: slopeDoc(b.Tilt),
		Clearance: w.in(b.Clearance.Length()), Room: w.optional(b.Room), TiltRatio: number(b.TiltRatio),
		OffsetRatio: number(b.Guides.Offset), ForceRatio: number(b.Guides.Force),
	}
}

func (w writer) mesh(m *align.MeshFit) meshDoc {
	doc := meshDoc{
		Name: m.Name, InPlane: w.in(m.InPlane), OutOfPlane: w.in(m.OutOfPlane),
		InPlaneLimit: w.optional(m.InPlaneLimit), OutPlaneLimit: w.optional(m.OutPlaneLimit),
		CentreDistance: w.in(m.CentreDistance), BacklashGain: m.BacklashGain,
		Mismatch: [2]float64{w.in(m.Mismatch[0]), w.in(m.Mismatch[1])},
	}
	if r := m.Running; r != nil {
		doc.Running = &runDoc{w.in(r.InPlane), w.in(r.OutOfPlane), w.in(r.CentreDistance), [2]float64{w.in(r.Mismatch[0]), w.in(r.Mismatch[1])}}
	}
	return doc
}

func (w writer) joint(j *align.SeatedJoint) jointDoc {
	d := jointDoc{
		Name: j.Name, Rules: "flush", Assembles: j.Assembles, Interference: w.in(j.Interference.Length()), Fouls: j.Fouls,
		Float: floatDoc{w.in(j.Float.X), w.in(j.Float.Y), degreesOf(j.Float.Turn)},
		Gap:   gapDoc{w.in(j.Gap.Greatest), j.Gap.Clock.Degrees()},
	}
	if j.Rules == align.RulesPilot {
		d.Rules = "pilot"
	}
	if f := j.Pilot; f != nil {
		clearance, strain, lean := w.in(f.Clearance.Length()), w.in(f.Strain), slopeDoc(f.Lean)
		d.PilotClearance, d.PilotStrain, d.Lean, d.LeanRoom = &clearance, &strain, &lean, number(f.LeanRoom)
	}
	if t, ok := j.TurnRange.Get(); ok {
		d.TurnRange = &[2]float64{degreesOf(t[0]), degreesOf(t[1])}
	}
	d.Between = w.optional(j.Between)
	if c := j.Contact; c != nil {
		d.Contact = &contactDoc{Least: c.Least, Greatest: c.Greatest, Stations: []stationDoc{}}
		if o, ok := c.Open.Get(); ok {
			d.Contact.Open = &[2]float64{o[0].Degrees(), o[1].Degrees()}
		}
		for _, s := range c.Stations {
			d.Contact.Stations = append(d.Contact.Stations, stationDoc{[2]float64{w.in(s.At.X), w.in(s.At.Y)}, w.in(s.Gap), s.Pressure})
		}
	}
	for _, c := range j.Contacts {
		d.Contacts = append(d.Contacts, [2]float64{w.in(c.X), w.in(c.Y)})
	}
	return d
}

// sideLoads are those of one box; none when no shaft is elastic.
func (w writer) sideLoads(a *align.Assembly) []sideLoadDoc {
	if a.Loads == nil {
		return nil
	}
	return each(a.Loads.At, w.sideLoad)
}

func (w writer) chains(a *align.Assembly) (out []chainDoc) {
	for _, c := range a.Chains {
		out = append(out, chainDoc{c.Name, w.in(c.Gap)})
	}
	return out
}

// noForce is the size below which a force is rounding and has no direction.
const noForce = 1e-9 // N

func (w writer) sideLoad(l *align.SideLoad) sideLoadDoc {
	d := sideLoadDoc{
		Bore: l.Name, Shaft: l.Shaft, X: unsigned(l.Force.X), Y: unsigned(l.Force.Y), Size: math.Hypot(l.Force.X, l.Force.Y),
		Slope: slopeXY{unsigned(l.Slope.X), unsigned(l.Slope.Y)}, Tilt: slopeDoc(l.Tilt), TiltRatio: number(l.TiltRatio), Shift: w.vector(l.Shift),
	}
	if d.Size > noForce {
		d.Clock = tolerance.Clock(l.Force.X, l.Force.Y).Degrees()
	}
	for _, f := range l.Mouths {
		d.Mouths = append(d.Mouths, [2]float64{unsigned(f.X), unsigned(f.Y)})
	}
	return d
}

func (w writer) line(l *align.ShaftLine) *lineDoc {
	d := &lineDoc{Use: number(l.Use), Margin: w.in(l.Margin), RunsFree: l.RunsFree, Governs: []string{}, MarginGoverns: []string{}, Shares: []float64{}, Shafts: []shaftDoc{}}
	for _, g := range l.Governs {
		d.Governs, d.Shares = append(d.Governs, g.Name), append(d.Shares, g.Share)
	}
	for _, g := range l.MarginGoverns {
		d.MarginGoverns = append(d.MarginGoverns, g.Name)
	}
	for _, s := range l.Shafts {
		d.Shafts = append(d.Shafts, shaftDoc{s.Name, [2]float64{w.in(s.AtZero.X), w.in(s.AtZero.Y)}, [2]float64{unsigned(s.Slope.X), unsigned(s.Slope.Y)}})
	}
	if r := l.OverFloat; r != nil {
		o := &overFloatDoc{Use: [2]*float64{number(r.BestUse), number(r.WorstUse)}, Margin: [2]float64{w.in(r.WorstMargin), w.in(r.BestMargin)}}
		for _, q := range r.Push {
			o.Push = append(o.Push, pushDoc{q.Joint, q.Clock.Degrees(), w.in(q.By), degreesOf(q.Turn)})
		}
		d.OverFloat = o
	}
	return d
}

// summary is what candidates and states show of a box; null without a shaft line.
func (w writer) summary(a *align.Assembly) (use, margin *float64, governs []string) {
	governs = []string{}
	if a.Line == nil {
		return nil, nil, governs
	}
	for _, g := range a.Line.Governs {
		governs = append(governs, g.Name)
	}
	m := w.in(a.Line.Margin)
	return number(a.Line.Use), &m, governs
}

func (w writer) verdict(res *study.Result, v *study.Verdict) verdictDoc {
	l := v.Limit
	unit := w.rec.UnitOf(l.Output)
	in := func(o tolerance.Optional[float64]) *float64 {
		if o.Given {
			o.Value /= unit
		}
		return number(o)
	}
	d := verdictDoc{
		Output: outputDoc{record.OutputKind(l.Output.What), l.Output.Of, l.Output.From, l.State},
		Value:  in(v.Value), Best: in(v.Best), Worst: in(v.Worst), Least: in(l.Least), Greatest: in(l.Greatest),
		Verdict: v.Word.String(), Room: in(roomOf(res, v)), InState: v.InState, Because: l.Because,
	}
	if v.U != 0 {
		d.Uncertainty = in(tolerance.Given(v.U))
	}
	return d
}

func rotation(p align.Pose) [3][3]float64 {
	m := p.Matrix()
	for i := range m {
		for j := range m[i] {
			m[i][j] = unsigned(m[i][j])
		}
	}
	return m
}

func number(o tolerance.Optional[float64]) *float64 {
	if !o.Given {
		return nil
	}
	v := unsigned(o.Value)
	return &v
}

// Vectors smaller than these are rounding: they have no direction, and their clock is given as 0.
const (
	noOffset = 1e-9  // mm
	noSlope  = 1e-12 // ratio
)

func (w writer) vector(v align.Vec2) vectorDoc {
	d := vectorDoc{w.in(v.X), w.in(v.Y), w.in(v.Size()), v.Clock().Degrees()}
	if v.Size() < noOffset {
		d.Clock = 0
	}
	return d
}

func slopeDoc(s align.Slope) vectorDoc {
	d := vectorDoc{unsigned(s.X), unsigned(s.Y), s.Size(), tolerance.Clock(s.X, s.Y).Degrees()}
	if d.Size < noSlope {
		d.Clock = 0
	}
	return d
}

// degreesOf is a turn, which may be negative.
func degreesOf(a tolerance.Angle) float64 { return unsigned(a.Degrees()) }

// unsigned takes the sign off zero.
func unsigned(v float64) float64 {
	if v == 0 {
		return 0
	}
	return v
}
