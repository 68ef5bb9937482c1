package report

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"

	"example.com/borestack/align"
	"example.com/borestack/align/internal/spell"
	"example.com/borestack/align/record"
	"example.com/borestack/align/study"
	"example.com/borestack/internal/ieee"
	"example.com/borestack/tolerance"
)

// Format is the format of the JSON report.
const Format = "borestack-report/1"

// JSON writes the report of res, which [study.Run] made of rec, as indented JSON: lengths in the record's unit, slopes as ratios, angles in degrees. What was not asked for is absent, what cannot be said is null. A number that is not finite is an error that names its key, a result that is not of the record one of [study.Result.MadeOf]; on error nothing is written.
func JSON(w io.Writer, rec *record.Record, res *study.Result) error {
	d, err := documentOf(rec, res)
	if err != nil {
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

// documentOf is the report as JSON; it refuses results that are not of the record, and numbers that are not finite.
func documentOf(rec *record.Record, res *study.Result) (object, error) {
	if err := res.MadeOf(rec); err != nil {
		return nil, err
	}
	d := writer{printerOf(rec), rec, pointersOf(rec)}.document(res)
	return d, finite(d, "")
}

type writer struct {
	printer
	rec *record.Record
	at  pointers
}

func (w writer) document(res *study.Result) object {
	a := res.Assembly
	d := obj(
		"format", Format,
		"title?", w.rec.Title,
		"verdict", res.Word.String(),
		"assumed", assumed(&w.at, res),
		"warnings", warnings(&w.at, res),
		"doubts", each(doubts(res), func(q *record.Doubt) object { return obj("at", q.Path, "why", spell.Clean(q.Why)) }),
		"poses", each(a.Placed, w.pose),
		"joints", each(a.Joints, w.joint),
		"parts", each(a.Parts, w.part),
		"sweeps", each(a.Readings, w.sweep),
		"supports?", each(a.Supports, w.support),
		"line?", w.line(a.Line),
		"candidates?", each(res.Candidates, func(c *study.CandidateResult) object {
			rank := 1 + slices.IndexFunc(res.Ranked(c.Place), func(r study.CandidateResult) bool { return r.Assembly == c.Assembly })
			return obj("part", c.Place, "candidate", c.Name, "rank", rank, "verdict", c.Word.String(), "", w.summary(c.Assembly))
		}),
		"states?", each(res.States, func(s *study.StateResult) object {
			return obj("name", s.Name, "", w.summary(s.Assembly), "side_loads?", w.sideLoads(s.Assembly), "chains?", each(s.Assembly.Chains, w.chain))
		}),
		"side_loads?", w.sideLoads(a),
		"bent_shafts?", w.bent(a),
		"meshes?", each(a.Meshes, w.mesh),
		"chains?", each(a.Chains, w.chain),
	)
	for i, v := range res.Variations {
		d = append(d, member{spell.Either(i == 0, "study", "this_box"), w.study(v)})
	}
	return append(d, obj("verdicts?", each(res.Verdicts, func(v *study.Verdict) object { return w.verdict(res, v) }))...)
}

// each writes every element of a list; an empty one is a list all the same.
func each[T any](list []T, write func(*T) object) []object {
	out := make([]object, 0, len(list))
	for i := range list {
		out = append(out, write(&list[i]))
	}
	return out
}

func (w writer) pose(q *align.PlacedPart) object {
	o, m := q.BaseFromPart.Origin(), q.BaseFromPart.Matrix()
	for i := range m {
		for j := range m[i] {
			m[i][j] = unsigned(m[i][j])
		}
	}
	return obj("part", q.Part, "rotation", m, "origin", []float64{w.in(o.X), w.in(o.Y), w.in(o.Z)})
}

func (w writer) part(s *align.PartShape) object {
	return obj(
		"name", s.Name,
		"thickness", w.in(s.Thickness),
		"wedge", slopeObject(s.Wedge),
		"rise?", w.optional(s.Rise),
		"across?", w.optional(s.Across),
		"thickness_variation?", w.optional(s.ThicknessVariation),
		"waviness?", w.optional(s.Waviness),
	)
}

// sweep also says how sure the fit is: standard uncertainties of the mean and of each component of the first harmonic.
func (w writer) sweep(f *align.ReadingFit) object {
	harmonics := []object{}
	for _, h := range f.Harmonics {
		if h.Size >= noOffset { // less is rounding: it has no direction, and is not there
			harmonics = append(harmonics, obj("n", h.N, "size", w.in(h.Size), "clock", h.Clock.Degrees()))
		}
	}
	return obj(
		"at", f.Path,
		"mean", w.in(f.Mean),
		"harmonics", harmonics,
		"residual?", w.optional(f.Residual),
		"mean_uncertainty?", w.optional(f.MeanU),
		"first_uncertainty?", w.optional(f.FirstU),
		"closing?", w.optional(f.Closing),
	)
}

func (w writer) support(b *align.SupportedBore) object {
	return obj(
		"shaft", b.Shaft,
		"bore", b.Bore,
		"z", w.in(b.Z),
		"offset", w.vector(b.Offset),
		"tir", 2*w.in(b.Offset.Size()),
		"tilt", slopeObject(b.Tilt),
		"clearance", w.in(b.Clearance.Length()),
		"room?", w.optional(b.Room),
		"tilt_ratio?", number(b.TiltRatio),
		"offset_ratio?", number(b.Guides.Offset),
		"force_ratio?", number(b.Guides.Force),
	)
}

// mesh also says by how much one end of the face engages first, for the flank that the other gear pushes along k × e and for
// the opposite one: positive, the rear end. Running is the mesh on its bent shafts.
func (w writer) mesh(m *align.MeshFit) object {
	var running object
	if r := m.Running; r != nil {
		running = obj("in_plane", w.in(r.InPlane), "out_of_plane", w.in(r.OutOfPlane), "centre_distance", w.in(r.CentreDistance), "mismatch", w.pair(r.Mismatch[0], r.Mismatch[1]))
	}
	return obj(
		"name", m.Name,
		"in_plane", w.in(m.InPlane),
		"out_of_plane", w.in(m.OutOfPlane),
		"in_plane_limit?", w.optional(m.InPlaneLimit),
		"out_of_plane_limit?", w.optional(m.OutPlaneLimit),
		"centre_distance", w.in(m.CentreDistance),
		"backlash_gain", m.BacklashGain,
		"mismatch", w.pair(m.Mismatch[0], m.Mismatch[1]),
		"running?", running,
	)
}

// joint: its float is the rear part's shift along the front part's own x and y, and its turn in degrees, clockwise seen from
// the tail.
func (w writer) joint(j *align.SeatedJoint) object {
	pilot := obj("lean", nil)
	if f := j.Pilot; f != nil {
		pilot = obj("pilot_clearance", w.in(f.Clearance.Length()), "pilot_strain", w.in(f.Strain), "lean", slopeObject(f.Lean), "lean_room?", number(f.LeanRoom))
	}
	return obj(
		"name", j.Name,
		"rules", spell.Either(j.Rules == align.RulesPilot, "pilot", "flush"),
		"assembles", j.Assembles,
		"interference", w.in(j.Interference.Length()),
		"fouls?", j.Fouls,
		"", pilot,
		"float", obj("x", w.in(j.Float.X), "y", w.in(j.Float.Y), "turn", degreesOf(j.Float.Turn)),
		"turn_range?", arc(j.TurnRange, degreesOf),
		"gap", obj("greatest", w.in(j.Gap.Greatest), "clock", j.Gap.Clock.Degrees()),
		"contacts?", spell.Mapped(j.Contacts, func(c align.Vec2) []float64 { return w.pair(c.X, c.Y) }),
		"interpolation_error?", w.optional(j.Between),
		"contact?", w.contact(j.Contact),
	)
}

// arc is from where to where a range of angles goes, in degrees; nil without one.
func arc(o tolerance.Optional[[2]tolerance.Angle], degrees func(tolerance.Angle) float64) []float64 {
	if !o.Given {
		return nil
	}
	return []float64{degrees(o.Value[0]), degrees(o.Value[1])}
}

// contact is how a yielding joint presses: pressures in N/mm², the widest stretch without pressure in degrees clockwise.
func (w writer) contact(c *align.Contact) object {
	if c == nil {
		return nil
	}
	return obj("least_pressure", c.Least, "greatest_pressure", c.Greatest, "open?", arc(c.Open, tolerance.Angle.Degrees), "stations", each(c.Stations, func(s *align.StationContact) object {
		return obj("at", w.pair(s.At.X, s.At.Y), "gap", w.in(s.Gap), "pressure", s.Pressure)
	}))
}

// sideLoads are those of one box; none when no shaft is elastic.
func (w writer) sideLoads(a *align.Assembly) []object {
	if a.Loads == nil {
		return nil
	}
	return each(a.Loads.At, w.sideLoad)
}

// bent is how much each shaft bends: stress in N/mm².
func (w writer) bent(a *align.Assembly) []object {
	if a.Loads == nil {
		return nil
	}
	return each(a.Loads.Shafts, func(s *align.BentShaft) object {
		return obj("name", s.Name, "bend", w.in(s.Bend), "stress", s.Stress, "stress_at", w.in(s.StressAt))
	})
}

func (w writer) chain(c *align.ChainGap) object { return obj("name", c.Name, "gap", w.in(c.Gap)) }

// sideLoad is the force of the housing on the shaft at a bore, or in a pocket on the first-named shaft; slope is the bent
// shaft's. Mouths are the front and rear mouth of a bush.
func (w writer) sideLoad(l *align.SideLoad) object {
	return obj(
		"bore", l.Name,
		"shaft", l.Shaft,
		"x", unsigned(l.Force.X),
		"y", unsigned(l.Force.Y),
		"size", math.Hypot(l.Force.X, l.Force.Y),
		"clock", direction(l.Force.X, l.Force.Y, noForce),
		"slope", obj("x", unsigned(l.Slope.X), "y", unsigned(l.Slope.Y)),
		"tilt", slopeObject(l.Tilt),
		"tilt_ratio?", number(l.TiltRatio),
		"shift", w.vector(l.Shift),
		"mouths?", spell.Mapped(l.Mouths, func(f align.Force) []float64 { return []float64{unsigned(f.X), unsigned(f.Y)} }),
	)
}

// line: its pushes say which way to push a joint's rear part from where it rests, as clock angles of the assembled machine (the
// base's axes), not of the front part, whose own 12 o'clock may stand elsewhere.
func (w writer) line(l *align.ShaftLine) object {
	if l == nil {
		return nil
	}
	shares := append([]float64{}, spell.Mapped(l.Governs, func(g tolerance.Share) float64 { return g.Share })...)
	var float object
	if r := l.OverFloat; r != nil {
		float = obj(
			"use", []*float64{number(r.BestUse), number(r.WorstUse)},
			"margin", w.pair(r.WorstMargin, r.BestMargin),
			"push?", each(r.Push, func(q *align.Push) object {
				return obj("joint", q.Joint, "clock", q.Clock.Degrees(), "by", w.in(q.By), "turn", degreesOf(q.Turn))
			}),
		)
	}
	return obj(
		"use", number(l.Use),
		"margin", w.in(l.Margin),
		"runs_free", l.RunsFree,
		"governs", sharers(l.Governs),
		"margin_governs", sharers(l.MarginGoverns),
		"shares", shares,
		"shafts", each(l.Shafts, func(s *align.StraightShaft) object {
			return obj("name", s.Name, "at_zero", w.pair(s.AtZero.X, s.AtZero.Y), "slope", []float64{unsigned(s.Slope.X), unsigned(s.Slope.Y)})
		}),
		"over_float?", float,
	)
}

func sharers(list []tolerance.Share) []string {
	return append([]string{}, spell.Mapped(list, func(g tolerance.Share) string { return g.Name })...)
}

// summary is what candidates and states show of a box; null without a shaft line.
func (w writer) summary(a *align.Assembly) object {
	var use, margin *float64
	governs := []string{}
	if a.Line != nil {
		m := w.in(a.Line.Margin)
		use, margin, governs = number(a.Line.Use), &m, sharers(a.Line.Governs)
	}
	return obj("use", use, "margin", margin, "governs", governs)
}

func (w writer) output(l record.Limit) object {
	return obj("kind", record.OutputKind(l.Output.What), "of?", l.Output.Of, "from?", l.Output.From, "state?", l.State)
}

func (w writer) verdict(res *study.Result, v *study.Verdict) object {
	l := v.Limit
	in := w.units(l.Output)
	return obj(
		"output", w.output(l),
		"value", in(v.Value),
		"best?", in(v.Best),
		"worst?", in(v.Worst),
		"least?", in(l.Least),
		"greatest?", in(l.Greatest),
		"uncertainty?", in(tolerance.Optional[float64]{Value: v.U, Given: v.U != 0}),
		"verdict", v.Word.String(),
		"room", in(roomOf(res, v)),
		"in_state?", v.InState,
		"because?", l.Because,
	)
}

// units makes numbers of an output those of the record's unit for it; nil without one.
func (w writer) units(o align.Output) func(tolerance.Optional[float64]) *float64 {
	unit := w.rec.UnitOf(o)
	return func(o tolerance.Optional[float64]) *float64 {
		if o.Given {
			o.Value /= unit
		}
		return number(o)
	}
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
	noForce  = 1e-9  // N
)

func (w writer) pair(x, y tolerance.Length) []float64 { return []float64{w.in(x), w.in(y)} }

func (w writer) vector(v align.Vec2) object {
	return obj("x", w.in(v.X), "y", w.in(v.Y), "size", w.in(v.Size()), "clock", direction(float64(v.X), float64(v.Y), noOffset))
}

func slopeObject(s align.Slope) object {
	return obj("x", unsigned(s.X), "y", unsigned(s.Y), "size", s.Size(), "clock", direction(s.X, s.Y, noSlope))
}

func direction(x, y, least float64) float64 {
	if math.Hypot(x, y) < least {
		return 0
	}
	return tolerance.Clock(x, y).Degrees()
}

// degreesOf is a turn, which may be negative.
func degreesOf(a tolerance.Angle) float64 { return unsigned(a.Degrees()) }

func unsigned(v float64) float64 {
	if v == 0 {
		return 0
	}
	return v
}

// study is what varies: "process" gives yields of a batch, "gauge" probabilities for this very box. Where a record holds both,
// the gauge's is "this_box".
func (w writer) study(v *study.Variation) object {
	return obj("because", v.Because, "samples", v.Samples, "seed", v.Seed, "outputs", each(v.Outputs, w.varied))
}

func share(p float64) string { return strconv.FormatFloat(p, 'g', -1, 64) }

func (w writer) varied(v *study.Varied) object {
	optional := w.units(v.Limit.Output)
	// a number in the output's unit; null when it cannot be said
	in := func(x float64) *float64 {
		return optional(tolerance.Optional[float64]{Value: x, Given: ieee.Finite(x)})
	}
	s := v.Sampled
	var mean, sd, meanError, sdError *float64
	if s.Infinite == 0 {
		mean, sd, meanError, sdError = in(s.Mean), in(s.SD), in(s.MeanError), in(s.SDError)
	}
	p, errors, first := map[string]*float64{}, map[string]*float64{}, map[string]*float64{}
	for i, q := range study.Quantiles() {
		x, e := s.Quantile(q)
		p[share(q)], errors[share(q)] = in(x), in(e)
		if v.RSS != nil {
			first[share(q)] = in(v.RSS.Quantiles[i])
		}
	}
	var worst []*float64
	var exact *bool
	if q := v.Worst; q != nil {
		worst, exact = []*float64{optional(q.Least), optional(q.Greatest)}, &q.Exact
	}
	var rss object
	if r := v.RSS; r != nil {
		rss = obj("mean", in(r.Mean), "sd", in(r.SD), "p", sorted(first))
	}
	var yield, yieldError *float64
	var interval []float64
	if v.Limited() {
		yield, yieldError, interval = &s.Yield, &s.YieldError, s.YieldInterval[:]
	}
	return obj(
		"output", w.output(v.Limit),
		"nominal", optional(v.Nominal),
		"worst", worst,
		"worst_exact?", exact,
		"unbounded?", v.Unbounded,
		"mean", mean,
		"sd", sd,
		"rss", rss,
		"p", sorted(p),
		"errors", obj("mean", meanError, "sd", sdError, "p", sorted(errors), "yield?", yieldError),
		"least", in(s.Least),
		"least_sample", s.LeastAt,
		"greatest", in(s.Most),
		"greatest_sample", s.MostAt,
		"yield?", yield,
		"yield_interval?", interval,
		"shares", each(v.Shares, func(q *tolerance.Share) object { return obj("input", q.Name, "share", q.Share) }),
		// a tail, the outer tenth of an input's distribution, that samples which fail lie in so many times as often as others
		"failures_lie_in?", each(v.Causes, func(c *study.Cause) object {
			return obj("input", c.Input, "axis?", axisOf(*c), "tail", tailOf(*c), "times", c.Times, "interval", c.Interval)
		}),
	)
}

// axisOf is which of a pair a cause is about; empty for a single number.
func axisOf(c study.Cause) string {
	if !c.Pair {
		return ""
	}
	return spell.Either(c.Axis == 1, "y", "x")
}

func tailOf(c study.Cause) string { return spell.Either(c.Upper, "upper", "lower") }
