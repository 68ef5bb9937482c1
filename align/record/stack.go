package record

import (
	"errors"
	"math"

	"example.com/borestack/align"
	"example.com/borestack/tolerance"
)

// Stack maps the record to typed quantities. The record's numbers are not changed. A word that
// means nothing, in a record made in Go, is a [fault.FieldError] at its place; several are joined.
func (r *Record) Stack() (align.Stack, error) {
	if faults := r.wordFaults(); len(faults) > 0 {
		return align.Stack{}, errors.Join(faults...)
	}
	return r.stack(nil), nil
}

// stack maps a record whose words are known; a length unit that is not counts as millimetres. With
// labels it writes
// those in place of the quantities.
func (r *Record) stack(labels *labels) align.Stack {
	m := mapper{r.LengthUnit(), labels}
	s := align.Stack{Title: r.Title, Parts: m.parts(r.Parts)}
	for i := range r.Joints {
		s.Joints = append(s.Joints, m.joint(&r.Joints[i]))
	}
	for i := range r.Shafts {
		s.Shafts = append(s.Shafts, m.shaft(&r.Shafts[i]))
	}
	for i := range r.Pockets {
		p := &r.Pockets[i]
		q := align.Pocket{Name: p.Name, Z: m.length(&p.Z), Clearance: tolerance.Diametral(m.length(stated(&p.Clearance, p.Fit))), Width: m.optional(p.Width)}
		copy(q.Between[:], p.Between)
		s.Pockets = append(s.Pockets, q)
	}
	for _, p := range r.References {
		q := align.Reference{Name: p.Name, Axis: p.Axis, Best: p.Best}
		copy(q.Through[:], p.Through)
		s.References = append(s.References, q)
	}
	for i := range r.Meshes {
		p := &r.Meshes[i]
		q := align.Mesh{Name: p.Name, Z: m.length(&p.Z), FaceWidth: m.length(&p.FaceWidth), HelixTolerance: m.optional(p.HelixTolerance)}
		for i, a := range p.Axes {
			if i < 2 {
				copy(q.Axes[i][:], a)
			}
		}
		if p.PressureAngle != nil {
			q.PressureAngle = tolerance.Given(m.degrees(p.PressureAngle))
		}
		s.Meshes = append(s.Meshes, q)
	}
	for _, c := range r.Chains {
		q := align.Chain{Name: c.Name, Least: m.optional(c.Least), Greatest: m.optional(c.Greatest)}
		for _, l := range c.Links {
			k := align.Link{Name: l.Name, From: l.From, To: l.To, Length: m.length(l.Length), Gain: m.plain(l.Gain)}
			q.Links = append(q.Links, k)
		}
		s.Chains = append(s.Chains, q)
	}
	for _, c := range r.Candidates {
		s.Candidates = append(s.Candidates, align.Candidates{Place: c.Name, Parts: m.parts(c.Value)})
	}
	for _, t := range r.States {
		q := align.State{Name: t.Name}
		for i := range t.Temperatures {
			e := &t.Temperatures[i]
			q.Temperatures = append(q.Temperatures, align.StateTemperature{Of: e.Name, Temperature: tolerance.Celsius(m.bare(&e.Value))})
		}
		for i := range t.Moves {
			e := &t.Moves[i]
			q.Moves = append(q.Moves, align.StateMove{Part: e.Name, By: m.triple(&e.Value)})
		}
		s.States = append(s.States, q)
	}
	return s
}

// mapper turns numbers as written into quantities in base units: each is one number times a gain.
type mapper struct {
	unit   tolerance.Length
	labels *labels // nil: quantities are wanted
}

// times is a number times its gain; 0 for a number that is absent. It is the one place that reads a number.
func (m mapper) times(n *Number, gain float64) float64 {
	switch {
	case n == nil:
		return 0
	case m.labels != nil:
		return m.labels.next(n, gain)
	}
	return n.Value * gain
}

func (m mapper) length(n *Number) tolerance.Length {
	return tolerance.Length(m.times(n, float64(m.unit)))
}

// bare is a number without a unit of length: a ratio, a force, a temperature.
func (m mapper) bare(n *Number) float64 { return m.times(n, 1) }

func (m mapper) optional(n *Number) (o tolerance.Optional[tolerance.Length]) {
	if n != nil {
		o = tolerance.Given(m.length(n))
	}
	return o
}

func (m mapper) plain(n *Number) (o tolerance.Optional[float64]) {
	if n != nil {
		o = tolerance.Given(m.bare(n))
	}
	return o
}

func (m mapper) celsius(n *Number) (o tolerance.Optional[tolerance.Celsius]) {
	if n != nil {
		o = tolerance.Given(tolerance.Celsius(m.bare(n)))
	}
	return o
}

func (m mapper) degrees(n *Number) tolerance.Angle { return tolerance.Angle(m.times(n, math.Pi/180)) }

func (m mapper) pair(p *Pair) align.Vec2 {
	if p == nil {
		return align.Vec2{}
	}
	return align.Vec2{X: m.length(&p[0]), Y: m.length(&p[1])}
}

func (m mapper) triple(p *Triple) align.Vec3 {
	if p == nil {
		return align.Vec3{}
	}
	return align.Vec3{X: m.length(&p[0]), Y: m.length(&p[1]), Z: m.length(&p[2])}
}

func (m mapper) slope(p *Pair) align.Slope {
	if p == nil {
		return align.Slope{}
	}
	return align.Slope{X: m.bare(&p[0]), Y: m.bare(&p[1])}
}

func (m mapper) optionalSlope(p *Pair) (o tolerance.Optional[align.Slope]) {
	if p != nil {
		o = tolerance.Given(m.slope(p))
	}
	return o
}

func (m mapper) material(of *Material) (o tolerance.Optional[tolerance.Material]) {
	if of == nil {
		return o
	}
	if of.Name != "" {
		v, err := tolerance.MaterialNamed(of.Name)
		if err != nil {
			return o
		}
		return tolerance.Given(v)
	}
	return tolerance.Given(tolerance.Material{Name: "as given", Expansion: m.bare(&of.Expansion), Modulus: m.plain(of.Modulus), Poisson: m.plain(of.Poisson), Source: "the record"})
}

func (m mapper) parts(in []Part) []align.Part {
	var out []align.Part
	for i := range in {
		p := &in[i]
		q := align.Part{
			Name: p.Name, Material: m.material(p.Material), Temperature: m.celsius(p.Temperature), MeasuredAt: m.celsius(p.MeasuredAt),
			Turned: p.Turned != nil && *p.Turned, Front: m.face(p.Front), Rear: m.face(p.Rear),
		}
		for k := range p.Bores {
			b := &p.Bores[k]
			c := align.Bore{Name: b.Name, Centre: m.triple(b.Centre), Sweep: m.sweep(b.Sweep), Slope: m.slope(b.Slope), Diameter: m.optional(b.Diameter)}
			if b.Z != nil {
				c.Centre.Z = m.length(b.Z)
			}
			m.roundBore(&c, b.Round)
			q.Bores = append(q.Bores, c)
		}
		out = append(out, q)
	}
	return out
}

func (m mapper) face(f *Face) *align.Face {
	if f == nil {
		return nil
	}
	g := &align.Face{Z: m.length(f.Z), Slope: m.slope(f.Slope), Sweep: m.sweep(f.Sweep), Diameter: m.optional(f.Diameter)}
	for i := range f.Points {
		g.Points = append(g.Points, m.triple(&f.Points[i]))
	}
	if t := f.Thickness; t != nil {
		g.Thickness = &align.Thickness{Readings: m.readings(&t.Readings), Radius: m.length(&t.Radius)}
	}
	if p := f.Pilot; p != nil {
		q := &align.Pilot{Centre: m.pair(p.Centre), Sweep: m.sweep(p.Sweep), Diameter: m.length(stated(&p.Diameter, p.Fit)), Slope: m.optionalSlope(p.Slope)}
		if p.Kind == "bore" {
			q.Kind = align.PilotBore
		}
		m.roundPilot(q, p.Round)
		g.Pilot = q
	}
	for i := range f.Dowels {
		d := &f.Dowels[i]
		g.Dowels = append(g.Dowels, align.Dowel{Name: d.Name, Centre: m.pair(&d.Centre), Diameter: m.length(stated(&d.Diameter, d.Fit))})
	}
	return g
}

// inBlock is the mapper of a block that may carry its own unit.
func (m mapper) inBlock(r *Readings) mapper {
	if u, err := tolerance.ParseUnit(r.Unit); err == nil {
		return mapper{u.Size(), m.labels}
	}
	return m
}

func (m mapper) readings(r *Readings) align.Readings {
	b := m.inBlock(r)
	out := align.Readings{
		First: m.degrees(r.First), FromNose: r.SeenFrom == "nose", Closing: b.optional(r.Closing),
		Uncertainty: b.optional(r.Uncertainty), SharedUncertainty: b.optional(r.SharedUncertainty),
	}
	for _, v := range r.Readings {
		var station []tolerance.Length
		for i := range v.Repeats {
			station = append(station, b.length(&v.Repeats[i]))
		}
		out.Values = append(out.Values, station)
	}
	for i := range r.At {
		out.At = append(out.At, m.degrees(&r.At[i]))
	}
	return out
}

func (m mapper) sweep(s *Sweep) *align.Sweep {
	if s == nil {
		return nil
	}
	b := m.inBlock(&s.Readings)
	return &align.Sweep{
		Readings: m.readings(&s.Readings), Radius: m.length(s.Radius), Out: s.Positive == "out", About: s.About,
		Droop: b.length(s.Droop), Lift: b.length(s.Lift), Mounted: s.Mounted,
	}
}

func (m mapper) joint(j *Joint) align.Joint {
	out := align.Joint{
		Name: j.Name, SeatOnPoints: j.Seat == "points", Engagement: m.optional(j.Engagement), Clock: m.degrees(j.Clock),
	}
	switch j.Rules {
	case "flush":
		out.Rules = align.RulesFlush
	case "pilot":
		out.Rules = align.RulesPilot
	}
	switch j.Lies {
	case "rest":
		out.Lies = align.LiesRest
	case "hang":
		out.Lies = align.LiesHang
	}
	if g := j.Gasket; g != nil {
		out.Gasket = &align.Gasket{Thickness: m.length(&g.Thickness), Slope: m.slope(g.Slope)}
	}
	out.Flatten = m.bare(j.Flatten)
	out.Interpolate = j.Interpolate != nil && *j.Interpolate
	if y := j.Yielding; y != nil {
		out.Yield = &align.Yield{Stiffness: m.bare(&y.Stiffness), Area: m.bare(&y.Area)}
		for i := range y.BoltLoads {
			out.Yield.BoltLoads = append(out.Yield.BoltLoads, m.bare(&y.BoltLoads[i]))
		}
	}
	if j.RegisterRing != nil {
		out.RegisterRing = m.optional(&j.RegisterRing.Diameter)
	}
	if j.BoltClearance != nil {
		out.BoltClearance = tolerance.Given(tolerance.Diametral(m.length(j.BoltClearance)))
	}
	for i := range j.Bolts {
		out.Bolts = append(out.Bolts, m.pair(&j.Bolts[i]))
	}
	for i := range j.Pins {
		p := &j.Pins[i]
		q := align.Pin{Dowel: p.Dowel, Diameter: m.length(stated(&p.Diameter, p.Fit)), Locates: m.optionalSlope(p.Locates), Step: m.pair(p.Step)}
		switch p.Pressed {
		case "rear":
			q.Pressed = align.PressedRear
		case "neither":
			q.Pressed = align.PressedNeither
		}
		out.Pins = append(out.Pins, q)
	}
	if f := j.Float; f != nil {
		out.Float = &align.Float{X: m.length(f.X), Y: m.length(f.Y), Turn: m.degrees(f.Turn)}
	}
	return out
}

func (m mapper) shaft(s *Shaft) align.Shaft {
	out := align.Shaft{Name: s.Name, Material: m.material(s.Material), Temperature: m.celsius(s.Temperature)}
	for i := range s.Supports {
		p := &s.Supports[i]
		q := align.Support{
			Bore: p.Bore, Clearance: tolerance.Diametral(m.length(stated(&p.Clearance, p.Fit))), Width: m.length(p.Width),
			Runout: tolerance.TIR(m.length(p.Runout)), Journal: m.optional(p.Journal), Tilt: m.plain(p.Tilt), Stiffness: m.plain(p.Stiffness),
		}
		if p.Kind == "bush" {
			q.Kind = align.Bush
		}
		if g := p.Guide; g != nil {
			q.Guide = align.Guide{Offset: m.optional(g.Offset), Force: m.plain(g.Force), Because: g.Because}
		}
		out.Supports = append(out.Supports, q)
	}
	for i := range s.Sections {
		c := &s.Sections[i]
		out.Sections = append(out.Sections, align.Section{From: m.length(&c.From), To: m.length(&c.To), Diameter: m.length(&c.Diameter), Bore: m.length(c.Bore)})
	}
	out.Density = m.plain(s.Density)
	for i := range s.Loads {
		l := &s.Loads[i]
		q := align.Load{Name: l.Name, Z: m.length(&l.Z)}
		if l.Force != nil {
			q.Force = align.Force{X: m.bare(&l.Force[0]), Y: m.bare(&l.Force[1])}
		}
		if g := l.Gear; g != nil {
			q.Gear = &align.GearForce{
				Torque: m.bare(&g.Torque), PitchDiameter: m.length(&g.PitchDiameter), Helix: m.degrees(g.Helix), Mate: m.degrees(&g.Mate),
			}
			if g.PressureAngle != nil {
				q.Gear.PressureAngle = tolerance.Given(m.degrees(g.PressureAngle))
			}
		}
		out.Loads = append(out.Loads, q)
	}
	return out
}
